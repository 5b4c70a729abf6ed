"""A class looked at: always what a fresh fold says, nothing written, and trouble told in its place."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hosewright.logbook import classroom
from hosewright.logbook.book import Logbook
from hosewright.logbook.classroom import RELOOK_MS, Classroom, Learner, LearnerLine, Look, line_of
from hosewright.phrases.times import Moment
from hosewright.session.events import Entry, Observed, Paused, Resumed
from hosewright.session.fold import fold
from hosewright.session.rules import refusal
from tests.helpers import START_MS, FakeClock, crank_to, drive, record, rows
from tests.strategies import events as any_event

if TYPE_CHECKING:
    from hosewright.logbook.live import Live


PAST = Path(__file__).parents[1] / "faults" / "fixtures"


def moment(at_ms: int = START_MS, tick_ms: int = 0) -> Moment:
    return Moment(at_ms, 60, tick_ms)


def at_the_tube(book: Logbook, count: int = 0) -> Live:
    live = book.start(record("tube", book.new_id()))
    crank_to(live, "tube")
    drive(live, rows(count))
    return live


def line(look: Look, now_ms: int = START_MS) -> LearnerLine:
    return line_of(look, now_ms)


# --- what is seen -----------------------------------------------------------------------------------------------


def test_a_learner_is_seen_row_by_row(learner: Logbook) -> None:
    live = at_the_tube(learner, 7)
    watched = Learner("anna", learner.path)
    seen = line(watched.look(moment()))
    assert (seen.learner, seen.title, seen.where) == ("anna", "A tube", "on the machine")
    assert (seen.step, seen.step_number, seen.steps) == ("Gauge tube", 7, 15)
    assert (seen.count, seen.target, seen.unit) == (7, 30, "rows")
    assert seen.pace == 60.0  # the helpers' clock moves a second a press
    drive(live, rows(3), Observed("dropped", 17))
    seen = line(watched.look(moment()))
    assert seen.count == 10
    assert (seen.fault, seen.fault_at) == ("dropped stitch", "Gauge tube, row 10, needle 17")


def test_the_session_touched_last_is_the_one_in_hand(learner: Logbook) -> None:
    first, second = at_the_tube(learner, 3), learner.start(record("search", "20231114-later"))
    watched = Learner("anna", learner.path)
    seen = line(watched.look(moment()))
    assert (seen.session, seen.more) == ("20231114-later", 1)
    drive(first, rows(1))
    assert line(watched.look(moment())).session == first.record.id
    assert second.state.count == 0


def test_a_finished_session_is_shown_when_nothing_else_is_open(learner: Logbook) -> None:
    live = at_the_tube(learner)
    crank_to(live, "dry")
    assert line(Learner("anna", learner.path).look(moment())).where == "drying"
    crank_to(live, "after-wash")
    assert line(Learner("anna", learner.path).look(moment())).where == "off the machine"


def test_a_logbook_without_a_session_says_nothing_is_on_the_machine(learner: Logbook) -> None:
    look = Learner("anna", learner.path).look(moment())
    assert (look.session, look.trouble) == (None, "")
    assert line(look).where is None


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(data=st.data())
def test_a_refresh_equals_a_fresh_fold(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    """Whatever happened between the looks, and whenever one looked."""
    path = tmp_path_factory.mktemp("class") / "anna.sqlite"
    book = Logbook(path, FakeClock())
    try:
        live = book.start(record(data.draw(st.sampled_from(["search", "tube", "sock"])), book.new_id()))
        watched = Learner("anna", path)
        for tick in range(data.draw(st.integers(1, 5))):
            for event in data.draw(st.lists(any_event, max_size=12)):
                if refusal(live.state, event) is None:
                    live.do(event)
            look = watched.look(moment(tick_ms=tick))
            fresh = Learner("anna", path).look(moment())
            assert look.session is not None
            assert fresh.session is not None
            assert look.session.state == fresh.session.state == live.state
            assert look.session.paces == fresh.session.paces == live.paces
            assert fold(live.record.head, book.store.entries(live.n)) == look.session.state
    finally:
        book.close()


def test_what_was_shown_does_not_change_under_the_screen(learner: Logbook) -> None:
    live = at_the_tube(learner, 5)
    watched = Learner("anna", learner.path)
    before = watched.look(moment())
    assert before.session is not None
    gaps = len(before.session.paces.rows.gaps_ms)
    drive(live, rows(5), Observed("knot"))
    watched.look(moment())
    assert before.session.state.count == 5
    assert before.session.state.observations == []
    assert len(before.session.paces.rows.gaps_ms) == gaps


# --- read only when it changed -----------------------------------------------------------------------------------


def test_only_a_changed_logbook_is_read_again(learner: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    connect = classroom._connect

    def counted(path: Path, how: str) -> sqlite3.Connection:
        opened.append(how)
        return connect(path, how)

    monkeypatch.setattr(classroom, "_connect", counted)
    live = at_the_tube(learner, 5)
    watched = Learner("anna", learner.path)
    looks = [watched.look(moment(tick_ms=tick)) for tick in range(0, RELOOK_MS, 1000)]
    assert len(opened) == 1
    assert all(look is looks[0] for look in looks)
    drive(live, rows(1))
    watched.look(moment(tick_ms=1))
    assert len(opened) == 2
    watched.look(moment(tick_ms=1 + RELOOK_MS))  # whatever the file's times say
    assert len(opened) == 3


def test_only_what_is_new_is_read(learner: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    live = at_the_tube(learner, 20)
    watched = Learner("anna", learner.path)
    watched.look(moment())
    asked: list[int] = []
    entries = classroom._entries

    def counted(db: sqlite3.Connection, n: int, first: int) -> list[Entry]:
        found = entries(db, n, first)
        asked.append(len(found))
        return found

    monkeypatch.setattr(classroom, "_entries", counted)
    drive(live, rows(2))
    watched.look(moment())
    assert asked == [3]  # the last one known, and the two new ones


def test_a_logbook_put_back_from_a_backup_is_read_anew(learner: Logbook, tmp_path: Path) -> None:
    live = at_the_tube(learner, 5)
    learner.store.copy_to(tmp_path / "kept.sqlite")
    drive(live, rows(10))
    path = learner.path
    watched = Learner("anna", path)
    assert line(watched.look(moment())).count == 15
    learner.close()
    shutil.copy(tmp_path / "kept.sqlite", path)  # over it: the same file to the system
    assert line(watched.look(moment())).count == 5
    other = Logbook(path, FakeClock())
    drive(other.take_up(live.record.id), rows(12))
    other.close()
    assert line(watched.look(moment())).count == 17


# --- nothing is written, nobody is held up ------------------------------------------------------------------------


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if not path.name.endswith("-shm")}


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_looking_writes_nothing_while_the_bench_is_open(learner: Logbook) -> None:
    at_the_tube(learner, 5)
    learner.store.wait_for_seal()
    before, names = contents(learner.path.parent), names_in(learner.path.parent)
    for _ in range(3):
        assert line(Learner("anna", learner.path).look(moment())).count == 5
    assert contents(learner.path.parent) == before
    assert names_in(learner.path.parent) == names


def test_looking_leaves_no_file_beside_a_logbook_that_is_closed(learner: Logbook) -> None:
    at_the_tube(learner, 5)
    learner.close()
    before = contents(learner.path.parent)
    assert f"{learner.path.name}-wal" not in before
    assert line(Learner("anna", learner.path).look(moment())).count == 5
    assert contents(learner.path.parent) == before
    assert names_in(learner.path.parent) == sorted(before)


def test_a_learner_who_quits_while_looked_at_leaves_one_whole_file(learner: Logbook, tmp_path: Path) -> None:
    """A connection kept open would keep SQLite from folding the log in."""
    at_the_tube(learner, 5)
    watched = Learner("anna", learner.path)
    watched.look(moment())
    learner.close()
    shutil.copy(learner.path, tmp_path / "taken-home.sqlite")
    assert line(Learner("anna", tmp_path / "taken-home.sqlite").look(moment())).count == 5
    assert line(watched.look(moment())).count == 5
    assert not learner.path.with_name(f"{learner.path.name}-wal").exists()


def test_the_learner_stores_rows_while_one_looks(learner: Logbook) -> None:
    """Even in the middle of a look the learner's commit goes through at once, and so does folding the log in."""
    live = at_the_tube(learner, 5)
    with closing(classroom._connect(learner.path, "mode=ro")) as db:
        db.execute("BEGIN")
        db.execute("SELECT count(*) FROM events").fetchone()
        learner.store.db.execute("PRAGMA busy_timeout = 0")
        drive(live, rows(3), Paused(), Resumed())
    assert line(Learner("anna", learner.path).look(moment())).count == 8


