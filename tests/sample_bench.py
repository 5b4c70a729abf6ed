"""The bench the sample sessions are cranked on: a calendar, a pair of hands, and the real logbook under them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random
from typing import TYPE_CHECKING, Any

from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured
from hosewright.craft.sock import Section, plan_sock
from hosewright.craft.spread import ASSUMED
from hosewright.craft.supply import yarn_for
from hosewright.craft.turning import Turning
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, PlannedPart, Wearer, Yarn
from hosewright.logbook.travel.session_files import write
from hosewright.session.events import (
    Confirmed,
    Event,
    Judged,
    Opened,
    Paused,
    Pressed,
    ReadOff,
    Resumed,
    Undone,
    Verdict,
)
from hosewright.session.results import cranked
from hosewright.session.steps import CountPasses, CountRows, DialTrial
from tests.helpers import FakeClock, sock_steps

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind, Step

ROW_MS, PASS_MS, SLOW_ROW_MS = 2300, 6200, 9000  # a beginner's pace; a dial trial is cranked very slowly


class Hands:
    """One session in the hands of someone who is never quite regular."""

    def __init__(self, station: Station, record: SessionRecord) -> None:
        self._station = station
        self.record = record
        self.live = station.book.start(record)

    @property
    def state(self) -> State:
        return self.live.state

    @property
    def step_id(self) -> str:
        return self.state.step.id if self.state.step else ""

    def do(self, event: Event, after_s: float = 6.0) -> None:
        """One event, about so many seconds after the last one; it must be taken."""
        self._station.pass_time(after_s * 1000)
        why = self.live.do(event)
        assert why is None, f"{self.record.id}, {self.step_id}: {event} was refused: {why}"

    def crank(self, presses: int) -> None:
        """Rows or passes, at the pace of the step."""
        step = self.state.step
        pace = PASS_MS if isinstance(step, CountPasses) else SLOW_ROW_MS if isinstance(step, DialTrial) else ROW_MS
        for _ in range(presses):
            self.do(Pressed(), pace / 1000)

    def crank_to(self, count: int) -> None:
        self.crank(count - self.state.count)

    def pressed_twice(self) -> None:
        """One row, two presses, one undone."""
        self.crank(1)
        self.do(Pressed(), 0.2)
        self.do(Undone(), 1.8)

    def called_away(self, minutes: float) -> None:
        self.do(Paused(), 3)
        self.do(Resumed(), minutes * 60)

    def judge(self, verdict: Verdict, rows: int = 1) -> None:
        """Look at the stitches after so many rows, at the dial position the search asks for."""
        self.crank(rows)
        self.do(Judged(verdict, self.state.search.position), 5)

    def look(self, stays_up_at: int, unsure_at: int | None = None) -> None:
        """Look and judge until the search ends, on a machine where stitches stay up at so many clicks and fewer.

        At ``unsure_at`` the first look is unsure.
        """
        while self.state.search.baseline is None:
            at = self.state.search.position
            if at == unsure_at:
                unsure_at = None
                self.judge("unsure")
            else:
                self.judge("stay" if at <= stays_up_at else "drop", rows=2 if at % 4 == 1 else 1)

    def measure(self, field: str, value: float, typed: str) -> None:
        self.do(ReadOff(field, value, typed), 25)

    def finish_to(self, step_id: str) -> None:
        """Do plainly what the steps ask for, as far as the one named (or the very end, for an empty name)."""
        while self.step_id != step_id:
            step = self.state.step
            assert step is not None
            if isinstance(step, CountRows | CountPasses):
                self.crank_to(step.target)
            self.do(Confirmed(), 8 if isinstance(step, CountRows | CountPasses) else 75)

    def back_on(self, when: str) -> None:
        """Another day: the bench was closed, and its steady clock began anew."""
        self._station.at(when)
        self.do(Opened(), 1)


class Station:
    """The logbook, the calendar, and the files made so far."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.clock = FakeClock(step_ms=0)
        self.random = Random(seed)
        self.book = Logbook(folder / "station.sqlite", self.clock)
        self.files: dict[str, str] = {}

    def at(self, when: str) -> None:
        """Local time, such as "2024-10-05 19:10"; summer time from April to 26 October."""
        local = datetime.fromisoformat(when)
        summer = 4 <= local.month <= 9 or (local.month == 10 and local.day < 26)
        self.clock.zone_min = 60 if summer else 0
        utc = local.replace(tzinfo=UTC) - timedelta(minutes=self.clock.zone_min)
        self.clock.at_ms = int(utc.timestamp()) * 1000
        self.clock.tick_ms = 60_000 + int(self.random.random() * 9_000_000)

    def pass_time(self, ms: float) -> None:
        # Three throws make a hump with short tails; plain sums are the same on every machine.
        throws = self.random.random() + self.random.random() + self.random.random()
        self.clock.wait(max(1, int(ms * (0.7 + 0.2 * throws))))

    def begin(
        self,
        session_id: str,
        kind: SessionKind,
        title: str,
        when: str,
        *,
        on: tuple[Machine, Cylinder, Yarn],
        dial: int,
        steps: tuple[Step, ...],
        **more: Any,
    ) -> Hands:
        """Start a session at its day and hour."""
        self.at(when)
        machine, cylinder, yarn = on
        for item in on:
            if not self.book.store.on_shelf(type(item).__name__.lower(), item.id):
                self.book.keep(item)
        record = SessionRecord(
            id=f"{when[:10].replace('-', '')}-{session_id}",
            kind=kind,
            title=title,
            started_ms=self.clock.at_ms,
            zone_min=self.clock.zone_min,
            machine=machine,
            cylinder=cylinder,
            yarn=yarn,
            dial=dial,
            steps=steps,
            **more,
        )
        return Hands(self, record)

    def file(self, name: str, hands: Hands) -> None:
        """Write the session down under ``name``."""
        self.files[name] = write(hands.record, self.book.store.entries(hands.live.n))


