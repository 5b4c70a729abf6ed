"""A machine that knits badly, to practise on: the samples, and three tubes in which one needle drops its stitch."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.app import Bench, open_practice, run_throwaway
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn
from hosewright.session.events import Confirmed, Entry, Observed, Pressed, ReadOff
from hosewright.session.procedures import tube_steps
from hosewright.session.steps import CountRows, Measure

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.phrases.times import Clock
    from hosewright.session.events import Event

ROWS = 60
# What drops in each tube, by row and needle; the last tube is at the crank still, at row LEFT_AT.
DROPS: tuple[dict[int, int], ...] = ({11: 17, 38: 17}, {24: 17, 44: 50, 52: 17}, {9: 17, 31: 17})
LEFT_AT = 33
_EVERY_MS, _APART_MS = 3_000, 5_400_000


def open_badly(folder: Path, clock: Clock | None = None) -> Logbook:
    """A throwaway logbook in ``folder``: the practice one, and three tubes on its 60 slots this evening."""
    book = open_practice(folder, clock)
    now = book.clock.now()
    machine, cylinder = book.get(Machine, "boathouse-machine"), book.get(Cylinder, "cylinder-60")
    yarn = book.get(Yarn, "slack-water-grey")
    assert machine is not None
    assert cylinder is not None
    assert yarn is not None
    for tube, drops in enumerate(DROPS, 1):
        at_ms = now.at_ms - (len(DROPS) - tube + 1) * _APART_MS
        record = SessionRecord(
            id=f"20260110-badly{tube}",
            kind="tube",
            title=f"Gauge tube that drops stitches, {tube}",
            started_ms=at_ms,
            zone_min=now.zone_min,
            machine=machine,
            cylinder=cylinder,
            yarn=yarn,
            dial=27,
            steps=tube_steps(ROWS),
        )
        events = enumerate(_cranked(record, drops, done=tube < len(DROPS)), 1)
        book.take_in(record, [Entry(n, at_ms + n * _EVERY_MS, now.zone_min, n * _EVERY_MS, one) for n, one in events])
    return book


def _cranked(record: SessionRecord, drops: dict[int, int], *, done: bool) -> Iterator[Event]:
    for step in record.head.steps:
        if isinstance(step, CountRows):
            for row in range(1, step.target + 1):
                if step.id == "tube" and row > LEFT_AT and not done:
                    return
                yield Pressed()
                if step.id == "tube" and row in drops:
                    yield Observed("dropped", drops[row])
        if isinstance(step, Measure) and {item.id for item in step.fields} >= {"length", "width"}:
            yield from (ReadOff("length", 148.0), ReadOff("width", 102.0))
        yield Confirmed()


def run_badly() -> int:
    """Run the bench on it. Returns the exit code."""
    return run_throwaway(Bench, open_badly)
