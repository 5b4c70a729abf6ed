"""Heel and toe knitted on needles of wood, by the rules that a knitter is taught; the engine is held against them.

Nothing here knows how the engine works a heel out: needles stand in a row, the carrier stands beyond one end of it, and
the hands find their needle by looking.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest
from tests.helpers import THOROUGH, some

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


Heel = tuple[int, int, Lowering, PlainPasses, Side, int, int]


def by_hand(heel: Heel, bed: Bed) -> Iterator[Done]:
    """Turn a heel as it is taught, pass by pass; a gusset's needles are up on ``bed`` before it begins."""
    _, left, lowering, plain, _, extra, gusset = heel
    number = 0

    def go(lowered: tuple[int, ...] = (), lifted: tuple[int, ...] = ()) -> Done:
        nonlocal number
        number += 1
        side = side_of(bed)
        return Done(side, lowered, lifted, tuple(bed.crank(number)))

    for _ in range(extra + (plain in (True, "before"))):
        yield go()
    for _ in range(2 * gusset):
        joins = bed.innermost(far=True)
        assert joins is not None, "the instep's needles join one after another"
        bed.lower(joins)
        yield go((joins,))
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
    for _ in range(2 * gusset):
        leaves = bed.beside()
        bed.lift(leaves)
        yield go(lifted=(leaves,))
    if plain in (True, "after"):
        yield go()


LOWERINGS: tuple[Lowering, ...] = ("far", "near", "two-and-one")


def every_heel() -> list[Heel]:
    """All usual heels on half, and a seeded few hundred of the others."""
    pick = random.Random(14)
    found: list[Heel] = []
    for half in (27, 30, 32, 40):
        for lowering in LOWERINGS:
            for plain in PLAIN:
                left = round(half / 3)
                left += (half - left) % 2
                found += [(half, left, lowering, plain, "left", 0, 0), (half, left, lowering, plain, "right", 4, 0)]
    return found + [any_heel(pick, pick.randrange(4, 61), 0) for _ in range(300 if THOROUGH else 100)]


def any_heel(pick: random.Random, needles: int, gusset: int) -> Heel:
    """A heel on so many needles, the gusset's among them, narrowed and lowered any way that can be knitted."""
    left = pick.randrange(2, needles - 2 * gusset - 1)
    lowering = pick.choice(LOWERINGS)
    if lowering == "near" and (needles - left) % 2:
        lowering = "far"
    sides: tuple[Side, ...] = ("left", "right")
    return needles, left, lowering, pick.choice(PLAIN), pick.choice(sides), pick.choice((0, 2, 6)), gusset


def on_more_than_half() -> list[tuple[int, Heel]]:
    """For every cylinder of 48 to 100 slots: heels over more than half of it, and heels that instep needles join."""
    pick = random.Random(60)
    found = []
    for slots in range(48, 101):
        half = slots // 2
        most = (slots - 4 - half) // 2
        for more in {1, 3, pick.randrange(1, most + 1), most}:
            found += [(slots, any_heel(pick, half + 2 * more, gusset)) for gusset in (0, more)]
    return found


@pytest.mark.parametrize(
    ("slots", "heel"), [(2 * heel[0], heel) for heel in every_heel()] + [*some(on_more_than_half(), 3, 0)]
)
def test_the_engine_turns_the_heel_that_hands_turn(slots: int, heel: Heel) -> None:
    needles, _, _, _, carrier, _, gusset = heel
    every = range(1, needles + 1)
    instep = {n for n in every if n <= gusset or n > needles - gusset}
    bed = Bed(needles, 0.5 if carrier == "left" else needles + 0.5, set(instep), dict.fromkeys(every, 0))
    turning = Turning(*heel)
    step = CountPasses("heel", "Heel", *heel)
    state = State(Head("s", "sock", (step,), 30, slots))
    worked_out = turning.passes()
    stitches, number = 0, 0
    for number, done in enumerate(by_hand(heel, bed), 1):
        one = worked_out[number - 1]
        assert (one.carrier, one.lower, one.lift) == (done.side, done.lowered, done.lifted), number
        assert one.in_work == done.knit, number
        stitches += len(done.knit)
        state.counts[0] = number
        drawn = unroll(state)
        assert len(drawn.heel) + len(drawn.instep) == slots
        lifted_now = {n for n, mark in enumerate(drawn.heel, 1) if mark in (Needle.LIFTED, Needle.DOWN_NEXT)}
        assert lifted_now == bed.up, number  # drawn before the next move: as it stands after this pass
        assert drawn.carrier == side_of(bed), number
        waits = {n for n, knitted in bed.loop.items() if knitted < number}
        assert waits == bed.up, "each lifted needle keeps its loop of an earlier pass, every other has a new one"
    assert number == len(worked_out) == turning.count
    assert stitches == turning.stitches
    assert bed.up == instep, "what was in work before is in work again, and the gusset's needles wait as they did"
    assert all(bed.loop.values()), "every needle of the heel, the gusset's too, has knitted in it"
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
