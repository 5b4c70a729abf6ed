"""Rows that do not begin at the heel half: every needle of a sock is walked past, stitch by stitch."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import pytest

from hosewright.craft import CraftError
from hosewright.craft.sock import plan_sock
from hosewright.session.events import Confirmed, Pressed
from hosewright.session.results import pieces_of
from hosewright.session.steps import Confirm, CountPasses, CountRows, Head
from hosewright.session.words import instruction, where_rows_begin
from tests.helpers import folded, sock_steps

if TYPE_CHECKING:
    from hosewright.craft.sock import SockPlan
    from hosewright.craft.turning import PlainPasses
    from hosewright.session.events import Event
    from hosewright.session.state import State
    from hosewright.session.steps import Step

SLOTS, HALF = 60, 30
PLAIN: tuple[PlainPasses, ...] = (False, "before", "after", True)


def planned(part: int, plain: PlainPasses = False, tube_mm: float = 20.0) -> SockPlan:
    return plan_sock(
        slots=SLOTS, rows_per_mm=0.4, stitches_per_mm=0.3, tube_length_mm=tube_mm, leg_mm=15.0, plain_passes=plain,
        part_row=part,
    )  # fmt: skip


def steps_of(plan: SockPlan, part: int) -> tuple[Step, ...]:
    return sock_steps(plan.sections, plan.heel, plan.toe, 8, part_row=(part, SLOTS - part) if part else (0, 0))


class Cylinder:
    """Needles in the order that the carrier meets them, the heel half first; ``at`` is the needle it meets next."""

    def __init__(self, part: int) -> None:
        self.at = -part % SLOTS
        self.round: Counter[int] = Counter()
        self.turned = 0

    def knit(self, stitches: int) -> None:
        for _ in range(stitches):
            self.round[self.at] += 1
            self.at = (self.at + 1) % SLOTS

    def turn(self, step: CountPasses) -> None:
        """Heel and toe are turned at one end of the heel half or the other; each pass goes across it."""
        assert self.at == (0 if step.carrier == "left" else HALF), "the carrier stands at the end of the heel half"
        for one in step.turning.passes():
            self.turned += len(one.in_work)
            self.at = HALF - self.at


@pytest.mark.parametrize("plain", PLAIN)
@pytest.mark.parametrize("part", range(SLOTS))
def test_every_needle_knits_every_row_whatever_part_of_one_leads_into_the_heel(part: int, plain: PlainPasses) -> None:
    plan = planned(part, plain)
    steps = steps_of(plan, part)
    rows = sum(section.count for section in plan.sections if section.kind == "rows")
    cylinder = Cylinder(part)
    for step in steps:
        if isinstance(step, CountRows) and step.yarn == "working":
            for _ in range(step.target):
                cylinder.knit(SLOTS)
        elif isinstance(step, CountPasses):
            cylinder.turn(step)
        elif isinstance(step, Confirm):
            cylinder.knit(step.stitches)
    assert set(cylinder.round.values()) == {rows}
    assert len(cylinder.round) == SLOTS
    total = rows * SLOTS + plan.heel.stitches + plan.toe.stitches
    assert cylinder.round.total() + cylinder.turned == total == plan.stitches_per_sock


def cranked(steps: tuple[Step, ...], upto: str | None = None) -> State:
    events: list[Event] = []
    for step in steps:
        if step.id == upto or step.kind == "measure":
            break
        events += [Pressed()] * getattr(step, "target", 0)
        events.append(Confirmed())
    return folded(Head("s", "sock", steps, 30, SLOTS), *events)


@pytest.mark.parametrize("part", [0, 1, 15, 30, 45, 59])
def test_the_yarn_counts_the_part_rows_as_they_are_cranked(part: int) -> None:
    plan = planned(part)
    steps = steps_of(plan, part)
    (done,) = pieces_of(cranked(steps))
    assert done.stitches == done.stitches_planned == plan.stitches_per_sock
    if part:
        (before,) = pieces_of(cranked(steps, "heel-in"))
        (after,) = pieces_of(cranked(steps, "heel-needles"))
        assert after.stitches - before.stitches == part
        assert after.rows == before.rows


def test_the_steps_say_their_stitches_and_where_they_end() -> None:
    steps = steps_of(planned(15), 15)
    said = {step.id: instruction(cranked(steps, step.id)) for step in steps if isinstance(step, Confirm)}
    assert said["heel-in"].startswith(
        "Crank 15 stitches on, to the left end of the needles that turn the heel, and stop"
    )
    assert said["heel-out"].startswith("Crank 45 stitches on. With the 15 before the heel they are the first row")
    assert said["toe-in"].startswith("Crank 15 stitches on, to the left end of the needles that turn the toe")
    assert said["toe-out"] == "Crank 45 stitches on. With the 15 before the toe they are the last row of the foot."
    assert "begins and ends 15 stitches before that" in where_rows_begin(cranked(steps))
    foot = next(step for step in steps if step.id == "foot")
    assert isinstance(foot, CountRows)
    assert foot.target == planned(15).foot_rows - 2
    assert "its first is completed after the heel, its last after the toe" in instruction(cranked(steps, "foot"))
    assert not any(step.id.endswith(("-in", "-out")) and "heel" in step.id for step in steps_of(planned(0), 0))


def test_a_part_row_that_cannot_be_says_what_can() -> None:
    for part in (-1, SLOTS, 200):
        with pytest.raises(CraftError, match="from 0 to 59 stitches on 60 slots"):
            planned(part)
    with pytest.raises(CraftError, match="two rows of foot or more"):
        planned(15, tube_mm=3.0)
    assert [s.id for s in steps_of(planned(15, tube_mm=5.0), 15) if isinstance(s, CountRows)].count("foot") == 0
