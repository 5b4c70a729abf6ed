"""What looks wrong with a measured gauge: sentences, each naming the likely mistake and a check to make."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.loops import tightness
from hosewright.craft.measured import nominal
from hosewright.craft.sock_notes import LIKELY_SLOTS
from hosewright.craft.units import show_length
from hosewright.craft.yarn import yarn_per_stitch

if TYPE_CHECKING:
    from hosewright.craft.gauge import Gauge, Readings


RATIO_BAND = (1.1, 1.5)
USUAL = 1.3
TIGHTNESS_BAND = (1.0, 1.7)
LOOP_BAND_MM = (7.0, 25.0)
RELAXATION_BAND = (-35.0, 20.0)
UNIT_MISTAKE_BAND = 0.15
CM_PER_INCH = 2.54
SPREAD_WORTH_SAYING = 2.0
STITCHES_AN_INCH = (3.0, 25.0)
ROWS_AN_INCH = (4.0, 40.0)
MOST_APART = 1.5  # times


def impossible(gauge: Gauge) -> str:
    """Why no tube of a sock machine can have this gauge, in a sentence; empty when one can."""
    numbers = gauge.as_numbers()
    for what, band in (("stitches", STITCHES_AN_INCH), ("rows", ROWS_AN_INCH)):
        each = numbers[f"{what}_per_in"]
        if not band[0] <= each <= band[1]:
            return f"{each:.1f} {what} an inch cannot be: a sock machine gives from {band[0]:g} to {band[1]:g}."
    for readings, what in ((gauge.lengths, "lengths"), (gauge.flat_widths, "widths")):
        low, high = min(readings.values_mm), max(readings.values_mm)
        if high > MOST_APART * low:
            return f"The {what} cannot all be of one tube: {show_length(low, 'mm')} and {show_length(high, 'mm')}."
    return ""


def doubts(
    gauge: Gauge,
    tex: float | None = None,
    relaxation: float | None = None,
    width_relaxation: float | None = None,
    *,
    ribbed: bool = False,
) -> tuple[str, ...]:
    """Sentences about a gauge that cannot be quite right, each with the likely mistake and how to check it.

    ``tex`` of the yarn if known; ``relaxation`` and ``width_relaxation`` in %, unwashed to washed. What is known
    of plain knitting alone is not held against a ``ribbed`` tube.
    """
    found = [
        "" if ribbed else _ratio_doubt(gauge),
        _readings_doubt(gauge.lengths, "length"),
        _readings_doubt(gauge.flat_widths, "width"),
    ]
    if ribbed:
        tex = None
    elif tex is not None:
        found += [_tightness_doubt(gauge, tex), _mass_doubt(gauge, tex)]
    else:
        found.append(_loop_doubt(gauge))
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
    for times, halved, one, other in (
        (CM_PER_INCH, 2, "centimetres", "inches"),
        (1 / CM_PER_INCH, 0.5, "inches", "centimetres"),
    ):
        if low <= ratio * times <= high and abs(ratio * times - USUAL) < abs(ratio * halved - USUAL):
            return (
                f"{start}: {one} may have been taken for {other} in the length, or {other} for {one} in the width; "
                "type the unit after each number."
            )
    if low <= ratio / 2 <= high:
        return (
            f"{start}: the circumference may have been typed as the flat width, "
            f"so measure once straight across the flat tube."
        )
    if low <= ratio * 2 <= high:
        return (
            f"{start}: the flat width may have been given as if it were the way round, or half the slots had no "
            f"needle in work; measure straight across the flat tube and count the needles that knitted."
        )
    would_fit = round(gauge.slots * ratio / USUAL)
    slots = f"{gauge.slots} slots may not be this tube's"
    if LIKELY_SLOTS[0] <= would_fit <= LIKELY_SLOTS[1]:
        slots += f" (about {would_fit} would fit)"
    if ratio > high:
        return (
            f"{start}: the tube may have been stretched sideways, separator rows counted as working rows, or "
            f"{slots}; lay it flat without pulling, and measure and count again."
        )
    return (
        f"{start}: the length may have been stretched or take in separator rows, needles were out of work, or {slots}; "
        f"lay the tube flat without pulling, measure the working rows only and count the needles that knitted."
    )


def _loop_doubt(gauge: Gauge) -> str:
    """Where the yarn's count is not known only the loop itself tells of a unit wrong in length and width alike."""
    loop = nominal(gauge.loop_length_mm)
    low, high = LOOP_BAND_MM
    if low <= loop <= high:
        return ""
    return (
        f"A stitch of {loop:.0f} mm of yarn is {'more' if loop > high else 'less'} than a sock machine makes "
        f"({low:g} to {high:g} mm): the length may have been taken in the wrong unit; type the unit after the number."
    )


