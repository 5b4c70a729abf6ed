"""What is typed on the planning screen, read: lengths in mm, or a sentence for every line that cannot be used."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, cast

from hosewright.craft.cuffs import (
    MOST_CUFF_ROWS,
    Cuff,
    evenness,
    hung_hem,
    mock_rib,
    picot_edge,
    read_needle_out,
    ribber_rib,
    rolled_edge,
)
from hosewright.craft.errors import CraftError
from hosewright.craft.feet import LONGEST_FOOT_MM
from hosewright.craft.shoes import FootSize, read_size
from hosewright.craft.sock import LENGTH_EASE_MM
from hosewright.craft.turning import Lowering, PlainPasses, Turning
from hosewright.craft.units import read_length, read_whole, show_length

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.craft.feet import Sex
    from hosewright.craft.leg import LegName

CuffChoice = Literal["none", "hem", "picot", "rolled", "mock", "mock-single", "ribber", "ribber-selvedge"]
Deepen = Literal["none", "rows", "passes", "needles"]

FIELDS = ("tube", "foot", "ease", "pattern", "rows", "leg", "ankle", "calf", "left", "toe", "deeper", "part")
HUNG = ("hem", "picot", "mock")
RIBBED = ("mock", "mock-single", "ribber", "ribber-selvedge")
USUAL_CUFF_ROWS = 16
_LEG_NAMES = {"ankle": "ankle", "crew": "crew", "midcalf": "mid-calf", "calf": "mid-calf", "knee": "knee"}
_LEG = re.compile(r"(ankle|crew|mid[- ]?calf|calf|knee)(?:,?\s+(?:for )?(men|women))?")


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands on the screen, as text, and what is chosen there."""

    name: str = ""
    tube: str = ""
    foot: str = ""
    ease: str = ""
    cuff: CuffChoice = "none"
    pattern: str = ""
    rows: str = ""
    leg: str = ""
    shaped: bool = False
    ankle: str = ""
    calf: str = ""
    left: str = ""
    toe: str = ""
    part: str = ""
    deepen: Deepen = "none"
    deeper: str = ""
    lowering: Lowering = "far"
    plain_passes: PlainPasses = False


@dataclass(frozen=True, slots=True)
class LegTyped:
    """A leg by its length in mm, or by its name and whose heights to estimate it from."""

    mm: float = 0.0
    name: LegName | None = None
    sex: Sex | None = None


@dataclass(frozen=True, slots=True)
class Values:
    """What was typed, read. Lengths in mm; ``deeper`` in rows."""

    tube_mm: float | None
    foot_mm: float | None
    foot_size: FootSize | None
    ease_mm: float
    cuff: Cuff | None
    leg: LegTyped
    ankle_mm: float | None
    calf_mm: float | None
    left: int | None
    toe_left: int | None
    part_row: int
    deeper: int


def read_values(typed: Typed, slots: int | None, unit: str = "in") -> tuple[Values | None, dict[str, str]]:
    """What was typed, or what is wrong with it by field."""
    problems: dict[str, str] = {}

    def read(name: str, reader: Callable[[str], Any], empty: Any = None) -> Any:
        text = getattr(typed, name)
        if not text.strip():
            return empty
        try:
            return reader(text)
        except ValueError as wrong:
            problems[name] = str(wrong)
            return empty

    def girth(what: str) -> Callable[[str], float]:
        return lambda text: read_length(text, unit, what=f"{what} girth", most_mm=1000.0)

    tube = read("tube", lambda text: read_length(text, unit, what="tube length", most_mm=600.0))
    foot = read("foot", lambda text: read_foot(text, unit), (None, None))
    ease = read("ease", lambda text: read_length_or_none(text, unit, "ease", 100.0), LENGTH_EASE_MM)
    leg = read("leg", lambda text: read_leg(text, unit), LegTyped())
    ankle = read("ankle", girth("ankle")) if typed.shaped else None
    calf = read("calf", girth("calf")) if typed.shaped else None
    left = read("left", lambda text: read_left(text, slots, typed.lowering))
    toe = read("toe", lambda text: read_left(text, slots, typed.lowering))
    part = read("part", lambda text: read_whole(text, what="number of stitches", least=0, most=(slots or 200) - 1), 0)
    deeper = _deeper(typed, problems)
    cuff = _cuff(typed, slots, problems)
    if problems:
        return None, problems
    return Values(tube, foot[0], foot[1], ease, cuff, leg, ankle, calf, left, toe, part, deeper), {}


