"""Sessions of a machine with a fault built in, stitch by stitch, as a knitter would have noted them."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.session.events import Confirmed, Entry, Event, Fault, Observed, Pressed
from hosewright.session.steps import CountPasses, CountRows
from tests import helpers

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.logbook.records.sessions import SessionRecord

SLOTS, HALF, LEFT = 64, 32, 12
LEG, FOOT = 90, 70  # with 40 passes of a heel, 200 in all
NEEDLE_KNOWN = 0.8  # so often the knitter reads its number off


@dataclass(frozen=True)
class Stitch:
    """One stitch: its row or pass from 1, and its needle; ``at_end``: of those at work in a heel."""

    row: int
    needle: int
    turned: bool
    at_end: bool


# Each says what is seen when a stitch goes wrong, and how likely it does; ``background`` is a sound machine's own.


def background(_stitch: Stitch) -> tuple[Fault, float]:
    return "dropped", 0.0002


def bad_latch(stitch: Stitch) -> tuple[Fault, float]:
    return "dropped", 0.06 if stitch.needle == 17 else 0.0


def dirty_slots(stitch: Stitch) -> tuple[Fault, float]:
    return "tuck", 0.02 if 40 <= stitch.needle <= 45 else 0.0


def light_weights(_stitch: Stitch) -> tuple[Fault, float]:
    return "stayed-up", 0.0012


def splitty_ball(stitch: Stitch) -> tuple[Fault, float]:
    return "split", 0.002 if stitch.row > 40 else 0.0


def heel_ends(stitch: Stitch) -> tuple[Fault, float]:
    return "dropped", 0.15 if stitch.at_end else 0.0


def even_faults(_stitch: Stitch) -> tuple[Fault, float]:
    return "dropped", 0.0012


def sock(
    *chances: Callable[[Stitch], tuple[Fault, float]], seed: int, knot_at: int = 0
) -> tuple[SessionRecord, list[Entry]]:
    """A sock's legs, heel and foot, cranked on such a machine; ``knot_at``: the row where another ball is joined on."""
    rng = random.Random(seed)
    heel = CountPasses("heel", "Heel", HALF, LEFT)
    steps = (CountRows("leg", "Leg", LEG), heel, CountRows("foot", "Foot", FOOT))
    events: list[Event] = []
    row = 0

    def crank(needles: list[int], *, turned: bool) -> None:
        nonlocal row
        row += 1
        events.append(Pressed())
        if row == knot_at:
            events.append(Observed("knot"))
        for needle in needles:
            stitch = Stitch(row, needle, turned, turned and needle in (needles[0], needles[-1]))
            for chance in chances:
                fault, odds = chance(stitch)
                if rng.random() < odds:
                    events.append(Observed(fault, needle if rng.random() < NEEDLE_KNOWN else None))

    for _ in range(LEG):
        crank(list(range(1, SLOTS + 1)), turned=False)
    events.append(Confirmed())
    working = list(range(1, HALF + 1))
    narrowing = HALF - LEFT
    for n in range(narrowing):  # one needle up at either end by turns
        working = working[:-1] if n % 2 else working[1:]
        crank(working, turned=True)
    for n in range(narrowing):  # and down again
        working = [*working, working[-1] + 1] if n % 2 == narrowing % 2 else [working[0] - 1, *working]
        crank(working, turned=True)
    events.append(Confirmed())
    for _ in range(FOOT):
        crank(list(range(1, SLOTS + 1)), turned=False)
    record = helpers.record("tube", f"20231114-t{seed:05d}", slots=SLOTS, steps=steps)
    return record, helpers.entries(events)
