"""The file: whatever was done to it, it is never made worse; backups are sound; past versions come along."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import stat
import time
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.file import backups
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.lock import BenchLock
from hosewright.logbook.file.schema import VERSION
from hosewright.logbook.travel.session_files import read
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.upkeep.rescue import rescue
from hosewright.places import logbook_path, shipped_folder
from tests.faults.past import build, fixture_of
from tests.helpers import crank_to, drive, record, rows, yarn

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PAGE = 4096
SAMPLES = len(list(shipped_folder("sample_sessions").glob("[0-9]*.json")))


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A logbook with every sample session in it, in one file."""
    path = tmp_path_factory.mktemp("whole") / "logbook.sqlite"
    with closing(Logbook(path)) as book:
        for sample in sorted(shipped_folder("sample_sessions").glob("[0-9]*.json")):
            filed = read(sample)
            book.take_in(filed.session, filed.entries())
    assert [file.name for file in path.parent.iterdir()] == ["logbook.sqlite"]
    return path


def all_bytes(folder: Path) -> dict[str, bytes]:
    """What every file holds; an empty log that a reader left beside the logbook holds nothing."""
    held = {file.name: file.read_bytes() for file in folder.iterdir() if not file.name.endswith("-shm")}
    return {name: content for name, content in held.items() if content or not name.endswith("-wal")}


def truncate(at: int) -> Callable[[Path], None]:
    return lambda path: os.truncate(path, path.stat().st_size * at // 100 // PAGE * PAGE + 100)


def alter(sql: str) -> Callable[[Path], None]:
    def do(path: Path) -> None:
        with closing(sqlite3.connect(path)) as db:
            db.execute("PRAGMA journal_mode = DELETE")
            db.executescript(sql)

    return do


REFUSED: dict[str, Callable[[Path], None]] = {
    "cut to a tenth": truncate(10),
    "cut to half": truncate(50),
    "the last page cut": truncate(99),
    "a header of zeros": lambda path: _write(path, 0, bytes(100)),
    "a first page of zeros": lambda path: _write(path, 0, bytes(PAGE)),
    "a letter": lambda path: _write(path, 0, b"Dear knitter, " * 1000),
    "a newer version": alter(f"PRAGMA user_version = {VERSION + 1}"),
    "another's database": alter("PRAGMA application_id = 7"),
    "half made: no table of events": alter("DROP TABLE measurements; DROP TABLE gauges"),
    "half made: the version ran ahead": alter("DROP TRIGGER events_stay"),
}


def _write(path: Path, at: int, content: bytes) -> None:
    with path.open("rb+") as file:
        file.seek(at)
        file.write(content)


@pytest.mark.parametrize("name", list(REFUSED))
@pytest.mark.parametrize("opened", ["to count", "to look", "by the command line"])
def test_what_is_no_whole_logbook_is_refused_and_not_a_byte_of_it_changes(
    tmp_path: Path, whole: Path, name: str, opened: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path))
    path = shutil.copyfile(whole, tmp_path / "logbook.sqlite")
    REFUSED[name](path)
    (tmp_path / "logbook.sqlite.lock").touch()  # the one file that may come
    before = all_bytes(tmp_path)
    if opened == "by the command line":
        for argv in (["list"], ["check"], ["export", "--folder", str(tmp_path / "out")], ["import", str(path)]):
            assert main(["logbook", *argv]) == 2
    else:
        with pytest.raises(LogbookError, match=r".\.$"):
            Logbook(path, why_read_only="Looking.") if opened == "to look" else Logbook.for_counting(path)
    after = all_bytes(tmp_path)
    after["logbook.sqlite.lock"] = b""
    assert after == before


