"""Kinds of heel: the needles each is turned on, where a row stands when it is, and how far round it is.

A short-row heel is turned on half of the slots or more, as many more on one side as on the other; the toe stays on
half, in the middle of them. A mini-gusset is turned on half and on ``gusset`` needles of the instep on each side, which
join the turn and leave it again (see `turning`). For an afterthought heel waste yarn is laid in over the half alone,
rows go on, and later H loops below it and H above are hung on all needles and turned in like a toe.

Sources: common practice, no source, unless a constant says more; what is summed or measured here follows from the
stitches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from hosewright.craft import CraftError
from hosewright.craft.turning import (
    LEAST_NEEDLES,
    CarrierTurns,
    HeelHalf,
    Lowering,
    PlainPasses,
    Side,
    Turning,
    comes_in,
    default_left_in_work,
)
from hosewright.craft.units import many, quoted

HeelKind = Literal["short-row", "mini-gusset", "afterthought", "none"]
EndKind = Literal["toe", "drawn up", "chained off"]  # of a sock or another tube
PartRow = tuple[int, int]  # stitches that lead into heel or toe, and those that complete the row after it

WASTE_PASSES = 2
MOST_GUSSET = 40
WIDE_SHARE = 0.6
NO_PART: PartRow = (0, 0)


@dataclass(frozen=True, slots=True)
class HeelAs:
    """How a heel is made. ``needles``: of a short-row heel, None for half of the slots; ``gusset`` on each side."""

    kind: HeelKind = "short-row"
    needles: int | None = None
    gusset: int = 0


USUAL_HEEL = HeelAs()


def usual_gusset(slots: int) -> int:
    """Needles that join on each side: as published for hand knitting from 45 to 84 stitches, and on by its rule."""
    return max(1, (slots + 5) // 10)


def wide_heel(slots: int) -> int:
    """Needles of a short-row heel over the usual share of more than half, as many more on one side as on the other."""
    half = slots // 2
    more = max(1, round((slots * WIDE_SHARE - half) / 2))
    return half + 2 * more


def on_needles(heel: HeelAs, slots: int) -> int:
    """All the needles a heel is turned on. Raises CraftError, with the nearest that can be knitted."""
    half = slots // 2
    if heel.kind not in get_args(HeelKind):
        raise CraftError(f"A heel is {', '.join(get_args(HeelKind))}, not {quoted(str(heel.kind))}.")
    if heel.kind == "mini-gusset":
        most = (slots - LEAST_NEEDLES - half) // 2
        if not 1 <= heel.gusset <= most:
            raise CraftError(
                f"On {slots} slots from 1 to {most} needles join the heel on each side, not {heel.gusset}; "
                f"{min(most, usual_gusset(slots))} is usual."
            )
        return half + 2 * heel.gusset
    needles = half if heel.needles is None else heel.needles
    if heel.kind == "none":
        raise CraftError("A tube without a heel has no needles for one.")
    if heel.kind == "afterthought" and needles != half:
        raise CraftError(f"An afterthought heel is turned on half of the slots, {half}: its other loops need the rest.")
    most = half + (slots - LEAST_NEEDLES - half) // 2 * 2
    if not half <= needles <= most or (needles - half) % 2:
        raise CraftError(
            f"A heel on {slots} slots is turned on {half}, half of them, or on more by twos, as many on one side as on "
            f"the other, up to {most}; not on {needles}."
        )
    return needles


def turn_heel(
    heel: HeelAs,
    slots: int,
    left_in_work: int | None = None,
    lowering: Lowering = "far",
    plain_passes: PlainPasses = False,
    carrier: Side = "left",
    extra_passes: int = 0,
) -> Turning:
    """The turning of such a heel, narrowed to a third where nothing is said. Raises CraftError."""
    needles = on_needles(heel, slots)
    left = default_left_in_work(needles) if left_in_work is None else left_in_work
    gusset = heel.gusset if heel.kind == "mini-gusset" else 0
    return Turning(needles, left, lowering, plain_passes, carrier, extra_passes, gusset)


def part_rows(part: int, heel: Turning, toe: Turning, slots: int) -> tuple[PartRow, PartRow]:
    """The stitches that lead into the heel and the toe, and those that complete the row after each.

    ``part``: rows begin so many stitches before the heel's own needles. A toe on fewer needles begins so much further
    on. Raises CraftError for more than a row has.
    """
    if not 0 <= part < slots:
        raise CraftError(f"A part row has from 0 to {slots - 1} stitches on {slots} slots, not {part}.")
    inside = (len(heel.own) - toe.needles) // 2
    if toe.ends != toe.carrier and (inside or (part and toe.carrier == heel.carrier)):
        raise CraftError(
            "A single plain pass leaves the carrier at the other end, and with a toe that does not begin where the "
            "rows do the last row would not come out whole: choose none, or one before and one after."
        )
    return _halves(part, slots), _halves((part + inside) % slots, slots)


def _halves(into: int, slots: int) -> PartRow:
    return (into, slots - into) if into else NO_PART


def heel_half_words(heel: Turning, toe: Turning, half: HeelHalf = "", turns: CarrierTurns = "", part: int = 0) -> str:
    """Where the heel's needles are, how they are numbered, which way the carrier goes, where a row begins.

    ``part``: so many stitches before the carrier comes in; none is best.
    """
    side = comes_in(half, turns)
    first = heel.own[0] if side == "left" else heel.own[-1]
    said = f"{_its_needles(heel, toe, half or 'towards you')} "
    where = "heel half" if len(heel.own) == toe.needles else "heel's needles"
    row = "a row begins and ends there"
    if part:
        row = f"a row begins and ends {part} stitches before that"
    if turns:
        return said + (
            f"The crank turns the carrier {turns} seen from above, so it comes to the {where} at the {side} end, by "
            f"needle {first}. {row.capitalize()}."
        )
    return said + (
        f"It is assumed that the carrier comes to {'it' if where == 'heel half' else 'them'} at the {side} end, by "
        f"needle {first}, and {row}. If yours comes in at the other end, say in the machine's record which way the "
        "crank turns it."
    )


def _its_needles(heel: Turning, toe: Turning, half: str) -> str:
    """The half in words, and how its needles and those beyond it are numbered."""
    last = heel.needles
    inside = (len(heel.own) - toe.needles) // 2
    if heel.gusset:
        return (
            f"The heel half is the half {half}, and {many(heel.gusset, 'needle')} of the instep on each side join it: "
            f"needle 1 is at the left end of them all as you sit, needle {last} at the right; the half's own are "
            f"{heel.own[0]} to {heel.own[-1]}. The toe is turned on these alone, counted anew from 1 to {toe.needles}."
        )
    if inside:
        return (
            f"The heel is turned on {last} needles, the half {half} and {inside} more on each side: needle 1 is at "
            f"their left end as you sit, needle {last} at their right. The toe is turned on the half alone, on "
            f"{inside + 1} to {inside + toe.needles} of these."
        )
    return f"The heel half is the half {half}: needle 1 is at its left end as you sit, needle {last} at its right."


def round_the_heel_mm(heel: Turning, slots: int, rows_per_mm: float, stitches_per_mm: float) -> float:
    """How far round it is over the instep, down both gores and across the needles left at the heel's tip, relaxed, mm.

    A gore runs over half the needles narrowed and a row for each narrowing pass, in a straight line. Slits that plain
    passes leave open are not in it. Ours: the line is one along stitches, not the shortest round a foot.
    """
    gore = math.hypot(heel.narrowing / 2 / stitches_per_mm, heel.narrowing / rows_per_mm)
    return (slots - heel.needles + heel.left_in_work) / stitches_per_mm + 2 * gore
