"""Things the tests build again and again: a clock that does as it is told, records, heads, and a crank."""

from __future__ import annotations

import os
from dataclasses import fields
from typing import TYPE_CHECKING, Any, TypeVar

from hosewright.craft.heels import NO_PART, PartRow
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, PlannedPart, Yarn
from hosewright.phrases.times import Moment
from hosewright.session import procedures
from hosewright.session.events import Confirmed, Entry, Event, Pressed, ReadOff
from hosewright.session.fold import fold
from hosewright.session.kinds import SEPARATOR_ROWS
from hosewright.session.procedures import SockParts, search_steps, string_steps, tube_steps
from hosewright.session.steps import CountPasses, CountRows, Head

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.craft.cuffs import Cuff
    from hosewright.craft.ribs import Rib
    from hosewright.craft.sock import Section
    from hosewright.craft.stripes import Stripes
    from hosewright.craft.turning import Turning
    from hosewright.logbook.live import Live
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind, Step

Thing = TypeVar("Thing")
THOROUGH = os.environ.get("HYPOTHESIS_PROFILE") == "thorough"
START_MS = 1_700_000_000_000  # 14 November 2023


def some(things: Sequence[Thing], every: int, first: int) -> Sequence[Thing]:
    """Every so-many-th of ``things``, from the first-th on; all of them in a thorough run."""
    return things if THOROUGH else things[first % every :: every]


class FakeClock:
    """A clock that moves on by ``step_ms`` each time it is asked, and by ``wait`` when told to."""

    def __init__(self, at_ms: int = START_MS, zone_min: int = 60, step_ms: int = 1000, tick_ms: int = 5_000) -> None:
        self.at_ms, self.zone_min, self.step_ms, self.tick_ms = at_ms, zone_min, step_ms, tick_ms

    def now(self) -> Moment:
        self.wait(self.step_ms)
        return Moment(self.at_ms, self.zone_min, self.tick_ms)

    def wait(self, ms: int) -> None:
        self.at_ms += ms
        self.tick_ms += ms


def machine(clicks_per_turn: int = 4, starting_dial: int = 26) -> Machine:
    return Machine(
        id="bench-machine",
        name="Bench machine",
        thread_pitch_mm=1.25,
        clicks_per_turn=clicks_per_turn,
        starting_dial=starting_dial,
        weights="both plates",
    )


def cylinder(slots: int = 60) -> Cylinder:
    return Cylinder(id=f"cylinder-{slots}", name=f"{slots} slots", slots=slots)


def yarn(name: str = "Grey") -> Yarn:
    return Yarn(id=f"yarn-{name.lower()}", name=name, m_per_100g=420, ball_g=100)


ROWS_PER_MM, STITCHES_PER_MM = 0.42, 0.32
TUBE_MM, LEG_MM = 53.0, 21.0


def short_sock(slots: int = 60, leg_mm: float = LEG_MM, hem_rows: int = 0) -> SockPlan:
    """A short sock: 4.2 rows and 3.2 stitches a centimetre, a tube of 53 mm."""
    return plan_sock(
        slots=slots,
        rows_per_mm=ROWS_PER_MM,
        stitches_per_mm=STITCHES_PER_MM,
        tube_length_mm=TUBE_MM,
        leg_mm=leg_mm,
        hem_rows=hem_rows,
    )


def sock_steps(
    sections: Sequence[Section],
    heel: Turning | None,
    toe: Turning | None,
    separator_rows: int = SEPARATOR_ROWS,
    *,
    cuff: Cuff | None = None,
    dial_changes: tuple[tuple[int, int], ...] = (),
    part_row: PartRow = NO_PART,
    toe_row: PartRow | None = None,
    reinforced: bool = False,
    rib: Rib | None = None,
    afterthought: bool = False,
    stripes: Stripes | None = None,
) -> tuple[Step, ...]:
    """The steps of one sock; ``part_row`` is the heel's, and the toe's too where ``toe_row`` is None."""
    part_rows = (part_row, part_row if toe_row is None else toe_row)
    return procedures.steps_of(
        SockParts(tuple(sections), heel, toe, cuff, dial_changes, part_rows, reinforced, rib, afterthought, stripes),
        separator_rows,
    )


def sock_plan_steps(slots: int = 60, leg_mm: float = LEG_MM, hem_rows: int = 0) -> tuple[Step, ...]:
    """Steps of a short sock."""
    plan = short_sock(slots, leg_mm, hem_rows)
    return sock_steps(plan.sections, plan.heel, plan.toe)


def string_of(socks: int) -> tuple[Step, ...]:
    """Steps of a string of so many short socks."""
    plan = short_sock()
    return string_steps([SockParts(plan.sections, plan.heel, plan.toe)] * socks)


