"""The search for the stitch size, as a function of the looks alone. The rules are common practice, no source."""

from __future__ import annotations

import itertools
from functools import cache
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.session.search import MOST_CLICKS, Search, search_through
from tests.helpers import some

if TYPE_CHECKING:
    from hosewright.session.events import Verdict

DRAW_DOWN = "First draw the work down by hand, and see every latch open and clear."


def after(*trials: tuple[int, Verdict], clicks_per_turn: int = 4) -> Search:
    return search_through(trials, clicks_per_turn=clicks_per_turn)


def looks(text: str, clicks_per_turn: int = 4) -> Search:
    """The search after "28:drop, 26:stay"."""
    trials: list[tuple[int, Verdict]] = []
    for item in text.split(","):
        clicks, verdict = item.strip().split(":")
        trials.append((int(clicks), verdict))  # type: ignore[arg-type]
    return search_through(trials, clicks_per_turn=clicks_per_turn)


def half(clicks_per_turn: int) -> int:
    return (clicks_per_turn + 1) // 2


def test_the_worked_example() -> None:
    # Start 7 turns below zero: drops; 26: drops; 24: stays up -> baseline 28 clicks, 7 turns.
    found = looks("28:drop, 26:drop, 24:stay")
    assert (found.baseline, found.position, found.found, found.stopped) == (28, 28, True, False)
    assert "stay up at 6 turns and drop back at 6 1/2 turns" in found.advice
    assert "Turn the dial down a full turn, to 7 turns below zero" in found.advice


@pytest.mark.parametrize(
    ("trials", "then"),
    [
        ("30:drop,28:drop,26:stay,30:stay,30:drop", 30),  # one look in the proof against two: not up to where it jams
        ("30:stay,34:drop,32:drop", 34),  # 30 is known: it is not asked for again
        ("30:drop,28:drop,26:stay,30:stay,30:stay", 34),  # twice: a turn lower, no dead end
    ],
)
def test_it_reasons_from_all_it_has_seen(trials: str, then: int) -> None:
    search = looks(trials)
    assert (search.position, search.stopped) == (then, False)


def test_between_a_stay_and_a_drop_it_comes_up_half_a_turn_at_a_time() -> None:
    assert (looks("28:drop").position, looks("28:drop, 26:drop").position) == (26, 24)
    search = looks("28:stay, 32:drop")
    assert (search.position, search.why) == (30, "between")
    assert looks("28:stay, 32:drop, 30:stay").baseline == 34
    assert looks("28:stay, 32:drop, 30:drop").baseline == 32


def test_while_none_drop_it_goes_a_turn_lower_and_says_what_to_check_after_the_first_time() -> None:
    first, second, third = looks("28:stay"), looks("28:stay, 32:stay"), looks("28:stay, 32:stay, 36:stay")
    assert (first.position, second.position, third.position) == (32, 36, 40)
    assert "too thick" not in first.advice
    for later in (second, third):
        for word in ("weights", "tension", "too thick"):
            assert word in later.advice


def test_not_sure_asks_for_the_same_position_and_three_times_running_stops() -> None:
    search = looks("28:drop, 26:unsure, 26:unsure")
    assert (search.position, search.why, search.stopped) == (26, "unsure", False)
    stopped = looks("28:drop, 26:unsure, 26:unsure, 26:unsure")
    assert (stopped.stopped, stopped.found) == (True, False)
    assert not looks("28:unsure, 28:unsure, 28:drop, 26:unsure, 26:drop, 24:unsure").stopped


@pytest.mark.parametrize(("clicks", "then"), [(3, 1), (2, 0), (1, 0)])
def test_near_zero_the_dial_moves_what_is_left_and_never_past_zero(clicks: int, then: int) -> None:
    assert after((clicks, "drop")).position == then


def test_dropping_at_zero_stops_and_staying_there_is_a_find_like_any_other() -> None:
    stopped = looks("2:drop, 0:drop")
    assert (stopped.stopped, stopped.why) == (True, "zero")
    for word in ("thin", "weights", "V-cam"):
        assert word in stopped.advice
    assert looks("2:drop, 0:stay").baseline == 4


@pytest.mark.parametrize("verdict", ["stiff", "broke", "lower-stop"])
def test_a_stiff_crank_broken_yarn_or_the_lower_stop_stops_at_once(verdict: Verdict) -> None:
    for before in ((), ((28, "drop"),), ((28, "drop"), (26, "stay"))):
        stopped = after(*before, (30, verdict))
        assert (stopped.stopped, stopped.found, stopped.position) == (True, False, 30)


