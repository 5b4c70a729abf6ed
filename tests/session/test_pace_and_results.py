"""How fast the crank goes, and what a session found out."""

from __future__ import annotations

import pytest

from hosewright.craft import CraftError
from hosewright.session.events import (
    Amended,
    Confirmed,
    Entry,
    Event,
    Observed,
    Opened,
    Paused,
    Pressed,
    ReadOff,
    Recounted,
    Resumed,
    Struck,
    Undone,
)
from hosewright.session.pace import REMEMBERED, Pace, Paces
from hosewright.session.procedures import tube_steps
from hosewright.session.results import choice, cranked, tube_gauge, where_work_is
from hosewright.session.steps import Head
from tests.helpers import folded, head, rows, to_step

TUBE = Head("fifty", "tube", tube_steps(50), 30, 72)


def test_rows_and_passes_are_kept_apart() -> None:
    both = Paces()
    for n in range(5):
        both.take(Entry(n + 1, 0, 0, n * 2000, Pressed()), passes=False)
    for n in range(5):
        both.take(Entry(n + 6, 0, 0, 20_000 + n * 6000, Pressed()), passes=True)
    assert (both.rows.per_minute, both.passes.per_minute) == (30, 10)
    assert both.minutes_for(60, 20) == 4.0
    only_rows = Paces(rows=both.rows)
    assert only_rows.minutes_for(0, 30) == 1.0
    assert Paces().minutes_for(1, 1) is None


def pace_of(*ticks_and_events: tuple[int, Event]) -> Pace:
    pace = Pace()
    for seq, (tick, event) in enumerate(ticks_and_events, 1):
        pace.take(Entry(seq, 0, 0, tick, event))
    return pace


def test_no_pace_before_three_gaps() -> None:
    presses = [(n * 2000, Pressed()) for n in range(4)]
    assert pace_of(*presses[:3]).per_minute is None
    assert pace_of(*presses).per_minute == 30


def test_time_at_the_crank_leaves_out_rests_and_what_was_undone() -> None:
    ticks = [0, 2000, 4000, 6000, 606_000, 608_000, 610_000]  # the long gap is no cranking
    presses: list[tuple[int, Event]] = [(tick, Pressed()) for tick in ticks]
    assert pace_of(*presses).spent_ms == 10_000
    assert pace_of(*presses, (612_000, Undone())).spent_ms == 8_000
    rested = pace_of((0, Pressed()), (2000, Pressed()), (3000, Paused()), (90_000, Resumed()), (91_000, Pressed()))
    assert rested.spent_ms == 2_000
    assert Paces(rested, pace_of(*presses)).minutes_spent == 0.2


def test_one_long_gap_does_not_move_the_median() -> None:
    ticks = [0, 2000, 4000, 6000, 606_000, 608_000, 610_000]
    assert pace_of(*[(tick, Pressed()) for tick in ticks]).per_minute == 30


@pytest.mark.parametrize("between", [Paused(), Resumed(), Opened(), Recounted(3), Confirmed()])
def test_what_is_no_cranking_time_is_left_out(between: Event) -> None:
    pace = pace_of((0, Pressed()), (1000, Pressed()), (1500, between), (90_000, Pressed()), (91_000, Pressed()))
    assert list(pace.gaps_ms) == [1000, 1000]


@pytest.mark.parametrize("between", [Observed("tuck", 4), Amended(3, 4)])
def test_noting_a_fault_between_two_rows_is_cranking_time(between: Event) -> None:
    assert list(pace_of((0, Pressed()), (500, between), (3000, Pressed())).gaps_ms) == [3000]


def test_a_clock_that_starts_anew_makes_no_gap() -> None:
    assert list(pace_of((90_000, Pressed()), (100, Pressed()), (1100, Pressed())).gaps_ms) == [1000]


def test_only_the_last_rows_are_remembered() -> None:
    slow = [(n * 10_000, Pressed()) for n in range(100)]
    quick = [(1_000_000 + n * 1000, Pressed()) for n in range(REMEMBERED + 1)]
    assert pace_of(*slow, *quick).per_minute == 60


def test_the_gauge_of_a_tube() -> None:
    # Common practice, no source: 50 rows over 114.3 mm are 100/9 rows an inch.
    read = [
        *to_step(TUBE, "after-wash"),
        ReadOff("length", 114.3),
        ReadOff("width", 107.95),
        ReadOff("mass", 11),
    ]
    gauge = tube_gauge(folded(TUBE, *read))
    assert gauge is not None
    assert gauge.rows_per_mm.nominal_value * 25.4 == pytest.approx(50 / 4.5)
    assert gauge.stitches_per_mm.nominal_value * 25.4 == pytest.approx(72 / 8.5)
    assert gauge.mass_g is not None


def test_no_gauge_before_length_and_width() -> None:
    at = to_step(TUBE, "after-wash")
    for read in ([], [ReadOff("length", 114.0)], [ReadOff("width", 108.0)]):
        assert tube_gauge(folded(TUBE, *at, *read)) is None
    both = [*at, ReadOff("length", 114.0), ReadOff("width", 108.0)]
    assert tube_gauge(folded(TUBE, *both, Struck(len(both)))) is None


def test_a_gauge_counts_the_rows_really_cranked() -> None:
    before = [*to_step(TUBE, "tube"), *rows(47), Confirmed(early=True)]
    after = to_step(TUBE, "after-wash")[len(to_step(TUBE, "part")) :]
    gauge = tube_gauge(folded(TUBE, *before, *after, ReadOff("length", 94.0), ReadOff("width", 108.0)))
    assert gauge is not None
    assert gauge.rows == 47
    assert gauge.rows_per_mm.nominal_value == pytest.approx(0.5)


def test_readings_no_tube_can_have_are_said_to_be_so() -> None:
    state = folded(TUBE, *to_step(TUBE, "after-wash"), ReadOff("length", 0.2), ReadOff("width", 108.0))
    with pytest.raises(CraftError, match="tape"):
        tube_gauge(state)


def test_choices_in_words_and_only_those_that_stand() -> None:
    read = [*to_step(TUBE, "after-wash"), ReadOff("on-foot", 0), ReadOff("on-foot", 2)]
    assert choice(folded(TUBE, *read), "on-foot") == "tight"
    assert choice(folded(TUBE, *read, Struck(len(read))), "on-foot") == "loose"
    assert choice(folded(TUBE), "on-foot") is None
    assert choice(folded(TUBE, *read[:-2], ReadOff("length", 3.0)), "length") is None


def test_what_was_really_cranked_in_order() -> None:
    sock = head("sock")
    done = cranked(folded(sock, *to_step(sock, "foot"), *rows(5)))
    assert list(done) == ["leg", "heel", "foot", "toe"]
    assert (done["heel"], done["foot"], done["toe"]) == (40, 5, 0)


def test_work_is_off_the_machine_from_the_step_after_it_was_taken_off() -> None:
    sock = head("sock")
    assert where_work_is(folded(sock, *to_step(sock, "take-off"))) == "on the machine"
    assert where_work_is(folded(sock, *to_step(sock, "take-off"), Confirmed())) == "off the machine"
    assert where_work_is(folded(sock, *to_step(sock, "dry"))) == "drying"
    assert where_work_is(folded(sock, *to_step(sock, "dry"), Confirmed())) == "off the machine"