def read_foot(text: str, unit: str = "in") -> tuple[float, FootSize | None]:
    """A foot's length in mm, typed as a length or as a shoe size. Raises CraftError."""
    if text.strip()[:1].isalpha():
        size = read_size(text)
        return size.foot_mm, size
    mm = read_length(text, unit, what="foot length", most_mm=LONGEST_FOOT_MM)
    if mm < 60:
        raise CraftError(
            f"A foot of {show_length(mm, unit)} is too short: type its length with a unit, or a size such as EU 42."
        )
    return mm, None


def read_leg(text: str, unit: str = "in") -> LegTyped:
    """A leg typed as a length, as none, or by name, with men or women where it must be estimated."""
    plain = " ".join(text.lower().split())
    named = _LEG.fullmatch(plain)
    if named is not None:
        name = _LEG_NAMES[re.sub("[- ]", "", named[1])]
        return LegTyped(name=cast("LegName", name), sex=cast("Sex | None", named[2]))
    if plain[:1].isalpha() and plain not in ("none", "no"):
        raise CraftError(
            "A leg is ankle, crew, mid-calf or knee (with men or women, such as knee women), none, or a length."
        )
    return LegTyped(read_length_or_none(text, unit, "leg length", 900.0))


def read_length_or_none(text: str, unit: str, what: str, most_mm: float) -> float:
    """A length in mm that may be none at all. Raises CraftError."""
    if text.strip().lower() in ("0", "none", "no", "0 in", "0 cm", "0 mm"):
        return 0.0
    return read_length(text, unit, what=what, most_mm=most_mm)


def read_left(text: str, slots: int | None, lowering: Lowering) -> int:
    """Needles left in work, checked against the heel half when the slots are known. Raises CraftError."""
    left = read_whole(text, what="needles left in work", least=2, most=200)
    if slots is not None:
        Turning(slots // 2, left, lowering)
    return left


def _deeper(typed: Typed, problems: dict[str, str]) -> int:
    """How many rows deeper the heel is to be; 0 when it is to stay."""
    if typed.deepen == "none":
        return 0
    try:
        return read_whole(typed.deeper, what="number of rows deeper", least=1, most=50)
    except CraftError as wrong:
        problems["deeper"] = str(wrong)
        return 0


def _cuff(typed: Typed, slots: int | None, problems: dict[str, str]) -> Cuff | None:
    """The cuff chosen; what is wrong with it goes to the line it belongs to."""
    if typed.cuff == "none":
        return None
    try:
        rows = read_whole(typed.rows, what="number of cuff rows", least=2, most=MOST_CUFF_ROWS)
    except CraftError as wrong:
        problems["rows"] = str(wrong)
        return None
    if rows % 2 and typed.cuff in HUNG:
        problems["rows"] = f"A hung hem folds in two, so {rows} rows cannot be: type {rows - 1} or {rows + 1}."
        return None
    if slots is None:
        return None
    try:
        if typed.cuff == "hem":
            return hung_hem(slots, rows)
        if typed.cuff == "picot":
            return picot_edge(slots, rows)
        if typed.cuff == "rolled":
            return rolled_edge(slots, rows)
        return _rib(typed, slots, rows)
    except CraftError as wrong:
        problems["pattern" if typed.cuff in RIBBED else "rows"] = str(wrong)
        return None


def _rib(typed: Typed, slots: int, rows: int) -> Cuff:
    """A mock rib or a ribber's; a mock rib that does not come out even is kept when "uneven" is typed after it."""
    pattern = typed.pattern.strip().lower()
    if typed.cuff in ("ribber", "ribber-selvedge"):
        return ribber_rib(slots, pattern, rows, selvedge=typed.cuff == "ribber-selvedge")
    bare = pattern.removesuffix("uneven").rstrip(" ,")
    even = evenness(slots, read_needle_out(bare))
    if even.repeats and not even.even and bare == pattern:
        raise CraftError(f"{even.words} Type {bare} uneven to keep it.")
    return mock_rib(slots, bare, rows, hung=typed.cuff == "mock", allow_uneven=True)
