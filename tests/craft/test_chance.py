"""Chance, against scipy and by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hosewright.craft import CraftError
from hosewright.craft.chance import (
    Mean,
    any_of,
    binomial_tail,
    difference,
    odds_words,
    suspects,
    two_sided,
)


@given(st.integers(1, 60), st.integers(1, 400), st.data())
def test_the_binomial_tail_is_scipys(tries: int, one_in: int, data: st.DataObject) -> None:
    hits = data.draw(st.integers(0, tries))
    expected = float(stats.binom.sf(hits - 1, tries, 1 / one_in))
    assert binomial_tail(hits, tries, one_in) == pytest.approx(expected, rel=1e-9, abs=1e-300)
    test = stats.binomtest(hits, tries, 1 / one_in, alternative="greater")
    assert binomial_tail(hits, tries, one_in) == pytest.approx(float(test.pvalue), rel=1e-9, abs=1e-300)


def test_the_binomial_tail_by_hand() -> None:
    assert binomial_tail(0, 5, 60) == 1
    assert binomial_tail(1, 1, 60) == 1 / 60
    assert binomial_tail(2, 2, 6) == 1 / 36
    assert any_of(0.5, 60) == 1.0
    with pytest.raises(CraftError):
        binomial_tail(3, 2, 60)


@given(st.floats(-60, 60), st.floats(0.5, 500))
def test_students_t_is_scipys(statistic: float, freedom: float) -> None:
    expected = 2 * float(stats.t.sf(abs(statistic), freedom))
    assert two_sided(statistic, freedom) == pytest.approx(expected, rel=1e-8, abs=1e-300)


@given(st.floats(-30, 30))
def test_the_normal_law_is_scipys(statistic: float) -> None:
    assert two_sided(statistic, math.inf) == pytest.approx(2 * float(stats.norm.sf(abs(statistic))), rel=1e-9)


@given(
    st.floats(80, 150),
    st.floats(80, 150),
    st.floats(0.05, 3),
    st.floats(0.05, 3),
    st.integers(2, 20),
    st.integers(2, 9),
)
def test_without_a_tapes_limits_it_is_welchs_test(a: float, b: float, s: float, t: float, n: int, m: int) -> None:
    found = difference(Mean(a, s / math.sqrt(n), n, 0), Mean(b, t / math.sqrt(m), m, 0))
    expected = stats.ttest_ind_from_stats(b, t, m, a, s, n, equal_var=False)
    assert found.value == b - a
    assert found.statistic == pytest.approx(float(expected.statistic), rel=1e-9, abs=1e-12)
    assert found.odds == pytest.approx(float(expected.pvalue), rel=1e-7, abs=1e-300)
    assert found.test == "Welch's t test"


def test_with_nothing_but_limits_it_is_the_z_test() -> None:
    found = difference(Mean(11.0, 0, 1, 0.06), Mean(11.2, 0, 1, 0.08))
    assert found.value == pytest.approx(0.2)
    assert found.error == pytest.approx(0.1)  # 6, 8 and 10 hundredths
    assert found.statistic == pytest.approx(2.0)
    assert found.odds == pytest.approx(0.0455, abs=1e-4)  # the two-sigma chance of the normal law
    assert found.more_than_measuring
    assert found.test == "z test"
    with pytest.raises(CraftError):
        difference(Mean(1, 0, 3, 0), Mean(2, 0, 3, 0))
    with pytest.raises(CraftError):
        two_sided(1.0, 0.0)


def test_the_tapes_limits_add_certainty_to_the_freedom_and_not_to_the_answer() -> None:
    spread_only = difference(Mean(11.0, 0.05, 3, 0), Mean(11.3, 0.05, 3, 0))
    with_tape = difference(Mean(11.0, 0.05, 3, 0.05), Mean(11.3, 0.05, 3, 0.05))
    assert spread_only.freedom == pytest.approx(4.0)
    assert with_tape.freedom == pytest.approx(16.0)  # (2 x 0.005)^2 / (2 x 0.05^4 / 2), by hand
    assert abs(with_tape.statistic) < abs(spread_only.statistic)


def test_a_needle_that_keeps_dropping() -> None:
    found = suspects([23, 5, 23, 51, 23, 40, 12, 23, 9], 60)
    assert [(s.needle, s.hits, s.of) for s in found] == [(23, 4, 9)]
    assert found[0].odds == pytest.approx(60 * float(stats.binom.sf(3, 9, 1 / 60)), rel=1e-9)


@pytest.mark.parametrize(
    "needles",
    [[], [23], [23, 23], [1, 2, 3, 4, 5, 6, 7, 8, 9], [23, 23, 23, *range(1, 61)]],
    ids=["none", "one", "two of one", "all apart", "three of many"],
)
def test_silence_where_chance_will_do(needles: list[int]) -> None:
    assert suspects(needles, 60) == ()


def test_needles_the_cylinder_has_not() -> None:
    with pytest.raises(CraftError):
        suspects([61], 60)


def test_how_often_a_sound_machine_is_suspected() -> None:
    """On a machine whose needles are all alike the whole list speaks up at most once in a hundred times."""
    from random import Random

    chance = Random(72)
    spoke = sum(bool(suspects([chance.randint(1, 60) for _ in range(20)], 60)) for _ in range(4000))
    assert spoke / 4000 <= 0.01


@pytest.mark.parametrize(
    ("odds", "words"),
    [
        (0.5, "about as likely as not"),
        (0.9, "more likely than not"),
        (0.2, "about 1 in 5"),
        (0.045, "about 1 in 22"),
        (1 / 2640, "about 1 in 2,600"),
        (1e-9, "less than 1 in a million"),
    ],
)
def test_odds_in_words(odds: float, words: str) -> None:
    assert odds_words(odds) == words
