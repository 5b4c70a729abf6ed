"""How far tubes differ: certified sets of data, scipy, and what is drawn from a known truth."""

from __future__ import annotations

import math
import random
from statistics import fmean, variance

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from hosewright.craft import CraftError
from hosewright.craft.measured import Measured, error, measured, nominal
from hosewright.craft.spread import (
    ASSUMED,
    ASSUMED_SHARE,
    Spread,
    between_tubes,
    pool,
    reach,
    tube_spread,
)

# NIST StRD, analysis of variance, SiRstv (Ehrstein and Croarkin): resistance of silicon wafers by five instruments.
SILICON = (
    (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
)
# NIST StRD, AtmWtAg (Powell, Murphy and Gramlich 1982): the atomic weight of silver less 107.868, in 1e-7, by two.
SILVER = (
    (
        1568, 1465, 1572, 1785, 1446, 1903, 1526, 1494, 1616, 1587, 1519, 1486,
        1419, 1569, 1508, 1672, 1385, 1518, 1662, 1424, 1360, 1333, 1610, 1477,
    ),
    (
        1079, 1344, 1513, 1197, 1604, 1385, 1642, 1365, 1151, 1082, 1517, 1448,
        1198, 1482, 1334, 1609, 1101, 1512, 1469, 1360, 1254, 1261, 1450, 1368,
    ),
)  # fmt: skip


def means_of(groups: tuple[tuple[float, ...], ...], within: float) -> list[Measured]:
    """Each group as one tube: its mean, with the error that the mean square within gives it."""
    return [measured(fmean(group), math.sqrt(within / len(group))) for group in groups]


@pytest.mark.parametrize(
    ("groups", "between", "within", "certified"),
    [
        (SILICON, 1.27865654000000e-02, 1.08318280000000e-02, 1.18046237440255),
        (SILVER, 3.63834187500000e-09 * 1e14, 2.28155932971014e-10 * 1e14, 15.9467335677930),
    ],
    ids=["SiRstv", "AtmWtAg"],
)
def test_the_certified_analyses_of_variance(
    groups: tuple[tuple[float, ...], ...], between: float, within: float, certified: float
) -> None:
    each = len(groups[0])
    assert fmean(variance(group) for group in groups) == pytest.approx(within, rel=1e-9)
    assert each * variance([fmean(group) for group in groups]) == pytest.approx(between, rel=1e-9)
    assert float(stats.f_oneway(*groups).statistic) == pytest.approx(certified, rel=1e-8)
    found = between_tubes([means_of(groups, within)])
    assert found.ratio == pytest.approx(certified, rel=1e-8)
    assert found.square == pytest.approx((between - within) / each, rel=1e-8)
    assert found.freedom == len(groups) - 1
    assert found.square_error == pytest.approx(math.sqrt(2 / found.freedom) * between / each, rel=1e-8)


gauges = st.floats(9, 12)
errors = st.floats(0.01, 0.3)
tubes = st.lists(st.builds(measured, gauges, errors), min_size=2, max_size=6)


@given(st.lists(tubes, min_size=1, max_size=4))
def test_the_weighted_squares_come_to_their_degrees_of_freedom(groups: list[list[Measured]]) -> None:
    def excess(square: float) -> float:
        seen = 0.0
        for group in groups:
            weights = [1 / (error(tube) ** 2 + square) for tube in group]
            values = [nominal(tube) for tube in group]
            mean = sum(w * v for w, v in zip(weights, values, strict=True)) / sum(weights)
            seen += sum(w * (v - mean) ** 2 for w, v in zip(weights, values, strict=True))
        return seen - sum(len(group) - 1 for group in groups)

    found = between_tubes(groups)
    if excess(0.0) <= 0:
        assert found.square == 0
        assert found.ratio <= 1
    else:
        assert found.square == pytest.approx(optimize.brentq(excess, 0, 100, xtol=1e-14), rel=1e-6, abs=1e-10)


def test_tubes_without_an_error_are_the_plain_variance() -> None:
    exact = [measured(10.1), measured(10.3), measured(10.8)]
    found = between_tubes([exact])
    assert found.square == pytest.approx(variance([10.1, 10.3, 10.8]))
    assert math.isinf(found.ratio)
    alike = between_tubes([[measured(10.3), measured(10.3), measured(10.3)]])
    assert (alike.square, alike.square_error, alike.ratio) == (0.0, 0.0, 0.0)
    with pytest.raises(CraftError):
        between_tubes([[measured(10.3, 0.1)]])


def test_below_three_repeats_it_is_our_assumption_which_says_so() -> None:
    two = [measured(10.1, 0.04), measured(10.4, 0.04)]
    assert tube_spread([]) == tube_spread([two, [measured(11.0, 0.04)]]) == ASSUMED
    assert ASSUMED.error == pytest.approx(0.005, rel=0.2)
    assert ASSUMED.words == "tubes differ by 1.5 ± 0.4 %, our assumption until 3 tubes at one setting show it"
    three = tube_spread([[*two, measured(10.2, 0.04)]])
    assert three.tubes == 3
    assert "as 3 of them show" in three.words
    assert three.share == pytest.approx(math.sqrt(variance([10.1, 10.4, 10.2]) - 0.04**2) / 10.23, rel=0.01)
    assert tube_spread([two, two]).tubes == 4  # two pairs at two settings have the two degrees of freedom of three


def test_groups_of_other_gauges_are_taken_together_as_shares() -> None:
    coarse = [measured(v, 0.01) for v in (8.0, 8.2, 8.1)]
    fine = [measured(1.5 * nominal(t), 1.5 * error(t)) for t in coarse]
    assert tube_spread([coarse, fine]).share == pytest.approx(tube_spread([coarse]).share)
    assert tube_spread([coarse, fine]).square_error == pytest.approx(tube_spread([coarse]).square_error / math.sqrt(2))


@pytest.mark.parametrize("freedom", [1, 2, 3, 4.5, 10, 100, math.inf])
def test_the_reach_is_scipys(freedom: float) -> None:
    law = stats.norm if math.isinf(freedom) else stats.t(freedom)
    assert reach(freedom) == pytest.approx(float(law.ppf(0.975)), rel=1e-9)


def test_a_second_tube_narrows_what_a_second_reading_cannot() -> None:
    tube = measured(10.4, 0.04)
    one, surer, two = (pool(some, ASSUMED) for some in ([tube], [measured(10.4, 0.02)], [tube, tube]))
    own = ASSUMED_SHARE * 10.4
    assert one.error == pytest.approx(math.hypot(0.04, own))
    assert one.next_error == pytest.approx(math.sqrt(0.04**2 + 2 * own**2))
    assert two.next_error == pytest.approx(math.sqrt(0.04**2 / 2 + 1.5 * own**2))
    assert two.next_error < surer.next_error < one.next_error
    assert one.next_error - surer.next_error < 0.1 * (one.next_error - two.next_error)
    assert two.tape_error == pytest.approx(0.04 / math.sqrt(2))
    assert two.tubes == 2


def test_where_tubes_do_not_differ_the_tapes_alone_weigh() -> None:
    none = Spread(0.0, 0.0, 8, 9)
    both = pool([measured(10.0, 0.1), measured(10.5, 0.2)], none)
    assert both.value == pytest.approx((10.0 / 0.01 + 10.5 / 0.04) / (100 + 25))
    assert both.error == pytest.approx(125**-0.5)
    assert both.reach == pytest.approx(float(stats.t(8).ppf(0.975)) * both.error)
    assert pool([measured(10.0), measured(10.5, 0.2)], none).value == 10.0
    with pytest.raises(CraftError):
        pool([], none)


@pytest.mark.parametrize("count", [3, 6])
def test_ranges_hold_the_truth_in_95_of_100(count: int) -> None:
    """Tubes of 10.4 rows to the inch drawn with 1.5 % between them and a tape's 0.04: the mean, and the next tube."""
    draw = random.Random(20270 + count)
    truth, own, tape, runs = 10.4, 0.015 * 10.4, 0.04, 600
    held = following = 0
    for _ in range(runs):
        seen = [measured(draw.gauss(draw.gauss(truth, own), tape), tape) for _ in range(count)]
        mean = pool(seen, tube_spread([seen]))
        held += abs(mean.value - truth) <= mean.reach
        following += abs(mean.value - draw.gauss(draw.gauss(truth, own), tape)) <= mean.next_reach
    assert 0.92 <= held / runs <= 0.98
    assert 0.92 <= following / runs <= 0.98
