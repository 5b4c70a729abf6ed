"""Gaps in ms, and what they are; the gap that is set for them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.counting.presses import LEAST_GAP_MS, NOTHING, Doubter, Judgement, kinds, look

HAND = [1040.0, 980.0, 1210.0]
BOUNCING = [1040.0, 15.0, 980.0, 1210.0, 6.0, 9.0, 900.0]
HELD = [1040.0, 480.0, *[33.3] * 30, 950.0]


@pytest.mark.parametrize(
    ("gaps", "found"),
    [
        ([], []),
        (HAND, ["row"] * 3),
        (BOUNCING, ["row", "bounce", "row", "row", "bounce", "bounce", "row"]),
        (HELD, ["row", "row", *["held"] * 30, "row"]),
        ([900.0, 4.0, 5.0, 4.0, 900.0], ["row", *["bounce"] * 3, "row"]),  # too quick for a keyboard's repeating
        ([900.0, *[33.0] * 9, 71.0, *[33.0] * 9, 900.0], ["row", *["held"] * 19, "row"]),  # one was told late
        ([900.0, 33.0, 33.0, 900.0], ["row", *["bounce"] * 2, "row"]),  # too few for a held key
    ],
)
def test_what_each_gap_is(gaps: list[float], found: list[str]) -> None:
    assert kinds(gaps) == found


def test_a_pedal_that_bounces_is_told_and_a_gap_that_fits_stays() -> None:
    seen = look(BOUNCING)
    assert (seen.presses, seen.rows, seen.bounces, seen.bounce_ms) == (8, 5, 3, 15.0)
    assert seen.words == [
        "8 presses, 5 rows by the look of it.",
        "It bounces: 3 times a second press came, at most 15 ms later.",
        "The quickest row came 900 ms after the one before.",
    ]
    assert seen.gap_for(120) == 120
    assert seen.gap_for(0) == LEAST_GAP_MS


def test_a_held_key_is_told_by_how_often_it_repeats() -> None:
    seen = look(HELD)
    assert (seen.rows, seen.repeats, round(seen.repeat_ms)) == (3, 30, 33)
    assert "It repeats while held down: 30 times a second. Let go sooner, or turn its repeating off." in seen.words
    assert seen.gap_for(20) == 50


def test_quick_hands_get_a_smaller_gap_and_what_no_gap_can_part_is_told() -> None:
    assert look([150.0, 160.0, 150.0]).gap_for(120) == 100
    assert look([1000.0, 110.0, 130.0]).gap_for(120) is None
    assert "neither bounces nor repeats" in " ".join(look(HAND).words)
    assert NOTHING.words == ["No key came. Does this terminal have the keyboard?"]


@given(st.lists(st.floats(min_value=0, max_value=5000), max_size=40), st.integers(0, 1000))
def test_the_gap_proposed_keeps_every_row_and_no_bounce(gaps: list[float], present: int) -> None:
    seen = look(gaps)
    gap = seen.gap_for(present)
    if gap is None:
        return
    doubter = Doubter(gap)
    at_ms = 0.0
    doubter.judge(at_ms)
    for length, kind in zip(gaps, kinds(gaps), strict=True):
        at_ms += length
        assert (doubter.judge(at_ms) is Judgement.ROW) is (kind == "row")
