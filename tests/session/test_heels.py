"""Whole socks with each kind of heel, walked needle by needle round the cylinder; no line of the engine is asked how.

The walk knows the steps by their names: at some of them hands lift or lower needles, at others the carrier goes round,
or to and fro over what is down.
"""

from __future__ import annotations

import random
from collections import Counter
from typing import TYPE_CHECKING

import pytest

from hosewright.craft.heels import HeelAs, part_rows, usual_gusset
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.session.procedures import SockParts, sock_steps, string_steps
from hosewright.session.steps import Confirm, CountPasses, CountRows, Step, plain_id
from tests.craft.test_needles import Bed, by_hand

if TYPE_CHECKING:
    from hosewright.craft.turning import PlainPasses

PLAIN: tuple[PlainPasses, ...] = (False, "before", "after", True)


def planned(slots: int, heel: HeelAs, plain: PlainPasses = False, part: int = 0) -> SockPlan:
    return plan_sock(
        slots=slots, rows_per_mm=0.4, stitches_per_mm=0.3, tube_length_mm=35.0, leg_mm=25.0, plain_passes=plain,
        part_row=part, heel_as=heel,
    )  # fmt: skip


class Cylinder:
    """All needles in the order the carrier meets them, the heel half first; ``at`` is the one it meets next.

    ``rounds`` are the rows each needle knitted, ``knit`` all its stitches.
    """

    def __init__(self, slots: int, heel: HeelAs, part: int) -> None:
        self.slots, self.half = slots, slots // 2
        self.more = ((heel.needles or self.half) - self.half) // 2
        self.gusset = heel.gusset
        self.at = (-self.more - part) % slots
        self.up: set[int] = set()
        self.rounds: Counter[int] = Counter()
        self.knit: Counter[int] = Counter()

    def own(self, name: str) -> list[int]:
        """The needles that heel or toe begins and ends with, from the left."""
        beyond = self.more if name == "heel" else 0
        return [n % self.slots for n in range(-beyond, self.half + beyond)]

    def go_round(self, stitches: int) -> None:
        assert not self.up, "a row goes over every needle"
        for _ in range(stitches):
            self.rounds[self.at] += 1
            self.knit[self.at] += 1
            self.at = (self.at + 1) % self.slots

    def turn(self, name: str, step: CountPasses) -> None:
        own = self.own(name)
        assert set(own) == set(range(self.slots)) - self.up
        from_left = step.carrier == "left"
        assert self.at == (own[0] if from_left else (own[-1] + 1) % self.slots), "the carrier stands at their end"
        gusset = self.gusset if name == "heel" else 0
        all_of_it = [(own[0] - gusset + n) % self.slots for n in range(len(own) + 2 * gusset)]
        h = len(all_of_it)
        joins = {n for n in range(1, h + 1) if n <= gusset or n > h - gusset}
        bed = Bed(h, 0.5 if from_left else h + 0.5, set(joins), dict.fromkeys(range(1, h + 1), 0))
        heel = (h, step.left_in_work, step.lowering, step.plain_passes, step.carrier, step.extra_passes, gusset)
        passes = 0
        for done in by_hand(heel, bed):
            passes += 1
            assert done.knit
            for needle in done.knit:
                self.knit[all_of_it[needle - 1]] += 1
        assert passes == step.target
        assert bed.up == joins
        self.at = own[0] if bed.gap < 1 else (own[-1] + 1) % self.slots

    def take(self, step: Step) -> None:
        name = plain_id(step.id)
        if isinstance(step, CountRows):
            assert step.yarn == "separator" or step.target > 0
            if step.yarn == "working":
                self.go_round(step.target * self.slots)
            assert not self.up, "a row goes over every needle"
        elif isinstance(step, CountPasses):
            self.turn(name, step)
        elif isinstance(step, Confirm):
            self.go_round(step.stitches) if step.stitches else None
            part, _, what = name.partition("-")
            if what == "needles":
                self.up = set(range(self.slots)) - set(self.own(part))
            elif what == "lower":
                self.up = set()


def cases() -> list[tuple[int, HeelAs, PlainPasses, int]]:
    pick = random.Random(7)
    found = []
    for slots in range(48, 101):
        half = slots // 2
        kinds = [HeelAs(needles=half + 2 * more) for more in (1, 3, pick.randrange(1, 9))]
        kinds += [HeelAs("mini-gusset", gusset=g) for g in (1, usual_gusset(slots), pick.randrange(1, 10))]
        for heel in kinds:
            plain = pick.choice(PLAIN if heel.gusset else (False, True))
            found.append((slots, heel, plain, pick.choice((0, 1, half // 2, slots - 1))))
    return found


@pytest.mark.parametrize(("slots", "heel", "plain", "part"), cases())
def test_the_tube_is_whole_before_and_after_each_heel(slots: int, heel: HeelAs, plain: PlainPasses, part: int) -> None:
    plan = planned(slots, heel, plain, part)
    heel_row, toe_row = part_rows(part, plan.heel, plan.toe, slots)
    steps = sock_steps(plan.sections, plan.heel, plan.toe, 8, part_row=heel_row, toe_row=toe_row)
    cylinder = Cylinder(slots, heel, part)
    for step in steps:
        cylinder.take(step)
    rows = sum(section.count for section in plan.sections if section.kind == "rows")
    assert set(cylinder.rounds.values()) == {rows}
    assert len(cylinder.rounds) == slots, "every needle knits every row"
    assert not cylinder.up, "every needle that was lifted came down"
    assert cylinder.knit.total() == plan.stitches_per_sock


@pytest.mark.parametrize("heel", [HeelAs(needles=38), HeelAs("mini-gusset", gusset=6)])
def test_a_twin_and_a_string_have_the_steps_of_the_first(heel: HeelAs) -> None:
    plan = planned(64, heel)
    first = sock_steps(plan.sections, plan.heel, plan.toe)
    string = string_steps([SockParts(plan.sections, plan.heel, plan.toe)] * 2)
    turned = [step for step in first if isinstance(step, CountPasses)]
    for number in (1, 2):
        same = [step for step in string if isinstance(step, CountPasses) and step.id.startswith(f"s{number}-")]
        assert [step.turning for step in same] == [step.turning for step in turned]
