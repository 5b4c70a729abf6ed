"""The two feet of one wearer: which to knit for, and when one size will not do for both.

Socks are made for the larger foot, as shoes are (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from hosewright.craft.errors import CraftError
from hosewright.craft.shoes import LONGEST_FOOT_MM, SHORTEST_FOOT_MM

WORTH_SAYING_MM = 5.0
LEAST_GIRTH_MM = 50.0
MOST_GIRTH_MM = 600.0


@dataclass(frozen=True, slots=True)
class FootMeasured:
    """One foot by tape, mm: heel to longest toe on the floor, standing; and round the ball where known."""

    length_mm: float
    girth_mm: float | None = None

    def __post_init__(self) -> None:
        if not SHORTEST_FOOT_MM <= self.length_mm <= LONGEST_FOOT_MM:
            raise CraftError("A foot is from 8 to 40 cm long: measure heel to longest toe on the floor, standing.")
        if self.girth_mm is not None and not LEAST_GIRTH_MM <= self.girth_mm <= MOST_GIRTH_MM:
            raise CraftError("A ball girth is from 5 to 60 cm: measure round the widest part of the foot.")


@dataclass(frozen=True, slots=True)
class TwoFeet:
    """What to knit for, mm. The difference is left less right; ``own_sizes`` when each foot wants its own sock."""

    length_mm: float
    girth_mm: float | None
    length_difference_mm: float
    own_sizes: bool
    notes: tuple[str, ...]


def two_feet(left: FootMeasured, right: FootMeasured) -> TwoFeet:
    """The larger length and the larger girth of the two feet, flagging a length more than 5 mm apart.

    The two may come from different feet, which is said. 5 mm is our line: about two rows.
    """
    apart = left.length_mm - right.length_mm
    girths = [foot.girth_mm for foot in (left, right) if foot.girth_mm is not None]
    round_apart = None
    if left.girth_mm is not None and right.girth_mm is not None:
        round_apart = left.girth_mm - right.girth_mm
    own = abs(apart) > WORTH_SAYING_MM
    notes = []
    if own:
        longer, other = ("left", "right") if apart > 0 else ("right", "left")
        notes.append(
            f"The {longer} foot is {abs(apart):.0f} mm longer than the {other}: plan each sock for its own foot, "
            f"or both for the {longer}; measure both once more first."
        )
    elif apart:
        notes.append(f"The feet differ by {abs(apart):.0f} mm in length: both socks are planned for the longer.")
    if round_apart is not None and apart * round_apart < 0:
        notes.append(
            "The longer foot is the slimmer one: the length is taken from one foot and the girth from the other."
        )
    elif round_apart:
        fuller = "left" if round_apart > 0 else "right"
        notes.append(
            f"Round the ball the {fuller} foot is {abs(round_apart):.0f} mm larger: both socks are planned for it."
        )
    if len(girths) == 1:
        notes.append("Only one foot was measured round the ball: measure the other too, since the larger one counts.")
    return TwoFeet(max(left.length_mm, right.length_mm), max(girths, default=None), apart, own, tuple(notes))
