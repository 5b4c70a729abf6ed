"""The search for the stitch size. The rules are common practice, no source."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.session.search import Search, search_through

if TYPE_CHECKING:
    from hosewright.session.events import Verdict


def after(*trials: tuple[int, Verdict], clicks_per_turn: int = 4) -> Search:
    return search_through(trials, clicks_per_turn=clicks_per_turn)


def test_the_worked_example() -> None:
    # Start 8 turns below zero: drops; 30: drops; 28: drops; 26: stays up -> baseline 30 clicks, 7 1/2 turns.
    found = after((32, "drop"), (30, "drop"), (28, "drop"), (26, "stay"))
    assert (found.baseline, found.position, found.found, found.stopped) == (30, 30, True, False)
    assert "7 1/2 turns below zero" in found.advice
    assert "half a turn too far" in found.advice


def test_each_drop_raises_half_a_turn() -> None:
    positions = [after(*[(32 - 2 * n, "drop") for n in range(seen)]).position for seen in (1, 2, 3)]
    assert positions == [30, 28, 26]


def test_not_sure_stays_where_it_is_as_often_as_need_be() -> None:
    search = after((32, "drop"), (30, "unsure"), (30, "unsure"))
    assert (search.position, search.why, search.found) == (30, "unsure", False)
    assert search.after(30, "drop").position == 28


def test_stayed_up_at_the_very_first_goes_a_full_turn_down_and_searches_from_there() -> None:
    first = after((32, "stay"))
    assert (first.position, first.why, first.found) == (36, "down-a-turn", False)
    search = first.after(36, "drop")
    assert search.position == 34
    assert search.after(34, "stay").baseline == 38


def test_an_unsure_first_look_does_not_make_the_second_one_any_less_the_first() -> None:
    assert after((32, "unsure"), (32, "stay")).why == "down-a-turn"


def test_stayed_up_again_a_full_turn_lower_stops() -> None:
    stopped = after((32, "stay"), (36, "stay"))
    assert (stopped.stopped, stopped.found, stopped.why) == (True, False, "stayed-twice")
    for word in ("weights", "tension", "thick"):
        assert word in stopped.advice


@pytest.mark.parametrize(("clicks", "then"), [(3, 1), (2, 0), (1, 0)])
def test_near_zero_the_dial_moves_what_is_left_and_never_past_zero(clicks: int, then: int) -> None:
    assert after((clicks, "drop")).position == then


def test_zero_reached_without_staying_up_stops() -> None:
    stopped = after((2, "drop"), (0, "drop"))
    assert (stopped.stopped, stopped.why) == (True, "zero")
    for word in ("thin", "weights", "V-cam"):
        assert word in stopped.advice


def test_staying_up_at_zero_is_a_find_like_any_other() -> None:
    assert after((2, "drop"), (0, "stay")).baseline == 4


@pytest.mark.parametrize("verdict", ["stiff", "broke"])
def test_a_stiff_crank_or_a_broken_yarn_stops_at_once(verdict: Verdict) -> None:
    stopped = after((32, "drop"), (30, verdict))
    assert (stopped.stopped, stopped.why, stopped.position) == (True, verdict, 30)
    assert stopped.advice.startswith("Stop now")


@pytest.mark.parametrize("ended", [((32, "stay"), (36, "stay")), ((0, "drop"),), ((9, "stiff"),), ((9, "broke"),)])
@pytest.mark.parametrize("verdict", ["drop", "stay", "unsure", "stiff", "broke"])
def test_a_verdict_after_a_stop_is_refused(ended: tuple[tuple[int, Verdict], ...], verdict: Verdict) -> None:
    with pytest.raises(ValueError, match="the search has stopped"):
        after(*ended).after(20, verdict)


def test_a_contradiction_asks_for_the_same_position_again() -> None:
    # It dropped at 30; staying up at 30, or looser, cannot be right as well.
    for clicks in (30, 31, 32):
        search = after((32, "drop"), (30, "drop"), (clicks, "stay"))
        assert (search.position, search.why, search.found) == (clicks, "contradiction", False)
    # It stayed up at 32; dropping there or tighter cannot be right as well.
    search = after((32, "stay"), (36, "drop"), (34, "drop"), (32, "drop"))
    assert (search.position, search.why) == (32, "contradiction")


def test_the_second_look_decides_a_contradiction_either_way() -> None:
    doubted = after((32, "stay"), (36, "drop"), (34, "drop"), (32, "drop"))
    assert doubted.after(32, "drop").position == 30, "the first look was wrong: search on upwards"
    assert doubted.after(32, "stay").baseline == 36, "the first look was right: a full turn below it"


def test_a_contradiction_that_stands_throws_out_the_looks_it_contradicts() -> None:
    search = after((32, "drop"), (30, "drop"), (32, "stay"), (32, "stay"))
    assert search.evidence == ((32, "stay"),)
    assert (search.why, search.position) == ("down-a-turn", 36)


def test_not_sure_between_two_looks_keeps_the_doubt() -> None:
    search = after((32, "drop"), (30, "drop"), (30, "stay"), (30, "unsure"))
    assert search.doubted == (30, "stay")
    assert search.after(30, "stay").baseline == 34


@pytest.mark.parametrize(("clicks_per_turn", "up", "down"), [(1, 1, 1), (2, 1, 2), (3, 1, 3), (8, 4, 8), (10, 5, 10)])
def test_other_clicks_to_the_turn(clicks_per_turn: int, up: int, down: int) -> None:
    raised = after((64, "drop"), clicks_per_turn=clicks_per_turn)
    assert raised.position == 64 - up
    assert raised.after(64 - up, "stay").baseline == 64 - up + down


def test_a_search_needs_a_trial_or_a_start() -> None:
    with pytest.raises(ValueError, match="No trial was given: type clicks"):
        search_through([])
    assert search_through([], start=32) == Search(32)
    assert "8 turns below zero" in Search(32).advice


def test_every_standing_has_something_to_say() -> None:
    told = {
        after(*trials).advice
        for trials in (
            ((32, "drop"),),
            ((32, "unsure"),),
            ((32, "stay"),),
            ((32, "drop"), (30, "stay")),
            ((32, "drop"), (32, "stay")),
            ((0, "drop"),),
            ((5, "stiff"),),
            ((5, "broke"),),
            ((32, "stay"), (36, "stay")),
        )
    }
    assert len(told) == 9