def plan_for(
    station: Station,
    wearer: Wearer,
    on: tuple[Machine, Cylinder, Yarn],
    *,
    leg_mm: float,
    hem_rows: int,
) -> Plan:
    """A planned sock for a foot that was measured, from the newest gauge of this yarn on this cylinder."""
    machine, cylinder, yarn = on
    gauge = next(g for g in station.book.gauges() if (g.yarn, g.cylinder) == (yarn.id, cylinder.id))
    rows_per_mm, error = round(gauge.rows_per_mm, 6), round(gauge.rows_per_mm_error, 6)
    assert wearer.foot_length_mm is not None
    sock = plan_sock(
        slots=cylinder.slots,
        rows_per_mm=measured(rows_per_mm, error),
        stitches_per_mm=measured(round(gauge.stitches_per_mm, 6), round(gauge.stitches_per_mm_error, 6)),
        foot_length_mm=wearer.foot_length_mm,
        leg_mm=leg_mm,
        hem_rows=hem_rows,
        departs=ASSUMED.departs(1),
    )
    need = yarn_for(sock, loop_length_mm(rows_per_mm), yarn.m_per_100g, yarn.ball_g)
    return Plan(
        id=f"plan-{wearer.id}-{yarn.id}",
        name=f"{wearer.name}, {yarn.name}",
        machine=machine.id,
        cylinder=cylinder.id,
        yarn=yarn.id,
        wearer=wearer.id,
        gauge_session=gauge.session,
        slots=cylinder.slots,
        dial=gauge.dial,
        rows_per_mm=rows_per_mm,
        stitches_per_mm=round(gauge.stitches_per_mm, 6),
        foot_length_mm=wearer.foot_length_mm,
        leg_mm=leg_mm,
        hem_rows=hem_rows,
        heel_left_in_work=sock.heel.left_in_work,
        toe_left_in_work=sock.toe.left_in_work,
        parts=tuple(PlannedPart(name=s.name, kind=s.kind, count=s.count, stitches=s.stitches) for s in sock.sections),
        foot_rows=sock.foot_rows,
        foot_rows_error=round(sock.foot_rows_error, 3),
        foot_rows_tape_error=round(sock.foot_rows_tape_error, 3),
        metres_per_pair=round(need.metres_per_pair, 1),
        grams_per_pair=round(need.grams_per_pair, 1) if need.grams_per_pair else None,
    )


def steps_for(plan: Plan, first: State | None = None) -> tuple[Step, ...]:
    """The steps of a planned sock; for a twin, with the rows its first sock really has."""
    half = plan.slots // 2
    return sock_steps(
        sections_of(plan, first), Turning(half, plan.heel_left_in_work), Turning(half, plan.toe_left_in_work)
    )


def sections_of(plan: Plan, first: State | None = None) -> list[Section]:
    """The parts of a planned sock; for a twin, with the rows its first sock really has."""
    really = cranked(first) if first else {}
    return [Section(part.name, part.kind, really.get(part.name, part.count), part.stitches) for part in plan.parts]
