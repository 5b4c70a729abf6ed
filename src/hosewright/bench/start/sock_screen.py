"""Starting a planned sock or its twin, or several socks in one string."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual import on
from textual.binding import Binding
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from hosewright.bench.start.screen import SettingUp, StartScreen
from hosewright.bench.widgets.entry_screen import FORM_CSS
from hosewright.bench.widgets.line import Heading
from hosewright.craft.dial import CLICKS_PER_TURN, show_position
from hosewright.logbook.accounts.enough import before_first_row
from hosewright.logbook.accounts.pairs import open_for, to_begin
from hosewright.logbook.records import planned
from hosewright.logbook.records.shelf import Machine, Noted, Plan, Wearer
from hosewright.phrases.days import local_day, show_day
from hosewright.phrases.field import Field, to_choose
from hosewright.phrases.lists import many
from hosewright.planning import starting, strings
from hosewright.session.steps.said import FEET_AT_RISK
from hosewright.session.steps.tubes import called
from hosewright.session.twins import turned_otherwise
from hosewright.words.care import ribber_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult

    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.year import Promise

SOCK = (
    to_choose("plan", "Plan", "what it is made by", "p", "Choose a plan first."),
    Field("which", "Crank", "the first of the pair, or the twin of one cranked", choices=(), blank="the first"),
    Field("promise", "For the pair", "who it is promised to", choices=(), blank="none promised"),
)


class SockStartScreen(StartScreen):
    """The start of a planned sock, or of its twin."""

    heading = "Crank a sock"
    BINDINGS = [Binding("p", "make('plan')", "Make a plan")]

    def __init__(self, **chosen: str) -> None:
        """``chosen``: a plan, for which pair and which of its socks, by "plan", "promise" and "which"."""
        super().__init__(**chosen)
        self._asked = chosen
        self._firsts: tuple[starting.First, ...] = ()
        self._promised: tuple[Promise, ...] = ()

    def lay_out(self) -> None:
        for field in SOCK:
            self.add(field, shown=field.name != "promise")  # that once a pair of the plan is promised
        self.add_dial()
        self.add_of_socks()
        self.add(starting.separator_field("before and after"), self.app.settings.separator_rows)
        self.add_set_up()

    def things(self) -> Mapping[str, tuple[Any, ...]]:
        return {"plan": self.known.plans}

    def fill(self, wanted: Mapping[str, str | None]) -> None:
        self.rows["plan"].offer([(plan.name, plan.id) for plan in self.known.plans], wanted["plan"])
        self._plan_chosen()

    def follow(self, row: EntryRow | None = None) -> None:
        name = row.field.name if row is not None else ""
        if name == "plan":
            self._plan_chosen()
        elif name in ("which", "promise"):
            self._sock_chosen()
        elif name.startswith(("lot", "colour_lot")):
            self._say_sock()

    def _plan_chosen(self) -> None:
        plan = self.thing("plan")
        if plan is None:
            self.say("It is cranked by a plan: p makes one.")
            return
        self.query_one(Heading).say(title=called(self.heading, planned.name_of(plan)))
        self._firsts = starting.firsts(self.app.book, plan)
        self._promised = promised = open_for(self.app.book, plan.id)
        asked = self._asked if self._asked.get("plan") == plan.id else {}
        # With a first sock cranked, its twin is what is usually wanted next.
        likely = asked.get("which", self._firsts[0].line.id if self._firsts else None)
        self.rows["which"].offer([(first.words, first.line.id) for first in self._firsts], likely)
        own = self._firsts[0].record.promise if self._firsts else None
        usual = asked.get("promise") or own or (promised[0].id if len(promised) == 1 else None)
        today = local_day(self.app.book.clock)
        pairs = [(one.name + (f", by {show_day(one.by, today)}" if one.by else ""), one.id) for one in promised]
        self.rows["promise"].offer(pairs, usual)
        self.rows["promise"].display = bool(promised)
        self._sock_chosen()

    def _sock_chosen(self) -> None:
        plan, first = self.thing("plan"), self._first
        if plan is not None:
            self.ask_for([plan], first.record if first else None, self._promise)
        self._say_sock()

    @property
    def _promise(self) -> Promise | None:
        chosen = self.rows["promise"].chosen
        return next((one for one in self._promised if one.id == chosen), None)

    @property
    def _first(self) -> starting.First | None:
        chosen = self.rows["which"].chosen
        return next((first for first in self._firsts if first.line.id == chosen), None)

    def _say_sock(self) -> None:
        plan, first = self.thing("plan"), self._first
        self.ask_core(asked=first is not None and self.rows["lot"].chosen == self.usual_lot)
        if plan is None:
            return
        parts = planned.sections(plan, first.state if first else None)
        said = [f"{part.name.capitalize():8}{part.count} {part.kind}" for part in parts]
        dial = first.record.dial if first else plan.dial
        machine = self.app.book.get(Machine, plan.machine)
        per_turn = machine.turn if machine else CLICKS_PER_TURN
        where = "as you type it above" if dial is None else show_position(dial, per_turn)
        how = f"As the first {planned.name_of(plan)} really came out:" if first else "As planned:"
        turned = turned_otherwise(first.state) if first else []
        noted = [f"Its first is from the notebook: {one.parts_typed}." for one in self._noted() if one.parts]
        lines = [
            *self._yarn_says(plan, first),
            *noted,
            how,
            *said,
            f"{'Dial':8}{where}",
            *turned,
            *([starting.begins_alike(first, first.record.yarn)] if first else []),
            *self._ribber_says(plan),
            *self._foot_says(plan),
        ]
        self.say("\n".join(filter(None, lines)))

    def _ribber_says(self, plan: Plan) -> tuple[str, ...]:
        """What is to be asked of the ribber, where the sock needs it."""
        return (ribber_words(self.app.book.store, plan.machine, at_start=True),) if planned.needs_ribber(plan) else ()

    def _foot_says(self, plan: Plan) -> tuple[str, ...]:
        """For feet at risk, and for those that nobody said anything about."""
        wearer = self.app.book.get(Wearer, plan.wearer) if plan.wearer else None
        return (FEET_AT_RISK,) if wearer is None or wearer.caution else ()

    def _yarn_says(self, plan: Plan, first: starting.First | None) -> tuple[str, ...]:
        """What is to know of the yarn on the shelf before the first row."""
        lot, promise = self.rows["lot"].chosen, self.rows["promise"].chosen
        unit = self.app.settings.mass_unit
        socks = 1 if first or self._noted() else 2
        promises = [promise] if promise else []
        colours = self.colours_chosen()
        return before_first_row(self.app.book, [plan] * socks, lot, promises=promises, unit=unit, colours=colours)

    def _noted(self) -> list[Noted]:
        """Socks of the pair chosen that are from the notebook."""
        promise = self.rows["promise"].chosen
        return [one for one in self.app.book.shelf(Noted) if promise and one.promise == promise]

    def made(self, kind: str, item: Any) -> None:
        self.offer({kind: item.id})

    def build(self, values: dict[str, Any]) -> SessionRecord:
        """The first sock as planned, or the twin as its first really came out."""
        book, plan = self.app.book, self.thing("plan")
        set_up = {**self.set_up_of_socks(values, plan), "promise": values["promise"]}
        if self._first is not None:
            return starting.twin(book, self._first, values["separator"], set_up)
        return starting.first_sock(book, plan, values["separator"], set_up, values["dial"])


class Choosing(OptionList):
    """A list of the screen; the arrows move in it, Tab leaves it."""

    def __init__(self, id: str, title: str) -> None:
        super().__init__(id=id, markup=False)
        self.border_title = title


class Pairs(Choosing):
    """Those that can be added."""

    BINDINGS = [Binding("enter", "select", "Add the pair", key_display="Enter")]


class StringScreen(SettingUp):
    """The start of a string: which pairs, in which order."""

    CSS_PATH = [FORM_CSS, "sock_screen.tcss"]
    AUTO_FOCUS = "#string-offers"
    EXPLAIN = (
        "Several socks in one string, with separator rows between: one cast on, one take off. They share machine, "
        "cylinder, yarn and dial. Enter on a pair below adds its two socks, a only one; Del takes the marked sock "
        "out."
    )
    heading = "Crank socks in one string"
    BINDINGS = [
        Binding("a", "add_one", "Add one sock of it"),
        Binding("s", "add_one", show=False),  # as it was before one letter meant one thing
        Binding("delete,backspace", "take_out", "Take out", key_display="Del"),
        Binding("tab", "app.focus_next", "Next"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.chosen: list[strings.Chosen] = []
        self._offers: list[strings.Offer] = []
        self._plans: list[Plan] = []
        self._promises: tuple[tuple[Promise, int], ...] = ()

    def lay_out(self) -> None:
        self.add_dial()
        self.add(starting.separator_field("between the socks"), self.app.settings.separator_rows)
        self.add_of_socks()
        self.add_set_up()

    def above(self) -> ComposeResult:
        yield Choosing("string-socks", "On the string, first to last")
        yield Pairs("string-offers", "Pairs to add")

    def on_mount(self) -> None:
        book = self.app.book
        self._plans = list(reversed(book.shelf(Plan)))
        self._promises = to_begin(book)
        self._show()

    def follow(self, row: EntryRow | None = None) -> None:
        if row is not None and row.field.name.startswith(("lot", "colour_lot")):
            self._say_string()

    def _show(self) -> None:
        book = self.app.book
        name = planned.name_of_all(sock.plan for sock in self.chosen)
        self.query_one(Heading).say(title=called(self.heading, name))
        self._offers = strings.offers(self._plans, self._promises, self.chosen, local_day(book.clock))
        socks = self.query_one("#string-socks", OptionList)
        socks.set_options(
            Option(Text(f"{at}  {sock.words}", no_wrap=True, overflow="ellipsis"))
            for at, sock in enumerate(self.chosen, 1)
        )
        offered = self.query_one("#string-offers", OptionList)
        at = offered.highlighted or 0
        offered.set_options(
            Option(Text(offer.words, no_wrap=True, overflow="ellipsis"), disabled=bool(offer.why_not))
            for offer in self._offers
        )
        offered.highlighted = min(at, len(self._offers) - 1) if self._offers else None
        self.ask_for([sock.plan for sock in self.chosen], promise=self.chosen[0].promise if self.chosen else None)
        self._say_string()

    def _say_string(self) -> None:
        self.ask_core()
        if not self._plans:
            self.say("A string is made of planned socks: p on the bench plans one.")
            return
        if not self.chosen:
            self.say("No sock is on the string yet.")
            return
        warned = before_first_row(
            self.app.book,
            [sock.plan for sock in self.chosen],
            self.rows["lot"].chosen,
            promises={sock.promise.id for sock in self.chosen if sock.promise},
            unit=self.app.settings.mass_unit,
            colours=self.colours_chosen(),
        )
        rows, passes = (
            sum(part.count for sock in self.chosen for part in sock.plan.parts if part.kind == kind)
            for kind in ("rows", "passes")
        )
        made = many(len(self.chosen), planned.name_of_all(sock.plan for sock in self.chosen))
        self.say("\n".join([f"{made}: {rows} rows and {passes} passes of working yarn.", *warned]))

    @property
    def touched(self) -> bool:
        return bool(self.chosen) or super().touched

    # --- keys ----------------------------------------------------------------------------------------------

    @on(OptionList.OptionSelected, "#string-offers")
    def _offer_taken(self) -> None:
        self._add(2)

    def action_add_one(self) -> None:
        self._add(1)

    def _add(self, socks: int) -> None:
        at = self.query_one("#string-offers", OptionList).highlighted
        if at is None or self._offers[at].why_not:
            return
        added = strings.socks_of(self._offers[at])[:socks]
        self.chosen = strings.paired([*self.chosen, *added])
        self._show()

    def action_take_out(self) -> None:
        listed = self.query_one("#string-socks", OptionList)
        if not self.chosen:
            return
        at = listed.highlighted if listed.has_focus and listed.highlighted is not None else len(self.chosen) - 1
        del self.chosen[at]
        self.chosen = strings.paired(self.chosen)
        self._show()

    def build(self, values: dict[str, Any]) -> SessionRecord:
        set_up = self.set_up_of_socks(values, *(sock.plan for sock in self.chosen))
        return strings.string_record(self.app.book, self.chosen, values["separator"], set_up, values["dial"])
