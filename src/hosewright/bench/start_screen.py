"""Starting a session: what it is cranked on and of, and where the dial stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Select, Static

from hosewright.bench.forms import FormField, open_form
from hosewright.bench.forms.field import whole
from hosewright.bench.forms.host import host
from hosewright.bench.forms.pick import PickRow
from hosewright.bench.forms.screen import FieldRow
from hosewright.bench.keybar import BoundBar
from hosewright.bench.shelf_words import item_words
from hosewright.bench.start_setup import SetUp, promise_words, start
from hosewright.craft.dial import CLICKS_PER_TURN, read_position, show_position, show_turns
from hosewright.logbook import planned, starting
from hosewright.logbook.days import local_day
from hosewright.logbook.pairs import open_for
from hosewright.logbook.records import Cylinder, Machine, Plan, Yarn
from hosewright.logbook.stock import before_first_row
from hosewright.logbook.store import LogbookError
from hosewright.session.twins import turned_otherwise
from hosewright.settings import LIMITS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult
    from textual.widget import Widget

    from hosewright.logbook.session_record import SessionRecord
    from hosewright.logbook.year_records import Promise
    from hosewright.session.steps import SessionKind

_TITLES = {"search": "Find the stitch size", "tube": "Crank a gauge tube", "sock": "Crank a sock"}
_THINGS: dict[str, type[Machine] | type[Cylinder] | type[Yarn]] = {
    "machine": Machine,
    "cylinder": Cylinder,
    "yarn": Yarn,
}
_MAY_STAY_OPEN = ("which", "promise", "lot")
_MAKE = Binding.Group("Make a new one")


class StartScreen(Screen["SessionRecord | None"]):
    """Dismisses with the start of a session of this kind, ready for ``Logbook.start``, or None."""

    CSS_PATH = ["forms/form.tcss", "start_screen.tcss"]
    AUTO_FOCUS = "Pick"
    EXPLAIN = "Choose what stands on the bench and start. What is missing can be made on the spot."
    BINDINGS = [
        Binding("m", "make('machine')", "Make a machine", group=_MAKE),
        Binding("c", "make('cylinder')", "Make a cylinder", group=_MAKE),
        Binding("y", "make('yarn')", "Make a yarn", group=_MAKE),
        Binding("p", "plan", "Make a plan"),
        Binding("ctrl+s", "start", "Start"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self, kind: SessionKind, chosen: Mapping[str, str] | None = None) -> None:
        """Start a session of ``kind``; ``chosen`` are ids by what they are of, chosen already."""
        super().__init__()
        self._at_first = dict(chosen or {})
        self._asked = dict(self._at_first)  # with this plan, for which pair, and which of its socks
        self.kind = kind
        self._filled_dial = ""
        self._known = starting.Known((), (), (), (), None)
        self._firsts: tuple[starting.First, ...] = ()
        self._promised: tuple[Promise, ...] = ()
        self.picks: dict[str, PickRow] = {}
        self.lines: dict[str, FieldRow] = {}
        self._set_up = SetUp()

    # --- layout --------------------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        """Title, lines, what it comes to, keys."""
        settings = host(self).settings
        if self.kind == "sock":
            self._pick("plan", "Plan", "", "none chosen: p makes one")
            self._pick("which", "Crank", "", "the first sock")
            self._pick("promise", "For the pair", "", "none promised")
            self.picks["promise"].display = False  # until a pair of the plan is promised
        else:
            for name in _THINGS:
                self._pick(name, name.capitalize(), "", f"none chosen: {name[0]} makes one")
            self._line(
                FormField("dial", "Dial", "turns below zero", read_position, required=True, beside=self._read_dial), ""
            )
        if self.kind == "tube":
            hint = "{} to {}; more measure better".format(*LIMITS["tube_rows"])
            rows = FormField("rows", "Tube rows", hint, whole("tube rows", *LIMITS["tube_rows"]), required=True)
            self._line(rows, str(settings.tube_rows))
        if self.kind != "search":
            read = whole("separator rows", *LIMITS["separator_rows"])
            separator = FormField("separator", "Separator rows", "before and after", read, required=True)
            self._line(separator, str(settings.separator_rows))
        self.picks["lot"] = self._set_up.lot
        self.lines |= self._set_up.rows
        yield Static(_TITLES[self.kind], classes="form-title")
        with VerticalScroll(id="form-body", can_focus=False):
            yield from self.picks.values()
            yield from self.lines.values()
            yield Static("", id="start-says", markup=False)
        yield BoundBar()

    def _pick(self, name: str, label: str, hint: str, none: str) -> None:
        self.picks[name] = PickRow(name, label, hint, none)

    def _line(self, field: FormField, text: str) -> None:
        self.lines[field.name] = FieldRow(field, text)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """A sock is made of a plan, everything else of a machine, a cylinder and a yarn."""
        return not (action == "make" and self.kind == "sock") and not (action == "plan" and self.kind != "sock")

    def on_mount(self) -> None:
        """Offer what there is."""
        self._offer()

    def _offer(self, chosen: dict[str, str] | None = None) -> None:
        """Fill the lists again; ``chosen`` names what to choose instead of what is chosen or was last used."""
        try:
            self._known = starting.known(host(self).book)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        once, self._at_first = self._at_first, {}  # after that it is the knitter who chooses
        wanted = {name: row.chosen for name, row in self.picks.items()} | once | (chosen or {})
        for name, items in self._things().items():
            if wanted.get(name) is None and items:
                wanted[name] = items[0].id
        unit = host(self).settings.length_unit
        if self.kind == "sock":
            self.picks["plan"].offer([(plan.name, plan.id) for plan in self._known.plans], wanted["plan"])
            self._plan_chosen()
            return
        for name, items in self._things().items():
            self.picks[name].offer([(item_words(item, unit), item.id) for item in items], wanted[name])
        self._set_dial()

    def _things(self) -> dict[str, tuple[Any, ...]]:
        if self.kind == "sock":
            return {"plan": self._known.plans}
        return {"machine": self._known.machines, "cylinder": self._known.cylinders, "yarn": self._known.yarns}

    def _thing(self, name: str) -> Any:
        chosen = self.picks[name].chosen
        return next((item for item in self._things()[name] if item.id == chosen), None)

    # --- the dial ------------------------------------------------------------------------------------------

    def _read_dial(self, text: str, _: object) -> int:
        machine = self._thing("machine")
        return read_position(text, machine.clicks_per_turn if machine else CLICKS_PER_TURN)

    def _set_dial(self) -> None:
        """Put the dial where it belongs, unless someone typed another position; say where it is from."""
        machine, cylinder, yarn = (self._thing(name) for name in _THINGS)
        if not (machine and cylinder and yarn):
            missing = [name for name in _THINGS if self._thing(name) is None]
            self._say("Still to choose: " + ", ".join(missing) + ".")
            return
        try:
            dial = starting.starting_dial(host(self).book, self.kind, machine, cylinder, yarn)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        line = self.lines["dial"].line
        suggested = show_turns(dial.clicks, machine.clicks_per_turn)
        if line.value in ("", self._filled_dial):
            line.value = suggested
        self._filled_dial = suggested
        self._offer_set_up(machine, yarn)
        where = show_position(dial.clicks, machine.clicks_per_turn)
        says = f"Dial: {where} is {dial.source}."
        if line.value != suggested:
            says = f"Dial: {line.value} is what you typed; {where} would be {dial.source}."
        self._say(says)

    def _offer_set_up(self, machine: Machine | None, yarn: Yarn | None, like: SessionRecord | None = None) -> None:
        try:
            self._set_up.offer(host(self).book, machine, yarn, like, self._promise)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)

    @on(Input.Changed, "#field-dial")
    def _dial_typed(self) -> None:
        self._set_dial()

    def _say(self, sentence: str) -> None:
        self.query_one("#start-says", Static).update(sentence)

    # --- the sock ------------------------------------------------------------------------------------------

    @on(Select.Changed)
    def _chosen(self, event: Select.Changed) -> None:
        if event.select.id == "field-plan":
            self._plan_chosen()
        elif event.select.id in ("field-which", "field-promise"):
            self._sock_chosen()
        elif self.kind == "sock":
            self._say_sock()
        elif event.select.id != "field-lot":
            self._set_dial()

    @property
    def _plan(self) -> Plan | None:
        chosen = self.picks["plan"].chosen
        return next((plan for plan in self._known.plans if plan.id == chosen), None)

    def _plan_chosen(self) -> None:
        plan = self._plan
        if plan is None:
            self._say("A sock is cranked to a plan: p makes one.")
            return
        try:
            self._firsts = starting.firsts(host(self).book, plan)
            self._promised = promised = open_for(host(self).book, plan.id)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        asked = self._asked if self._asked.get("plan") == plan.id else {}
        # With a first sock cranked, its twin is what is usually wanted next.
        likely = asked.get("which", self._firsts[0].line.id if self._firsts else None)
        self.picks["which"].offer([(first.words, first.line.id) for first in self._firsts], likely)
        own = self._firsts[0].record.promise if self._firsts else None
        today = local_day(host(self).book.clock)
        usual = asked.get("promise") or own or (promised[0].id if len(promised) == 1 else None)
        self.picks["promise"].offer([(promise_words(one, today), one.id) for one in promised], usual)
        self.picks["promise"].display = bool(promised)
        self._sock_chosen()

    def _sock_chosen(self) -> None:
        plan, first = self._plan, self._first
        if plan is not None:
            machine, yarn = host(self).book.get(Machine, plan.machine), host(self).book.get(Yarn, plan.yarn)
            self._offer_set_up(machine, yarn, first.record if first else None)
        self._say_sock()

    @property
    def _promise(self) -> Promise | None:
        chosen = self.picks["promise"].chosen if "promise" in self.picks else None
        return next((one for one in self._promised if one.id == chosen), None)

    @property
    def _first(self) -> starting.First | None:
        chosen = self.picks["which"].chosen
        return next((first for first in self._firsts if first.line.id == chosen), None)

    def _say_sock(self) -> None:
        plan, first = self._plan, self._first
        if plan is None:
            return
        parts = planned.sections(plan, first.state if first else None)
        said = [f"{part.name.capitalize():8}{part.count} {part.kind}" for part in parts]
        dial = first.record.dial if first else plan.dial
        machine = host(self).book.get(Machine, plan.machine)
        where = show_position(dial, machine.clicks_per_turn if machine else CLICKS_PER_TURN)
        how = "As the first sock really came out:" if first else "As planned:"
        turned = turned_otherwise(first.state) if first else []
        self._say("\n".join([*self._yarn_says(plan, first), how, *said, f"{'Dial':8}{where}", *turned]))

    def _yarn_says(self, plan: Plan, first: starting.First | None) -> tuple[str, ...]:
        """What is to know of the yarn on the shelf before the first row."""
        lot, promise = self.picks["lot"].chosen, self.picks["promise"].chosen
        socks = 1 if first else 2
        unit = host(self).settings.mass_unit
        try:
            return before_first_row(host(self).book, plan, lot, socks, promise=promise, unit=unit)
        except LogbookError as error:
            return (str(error),)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_make(self, kind: str) -> None:
        """Make a thing that is missing, and choose it."""

        def made(item: Machine | Cylinder | Yarn | None) -> None:
            if item is not None:
                self._offer({kind: item.id})
                self.picks[kind].pick.focus()

        cls: Any = _THINGS[kind]
        self.app.push_screen(open_form(self.app, cls), made)

    def action_plan(self) -> None:
        """Plan a sock, and choose it."""
        from hosewright.bench.plan_screen import PlanScreen

        def made(plan: Plan | None) -> None:
            if plan is not None:
                self._offer({"plan": plan.id})

        self.app.push_screen(PlanScreen(), made)

    @on(Input.Blurred)
    def _left(self, event: Input.Blurred) -> None:
        row = next(row for row in self.lines.values() if row.line is event.input)
        row.read()

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        rows = list(self.lines.values())
        at = next(n for n, row in enumerate(rows) if row.line is event.input)
        if at + 1 < len(rows):
            rows[at + 1].line.focus()
        else:
            self.action_start()

    def action_start(self) -> None:
        """Start it, or show what is missing."""
        values = {name: row.read() for name, row in self.lines.items()}
        for name, pick in self.picks.items():
            pick.say("" if pick.chosen or name in _MAY_STAY_OPEN else f"Choose a {name} first.")
        wrong: list[Widget] = [row.pick for row in self.picks.values() if row.has_class("-wrong")]
        wrong += [row.line for row in self.lines.values() if row.has_class("-wrong")]
        if wrong:
            wrong[0].focus()
            return
        start(self, lambda: self._record(values))

    def _record(self, values: dict[str, Any]) -> SessionRecord:
        book, set_up = host(self).book, self._set_up.taken(values)
        if self.kind == "sock":
            set_up["promise"] = self.picks["promise"].chosen
            assert self._plan is not None  # nothing wrong was found above
            if self._first is not None:
                return starting.twin(book, self._first, values["separator"], set_up)
            return starting.first_sock(book, self._plan, values["separator"], set_up)
        settings = host(self).settings
        return starting.fresh(
            book,
            self.kind,
            *(self._thing(name) for name in _THINGS),
            dial=values["dial"],
            rows=values.get("rows", settings.tube_rows),
            separator_rows=values.get("separator", settings.separator_rows),
            set_up=set_up,
        )

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
