"""The glance as it was left is shown only where it is what working it out anew would give."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.glance import Glance, kept
from hosewright.logbook.looking import keep_for_next_start, look
from hosewright.session.events import Abandoned, Measured, Pressed, Reopened, Struck, TookBack
from tests.faults.past import build
from tests.helpers import BEGUN, FakeClock, crank_to, cylinder, drive, machine, measure_tube, plan_of, record, yarn
from tests.strategies import events as any_event

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.file.store import Store
    from hosewright.session.events import Event


def left(book: Logbook) -> Glance:
    """The glance of a bench that is left, which is the one shown at the next start."""
    keep_for_next_start(book.store)
    told = kept(book.store)
    assert told == look(book.store)
    return told


def test_nothing_is_kept_before_a_bench_was_left(book: Logbook) -> None:
    assert kept(book.store) is None
    left(book)


def test_the_samples_are_kept_whole(samples: Logbook) -> None:
    told = left(samples)
    assert len(told.standing) >= 2
    assert len(told.next) >= 3


def test_whatever_is_stored_ends_it(book: Logbook) -> None:
    for thing in (machine(), cylinder(), yarn()):
        left(book)
        book.keep(thing)
        assert kept(book.store) is None
    left(book)
    live = book.start(record("tube"))
    assert kept(book.store) is None
    left(book)
    for event in (*BEGUN, Pressed(), TookBack(), Abandoned(), Reopened()):
        drive(live, event)
        assert kept(book.store) is None, event
        left(book)
    crank_to(live, "after-wash")
    left(book)
    measure_tube(live)
    assert kept(book.store) is None
    left(book)


def test_a_reading_put_right_in_a_finished_tube_ends_it(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    measure_tube(live)
    left(book)
    (width,) = (reading.seq for reading in live.state.readings if reading.field == "width")
    drive(live, Struck(width), Measured("width", 109.0, "109 mm"))
    assert kept(book.store) is None
    left(book)


def test_another_plan_or_the_same_one_retired_ends_it(book: Logbook) -> None:
    plan = plan_of()
    book.keep(machine(), cylinder(), yarn(), plan)
    assert any("crank it" in one.words for one in left(book).next)
    book.keep(plan.model_copy(update={"retired": True}))
    assert kept(book.store) is None
    assert not any("crank it" in one.words for one in left(book).next)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.lists(any_event, max_size=4), max_size=4))
def test_what_is_kept_is_what_would_be_worked_out(tmp_path: Path, evenings: list[list[Event]]) -> None:
    (tmp_path / "logbook.sqlite").unlink(missing_ok=True)
    with closing(Logbook(tmp_path / "logbook.sqlite", FakeClock())) as book:
        lives = [book.start(record(kind, f"20240101-{kind}")) for kind in ("search", "tube", "sock")]
        for number, events in enumerate(evenings):
            left(book)
            for event in events:
                lives[number % 3].do(event)
            told = kept(book.store)
            assert told is None or told == look(book.store)


def test_another_version_of_the_program_works_it_out_anew(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    left(book)
    monkeypatch.setattr("hosewright.logbook.glance.__version__", "0.0.1")
    assert kept(book.store) is None
    left(book)


STANDS = '["id-1", "A tube", "The machine", "on the machine", "crank", 5, false]'


@pytest.mark.parametrize(
    "told",
    [
        "",
        "nonsense",
        "[]",
        "[[[1]], []]",
        "[[], [[1, 2]]]",
        "{}",
        "[1, 2]",
        '[[["id-1", "A tube", "The machine", "on the machine", "crank", "long ago", false]], []]',
        '[[["id-1", "A tube", "The machine", "on the machine", "crank", 5, 0]], []]',
        f"[[{STANDS}, {STANDS}], []]",
        '[[], [["open", "A tube", null, []]]]',
        '[[], [["open", 5, "", []]]]',
        '[[], [["sock", "A plan", "", [["plan", 7]]]]]',
        '[[], [["sock", "A plan", "", ["plan"]]]]',
    ],
)
def test_a_damaged_one_is_worked_out_anew(book: Logbook, told: str) -> None:
    book.start(record("tube"))
    left(book)
    book.store.db.execute("UPDATE glance SET told = ?", (told,))
    assert kept(book.store) is None
    left(book)


@pytest.mark.parametrize(
    ("kind", "body"), [("plan", "{"), ("plan", "[]"), ("promise", '{"id": "x", "name": "X", "retired": false}')]
)
def test_a_thing_on_the_shelf_that_cannot_be_read_is_said(book: Logbook, kind: str, body: str) -> None:
    book.keep(machine(), cylinder(), yarn())
    book.store.db.execute("INSERT INTO shelf VALUES (?, 'torn', 1, 0, ?)", (kind, body))
    with pytest.raises(LogbookError, match=f"A {kind} in this logbook cannot be read"):
        look(book.store)
    keep_for_next_start(book.store)
    assert kept(book.store) is None


def test_what_is_stored_while_it_is_worked_out_ends_it(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(store: Store) -> Glance:
        told = look(store)
        book.start(record("tube"))
        return told

    monkeypatch.setattr("hosewright.logbook.looking.look", slow)
    keep_for_next_start(book.store)
    assert kept(book.store) is None


def test_a_logbook_for_looking_only_stays_as_it_is(book: Logbook) -> None:
    book.start(record("tube"))
    book.store.only_look("Another bench counts.")
    keep_for_next_start(book.store)
    assert kept(book.store) is None


def test_a_logbook_of_an_earlier_version_has_none(tmp_path: Path) -> None:
    path = tmp_path / "past.sqlite"
    build(3, path)
    with closing(sqlite3.connect(path)) as db, pytest.raises(sqlite3.OperationalError, match="no such table"):
        db.execute("SELECT * FROM glance")
    with closing(Logbook(path)) as book:
        assert kept(book.store) is None
        left(book)


def test_it_reads_no_more_than_it_needs(book: Logbook) -> None:
    asked: list[str] = []
    book.store.db.set_trace_callback(asked.append)
    left(book)
    book.store.db.set_trace_callback(None)
    queries = [sql for sql in asked if sql.startswith("SELECT n, status")]
    assert len(queries) >= 2
    for sql in queries:
        plan = [row[3] for row in book.store.db.execute(f"EXPLAIN QUERY PLAN {sql}")]
        assert not [step for step in plan if step.startswith("SCAN") and "sessions_by_change" not in step], plan
        assert any("SEARCH events USING PRIMARY KEY (session=?)" in step for step in plan), plan


def test_the_first_frame_needs_no_engine() -> None:
    code = "import sys, hosewright.cli, hosewright.bench.app; print(*sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    engine = {"hosewright.session.fold", "hosewright.session.events", "hosewright.session.steps", "pydantic", "pint"}
    assert "hosewright.bench.home.screen" in told
    assert not engine & set(told)
