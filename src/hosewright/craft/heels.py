"""A deeper heel for a high instep: three ways, and what each does to heel, leg and foot.

Rows before the heel lengthen the leg and leave the heel alone; extra passes over all the heel needles, or fewer
needles left in work, deepen the heel, and what it adds to the sole comes off the foot. Depth is the centre-line
first estimate of `routes.depth_rows`. Source: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from hosewright.craft.errors import CraftError
from hosewright.craft.measured import Measured, nominal
from hosewright.craft.routes import depth_rows
from hosewright.craft.turning import LEAST_LEFT_IN_WORK, Turning
from hosewright.craft.units import show_length

MOST_EXTRA_ROWS = 50


@dataclass(frozen=True, slots=True)
class DeeperHeel:
    """One way: the turning it makes, full rows before it, and the changes in rows and stitches against the plan.

    ``depth_rows`` is the whole heel's; ``foot_rows_change`` keeps the sock's length on the foot.
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
    heel: Turning, slots: int, rows_per_mm: Measured | float, extra_rows: int, unit: str = "in"
) -> tuple[DeeperHeel, ...]:
    """Every way to give the instep ``extra_rows`` more, 1 to 50; the needles' way only where enough are left in work.

    Fewer needles keep H and E of one parity, so an odd number of rows is rounded up to the next even one there.
    Raises CraftError.
    """
    if not 1 <= extra_rows <= MOST_EXTRA_ROWS:
        raise CraftError(f"Give a high instep from 1 to {MOST_EXTRA_ROWS} rows more, not {extra_rows}.")
    per_mm, before = nominal(rows_per_mm), depth_rows(heel)
    rows = DeeperHeel(
        "rows", heel, extra_rows, before, before / per_mm, 0, extra_rows * slots,
        f"{extra_rows} rows before the heel make the leg {show_length(extra_rows / per_mm, unit)} longer, which slides "
        f"down to the instep; the heel stays {before} rows deep.",
    )  # fmt: skip
    deeper = [
        _turned("passes", heel, replace(heel, extra_passes=heel.extra_passes + 2 * extra_rows), slots, per_mm, unit)
    ]
    left = heel.left_in_work - extra_rows - (extra_rows % 2)
    if left >= LEAST_LEFT_IN_WORK:
        deeper.append(_turned("needles", heel, replace(heel, left_in_work=left), slots, per_mm, unit))
    return (rows, *deeper)


def _turned(
    way: Literal["passes", "needles"], old: Turning, new: Turning, slots: int, per_mm: float, unit: str
) -> DeeperHeel:
    depth, more = depth_rows(new), depth_rows(new) - depth_rows(old)
    how = f"{new.extra_passes} plain passes before narrowing"
    if way == "needles":
        how = f"Narrowing to {new.left_in_work} needles instead of {old.left_in_work}"
    words = (
        f"{how} make the heel {more} rows deeper, {depth} in all ({show_length(depth / per_mm, unit)}); "
        f"the foot gets {more} rows fewer to stay as long."
    )
    if way == "needles":
        words = words.replace(" make ", " makes ", 1)
    stitches = new.stitches - old.stitches - more * slots
    return DeeperHeel(way, new, 0, depth, depth / per_mm, -more, stitches, words)