def test_a_look_takes_no_lock_of_the_bench(learner: Logbook) -> None:
    Learner("anna", learner.path).look(moment())
    learner.close()
    Learner("anna", learner.path).look(moment())
    again = Logbook.for_counting(learner.path, FakeClock())
    assert not again.store.why_read_only
    again.close()


def test_what_a_killed_bench_left_in_its_log_is_seen(learner: Logbook, tmp_path: Path) -> None:
    at_the_tube(learner, 5)
    dead = tmp_path / "dead"
    dead.mkdir()
    for name in ("logbook.sqlite", "logbook.sqlite-wal"):  # as they lie on the disk at this moment
        shutil.copy(learner.path.with_name(name), dead / name)
    assert line(Learner("anna", dead / "logbook.sqlite").look(moment())).count == 5


@pytest.mark.parametrize("past", sorted(PAST.glob("version-*.sql")), ids=lambda path: path.stem)
def test_a_logbook_of_an_older_version_is_read_as_it_is(past: Path, tmp_path: Path) -> None:
    """It is the learner's own bench that brings it up to date."""
    path = tmp_path / "anna.sqlite"
    with closing(sqlite3.connect(path)) as db:
        db.executescript(past.read_text(encoding="utf-8"))
    before = path.read_bytes()
    look = Learner("anna", path).look(moment())
    assert look.trouble == ""
    assert look.session is not None
    book = Logbook(Path(shutil.copy(path, tmp_path / "brought-up.sqlite")))
    assert look.session.state == book.state(book.store.find(look.session.record.id))
    book.close()
    assert path.read_bytes() == before


