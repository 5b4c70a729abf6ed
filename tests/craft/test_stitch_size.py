"""The stitch size to expect: against numpy's least squares, and trials needed with it and without."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.searched import THIRTY, replayed, show, simulated, trials

from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.stitch_size import (
    ROOT_TEX_SPREAD,
    SCATTER_TURNS,
    SCATTER_WEIGHT,
    SLOPE_SPREAD,
    SLOPE_TURNS,
    StitchSize,
    expected_turns,
    start_of_search,
)

sizes = st.builds(StitchSize, st.floats(3, 12), st.floats(150, 400), st.integers(1, 5))


@given(st.lists(sizes, min_size=1, max_size=9), st.floats(150, 400))
def test_the_line_is_numpys_least_squares_with_the_prior_as_one_more_row(known: list[StitchSize], tex: float) -> None:
    root = np.sqrt([2 / (1 + 1 / one.searches) for one in known]) / SCATTER_TURNS
    x, y = np.sqrt([one.tex or 0.0 for one in known]), np.array([one.turns for one in known])
    rows = np.vstack([np.column_stack([root, root * x]), [0.0, 1 / SLOPE_SPREAD]])
    sought = np.append(root * y, SLOPE_TURNS / SLOPE_SPREAD)
    base, slope = np.linalg.lstsq(rows, sought, rcond=None)[0]
    found = expected_turns(known, tex)
    assert found is not None
    at = math.sqrt(tex)
    assert nominal(found) == pytest.approx(float(base + slope * at), abs=1e-6)
    # The error: numpy's covariance of the line, the scatter refined by what lies off it, and the new yarn's own.
    left = float(np.sum((root * (y - base - slope * x)) ** 2)) * SCATTER_TURNS**2
    scatter = (SCATTER_WEIGHT * SCATTER_TURNS**2 + left) / (SCATTER_WEIGHT + len(known) - 1)
    cov = np.linalg.inv(rows.T @ rows)
    total = float(np.sum(root**2)) * SCATTER_TURNS**2
    of_line = float(np.array([1.0, at]) @ cov @ np.array([1.0, at])) - SCATTER_TURNS**2 / total
    assert error(found) ** 2 == pytest.approx(scatter * (1 + 1 / total) + of_line, rel=1e-5, abs=1e-7)


def test_of_nothing_nothing_is_expected_and_one_yarn_says_by_the_prior() -> None:
    assert expected_turns([], 238.0) is None
    one = expected_turns([StitchSize(6.5, 225.0)], 256.0)
    assert one is not None
    assert nominal(one) == pytest.approx(6.5 + SLOPE_TURNS)  # the roots are 15 and 16
    assert error(one) == pytest.approx(math.sqrt(2 * SCATTER_TURNS**2 + SLOPE_SPREAD**2))


def test_a_yarn_without_its_count_is_expected_in_the_middle_and_less_surely() -> None:
    known = [StitchSize(6.0, 225.0), StitchSize(6.4, 256.0)]
    blind, seen = expected_turns(known, None), expected_turns(known, 240.0)
    assert blind is not None
    assert seen is not None
    assert nominal(blind) == pytest.approx(6.2)
    assert error(blind) > error(seen) + 0.1
    none = expected_turns([StitchSize(6.0, None), StitchSize(6.4, None)], 240.0)
    assert none is not None
    assert nominal(none) == pytest.approx(6.2)
    scatter = (SCATTER_WEIGHT * SCATTER_TURNS**2 + 0.08) / (SCATTER_WEIGHT + 1)
    assert error(none) == pytest.approx(math.sqrt(scatter * 1.5 + (SLOPE_TURNS * ROOT_TEX_SPREAD) ** 2))
    with_one = expected_turns([*known, StitchSize(9.0, None)], 240.0)
    assert with_one is not None
    assert nominal(with_one) < 6.2 + 2.8 / 3  # it counts for less than one whose count is known


@pytest.mark.parametrize(("turns", "per_turn", "clicks"), [(6.5, 4, 30), (6.6, 4, 30), (6.7, 4, 31), (6.5, 8, 60)])
def test_a_search_begins_a_full_turn_below(turns: float, per_turn: int, clicks: int) -> None:
    assert start_of_search(measured(turns, 0.5), per_turn) == clicks


def test_thirty_new_yarns_take_fewer_trials_and_the_first_verdict_is_drop() -> None:
    before, after = simulated(Random(1127), THIRTY)
    assert len(after) == THIRTY
    assert all(one.first == "drop" for one in after)
    assert sum(one.trials for one in after) < 0.8 * sum(one.trials for one in before)
    within = [abs(one.expected - one.truth) <= 2 * one.sure for one in after if one.sure]
    assert len(within) >= 25
    assert sum(within) >= 0.85 * len(within)
    assert show(before, after).count("\n") >= THIRTY


def test_the_samples_have_one_search_a_cylinder_and_begin_as_they_did() -> None:
    before, after = replayed()
    assert [one.trials for one in before] == [4, 3, 3]
    assert after == before


def test_trials_by_hand() -> None:
    # Up at 24 and above: 28 drops, 26 drops, 24 stays, which is found.
    assert trials(28, 24, 4) == (3, "drop")
    assert trials(24, 24, 4) == (3, "stay")  # then 28 and 26 drop
