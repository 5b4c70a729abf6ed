"""Starting a sock: to which plan, the first of the pair or its twin, and for whom."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.binding import Binding

from hosewright.bench.start.screen import ENDS, StartScreen
from hosewright.bench.start.setup import promise_words
from hosewright.bench.widgets.host import host
from hosewright.craft.dial import CLICKS_PER_TURN, show_position
from hosewright.logbook.accounts.enough import before_first_row
from hosewright.logbook.accounts.pairs import open_for
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records import planned
from hosewright.logbook.records.shelf import Machine, Plan, Wearer, Yarn
from hosewright.phrases.days import local_day
from hosewright.planning import starting
from hosewright.session.hazards import FEET_AT_RISK
from hosewright.session.twins import turned_otherwise

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.year import Promise


class SockStartScreen(StartScreen):
    """The start of a planned sock, or of its twin."""

    heading = "Crank a sock"
    MAY_STAY_OPEN = ("which", "promise", "lot")
    BINDINGS = [Binding("p", "plan", "Make a plan"), *ENDS]

    def __init__(self, chosen: Mapping[str, str] | None = None) -> None:
        """``chosen``: a plan, for which pair and which of its socks, by "plan", "promise" and "which"."""
        super().__init__(chosen)
        self._asked = dict(chosen or {})
        self._firsts: tuple[starting.First, ...] = ()
        self._promised: tuple[Promise, ...] = ()

    def lay_out(self) -> None:
        """Plan, which sock, which pair."""
        self.pick("plan", "Plan", "none chosen: p makes one")
        self.pick("which", "Crank", "the first sock")
        self.pick("promise", "For the pair", "none promised")
        self.picks["promise"].display = False  # until a pair of the plan is promised
        self.line_of_separators()

    def things(self) -> Mapping[str, tuple[Any, ...]]:
        """Every plan."""
        return {"plan": self.known.plans}

    def fill(self, wanted: Mapping[str, str | None]) -> None:
        """Fill the list of plans, and what follows from the one chosen."""
        self.picks["plan"].offer([(plan.name, plan.id) for plan in self.known.plans], wanted["plan"])
        self._plan_chosen()

    def was_chosen(self, name: str) -> None:
        """Another plan, sock, pair or lot."""
        if name == "plan":
            self._plan_chosen()
        elif name in ("which", "promise"):
            self._sock_chosen()
        else:
            self._say_sock()

    @property
    def _plan(self) -> Plan | None:
        chosen = self.picks["plan"].chosen
        return next((plan for plan in self.known.plans if plan.id == chosen), None)

    def _plan_chosen(self) -> None:
        plan = self._plan
        if plan is None:
            self.say("A sock is cranked to a plan: p makes one.")
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
            self.offer_set_up(machine, yarn, first.record if first else None)
        self._say_sock()

    @property
    def promise(self) -> Promise | None:
        """The pair it is for."""
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
        lines = [*self._yarn_says(plan, first), how, *said, f"{'Dial':8}{where}", *turned, *self._foot_says(plan)]
        self.say("\n".join(lines))

    def _foot_says(self, plan: Plan) -> tuple[str, ...]:
        """For feet at risk, and for those that nobody said anything about."""
        wearer = host(self).book.get(Wearer, plan.wearer) if plan.wearer else None
        return (FEET_AT_RISK,) if wearer is None or wearer.caution else ()

    def _yarn_says(self, plan: Plan, first: starting.First | None) -> tuple[str, ...]:
        """What is to know of the yarn on the shelf before the first row."""
        lot, promise = self.picks["lot"].chosen, self.picks["promise"].chosen
        socks = 1 if first else 2
        unit = host(self).settings.mass_unit
        try:
            return before_first_row(host(self).book, plan, lot, socks, promise=promise, unit=unit)
        except LogbookError as error:
            return (str(error),)

    def action_plan(self) -> None:
        """Plan a sock, and choose it."""
        from hosewright.bench.plan.screen import PlanScreen

        def made(plan: Plan | None) -> None:
            if plan is not None:
                self.offer({"plan": plan.id})

        self.app.push_screen(PlanScreen(), made)

    def record(self, values: dict[str, Any], set_up: dict[str, Any]) -> SessionRecord:
        """The first sock as planned, or the twin as its first really came out."""
        book, set_up = host(self).book, {**set_up, "promise": self.picks["promise"].chosen}
        assert self._plan is not None  # nothing wrong was found before
        if self._first is not None:
            return starting.twin(book, self._first, values["separator"], set_up)
        return starting.first_sock(book, self._plan, values["separator"], set_up)
