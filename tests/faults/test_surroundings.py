"""What lies round a logbook: copies laid beside it, a folder that is synced, and a backup that is proven."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.file import backups
from hosewright.logbook.upkeep.checking import prove_newest_backup
from hosewright.logbook.upkeep.rescue import rescue
from hosewright.logbook.upkeep.surroundings import copies_beside, synced_folder, warnings
from hosewright.places import logbook_path
from hosewright.session.events import Confirmed, ReadOff
from hosewright.words.choices import of_session
from tests.helpers import FakeClock, crank_to, drive, entries, machine, measure_tube, record

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.events import Event


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A logbook in a folder of its own."""
    path = tmp_path / "socks" / "logbook.sqlite"
    path.parent.mkdir()
    book = Logbook(path, FakeClock())
    book.keep(machine())
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    measure_tube(live)
    book.close()
    return path


@pytest.mark.parametrize(
    "name",
    [
        "logbook (attic's conflicted copy 2026-01-04).sqlite",
        "logbook.conflict-20260104-101500-ABCDEF.sqlite",
        "logbook-attic.sqlite",
        "logbook 2.sqlite",
        "logbook(1).sqlite",
        "logbook.sqlite.conflict",
    ],
)
def test_a_copy_that_was_laid_beside_is_noticed(path: Path, name: str) -> None:
    laid = shutil.copyfile(path, path.with_name(name))
    assert copies_beside(path) == [laid]
    assert name in next(warnings(path, once=True))


def test_what_hosewright_lays_beside_is_no_such_copy(path: Path) -> None:
    rescue(path, path.with_name("logbook-rescued.sqlite"))
    for end in ("sqlite-wal", "sqlite.seal", "sqlite.lock", "txt"):
        path.with_name(f"logbook.{end}").write_bytes(b"SQLite format 3\0")
    path.with_name("logbook letter.sqlite").write_text("Dear coxswain", encoding="utf-8")
    backups.daily(path, "20250114")
    assert copies_beside(path) == []


@pytest.mark.parametrize("how", ["name", "mark", ""])
def test_a_folder_kept_alike_is_warned_of_once(tmp_path: Path, how: str) -> None:
    folder = tmp_path / ("MySync" if how == "name" else "plain")
    home = folder / "deep" / "hosewright"
    home.mkdir(parents=True)
    if how == "mark":
        (folder / ".syncmarks.db").touch()
    path = home / "logbook.sqlite"
    assert synced_folder(path) == (folder if how else None)
    told = [list(warnings(path, once=True)) for _ in range(3)]
    assert [len(one) for one in told] == ([1, 0, 0] if how else [0, 0, 0])
    assert len(list(warnings(path))) == bool(how), "who asks is told again"


def test_check_proves_the_newest_backup(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(path.parent))
    assert path == logbook_path()
    assert prove_newest_backup(path) is None
    assert main(["logbook", "check"]) == 0
    assert "There is no backup yet" in capsys.readouterr().out
    backups.daily(path, "20250114")
    before = sorted(path.parent.rglob("*.sqlite"))
    assert main(["logbook", "check"]) == 0
    assert "logbook-20250114.sqlite, restored to a temporary place: 1 session, sound." in capsys.readouterr().out
    assert sorted(path.parent.rglob("*.sqlite")) == before

    (backup,) = backups.kept(path)
    raw = backup.read_bytes()
    backup.write_bytes(raw.replace(b'"title":"A tube"', b'"title":"\xff tube"', 1))
    assert main(["logbook", "check"]) == 1
    said = capsys.readouterr().out
    assert "restored to a temporary place, is not sound" in said
    assert "1 session, sound." in said, "the logbook itself is"


def test_a_backup_from_before_another_way_was_chosen_is_not_mixed_in(path: Path) -> None:
    book = Logbook(path, FakeClock())
    live = book.take_up(record().id)
    start, log = live.begun, list(book.store.entries(live.n))
    mine: list[Event] = [ReadOff("length", 113.0), ReadOff("width", 95.0)]
    drive(live, mine)
    book.close()
    backups.daily(path, "20250114")
    book = Logbook(path, FakeClock())
    other = [*log, *entries([ReadOff("length", 114.0), Confirmed(), ReadOff("mass", 6.0)], first=len(log) + 1)]
    book.take_in(start, other)
    of_session(book, start.id).keep(1)
    assert list(book.store.entries(book.store.find(start.id).n)) == other
    book.close()
    found = rescue(path, path.with_name("logbook-rescued.sqlite"))
    assert (found.sessions, found.lost) == ([start.id], [])
    rescued = Logbook(path.with_name("logbook-rescued.sqlite"))
    assert list(rescued.store.entries(rescued.store.find(start.id).n)) == other
    (aside,) = rescued.store.asides(start.id)
    assert [entry.event for entry in rescued.store.entries(aside.n)][-2:] == mine
    rescued.close()
