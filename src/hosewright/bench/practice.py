"""Throwaway benches with work added to the samples: a seller's week, and a machine that knits badly."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from hosewright.bench.app import Bench, open_practice, run_throwaway
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn
from hosewright.logbook.records.year import Lot, Promise, Weighing
from hosewright.phrases.days import local_day
from hosewright.session.events import Confirmed, Entry, Observed, Pressed, ReadOff
from hosewright.session.procedures import tube_steps
from hosewright.session.steps import CountRows, Measure

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.phrases.times import Clock
    from hosewright.session.events import Event

# --- a seller's week: pairs promised for this week and the next, and yarn that runs low --------------------------

# Of the pairs that the samples have promised: in how many days each is due now. Two are ready, one is half cranked.
_DUE = {"pair-driver": 1, "pair-shore": 3, "pair-helm": 6}
# Pairs promised beside them: id, name, wearer, yarn, in how many days it is due, price and what was paid of it.
_PROMISED = (
    ("pair-launcher", "Launcher's orange pair", "launcher", "maroon-orange", 5, 3000, 1000),
    ("pair-mechanic", "Mechanic's pair", "mechanic", "slack-water-grey", 9, 2800, 0),
    ("pair-coxswain-third", "Coxswain's third pair", "coxswain", "slack-water-grey", 12, 2800, 2800),
)
_GREY = "grey-lot-4502"
_ORANGE = Lot(id="orange-lot-17", name="17", yarn="maroon-orange", pieces=1, grams=150, bought="2025-01-04")
_GONE = {_GREY: (200.0, "two balls sold at the stall"), _ORANGE.id: (62.0, "a hat")}  # grams, and where they went


def open_week(folder: Path, clock: Clock | None = None) -> Logbook:
    """A throwaway logbook in ``folder``: the practice one, its orders and its stock as of this week."""
    book = open_practice(folder, clock)
    today = local_day(book.clock)
    promised = {one.id: one for one in book.shelf(Promise)}
    book.keep(
        _ORANGE,
        *(promised[name].model_copy(update={"by": _in(today, days)}) for name, days in _DUE.items()),
        *(
            Promise(
                id=name,
                name=title,
                wearer=wearer,
                yarn=yarn,
                lot=_GREY if yarn == "slack-water-grey" else _ORANGE.id,
                plan=f"plan-{wearer}-{yarn}",
                made=_in(today, -20),
                by=_in(today, days),
                price=price,
                paid=paid,
            )
            for name, title, wearer, yarn, days, price, paid in _PROMISED
        ),
        *(
            Weighing(id=f"{lot}-gone", lot=lot, at_ms=book.clock.now().at_ms, what="gone", grams=grams, why=why)
            for lot, (grams, why) in _GONE.items()
        ),
    )
    return book


def _in(today: date, days: int) -> str:
    return (today + timedelta(days)).isoformat()


def run_week() -> int:
    """Run the bench on that week. Returns the exit code."""
    return run_throwaway(Bench, open_week)


# --- a machine that knits badly: three tubes in which one needle drops its stitch --------------------------------

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
    """Run the bench on those tubes. Returns the exit code."""
    return run_throwaway(Bench, open_badly)