def _tightness_doubt(gauge: Gauge, tex: float) -> str:
    k = nominal(tightness(tex, gauge.loop_length_mm))
    low, high = TIGHTNESS_BAND
    if low <= k <= high:
        return ""
    # Length and width in the same wrong unit leave the ratio right: only the loop tells.
    how, way, unit = "loose", "higher", "centimetres may have been taken for inches, "
    mistake = "the count of one ply may stand for the whole yarn, or rows were left out of the count"
    if k > high:
        how, way, unit = "tight", "lower", "inches may have been taken for centimetres, "
        mistake = "the plies may have been counted twice, or separator rows counted as working rows"
    likely = low <= (k * CM_PER_INCH if k < low else k / CM_PER_INCH) <= high
    return (
        f"The tightness factor is {k:.2f}, {how} for a sock ({low} to {high}): {unit * likely}{mistake}; check "
        f"{'all' if likely else 'both'}, and if they are right try the next dial position {way}."
    )


def _mass_doubt(gauge: Gauge, tex: float) -> str:
    if gauge.mass_per_stitch_g is None:
        return ""
    both = yarn_per_stitch(gauge.loop_length_mm, tex, gauge.mass_per_stitch_g, gauge.scale_share)
    if both.agrees or both.disagreement_percent is None:
        return ""
    start = f"The tube weighs {abs(both.disagreement_percent):.0f} %"
    if both.disagreement_percent > 0:
        return (
            f"{start} more than its loop length allows, heavier: separator yarn may have been weighed with it, or it "
            f"was still damp; trim to the working rows, dry it, weigh again, and check the yarn's count on its label."
        )
    return (
        f"{start} less than its loop length allows, lighter: fewer rows may have been weighed than counted, or the "
        f"scale was not at zero; count the rows left, weigh again, and check the yarn's count on its label."
    )


def _relaxation_doubt(percent: float, what: str) -> str:
    low, high = RELAXATION_BAND
    if low <= percent <= high:
        return ""
    change = "shorter" if percent < 0 else "longer"
    if what == "width":
        change = "narrower" if percent < 0 else "wider"
    times = 1 + percent / 100
    start = f"The tube came out of the wash {abs(percent):.0f} % {change}, more than washing does"
    if _near(times, CM_PER_INCH) or _near(times, 1 / CM_PER_INCH):
        return f"{start}: one {what} was probably in inches and the other in cm; check the unit of both."
    if what == "width" and (_near(times, 2.0) or _near(times, 0.5)):
        return (
            f"{start}: one was probably the flat width and the other the way round; measure across, flat, both times."
        )
    return (
        f"{start}: rows may have been counted in one {what} that are not in the other, or it was measured stretched; "
        f"measure the same working rows again, flat and not pulled, in the same unit."
    )


def _near(value: float, mistake: float) -> bool:
    return abs(value / mistake - 1) <= UNIT_MISTAKE_BAND


def _readings_doubt(readings: Readings, what: str) -> str:
    width = max(readings.values_mm) - min(readings.values_mm)
    if width <= 2 * SPREAD_WORTH_SAYING * max(readings.half_width_mm, 1.0):
        return ""
    return (
        f"The {what} readings differ by {show_length(width, 'mm')}, more than the tape explains: "
        f"lay the tube flat again and take the odd one once more."
    )
