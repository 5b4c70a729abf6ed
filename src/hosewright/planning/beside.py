"""Lines of the screens and verbs beside the plan: ease round, girths, days, rows wanted."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.feet import MOST_GIRTH_MM
from hosewright.craft.fit import MOST_EASE, PLAIN_EASE
from hosewright.craft.size_table import STEP_MM
from hosewright.craft.units import read_length, read_number, show_length
from hosewright.phrases.days import days_of, read_past_day
from hosewright.phrases.field import Field, length, number, whole
from hosewright.planning.explanations import MORE
from hosewright.planning.plan_lines import MOST_HEEL_ANKLE_MM

if TYPE_CHECKING:
    from datetime import date

EASE_ROUND = Field(
    "ease",
    "Ease round, %",
    "10 is usual for plain knitting",
    lambda text: read_number(text.strip().removesuffix("%"), what="ease round", least=0, most=100 * MOST_EASE) / 100,
    lambda share: f"{share * 100:.0f}",
    "%",
    empty=PLAIN_EASE,
    more=MORE["ease round"],
)
SIZE_STEP = whole("step", "Step, mm", "of foot length, 5 to 40", 5, 40, what="step", empty=STEP_MM)


def ball_girth(unit: str) -> Field:
    """Round the ball of the foot, mm."""

    def read(text: str) -> float:
        mm = read_length(text, unit, what="ball girth")
        if mm > MOST_GIRTH_MM:
            raise CraftError(
                f"A girth of {mm:.0f} mm is more than any foot's ({MOST_GIRTH_MM / 10:.0f} cm): measure round the "
                "ball of the foot, and type the unit."
            )
        return mm

    helps, more = "the wearer's when empty", MORE["girth_mm"]
    return Field(
        "girth", "Ball girth", helps, read, lambda mm: show_length(mm, unit), unit, example="236 mm", more=more
    )


def heel_ankle_girth(unit: str) -> Field:
    """Round the heel and the bend of the ankle, mm."""
    helps, more = "the wearer's when empty", MORE["heel_ankle_mm"]
    return length("heel", "Heel-ankle girth", helps, unit, MOST_HEEL_ANKLE_MM, example="318 mm", more=more)


def days_between(today: date) -> Field:
    """From which day to which: a day, a month, a year, or two of them with "to"; (first, last), None for all days."""

    def read(text: str) -> tuple[date, date]:
        ends = [days_of(read_past_day(end, today)) for end in re.split(r"\s+to\s+", text.strip(), maxsplit=1)]
        if ends[0][0] > ends[-1][1]:
            raise CraftError("The first of these days is after the last: type the earlier one first.")
        return ends[0][0], ends[-1][1]

    return Field(
        "days",
        "Days",
        "such as 2025, or Mar 2025 to May 2026",
        read,
        lambda days: f"{days[0].isoformat()} to {days[1].isoformat()}",
        example="Mar 2025 to May 2026",
    )


def rows_wanted(unit: str) -> Field:
    """Rows per inch or, where ``unit`` is metric, per cm."""
    per = "inch" if unit == "in" else "cm"
    return number("rows", "Rows wanted", f"per {per}", 0.1, 100, what="number of rows", example="4.2")
