"""A session in use: stored first and shown after, all of it or nothing."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from hosewright.logbook import live as live_module
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel.session_files import parse, write
from hosewright.session.events import (
    Abandoned,
    Confirmed,
    DialMoved,
    Entry,
    Event,
    Observed,
    Opened,
    Pressed,
    ReadOff,
    Rehung,
    Reopened,
    SteppedBack,
    Struck,
)
from hosewright.session.fold import apply, fold
from hosewright.session.pace import Paces
from hosewright.session.state import State
from hosewright.session.steps import CountPasses
from tests.helpers import FakeClock, crank_to, drive, measure_tube, record, rows, sock_plan_steps
from tests.strategies import events, way_to

if TYPE_CHECKING:
    from hosewright.logbook.live import Live
    from hosewright.logbook.records.sessions import SessionRecord


def stored(book: Logbook, live: Live) -> list[Entry]:
    return list(book.store.entries(live.n))


def test_a_start_is_stored_at_once(book: Logbook, clock: FakeClock) -> None:
    live = book.start(record("tube"))
    assert stored(book, live) == [Entry(1, clock.at_ms, 60, clock.tick_ms, Opened())]
    assert [(line.id, line.status) for line in book.lines()] == [(record().id, "open")]
    assert live.state.last_seq == 1


def test_what_cannot_happen_is_said_and_not_stored(book: Logbook) -> None:
    live = book.start(record("tube"))
    why = live.do(Pressed())
    assert why == "There is nothing to count in this step."
    assert len(stored(book, live)) == 1
    assert live.state.ignored == 0


def test_a_press_is_committed_before_it_is_shown(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    seen: list[int] = []

    def looking(state: State, entry: Entry) -> None:
        if state is live.state:  # which is what is shown; what lists say is worked out on a copy before
            second = sqlite3.connect(book.path)
            seen.append(second.execute("SELECT count(*) FROM events WHERE seq = ?", (entry.seq,)).fetchone()[0])
            second.close()
            assert state.count == len(seen) - 1, "not shown yet"
        apply(state, entry)

    monkeypatch.setattr(live_module, "apply", looking)
    drive(live, rows(3))
    assert seen == [1, 1, 1]
    assert live.state.count == 3


def test_taken_up_again_it_stands_where_it_stood(book: Logbook, tmp_path: Path, clock: FakeClock) -> None:
    live = book.start(record("sock", steps=sock_plan_steps()))
    crank_to(live, "heel")
    drive(live, rows(30), Observed("dropped", 31))
    book.close()
    again = Logbook(book.path, clock)
    found = again.take_up(record().id)
    assert found.state == live.state
    assert found.paces == live.paces
    assert again.state(again.store.find(record().id)) == live.state
    again.close()


# --- when it cannot be stored ---------------------------------------------------------------------------------


def unmoved(live: Live, event: Event, match: str) -> None:
    """Doing ``event`` fails, and leaves everything as it was."""
    before, pace = live.state.copy(), list(live.paces.rows.gaps_ms)
    with pytest.raises(LogbookError, match=match):
        live.do(event)
    assert live.state == before
    assert list(live.paces.rows.gaps_ms) == pace


def test_a_closed_logbook_leaves_the_session_as_it_was(tmp_path: Path, clock: FakeClock) -> None:
    book = Logbook(tmp_path / "closed.sqlite", clock)
    live = book.start(record("tube"))
    crank_to(live, "tube")
    drive(live, rows(5))
    book.close()
    unmoved(live, Pressed(), "Not saved")
    unmoved(live, Confirmed(early=True), "Not saved")


def test_a_full_disk_leaves_the_session_as_it_was(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    book.store.db.execute("PRAGMA max_page_count = 1")  # SQLite keeps it at what is in use
    note = Observed("note", note="x" * 20_000)
    unmoved(live, note, "Not saved: the disk is full.")
    kept = stored(book, live)
    book.store.db.execute("PRAGMA max_page_count = 1000000")
    assert live.do(note) is None, "room again: the same event is taken"
    assert stored(book, live)[:-1] == kept


def test_another_program_writing_leaves_the_session_as_it_was(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    book.store.db.execute("PRAGMA busy_timeout = 1")
    other = sqlite3.connect(book.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    unmoved(live, Pressed(), "another program is writing")
    other.execute("ROLLBACK")
    other.close()
    drive(live, Pressed())


@pytest.mark.parametrize("event", [Confirmed(early=True), ReadOff("length", 114.0), Struck(0)])
def test_the_event_and_its_place_in_the_lists_are_stored_together(
    book: Logbook, monkeypatch: pytest.MonkeyPatch, event: Event
) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube" if isinstance(event, Confirmed) else "after-wash")
    if isinstance(event, Struck):
        drive(live, ReadOff("length", 110.0))
        event = Struck(live.state.last_seq)
    dump = list(book.store.db.iterdump())

    def fails(*_: object) -> None:
        raise sqlite3.OperationalError("disk I/O error")

    monkeypatch.setattr(book.store, "set_status", fails)
    unmoved(live, event, "disk I/O error")
    assert list(book.store.db.iterdump()) == dump


# --- what lists and plans ask for -----------------------------------------------------------------------------


def status(book: Logbook) -> str:
    return book.lines()[0].status


def test_lists_follow_where_it_stands(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "dry")
    assert status(book) == "waiting"
    assert [line.id for line in book.lines("waiting")] == [record().id]
    assert book.lines("open", "finished") == []
    crank_to(live, "after-wash")
    assert status(book) == "open"
    measure_tube(live)
    drive(live, Confirmed())
    assert status(book) == "finished"
    drive(live, SteppedBack())
    assert status(book) == "open"
    drive(live, Abandoned("moths"))
    assert status(book) == "abandoned"
    drive(live, Reopened(), Rehung("tube", 20))
    assert status(book) == "open"


def test_the_last_changed_comes_first(book: Logbook) -> None:
    first, second = book.start(record("tube", "20240101-aaa")), book.start(record("tube", "20240101-bbb"))
    drive(second, Confirmed())
    drive(first, Confirmed())
    assert [line.id for line in book.lines()] == ["20240101-aaa", "20240101-bbb"]


def test_a_gauge_is_known_once_the_tube_is_measured(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    drive(live, rows(30), DialMoved(27))
    crank_to(live, "after-wash")
    drive(live, ReadOff("length", 73.0))
    assert book.gauges() == []
    drive(live, ReadOff("width", 95.0), ReadOff("mass", 5.4), ReadOff("on-foot", 1))
    (gauge,) = book.gauges()
    assert (gauge.yarn, gauge.cylinder, gauge.session) == ("yarn-grey", "cylinder-60", record().id)
    assert (gauge.rows, gauge.slots, gauge.dial, gauge.mass_g, gauge.on_foot) == (30, 60, 27, 5.4, "right")
    assert gauge.rows_per_mm == pytest.approx(30 / 73)
    assert gauge.stitches_per_mm == pytest.approx(60 / 190)
    assert gauge.rows_per_mm_error > 0
    rows_kept = book.store.db.execute("SELECT field, value FROM measurements ORDER BY seq").fetchall()
    assert rows_kept == [("length", 73.0), ("width", 95.0), ("mass", 5.4), ("on-foot", 1.0)]


def test_a_gauge_changes_when_a_reading_is_added_or_struck(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    measure_tube(live, length_mm=75.0)
    drive(live, ReadOff("length", 85.0))
    wrong = live.state.last_seq
    assert book.gauges()[0].rows_per_mm == pytest.approx(30 / 80)
    drive(live, Struck(wrong))
    assert book.gauges()[0].rows_per_mm == pytest.approx(30 / 75)
    drive(live, Struck(next(r.seq for r in live.state.readings if r.field == "length")))
    assert book.gauges() == []


@pytest.mark.parametrize(
    ("length_mm", "mass_g"),
    [(0.5, 5.2), (9000.0, 5.2), (71.0, 0.4), (71.0, 30_000.0)],
    ids=["shorter than the tape is good for", "nine metres", "lighter than the scale shows", "thirty kilos"],
)
def test_readings_no_tube_can_have_make_no_gauge_and_no_trouble(book: Logbook, length_mm: float, mass_g: float) -> None:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    measure_tube(live, length_mm=length_mm, mass_g=mass_g)
    assert book.gauges() == []
    drive(live, Confirmed())
    assert book.take_up(record().id).state == live.state


def test_a_sock_has_no_gauge_of_its_own(book: Logbook) -> None:
    live = book.start(record("sock", steps=sock_plan_steps()))
    crank_to(live, "try-on")
    drive(live, ReadOff("mass", 40.0))
    assert book.gauges() == []


# --- whatever is done, what is shown is what is stored ----------------------------------------------------------


class ShownIsStored(RuleBasedStateMachine):
    """A bench on a real file: events, absurd ones too, closing and opening again, going to another file."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = TemporaryDirectory()
        self.clock = FakeClock()
        self.book = Logbook(Path(self.folder.name) / "logbook.sqlite", self.clock)

    @initialize(kind=st.sampled_from(["search", "tube", "sock"]), along=st.integers(0, 20))
    def begin(self, kind: str, along: int) -> None:
        chosen: SessionRecord = record("search" if kind == "search" else "tube" if kind == "tube" else "sock")
        self.live = self.book.start(chosen)
        for event in way_to(chosen.head, min(along, len(chosen.steps))):
            self.live.do(event)

    @rule(event=events)
    def do(self, event: Event) -> None:
        before = (self.live.state.copy(), len(self.stored()))
        why = self.live.do(event)
        if why is not None:
            assert (self.live.state, len(self.stored())) == before
        else:
            assert len(self.stored()) == before[1] + 1

    @rule(ms=st.integers(-(10**9), 10**9))
    def time_passes(self, ms: int) -> None:
        self.clock.at_ms = max(0, self.clock.at_ms + ms)

    @rule(n=st.integers(1, 40))
    def crank(self, n: int) -> None:
        for _ in range(n):
            self.live.do(Pressed())

    @rule()
    def close_and_open_again(self) -> None:
        self.book.close()
        self.book = Logbook(Path(self.folder.name) / "logbook.sqlite", self.clock)
        self.live = self.book.take_up(record().id)
        self.live.do(Opened())

    @rule()
    def carry_to_another_logbook(self) -> None:
        filed = parse(write(self.live.begun, self.stored()))
        with TemporaryDirectory() as folder:
            other = Logbook(Path(folder) / "other.sqlite", self.clock)
            assert other.take_in(filed.session, filed.entries())
            assert other.take_up(record().id).state == self.live.state
            assert [line.status for line in other.lines()] == [self.live.state.status]
            assert other.gauges() == self.book.gauges()
            assert [other.record(line) for line in other.lines()] == [self.live.record]
            other.close()

    def stored(self) -> list[Entry]:
        return list(self.book.store.entries(self.live.n))

    @precondition(lambda self: hasattr(self, "live"))
    @invariant()
    def shown_is_stored(self) -> None:
        log = self.stored()
        assert self.live.state == fold(self.live.record.head, log)
        paces, state = Paces(), State(self.live.record.head)
        for entry in log:
            paces.take(entry, passes=isinstance(state.step, CountPasses))
            apply(state, entry)
        assert self.live.paces == paces
        assert [line.status for line in self.book.lines()] == [self.live.state.status]
        kept = self.book.store.db.execute("SELECT seq, value FROM measurements ORDER BY seq").fetchall()
        assert kept == [(reading.seq, reading.value) for reading in self.live.state.readings]
        assert self.live.state.ignored == 0
        assert [self.book.record(line) for line in self.book.lines()] == [self.live.record]

    def teardown(self) -> None:
        self.book.close()
        self.folder.cleanup()


ShownIsStored.TestCase.settings = settings(
    max_examples=min(200, settings.default.max_examples if settings.default else 60) // 2, stateful_step_count=25
)
TestShownIsStored = ShownIsStored.TestCase
