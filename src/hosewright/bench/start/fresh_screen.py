"""Starting a search for the stitch size, or a gauge tube: machine, cylinder, yarn and dial."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from textual.binding import Binding

from hosewright.bench.shelf import open_form
from hosewright.bench.start.screen import StartScreen, separator_field
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.host import host
from hosewright.craft.dial import CLICKS_PER_TURN, read_position, show_position, show_turns
from hosewright.logbook.accounts.enough import without_a_lot
from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn
from hosewright.phrases.field import Field, whole
from hosewright.planning import starting
from hosewright.settings.table import LIMITS
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.logbook.records.sessions import SessionRecord

_TITLES = {"search": "Find the stitch size", "tube": "Crank a gauge tube"}
_THINGS: dict[str, type[Machine] | type[Cylinder] | type[Yarn]] = {
    "machine": Machine,
    "cylinder": Cylinder,
    "yarn": Yarn,
}
_NO_START = {
    "search": "Dial: no start is noted for {}. Begin with a stitch that is surely too large, so that it drops back: "
    "type how many turns below zero that is.",
    "tube": "Dial: no stitch size is known here yet. Find it first (f on the bench), or type where the dial of {} is.",
}
_MAKE = Binding.Group("Make a new one")


def fresh_fields(kind: str, clicks_per_turn: Callable[[], int]) -> list[Field]:
    """The lines of a search or a tube; ``clicks_per_turn`` of the machine chosen."""
    fields = [
        Field(
            name,
            name.capitalize(),
            f"the {name} it is cranked {'of' if name == 'yarn' else 'on'}",
            choices=(),
            blank=f"none chosen: {name[0]} makes one",
            required=True,
            missing=f"Choose a {name} first.",
        )
        for name in _THINGS
    ]
    fields.append(
        Field(
            "dial",
            "Dial",
            "turns below zero",
            lambda text: read_position(text, clicks_per_turn()),
            lambda clicks: show_turns(clicks, clicks_per_turn()),
            required=True,
            example="6 3/4",
        )
    )
    if kind == "tube":
        limits = LIMITS["tube_rows"]
        hint = "{} to {}; more measure better".format(*limits)
        fields.append(whole("rows", "Tube rows", hint, *limits, required=True, example="60"))
        fields.append(separator_field("before and after"))
    return fields


class FreshStartScreen(StartScreen):
    """The start of a search or of a gauge tube."""

    BINDINGS = [
        Binding("m", "make('machine')", "Make a machine", group=_MAKE),
        Binding("c", "make('cylinder')", "Make a cylinder", group=_MAKE),
        Binding("y", "make('yarn')", "Make a yarn", group=_MAKE),
    ]

    def __init__(self, kind: Literal["search", "tube"], chosen: Mapping[str, str] | None = None) -> None:
        """``chosen`` are ids by what they are of, chosen already."""
        super().__init__(chosen)
        self.kind: Literal["search", "tube"] = kind
        self.heading = _TITLES[kind]
        self._proposed: str | None = None  # the cylinder last used on the machine chosen
        self._dial_says = self._lot_says = ""

    def lay_out(self) -> None:
        settings = host(self).settings
        usual = {"rows": settings.tube_rows, "separator": settings.separator_rows}
        for field in fresh_fields(self.kind, self._clicks_per_turn):
            self.add(field, usual.get(field.name))
            if field.name == "yarn":
                self.add_lot()
        self.add_set_up()

    def things(self) -> Mapping[str, tuple[Any, ...]]:
        return {"machine": self.known.machines, "cylinder": self.known.cylinders, "yarn": self.known.yarns}

    def better(self, wanted: dict[str, str | None], unchosen: set[str]) -> None:
        """Of the cylinders the one that was last used on the machine."""
        if "cylinder" in unchosen:
            self._proposed = self._last_on(wanted.get("machine")) or wanted["cylinder"]
            wanted["cylinder"] = self._proposed

    def _last_on(self, machine: str | None) -> str | None:
        last = self.known.last_on.get(machine or "")
        return next((item.id for item in self.known.cylinders if item.id == last), None)

    def fill(self, wanted: Mapping[str, str | None]) -> None:
        unit = host(self).settings.length_unit
        for name, items in self.things().items():
            self.rows[name].offer([(item_words(item, unit), item.id) for item in items], wanted[name])
        self._set_dial()

    def follow(self, row: EntryRow | None = None) -> None:
        """Another machine, cylinder or yarn: another dial. With a lot or without one: what that means."""
        name = row.field.name if row is not None else ""
        if name == "machine" and self._proposed and self.rows["cylinder"].chosen == self._proposed:
            self._proposed = self._last_on(self.rows["machine"].chosen) or self._proposed
            self.rows["cylinder"].choose(self._proposed)
        if name in (*_THINGS, "dial"):
            self._set_dial()
        if name in ("yarn", "lot"):
            self._look_at_lots()

    # --- the dial ------------------------------------------------------------------------------------------

    def _clicks_per_turn(self) -> int:
        machine = self.thing("machine")
        return machine.clicks_per_turn if machine else CLICKS_PER_TURN

    def _set_dial(self) -> None:
        """Put the dial where it belongs, unless someone typed another position; say where it is from."""
        machine, cylinder, yarn = (self.thing(name) for name in _THINGS)
        if not (machine and cylinder and yarn):
            missing = [name for name in _THINGS if self.thing(name) is None]
            self.say("Still to choose: " + ", ".join(missing) + ".")
            return
        dial = starting.starting_dial(host(self).book, self.kind, machine, cylinder, yarn)
        self.offer_set_up(machine, yarn)
        row = self.rows["dial"]
        suggested = "" if dial is None else show_turns(dial.clicks, machine.clicks_per_turn)
        row.propose(suggested)
        if dial is None:
            self._dial_says = "" if row.text else _NO_START[self.kind].format(machine.name)
        else:
            where = show_position(dial.clicks, machine.clicks_per_turn)
            self._dial_says = f"Dial: {where} is {dial.source}."
            if row.text not in ("", suggested):
                self._dial_says = f"Dial: {row.text} is what you typed; {where} would be {dial.source}."
        self._say_both()

    def _look_at_lots(self) -> None:
        """Say when the yarn has dye lots and none is chosen: the tube would take its grams from nowhere."""
        yarn, lot = self.thing("yarn"), self.rows["lot"]
        self._lot_says = ""
        if yarn is not None and lot.display and lot.chosen is None:
            self._lot_says = "\n".join(without_a_lot(host(self).book, yarn.id, host(self).settings.mass_unit))
        if self._dial_says:
            self._say_both()

    def _say_both(self) -> None:
        self.say("\n".join(part for part in (self._dial_says, self._lot_says) if part))

    # --- keys ----------------------------------------------------------------------------------------------

    def action_make(self, kind: str) -> None:
        def made(item: Machine | Cylinder | Yarn | None) -> None:
            if item is not None:
                self.offer({kind: item.id})
                self.rows[kind].entry.focus()

        cls: Any = _THINGS[kind]
        self.app.push_screen(open_form(self.app, cls), made)

    def question(self, made: SessionRecord) -> Ask | None:
        """A dial very near zero is asked about, like a machine with work on it."""
        near, taken = starting.near_zero(made), super().question(made)
        if not near:
            return taken
        return Ask(f"{near}\n\n{taken.question}" if taken else near, "start it", "not yet")

    def build(self, values: dict[str, Any]) -> SessionRecord:
        settings = host(self).settings
        return starting.fresh(
            host(self).book,
            self.kind,
            *(self.thing(name) for name in _THINGS),
            dial=values["dial"],
            rows=values.get("rows", settings.tube_rows),
            separator_rows=values.get("separator", settings.separator_rows),
            set_up=self.set_up(values),
        )
