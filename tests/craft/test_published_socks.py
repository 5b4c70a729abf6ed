"""The main formula from outside: foot less ease, in rows, less heel and toe, against worked socks that were published.

Each is one maker's practice, on a public page with its day, and no standard: it can show that the arithmetic is the
one knitters do, not that a sock fits.
"""

from __future__ import annotations

import pytest

from hosewright.craft.measured import as_measured
from hosewright.craft.sock import by_foot, by_tube, plan_sock
from hosewright.craft.turning import Turning, default_left_in_work, depth_rows

INCH = 25.4


@pytest.mark.parametrize(("foot_in", "fewest", "most"), [(9, 44.0, 49.5), (10, 55.0, 60.5)])
def test_rows_between_a_short_row_heel_and_its_toe(foot_in: int, fewest: float, most: float) -> None:
    # sharonwue.blogspot.com, 31 Oct 2014, a knitting machine, in the round: 68 stitches at 8 an inch and 11 rows an
    # inch; (foot less 4 1/2 to 5 in) x 11 rows from the heel to the toe.
    plan = plan_sock(slots=68, rows_per_mm=11 / INCH, stitches_per_mm=8 / INCH, foot_length_mm=foot_in * INCH)
    assert fewest - 0.5 <= plan.foot_rows <= most + 0.5
    assert plan.circumference_mm == pytest.approx(8.5 * INCH)


@pytest.mark.parametrize(("slots", "rows_per_cm", "foot_cm"), [(60, 4.5, 24), (64, 4.6, 26), (72, 5.2, 27)])
def test_ten_centimetres_for_heel_toe_and_ease(slots: int, rows_per_cm: float, foot_cm: float) -> None:
    # oocities.org/subby_ribble/sockinstr.txt, machine socks: (foot in cm less 10) x rows per cm, the heel over half
    # the needles and narrowed to a third of them. The gauges are ours, usual for so many needles; the rule has one
    # length for every gauge, so a centimetre is left to it.
    plan = plan_sock(slots=slots, rows_per_mm=rows_per_cm / 10, stitches_per_mm=0.32, foot_length_mm=foot_cm * 10)
    assert plan.foot_rows == pytest.approx((foot_cm - 10) * rows_per_cm, abs=rows_per_cm)


def test_the_rows_of_the_turn_and_the_toe_are_taken_off_the_whole() -> None:
    # atimetoknit.design, sock workshop 6: a turn of 18 rows and a toe of 13 are 31; count the rows in the length wanted
    # (8 in for a foot of 9) and take them off. At 11 rows an inch that is 88 - 31 = 57.
    assert by_foot(as_measured(11 / INCH), 9 * INCH, 1 * INCH, 18 + 13, "in").rows == 57


def test_the_straight_part_of_a_sock_that_fits() -> None:
    # amimononomonogatari.blogspot.com, 22 Jul 2014: 17 cm at 13 rows in 2.5 cm come to 88.4, and 88 were knitted.
    route = by_tube(as_measured(13 / 25), 170.0, "cm")
    assert route.exact.nominal_value == pytest.approx(88.4)
    assert route.rows == 88


@pytest.mark.parametrize(("slots", "rows_per_in"), [(64, 10.5), (68, 11), (72, 11.5)])
def test_a_toe_takes_the_last_two_inches_of_the_foot(slots: int, rows_per_in: float) -> None:
    # gentlegull.blogspot.com, 17 Feb 2012: for a foot of 9 in the toe is begun at 7 in. peacefullyknitting.com: toes
    # are begun 2 to 2 1/2 in short. The gauges beside the second are ours, usual for so many stitches.
    toe = Turning(slots // 2, default_left_in_work(slots // 2))
    assert 1.9 <= depth_rows(toe) / rows_per_in <= 2.5


def test_a_heel_forgotten_makes_the_sock_too_long_by_its_depth() -> None:
    # thecraftyscorp.blogspot.com, 6 Jun 2010, a failure told: 68 stitches at 8 an inch, the heel's depth not taken off,
    # and the sock 2 in too long. The 11 rows an inch are those of the first sock here, of as many stitches.
    heel = Turning(34, default_left_in_work(34))
    right, forgotten = (by_foot(as_measured(11 / INCH), 255.0, 0.0, rows, "in") for rows in (depth_rows(heel), 0))
    assert (forgotten.tube_mm - right.tube_mm) / INCH == pytest.approx(2.0, abs=0.1)
