"""A deeper heel for a high instep: three ways, and what each does to heel, leg and foot.

Rows before the heel lengthen the leg and leave the heel alone; extra passes over all the heel needles, or fewer
needles left in work, deepen the heel. What that adds to the sole comes off a foot planned from the foot's length; one
planned from a sock that fits keeps its rows. Depth is the centre-line
first estimate of `turning.depth_rows`. Source: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from hosewright.craft import CraftError
from hosewright.craft.measured import Measured, nominal
from hosewright.craft.sock_notes import foot_with_deeper, rows_before, slit
from hosewright.craft.turning import LEAST_LEFT_IN_WORK, Turning, depth_rows
from hosewright.craft.units import many, show_length

MOST_EXTRA_ROWS = 50


@dataclass(frozen=True, slots=True)
class DeeperHeel:
    """One way: the turning it makes, full rows before it, and the changes in rows and stitches against the plan.

    ``depth_rows`` is the whole heel's; ``foot_rows_change`` keeps the sock's length on the foot, where that is known.
    """

    way: Literal["rows", "passes", "needles"]
    turning: Turning
    extra_rows: int
    depth_rows: int
    depth_mm: float
    foot_rows_change: int
    stitches_change: int
    words: str


def deeper_heel(
    heel: Turning,
    slots: int,
    rows_per_mm: Measured | float,
    extra_rows: int,
    unit: str = "in",
    by: Literal["tube", "foot"] = "foot",
) -> tuple[DeeperHeel, ...]:
    """Every way to give the instep ``extra_rows`` more, 1 to 50; the needles' way only where enough are left in work.

    ``by``: whether the foot's rows come from a sock that fits or from the foot's length. Fewer needles keep H and E
    of one parity, so an odd number of rows is rounded up to the next even one there.
    Raises CraftError.
    """
    if not 1 <= extra_rows <= MOST_EXTRA_ROWS:
        raise CraftError(f"Give a high instep from 1 to {MOST_EXTRA_ROWS} rows more, not {extra_rows}.")
    per_mm, before = nominal(rows_per_mm), depth_rows(heel)
    rows = DeeperHeel(
        "rows", heel, extra_rows, before, before / per_mm, 0, extra_rows * slots,
        rows_before(extra_rows, before, per_mm, unit),
    )  # fmt: skip
    passes = replace(heel, extra_passes=heel.extra_passes + 2 * extra_rows)
    deeper = [_turned("passes", heel, passes, slots, per_mm, unit, by)]
    left = heel.left_in_work - extra_rows - (extra_rows % 2)
    if left >= LEAST_LEFT_IN_WORK:
        needles = replace(heel, left_in_work=left)
        deeper.append(_turned("needles", heel, needles, slots, per_mm, unit, by))
    return (rows, *deeper)


def _turned(
    way: Literal["passes", "needles"],
    old: Turning,
    new: Turning,
    slots: int,
    per_mm: float,
    unit: str,
    by: Literal["tube", "foot"],
) -> DeeperHeel:
    depth, more = depth_rows(new), depth_rows(new) - depth_rows(old)
    how = f"{new.extra_passes} plain passes before narrowing make"
    if way == "needles":
        how = f"Narrowing to {new.left_in_work} needles instead of {old.left_in_work} makes"
    words = (
        f"{how} the heel {many(more, 'row')} deeper, {depth} in all ({show_length(depth / per_mm, unit)}); "
        f"{foot_with_deeper(by, more, per_mm, unit)}"
    )
    if way == "passes":
        words += f" {slit(new.extra_passes)}"
    fewer = more if by == "foot" else 0
    stitches = new.stitches - old.stitches - fewer * slots
    return DeeperHeel(way, new, 0, depth, depth / per_mm, -fewer, stitches, words)
