"""How faults lie: each test against scipy, numpy or a printed figure, and what is named of sound machines."""

from __future__ import annotations

import math
import random
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hosewright.craft import CraftError
from hosewright.craft.chance import any_of, binomial_tail
from hosewright.craft.faults import (
    Fault,
    Knitted,
    at_least,
    chi_squared_tail,
    dispersion,
    few_runs,
    how_they_lie,
    rayleigh,
    rayleigh_of,
    runs_of,
    shortest_arc,
    worst_of,
)


def even(slots: int) -> list[float]:
    return [1 / slots] * slots


def radians(*degrees: float) -> list[float]:
    return [math.radians(one) for one in degrees]


# --- one needle ------------------------------------------------------------------------------------------------


def test_the_worst_needle_is_exact() -> None:
    # Worked out from the multinomial law by series in whole numbers.
    assert worst_of(3, 10, even(60)) == pytest.approx(0.0303867, abs=5e-8)
    assert worst_of(2, 20, even(72)) == pytest.approx(0.945838, abs=5e-7)
    # No two of n alike: the birthday problem, 23 people and 365 days, 0.5073 (Feller, from memory).
    assert worst_of(2, 23, even(365)) == pytest.approx(0.507297, abs=5e-7)
    # The least k below 5 %: N = 54 n 4 to 10: 3; N = 60 n 12 to 25: 4; N = 84 n 40: 5.
    for slots, of, least in ((54, 4, 3), (54, 10, 3), (60, 12, 4), (60, 25, 4), (84, 40, 5)):
        assert worst_of(least, of, even(slots)) < 0.05 <= worst_of(least - 1, of, even(slots))
    with pytest.raises(CraftError):
        worst_of(3, 2, even(60))


@given(st.integers(8, 100), st.integers(3, 40), st.integers(2, 6))
def test_the_worst_needle_lies_between_one_needle_and_bonferronis_bound(slots: int, of: int, hits: int) -> None:
    exact = worst_of(min(hits, of), of, even(slots))
    one = binomial_tail(min(hits, of), of, slots)
    assert one * (1 - 1e-9) <= exact <= any_of(one, slots) * (1 + 1e-9) + 1e-12


def test_needles_that_knit_more_are_expected_to_fault_more() -> None:
    twice = [2 / 96] * 32 + [1 / 96] * 32
    assert worst_of(3, 8, twice) > worst_of(3, 8, even(64))
    rng = np.random.default_rng(5)
    drawn = rng.multinomial(8, twice, 200_000).max(axis=1)
    assert worst_of(3, 8, twice) == pytest.approx(float((drawn >= 3).mean()), rel=0.06)


# --- the circle ------------------------------------------------------------------------------------------------


def test_rayleigh_is_as_printed() -> None:
    # Zar's example of eight bearings (data from memory): r .825218, z 5.44787, p .001852 by his formula.
    r, mean, p = rayleigh_of(radians(45, 55, 81, 96, 110, 117, 132, 154), 360)
    assert (r, p) == pytest.approx((0.825218, 0.001852), abs=5e-7)
    assert mean - 0.5 == pytest.approx(98.988, abs=5e-4)
    # The example in astropy's circstats: mean 101.16894320013179 degrees; by this formula p .254678.
    r, mean, p = rayleigh_of(radians(130, 90, 0, 145), 360)
    assert (r, p) == pytest.approx((0.596197, 0.254678), abs=5e-7)
    assert mean - 0.5 == pytest.approx(101.16894320013179)
    # Two opposite clusters cancel, and show with the angles doubled.
    clusters = radians(85, 90, 95, 265, 270, 275)
    assert rayleigh_of(clusters, 360)[0] == pytest.approx(0, abs=1e-12)
    assert rayleigh_of(clusters, 360, fold=2)[0] == pytest.approx(0.98987, abs=5e-6)


