"""Who a learner is called, and when one needs help."""

from __future__ import annotations

import shutil
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.count.dashboard import look_of
from hosewright.logbook.book import Logbook
from hosewright.logbook.classroom import Classroom, Learner, files_of, line_of, past_plan, past_words, waits_for_help
from hosewright.phrases.times import time_of_day
from hosewright.session.cues import LATE_ROWS
from hosewright.session.events import Abandoned, Confirmed, Event, Judged, Observed, Paused, Pressed, TookBack
from tests.helpers import START_MS, drive, folded, head, rows, to_step

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.steps import Head

from tests.logbook.test_learners import at_the_tube, line, moment


def test_learners_are_called_like_their_file_or_folder(tmp_path: Path) -> None:
    for place in ("room/anna/logbook.sqlite", "room/bert/logbook.sqlite", "flat/cleo.sqlite", "flat/dora.sqlite"):
        (tmp_path / place).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / place).touch()
    (tmp_path / "room" / "anna" / "backups").mkdir()
    (tmp_path / "room" / "anna" / "backups" / "logbook-20231114.sqlite").touch()
    named = [tmp_path / "room", tmp_path / "flat", tmp_path / "room" / "anna", tmp_path / "emil.sqlite"]
    assert [name for name, _ in files_of(named)] == ["anna", "bert", "cleo", "dora", "emil"]


def test_two_of_a_name_are_told_apart_by_the_folder_above(tmp_path: Path) -> None:
    for place in ("red/anna", "blue/anna"):
        (tmp_path / place).mkdir(parents=True)
    assert [n for n, _ in files_of([tmp_path / "red" / "anna", tmp_path / "blue" / "anna"])] == [
        "anna (red)",
        "anna (blue)",
    ]


def test_who_comes_later_is_found(tmp_path: Path) -> None:
    Logbook(tmp_path / "anna" / "logbook.sqlite").close()
    room = Classroom([tmp_path])
    assert [look.name for look in room.look(moment())] == ["anna"]
    Logbook(tmp_path / "bert" / "logbook.sqlite").close()
    assert [look.name for look in room.look(moment())] == ["anna", "bert"]


def test_who_was_there_and_is_gone_keeps_their_place(tmp_path: Path) -> None:
    for name in ("anna", "bert", "cleo"):
        Logbook(tmp_path / name / "logbook.sqlite").close()
    room = Classroom([tmp_path])
    room.look(moment())
    shutil.rmtree(tmp_path / "bert")
    Logbook(tmp_path / "bea" / "logbook.sqlite").close()
    seen = {look.name: look.trouble for look in room.look(moment())}
    assert list(seen) == ["anna", "bea", "bert", "cleo"]
    gone = f"The logbook has been gone since {time_of_day(START_MS, 60)}: moved, or its drive was taken out."
    assert seen["bert"] == gone
    later = {look.name: look.trouble for look in room.look(moment(START_MS + 3_600_000))}
    assert later["bert"] == seen["bert"], "since when it is gone, not since when one looked last"
    assert not seen["cleo"]


def test_a_colour_change_is_no_fault(learner: Logbook) -> None:
    live = at_the_tube(learner, 5)
    drive(live, Observed("tuck", 5), rows(2), Observed("colour"), Observed("note", note="a note"))
    (look,) = Classroom([learner.path]).look(moment())
    assert line(look).fault == "tuck"


def test_an_empty_room_fills(tmp_path: Path) -> None:
    room = Classroom([tmp_path])
    assert [look.trouble for look in room.look(moment())] == ["There is no logbook here yet."]
    Logbook(tmp_path / "anna" / "logbook.sqlite").close()
    assert [(look.name, look.trouble) for look in room.look(moment())] == [("anna", "")]


# --- waiting for help ---------------------------------------------------------------------------------------------

TUBE = head("tube")
COUNTING = [*to_step(TUBE, "tube"), *rows(5)]
SEARCH = head("search")
LOOKING = to_step(SEARCH, "trial")