def plan_of(slots: int = 60) -> Plan:
    """The plan of those short socks, as the logbook keeps it."""
    plan = short_sock(slots)
    return Plan(
        id="short-socks",
        name="Short socks",
        machine=machine().id,
        cylinder=cylinder(slots).id,
        yarn=yarn().id,
        slots=slots,
        dial=26,
        rows_per_mm=ROWS_PER_MM,
        stitches_per_mm=STITCHES_PER_MM,
        tube_length_mm=TUBE_MM,
        leg_mm=LEG_MM,
        heel_left_in_work=plan.heel.left_in_work,
        toe_left_in_work=plan.toe.left_in_work,
        parts=tuple(PlannedPart(name=s.name, kind=s.kind, count=s.count, stitches=s.stitches) for s in plan.sections),
        foot_rows=plan.foot_rows,
        metres_per_pair=200.0,
    )


def steps_of(kind: SessionKind) -> tuple[Step, ...]:
    if kind == "search":
        return search_steps()
    if kind == "string":
        return string_of(2)
    return tube_steps(30) if kind == "tube" else sock_plan_steps()


def head(kind: SessionKind = "search", *, dial: int = 26, slots: int = 60, clicks_per_turn: int = 4) -> Head:
    return Head("test-session", kind, steps_of(kind), dial, slots, clicks_per_turn)


def record(
    kind: SessionKind = "search",
    session_id: str = "20231114-test",
    *,
    dial: int = 26,
    slots: int = 60,
    steps: tuple[Step, ...] | None = None,
    started_ms: int = START_MS,
) -> SessionRecord:
    return SessionRecord(
        id=session_id,
        kind=kind,
        title=f"A {kind}",
        started_ms=started_ms,
        zone_min=60,
        machine=machine(),
        cylinder=cylinder(slots),
        yarn=yarn(),
        dial=dial,
        steps=steps or steps_of(kind),
        socks=(StringSock(plan=plan_of(slots)), StringSock(plan=plan_of(slots), twin=True)) if kind == "string" else (),
    )


def entries(events: Iterable[Event], first: int = 1, every_ms: int = 1000) -> list[Entry]:
    """The events as entries one second apart."""
    return [
        Entry(first + n, START_MS + (first + n) * every_ms, 60, (first + n) * every_ms, event)
        for n, event in enumerate(events)
    ]


def folded(what: Head, *events: Event) -> State:
    return fold(what, entries(events))


def rows(n: int) -> list[Event]:
    return [Pressed()] * n


def to_step(what: Head, step_id: str) -> list[Event]:
    """The plain events that bring a session from its start to the step named ``step_id``."""
    done: list[Event] = []
    for step in what.steps:
        if step.id == step_id:
            return done
        if isinstance(step, CountRows | CountPasses):
            done += rows(step.target)
        done.append(Confirmed())
    raise AssertionError(f"there is no step {step_id}")


# What is confirmed before the first row of a tube or a sock can be cranked.
BEGUN = to_step(head("tube"), "separator-in")


def drive(live: Live, *events: Event | Iterable[Event]) -> None:
    """Do the events one after another; every one must be taken."""
    for item in events:
        several = [item] if isinstance(item, Event) else item
        for event in several:
            why = live.do(event)
            assert why is None, f"{event} was refused: {why}"


def crank_to(live: Live, step_id: str) -> None:
    """Crank and confirm, without a trial, until the session stands at ``step_id``."""
    while live.state.step is not None and live.state.step.id != step_id:
        step = live.state.step
        if isinstance(step, CountRows | CountPasses):
            drive(live, rows(step.target - live.state.count))
        drive(live, Confirmed())


def measure_tube(live: Live, length_mm: float = 71.0, width_mm: float = 94.0, mass_g: float = 5.2) -> None:
    """The readings after the wash: of 30 rows of 60 stitches, about 10.7 rows and 8.1 stitches an inch."""
    drive(live, ReadOff("length", length_mm), ReadOff("width", width_mm), ReadOff("mass", mass_g))


def past_tube(
    session_id: str,
    started_ms: int,
    rows_per_in: float,
    *,
    on: Machine | None = None,
    slots: int = 60,
    dial: int = 26,
    of: Yarn | None = None,
) -> tuple[SessionRecord, list[Entry]]:
    """A finished tube of 30 rows that comes to so many rows an inch, as it is taken in from elsewhere."""
    start = record("tube", session_id, dial=dial, slots=slots, started_ms=started_ms)
    start = start.model_copy(update={"machine": on or machine(), "yarn": of or yarn()})
    done = [*to_step(start.head, "after-wash"), ReadOff("length", 30 / rows_per_in * 25.4), ReadOff("width", 94.0)]
    events = [*done, Confirmed()]
    return start, [Entry(n, started_ms + n * 1000, 60, n * 1000, event) for n, event in enumerate(events, 1)]


def content(state: State) -> dict[str, Any]:
    """All that a state says of the work, apart from how far it can be undone and which event came last."""
    kept = state.copy()
    routine = ("evening", "done", "run", "undone", "ignored", "last_ms", "last_seq")
    return {f.name: getattr(kept, f.name) for f in fields(kept) if f.name not in routine}
