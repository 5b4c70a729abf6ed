"""The person's own pace and the hours it makes of what is promised."""

from __future__ import annotations

import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hosewright.craft import CraftError
from hosewright.craft.workload import MAD_TO_SD, Due, OwnPace, Work, need_for, outlook, own_pace, week

PACES = st.floats(0.5, 200, allow_nan=False)
SESSIONS = st.lists(st.tuples(st.none() | PACES, st.none() | PACES), max_size=12)
COUNTS = st.integers(0, 5000)
WORKS = st.builds(Work, COUNTS, COUNTS, st.integers(0, 2))
KNOWN = st.builds(OwnPace, PACES, PACES, st.floats(0, 5), st.floats(0, 5), st.integers(1, 10))


def test_a_week_worked_out_by_hand() -> None:
    # Five evenings at the crank. Rows a minute: 24, 26, 30, 25, 8 (a child on the lap). Passes: 10, 9, 12, none, 10.
    # Rows in order: 8 24 25 26 30, median 25; distances 17 1 0 1 5, in order 0 1 1 5 17, median 1.
    # Passes in order: 9 10 10 12, median 10; distances 1 0 0 2, in order 0 0 1 2, median 0.5.
    pace = own_pace([(24, 10), (26, 9), (30, 12), (25, None), (8, 10)])
    assert (pace.rows, pace.passes, pace.sessions) == (25, 10, 5)
    assert pace.rows_spread == pytest.approx(1.4826, abs=1e-4)
    assert pace.passes_spread == pytest.approx(0.7413, abs=1e-4)

    # A sock has 250 rows and 96 passes: 250 / 25 + 96 / 10 = 10 + 9.6 = 19.6 min.
    # Error: 10 x 1.4826 / 25 = 0.593 and 9.6 x 0.7413 / 10 = 0.712; the root of the sum of squares is 0.926.
    sock = need_for(Work(250, 96, 1), pace)
    assert sock is not None
    assert sock.cranking == pytest.approx(19.6)
    assert sock.error == pytest.approx(0.926, abs=1e-3)
    assert sock.off_crank == 0

    # Overdue by two days: a twin with 100 rows and 48 passes left, 4 + 4.8 = 8.8 min.
    # Due tomorrow: a pair, 39.2 min, so 48.0 with the twin. Due in three days: two pairs, 78.4 more, so 126.4.
    # Due in six days: a pair whose plan is not made. Due in seven days: not this week.
    pair = Work(500, 192, 2)
    dues = [Due(3, pair), Due(-2, Work(100, 48, 1)), Due(7, pair), Due(1, pair), Due(6, None), Due(3, pair)]
    held = week(dues, pace, minutes_a_week=60)
    assert (held.pairs, held.overdue, held.unknown) == (5, 1, 1)
    assert held.need is not None
    assert held.need.cranking == pytest.approx(126.4)
    assert [day.day for day in held.days] == [0, 1, 3, 6]
    assert [day.minutes for day in held.days] == pytest.approx([8.8, 48.0, 126.4, 126.4])
    assert held.passed is not None
    assert held.passed.day == 3
    assert week(dues, pace).passed is None

    # Twenty minutes off the crank for each of seven socks: 140 min more.
    finished = week(dues, pace, minutes_a_week=300, off_crank_min=20)
    assert finished.need is not None
    assert finished.need.off_crank == 140
    assert finished.need.minutes == pytest.approx(266.4)
    assert finished.passed is None


def test_all_that_is_promised_worked_out_by_hand() -> None:
    # At 25 rows and 10 passes a minute a pair of 500 rows and 192 passes is 20 + 19.2 = 39.2 min, and 70 min a week are
    # 10 min a day. Overdue: 8.8 min, over on the first day. A pair due in five days: 48 min, over on day 4. One due
    # in six days: 87.2 min, day 8, too late. Two without a day, one of them without a plan: 126.4 min, day 12.
    pace, pair = OwnPace(25, 10, 1.4826, 0.7413, 5), Work(500, 192, 2)
    dues = [Due(None, pair), Due(5, pair), Due(-2, Work(100, 48, 1)), Due(None, None), Due(6, pair), Due(0, Work())]
    every = outlook(dues, pace, minutes_a_week=70)
    assert (every.pairs, every.unknown, every.ends, every.late) == (6, 1, 12, 1)
    assert every.need is not None
    assert every.need.cranking == pytest.approx(126.4)
    # Error: 64 min of rows x 1.4826 / 25 = 3.795 and 62.4 of passes x 0.7413 / 10 = 4.626; together 5.983.
    assert every.need.error == pytest.approx(5.983, abs=1e-3)
    assert (outlook(dues, pace).ends, outlook(dues, pace).late) == (None, 0)
    assert outlook(dues, OwnPace(), minutes_a_week=70).need is None
    # Exactly a day's time ends that day; a second more ends on the next.
    assert outlook([Due(None, Work(250))], pace, minutes_a_week=70).ends == 0
    assert outlook([Due(None, Work(251))], pace, minutes_a_week=70).ends == 1