def test_past_the_deepest_dial_it_stops_as_at_the_lower_stop() -> None:
    assert after((MOST_CLICKS - 3, "stay")).why == "lower-stop"
    assert after((MOST_CLICKS - 4, "stay")).position == MOST_CLICKS


@pytest.mark.parametrize("ended", ["0:drop", "9:stiff", "9:broke", "9:lower-stop", "9:unsure,9:unsure,9:unsure"])
@pytest.mark.parametrize("verdict", ["drop", "stay", "unsure", "stiff", "broke", "lower-stop"])
def test_a_verdict_after_a_stop_is_refused(ended: str, verdict: Verdict) -> None:
    with pytest.raises(ValueError, match=f"has stopped before 20:{verdict}"):
        looks(f"{ended}, 20:{verdict}")


def test_a_look_against_older_ones_counts_when_it_is_seen_twice_running() -> None:
    once = looks("30:drop, 30:stay")
    assert (once.position, once.why, once.stays, once.drops) == (28, "against", None, 30)
    assert looks("30:drop, 30:stay, 30:stay").position == 34, "what it rules out is struck"
    assert looks("30:drop, 30:stay, 30:unsure, 30:stay").position == 34, "not sure says nothing for either"
    assert looks("30:drop, 30:stay, 28:drop, 30:stay").position == 26, "not running"
    assert looks("28:stay, 28:drop").position == 32
    struck = looks("24:stay, 28:stay, 32:drop, 28:drop, 28:drop")
    assert (struck.stays, struck.drops, struck.position) == (24, 28, 26)


def test_in_the_proof_one_stay_asks_for_another_look_and_two_go_a_turn_lower() -> None:
    found = "28:drop, 26:drop, 24:stay"
    again = looks(f"{found}, 28:stay")
    assert (again.position, again.why, again.found) == (28, "doubt", False)
    assert looks(f"{found}, 28:stay, 28:drop").baseline == 28
    assert looks(f"{found}, 28:stay, 28:unsure").position == 28
    assert looks(f"{found}, 28:stay, 28:stay").baseline == 32
    assert looks(f"{found}, 28:stay, 28:stay, 32:stay").position == 32
    assert looks(f"{found}, 28:stay, 28:stay, 32:stay, 32:stay").baseline == 36
    assert looks(f"{found}, 28:stay, 28:stay, 32:stay, 32:drop").baseline == 32


@pytest.mark.parametrize("clicks_per_turn", range(1, 9))
def test_truthful_looks_end_within_half_a_turn_of_a_turn_below_the_edge(clicks_per_turn: int) -> None:
    """A fifth of 61 starts, and 80 machines, for each number of clicks a turn; in a thorough run 39,040 searches."""
    through = cache(search_through)  # many searches begin alike
    for start, edge in itertools.product(some(range(61), 5, clicks_per_turn), range(80)):
        trials: tuple[tuple[int, Verdict], ...] = ()
        search = search_through([], start, clicks_per_turn)
        while not search.found:
            assert not search.stopped
            assert search.stays is None or search.position > search.stays
            assert search.drops is None or search.position < search.drops
            trials = (*trials, (search.position, "stay" if search.position <= edge else "drop"))
            assert len(trials) < 200
            search = through(trials, start, clicks_per_turn)
        assert abs(search.position - (edge + clicks_per_turn)) <= half(clicks_per_turn)
        assert search.position > edge, "the proof of a truthful search never fails"


@pytest.mark.parametrize("clicks_per_turn", range(1, 9))
def test_a_machine_that_drops_everywhere_reaches_zero_and_one_that_never_does_the_lower_stop(
    clicks_per_turn: int,
) -> None:
    for verdict, why in (("drop", "zero"), ("stay", "lower-stop")):
        trials: list[tuple[int, Verdict]] = []
        search = search_through([], 20, clicks_per_turn)
        while not search.stopped:
            trials.append((search.position, verdict))  # type: ignore[arg-type]
            search = search_through(trials, 20, clicks_per_turn)
        assert search.why == why


