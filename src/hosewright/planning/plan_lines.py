"""Every line of a plan that is typed or chosen, declared once: its name, its help, how it is read and said back.

The planning screen, the screens beside it and the command line all read by these fields.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, cast

from hosewright.craft import CraftError
from hosewright.craft.cuffs import MOST_CUFF_ROWS
from hosewright.craft.deeper_heel import MOST_EXTRA_ROWS
from hosewright.craft.feet import MOST_GIRTH_MM, check_longest_foot
from hosewright.craft.fit import MOST_EASE, PLAIN_EASE
from hosewright.craft.heels import MOST_GUSSET
from hosewright.craft.leg import MOST_GIRTH_MM as MOST_LEG_GIRTH_MM
from hosewright.craft.ribs import read_rib
from hosewright.craft.shoes import FootSize, read_size
from hosewright.craft.size_table import STEP_MM
from hosewright.craft.sock import LENGTH_EASE_MM
from hosewright.craft.stripes import read_stripes
from hosewright.craft.turning import MOST_EXTRA_PASSES, MOST_NEEDLES, Turning
from hosewright.craft.units import read_length, read_number, read_whole, show_length
from hosewright.phrases.days import days_of, read_past_day
from hosewright.phrases.field import Field, length, no_size, number, whole
from hosewright.planning.choices import (
    CUFF,
    DEEPEN,
    END,
    HEEL,
    LOWERING,
    PLAIN_PASSES,
    REINFORCED,
    SHAPED,
    USUAL_PATTERN,
)
from hosewright.planning.explanations import MORE, explained

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from hosewright.craft.feet import Sex
    from hosewright.craft.leg import LegName
    from hosewright.logbook.records.shelf import Wearer


USUAL_CUFF_ROWS = 16
USUAL_LEG_MM = 140.0
USUAL_ROWS_DEEPER = "4"
MOST_TUBE_MM = 600.0
MOST_LEG_MM = 900.0
MOST_HEEL_ANKLE_MM = 900.0
MOST_LENGTH_EASE_MM = 100.0
LEAST_FOOT_MM = 60.0
MOST_TUBES = 100_000
_LEG_NAMES = {"ankle": "ankle", "crew": "crew", "midcalf": "mid-calf", "calf": "mid-calf", "knee": "knee"}
_LEG = re.compile(r"(ankle|crew|mid[- ]?calf|calf|knee)(?:,?\s+(?:for )?(men|women))?")
_NONE = re.compile(r"none|no|0+(?:[.,]0*)?\s*(?:in|cm|mm|\")?")

GAUGE = Field("gauge", "Gauge", "the tube it is worked out from", choices=(), blank="none chosen")


def read_numbers(text: str) -> tuple[int, ...]:
    """Whole numbers typed one after another: "2, 4". Raises CraftError."""
    words = re.findall(r"[^\s,;]+", text)
    return tuple(read_whole(word, what="tube's number", least=1, most=MOST_TUBES) for word in words)


WITHOUT = Field(
    "without",
    "Leave out",
    "tubes, by number",
    read_numbers,
    lambda numbers: ", ".join(map(str, numbers)),
    example="2",
    empty=(),
)
WEARER = Field("wearer", "Wearer", "whose measures are taken", choices=(), blank="nobody in particular")


def usual_texts(wearer: Wearer | None, cuff: str, unit: str) -> dict[str, str]:
    """What stands on the lines before anyone types: this wearer's measures, and what is usual with this cuff."""
    measures = (
        {
            "tube": wearer.fitting_tube_mm,
            "foot": wearer.foot_mm,
            "ankle": wearer.ankle_mm,
            "calf": wearer.calf_mm,
        }
        if wearer
        else {}
    )
    measured = {name: show_length(mm, unit) for name, mm in measures.items() if mm}
    return {
        "tube": "",
        "foot": wearer.shoe_size if wearer else "",
        "ease": show_length(LENGTH_EASE_MM, unit),
        "leg": show_length(USUAL_LEG_MM, unit),
        "rows": str(USUAL_CUFF_ROWS),
        "pattern": USUAL_PATTERN.get(cuff, ""),
        "deeper": USUAL_ROWS_DEEPER,
        **measured,
    }


@dataclass(frozen=True, slots=True)
class LegTyped:
    """A leg by its length in mm, or by its name and whose heights to estimate it from."""

    mm: float = 0.0
    name: LegName | None = None
    sex: Sex | None = None


