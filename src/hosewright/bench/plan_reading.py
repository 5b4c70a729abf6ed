"""What is typed on the planning screen, read: lengths in mm, or a sentence for every line that cannot be used."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hosewright.craft.errors import CraftError
from hosewright.craft.routes import LENGTH_EASE_MM
from hosewright.craft.shoes import FootSize, read_size
from hosewright.craft.turning import Lowering, Turning
from hosewright.craft.units import read_length, read_whole, show_length

if TYPE_CHECKING:
    from collections.abc import Callable

FIELDS = ("tube", "foot", "ease", "leg", "hem", "left")


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands on the screen, as text, and what is chosen there."""

    name: str = ""
    tube: str = ""
    foot: str = ""
    ease: str = ""
    leg: str = ""
    hem: str = ""
    left: str = ""
    lowering: Lowering = "far"
    plain_passes: bool = False


@dataclass(frozen=True, slots=True)
class Values:
    """What was typed, read. Lengths in mm."""

    tube_mm: float | None
    foot_mm: float | None
    foot_size: FootSize | None
    ease_mm: float
    leg_mm: float
    hem_rows: int
    left: int | None


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

    tube = read("tube", lambda text: read_length(text, unit, what="tube length", most_mm=600.0))
    foot = read("foot", lambda text: read_foot(text, unit), (None, None))
    ease = read("ease", lambda text: _or_zero(text, unit, "ease", 100.0), LENGTH_EASE_MM)
    leg = read("leg", lambda text: _or_zero(text, unit, "leg length", 900.0), 0.0)
    hem = read("hem", read_hem, 0)
    left = read("left", lambda text: read_left(text, slots, typed.lowering))
    if problems:
        return None, problems
    return Values(tube, foot[0], foot[1], ease, leg, hem, left), {}


def read_foot(text: str, unit: str = "in") -> tuple[float, FootSize | None]:
    """A foot's length in mm, typed as a length or as a shoe size. Raises CraftError."""
    if text.strip()[:1].isalpha():
        size = read_size(text)
        return size.foot_mm, size
    mm = read_length(text, unit, what="foot length", most_mm=400.0)
    if mm < 60:
        raise CraftError(
            f"A foot of {show_length(mm, unit)} is too short: type its length with a unit, or a size such as EU 42."
        )
    return mm, None


def _or_zero(text: str, unit: str, what: str, most_mm: float) -> float:
    """A length that may be none at all."""
    if text.strip().lower() in ("0", "none", "no", "0 in", "0 cm", "0 mm"):
        return 0.0
    return read_length(text, unit, what=what, most_mm=most_mm)


def read_hem(text: str) -> int:
    """Rows of a hung hem, which must be even. Raises CraftError."""
    rows = read_whole(text, what="hem rows", least=0, most=400)
    if rows % 2:
        raise CraftError(f"A hung hem folds in two, so {rows} rows cannot be: type an even number, or 0 for none.")
    return rows


def read_left(text: str, slots: int | None, lowering: Lowering) -> int:
    """Heel needles left in work, checked against the heel when the slots are known. Raises CraftError."""
    left = read_whole(text, what="needles left in work", least=2, most=200)
    if slots is not None:
        Turning(slots // 2, left, lowering)
    return left