@given(
    st.integers(0, 60),
    st.integers(0, 80),
    st.integers(1, 8),
    st.lists(st.sampled_from(["right", "right", "wrong", "unsure"]), max_size=40),
)
def test_with_wrong_looks_now_and_then_it_still_ends_and_stays_between_what_is_known(
    start: int, edge: int, clicks_per_turn: int, how: list[str]
) -> None:
    """After the wrong ones come right ones; a baseline is proved by a look that drops back there."""
    trials: list[tuple[int, Verdict]] = []
    search = search_through([], start, clicks_per_turn)
    proving = proved = False
    for kind in [*how, *["right"] * 200]:  # with one click a turn the proof climbs a click in two looks
        if proved or search.stopped:
            break
        proving = proving or search.found
        if not proving:
            assert search.stays is None or search.position > search.stays
            assert search.drops is None or search.position < search.drops
        stays = (search.position <= edge) != (kind == "wrong")
        verdict: Verdict = "unsure" if kind == "unsure" else "stay" if stays else "drop"
        proved = search.found and verdict == "drop"
        trials.append((search.position, verdict))
        search = search_through(trials, start, clicks_per_turn)
    assert proved or search.why in ("zero", "lower-stop", "unsure-thrice")


@given(st.lists(st.tuples(st.integers(0, 40), st.sampled_from(["drop", "stay"])), min_size=1), st.integers(1, 8))
def test_whatever_is_typed_nothing_known_is_asked_for_before_a_baseline(
    trials: list[tuple[int, Verdict]], clicks_per_turn: int
) -> None:
    for n in range(1, len(trials) + 1):
        search = search_through(trials[:n], clicks_per_turn=clicks_per_turn)
        if search.found or search.stopped:
            break
        assert search.stays is None or search.position > search.stays
        assert search.drops is None or search.position < search.drops


def test_whenever_they_stayed_up_and_cranking_goes_on_the_work_is_drawn_down_first() -> None:
    for trials in (
        "28:stay",
        "28:stay, 32:stay",
        "24:stay, 32:drop, 30:drop, 28:stay",
        "28:drop, 26:stay",
        "28:drop, 26:stay, 30:stay",
        "28:drop, 26:stay, 30:stay, 30:stay",
        "30:drop, 30:stay",
    ):
        assert looks(trials).advice.startswith(DRAW_DOWN), trials
    for trials in ("28:drop", "28:unsure", "28:stay, 32:drop", "28:stay, 32:drop, 30:drop"):
        assert "draw the work down" not in looks(trials).advice, trials


@pytest.mark.parametrize(
    ("clicks_per_turn", "up"),
    [
        (1, "up a full turn, to 23"),
        (2, "up half a turn"),
        (3, "up 2 clicks"),
        (4, "up half a turn"),
        (5, "up 3 clicks"),
    ],
)
def test_the_real_distance_is_said(clicks_per_turn: int, up: str) -> None:
    start = 24 * clicks_per_turn
    raised = after((start, "drop"), clicks_per_turn=clicks_per_turn)
    assert raised.position == start - half(clicks_per_turn)
    assert f"turn the dial {up}" in raised.advice
    lowered = after((start, "stay"), clicks_per_turn=clicks_per_turn)
    assert "turn the dial down a full turn, to 25 turns below zero" in lowered.advice
    assert "up 1 click, to the zero mark" in after((1, "drop")).advice


def test_where_it_stops_it_says_what_to_do_with_the_work() -> None:
    for ended in ("0:drop", "9:lower-stop", "9:unsure,9:unsure,9:unsure"):
        assert "take the work off: hold the weights, cut the yarn" in looks(ended).advice
    for ended in ("9:stiff", "9:broke"):
        assert looks(ended).advice.startswith("Stop now")
        assert "lift the work off the needles by hand" in looks(ended).advice


def test_a_search_needs_a_trial_or_a_start() -> None:
    with pytest.raises(ValueError, match="No trial was given: type clicks"):
        search_through([])
    assert search_through([], start=28) == Search(28)
    assert "7 turns below zero" in Search(28).advice


def test_every_standing_has_something_to_say() -> None:
    standings = (
        "28:drop",
        "28:unsure",
        "28:stay",
        "28:stay, 32:stay",
        "28:stay, 32:drop",
        "28:drop, 28:stay",
        "28:drop, 26:stay",
        "28:drop, 26:stay, 30:stay",
        "28:drop, 26:stay, 30:stay, 30:stay",
        "0:drop",
        "5:stiff",
        "5:broke",
        "5:lower-stop",
        "5:unsure,5:unsure,5:unsure",
    )
    assert len({looks(trials).advice for trials in standings}) == len(standings)
