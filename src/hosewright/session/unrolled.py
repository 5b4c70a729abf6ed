"""The cylinder unrolled: what each needle does just before the next row or pass."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING, Literal

from hosewright.session.beds import out_after, ribber_at
from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.session.beds import Ribber
    from hosewright.session.state import State


class Needle(Enum):
    """What a needle does; RIBBER: a ribber needle knits in its place, WAITS: one keeps its loop there and rests."""

    WORK = auto()
    OUT = auto()
    RIBBER = auto()
    WAITS = auto()
    LIFTED = auto()
    DOWN_NEXT = auto()
    UP_NEXT = auto()


_OUT_IS: dict[Ribber, Needle] = {"off": Needle.OUT, "knits": Needle.RIBBER, "waits": Needle.WAITS}


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
    slots, step, steps = state.head.slots, state.step, state.head.steps
    out = step.out_of_work if isinstance(step, CountRows) else ()
    half = slots // 2
    if isinstance(step, CountPasses):
        half, out = step.needles, out_after(steps, state.index)
    mark = _OUT_IS[ribber_at(steps, state.index)]
    if isinstance(step, CountPasses):
        heel, beside = _turned(step, state.count), Needle.LIFTED
    else:
        heel, beside = [mark if number in out else Needle.WORK for number in range(1, half + 1)], Needle.WORK
    instep = (mark if number in out else beside for number in range(half + 1, slots + 1))
    carrier = step.turning.carrier_after(state.count) if isinstance(step, CountPasses) else None
    return Unrolled(tuple(heel), tuple(instep), carrier)


def _turned(step: CountPasses, count: int) -> list[Needle]:
    turning = step.turning
    working = turning.in_work_after(count)
    heel = [Needle.WORK if number in working else Needle.LIFTED for number in range(1, step.needles + 1)]
    if count < turning.count:
        ahead = turning.at(count + 1)
        for number in ahead.lower:
            heel[number - 1] = Needle.DOWN_NEXT
        for number in ahead.lift:
            heel[number - 1] = Needle.UP_NEXT
    return heel
