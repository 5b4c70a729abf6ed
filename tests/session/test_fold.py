"""What each event does, where it may happen, and where it is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.session.events import (
    Abandoned,
    Amended,
    Confirmed,
    DialMoved,
    Event,
    Judged,
    Observed,
    Opened,
    Paused,
    Pressed,
    ReadOff,
    Recounted,
    Rehung,
    Reopened,
    Restated,
    Resumed,
    SteppedBack,
    Struck,
    TookBack,
    Verdict,
    Voided,
)
from hosewright.session.fold import apply, fold
from hosewright.session.rules import MOST_ROWS, refusal
from tests.helpers import entries, folded, head, rows, to_step

if TYPE_CHECKING:
    from hosewright.session.state import State
    from hosewright.session.steps import Head

SEARCH, TUBE, SOCK = head("search"), head("tube"), head("sock")
AT_TRIAL = to_step(SEARCH, "trial")
FOUND: list[Event] = [Pressed(), Judged("drop", 26), Pressed(), Judged("stay", 24)]
AT_PROOF: list[Event] = [*AT_TRIAL, *FOUND, Confirmed(), Confirmed()]
IN_TUBE = to_step(TUBE, "tube")
AT = [step.id for step in TUBE.steps].index("tube")
TUBE_ROWS_STEP, STEP_AFTER = TUBE.steps[AT : AT + 2]
AT_READINGS = to_step(TUBE, "after-wash")


def refused(what: Head, before: list[Event], event: Event) -> str:
    """Why ``event`` is refused after ``before``; every event before it must be taken."""
    state = folded(what, *before)
    assert state.ignored == 0
    why = refusal(state, event)
    assert why is not None, f"{event} was taken"
    assert not why[0].islower()
    assert why.endswith(".")
    return why


def taken(what: Head, *events: Event) -> State:
    state = folded(what, *events)
    assert state.ignored == 0
    return state


# --- counting -------------------------------------------------------------------------------------------------


def test_a_press_counts_a_row_where_there_is_something_to_count() -> None:
    state = taken(TUBE, *IN_TUBE, *rows(3))
    assert (state.count, state.presses) == (3, 19 - 8)
    assert "nothing to count" in refused(TUBE, [], Pressed())
    assert "finished" in refused(SOCK, [*to_step(SOCK, "try-on"), Confirmed()], Pressed())
    assert "Paused" in refused(TUBE, [*IN_TUBE, Paused()], Pressed())
    assert "given up" in refused(TUBE, [*IN_TUBE, Abandoned()], Pressed())
    assert f"{MOST_ROWS:,}" in refused(TUBE, [*IN_TUBE, Recounted(MOST_ROWS)], Pressed())


def test_rows_may_go_past_the_target() -> None:
    assert taken(TUBE, *IN_TUBE, *rows(31)).count == 31


def test_a_press_taken_back() -> None:
    state = taken(TUBE, *IN_TUBE, *rows(3), TookBack())
    assert (state.count, state.presses) == (2, 11)
    assert "no press to take back" in refused(TUBE, IN_TUBE, TookBack())
    assert "no press to take back" in refused(TUBE, [*IN_TUBE, Pressed(), TookBack()], TookBack())
    assert "no press to take back" in refused(TUBE, [], TookBack())
    assert taken(SEARCH, *AT_TRIAL, Pressed(), TookBack()).count == 0


def test_a_recount_sets_the_counter() -> None:
    assert taken(TUBE, *IN_TUBE, *rows(9), Recounted(7, "counted the tails")).count == 7
    for count in (-1, MOST_ROWS + 1):
        assert "whole number" in refused(TUBE, IN_TUBE, Recounted(count))
    assert taken(SEARCH, *AT_TRIAL, *rows(2), Recounted(3)).count == 3
    found = [*AT_TRIAL, Pressed(), Judged("stay", 26), Pressed(), Judged("drop", 28)]
    assert "Found" in refused(SEARCH, found, Recounted(3))
    assert "no counter" in refused(TUBE, [], Recounted(3))


def test_a_count_step_is_done_at_its_target_or_early_on_purpose() -> None:
    short = [*IN_TUBE, *rows(29)]
    assert refused(TUBE, short, Confirmed()) == "29 of 30 rows are counted, 1 to go."
    assert taken(TUBE, *short, Confirmed(early=True)).index == taken(TUBE, *IN_TUBE).index + 1
    assert taken(TUBE, *short, Pressed(), Confirmed()).step == STEP_AFTER
    heel = [*to_step(SOCK, "heel"), *rows(39)]
    assert refused(SOCK, heel, Confirmed()) == "39 of 40 passes are counted, 1 to go."


def test_a_session_ends_after_its_last_step() -> None:
    state = taken(SOCK, *to_step(SOCK, "try-on"), Confirmed())
    assert (state.status, state.step, state.count, state.target) == ("finished", None, 0, None)
    for event in (Confirmed(), TookBack(), Recounted(1), Paused(), Resumed(), DialMoved(3), Abandoned()):
        assert refused(SOCK, [*to_step(SOCK, "try-on"), Confirmed()], event) == "This session is finished."


def test_drying_is_waiting() -> None:
    assert taken(TUBE, *to_step(TUBE, "dry")).status == "waiting"
    assert taken(TUBE, *AT_READINGS).status == "open"


# --- back and forth -------------------------------------------------------------------------------------------


def test_a_step_back_keeps_the_counts() -> None:
    state = taken(TUBE, *IN_TUBE, *rows(30), Confirmed(), SteppedBack())
    assert (state.step, state.count) == (TUBE_ROWS_STEP, 30)
    assert taken(TUBE, *IN_TUBE, *rows(12), SteppedBack(), Confirmed()).count == 12
    assert "first step" in refused(TUBE, [], SteppedBack())


def test_a_finished_session_can_be_stepped_back_into() -> None:
    state = taken(SOCK, *to_step(SOCK, "try-on"), Confirmed(), SteppedBack())
    assert (state.status, state.index) == ("open", len(SOCK.steps) - 1)


def test_a_pause_stops_the_crank_and_the_verdict_and_ends_when_one_goes_on() -> None:
    paused = [*IN_TUBE, *rows(30), Paused()]
    assert taken(TUBE, *paused).paused
    assert "Paused" in refused(TUBE, paused, Confirmed())
    assert "Paused already" in refused(TUBE, paused, Paused())
    assert "Not paused" in refused(TUBE, IN_TUBE, Resumed())
    assert not taken(TUBE, *paused, Resumed()).paused
    assert not taken(TUBE, *paused, SteppedBack()).paused
    assert "Paused" in refused(SEARCH, [*AT_TRIAL, Pressed(), Paused()], Judged("drop", 26))


def test_work_hung_again_in_the_present_part() -> None:
    state = taken(TUBE, *IN_TUBE, *rows(20), Rehung("tube", 12, "fell off"))
    assert (state.count, state.step) == (12, TUBE_ROWS_STEP)


def test_work_hung_again_in_an_earlier_part_loses_what_came_after() -> None:
    in_foot = [*to_step(SOCK, "foot"), *rows(9)]
    state = taken(SOCK, *in_foot, Rehung("leg", 5))
    assert state.step is not None
    assert (state.step.id, state.count, state.count_of("heel"), state.count_of("foot")) == ("leg", 5, 0, 0)
    assert state.count_of("separator-in") == 8


@pytest.mark.parametrize(
    ("event", "word"),
    [
        (Rehung("toe", 0), "already cranked"),
        (Rehung("join", 0), "already cranked"),
        (Rehung("nowhere", 0), "already cranked"),
        (Rehung("foot", 10), "Only 9 were counted"),
        (Rehung("foot", -1), "whole number"),
    ],
)
def test_work_cannot_be_hung_where_there_is_none(event: Event, word: str) -> None:
    assert word in refused(SOCK, [*to_step(SOCK, "foot"), *rows(9)], event)


def test_work_can_fall_off_after_the_last_step_too() -> None:
    done = [*to_step(SOCK, "try-on"), Confirmed()]
    assert taken(SOCK, *done, Rehung("toe", 40)).status == "open"


def test_given_up_and_taken_up_again_where_it_stood() -> None:
    gone = [*IN_TUBE, *rows(5), Abandoned("wrong yarn")]
    assert taken(TUBE, *gone).status == "abandoned"
    for event in (Confirmed(), TookBack(), Recounted(1), Rehung("tube", 1), SteppedBack(), Paused(), Abandoned()):
        assert "given up" in refused(TUBE, gone, event)
    back = taken(TUBE, *gone, Reopened())
    assert (back.status, back.count, back.step) == ("open", 5, TUBE_ROWS_STEP)
    assert "not given up" in refused(TUBE, IN_TUBE, Reopened())
    assert not taken(TUBE, *IN_TUBE, Paused(), Abandoned(), Reopened()).paused


def test_opening_changes_nothing_that_is_counted() -> None:
    assert taken(TUBE, Opened(), *IN_TUBE, Opened(), Pressed(), Opened()).count == 1


# --- observations and readings --------------------------------------------------------------------------------


def test_an_observation_keeps_its_place() -> None:
    state = taken(TUBE, *IN_TUBE, *rows(7), Observed("dropped", 31, "old latch"))
    (seen,) = state.observations
    assert (seen.fault, seen.needle, seen.note, seen.step, seen.count, seen.dial) == (
        "dropped",
        31,
        "old latch",
        AT,
        7,
        26,
    )
    for needle in (0, -4, 61):
        assert refused(TUBE, IN_TUBE, Observed("tuck", needle)) == "Needles here are numbered 1 to 60."


def test_an_observation_can_be_made_after_giving_up_or_finishing() -> None:
    assert len(taken(TUBE, *IN_TUBE, Abandoned(), Observed("note", note="moths")).observations) == 1
    assert len(taken(SOCK, *to_step(SOCK, "try-on"), Confirmed(), Observed("note")).observations) == 1


def test_more_is_told_of_an_observation() -> None:
    seen = [*IN_TUBE, Pressed(), Observed("dropped")]
    seq = len(seen)
    (told,) = taken(TUBE, *seen, Amended(seq, needle=9), Amended(seq, note="bent hook")).observations
    assert (told.needle, told.note, told.count) == (9, "bent hook", 1)
    assert "numbered 1 to 60" in refused(TUBE, seen, Amended(seq, needle=99))
    assert "no observation" in refused(TUBE, seen, Amended(seq - 1, needle=9))


def test_an_observation_or_a_reading_is_struck_out_and_stays_readable() -> None:
    seen = [*IN_TUBE, Observed("knot")]
    struck = taken(TUBE, *seen, Struck(len(seen)))
    assert struck.observations[0].struck
    assert "already" in refused(TUBE, [*seen, Struck(len(seen))], Struck(len(seen)))
    for seq in (0, -1, len(seen) - 1, 999):
        assert "no observation or reading" in refused(TUBE, seen, Struck(seq))
    read = [*AT_READINGS, ReadOff("length", 110.0), ReadOff("length", 114.0)]
    state = taken(TUBE, *read, Struck(len(read) - 1))
    assert state.values("length") == [114.0]
    assert [reading.value for reading in state.readings] == [110.0, 114.0]


def test_readings_are_taken_only_of_what_is_asked() -> None:
    state = taken(TUBE, *AT_READINGS, ReadOff("length", 148.0, "14.8 cm"), ReadOff("on-foot", 1))
    assert (state.values("length"), state.readings[0].typed) == ([148.0], "14.8 cm")
    assert "no such thing" in refused(TUBE, AT_READINGS, ReadOff("raw-length", 3.0))
    assert "nothing to measure" in refused(TUBE, IN_TUBE, ReadOff("length", 3.0))
    for value in (0.0, -1.0, 1e6, float("nan"), float("inf")):
        assert "more than zero" in refused(TUBE, AT_READINGS, ReadOff("length", value))
    for value in (-1, 3, 0.5, float("nan")):
        assert "loose, right, tight" in refused(TUBE, AT_READINGS, ReadOff("on-foot", value))


def test_what_must_be_measured_is_named_before_going_on() -> None:
    why = refused(TUBE, [*AT_READINGS, ReadOff("length", 114.0)], Confirmed())
    assert why == "Still to measure: Flat width."
    assert taken(TUBE, *AT_READINGS, ReadOff("length", 114.0), ReadOff("width", 108.0), Confirmed()).step is None


def test_a_struck_reading_must_be_taken_again() -> None:
    read = [*AT_READINGS, ReadOff("width", 108.0), ReadOff("length", 114.0)]
    assert "Length of the working rows" in refused(TUBE, [*read, Struck(len(read))], Confirmed())


# --- the dial -------------------------------------------------------------------------------------------------


def test_a_row_before_each_verdict() -> None:
    for verdict in ("drop", "stay", "unsure"):
        assert "one full row" in refused(SEARCH, AT_TRIAL, Judged(verdict, 26))
    state = taken(SEARCH, *AT_TRIAL, Pressed(), Judged("drop", 26))
    assert (state.count, state.dial, state.trials[0].rows) == (0, 24, 1)
    assert "one full row" in refused(SEARCH, [*AT_TRIAL, Pressed(), Judged("drop", 26)], Judged("drop", 24))
    assert taken(SEARCH, *AT_TRIAL, Judged("stiff", 26)).search.stopped
    assert taken(SEARCH, *AT_TRIAL, Judged("broke", 26)).search.stopped


def test_a_verdict_belongs_to_a_trial() -> None:
    assert "no dial trial" in refused(TUBE, [*IN_TUBE, Pressed()], Judged("drop", 26))
    assert "no dial trial" in refused(SEARCH, [*AT_TRIAL, *FOUND, Confirmed()], Judged("stay", 24))  # not yet proving
    for clicks in (-1, 401):
        assert "0 to 400" in refused(SEARCH, [*AT_TRIAL, Pressed()], Judged("drop", clicks))


def test_a_found_size_moves_the_dial_and_wants_no_more_trials() -> None:
    found: list[Event] = [*AT_TRIAL, *FOUND]
    state = taken(SEARCH, *found)
    assert (state.baseline, state.dial) == (28, 28)
    assert "is found" in refused(SEARCH, found, Judged("drop", 28))
    assert "drop back at 6 1/2 turns" in refused(SEARCH, found, Pressed())
    assert "not found yet" in refused(SEARCH, AT_TRIAL, Confirmed())


def test_a_stopped_search_takes_neither_rows_nor_verdicts_until_it_is_started_again() -> None:
    stopped = [*AT_TRIAL, Judged("stiff", 26)]
    assert "Stop now" in refused(SEARCH, stopped, Pressed())
    assert "has stopped" in refused(SEARCH, stopped, Judged("drop", 26))
    again = taken(SEARCH, *stopped, Voided(30, "bent needle changed"))
    assert (again.search.stopped, again.dial) == (False, 30)


def test_the_lower_stop_is_said_without_a_row_in_the_search_and_when_it_is_found() -> None:
    assert taken(SEARCH, *AT_TRIAL, Judged("lower-stop", 26)).search.why == "lower-stop"
    assert taken(SEARCH, *AT_TRIAL, *FOUND, Judged("lower-stop", 28)).baseline is None
    assert "only stitches that stay up" in refused(SEARCH, [*AT_PROOF, Pressed()], Judged("lower-stop", 28))


def test_a_search_begun_again_says_to_draw_down_what_still_stays_up() -> None:
    stayed = taken(SEARCH, *AT_TRIAL, Pressed(), Judged("stay", 26), Voided(22))
    dropped = taken(SEARCH, *AT_TRIAL, Pressed(), Judged("drop", 26), Voided(22))
    assert stayed.search.advice.startswith("First draw the work down by hand")
    assert "draw the work down" not in dropped.search.advice


def test_changed_weights_void_the_trials() -> None:
    state = taken(SEARCH, *AT_TRIAL, *rows(2), Judged("drop", 26), Pressed(), Voided(26, "a weight came off"))
    assert [trial.void for trial in state.trials] == [True]
    assert (state.search.why, state.dial, state.count) == ("start", 26, 0)
    state = taken(SEARCH, *AT_TRIAL, Pressed(), Judged("drop", 26), Voided(26), Pressed(), Judged("stay", 26))
    assert [trial.void for trial in state.trials] == [True, False]
    assert state.search.why == "stay", "the voided look is no evidence"
    assert "no trials" in refused(TUBE, IN_TUBE, Voided(30))
    assert "0 to 400" in refused(SEARCH, AT_TRIAL, Voided(-2))


def test_the_dial_is_moved_by_hand_only_outside_a_trial() -> None:
    assert taken(TUBE, *IN_TUBE, DialMoved(28, "looser leg")).dial == 28
    assert "void the trials" in refused(SEARCH, AT_TRIAL, DialMoved(28))
    for clicks in (-1, 401):
        assert "0 to 400" in refused(TUBE, IN_TUBE, DialMoved(clicks))


def test_ten_clean_rows_prove_it() -> None:
    state = taken(SEARCH, *AT_PROOF, *rows(10), Confirmed())
    assert (state.status, state.baseline) == ("finished", 28)


def test_a_failed_proof_goes_back_to_the_search() -> None:
    assert "only stitches that stay up" in refused(SEARCH, [*AT_PROOF, Pressed()], Judged("drop", 28))
    state = taken(SEARCH, *AT_PROOF, *rows(4), Judged("stay", 28))
    assert state.step is not None
    assert (state.step.id, state.baseline, state.count) == ("trial", None, 0)
    assert (state.search.why, state.dial) == ("doubt", 28)
    sure = taken(SEARCH, *AT_PROOF, *rows(4), Judged("stay", 28), Pressed(), Judged("stay", 28))
    assert (sure.baseline, sure.dial, sure.search.stopped) == (32, 32, False)
    unsaid = taken(SEARCH, *AT_PROOF, *rows(4), Judged("stay", 28), Pressed(), Judged("drop", 28))
    assert (unsaid.baseline, unsaid.dial) == (28, 28)


@pytest.mark.parametrize("verdict", ["stiff", "broke"])
def test_a_proof_that_goes_stiff_or_breaks_stops_the_search(verdict: Verdict) -> None:
    state = taken(SEARCH, *AT_PROOF, Judged(verdict, 28))
    assert state.search.stopped
    assert state.baseline is None


# --- the fold itself ------------------------------------------------------------------------------------------


def test_a_refused_event_is_counted_and_changes_nothing_else() -> None:
    what = entries([*IN_TUBE, *rows(4), Confirmed()])
    state = fold(TUBE, what[:-1])
    before = state.copy()
    apply(state, what[-1])
    assert (state.ignored, state.last_seq, state.last_ms) == (1, what[-1].seq, what[-1].at_ms)
    state.ignored, state.last_seq, state.last_ms = before.ignored, before.last_seq, before.last_ms
    assert state == before


def test_since_is_when_the_present_step_began() -> None:
    log = entries([Opened(), Confirmed(), *rows(10), Confirmed()])
    assert fold(TUBE, log[:1]).since_ms == log[0].at_ms
    assert fold(TUBE, log[:5]).since_ms == log[1].at_ms
    assert fold(TUBE, log).since_ms == log[-1].at_ms


def test_an_observation_can_be_put_right_without_losing_its_row() -> None:
    seen = [*to_step(TUBE, "tube"), *rows(3), Observed("dropped", needle=23)]
    seq = len(seen)
    state = folded(TUBE, *seen, Amended(seq, needle=0), Amended(seq, fault="tuck"), Amended(seq, note="latch"))
    [observation] = state.observations
    assert (observation.fault, observation.needle, observation.note, observation.count) == ("tuck", None, "latch", 3)


ANA = {"id": "ana", "name": "Ana"}


@pytest.mark.parametrize(
    ("event", "taken_up"),
    [
        *((Restated(what, ANA), True) for what in ("yarn", "machine", "wearer", "lot", "promise")),
        *((Restated(what), True) for what in ("wearer", "lot", "promise")),
        *((Restated(what), False) for what in ("yarn", "machine", "cylinder", "day", "title")),
        *((Restated(what, "Ana"), False) for what in ("yarn", "machine", "wearer", "lot", "promise", "day")),
        *((Restated(what, {"id": "", "name": "Ana"}), False) for what in ("yarn", "wearer")),
        *((Restated("cylinder", {**ANA, "slots": slots}), True) for slots in (1, 60, 400)),
        *((Restated("cylinder", {**ANA, "slots": slots}), False) for slots in (0, 401, True, "60", None)),
        (Restated("day", "2026-11-05"), True),
        (Restated("title", "The first"), True),
        (Restated("title", " "), False),
        (Restated("title", "The first", 1), False),
    ],
)
def test_what_a_session_was_begun_with_is_put_right_by_what_it_can_be(event: Restated, taken_up: bool) -> None:
    said = refusal(folded(SOCK), event)
    assert (said is None) == taken_up
    if said and not event.sock:
        assert said == f"That is not a {event.what}."


def test_only_the_count_of_a_part_that_is_done_is_put_right_from_elsewhere() -> None:
    at_the_heel = folded(SOCK, *to_step(SOCK, "heel"))
    why = "Only the count of a part that is done can be put right there."
    assert refusal(at_the_heel, Recounted(8, step="leg")) is None
    assert [refusal(at_the_heel, Recounted(8, step=name)) for name in ("heel", "foot", "join", "no such")] == [why] * 4
    assert refusal(at_the_heel, Recounted(-1, step="leg")) not in (None, why)
