"""Heel and toe knitted on needles of wood, by the rules that a knitter is taught; the engine is held against them.

Nothing here knows how the engine works a heel out: needles stand in a row, the carrier stands beyond one end of it, and
the hands find their needle by looking.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest

from hosewright.craft.turning import Lowering, PlainPasses, Side, Turning
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, Head
from hosewright.session.unrolled import Needle, unroll

if TYPE_CHECKING:
    from collections.abc import Iterator

PLAIN: tuple[PlainPasses, ...] = (False, "before", "after", True)


@dataclass
class Bed:
    """``up`` are the needles lifted; ``loop`` is the pass that each needle's loop was knitted in, 0 the leg's."""

    needles: int
    gap: float
    up: set[int] = field(default_factory=set)
    loop: dict[int, int] = field(default_factory=dict)

    def down(self) -> list[int]:
        return [n for n in range(1, self.needles + 1) if n not in self.up]

    def beside(self) -> int:
        """The needle in work nearest to the carrier."""
        return min(self.down(), key=lambda n: abs(n - self.gap))

    def innermost(self, *, far: bool) -> int | None:
        """The lifted needle next to those in work, on the carrier's side or away from it."""
        working = self.down()
        on_left = (self.gap < min(working)) != far
        place = min(working) - 1 if on_left else max(working) + 1
        return place if place in self.up else None

    def lift(self, needle: int) -> None:
        self.up.add(needle)

    def lower(self, needle: int) -> None:
        self.up.remove(needle)

    def crank(self, number: int) -> list[int]:
        """Knit across all that is down; the carrier ends beyond the half."""
        working = self.down()
        for needle in working:
            self.loop[needle] = number
        self.gap = self.needles + 0.5 if self.gap < min(working) else 0.5
        return working


@dataclass(frozen=True)
class Done:
    """What one pass was: the side of the carrier before it, needles moved, needles that knit."""

    side: Side
    lowered: tuple[int, ...]
    lifted: tuple[int, ...]
    knit: tuple[int, ...]


def side_of(bed: Bed) -> Side:
    return "left" if bed.gap < min(bed.down()) else "right"


def by_hand(
    needles: int, left: int, lowering: Lowering, plain: PlainPasses, carrier: Side, extra: int, bed: Bed
) -> Iterator[Done]:
    """Turn a heel as it is taught, pass by pass."""
    number = 0

    def go(lowered: tuple[int, ...] = (), lifted: tuple[int, ...] = ()) -> Done:
        nonlocal number
        number += 1
        side = side_of(bed)
        return Done(side, lowered, lifted, tuple(bed.crank(number)))

    for _ in range(extra + (plain in (True, "before"))):
        yield go()
    while len(bed.down()) > left:
        needle = bed.beside()
        bed.lift(needle)
        yield go(lifted=(needle,))
    while bed.up:
        lowered: list[int] = []
        for _ in range(2 if lowering == "two-and-one" else 1):
            found = bed.innermost(far=lowering != "near")
            if found is not None:
                bed.lower(found)
                lowered.append(found)
        lifted: tuple[int, ...] = ()
        if len(lowered) == 2:
            lifted = (bed.beside(),)
            bed.lift(lifted[0])
        yield go(tuple(lowered), lifted)
    if plain in (True, "after"):
        yield go()


def every_heel() -> list[tuple[int, int, Lowering, PlainPasses, Side, int]]:
    """All usual heels, and a seeded few hundred of the others."""
    pick = random.Random(14)
    found: list[tuple[int, int, Lowering, PlainPasses, Side, int]] = []
    lowerings: tuple[Lowering, ...] = ("far", "near", "two-and-one")
    for half in (27, 30, 32, 40):
        for lowering in lowerings:
            for plain in PLAIN:
                left = round(half / 3)
                left += (half - left) % 2
                found += [(half, left, lowering, plain, "left", 0), (half, left, lowering, plain, "right", 4)]
    for _ in range(300):
        half = pick.randrange(4, 61)
        left = pick.randrange(2, half - 1)
        lowering = pick.choice(lowerings)
        if lowering == "near" and (half - left) % 2:
            lowering = "far"
        sides: tuple[Side, ...] = ("left", "right")
        found.append((half, left, lowering, pick.choice(PLAIN), pick.choice(sides), pick.choice((0, 2, 6))))
    return found


@pytest.mark.parametrize("heel", every_heel())
def test_the_engine_turns_the_heel_that_hands_turn(heel: tuple[int, int, Lowering, PlainPasses, Side, int]) -> None:
    half, left, lowering, plain, carrier, extra = heel
    bed = Bed(half, 0.5 if carrier == "left" else half + 0.5, loop=dict.fromkeys(range(1, half + 1), 0))
    turning = Turning(half, left, lowering, plain, carrier, extra)
    step = CountPasses("heel", "Heel", half, left, lowering, plain, carrier, extra)
    state = State(Head("s", "sock", (step,), 30, 2 * half))
    worked_out = turning.passes()
    stitches, number = 0, 0
    for number, done in enumerate(by_hand(half, left, lowering, plain, carrier, extra, bed), 1):
        one = worked_out[number - 1]
        assert (one.carrier, one.lower, one.lift) == (done.side, done.lowered, done.lifted), number
        assert one.in_work == done.knit, number
        stitches += len(done.knit)
        state.counts[0] = number
        drawn = unroll(state)
        lifted_now = {n for n, mark in enumerate(drawn.heel, 1) if mark in (Needle.LIFTED, Needle.DOWN_NEXT)}
        assert lifted_now == bed.up, number  # drawn before the next move: as it stands after this pass
        assert drawn.carrier == side_of(bed), number
        waits = {n for n, knitted in bed.loop.items() if knitted < number}
        assert waits == bed.up, "each lifted needle keeps its loop of an earlier pass, every other has a new one"
    assert number == len(worked_out) == turning.count
    assert stitches == turning.stitches
    assert not bed.up
    assert turning.ends == side_of(bed)


@pytest.mark.parametrize(("plain", "more"), [(False, 0), ("before", 1), ("after", 1), (True, 2)])
def test_a_plain_pass_is_one_over_every_needle(plain: PlainPasses, more: int) -> None:
    bare, heel = Turning(32, 12), Turning(32, 12, plain_passes=plain)
    assert (bare.count, bare.stitches) == (40, 880)
    assert (heel.count, heel.stitches) == (40 + more, 880 + 32 * more)
    first_lift = next(one for one in heel.passes() if one.lift)
    before = plain in (True, "before")
    assert (first_lift.number, first_lift.carrier, first_lift.lift) == (
        (2, "right", (32,)) if before else (1, "left", (1,))
    )
    assert heel.ends == ("right" if more == 1 else "left")
