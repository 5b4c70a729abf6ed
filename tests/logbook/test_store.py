"""The logbook's file: how it is opened, what it refuses to open, and what can never be changed in it."""

from __future__ import annotations

import hashlib
import os
import re
import sqlite3
import stat
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.opening import CHECKPOINT_PAGES, needs_a_writer
from hosewright.logbook.file.schema import (
    APPLICATION_ID,
    MIGRATIONS,
    VERSION,
    VERSIONS,
    make,
    migrate,
    names_of,
    sql_of,
)
from hosewright.logbook.file.seal import Sealing
from hosewright.logbook.file.store import Store
from hosewright.logbook.records.shelf import Machine, Yarn
from hosewright.session.events import Pressed
from tests.faults.past import build
from tests.helpers import crank_to, cylinder, drive, entries, machine, record, yarn

if TYPE_CHECKING:
    from tests.helpers import FakeClock

ON_POSIX = pytest.mark.skipif(os.name != "posix", reason="permission bits are a POSIX matter")


def pragma(store: Store, name: str) -> object:
    return store.db.execute(f"PRAGMA {name}").fetchone()[0]


def test_what_is_committed_survives_a_power_cut(book: Logbook) -> None:
    assert pragma(book.store, "journal_mode") == "wal"
    assert pragma(book.store, "synchronous") == 2, "2 is FULL"
    assert pragma(book.store, "foreign_keys") == 1
    assert pragma(book.store, "fullfsync") == (sys.platform == "darwin")


