"""Shaping a leg by the dial: which whole clicks at which rows, from the calf down to the ankle.

A bigger loop makes a wider tube: circumference grows as the loop does, so the girth a row fits is the ankle's times
loop / loop at the baseline. The loop at each click comes from `response`. Geometry; the even taper is our choice.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.dial import show_position
from hosewright.craft.errors import CraftError
from hosewright.craft.measured import Measured, half_up, nominal

if TYPE_CHECKING:
    from hosewright.craft.response import Response

LEAST_GIRTH_MM = 50.0
MOST_GIRTH_MM = 1000.0
WORTH_SAYING_ROWS = 1.0


@dataclass(frozen=True, slots=True)
class LegStep:
    """``rows`` of leg knitted at ``clicks`` below zero, the first of them leg row ``from_row`` (counted from 1).

    ``girth_mm`` is the leg this part fits as the ankle is fitted at the baseline; its error is the dial response's.
    ``larger`` is a loop of it over one at the baseline: so much wider and taller its stitches are, and so much more
    yarn they take.
    """

    rows: int
    clicks: int
    from_row: int = 1
    girth_mm: Measured | None = None
    larger: Measured | float = 1.0

    @property
    def more_rows(self) -> Measured | float:
        """How much longer these rows come out than at the baseline, and how much more yarn they take, in such rows."""
        return (self.larger - 1) * self.rows


def leg_schedule(
    response: Response,
    *,
    baseline_clicks: int,
    leg_rows: int,
    ankle_mm: float,
    calf_mm: float,
) -> tuple[tuple[LegStep, ...], tuple[str, ...]]:
    """Whole clicks down the leg, in knitting order from the calf to the ankle, ending at the baseline.

    The leg keeps at the calf the ease it has at the ankle: circumference, and so the loop, grows as the girths
    do. Rows are shared evenly between the clicks, as a leg tapers. Returns the steps and what to be told.
    Raises CraftError.
    """
    if leg_rows < 1 or baseline_clicks < 0:
        raise CraftError("A leg schedule needs at least one row and a baseline below zero.")
    if not all(LEAST_GIRTH_MM <= girth <= MOST_GIRTH_MM for girth in (ankle_mm, calf_mm)):
        raise CraftError("Ankle and calf girths are from 5 to 100 cm.")
    if nominal(response.rise_mm) <= 0:
        raise CraftError("These tubes say the dial works backwards: check which tube belongs to which position.")
    if calf_mm <= ankle_mm:
        straight = _step(response, leg_rows, baseline_clicks, baseline_clicks, 1, ankle_mm)
        return (straight,), ("The calf is no wider than the ankle: the leg stays at the baseline.",)
    loop = nominal(response.loop_at(baseline_clicks))
    needed = half_up(loop * (calf_mm / ankle_mm - 1) / nominal(response.rise_mm))
    top = min(needed, leg_rows - 1)
    notes = []
    if top < needed:
        notes.append(
            f"{leg_rows} rows leave one row a click, so the leg widens by {top} clicks of the {needed} wanted."
        )
    trusted = top
    while trusted and response.far_from_tubes(baseline_clicks + trusted):
        trusted -= 1
    if trusted < top:
        notes.append(
            f"The calf would want {show_position(baseline_clicks + needed, response.dial.clicks_per_turn)}; "
            f"the leg goes only as far as a turn from a measured tube, and the stretch must do the rest."
        )
    share, extra = divmod(leg_rows, trusted + 1)
    steps: list[LegStep] = []
    for place in range(trusted + 1):
        rows = share + (1 if place < extra else 0)
        first = steps[-1].from_row + steps[-1].rows if steps else 1
        steps.append(_step(response, rows, baseline_clicks + trusted - place, baseline_clicks, first, ankle_mm))
    return tuple(steps), (*notes, *_length_note(steps, leg_rows))


def dial_changes(steps: tuple[LegStep, ...]) -> tuple[tuple[int, int], ...]:
    """(rows of the leg already cranked, clicks below zero to set) for each step, the first at 0 rows."""
    return tuple((step.from_row - 1, step.clicks) for step in steps)


def _step(response: Response, rows: int, clicks: int, baseline: int, first: int, ankle_mm: float) -> LegStep:
    """A step with the girth it fits; the loops share one fit, so their common error cancels in the ratio."""
    bigger = response.loop_at(clicks) / response.loop_at(baseline)
    return LegStep(rows, clicks, first, bigger * ankle_mm, bigger)


def _length_note(steps: list[LegStep], leg_rows: int) -> tuple[str, ...]:
    """Bigger loops are taller too: say how many rows longer the leg comes out, and how to keep its length."""
    longer = math.fsum(nominal(step.more_rows) for step in steps)
    if longer < WORTH_SAYING_ROWS:
        return ()
    fewer = half_up(leg_rows * longer / (leg_rows + longer))
    return (
        f"The bigger loops also make taller rows: this leg comes out as long as {leg_rows + longer:.0f} rows at the "
        f"baseline; plan about {fewer} rows fewer to keep its length.",
    )
