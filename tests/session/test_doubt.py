"""Presses that come too fast to be rows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.counting.presses import Doubter, Judgement
from hosewright.session.events import Confirmed, Doubted, Pressed, TookBack, Vouched
from tests.helpers import folded, head, to_step

TUBE = head("tube")
AT_TUBE = to_step(TUBE, "tube")
FAST = Pressed(doubtful=True)


def judge(*times: float, gap_ms: float = 120.0) -> list[Judgement]:
    doubter = Doubter(gap_ms)
    return [doubter.judge(t) for t in times]


def test_hands_cranking_are_never_doubted() -> None:
    assert judge(*(n * 450.0 for n in range(50))) == [Judgement.ROW] * 50


def test_a_bouncing_pedal_is_doubted_once_a_bounce() -> None:
    assert judge(0, 30, 500, 540, 1000) == [
        Judgement.ROW,
        Judgement.DOUBTFUL,
        Judgement.ROW,
        Judgement.DOUBTFUL,
        Judgement.ROW,
    ]


def test_the_gap_is_from_the_last_press_of_any_kind() -> None:
    # 100 ms apart throughout: only the first can be a row
    assert judge(*(n * 100.0 for n in range(20)))[1:] != [Judgement.ROW] * 19
    assert judge(*(n * 100.0 for n in range(20))).count(Judgement.ROW) == 1


def test_a_held_key_makes_its_own_first_repeat_doubtful_and_only_once() -> None:
    held = judge(0, 500, *(530 + 30 * n for n in range(20)))
    assert held[:2] == [Judgement.ROW, Judgement.ROW]
    assert held.count(Judgement.HELD_KEY) == 1
    assert held[2:5] == [Judgement.DOUBTFUL, Judgement.DOUBTFUL, Judgement.HELD_KEY]


def test_many_presses_at_once_are_one_row() -> None:
    many = judge(*([7.0] * 200))
    assert many[0] is Judgement.ROW
    assert set(many[1:]) == {Judgement.DOUBTFUL}


def test_an_uneven_burst_is_no_held_key() -> None:
    assert Judgement.HELD_KEY not in judge(0, 500, 510, 590, 600, 690)


@given(st.lists(st.floats(0, 1e6), max_size=60))
def test_gap_zero_takes_every_press_for_a_row(times: list[float]) -> None:
    assert judge(*times, gap_ms=0) == [Judgement.ROW] * len(times)


def test_doubtful_presses_are_kept_apart_and_can_be_vouched_for() -> None:
    state = folded(TUBE, *AT_TUBE, Pressed(), FAST, FAST)
    assert (state.count, state.doubted) == (1, 2)
    state = folded(TUBE, *AT_TUBE, Pressed(), FAST, FAST, Vouched())
    assert (state.count, state.doubted) == (3, 0)


def test_a_new_run_of_doubtful_presses_forgets_the_old_one() -> None:
    state = folded(TUBE, *AT_TUBE, Pressed(), FAST, FAST, Pressed(), FAST, Vouched())
    assert state.count == 3


def test_doubting_the_first_repeat_takes_it_off_the_count() -> None:
    state = folded(TUBE, *AT_TUBE, Pressed(), Pressed(), FAST, FAST, FAST, Doubted())
    assert (state.count, state.doubted) == (1, 4)
    assert folded(TUBE, *AT_TUBE, Pressed(), Doubted()).count == 1


@pytest.mark.parametrize("event", [Vouched(), Doubted()])
def test_nothing_to_vouch_for_or_doubt_changes_nothing(event: Vouched | Doubted) -> None:
    state = folded(TUBE, *AT_TUBE, Pressed(), event)
    assert (state.count, state.ignored) == (1, 1)


def test_doubts_end_with_the_step() -> None:
    state = folded(TUBE, *AT_TUBE, Pressed(), FAST, Confirmed(early=True), Vouched())
    assert (state.count_of("tube"), state.ignored) == (1, 1)
    assert folded(TUBE, *AT_TUBE, Pressed(), FAST, TookBack()).count == 0
