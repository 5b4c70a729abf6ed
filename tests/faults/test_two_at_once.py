"""Two at once: one bench counts, another looks and says why; the command line reads; a dead bench blocks nobody."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError, ReadOnlyError
from hosewright.logbook.file.lock import BenchLock, HeldError, cured
from hosewright.places import logbook_path
from hosewright.session.events import Pressed
from tests.helpers import crank_to, drive, machine, record, rows

if TYPE_CHECKING:
    from pathlib import Path

_BENCH = """
import sys
from pathlib import Path
from hosewright.logbook.book import Logbook
book = Logbook.for_counting(Path(sys.argv[1]))
print(book.store.why_read_only or "counting", flush=True)
sys.stdin.readline()
"""


def another_bench(path: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", _BENCH, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )


def said(bench: subprocess.Popen[str]) -> str:
    assert bench.stdout is not None
    return bench.stdout.readline().strip()


def end(bench: subprocess.Popen[str]) -> None:
    bench.kill()
    bench.communicate()


def test_the_second_bench_looks_says_why_and_stores_nothing(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    first = Logbook.for_counting(path)
    live = first.start(record("tube"))
    crank_to(live, "tube")
    second = Logbook.for_counting(path)
    assert f"Another bench has this logbook open (process {os.getpid()})" in second.store.why_read_only
    seen = second.take_up(record().id)
    with pytest.raises(ReadOnlyError, match="this one is read-only"):
        seen.do(Pressed())
    with pytest.raises(ReadOnlyError):
        second.keep(machine())
    drive(live, rows(7))
    assert seen.state.count == 0
    assert seen.catch_up()
    assert seen.state == live.state
    assert not seen.catch_up()
    second.close()
    first.close()
    third = Logbook.for_counting(path)
    assert third.store.why_read_only == ""
    third.close()


def test_a_looking_connection_cannot_write_even_past_the_store(tmp_path: Path) -> None:
    Logbook(tmp_path / "logbook.sqlite").close()
    book = Logbook(tmp_path / "logbook.sqlite", why_read_only="Only looking.")
    with pytest.raises(Exception, match="readonly"):
        book.store.db.execute("INSERT INTO shelf VALUES ('yarn', 'x', 1, 0, '{}')")
    book.close()


def test_a_lock_is_let_go_by_death(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    bench = another_bench(path)
    assert said(bench) == "counting"
    with pytest.raises(HeldError) as held:
        BenchLock(path)
    assert held.value.holder == bench.pid
    os.kill(bench.pid, signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
    bench.communicate()
    assert (tmp_path / "logbook.sqlite.lock").exists(), "the file stays; only the lock on it means anything"
    lock = BenchLock(path)
    assert lock.certain
    lock.release()


def test_a_lock_file_that_says_nonsense_blocks_nobody(tmp_path: Path) -> None:
    (tmp_path / "logbook.sqlite.lock").write_bytes(b"\xff\x1b]0;\x07process nobody" * 100)
    lock = BenchLock(tmp_path / "logbook.sqlite")
    with pytest.raises(HeldError) as held:
        BenchLock(tmp_path / "logbook.sqlite")
    assert held.value.holder == os.getpid()
    lock.release()


def test_where_there_are_no_locks_that_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hosewright.logbook.file.lock._taker", lambda: None)
    book = Logbook.for_counting(tmp_path / "logbook.sqlite")
    assert any("knows no locks" in note for note in book.store.notes)
    book.close()


def test_the_command_line_reads_while_the_bench_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook.for_counting(logbook_path())
    live = book.start(record("tube"))
    crank_to(live, "tube")
    with book.store.one_commit() as db:
        db.execute("INSERT INTO shelf VALUES ('yarn', 'half', 1, 0, '{}')")  # the bench is in the middle of a write
        for argv in (["list"], ["show", record().id], ["report", record().id], ["export", record().id], ["check"]):
            assert main(["logbook", *argv]) == 0, argv
        assert main(["logbook", "backup", str(tmp_path / "copy.sqlite")]) == 0
    assert "0 of 30 rows done" in capsys.readouterr().out
    book.close()


def test_line_mode_keeps_away_while_a_bench_counts(capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook.for_counting(logbook_path())
    book.start(record("tube"))
    assert main(["crank", record().id, "--plain"]) == 2
    assert "The bench has this logbook open" in capsys.readouterr().err
    book.close()


def test_two_that_make_a_logbook_at_once_both_succeed(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    benches = [another_bench(path) for _ in range(4)]
    words = sorted(said(bench) for bench in benches)
    for bench in benches:
        end(bench)
    assert sum(word == "counting" for word in words) == 1, words
    with pytest.raises(LogbookError, match="no session"):
        Logbook(path).store.find("nothing")


CURED, NOT_CURED = ("3.44.6", "3.50.7", "3.51.3", "3.52.0"), ("3.40.1", "3.44.5", "3.45.0", "3.50.6", "3.51.2")


@pytest.mark.parametrize("version", [*CURED, *NOT_CURED])
def test_which_sqlite_has_the_cure(version: str) -> None:
    """Versions from sqlite.org/wal.html, "The WAL-reset bug"."""
    assert cured(tuple(map(int, version.split(".")))) is (version in CURED)


def test_check_names_sqlite_and_whether_it_is_cured(capsys: pytest.CaptureFixture[str]) -> None:
    Logbook.for_counting(logbook_path()).close()
    assert main(["logbook", "check"]) == 0
    cure = "with" if cured(sqlite3.sqlite_version_info) else "without"
    assert f"SQLite {sqlite3.sqlite_version}, {cure} the cure" in capsys.readouterr().out


@pytest.mark.parametrize("argv", [["import", "."], ["merge", "other.sqlite"], ["forget", "Ana", "--yes"]])
def test_a_second_writer_is_told_who_writes_and_what_to_do(
    argv: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = Logbook.for_counting(logbook_path())
    other = Logbook(tmp_path / "other.sqlite")
    before = list(book.store.db.iterdump())
    assert main(["logbook", *(str(tmp_path / word) if word in (".", "other.sqlite") else word for word in argv)]) == 2
    told = capsys.readouterr().err
    assert f"The bench has this logbook open (process {os.getpid()}). Leave it with Ctrl+Q (every row is saved)" in told
    assert "Nothing was changed." in told
    assert list(book.store.db.iterdump()) == before
    other.close()
    book.close()


def test_who_holds_it_is_told_by_its_kind(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    importing = Logbook.for_writing(path, "`hosewright logbook import`")
    with pytest.raises(HeldError, match=r"^`hosewright logbook import` has this logbook open .*Wait until it is done"):
        Logbook.for_writing(path, "`hosewright care`")
    looking = Logbook.for_counting(path)
    assert looking.store.why_read_only.startswith("`hosewright logbook import` has this logbook open (process ")
    looking.close()
    importing.close()


def test_verbs_that_only_read_open_no_way_to_write() -> None:
    from hosewright.verbs.book import open_book

    Logbook.for_counting(logbook_path()).close()
    with open_book() as book:
        with pytest.raises(sqlite3.OperationalError, match="readonly"):
            book.store.db.execute("CREATE TABLE x (a)")
        counting = Logbook.for_counting(logbook_path())  # and they are in nobody's way
        assert not counting.store.why_read_only
        counting.close()