# --- trouble in its place -----------------------------------------------------------------------------------------


def test_a_missing_logbook_is_told_and_found_when_it_comes(tmp_path: Path) -> None:
    folder = tmp_path / "bert"
    folder.mkdir()
    room = Classroom([folder])
    (look,) = room.look(moment())
    assert (look.name, look.trouble) == ("bert", "There is no logbook here yet.")
    book = Logbook(folder / "logbook.sqlite", FakeClock())
    at_the_tube(book, 2)
    (look,) = room.look(moment())
    assert line(look).count == 2
    book.close()


def damage(path: Path) -> None:
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * 4096 * 6)


def newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")


def other_database(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE birds (name TEXT)")


def senseless(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("DROP TRIGGER events_stay_as_written")
        db.execute("UPDATE events SET kind = 'polka'")
        db.commit()


TROUBLES = {
    "damaged": (damage, "The logbook cannot be read: the file is damaged."),
    "no database": (lambda path: path.write_bytes(b"socks " * 1000), "cannot be read: the file is not a database."),
    "empty": (lambda path: path.write_bytes(b""), "The file is empty: nothing was ever saved in it."),
    "newer": (newer, "written by a newer hosewright (its version is 99"),
    "other": (other_database, "a database, but not a hosewright logbook."),
    "senseless": (senseless, "what is saved of it makes no sense."),
    "folder gone": (lambda path: shutil.rmtree(path.parent), "The logbook has been gone since "),
}


@pytest.mark.parametrize("name", TROUBLES)
def test_what_cannot_be_read_says_so_and_the_others_go_on(name: str, tmp_path: Path) -> None:
    paths = []
    for who in ("anna", "bert", "cleo"):
        book = Logbook(tmp_path / who / "logbook.sqlite", FakeClock())
        at_the_tube(book, 4)
        book.close()
        paths.append(book.path)
    room = Classroom(paths)
    assert [line(look).count for look in room.look(moment())] == [4, 4, 4]
    break_it, said = TROUBLES[name]
    break_it(paths[1])
    seen = [line(look) for look in room.look(moment(tick_ms=RELOOK_MS))]
    assert [one.learner for one in seen] == ["anna", "bert", "cleo"]
    assert said in seen[1].trouble
    assert seen[1].count is None
    assert [seen[0].count, seen[2].count] == [4, 4]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_says_so(tmp_path: Path) -> None:
    path = tmp_path / "anna.sqlite"
    Logbook(path).close()
    path.chmod(0)
    assert "may not" in Learner("anna", path).look(moment()).trouble


def test_a_change_left_half_done_is_put_right_by_the_learners_own_bench(tmp_path: Path) -> None:
    """A rollback journal still beside the file: only one who writes may undo it."""
    path = tmp_path / "anna.sqlite"
    book = Logbook(path, FakeClock())
    at_the_tube(book, 4)
    book.store.db.execute("PRAGMA journal_mode = DELETE")
    book.close()
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA cache_size = 1")
        db.execute("BEGIN IMMEDIATE")
        db.execute("UPDATE sessions SET status = 'waiting'")
        db.execute("CREATE TABLE more AS SELECT * FROM events, (SELECT 1 FROM events LIMIT 40)")
        for part in ("anna.sqlite", "anna.sqlite-journal"):
            shutil.copy(tmp_path / part, tmp_path / f"dead-{part}")
    look = Learner("anna", tmp_path / "dead-anna.sqlite").look(moment())
    assert "left in the middle of a change" in look.trouble


def test_through_a_network_drive_a_log_is_left_alone_and_that_is_said(
    learner: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The index of the log is memory of the learner's computer; only what is in the file itself can be trusted."""
    monkeypatch.setattr(classroom, "network_drive", lambda _path: "smb3")
    live = at_the_tube(learner, 5)
    drive(live, Paused())  # folds the log into the file
    drive(live, rows(0), Resumed(), rows(2))
    watched = Learner("anna", learner.path)
    seen = line(watched.look(moment()))
    assert seen.count == 5
    assert "network drive" in seen.note
    drive(live, Paused())
    assert line(watched.look(moment())).count == 7
    learner.close()
    seen = line(watched.look(moment()))
    assert (seen.count, seen.note) == (7, "")
