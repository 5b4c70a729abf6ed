"""Which cylinder and which dial position to choose, in words: all cylinders side by side, and a click of the dial."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import show_position
from hosewright.craft.measured import error, nominal
from hosewright.craft.units import PER_UNIT_MM, decimal_length, plus_minus
from hosewright.phrases.figures import error_words
from hosewright.phrases.lists import many

if TYPE_CHECKING:
    from hosewright.craft.fit import CylinderChoice, CylinderFit
    from hosewright.craft.response import ClickAnswer

HEADINGS = ("  Cylinder", "Round", "", "Ease", "Ball", "Heel", "Verdict")
SHORT_HEADINGS = ("  Cylinder", "Round", "", "Ease", "")
BEST = "*"
LONGEST_NAME = 18
SHOWN_MM = 0.5


def cylinder_rows(choice: CylinderChoice, unit: str = "in") -> list[tuple[str, ...]]:
    """Each cylinder under HEADINGS, the best one marked; the stretches on ball and heel in % of what it is relaxed."""
    return [
        (
            *row[:-1],
            f"{max(fit.ball_stretch, 0) * 100:.0f} %",
            "?" if fit.heel_stretch is None else f"{max(fit.heel_stretch, 0) * 100:.0f} %",
            row[-1],
        )
        for fit, row in zip(choice.fits, short_cylinder_rows(choice, unit), strict=True)
    ]


def short_cylinder_rows(choice: CylinderChoice, unit: str = "in", *, verdicts: bool = True) -> list[tuple[str, ...]]:
    """The same for a narrow place, under SHORT_HEADINGS; without verdicts for a foot at risk."""
    rows: list[tuple[str, ...]] = []
    for fit in choice.fits:
        best = verdicts and fit is choice.best and not choice.none_goes_on
        name, said = f"{BEST if best else ' '} {fit.cylinder.label[:LONGEST_NAME]}", fit.verdict if verdicts else ""
        rows.append((name, _round(fit, unit), _known(fit), f"{fit.ease * 100:.0f} %", said))
    return rows


def _known(fit: CylinderFit) -> str:
    return "measured" if fit.measured else "predicted"


def _round(fit: CylinderFit, unit: str) -> str:
    """A measurement with its error, a prediction as its range."""
    if fit.measured:
        return decimal_length(nominal(fit.circumference), unit)
    per, places = PER_UNIT_MM[unit], {"in": 1, "cm": 1, "mm": 0}[unit]
    low, high = (f"{mm / per:.{places}f}" for mm in (fit.low_mm, fit.high_mm))
    return f"{low} {unit}" if low == high else f"{low}-{high} {unit}"


def wanted_words(choice: CylinderChoice, unit: str = "in") -> str:
    """The circumference looked for, the cylinder to use or else the nearest, and how well its own is known."""
    best, wanted = choice.best, f"Wanted: {decimal_length(choice.wanted_mm, unit)} round."
    if choice.none_goes_on:
        return f"{wanted} None of these goes on over this heel."
    spread = error(best.circumference)
    sure = f" to {error_words(spread, unit)}" if spread >= SHOWN_MM else ""
    lead = "To use" if choice.fits_well else "None fits; the nearest"
    return f"{wanted} {lead}: {best.cylinder.label}, {_known(best)}{sure}."


def answer_lines(answer: ClickAnswer, per_mm: float, per: str, clicks_per_turn: int) -> list[str]:
    """The click, what it gives in rows per ``per`` (rows per mm x ``per_mm``), how surely, and what to heed."""
    rows = answer.rows_per_mm
    gives = plus_minus(nominal(rows) * per_mm, error(rows) * per_mm, 2)
    place = f"{many(answer.clicks, 'click')}, {show_position(answer.clicks, clicks_per_turn)}"
    exact = plus_minus(nominal(answer.exact), error(answer.exact), 1)
    return [
        f"Set the dial to {place}: that gives {gives} rows per {per}.",
        f"The exact answer is {exact} clicks: the chance that this click is the nearest is "
        f"{answer.chance * 100:.0f} %, and that it is at most one click away {answer.chance_within_one * 100:.0f} %.",
        *answer.notes,
    ]
