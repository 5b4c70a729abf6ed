"""The cylinder unrolled: what each needle does just before the next row or pass, or at a step that is done by hand."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING, Literal

from hosewright.session.beds import moved_at, out_after, out_before, ribber_after, ribber_at, still_out
from hosewright.session.steps import Confirm, CountPasses, CountRows, plain_id

if TYPE_CHECKING:
    from hosewright.session.beds import Ribber
    from hosewright.session.state import State


class Needle(Enum):
    """What a needle does; RIBBER: a ribber needle knits in its place, WAITS: one keeps its loop there and rests.

    Those that end in NEXT are what the hands do now. HANG: a loop is hung on it, FROM_BELOW and FROM_ABOVE those of an
    opened slit; RESTS and KNITS: the ribber's needle there is set out of action, or into it.
    """

    WORK = auto()
    OUT = auto()
    RIBBER = auto()
    WAITS = auto()
    LIFTED = auto()
    DOWN_NEXT = auto()
    UP_NEXT = auto()
    RESTS_NEXT = auto()
    KNITS_NEXT = auto()
    HANG_NEXT = auto()
    FROM_BELOW_NEXT = auto()
    FROM_ABOVE_NEXT = auto()


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


# --- steps that are done by hand --------------------------------------------------------------------------------------

_LIFTED_AT = frozenset(f"{at}-needles" for at in ("heel", "toe", "waste", "opened")) | {"heel-set", "toe-set"}
_LOWERED_AT = frozenset(f"{at}-lower" for at in ("heel", "toe", "waste", "opened")) | {"heel-end", "toe-end"}
_MOVED_AT = (
    *("needles-out", "fill-needles", "ladders-out", "ladders-heel", "ladders-up", "ribber-on", "ribber-off"),
    *("selvedge-on", "ribber-rib", "rib-on", "rib-change", "rib-heel", "rib-off"),
)
_RESTED_AT, _SET_KNITTING_AT = ("ribber-rest", "rib-heel"), ("ribber-rib", "rib-instep")
_HUNG_AT = ("fold-hem", "hang-hem", "hang-rib")


def by_hand(state: State) -> Unrolled | None:
    """The needles at a step that moves some of them, these marked; None where none are moved."""
    step = state.step
    if not isinstance(step, Confirm):
        return None
    name, slots, steps = plain_id(step.id), state.head.slots, state.head.steps
    if name in _LIFTED_AT:
        ahead = (at for at in range(state.index, len(steps)) if isinstance(steps[at], CountPasses))
        return _all_marked(state, next(ahead, None), Needle.UP_NEXT)
    if name in _LOWERED_AT:
        before = (at for at in range(state.index - 1, -1, -1) if isinstance(steps[at], CountPasses))
        return _all_marked(state, next(before, None), Needle.DOWN_NEXT)
    if name == "opened-hang":
        half = slots // 2
        return Unrolled((Needle.FROM_BELOW_NEXT,) * half, (Needle.FROM_ABOVE_NEXT,) * (slots - half))
    if name in _HUNG_AT:
        without = out_before(steps, state.index - 1) if name == "hang-rib" else ()
        return _in_halves([Needle.WORK if place in without else Needle.HANG_NEXT for place in range(1, slots + 1)])
    if name in _MOVED_AT or name in _RESTED_AT or name in _SET_KNITTING_AT:
        return _in_halves(_moved(state, name))
    return None


def _all_marked(state: State, index: int | None, mark: Needle) -> Unrolled | None:
    """Heel or toe before its first pass, or after its last, the needles that are up marked."""
    if index is None:
        return None
    at = state.copy()
    turned = at.head.steps[index]
    assert isinstance(turned, CountPasses)
    at.index, at.counts[index] = index, turned.target if index < state.index else 0
    view = unroll(at)
    up = (Needle.LIFTED, Needle.DOWN_NEXT)

    def marked(needles: tuple[Needle, ...]) -> tuple[Needle, ...]:
        return tuple(mark if one in up else Needle.WORK if one is Needle.UP_NEXT else one for one in needles)

    return Unrolled(marked(view.heel), marked(view.instep))


def _in_halves(needles: list[Needle]) -> Unrolled:
    half = len(needles) // 2
    return Unrolled(tuple(needles[:half]), tuple(needles[half:]))


def _moved(state: State, name: str) -> list[Needle]:
    """Every needle at a step that sets a rib: those that leave the cylinder, those that come back, those that stay."""
    away, back = moved_at(state) if name in _MOVED_AT else ((), ())
    before = ribber_at(state.head.steps, state.index)
    stay = _OUT_IS[ribber_after(name, before)]
    if name in _RESTED_AT:
        stay = Needle.RESTS_NEXT
    elif name in _SET_KNITTING_AT:
        stay = Needle.KNITS_NEXT
    found = [Needle.WORK] * state.head.slots
    for places, mark in ((still_out(state), stay), (away, Needle.UP_NEXT), (back, Needle.DOWN_NEXT)):
        for place in places:
            found[place - 1] = mark
    return found
