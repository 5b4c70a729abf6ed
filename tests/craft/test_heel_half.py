"""Where the carrier comes in, held against a walk round the cylinder as seen from above."""

from __future__ import annotations

import math

import pytest

from hosewright.craft.heels import heel_half_words
from hosewright.craft.turning import CarrierTurns, HeelHalf, Turning, comes_in

USUAL = (Turning(32, 10), Turning(32, 10))


def end_reached_first(half: HeelHalf, turns: CarrierTurns) -> str:
    """Which end of the half a carrier meets: the knitter sits at the bottom of the drawing, left of it on its left."""
    towards = half != "away from you"
    step = -1 if turns == "clockwise" else 1
    degrees = 90 if towards else 270  # the middle of the other half, by the compass of geometry: 90 is away
    for at in range(degrees, degrees + 360 * step, step):
        x, y = math.cos(math.radians(at)), math.sin(math.radians(at))
        if (y < -1e-9) if towards else (y > 1e-9):
            return "left" if x < 0 else "right"
    raise AssertionError


@pytest.mark.parametrize("half", ["", "towards you", "away from you"])
@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_carrier_comes_in_where_it_first_meets_the_half(half: HeelHalf, turns: CarrierTurns) -> None:
    assert comes_in(half, turns) == end_reached_first(half, turns)
    side = comes_in(half, turns)
    said = heel_half_words(*USUAL, half, turns)
    assert f"the half {half or 'towards you'}: needle 1 is at its left end as you sit, needle 32 at its right" in said
    assert f"turns the carrier {turns} seen from above" in said
    assert f"at the {side} end, by needle {1 if side == 'left' else 32}. A row begins and ends there." in said


def test_a_machine_of_which_nothing_is_said_is_taken_to_come_in_on_the_left_and_asked_about() -> None:
    assert comes_in("", "") == comes_in("away from you", "") == "left"
    assert "say in the machine's record which way the crank turns it" in heel_half_words(*USUAL)
