"""What was undone is not found, not counted, not in the yarn, and not in what is printed."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from hypothesis import given
from hypothesis import strategies as st

from hosewright.counting.replay import Recording
from hosewright.logbook.accounts.care import beds, faults_by_needle
from hosewright.logbook.accounts.pace import recent_pace
from hosewright.logbook.accounts.use import yarn_taken
from hosewright.logbook.book import Logbook
from hosewright.logbook.find.sessions import count
from hosewright.logbook.find.wanted import Wanted, read_wanted
from hosewright.logbook.travel.session_files import session_in, write
from hosewright.paper.csv_files import events_csv
from hosewright.paper.report import session_report
from hosewright.session.events import (
    Amended,
    Confirmed,
    DialMoved,
    Observed,
    Pressed,
    ReadOff,
    Recounted,
    Redone,
    Struck,
    Undone,
)
from hosewright.session.results import verdict_words
from hosewright.session.twins import dial_moves
from tests.helpers import FakeClock, crank_to, drive, record, rows
from tests.strategies import event_lists, way_to

if TYPE_CHECKING:
    from hosewright.logbook.live import Live
    from hosewright.session.events import Event
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind


def begun(book: Logbook, kind: SessionKind = "sock", step: str = "leg") -> Live:
    live = book.start(record(kind, f"20231114-{kind}"))
    crank_to(live, step)
    return live


def found(book: Logbook, text: str) -> int:
    return count(book.store, read_wanted(text))


def listed(book: Logbook, n: int) -> dict[str, Any]:
    """What the lists tell of a session."""
    ask = book.store.db.execute
    return {
        "seen": ask("SELECT seq, fault, needle, struck FROM seen WHERE session = ? ORDER BY seq", (n,)).fetchall(),
        "readings": ask("SELECT seq, field, value FROM measurements WHERE session = ? ORDER BY seq", (n,)).fetchall(),
        "left out": ask("SELECT left_out FROM catalogue WHERE session = ?", (n,)).fetchall(),
        "verdict": ask("SELECT verdict FROM catalogue WHERE session = ?", (n,)).fetchall(),
        "words": ask("SELECT verdict FROM words WHERE rowid = ?", (-n,)).fetchall(),
        "notes": sorted(ask("SELECT notes FROM words WHERE session = ? AND rowid <> ? AND notes <> ''", (n, -n))),
    }


def told_by(state: State) -> dict[str, Any]:
    """The same by the fold."""
    return {
        "seen": [(s.seq, s.fault, s.needle, int(s.struck)) for s in state.observations],
        "readings": [(r.seq, r.field, r.value) for r in state.readings],
        "left out": [(state.out.reason if state.out else "",)],
        "verdict": [(verdict_words(state),)],
        "words": [(verdict_words(state),)],
    }


def test_an_undone_observation_is_not_found_and_done_again_it_is(book: Logbook) -> None:
    live = begun(book)
    drive(live, Observed("dropped", 23, "latch bent"))
    (bed,) = beds(book.store)
    assert found(book, "latch bent") == found(book, "dropped") == 1
    drive(live, Undone())
    assert found(book, "latch bent") == found(book, "dropped") == 0
    assert faults_by_needle(book.store, bed) == []
    drive(live, Redone())
    assert found(book, "latch bent") == found(book, "dropped") == 1
    assert faults_by_needle(book.store, bed)[0].counts == ((23, 1),)
    drive(live, Amended(live.state.last_seq - 2, needle=5), Undone())
    assert faults_by_needle(book.store, bed)[0].counts == ((23, 1),)
    assert count(book.store, Wanted()) == 1


def test_a_strike_that_is_undone_strikes_nothing(book: Logbook) -> None:
    live = begun(book, "tube", "after-wash")
    drive(live, ReadOff("on-foot", 1.0), Struck(live.state.last_seq + 1))
    assert listed(book, live.n)["verdict"] == [("",)]
    drive(live, Undone())
    assert listed(book, live.n)["verdict"] == [("right",)]
    drive(live, ReadOff("mass", 5.2))  # another reading does not strike it again
    assert listed(book, live.n)["verdict"] == [("right",)]
    drive(live, Undone(), Undone())
    assert listed(book, live.n)["verdict"] == [("",)]
    assert listed(book, live.n)["readings"] == []


def test_undone_rows_are_in_no_yarn_and_no_pace_and_an_undone_dial_in_no_twin(book: Logbook) -> None:
    live = begun(book)
    drive(live, rows(20), DialMoved(30), rows(3))
    without = yarn_taken(live.record, book.store.entries(live.n))
    pace = list(live.paces.rows.gaps_ms)
    drive(live, rows(5), [Undone()] * 5)
    assert [taken.rest_mg for taken in yarn_taken(live.record, book.store.entries(live.n))] == [
        taken.rest_mg for taken in without
    ]
    assert list(live.paces.rows.gaps_ms) == pace
    assert recent_pace(book).rows
    assert dial_moves(live.record.head, book.store.entries(live.n)) == {"leg": ((20, 30),)}
    drive(live, [Undone()] * 4)
    assert live.state.dial == 26
    assert dial_moves(live.record.head, book.store.entries(live.n)) == {}


def test_a_report_says_that_something_was_undone_and_not_what_it_would_have_been(book: Logbook) -> None:
    live = begun(book)
    drive(live, rows(4), Recounted(9, "lost count"), Undone(), Observed("tuck", 7), Undone(), Pressed(), Undone())
    said = session_report(live.record, book.store.entries(live.n))
    assert "3 things done by mistake, and undone." in said
    assert "lost count" not in said
    assert "tuck" not in said
    assert "did not fit" not in said


def test_a_table_of_events_marks_what_was_undone(book: Logbook) -> None:
    live = begun(book)
    drive(live, Pressed(), Observed("knot"), Undone(), Undone(), Redone())
    lines = list(csv.DictReader(io.StringIO(events_csv(live.record, book.store.entries(live.n)))))
    assert [(line["kind"], line["undone"]) for line in lines[-5:]] == [
        ("pressed", ""),
        ("observed", "yes"),
        ("undone", ""),
        ("undone", ""),
        ("redone", ""),
    ]


def test_a_recording_shows_the_undoing(book: Logbook) -> None:
    live = begun(book)
    drive(live, rows(17), Observed("knot"), Undone(), Redone())
    recording = Recording(live.record.head, list(book.store.entries(live.n)))
    recording.wind(len(recording.entries))
    assert [words for _, words in recording.told(3)] == [
        "Leg: done again: knot at row 17",
        "Leg: undone: knot at row 17",
        "Leg: knot",
    ]
    recording.wind(len(recording.entries) - 1)
    assert recording.state.observations == []


@given(st.sampled_from(["search", "tube", "sock", "string"]), event_lists, st.data())
def test_the_lists_tell_what_stands_however_it_came_about(
    kind: SessionKind, events: list[Event], data: st.DataObject
) -> None:
    start = record(kind, "20231114-any")
    way = way_to(start.head, data.draw(st.integers(0, len(start.head.steps))))
    with TemporaryDirectory() as folder:
        book = Logbook(Path(folder) / "own.sqlite", FakeClock())
        live = book.start(start)
        for event in [*way, *events]:
            live.do(event)
        mine = listed(book, live.n)
        assert told_by(live.state).items() <= mine.items()
        taken, entries, *_ = session_in(write(live.begun, book.store.entries(live.n)))
        other = Logbook(Path(folder) / "other.sqlite", FakeClock())
        other.take_in(taken, entries)
        (line,) = other.lines()
        assert listed(other, line.n) == mine
        assert (line.status, line.changed_ms) == (live.state.status, line.changed_ms)
        book.close()
        other.close()


def test_after_a_wearer_was_forgotten_what_was_undone_stays_so(book: Logbook) -> None:
    from hosewright.logbook.upkeep.forgetting import _work_lists_out_again

    live = begun(book)
    drive(live, Observed("split", 4, "by the seam"), Confirmed(early=True), Undone(), Undone())
    with book.store.one_commit():
        _work_lists_out_again(book.store)
    assert found(book, "seam") == 0
    assert told_by(live.state).items() <= listed(book, live.n).items()
