"""Changes and drift, against published numbers and against values whose truth is built in."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from scipy import stats

from hosewright.craft.changes import (
    LEAST_TO_TELL,
    Point,
    between_neighbours,
    find_changes,
    moving_average,
    rise_within,
    stretches,
)
from hosewright.craft.measured import combine, error, measured, nominal

# The yearly flow of the Nile at Aswan, 10^8 m^3, 1871 to 1970: Cobb, Biometrika 65 (1978) 243; Durbin and Koopman, Time
# Series Analysis by State Space Methods, 2001. Written from memory, held against their mean below.
NILE = """
1120 1160 963 1210 1160 1160 813 1230 1370 1140 995 935 1110 994 1020 960 1180 799 958 1140 1100 1210 1150 1250 1260
1220 1030 1100 774 840 874 694 940 833 701 916 692 1020 1050 969 831 726 456 824 702 1120 1100 832 764 821
768 845 864 862 698 845 744 796 1040 759 781 865 845 944 984 897 822 1010 771 676 649 846 812 742 801
1040 860 874 848 890 744 749 838 1050 918 986 797 923 975 815 1020 906 901 1170 912 746 919 718 714 740
"""
# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4, the worked example; from memory.
NIST = (
    52.0,
    47.0,
    53.0,
    49.3,
    50.1,
    47.0,
    51.0,
    50.1,
    51.2,
    50.5,
    49.6,
    47.6,
    49.9,
    51.3,
    47.8,
    51.2,
    52.6,
    52.4,
    53.6,
)
NIST_LAST = 52.1
NIST_EWMA = (50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38)
NIST_EWMA_LAST = (49.92, 50.73, 51.23, 51.94, 51.99)


def _tubes(seed: int, many: int, *, after: int | None = None, by: float = -0.35, own: float = 0.06) -> list[Point]:
    """Rows per inch of tubes read to 0.05, which differ by ``own`` themselves; from ``after`` on there are fewer."""
    chance = Random(seed)
    return [
        Point(
            10.3 + (by if after is not None and at >= after else 0.0) + chance.gauss(0, own) + chance.gauss(0, 0.05),
            0.05,
        )
        for at in range(many)
    ]


def test_the_nile_changes_in_1898() -> None:
    flow = [float(word) for word in NILE.split()]
    assert len(flow) == 100
    assert sum(flow) / 100 == 919.35
    (change,) = find_changes([Point(year, 0.0) for year in flow])
    assert 1871 + change.at - 1 == 1898  # the last year before it, as it is dated in both
    assert 1871 + change.earliest <= 1899 <= 1871 + change.latest <= 1900
    before, after = flow[: change.at], flow[change.at :]
    assert change.statistic == pytest.approx(stats.ttest_ind(after, before).statistic)
    assert change.odds == pytest.approx(change.looks * 2 * stats.t.sf(abs(change.statistic), 98), rel=1e-6)
    assert nominal(change.difference) == pytest.approx(sum(after) / 72 - sum(before) / 28, rel=0.01)
    assert stretches(100, [change]) == [range(28), range(28, 100)]


def test_the_moving_average_is_the_handbooks() -> None:
    found = moving_average([*NIST, NIST_LAST], 50.0, 2.0539)
    assert [round(value, 2) for value in found.values] == [*NIST_EWMA, *NIST_EWMA_LAST]
    # It prints 52.5884 and 47.4115; their sum is 99.9999, so one of them is rounded.
    assert found.high == pytest.approx(52.5884, abs=1.5e-4)
    assert found.low == pytest.approx(47.4115, abs=1.5e-4)
    assert found.out is None
    assert moving_average([*NIST, 56.0], 50.0, 2.0539).out == 19


def test_a_yarn_that_loosens_is_found_with_its_day_and_size() -> None:
    right, covered = 0, 0
    for seed in range(200):
        found = find_changes(_tubes(seed, 24, after=14))
        assert found
        if len(found) == 1:
            (change,) = found
            right += change.earliest <= 14 <= change.latest
            reach = float(stats.t.ppf(0.975, change.freedom)) * error(change.difference)
            covered += abs(nominal(change.difference) + 0.35) <= reach
        else:
            right, covered = right + 1, covered + 1  # a second one, by chance: counted below
    assert right >= 190
    assert 184 <= covered <= 199


def test_what_never_changed_is_said_to_have_as_rarely_as_the_level_says() -> None:
    for many in (6, 24, 80):
        assert sum(bool(find_changes(_tubes(seed, many))) for seed in range(200)) <= 16


def test_two_changes_are_told_apart() -> None:
    tubes = [*_tubes(1, 10), *_tubes(2, 10, after=0), *_tubes(3, 10)]
    assert [change.at for change in find_changes(tubes)] == [10, 20]


def test_too_few_tell_nothing_and_six_can() -> None:
    tubes = _tubes(4, LEAST_TO_TELL, after=3, by=-0.6)
    assert find_changes(tubes[1:]) == ()
    (change,) = find_changes(tubes)
    assert (change.at, change.looks, change.freedom) == (3, 3, 4)


def test_readings_no_better_than_the_tape_are_never_surer_than_it() -> None:
    alike = [Point(10.0, 0.1)] * 4 + [Point(10.05, 0.1)] * 4  # far less scatter than the tape has
    assert find_changes(alike) == ()
    assert [change.at for change in find_changes([Point(point.value, 0.0) for point in alike])] == [4]
    for value in (10.0, 0.0):
        assert find_changes([Point(value, 0.0)] * 8) == ()  # nothing scatters and nothing has an error


def test_a_value_counts_by_the_inverse_square_of_its_error() -> None:
    """By hand: errors of 0.1 and 0.2 weigh 100 to 25, so ten of each are 10.02 and 10.58, each sure to 1250^-0.5."""
    before, after = [Point(10.0, 0.1), Point(10.1, 0.2)] * 10, [Point(10.6, 0.1), Point(10.5, 0.2)] * 10
    (change,) = find_changes([*before, *after])
    assert change.at == 20
    assert change.statistic == pytest.approx(0.56 / (2 / 1250) ** 0.5)  # no surer than the errors, 14.0 of them
    assert nominal(change.difference) == pytest.approx(0.56, rel=0.01)


def test_several_dials_are_brought_together_by_their_line() -> None:
    rise = measured(0.2, 0.05)
    chance = Random(5)

    def loop(clicks: int, more: float) -> Point:
        return Point(8.0 + 0.25 * clicks + more + chance.gauss(0, 0.03), 0.03, clicks)

    dials = (24, 27, 29, 27, 24, 29, 27, 24, 29, 27, 24, 27)
    assert find_changes([loop(clicks, 0.0) for clicks in dials], rise) == ()
    (change,) = find_changes([loop(clicks, 0.3 * (at >= 7)) for at, clicks in enumerate(dials)], rise)
    assert change.at == 7
    assert abs(nominal(change.difference) - 0.3) < 3 * error(change.difference)


def test_a_dial_moved_once_for_good_is_no_change() -> None:
    chance = Random(6)
    moved = [Point(8.0 + 0.25 * clicks + chance.gauss(0, 0.03), 0.03, clicks) for clicks in [24] * 5 + [27] * 5]
    assert find_changes(moved, measured(0.2, 0.05)) == ()  # the click does what a click does
    assert find_changes(moved) == ()  # and where nobody knows what it does, nothing can be said
    assert [change.at for change in find_changes(moved, measured(1.0, 0.05))] == [5]
    for first in range(4, 12):  # however the sums are rounded, also of values without any scatter
        for then in range(4, 12):
            for clicks in (25, 27, 31):
                exact = [Point(10.0, 0.0, 24)] * first + [Point(10.5, 0.0, clicks)] * then
                assert find_changes(exact) == ()


def test_what_a_click_does_within_stretches_is_least_squares_with_a_mean_for_each() -> None:
    chance = Random(8)
    dials = (24, 27, 29, 27, 24, 29, 27, 24, 29, 27, 24, 27)
    values = [8.0 + 0.25 * clicks + 0.6 * (at >= 7) + chance.gauss(0, 0.1) for at, clicks in enumerate(dials)]
    points = [Point(value, 0.01, clicks) for value, clicks in zip(values, dials, strict=True)]
    changes = find_changes(points, measured(0.25, 0.02))
    assert [change.at for change in changes] == [7]
    columns = np.array([[at < 7, at >= 7, clicks] for at, clicks in enumerate(dials)], dtype=float)
    fit, (left,), *_ = np.linalg.lstsq(columns, np.array(values), rcond=None)
    spread = math.sqrt(left / (12 - 3) * np.linalg.inv(columns.T @ columns)[2, 2])
    alone = rise_within(points, changes)
    assert nominal(alone) == pytest.approx(fit[2])
    assert error(alone) == pytest.approx(spread)
    known = measured(0.2, 0.05)
    both, expected = rise_within(points, changes, known), combine([alone, known])
    assert nominal(both) == pytest.approx(nominal(expected))
    assert error(both) == pytest.approx(error(expected))


def test_where_no_stretch_has_two_settings_what_was_known_of_a_click_stands() -> None:
    known, one = measured(0.2, 0.05), [Point(10.0, 0.1, 24), Point(10.2, 0.1, 24)]
    assert rise_within(one, (), known) is known
    assert nominal(rise_within(one, ())) == error(rise_within(one, ())) == 0


def test_the_scatter_between_neighbours_does_not_see_a_change() -> None:
    steady = between_neighbours(_tubes(7, 400, own=0.2))
    assert steady == pytest.approx(0.04, rel=0.2)
    assert between_neighbours(_tubes(7, 400, own=0.2, after=200, by=1.0)) == pytest.approx(steady, rel=0.1)
    assert between_neighbours([Point(10.0, 0.1, 24), Point(11.0, 0.1, 27)]) == 0.0
