"""Numbers with their errors and lengths, as the prints and the command line write them."""

from __future__ import annotations

import math

from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, show_number
from hosewright.phrases.lists import many

PER_UNIT_MM = {"in": MM_PER_INCH, "cm": MM_PER_CM, "mm": 1.0}


def plus_minus(value: float, error: float, least_decimals: int = 0) -> str:
    """A number with its standard error, both cut where the error stops meaning anything: 10.30 ± 0.04."""
    if not error:
        return show_number(value, 4)
    figures = 2 if f"{error:e}"[0] == "1" else 1  # a leading 1 is too coarse for one figure
    decimals = max(least_decimals, 0, figures - 1 - math.floor(math.log10(error)))
    return f"{value:.{decimals}f} ± {error:.{decimals}f}"


def length_plus_minus(mm: float, error_mm: float, unit: str) -> str:
    """A length in mm with its error, in ``unit``: "4.53 ± 0.02 in"."""
    per = PER_UNIT_MM[unit]
    return f"{plus_minus(mm / per, error_mm / per)} {unit}"


def error_words(error_mm: float, unit: str) -> str:
    """An error alone, in the ``unit`` of the length it belongs to: "± 0.08 in"."""
    return f"± {length_plus_minus(0.0, error_mm, unit).rpartition('± ')[2]}"


def clicks_words(clicks: int) -> str:
    """Clicks as they are said: "1 click", "27 clicks"."""
    return many(clicks, "click")