@pytest.mark.parametrize(("many", "critical"), [(5, 0.754), (8, 0.602), (10, 0.540), (12, 0.494)])
def test_rayleigh_meets_the_printed_critical_values(many: int, critical: float) -> None:
    # r at 5 %: Mardia 1972 in Davis, Statistics and Data Analysis in Geology, A.10.
    odd = many % 2  # one at nought, the others in pairs on either side of it, so that r is as printed
    aside = math.acos((many * critical - odd) / (many - odd))
    r, _, p = rayleigh_of([0.0] * odd + [aside, -aside] * (many // 2), 360)
    assert (r, p) == pytest.approx((critical, 0.05), abs=5e-4)


@given(st.lists(st.integers(1, 64), min_size=5, max_size=30), st.integers(0, 63))
def test_turning_the_cylinder_changes_no_chance(needles: list[int], by: int) -> None:
    turned = [(needle - 1 + by) % 64 + 1 for needle in needles]
    assert rayleigh(turned, 64)[2] == pytest.approx(rayleigh(needles, 64)[2], rel=1e-6)
    first, last = shortest_arc(needles, 64)
    moved = shortest_arc(turned, 64)
    assert (moved[1] - moved[0]) % 64 == (last - first) % 64


def test_the_shortest_arc_goes_round_past_the_last_slot() -> None:
    assert shortest_arc([63, 64, 2, 30], 64) == (63, 2)
    assert shortest_arc([10, 11, 12, 13], 64) == (10, 12)


# --- rounds ----------------------------------------------------------------------------------------------------


def test_runs_are_counted_exactly() -> None:
    signs = [one == "1" for one in "1110010101110101"]  # the example of R's tseries, as statsmodels tests it
    assert runs_of(signs) == 11
    assert few_runs(11, 10, 6) == pytest.approx(0.958042, abs=5e-7)
    assert 1 - few_runs(10, 10, 6) == pytest.approx(0.136364, abs=5e-7)


@given(st.integers(1, 6), st.integers(1, 6))
def test_few_runs_by_trying_every_order(ones: int, others: int) -> None:
    every = [
        runs_of([at in chosen for at in range(ones + others)]) for chosen in combinations(range(ones + others), ones)
    ]
    for runs in range(1, ones + others + 1):
        assert few_runs(runs, ones, others) == pytest.approx(sum(one <= runs for one in every) / len(every))


def test_dispersion_is_as_published() -> None:
    kicks = [0] * 144 + [1] * 91 + [2] * 32 + [3] * 11 + [4] * 2  # horse kicks, 280 corps-years
    assert dispersion(kicks) == pytest.approx((304.0, 0.145415), abs=5e-7)
    corps = [0] * 109 + [1] * 65 + [2] * 22 + [3] * 3 + [4]  # the 200 usually shown
    assert dispersion(corps) == pytest.approx((199.311475, 0.480450), abs=5e-7)
    alpha = [57, 203, 383, 525, 532, 408, 273, 139, 45, 27, 10, 4, 0, 1, 1]  # Rutherford and Geiger
    counts = [count for count, often in enumerate(alpha) for _ in range(often)]
    assert dispersion(counts) == pytest.approx((2488.918194, 0.950671), abs=5e-7)


@given(st.floats(0, 400), st.integers(1, 200))
def test_chi_squared_is_scipys(value: float, freedom: int) -> None:
    assert chi_squared_tail(value, freedom) == pytest.approx(float(stats.chi2.sf(value, freedom)), rel=1e-8, abs=1e-290)


@given(st.integers(0, 40), st.integers(0, 40), st.floats(0.01, 0.99))
def test_the_tail_of_equal_chances_is_scipys(hits: int, of: int, chance: float) -> None:
    assert at_least(hits, [chance] * of) == pytest.approx(float(stats.binom.sf(hits - 1, of, chance)), abs=1e-12)


def test_the_tail_of_unequal_chances_by_hand() -> None:
    assert at_least(1, [0.5, 0.25]) == pytest.approx(1 - 0.5 * 0.75)
    assert at_least(2, [0.5, 0.25]) == pytest.approx(0.125)
    assert at_least(5, [0.5] * 5) == pytest.approx(0.03125)  # did the change help: 5 against 0
    assert at_least(6, [0.5] * 7) == pytest.approx(0.0625)


# --- all of them together -----------------------------------------------------------------------------------------


def knitted(*faults: Fault, rounds: int = 200, marks: tuple[int, ...] = ()) -> Knitted:
    return Knitted((rounds,) * 64, 0, rounds, 32, tuple(faults), marks)


def in_round(row: int, needle: int | None) -> Fault:
    return Fault(row * 64, row, needle)


def test_three_drops_of_three_at_one_needle_are_enough() -> None:
    (lie,) = how_they_lie(knitted(*(in_round(row, 17) for row in (20, 90, 160)))).lies
    assert (lie.kind, lie.needles, lie.hits, lie.of) == ("needle", (17,), 3, 3)


def test_few_faults_are_too_few_and_name_nothing() -> None:
    for faults in ((), (in_round(3, 17),), (in_round(3, 17), in_round(80, 17))):
        lay = how_they_lie(knitted(*faults))
        assert lay.too_few
        assert not lay.lies
        assert not lay.even


def test_neighbours_are_a_group_and_not_its_worst_needle() -> None:
    needles = [20, 21, 22, 23, 23, 21, 22, 20, 24, 23]
    lay = how_they_lie(knitted(*(in_round(7 + 19 * at, needle) for at, needle in enumerate(needles))))
    assert [lie.kind for lie in lay.lies] == ["neighbours"]
    first, last = lay.lies[0].needles
    assert 20 <= first <= last <= 24


def test_both_ends_of_the_heel_half_are_seen_in_the_rounds() -> None:
    needles = [1, 32, 64, 33, 2, 31, 1, 33]
    lay = how_they_lie(knitted(*(in_round(5 + 24 * at, needle) for at, needle in enumerate(needles))))
    assert [lie.kind for lie in lay.lies] == ["heel ends"]


def test_faults_since_a_moment_are_told_of_that_moment() -> None:
    rows = [45, 60, 77, 98, 120, 150, 163, 180, 190, 197]
    faults = [in_round(row, None) for row in rows]
    lay = how_they_lie(knitted(*faults, marks=(40 * 64, 100 * 64, 150 * 64)))
    assert not lay.lies  # 10 of 10 since four fifths of the stitches, looked at three times, may be chance
    lay = how_they_lie(knitted(*faults, *(in_round(row + 1, None) for row in rows), marks=(40 * 64,)))
    assert [(lie.kind, lie.mark, lie.hits) for lie in lay.lies] == [("since", 0, 20)]


def test_every_look_counts() -> None:
    faults = [in_round(row, None) for row in (45, 60, 77, 98, 120, 150, 163, 180, 190, 197, 61, 62)]
    one = how_they_lie(knitted(*faults, marks=(40 * 64,)))
    many = how_they_lie(knitted(*faults, marks=tuple(at * 64 for at in range(20, 60))))
    assert many.looks == one.looks + 39


def test_a_sound_machine_is_named_at_most_once_in_twenty() -> None:
    rng = random.Random(11)
    named = 0
    for _ in range(400):
        faults = sorted((rng.randrange(200), rng.randint(1, 64)) for _ in range(rng.randint(3, 40)))
        marks = tuple(sorted(rng.randrange(200 * 64) for _ in range(rng.randint(0, 4))))
        named += bool(how_they_lie(knitted(*(in_round(*one) for one in faults), marks=marks)).lies)
    assert named <= 20


def test_a_needle_the_cylinder_has_not_is_refused() -> None:
    with pytest.raises(CraftError, match="from 1 to 64"):
        how_they_lie(knitted(in_round(3, 65)))


def turned(*from_ends: int, in_work: int = 24) -> tuple[Fault, ...]:
    """Faults in a heel whose pass went over ``in_work`` needles, each so far from the nearer end."""
    return tuple(Fault(6000 + 300 * at, None, 5 + 4 * at, in_work, one) for at, one in enumerate(from_ends))


def test_faults_at_the_ends_of_a_heels_passes_are_told_of_them() -> None:
    """By hand: three needles at either end of 24 are a quarter of them, so six of six there are a chance of 4^-6."""
    heel = Knitted((200,) * 64, 1280, 180, 32, turned(0, 1, 2, 2, 1, 0))
    (lie,) = how_they_lie(heel).lies  # all of them are in heels, too, but that is the same story
    assert (lie.kind, lie.hits, lie.of, lie.share) == ("heel ends", 6, 6, 0.25)
    assert lie.chance == pytest.approx(4.0**-6)
    assert lie.odds == pytest.approx(3 * 4.0**-6)  # one needle, the ends, and heels at all
    # The fourth needle is no end. Of few in work all are near one, which says nothing.
    for others in (turned(3, 3, 3, 3, 3, 0), turned(0, 1, 2, 2, 1, 0, in_work=6)):
        (lie,) = how_they_lie(Knitted((200,) * 64, 1280, 180, 32, others)).lies
        assert (lie.kind, lie.hits, lie.of, lie.share) == ("turned", 6, 6, 0.1)
        assert lie.chance == pytest.approx(1e-6)  # a tenth of the stitches has all six
    assert how_they_lie(Knitted((200,) * 64, 1280, 180, 32, turned(3, 3, 3, 3))).lies == ()  # four are too few


def test_one_needle_among_others_tells_the_story_and_a_group_round_it_another() -> None:
    def kinds(*needles: int) -> list[str]:
        return [
            lie.kind for lie in how_they_lie(knitted(*(in_round(5 + 13 * n, at) for n, at in enumerate(needles)))).lies
        ]

    assert kinds(*[17] * 8) == ["needle"]
    assert kinds(*[17] * 8, 3, 33, 48, 62) == ["needle"]
    assert kinds(*[17] * 6, 14, 15, 16, 18, 19, 20) == ["neighbours"]


def test_faults_in_one_spell_are_told_as_a_spell_unless_a_moment_tells_more() -> None:
    spell = [in_round(row, None) for row in range(150, 164)]
    assert [lie.kind for lie in how_they_lie(knitted(*spell)).lies] == ["spells"]
    (lie,) = how_they_lie(knitted(*spell, marks=(150 * 64,))).lies
    assert (lie.kind, lie.mark, lie.hits, lie.of, lie.share) == ("since", 0, 14, 14, 0.25)
    assert lie.chance == pytest.approx(0.25**14)
    # Ours: a moment with less than one fiftieth of the stitches on a side of it is not looked at.
    looks = [how_they_lie(knitted(*spell, marks=(at * 64,))).looks for at in (3, 4, 196, 197)]
    assert looks == [2, 3, 3, 2]


def test_even_faults_are_called_even_from_twelve_on() -> None:
    """Ours: with fewer a cluster may not have been seen."""
    rng = random.Random(5)
    spread = [in_round(8 + 16 * at, rng.randint(1, 64)) for at in range(12)]
    assert how_they_lie(knitted(*spread)).even
    assert not how_they_lie(knitted(*spread[:11])).even


def test_nothing_is_no_surprise() -> None:
    assert worst_of(0, 5, even(60)) == 1.0
    assert worst_of(2, 4, [0.5, 0.0, 0.5]) == pytest.approx(worst_of(2, 4, [0.5, 0.5]))  # a needle that never knits
    with pytest.raises(CraftError, match="at least one angle"):
        rayleigh_of([], 60)
