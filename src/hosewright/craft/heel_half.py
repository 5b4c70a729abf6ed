"""Which half of the cylinder the heel is turned on, and at which of its ends the carrier comes in.

Needles of the heel half are numbered 1 to H from the left, as the knitter sits. Where nothing is said of a machine the
half lies towards the knitter and the carrier comes in at its left end. Source: common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from hosewright.craft.turning import Side

HeelHalf = Literal["", "towards you", "away from you"]
CarrierTurns = Literal["", "clockwise", "anticlockwise"]


def comes_in(half: HeelHalf, turns: CarrierTurns) -> Side:
    """The end of the heel half where the carrier comes in from the instep, cranked forward.

    ``turns`` is seen from above: clockwise goes from right to left on the half towards the knitter, and from left to
    right on the other.
    """
    if not turns:
        return "left"
    return "right" if (turns == "clockwise") != (half == "away from you") else "left"


def heel_half_words(needles: int, half: HeelHalf = "", turns: CarrierTurns = "", part_row: int = 0) -> str:
    """Where the heel half of ``needles`` is, how it is numbered, which way the carrier goes, where a row begins.

    ``part_row``: so many stitches before the carrier comes in; none is best.
    """
    side = comes_in(half, turns)
    first = 1 if side == "left" else needles
    said = (
        f"The heel half is the half {half or 'towards you'}: needle 1 is at its left end as you sit, needle {needles} "
        "at its right. "
    )
    row = "a row begins and ends there"
    if part_row:
        row = f"a row begins and ends {part_row} stitches before that"
    if turns:
        return said + (
            f"The crank turns the carrier {turns} seen from above, so it comes to the heel half at the {side} end, by "
            f"needle {first}. {row.capitalize()}."
        )
    return said + (
        f"The carrier is taken to come to it at the {side} end, by needle {first}, and {row}. If "
        "yours comes in at the other end, say in the machine's record which way the crank turns it."
    )
