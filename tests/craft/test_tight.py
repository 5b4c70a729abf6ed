"""Where a sock is tight. The stretch is held against published girths and against numbers summed by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.measured import measured
from hosewright.craft.tight import BALL_ALONG, Girth, girths, heel_reaches, lie, loosest, stretched, tightest

INCH = 25.4


def test_published_lasts_stretch_more_round_the_instep_than_round_the_joints() -> None:
    """F. Y. Golding, The Manufacture of Boots and Shoes (author's name from memory), "Classed Standard Measures".

    A sample lady's foot, size 4: joints 8 in, instep 8 1/2 in. A tube of 7.2 in is stretched 11.1 % and 18.1 %.
    """
    ball, instep = (
        lie(Girth("ball", 8 * INCH), measured(7.2 * INCH)),
        lie(Girth("instep", 8.5 * INCH), measured(7.2 * INCH)),
    )
    assert ball.stretch == pytest.approx(0.1111, abs=1e-4)
    assert instep.stretch == pytest.approx(0.1806, abs=1e-4)
    assert tightest([ball, instep]) is instep
    assert loosest([ball, instep]) is ball


def test_the_ball_of_women_lies_where_that_of_men_does() -> None:
    """ANSUR II (Gordon et al. 2014): ball of foot length 182.05 mm, foot length 246.29 mm, 1986 women."""
    assert pytest.approx(182.05 / 246.29, rel=0.003) == BALL_ALONG


def test_sides_stand_apart_only_where_they_differ_by_more_than_a_tape() -> None:
    assert girths("calf", 371.0, 370.0, 371.0) == [Girth("calf", 371.0)]
    assert girths("calf", None, 368.0, 371.0) == [Girth("calf", 371.0)]  # 3 mm: what a tape differs by (ours)
    assert [one.mm for one in girths("calf", 371.0, 371.5, 368.0)] == [371.5, 368.0]
    left, right = girths("calf", 371.0, 364.0, 371.0)
    assert (left.place, right.place) == ("the left calf", "the right calf")
    assert girths("ball", None, 228.0, 236.0)[0].place == "the ball of the left foot"
    assert girths("instep", None) == []


def test_the_error_of_a_stretch_is_that_of_the_tube() -> None:
    """By hand: 240 / 216 is 1.1111; a tube known to 2 % leaves 0.0222 of it."""
    one = lie(Girth("instep", 240.0), measured(216.0, 4.32))
    assert one.stretch_error == pytest.approx(0.0222, abs=1e-4)


def test_words() -> None:
    assert stretched(0.124) == "stretched 12 %"
    assert stretched(-0.031) == "3 % to spare"
    assert stretched(0.004) == "just its size"
    assert lie(Girth("ankle", 225.0), measured(216.0)).words == "stretched 4 % round the ankle"


def test_a_heel_too_shallow_says_how_many_rows_are_missing() -> None:
    """By hand: 78 less 62 mm is 16 mm; at 0.42 rows a mm that is 6.72, so 7 rows."""
    assert heel_reaches(62.0, 78.0, 0.42) == (16.0, 7)
    assert heel_reaches(80.0, 78.0, 0.42) == (0.0, 0)


def test_nothing_goes_round_nothing() -> None:
    with pytest.raises(CraftError, match="more than zero"):
        lie(Girth("calf", 0.0), measured(216.0))


@given(st.lists(st.floats(50, 900), min_size=1, max_size=8), st.floats(100, 400))
def test_no_place_is_tighter_than_the_tightest_or_looser_than_the_loosest(mms: list[float], round_mm: float) -> None:
    lies = [lie(Girth("calf", mm), measured(round_mm)) for mm in mms]
    assert loosest(lies).girth.mm == min(mms)
    assert tightest(lies).girth.mm == max(mms)
