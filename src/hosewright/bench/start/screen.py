"""A session's start: what every one takes, and the start of a search or a gauge tube."""

from __future__ import annotations

from abc import abstractmethod
from contextlib import suppress
from itertools import zip_longest
from typing import TYPE_CHECKING, Any, Literal

from textual.binding import Binding

from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.entry_screen import EntryScreen, Pick
from hosewright.craft.colours import show_colour
from hosewright.craft.dial import CLICKS_PER_TURN, show_position, show_turns
from hosewright.logbook.accounts.enough import without_a_lot
from hosewright.logbook.glance import on_machine
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Machine, Noted, Yarn
from hosewright.phrases.field import FieldError
from hosewright.planning import starting
from hosewright.planning.shelf_lines import core
from hosewright.planning.starting import NO_START, near_zero, starting_dial
from hosewright.words.care import ribber_words
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.logbook.records.shelf import Plan
    from hosewright.logbook.records.year import Lot, Promise


class SettingUp(EntryScreen[SessionRecord]):
    """A start with the lines that belong to its record: the yarn's lot, weights, yarn-mast tension, where it begins.

    They are filled with what was said last time until someone types something else. Dismisses with the start of a
    session, ready for ``Logbook.start``, or None.
    """

    TOPIC = "gauge"
    BINDINGS = [Binding("ctrl+s", "save", "Start")]
    NOT_SAVED = "Not started"
    LEAVE = "Leave without starting it?"

    def __init__(self) -> None:
        super().__init__()
        self._machine: Machine | None = None
        self._lots: list[Lot] = []
        self.usual_lot: str | None = None
        self._yarn: Yarn | None = None
        self._colours: list[str] = []  # of stripes, in the order of their lines

    def add_of_socks(self) -> None:
        """The lines of what socks come off; each is seen where there is something to choose or to ask."""
        for field in (starting.LOT, *starting.COLOURS, starting.THREAD, core(self.app.settings.mass_unit)):
            self.add(field, shown=False)

    def ask_for(self, plans: Sequence[Plan], like: SessionRecord | None = None, promise: Promise | None = None) -> None:
        """Fill the lines for socks of these plans; ``like``: the first sock, whose twin is started.

        Raises LogbookError.
        """
        book, plan = self.app.book, plans[0] if plans else None
        machine = book.get(Machine, plan.machine) if plan else None
        self.offer_set_up(machine, book.get(Yarn, plan.yarn) if plan else None, like, promise)
        dial = self.rows["dial"]
        dial.display = plan is not None and plan.dial is None and like is None
        if plan is not None and dial.display:  # as typed in the notebook, if it is there
            noted = book.get(Noted, plan.gauge_session or "")
            dial.propose(noted.dial if noted else "")
        thread, lots = self.rows["thread_lot"], starting.thread_lots(book, *plans)
        usual = like.thread_lot if like else next(iter(lots)) if len(lots) == 1 else None
        thread.offer(_said(lots), thread.chosen if thread.chosen in lots else usual)
        thread.display = bool(lots)
        before, lots = self.colours_chosen(), starting.colour_lots(book)
        self._colours = starting.stripe_colours(*plans) if lots else []
        for field, colour in zip_longest(starting.COLOURS, self._colours):
            row = self.rows[field.name]
            row.display = colour is not None
            if colour is not None:
                row.call(f"Lot of {show_colour(colour)}")
                row.offer(_said(lots), before.get(colour) or starting.usual_colour_lot(colour, lots, like))

    def colours_chosen(self) -> dict[str, str | None]:
        """The lot chosen for each colour asked for."""
        return {
            colour: self.rows[field.name].chosen for field, colour in zip(starting.COLOURS, self._colours, strict=False)
        }

    def ask_core(self, *, asked: bool = False) -> None:
        """Show that line while neither the lot chosen nor the yarn tells it.

        ``asked``: it was asked of the same ball before, and left empty.
        """
        told = [one.core_g for one in self._ball if one is not None]
        self.rows["core_g"].display = bool(told) and all(grams is None for grams in told) and not asked

    @property
    def _ball(self) -> tuple[Lot | None, Yarn | None]:
        chosen = self.rows["lot"].chosen
        return next((lot for lot in self._lots if lot.id == chosen), None), self._yarn

    def add_set_up(self) -> None:
        """The others: the one before the last is for striped yarn only, the last while nobody counted the clicks."""
        for field in (*starting.SET_UP, starting.CLICKS):
            shown = field.name not in ("yarn_start", "clicks_per_turn")
            self.add(field, field.empty if field.choices else None, shown=shown)

    def add_dial(self) -> None:
        """The line for a dial that the plan does not know: its gauge is from a notebook that does not say."""
        self.add(starting.dial_field(lambda: self.clicks_of(self._machine)), shown=False)

    def clicks_of(self, machine: Machine | None) -> int:
        """Clicks in a turn of its dial, as far as they are known or typed."""
        if machine is not None and machine.clicks_per_turn is None:
            with suppress(FieldError):
                return self.rows["clicks_per_turn"].read() or machine.turn
        return machine.turn if machine else CLICKS_PER_TURN

    def offer_set_up(
        self,
        machine: Machine | None,
        yarn: Yarn | None,
        like: SessionRecord | None = None,
        promise: Promise | None = None,
    ) -> None:
        """Fill the lines for this machine and yarn; ``like``: the first sock, whose twin is started.

        The lot is the one the first sock came off in the end, else its ``promise`` names one, else it is the only one.

        Raises LogbookError.
        """
        usual = starting.usual_set_up(self.app.book, machine, yarn, like, promise)
        for name, said in usual.said.items():
            row = self.rows[name]
            if not isinstance(row.entry, Pick):
                row.propose(said)
            elif row.chosen == row.filled:
                row.choose(said)
        self.rows["yarn_start"].display = bool(yarn and yarn.striped)
        self._machine, self._yarn = machine, yarn
        self.rows["clicks_per_turn"].display = machine is not None and machine.clicks_per_turn is None
        self._lots = list(usual.lots)
        chosen = self.rows["lot"].chosen
        taken = usual.lot if chosen in (None, self.usual_lot) else chosen
        self.usual_lot = usual.lot
        self.rows["lot"].offer([(f"{lot.name}, bought {lot.bought}", lot.id) for lot in self._lots], taken)
        self.rows["lot"].display = bool(self._lots)

    def set_up(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """What goes into the record, from the ``values`` of the lines.

        Raises FieldError while something is not known that is needed now: the clicks in a turn, where the dial stands.
        """
        said = {name: values[name] for name in ("weights", "mast_tension", "yarn_start", "cast_on")}
        if not self.rows["yarn_start"].display:
            said["yarn_start"] = ""
        clicks = self.rows["clicks_per_turn"]
        if self._machine is not None and clicks.display:
            said["clicks_per_turn"] = values["clicks_per_turn"]
            if said["clicks_per_turn"] is None:
                raise FieldError("clicks_per_turn", starting.NOT_COUNTED.format(self._machine.name))
        if self.rows["dial"].display and values["dial"] is None:
            raise FieldError("dial", starting.NO_DIAL)
        lot = next((lot for lot in self._lots if lot.id == values["lot"]), None)
        return {**said, "lot": lot.id if lot else None, "dye_lot": lot.name if lot else ""}

    def set_up_of_socks(self, values: Mapping[str, Any], *plans: Plan) -> dict[str, Any]:
        """The same for socks of these plans, with the lots that threads and stripes come off. Raises LogbookError."""
        thread = starting.thread_of(self.app.book, values["thread_lot"], *plans)
        return self.set_up(values) | thread | starting.colours_of(self.app.book, self.colours_chosen())

    def keep(self, made: SessionRecord) -> None:
        """Clicks that were counted belong to the machine; what the core weighs to the lot, else to the yarn."""
        if self.rows["clicks_per_turn"].display:
            self.app.book.keep(made.machine)
        grams = self.read()[0].get("core_g")
        ball = next((one for one in self._ball if one is not None), None)
        if grams is not None and ball is not None and self.rows["core_g"].display:
            self.app.book.keep(ball.model_copy(update={"core_g": grams}))

    def question(self, made: SessionRecord) -> Ask | None:
        taken = on_machine(self.app.book.store, made.machine.id)
        return Ask(taken, "start it", "not yet") if taken else None


def _said(lots: Mapping[str, tuple[str, Lot, Yarn]]) -> list[tuple[str, str]]:
    """Lots as they are offered."""
    return [(words, lot) for lot, (words, *_) in lots.items()]


class StartScreen(SettingUp):
    """A start that is chosen in lists: of a search, a tube or one sock."""

    AUTO_FOCUS = "Pick"
    EXPLAIN = "Choose what is on the bench, and start. What is missing from a list can be added on the spot."

    def __init__(self, **chosen: str) -> None:
        """``chosen`` are ids by what they are of, chosen already."""
        super().__init__()
        self._at_first = chosen
        self.known = starting.Known((), (), (), (), None)

    @abstractmethod
    def things(self) -> Mapping[str, tuple[Any, ...]]:
        """What can be chosen, by the name of the line."""

    def better(self, wanted: dict[str, str | None], unchosen: set[str]) -> None:
        """Put something better than the last used in ``wanted`` where nobody chose: for the ``unchosen`` names."""

    @abstractmethod
    def fill(self, wanted: Mapping[str, str | None]) -> None:
        """Fill the lists with what there is, ``wanted`` being chosen."""

    def on_mount(self) -> None:
        self.offer()
        needed = (row for row in self.rows.values() if row.display and row.field.required)
        empty = next((row for row in needed if not row.text.strip() and row.chosen is None), None)
        if empty is not None:
            empty.entry.focus()

    def offer(self, chosen: Mapping[str, str] | None = None) -> None:
        """Fill the lists again; ``chosen`` names what to choose instead of what is chosen or was last used."""
        self.known = starting.known(self.app.book)
        once, self._at_first = self._at_first, {}  # after that it is the knitter who chooses
        wanted = {name: row.chosen for name, row in self.rows.items()} | once | dict(chosen or {})
        last = {name: items[0].id for name, items in self.things().items() if wanted.get(name) is None and items}
        wanted |= last
        self.better(wanted, set(last))
        self.fill(wanted)

    def thing(self, name: str) -> Any:
        chosen = self.rows[name].chosen
        return next((item for item in self.things()[name] if item.id == chosen), None)


_TITLES = {"search": "Find the stitch size", "tube": "Crank a gauge tube", "ribber": "Set the ribber up"}


class FreshStartScreen(StartScreen):
    """The start of a search, of a gauge tube, or of setting the ribber up."""

    BINDINGS = [
        Binding("m", "make('machine')", "Make a machine"),
        Binding("c", "make('cylinder')", "Make a cylinder"),
        Binding("y", "make('yarn')", "Make a yarn"),
    ]

    def __init__(self, kind: Literal["search", "tube", "ribber"], **chosen: str) -> None:
        super().__init__(**chosen)
        self.kind: Literal["search", "tube", "ribber"] = kind
        self.heading = _TITLES[kind]
        self._proposed: str | None = None  # the cylinder last used on the machine chosen
        self._dial_says = self._lot_says = ""

    def lay_out(self) -> None:
        settings = self.app.settings
        usual = {"rows": settings.tube_rows, "separator": settings.separator_rows}
        for field in starting.fresh_fields(self.kind, self._clicks_per_turn):
            self.add(field, usual.get(field.name))
            if field.name == "yarn":
                self.add(starting.LOT, shown=False)
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
        unit = self.app.settings.length_unit
        for name, items in self.things().items():
            self.rows[name].offer([(item_words(item, unit), item.id) for item in items], wanted[name])
        self._set_dial()

    def follow(self, row: EntryRow | None = None) -> None:
        """Another machine, cylinder or yarn: another dial. With a lot or without one: what that means."""
        name = row.field.name if row is not None else ""
        if name == "machine" and self._proposed and self.rows["cylinder"].chosen == self._proposed:
            self._proposed = self._last_on(self.rows["machine"].chosen) or self._proposed
            self.rows["cylinder"].choose(self._proposed)
        if name in (*starting.THINGS, "dial"):
            self._set_dial()
        if name in ("yarn", "lot"):
            self._look_at_lots()
        if name == "rib":
            self._say_both()

    # --- the dial ------------------------------------------------------------------------------------------

    def _clicks_per_turn(self) -> int:
        return self.clicks_of(self.thing("machine"))

    def _set_dial(self) -> None:
        """Put the dial where it belongs, unless someone typed another position; say where it is from."""
        machine, cylinder, yarn = (self.thing(name) for name in starting.THINGS)
        if not (machine and cylinder and yarn):
            missing = [name for name in starting.THINGS if self.thing(name) is None]
            self.say("Still to choose: " + ", ".join(missing) + ".")
            return
        dial = starting_dial(self.app.book, self.kind, machine, cylinder, yarn)
        self.offer_set_up(machine, yarn)
        row = self.rows["dial"]
        suggested = "" if dial is None else show_turns(dial.clicks, machine.turn)
        row.propose(suggested)
        if dial is None:
            self._dial_says = "" if row.text else NO_START[self.kind].format(machine.name)
        else:
            where = show_position(dial.clicks, machine.turn)
            self._dial_says = f"Dial: {where} is {dial.source}."
            if row.text not in ("", suggested):
                self._dial_says = f"Dial: {row.text} is what you typed; {where} would be {dial.source}."
        self._say_both()

    def _look_at_lots(self) -> None:
        """Say when the yarn has dye lots and none is chosen: the tube would take its grams from nowhere."""
        yarn, lot = self.thing("yarn"), self.rows["lot"]
        self._lot_says = ""
        if yarn is not None and lot.display and lot.chosen is None:
            self._lot_says = "\n".join(without_a_lot(self.app.book, yarn.id, self.app.settings.mass_unit))
        if self._dial_says:
            self._say_both()

    def _say_both(self) -> None:
        self.say("\n".join(part for part in (self._dial_says, self._lot_says, self._ribber_says()) if part))

    def _ribber_says(self) -> str:
        """What is to be asked of the ribber before a tube in its rib."""
        machine, rib = self.thing("machine"), self.rows.get("rib")
        if self.kind != "tube" or machine is None or rib is None or not rib.text or "latched" in rib.text:
            return ""
        return ribber_words(self.app.book.store, machine.id, at_start=True)

    # --- keys ----------------------------------------------------------------------------------------------

    def made(self, kind: str, item: Any) -> None:
        self.offer({kind: item.id})
        self.rows[kind].entry.focus()

    def question(self, made: SessionRecord) -> Ask | None:
        """A dial very near zero is asked about, like a machine with work on it."""
        near, taken = near_zero(made), super().question(made)
        if not near:
            return taken
        return Ask(f"{near}\n\n{taken.question}" if taken else near, "start it", "not yet")

    def build(self, values: dict[str, Any]) -> SessionRecord:
        settings = self.app.settings
        return starting.fresh(
            self.app.book,
            self.kind,
            *(self.thing(name) for name in starting.THINGS),
            dial=values["dial"],
            rows=values.get("rows", settings.tube_rows),
            separator_rows=values.get("separator", settings.separator_rows),
            rib=values.get("rib", ""),
            set_up=self.set_up(values),
        )