def test_one_pace_stands_for_the_other_and_none_for_nothing() -> None:
    only_rows = need_for(Work(60, 30), OwnPace(rows=30, rows_spread=3))
    assert only_rows is not None
    assert only_rows.cranking == 3
    # By hand: 60 rows at 30 a minute are 2 min, 30 passes 1 min, both known to a tenth: hypot(0.2, 0.1).
    assert only_rows.error == pytest.approx(0.2236, abs=1e-4)
    only_passes = need_for(Work(60, 30), OwnPace(passes=10))
    assert only_passes is not None
    assert only_passes.cranking == 9
    assert own_pace([(None, 10)]) == OwnPace(passes=10, sessions=1)  # one session shows no scatter
    assert only_passes.error == need_for(Work(60, 30), OwnPace(rows=10)).error == 0  # type: ignore[union-attr]
    assert need_for(Work(60, 30), OwnPace()) is None
    nothing_left = need_for(Work(socks=2), OwnPace(), 15)
    assert nothing_left is not None
    assert (nothing_left.cranking, nothing_left.off_crank) == (0, 30)
    empty = week([], OwnPace())
    assert (empty.pairs, empty.days) == (0, ())


@pytest.mark.parametrize("wrong", [0.0, -3.0, float("nan"), float("inf")])
def test_a_pace_is_above_zero(wrong: float) -> None:
    with pytest.raises(CraftError, match="above zero"):
        own_pace([(20, wrong)])


def test_the_robust_spread_is_that_of_the_normal_law() -> None:
    assert pytest.approx(1 / stats.norm.ppf(0.75), abs=1e-12) == MAD_TO_SD


@given(SESSIONS)
def test_medians_and_spreads_agree_with_the_libraries(sessions: list[tuple[float | None, float | None]]) -> None:
    pace = own_pace(sessions)
    for at, (middle, spread) in enumerate(((pace.rows, pace.rows_spread), (pace.passes, pace.passes_spread))):
        values = [value for pair in sessions if (value := pair[at]) is not None]
        if not values:
            assert (middle, spread) == (None, 0)
            continue
        assert middle == pytest.approx(float(np.median(values)))
        assert middle == pytest.approx(statistics.median(values))
        assert spread == pytest.approx(float(stats.median_abs_deviation(values, scale="normal")), rel=1e-6, abs=1e-9)


@given(WORKS, KNOWN, COUNTS, COUNTS)
def test_more_to_crank_never_takes_less_time(work: Work, pace: OwnPace, rows: int, passes: int) -> None:
    less, more = need_for(work, pace, 5), need_for(work + Work(rows, passes), pace, 5)
    assert less is not None
    assert more is not None
    assert more.cranking >= less.cranking
    assert more.error >= less.error
    assert less.off_crank == more.off_crank


@given(
    st.lists(st.builds(Due, st.none() | st.integers(-30, 30), st.none() | WORKS), max_size=20),
    KNOWN,
    st.floats(0, 3000),
)
def test_a_week_holds_what_is_due_and_its_days_add_up(dues: list[Due], pace: OwnPace, minutes: float) -> None:
    held = week(dues, pace, minutes_a_week=minutes)
    this_week = [due for due in dues if due.day is not None and due.day < 7]
    assert held.pairs == len(this_week)
    assert held.need is not None
    needs = [day.minutes for day in held.days]
    assert needs == sorted(needs)
    assert (needs[-1] if needs else 0) == pytest.approx(held.need.minutes)
    assert (held.passed is not None) == any(need > minutes for need in needs)
    one_by_one = [need_for(due.work, pace) for due in this_week if due.work is not None]
    assert held.need.cranking == pytest.approx(sum(one.cranking for one in one_by_one if one is not None), abs=1e-6)


def test_without_a_pace_only_work_off_the_crank_has_a_time() -> None:
    assert need_for(Work(rows=1), OwnPace()) is None
    assert need_for(Work(passes=1), OwnPace()) is None
    need = need_for(Work(socks=2), OwnPace(), 15.0)
    assert need is not None
    assert need.off_crank == 30.0