@pytest.mark.parametrize(
    ("events", "quiet_s", "said"),
    [
        (COUNTING, 179, ""),
        (COUNTING, 180, "no row"),
        (COUNTING, 3599, "no row"),
        (COUNTING, 3600, ""),  # left, not waiting
        ([*COUNTING, Paused()], 59, ""),
        ([*COUNTING, Paused()], 60, "paused"),
        ([*COUNTING, Observed("fell-off")], 59, ""),
        ([*COUNTING, Observed("fell-off")], 60, "work fell off"),
        ([*COUNTING, Observed("fell-off"), Pressed()], 60, ""),
        ([*COUNTING, Observed("knot")], 60, ""),
        ([*to_step(TUBE, "join"), Paused()], 60, "paused"),
        (to_step(TUBE, "join"), 599, ""),
        (to_step(TUBE, "join"), 600, "no step"),
        (to_step(TUBE, "close-ends"), 3000, ""),  # off the machine it takes as long as it takes
    ],
)
def test_who_waits_for_help(events: list[Event], quiet_s: int, said: str) -> None:
    assert waits_for_help(folded(TUBE, *events), quiet_s * 1000) == said


def test_a_stopped_search_waits_at_once() -> None:
    state = folded(SEARCH, *LOOKING, Pressed(), Judged("stiff", 26))
    assert waits_for_help(state, 0) == "crank stiff"
    assert waits_for_help(folded(SEARCH, *LOOKING), 0) == ""


# --- past the plan ------------------------------------------------------------------------------------------------

SOCK = head("sock")
FULL_TUBE = [*to_step(TUBE, "tube"), *rows(30)]
FULL_HEEL = [*to_step(SOCK, "heel"), *rows(40)]


@pytest.mark.parametrize(
    ("what", "events", "past"),
    [
        (TUBE, to_step(TUBE, "tube"), 0),
        (TUBE, FULL_TUBE, 0),
        (TUBE, [*FULL_TUBE, *rows(LATE_ROWS)], 0),
        (TUBE, [*FULL_TUBE, *rows(LATE_ROWS + 1)], LATE_ROWS + 1),
        (TUBE, [*FULL_TUBE, *rows(LATE_ROWS + 1), TookBack()], 0),
        (TUBE, [*FULL_TUBE, *rows(12), Paused()], 12),
        (TUBE, [*FULL_TUBE, *rows(12), Abandoned("")], 0),
        (TUBE, [*FULL_TUBE, *rows(12), Confirmed()], 0),  # the next part
        (SOCK, FULL_HEEL, 0),
        (SOCK, [*FULL_HEEL, Pressed()], 1),  # the carrier stands at the wrong end
        (SEARCH, [*LOOKING, *rows(40)], 0),  # a trial has no plan
    ],
)
def test_what_counts_as_past_the_plan(what: Head, events: list[Event], past: int) -> None:
    assert past_plan(folded(what, *events)) == past


def test_what_is_past_the_plan_is_said_as_the_bench_says_it(learner: Logbook) -> None:
    live = at_the_tube(learner, 42)
    seen = line_of(Learner("anna", learner.path).look(moment()), live.state.last_ms)
    assert (seen.past, past_words(seen)) == (12, "12 rows more than planned")
    assert past_words(replace(seen, past=1, unit="passes")) == "1 pass more than planned"
    assert past_words(replace(seen, past=0)) == ""
    _, told = look_of(live.state, keys_here=True)
    assert past_words(seen).split(" rows ")[1] == told.casefold()


def test_silence_is_measured_by_the_clock_of_the_one_looking(learner: Logbook) -> None:
    """The learner's computer is an hour slow: before the first row it seems long silent, and after it no longer."""
    live = at_the_tube(learner, 5)
    now = live.state.last_ms + 3_600_000
    watched = Learner("anna", learner.path)
    assert line(watched.look(moment(now)), now).quiet_ms == 3_600_000
    drive(live, rows(1))
    assert line(watched.look(moment(now + 2000)), now + 2000).quiet_ms == 0
    assert line(watched.look(moment(now + 9000)), now + 9000).quiet_ms == 7000


def test_a_clock_that_runs_ahead_makes_no_silence_below_nothing(learner: Logbook) -> None:
    live = at_the_tube(learner, 5)
    now = live.state.last_ms - 600_000
    assert line(Learner("anna", learner.path).look(moment(now)), now).quiet_ms == 0
