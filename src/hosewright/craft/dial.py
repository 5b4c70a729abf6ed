"""The dial: whole clicks below the zero mark, shown as turns and quarters.

Positions are integers so they never drift. Down is a bigger stitch. Pitch and clicks a turn differ from maker to
maker: without the machine's own pitch no travel is known. Four clicks a turn where nobody says otherwise is ours.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from hosewright.craft import CraftError
from hosewright.craft.units import many, quoted, read_fraction

CLICKS_PER_TURN = 4
MOST_TURNS = 100
LEAST_PITCH_MM = 0.1
MOST_PITCH_MM = 10.0
MOST_CLICKS_PER_TURN = 64

_HINT = "turns below zero in quarters, such as 6 3/4, or clicks, such as 27 clicks"


@dataclass(frozen=True, slots=True)
class Dial:
    """A machine's stitch-size knob: thread pitch in mm per turn (None: nobody measured it) and clicks per turn."""

    pitch_mm: float | None = None
    clicks_per_turn: int = CLICKS_PER_TURN

    def __post_init__(self) -> None:
        if self.pitch_mm is not None and not LEAST_PITCH_MM <= self.pitch_mm <= MOST_PITCH_MM:
            raise CraftError(
                f"The dial's pitch must be between {LEAST_PITCH_MM:g} mm and {MOST_PITCH_MM:g} mm a turn: measure "
                "ten turns with a caliper and divide by ten."
            )
        _check_clicks_per_turn(self.clicks_per_turn)

    @property
    def click_mm(self) -> float | None:
        """How far one click moves the V-cam, in mm; None without a pitch."""
        return self.travel_mm(1)

    def travel_mm(self, clicks: int) -> float | None:
        """How far below the zero mark the V-cam sits at ``clicks``, in mm; None without a pitch."""
        return None if self.pitch_mm is None else self.pitch_mm * clicks / self.clicks_per_turn


def show_turns(clicks: int, clicks_per_turn: int = CLICKS_PER_TURN) -> str:
    """Clicks as turns and a fraction: 27 -> "6 3/4". Raises CraftError."""
    _check_clicks_per_turn(clicks_per_turn)
    sign = "-" if clicks < 0 else ""
    whole, part = divmod(Fraction(abs(clicks), clicks_per_turn), 1)
    if not part:
        return f"{sign}{whole}"
    return f"{sign}{f'{whole} ' if whole else ''}{part}"


def show_position(clicks: int, clicks_per_turn: int = CLICKS_PER_TURN) -> str:
    """A dial position in words: "6 3/4 turns below zero", "1/4 turn below zero", "at the zero mark".

    Raises CraftError.
    """
    if clicks < 0:
        raise CraftError("The dial cannot go above its zero mark: a position is 0 or more clicks below it.")
    if clicks == 0:
        return "at the zero mark"
    word = "turn" if clicks <= clicks_per_turn else "turns"
    return f"{show_turns(clicks, clicks_per_turn)} {word} below zero"


def read_position(text: str, clicks_per_turn: int = CLICKS_PER_TURN) -> int:
    """Clicks below zero from typed text: "6 3/4", "6.75 turns" or "27 clicks". Never rounds to a click.

    Raises CraftError.
    """
    _check_clicks_per_turn(clicks_per_turn)
    value, in_clicks = _typed(text, clicks_per_turn)
    clicks = value if in_clicks else value * clicks_per_turn
    if clicks.denominator != 1:
        raise CraftError(
            f"The dial position {quoted(text)} is not a whole click "
            f"({clicks_per_turn} clicks make a turn): type {_HINT}."
        )
    return int(clicks)


def clicks_typed(text: str, clicks_per_turn: int | None) -> int | None:
    """``read_position``, or None for turns on a dial whose clicks nobody counted (``clicks_per_turn`` is None).

    Raises CraftError.
    """
    if clicks_per_turn is not None:
        return read_position(text, clicks_per_turn)
    value, in_clicks = _typed(text, MOST_CLICKS_PER_TURN)
    return read_position(text, MOST_CLICKS_PER_TURN) if in_clicks or not value else None


def _typed(text: str, clicks_per_turn: int) -> tuple[Fraction, bool]:
    """The number typed, and whether it is of clicks. Raises CraftError."""
    shown = " ".join(text[:200].lower().split())
    if shown in ("zero", "at zero", "at the zero mark"):
        return Fraction(0), True
    shown = re.sub(r"\s*below( the)? zero( mark)?$", "", shown)
    bare, in_clicks = re.subn(r"\s*clicks?$", "", shown)
    if not in_clicks:
        bare = re.sub(r"\s*turns?$", "", shown)
    most = MOST_TURNS * clicks_per_turn if in_clicks else MOST_TURNS
    try:
        value = read_fraction(bare if len(text) <= 200 else text, what="dial position", least=0, most=most)
    except CraftError:
        raise CraftError(f"The dial has no position {quoted(text)}: type {_HINT}.") from None
    return value, bool(in_clicks)


def _check_clicks_per_turn(clicks_per_turn: int) -> None:
    if not 1 <= clicks_per_turn <= MOST_CLICKS_PER_TURN:
        raise CraftError(f"A dial has from 1 to {MOST_CLICKS_PER_TURN} clicks a turn: count them over one full turn.")


def dial_place(clicks: int, clicks_per_turn: int) -> str:
    """Where the dial is to be set or stands, to follow "to" and "at": "6 3/4 turns below zero", or "the zero mark".

    Raises CraftError above the zero mark.
    """
    return show_position(clicks, clicks_per_turn) if clicks else "the zero mark"


def dial_distance(clicks: int, clicks_per_turn: int) -> str:
    """How far to turn the dial: "half a turn", "a full turn", "2 clicks"; a half is said only where it is one."""
    if clicks == clicks_per_turn:
        return "a full turn"
    if 2 * clicks == clicks_per_turn:
        return "half a turn"
    return many(clicks, "click")
