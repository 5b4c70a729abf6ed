"""Starting a search for the stitch size, or a gauge tube: machine, cylinder, yarn and dial."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from textual import on
from textual.binding import Binding
from textual.widgets import Input

from hosewright.bench.shelf.forms import open_form
from hosewright.bench.start.screen import ENDS, StartScreen
from hosewright.bench.widgets.field import FormField, whole
from hosewright.bench.widgets.host import host
from hosewright.craft.dial import CLICKS_PER_TURN, read_position, show_position, show_turns
from hosewright.logbook.accounts.enough import without_a_lot
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn
from hosewright.planning import starting
from hosewright.settings.table import LIMITS
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from collections.abc import Mapping

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


class FreshStartScreen(StartScreen):
    """The start of a search or of a gauge tube."""

    BINDINGS = [
        Binding("m", "make('machine')", "Make a machine", group=_MAKE),
        Binding("c", "make('cylinder')", "Make a cylinder", group=_MAKE),
        Binding("y", "make('yarn')", "Make a yarn", group=_MAKE),
        *ENDS,
    ]

    def __init__(self, kind: Literal["search", "tube"], chosen: Mapping[str, str] | None = None) -> None:
        """``chosen`` are ids by what they are of, chosen already."""
        super().__init__(chosen)
        self.kind: Literal["search", "tube"] = kind
        self.heading = _TITLES[kind]
        self._filled_dial = ""
        self._proposed: str | None = None  # the cylinder last used on the machine chosen
        self._dial_says = self._lot_says = ""

    def lay_out(self) -> None:
        """Machine, cylinder, yarn, dial; for a tube its rows."""
        for name in _THINGS:
            self.pick(name, name.capitalize(), f"none chosen: {name[0]} makes one")
        self.line(FormField("dial", "Dial", "turns below zero", read_position, required=True, beside=self._read_dial))
        if self.kind == "tube":
            hint = "{} to {}; more measure better".format(*LIMITS["tube_rows"])
            rows = FormField("rows", "Tube rows", hint, whole("tube rows", *LIMITS["tube_rows"]), required=True)
            self.line(rows, str(host(self).settings.tube_rows))
            self.line_of_separators()

    def things(self) -> Mapping[str, tuple[Any, ...]]:
        """What stands on the shelf."""
        return {"machine": self.known.machines, "cylinder": self.known.cylinders, "yarn": self.known.yarns}

    def better(self, wanted: dict[str, str | None], unchosen: set[str]) -> None:
        """Of the cylinders the one that was last used on the machine."""
        if "cylinder" in unchosen:
            self._proposed = self._last_on(wanted.get("machine")) or wanted["cylinder"]
            wanted["cylinder"] = self._proposed

    def _last_on(self, machine: str | None) -> str | None:
        last = self.known.last_on.get(machine or "")
        return next((item.id for item in self.known.cylinders if item.id == last), None)

    def _thing(self, name: str) -> Any:
        chosen = self.picks[name].chosen
        return next((item for item in self.things()[name] if item.id == chosen), None)

    def fill(self, wanted: Mapping[str, str | None]) -> None:
        """Fill the three lists, and the dial for what is chosen."""
        unit = host(self).settings.length_unit
        for name, items in self.things().items():
            self.picks[name].offer([(item_words(item, unit), item.id) for item in items], wanted[name])
        self._set_dial()

    def was_chosen(self, name: str) -> None:
        """Another machine, cylinder or yarn: another dial. With a lot or without one: what that means."""
        cylinder = self.picks["cylinder"]
        if name == "machine" and self._proposed and cylinder.chosen == self._proposed:
            self._proposed = self._last_on(self.picks["machine"].chosen) or self._proposed
            cylinder.pick.value = self._proposed
        if name != "lot":
            self._set_dial()
        if name in ("yarn", "lot"):
            self._look_at_lots()

    # --- the dial ------------------------------------------------------------------------------------------

    def _read_dial(self, text: str, _: object) -> int:
        machine = self._thing("machine")
        return read_position(text, machine.clicks_per_turn if machine else CLICKS_PER_TURN)

    def _set_dial(self) -> None:
        """Put the dial where it belongs, unless someone typed another position; say where it is from."""
        machine, cylinder, yarn = (self._thing(name) for name in _THINGS)
        if not (machine and cylinder and yarn):
            missing = [name for name in _THINGS if self._thing(name) is None]
            self.say("Still to choose: " + ", ".join(missing) + ".")
            return
        try:
            dial = starting.starting_dial(host(self).book, self.kind, machine, cylinder, yarn)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        line = self.lines["dial"].line
        self.offer_set_up(machine, yarn)
        if dial is None:
            if line.value == self._filled_dial:
                line.value = ""
            self._filled_dial = ""
            self._dial_says = "" if line.value else _NO_START[self.kind].format(machine.name)
            self._say_both()
            return
        suggested = show_turns(dial.clicks, machine.clicks_per_turn)
        if line.value in ("", self._filled_dial):
            line.value = suggested
        self._filled_dial = suggested
        where = show_position(dial.clicks, machine.clicks_per_turn)
        says = f"Dial: {where} is {dial.source}."
        if line.value != suggested:
            says = f"Dial: {line.value} is what you typed; {where} would be {dial.source}."
        self._dial_says = says
        self._say_both()

    def _look_at_lots(self) -> None:
        """Say when the yarn has dye lots and none is chosen: the tube would take its grams from nowhere."""
        yarn, lot = self._thing("yarn"), self.picks["lot"]
        said: tuple[str, ...] = ()
        if yarn is not None and lot.display and lot.chosen is None:
            try:
                said = without_a_lot(host(self).book, yarn.id, host(self).settings.mass_unit)
            except LogbookError as error:
                said = (str(error),)
        self._lot_says = "\n".join(said)
        if self._dial_says:
            self._say_both()

    def _say_both(self) -> None:
        self.say("\n".join(part for part in (self._dial_says, self._lot_says) if part))

    @on(Input.Changed, "#field-dial")
    def _dial_typed(self) -> None:
        self._set_dial()

    # --- keys ----------------------------------------------------------------------------------------------

    def action_make(self, kind: str) -> None:
        """Make a thing that is missing, and choose it."""

        def made(item: Machine | Cylinder | Yarn | None) -> None:
            if item is not None:
                self.offer({kind: item.id})
                self.picks[kind].pick.focus()

        cls: Any = _THINGS[kind]
        self.app.push_screen(open_form(self.app, cls), made)

    def record(self, values: dict[str, Any], set_up: dict[str, Any]) -> SessionRecord:
        """The start as it was typed."""
        settings = host(self).settings
        return starting.fresh(
            host(self).book,
            self.kind,
            *(self._thing(name) for name in _THINGS),
            dial=values["dial"],
            rows=values.get("rows", settings.tube_rows),
            separator_rows=values.get("separator", settings.separator_rows),
            set_up=set_up,
        )