def test_a_log_beside_a_damaged_file_is_not_folded_in(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    book = Logbook(path)
    drive(book.start(record("tube")))
    for file in (path, path.with_name("logbook.sqlite-wal")):
        shutil.copyfile(file, tmp_path / f"killed-{file.name}")
    book.close()
    killed = tmp_path / "killed-logbook.sqlite"
    killed.write_bytes(b"")  # an empty file would be taken for a new one, and its log thrown away
    log = killed.with_name(f"{killed.name}-wal").read_bytes()
    assert len(log) > PAGE
    with pytest.raises(LogbookError, match="has been emptied"):
        Logbook(killed)
    assert killed.with_name(f"{killed.name}-wal").read_bytes() == log


def test_an_emptied_logbook_names_its_last_backup(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    Logbook(path).close()
    assert backups.daily(path, "20250114") == ""
    path.write_bytes(b"")
    with pytest.raises(LogbookError, match=r"lists the backups, the newest logbook-20250114\.sqlite"):
        Logbook(path)


# --- backups -------------------------------------------------------------------------------------------------------


def test_one_backup_a_day_and_the_last_seven_kept(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    book = Logbook.for_counting(path)
    for day in range(1, 11):
        book.keep(yarn(f"Day-{day}"))
        assert backups.daily(path, f"202501{day:02}") == ""
        assert backups.daily(path, f"202501{day:02}") == ""
    names = [kept.name for kept in backups.kept(path)]
    assert names == [f"logbook-202501{day:02}.sqlite" for day in range(4, 11)]
    with closing(Logbook(backups.kept(path)[-1])) as last:
        assert len(last.shelf(type(yarn()))) == 10
    assert len(book.shelf(type(yarn()))) == 10
    assert not list(backups.folder_of(path).glob(".*"))
    if os.name == "posix":
        assert stat.S_IMODE(backups.folder_of(path).stat().st_mode) == 0o700
        assert {stat.S_IMODE(kept.stat().st_mode) for kept in backups.kept(path)} == {0o600}
    book.close()


def test_a_clock_gone_wrong_does_not_cost_the_backup_just_made(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    Logbook(path).close()
    for day in range(1, 9):
        backups.daily(path, f"203801{day:02}")
    backups.daily(path, "19700101")
    names = [kept.name for kept in backups.kept(path)]
    assert names[0] == "logbook-19700101.sqlite"
    assert len(names) == backups.KEPT


def test_a_damaged_logbook_pushes_no_sound_backup_out(tmp_path: Path, whole: Path) -> None:
    path = shutil.copyfile(whole, tmp_path / "logbook.sqlite")
    for day in range(1, 8):
        assert backups.daily(path, f"202501{day:02}") == ""
    before = backups.kept(path)
    _write(path, 8 * PAGE, bytes(PAGE))
    assert backups.daily(path, "20250120") != ""
    assert backups.daily(path, "20250107") != "", "the file is looked over though today's copy is there"
    assert backups.kept(path) == before


def test_a_backup_that_cannot_be_written_is_said_and_leaves_nothing(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    Logbook(path).close()
    backups.folder_of(path).touch()
    with pytest.raises(LogbookError, match="could not be written"):
        backups.daily(path, "20250114")
    backups.folder_of(path).unlink()


# --- past versions ---------------------------------------------------------------------------------------------------


def _rows(db: sqlite3.Connection, table: str) -> tuple[str, list[tuple[object, ...]]]:
    """The columns a table has, and what stands in them."""
    columns = ", ".join(row[1] for row in db.execute(f"PRAGMA table_info({table})"))
    return columns, db.execute(f"SELECT {columns} FROM {table}").fetchall()


@pytest.mark.parametrize("version", range(1, VERSION))
def test_every_past_version_has_a_fixture_and_comes_along(tmp_path: Path, version: int) -> None:
    assert fixture_of(version).exists(), "written by python -m tests.faults.past of that version"
    path = tmp_path / "logbook.sqlite"
    build(version, path)
    with closing(sqlite3.connect(path)) as db:
        told = {table: _rows(db, table) for table in ("shelf", "sessions", "events")}
    book = Logbook.for_counting(path)
    for table, (columns, was) in told.items():
        assert book.store.db.execute(f"SELECT {columns} FROM {table}").fetchall() == was
    assert find_damage(book) == (3, [])
    for line in book.lines():
        assert book.state(line).ignored == 0
    kept = backups.kept(path)
    assert [name.name[-len("version-1.sqlite") :] for name in kept] == [f"version-{version}.sqlite"]
    with closing(sqlite3.connect(kept[0])) as db:
        assert db.execute("PRAGMA user_version").fetchone()[0] == version
        assert _rows(db, "events") == told["events"]
    book.close()


@pytest.mark.parametrize("version", range(1, VERSION))
def test_a_past_version_is_not_brought_along_under_a_bench_that_counts_in_it(tmp_path: Path, version: int) -> None:
    path = tmp_path / "logbook.sqlite"
    build(version, path)
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA journal_mode = WAL")  # as the bench that counts in it has it
    before = path.read_bytes()
    bench = BenchLock(path)
    with pytest.raises(LogbookError, match=f"a bench of an earlier version has it open .process {os.getpid()}"):
        Logbook(path)
    assert path.read_bytes() == before
    bench.release()
    with closing(Logbook.for_counting(path)) as book:  # it holds the lock itself
        assert book.store.db.execute("PRAGMA user_version").fetchone() == (VERSION,)
        Logbook(path).close()  # and of this version another may read and write beside it
    BenchLock(path).release()


def test_a_past_version_that_is_damaged_is_not_brought_along(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    build(1, path)
    with closing(sqlite3.connect(path)) as db:
        root = db.execute("SELECT rootpage FROM sqlite_master WHERE name = 'gauges_by_yarn'").fetchone()[0]
    _write(path, (root - 1) * PAGE, bytes(PAGE))
    before = path.read_bytes()
    with pytest.raises(LogbookError, match="is damaged"):
        Logbook(path)
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone()[0] == 1
    assert path.read_bytes()[100:] == before[100:], "only the journal's mode may be noted in the header"


# --- check and rescue ------------------------------------------------------------------------------------------------


def test_check_names_what_a_page_of_zeros_broke_and_rescue_brings_the_rest(
    tmp_path: Path, whole: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path))
    pages = whole.stat().st_size // PAGE
    with closing(Logbook(whole, why_read_only="Looking.")) as book:
        sessions = {line.id: list(book.store.entries(line.n)) for line in book.lines()}
    lost = 0
    for page in random.Random(7).sample(range(1, pages), 12):
        path = shutil.copyfile(whole, logbook_path())
        _write(path, page * PAGE, bytes(PAGE))
        before = path.read_bytes()
        code = main(["logbook", "check"])
        assert code in (1, 2), f"page {page}"
        target = tmp_path / f"rescued-{page}.sqlite"
        found = rescue(path, target)
        assert path.read_bytes() == before
        with closing(Logbook(target)) as book:
            assert find_damage(book)[1] == []
            for line in book.lines():
                entries = list(book.store.entries(line.n))
                assert entries == sessions[line.id][: len(entries)], "only what was there, in its order"
        for session in sessions:
            whole_again = session in found.sessions and not any(session in loss for loss in found.lost)
            assert whole_again or any("session" in loss for loss in found.lost), (page, session, found)
        lost += len(found.lost)
        path.unlink()
    assert lost > 0
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize("written_anew", [False, True])
@pytest.mark.parametrize("start", [0, 100])
def test_rescue_finds_the_sessions_without_the_list_of_tables(
    tmp_path: Path, whole: Path, start: int, written_anew: bool
) -> None:
    path = shutil.copyfile(whole, tmp_path / "logbook.sqlite")
    if written_anew:
        alter("VACUUM")(path)
    _write(path, start, bytes(PAGE - start))
    before = path.read_bytes()
    target = tmp_path / "rescued.sqlite"
    found = rescue(path, target)
    assert path.read_bytes() == before
    assert (len(found.sessions), found.lost) == (SAMPLES, [])
    with closing(Logbook(target)) as book:
        assert find_damage(book) == (SAMPLES, [])


def test_rescue_says_when_there_is_nothing_left_to_find(tmp_path: Path, whole: Path) -> None:
    path = shutil.copyfile(whole, tmp_path / "logbook.sqlite")
    _write(path, 0, bytes(path.stat().st_size // 2))
    with pytest.raises(LogbookError, match="Nothing can be read"):
        rescue(path, tmp_path / "rescued.sqlite")
    assert not (tmp_path / "rescued.sqlite").exists()


def test_a_bench_that_finds_damage_stops_writing(tmp_path: Path, whole: Path) -> None:
    path = shutil.copyfile(whole, tmp_path / "logbook.sqlite")
    book = Logbook.for_counting(path)
    live = book.start(record("tube"))
    crank_to(live, "tube")
    book.store.make_read_only("The logbook is damaged.")
    with pytest.raises(LogbookError, match=r"^The logbook is damaged\.$"):
        drive(live, rows(1))
    assert live.state.count == 0
    book.close()


@pytest.mark.skipif(os.name != "posix", reason="a pty is needed")
def test_the_bench_itself_keeps_a_backup_and_finds_damage_after_its_first_frame(tmp_path: Path, whole: Path) -> None:
    from tests.terminal.forked import Forked

    path = shutil.copyfile(whole, tmp_path / "logbook.sqlite")
    life = Forked(tmp_path)
    life.see("ENTER GOES ON WITH")
    until = time.monotonic() + 60
    while not backups.kept(path) and time.monotonic() < until:
        life.read(0.02)
    life.send("q")
    assert life.end() == 0
    assert len(backups.kept(path)) == 1
    life.close()
    with closing(sqlite3.connect(path)) as db:
        (root,) = db.execute("SELECT rootpage FROM sqlite_master WHERE name = 'gauges_by_yarn'").fetchone()
    _write(path, (root - 1) * PAGE, bytes(PAGE))  # nothing the first screen reads
    life = Forked(tmp_path, columns=120)
    life.see("ENTER GOES ON WITH", "The logbook is damaged", "logbook rescue")
    life.send("q")
    assert life.end() == 0
    life.close()
    assert len(backups.kept(path)) == 1
