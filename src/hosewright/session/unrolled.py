"""The cylinder unrolled: what each needle does just before the next row or pass."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING, Literal

from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.session.state import State


class Needle(Enum):
    """What a needle does."""

    WORK = auto()
    OUT = auto()
    LIFTED = auto()
    DOWN_NEXT = auto()
    UP_NEXT = auto()


@dataclass(frozen=True, slots=True)
class Unrolled:
    """The heel half, needles 1 to H from the left, and the instep half, H + 1 to the last slot.

    ``carrier`` is the end of the heel half where the yarn carrier stands, in a heel or toe only.
    """

    heel: tuple[Needle, ...]
    instep: tuple[Needle, ...]
    carrier: Literal["left", "right"] | None = None


def unroll(state: State) -> Unrolled:
    """The needles where ``state`` stands. Outside a part that is cranked every needle is in work."""
    slots = state.head.slots
    step = state.step
    if isinstance(step, CountPasses):
        return _turned(step, state.count, slots)
    needles = [Needle.WORK] * slots
    if isinstance(step, CountRows):
        for number in step.out_of_work:
            if 1 <= number <= slots:
                needles[number - 1] = Needle.OUT
    half = slots // 2
    return Unrolled(tuple(needles[:half]), tuple(needles[half:]))


def _turned(step: CountPasses, count: int, slots: int) -> Unrolled:
    turning = step.turning
    instep = (Needle.LIFTED,) * (slots - step.needles)
    working = turning.in_work_after(count)
    heel = [Needle.WORK if number in working else Needle.LIFTED for number in range(1, step.needles + 1)]
    if count < turning.count:
        ahead = turning.at(count + 1)
        for number in ahead.lower:
            heel[number - 1] = Needle.DOWN_NEXT
        for number in ahead.lift:
            heel[number - 1] = Needle.UP_NEXT
    return Unrolled(tuple(heel), instep, turning.carrier_after(count))