def test_where_a_flush_stops_in_the_disk_it_is_asked_for_in_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On macOS fsync leaves what was written in the drive's own memory; SQLite's "fullfsync" goes on from there."""
    monkeypatch.setattr(sys, "platform", "darwin")
    with closing(Store(tmp_path / "flushed.sqlite")) as store:
        assert pragma(store, "fullfsync") == 1


def test_who_carries_the_log_into_the_file(tmp_path: Path) -> None:
    """SQLite by itself once it is long, without a seal; never by itself where a seal has to be off for it."""
    path = tmp_path / "logbook.sqlite"
    with closing(Store(path)) as store:
        store.keep_file_as_it_is()
        assert pragma(store, "wal_autocheckpoint") == 0
        store.let_file_change()
        assert pragma(store, "wal_autocheckpoint") == CHECKPOINT_PAGES
        store.let_file_change(Sealing(path))
        assert pragma(store, "wal_autocheckpoint") == 0


def test_a_change_cut_short_wants_a_writer(tmp_path: Path, book: Logbook) -> None:
    """Only who writes can roll the last change back; of a journal that is empty there is nothing to roll back."""
    path = tmp_path / "cut.sqlite"
    book.store.db.execute("VACUUM INTO ?", (str(path),))
    assert not needs_a_writer(path)
    journal = tmp_path / "cut.sqlite-journal"
    journal.write_bytes(b"")
    assert not needs_a_writer(path)
    journal.write_bytes(b"half a page")
    assert needs_a_writer(path)
    empty = tmp_path / "empty.sqlite"
    empty.touch()
    assert needs_a_writer(empty)
    assert not needs_a_writer(tmp_path / "none.sqlite")


def test_the_pragmas_hold_when_opened_again(tmp_path: Path) -> None:
    Store(tmp_path / "again.sqlite").close()
    store = Store(tmp_path / "again.sqlite")
    assert [pragma(store, name) for name in ("journal_mode", "synchronous", "foreign_keys")] == ["wal", 2, 1]
    store.close()


@ON_POSIX
def test_nobody_else_may_read_it(tmp_path: Path) -> None:
    store = Store(tmp_path / "house" / "logbook.sqlite")
    with store.one_commit():
        store.add_revision("yarn", "grey", 1, "{}")
    assert stat.S_IMODE((tmp_path / "house").stat().st_mode) == 0o700
    for file in (tmp_path / "house").iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600, file.name
    store.close()


def test_an_empty_file_becomes_a_logbook(tmp_path: Path) -> None:
    path = tmp_path / "empty.sqlite"
    path.touch()
    store = Store(path)
    assert (pragma(store, "user_version"), pragma(store, "application_id")) == (VERSION, APPLICATION_ID)
    assert store.lines() == []
    assert store.damage() == []
    store.close()


def test_the_tables_do_not_depend_on_where_a_migration_began(tmp_path: Path) -> None:
    shapes = []
    for version in range(VERSION):
        path = tmp_path / f"{version}.sqlite"
        if version:
            build(version, path)
        db = sqlite3.connect(path, isolation_level=None)
        migrate(db)
        shapes.append(sorted(row[0] or "" for row in db.execute("SELECT sql FROM sqlite_master")))
        db.close()
    assert all(_without_spaces(shape) == _without_spaces(shapes[0]) for shape in shapes)


def _without_spaces(shape: list[str]) -> list[str]:
    return sorted("".join(text.split()) for text in shape)


# The sums of those released, or landed where others have logbooks by them: what is listed here never changes.
FROZEN = {
    1: "6db686d0ff18667e77762d2f424cde85233b3ff0538bb1875e782417912d2ed8",
    4: "2f2ebb4afd3ff238d1f8a7bf0bc4d102db388a384231c4bfc9f1005186c3aaa3",
    5: "0334ac867c67a2d1eeaaec082cfa8768ce10aeeccec4c141793ee144bfd9817c",
    6: "74e36407e9eebd023ed91b873c95be15cbaeaa27ca797d19f0d7dceb19df22d4",
    7: "74242712c1cd094fd69d5e17e9db8d0836cf45ad2a565e3e2e0fad3971358762",
}


def test_a_migration_stays_as_it_was_written() -> None:
    assert sorted(int(path.stem) for path in MIGRATIONS.iterdir()) == sorted(VERSIONS)
    assert {version: hashlib.sha256(sql_of(version).encode()).hexdigest() for version in VERSIONS} == FROZEN, (
        "a migration that others have run is never changed: add another, and its sum here"
    )


def test_a_migration_that_fails_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    db = sqlite3.connect(tmp_path / "half.sqlite", isolation_level=None)
    migrate(db)
    (tmp_path / f"{VERSION + 1}.sql").write_text("CREATE TABLE half (a);\n\nCREATE TABLE half (a)", encoding="utf-8")
    for name, value in (
        ("MIGRATIONS", tmp_path),
        ("VERSIONS", (*VERSIONS, VERSION + 1)),
        ("VERSION", VERSION + 1),
    ):
        monkeypatch.setattr(f"hosewright.logbook.file.schema.{name}", value)
    with pytest.raises(sqlite3.Error):
        migrate(db)
    assert db.execute("PRAGMA user_version").fetchone()[0] == VERSION
    assert db.execute("SELECT count(*) FROM sqlite_master WHERE name = 'half'").fetchone()[0] == 0
    db.close()


@pytest.mark.parametrize("mode", ["wal", "delete"])
def test_a_newer_logbook_is_refused_and_left_alone(tmp_path: Path, mode: str) -> None:
    path = tmp_path / "newer.sqlite"
    Store(path).close()
    db = sqlite3.connect(path, isolation_level=None)
    db.execute(f"PRAGMA journal_mode = {mode}")
    db.execute(f"PRAGMA user_version = {VERSION + 1}")
    db.close()
    before = path.read_bytes()
    with pytest.raises(LogbookError, match=r"newer hosewright .* Nothing was changed"):
        Store(path)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.sqlite"
    path.write_bytes(b"Dear coxswain, the socks are dry. " * 40)
    before = path.read_bytes()
    with pytest.raises(LogbookError, match=r"is not a database\. .* `hosewright logbook rescue .*letter.sqlite`"):
        Store(path)
    assert path.read_bytes() == before


def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE recipes (soup TEXT)")
    db.commit()
    db.close()
    before = path.read_bytes()
    with pytest.raises(LogbookError, match=r"not a hosewright logbook\. It was not touched"):
        Store(path)
    assert path.read_bytes() == before


def test_a_folder_is_no_logbook(tmp_path: Path) -> None:
    with pytest.raises(LogbookError, match="cannot be opened"):
        Store(tmp_path)
    (tmp_path / "file").touch()
    with pytest.raises(LogbookError, match="cannot be opened"):
        Store(tmp_path / "file" / "logbook.sqlite")


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE events SET kind = 'paused'",
        "UPDATE events SET seq = seq + 1000",
        "DELETE FROM events",
        "UPDATE shelf SET body = '{}'",
        "DELETE FROM shelf",
        "UPDATE sessions SET record = '{}'",
        "UPDATE sessions SET id = 'other'",
        "DELETE FROM sessions",
    ],
)
def test_what_is_written_stays_written(book: Logbook, statement: str) -> None:
    book.keep(machine())
    drive(book.start(record("tube")))
    dump = list(book.store.db.iterdump())
    with pytest.raises(sqlite3.IntegrityError, match="never"):
        book.store.db.execute(statement)
    assert list(book.store.db.iterdump()) == dump


def test_an_event_belongs_to_a_session(book: Logbook) -> None:
    with pytest.raises(LogbookError, match="FOREIGN KEY"), book.store.one_commit():
        book.store.add_entries(99, entries([Pressed()]))


def test_an_event_number_is_given_once(book: Logbook) -> None:
    one, other = book.start(record("tube")), book.take_up(record().id)
    crank_to(one, "separator-in")
    with pytest.raises(LogbookError, match="added to elsewhere"):
        crank_to(other, "separator-in")
    assert other.state.index == 0


def test_all_or_nothing(book: Logbook) -> None:
    def half() -> None:
        with book.store.one_commit():
            book.store.add_revision("yarn", "grey", 1, yarn().model_dump_json())
            raise RuntimeError("no")

    with pytest.raises(RuntimeError, match="no"):
        half()
    assert book.shelf(Yarn) == []


def test_revisions_are_kept_and_the_last_one_shown(book: Logbook, clock: FakeClock) -> None:
    book.keep(machine())
    book.keep(cylinder(60))
    book.keep(machine().model_copy(update={"weights": "the small plate"}))
    assert [item.weights for item in book.shelf(Machine)] == ["the small plate"]
    found = book.get(Machine, machine().id)
    assert found is not None
    assert found.weights == "the small plate"
    kept = book.store.db.execute("SELECT revision, body FROM shelf WHERE kind = 'machine' ORDER BY revision").fetchall()
    assert [revision for revision, _ in kept] == [1, 2]
    assert [Machine.model_validate_json(body).weights for _, body in kept] == ["both plates", "the small plate"]


def test_the_shelf_keeps_the_order_of_first_coming(book: Logbook) -> None:
    for name in ("Grey", "Navy", "Red"):
        book.keep(yarn(name))
    book.keep(yarn("Grey").model_copy(update={"note": "more came"}))
    assert [item.name for item in book.shelf(Yarn)] == ["Grey", "Navy", "Red"]


def test_what_is_retired_leaves_the_shelf_but_not_the_logbook(book: Logbook) -> None:
    book.keep(yarn("Grey").model_copy(update={"retired": True}))
    assert book.shelf(Yarn) == []
    assert [item.name for item in book.shelf(Yarn, retired=True)] == ["Grey"]
    assert book.get(Yarn, "yarn-grey") is not None
    assert book.get(Yarn, "yarn-blue") is None


def test_a_session_is_found_by_the_beginning_of_its_id(book: Logbook) -> None:
    for name in ("20240101-abc", "20240101-abd", "20240102-xyz", "20240102-xyz2"):
        book.start(record("tube", name))
    assert book.store.find("20240101-abd").id == "20240101-abd"
    assert book.store.find("20240102-xyz").id == "20240102-xyz", "a whole id wins over a longer one"
    assert book.store.find("20240101-abc").id == "20240101-abc"
    with pytest.raises(LogbookError, match="Several sessions begin with '20240101'"):
        book.store.find("20240101")
    for nothing in ("2023", "%", "", "x" * 5000):
        with pytest.raises(LogbookError):
            book.store.find(nothing)


def test_a_sound_copy_of_the_whole(book: Logbook, tmp_path: Path) -> None:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    target = tmp_path / "copy.sqlite"
    book.store.copy_to(target)
    copied = Logbook(target)
    assert copied.take_up(record().id).state == live.state
    assert copied.store.damage() == []
    copied.close()
    if os.name == "posix":
        assert stat.S_IMODE(target.stat().st_mode) == 0o600
    with pytest.raises(LogbookError, match="is there already"):
        book.store.copy_to(target)
    with pytest.raises(LogbookError, match="could not be written"):
        book.store.copy_to(tmp_path / "nowhere" / "copy.sqlite")


def test_faults_are_told_one_a_line(book: Logbook) -> None:
    book.store.db.execute("PRAGMA foreign_keys = OFF")
    book.store.db.execute("INSERT INTO events VALUES (99, 1, 0, 0, 0, 'pressed', NULL)")
    assert book.store.damage() == ["a row of events belongs to nothing"]


def test_an_event_that_cannot_be_read_is_named(book: Logbook) -> None:
    live = book.start(record("tube"))
    book.store.db.execute("INSERT INTO events VALUES (?, 2, 0, 0, 0, 'danced', NULL)", (live.n,))
    with pytest.raises(LogbookError, match="Event 2 of the session cannot be read"):
        book.take_up(record().id)


def test_a_start_that_cannot_be_read_is_named(book: Logbook) -> None:
    book.store.db.execute("INSERT INTO sessions VALUES (1, '20240101-abc', 'tube', 'x', 0, 'open', 0, '{}', NULL)")
    with pytest.raises(LogbookError, match="start of session 20240101-abc cannot be read"):
        book.take_up("20240101-abc")


@pytest.mark.parametrize("version", range(VERSION + 1))
def test_the_names_read_from_the_statements_are_those_they_make(version: int) -> None:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as db:
        for one in (one for one in VERSIONS if one <= version):
            make(db, one)
        made = {name for (name,) in db.execute("SELECT name FROM sqlite_master")}
    assert names_of(version) == {name for name in made if not name.startswith("sqlite_")}


@pytest.mark.parametrize("version", range(1, VERSION))
def test_a_logbook_of_each_past_version_holds_the_names_asked_of_it(tmp_path: Path, version: int) -> None:
    build(version, tmp_path / "past.sqlite")
    with closing(sqlite3.connect(tmp_path / "past.sqlite")) as db:
        assert names_of(version) <= {name for (name,) in db.execute("SELECT name FROM sqlite_master")}


def test_what_is_asked_of_the_file_has_values_in_order_or_by_name() -> None:
    """Python 3.12 takes ``?1`` for a name, and warns."""
    found = [
        path.name
        for path in (Path(__file__).parents[2] / "src").rglob("*.py")
        if re.search(r"[=(, ]\?[0-9]", path.read_text("utf-8"))
    ]
    assert found == []