def sock_fields(unit: str = "in", slots: int | None = None) -> dict[str, Field]:
    """The lines of a sock by name, in the order they are read; ``slots``: of the gauge, where one is chosen."""

    def left(text: str, before: Mapping[str, Any]) -> int:
        """Needles left in work, checked against the heel half when the slots are known. Raises CraftError."""
        found = read_whole(text, what="number of needles left in work", least=1, most=MOST_NEEDLES)
        if slots is not None:
            Turning(slots // 2, found, before.get("lowering", "far"))
        return found

    left_in_work = Field("left", "Left in work", "a third is usual", example="10", beside=left)
    fields = (
        no_size(
            length(
                "tube", "Sock's tube", "of a sock that fits", unit, MOST_TUBE_MM, what="tube length", example="148 mm"
            ),
            "Foot length",
        ),
        Field(
            "foot",
            "Foot length",
            "or a size: EU 42",
            lambda text: read_foot(text, unit),
            lambda foot: _show_foot(foot, unit),
            unit,
            example="EU 42",
            empty=(None, None),
        ),
        length_ease("ease", unit),
        CUFF,
        Field("pattern", "Rib", "such as 3x1", lambda text: text.strip().lower(), example="3x1", empty=""),
        Field("rows", "Cuff rows", "as cranked; even if hung", example="16", beside=_read_rows),
        Field(
            "leg",
            "Leg",
            "or crew, or knee women",
            lambda text: read_leg(text, unit),
            lambda leg: _show_leg(leg, unit),
            unit,
            example="knee women",
            empty=LegTyped(),
        ),
        rib_line("leg_rib", "Leg's rib", "3x1, or 3x1 latched"),
        rib_line("instep_rib", "Instep's rib", "as the leg's"),
        Field(
            "stripes",
            "Stripes",
            "such as 8 navy, 4 tan",
            read_stripes,
            lambda stripes: stripes.words,
            example="8 navy, 4 tan",
            more=MORE["stripes"],
        ),
        SHAPED,
        length("ankle", "Ankle girth", "at the narrowest", unit, MOST_LEG_GIRTH_MM, example="22 cm"),
        length("calf", "Calf girth", "at the widest", unit, MOST_LEG_GIRTH_MM, example="36 cm"),
        HEEL,
        END,
        whole(
            "heel_needles",
            "Heel needles",
            "half is usual",
            4,
            slots or MOST_NEEDLES,
            what="number of heel needles",
            example="38",
        ),
        whole(
            "gusset",
            "Gusset",
            "needles on each side",
            1,
            MOST_GUSSET,
            what="number of gusset needles",
            example="6",
        ),
        LOWERING,
        left_in_work,
        Field("toe", "Left at the toe", "as at the heel if empty", example="10", beside=left),
        DEEPEN,
        whole("deeper", "Rows deeper", "1 to 50", 1, MOST_EXTRA_ROWS, what="number of rows deeper", example="4"),
        PLAIN_PASSES,
        REINFORCED,
        whole(
            "part",
            "Into the heel",
            "stitches; best is 0",
            0,
            (slots or MOST_NEEDLES) - 1,
            what="number of stitches",
            empty=0,
        ),
        Field("name", "Name", "what lists call the plan", example="the baker's long socks"),
        whole("extra_rows", "Extra rows", "before the heel", 0, MOST_EXTRA_ROWS, what="number of extra rows", empty=0),
        whole(
            "extra_passes",
            "Extra passes",
            "before the heel narrows; even",
            0,
            MOST_EXTRA_PASSES,
            what="number of extra passes",
            empty=0,
        ),
    )
    return {field.name: field for field in explained(fields)}


def rib_line(name: str, label: str, help_words: str) -> Field:
    """The line of a rib, read as it is typed and empty for none."""
    return Field(name, label, help_words, _read_rib, example="3x1", empty="", more=MORE["rib"])


def _read_rib(text: str) -> str:
    """A rib as it is typed, or nothing for none. Raises CraftError."""
    if _NONE.fullmatch(text.strip().lower()):
        return ""
    pattern, way = read_rib(text)
    return f"{pattern} latched" if way == "latched" else pattern


def read_foot(text: str, unit: str = "in") -> tuple[float, FootSize | None]:
    """A foot's length in mm, typed as a length or as a shoe size. Raises CraftError."""
    if text.strip()[:1].isalpha():
        size = read_size(text)
        return size.foot_mm, size
    mm = read_length(text, unit, what="foot length")
    check_longest_foot(mm)
    if mm < LEAST_FOOT_MM:
        raise CraftError(
            f"A foot of {show_length(mm, unit)} is too short: type its length with a unit, or a size such as EU 42."
        )
    return mm, None


def _show_foot(foot: tuple[float | None, FootSize | None], unit: str) -> str:
    mm, size = foot
    if size is not None:
        return f"{size.scale} {size.size:g} {size.width}".strip()
    return show_length(mm, unit) if mm else ""


def read_leg(text: str, unit: str = "in") -> LegTyped:
    """A leg typed as a length, as none, or by name, with men or women where it must be estimated."""
    plain = " ".join(text.lower().split())
    named = _LEG.fullmatch(plain)
    if named is not None:
        name = _LEG_NAMES[re.sub("[- ]", "", named[1])]
        return LegTyped(name=cast("LegName", name), sex=cast("Sex | None", named[2]))
    if plain[:1].isalpha() and _NONE.fullmatch(plain) is None:
        raise CraftError(
            "A leg is ankle, crew, mid-calf or knee (with men or women, such as knee women), none, or a length."
        )
    return LegTyped(_length_or_none(text, unit, "leg length", MOST_LEG_MM))


def _show_leg(leg: LegTyped, unit: str) -> str:
    if leg.name is not None:
        return f"{leg.name} {leg.sex or ''}".strip()
    return show_length(leg.mm, unit) if leg.mm else "none"


def length_ease(name: str, unit: str) -> Field:
    """How much shorter than the foot, mm; none at all is an answer, and empty is the usual."""
    return Field(
        name,
        "Ease in length",
        "shorter than the foot",
        lambda text: _length_or_none(text, unit, "ease", MOST_LENGTH_EASE_MM),
        lambda mm: show_length(mm, unit),
        unit,
        empty=LENGTH_EASE_MM,
        more=MORE["ease"],
    )


def _length_or_none(text: str, unit: str, what: str, most_mm: float) -> float:
    """A length in mm that may be none at all. Raises CraftError."""
    if _NONE.fullmatch(text.strip().lower()):
        return 0.0
    return read_length(text, unit, what=what, most_mm=most_mm)


def _read_rows(text: str, before: Mapping[str, Any]) -> int | None:
    """Rows of the cuff that was chosen, None where there is none. Raises CraftError."""
    if before.get("cuff", "none") == "none":
        return None
    return read_whole(text, what="number of cuff rows", least=1, most=MOST_CUFF_ROWS)


# --- lines of the screens and verbs beside the plan: ease round, girths, days, rows wanted ----------------------------


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
