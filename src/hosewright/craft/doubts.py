"""What looks wrong with a measured gauge, and what would narrow it: sentences, each with a check to make."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from hosewright.craft.loops import tightness
from hosewright.craft.measured import error, nominal, show_rows
from hosewright.craft.units import show_length
from hosewright.craft.yarn import yarn_per_stitch

if TYPE_CHECKING:
    from hosewright.craft.gauge import Gauge, Readings

RATIO_BAND = (1.1, 1.5)
TIGHTNESS_BAND = (1.0, 1.7)
RELAXATION_BAND = (-35.0, 20.0)
WORTH_NARROWING_ROWS = 1.0
SPREAD_WORTH_SAYING = 2.0


def doubts(
    gauge: Gauge,
    tex: float | None = None,
    relaxation: float | None = None,
    width_relaxation: float | None = None,
) -> tuple[str, ...]:
    """Sentences about a gauge that cannot be quite right, each with the likely slip and how to check it.

    ``tex`` of the yarn if known; ``relaxation`` and ``width_relaxation`` in %, unwashed to washed.
    """
    found = [
        _ratio_doubt(gauge),
        _readings_doubt(gauge.lengths, "length"),
        _readings_doubt(gauge.flat_widths, "width"),
    ]
    if tex is not None:
        found += [_tightness_doubt(gauge, tex), _mass_doubt(gauge, tex)]
    for change, what in ((relaxation, "length"), (width_relaxation, "width")):
        if change is not None:
            found.append(_relaxation_doubt(change, what))
    return tuple(sentence for sentence in found if sentence)


def _ratio_doubt(gauge: Gauge) -> str:
    ratio = nominal(gauge.ratio)
    low, high = RATIO_BAND
    if low <= ratio <= high:
        return ""
    start = f"Rows to stitches is {ratio:.2f}, where a plain washed tube gives about 1.3 ({low} to {high})"
    if low <= ratio / 2 <= high:
        return (
            f"{start}: the circumference may have been typed as the flat width, "
            f"so measure once straight across the flat tube."
        )
    if low <= ratio * 2 <= high:
        return (
            f"{start}: half the flat width may have been typed, or half the slots had no needle in work; "
            f"measure across again and count the needles that knitted."
        )
    if ratio > high:
        return (
            f"{start}: the tube may have been stretched sideways, or separator rows counted as working rows; "
            f"lay it flat without pulling and measure and count again."
        )
    return (
        f"{start}: the length may have been stretched or take in separator rows, or needles were out of work; "
        f"lay the tube flat without pulling, measure the working rows only and count the needles that knitted."
    )


def _tightness_doubt(gauge: Gauge, tex: float) -> str:
    k = nominal(tightness(tex, gauge.loop_length_mm))
    low, high = TIGHTNESS_BAND
    if low <= k <= high:
        return ""
    looks, slip = ("loose", "higher") if k < low else ("tight", "lower")
    return (
        f"The tightness factor is {k:.2f}, {looks} for a sock ({low} to {high}): check the yarn's count on "
        f"its label and the rows counted, and if both are right try the next dial position {slip}."
    )


def _mass_doubt(gauge: Gauge, tex: float) -> str:
    if gauge.mass_per_stitch_g is None:
        return ""
    both = yarn_per_stitch(gauge.loop_length_mm, tex, gauge.mass_per_stitch_g, gauge.scale_share)
    return "" if both.agrees else both.notes[-1]


def _relaxation_doubt(percent: float, what: str) -> str:
    low, high = RELAXATION_BAND
    if low <= percent <= high:
        return ""
    change = "shorter" if percent < 0 else "longer"
    if what == "width":
        change = "narrower" if percent < 0 else "wider"
    return (
        f"The tube came out of the wash {abs(percent):.0f} % {change}, more than washing does: "
        f"check that both {what}s are of the same rows and in the same unit."
    )


def _readings_doubt(readings: Readings, what: str) -> str:
    width = max(readings.values_mm) - min(readings.values_mm)
    if width <= 2 * SPREAD_WORTH_SAYING * max(readings.half_width_mm, 1.0):
        return ""
    return (
        f"The {what} readings differ by {show_length(width, 'mm')}, more than the tape explains: "
        f"lay the tube flat again and take the odd one once more."
    )


def what_narrows(gauge: Gauge, planned_mm: float, unit: str = "in") -> tuple[str, ...]:
    """What would bring the error over ``planned_mm`` of sock down to one row; empty when it is already there.

    Worked out from u^2 = a^2 / 3 + s^2 / n: marks further apart divide the whole error, more readings only
    the part that scatters, a finer tape only the part that is the tape's.
    """
    rows = gauge.rows_in(planned_mm)
    spread = error(rows)
    if spread <= WORTH_NARROWING_ROWS:
        return ()
    shown = show_length(planned_mm, unit)
    said = [f"Over {shown} this gauge gives {show_rows(rows)}, which is more than one row either way."]
    longer = math.ceil(gauge.rows * spread / WORTH_NARROWING_ROWS)
    said.append(
        f"A tube of {longer} working rows, with the marks at its ends, would bring that to one row; "
        f"this one was measured over {gauge.rows}."
    )
    said.append(_readings_advice(gauge, nominal(rows)))
    return tuple(said)


def _readings_advice(gauge: Gauge, rows: float) -> str:
    """How many readings would do it, or why no number of them would."""
    taken = gauge.lengths
    n = len(taken.values_mm)
    allowed = (taken.mean * WORTH_NARROWING_ROWS / rows) ** 2
    tape = taken.half_width_mm**2 / 3
    from_tape = rows * math.sqrt(tape) / taken.mean
    if n > 1 and tape < allowed:
        needed = math.ceil(taken.spread**2 / (allowed - tape))
        return f"{needed} readings of the length instead of {n} would also do it, if they scatter as these do."
    if n == 1 and tape < allowed:
        return "More readings of the length would show how far they scatter."
    finer = math.sqrt(max(3 * (allowed - taken.spread**2 / n), 0.0))
    if finer > 0:
        return (
            f"More readings alone cannot do it, since the tape's own error is {from_tape:.1f} rows; "
            f"reading it to {finer:.1f} mm would."
        )
    return f"More readings alone cannot do it, since the tape's own error is {from_tape:.1f} rows."
