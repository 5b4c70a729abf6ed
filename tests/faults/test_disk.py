"""The disk: what could not be stored is not counted, the sentence says why, and it goes on once that is put right."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.counting.hands import Hands
from hosewright.logbook.book import Logbook
from hosewright.logbook.file import opening as place_check
from hosewright.logbook.file.errors import LogbookError, ReadOnlyError
from hosewright.logbook.file.opening import mounts, network_drive
from hosewright.session.events import Observed, Pressed
from hosewright.session.fold import fold
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, record, rows

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.logbook.live import Live

ON_LINUX = pytest.mark.skipif(sys.platform != "linux", reason="the fault is made the way Linux has it")


class Voice:
    """What the screen is told to say."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        self.said.append(("! " if trouble else "") + sentence)

    def ring(self) -> None: ...

    def ask(self, about: str, words: str = "", hint: str = "") -> None: ...


def cranking(path: Path) -> tuple[Logbook, Live, Hands, Voice]:
    book = Logbook.for_counting(path)
    live = book.start(record("tube"))
    crank_to(live, "tube")
    voice = Voice()
    return book, live, Hands(live, Settings(press_gap_ms=0), voice), voice


def same_as_stored(book: Logbook, live: Live) -> None:
    assert fold(live.record.head, book.store.entries(live.n)) == live.state


def press(hands: Hands, times: int, every_ms: float = 2000.0) -> None:
    for number in range(times):
        hands.do_count(number * every_ms)


def test_a_full_database_counts_nothing_and_goes_on_with_space(tmp_path: Path) -> None:
    book, live, hands, voice = cranking(tmp_path / "logbook.sqlite")
    press(hands, 5)
    pages = book.store.db.execute("PRAGMA page_count").fetchone()[0]
    book.store.db.execute(f"PRAGMA max_page_count = {pages}")
    hit = 0
    for _ in range(400):
        before = live.state.copy()
        if hands.try_to(Observed("note", None, "x" * 200)):
            hit += 1
            assert live.state == before
    assert hit > 100
    press(hands, 3)
    same_as_stored(book, live)
    counted = live.state.count
    hands.do(Observed("note", None, "x" * 3000))
    assert voice.said[-1] == ("! Not saved: the disk is full. Nothing was counted: put that right, then press again.")
    book.store.db.execute("PRAGMA max_page_count = 1000000")
    press(hands, 2)
    assert live.state.count == counted + 2
    same_as_stored(book, live)
    book.close()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A drive of 1 MB of its own."""
    folder = tmp_path / "small"
    folder.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if made.returncode:
        pytest.skip("only the administrator may mount a small drive")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def fill(disk: Path) -> None:
    with (disk / "ballast").open("wb", buffering=0) as ballast, suppress(OSError):
        while True:
            ballast.write(b"\0" * 4096)


@ON_LINUX
@pytest.mark.skipif(shutil.which("mount") is None, reason="no mount here")
def test_a_full_drive(small_disk: Path) -> None:
    book, live, hands, voice = cranking(small_disk / "logbook.sqlite")
    press(hands, 3)
    fill(small_disk)
    refused = 0
    for number in range(300):
        before = live.state.count
        hands.do_count(10_000 + number * 2000.0)
        refused += live.state.count == before
    assert refused > 0
    assert any("the disk is full" in sentence for sentence in voice.said), set(voice.said)
    same_as_stored(book, live)
    (small_disk / "ballast").unlink()
    before = live.state.count
    press(hands, 4)
    assert live.state.count == before + 4
    same_as_stored(book, live)
    book.close()


@ON_LINUX
def test_a_drive_that_becomes_read_only_counts_nothing_and_goes_on(small_disk: Path) -> None:
    book, _, hands, _ = cranking(small_disk / "logbook.sqlite")
    press(hands, 2)
    book.close()
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    before = {path: path.read_bytes() for path in small_disk.iterdir()}
    looking = Logbook.for_counting(small_disk / "logbook.sqlite")
    assert "is read-only, so it is open read-only" in looking.store.why_read_only
    seen = looking.take_up(record().id)
    assert seen.state.count == 2
    with pytest.raises(ReadOnlyError):
        seen.do(Pressed())
    looking.close()
    assert {path: path.read_bytes() for path in small_disk.iterdir()} == before
    subprocess.run(["mount", "-o", "remount,rw", str(small_disk)], check=True)
    again = Logbook.for_counting(small_disk / "logbook.sqlite")
    drive(again.take_up(record().id), rows(1))
    again.close()


@pytest.mark.parametrize("gone", ["folder moved", "file removed", "file replaced", "log removed"])
@pytest.mark.skipif(os.name != "posix", reason="Windows does not let go of an open file")
def test_a_logbook_that_goes_away_while_open_takes_no_rows(tmp_path: Path, gone: str) -> None:
    home = tmp_path / "home of it"
    book, live, hands, voice = cranking(home / "logbook.sqlite")
    press(hands, 4)
    if gone == "folder moved":
        home.rename(tmp_path / "elsewhere")
    elif gone == "log removed":
        (home / "logbook.sqlite-wal").rename(tmp_path / "log")
    else:
        (home / "logbook.sqlite").rename(tmp_path / "kept")
        if gone == "file replaced":
            shutil.copyfile(tmp_path / "kept", home / "logbook.sqlite")
    press(hands, 3)
    assert live.state.count == 4
    assert "no longer in its place" in voice.said[-1]
    assert "Nothing was counted: put that right, then press again." in voice.said[-1]
    if gone == "folder moved":
        (tmp_path / "elsewhere").rename(home)
    elif gone == "log removed":
        (tmp_path / "log").rename(home / "logbook.sqlite-wal")
    else:
        (tmp_path / "kept").replace(home / "logbook.sqlite")
    press(hands, 3)
    assert live.state.count == 7
    same_as_stored(book, live)
    book.close()


class Faulty:
    """A connection whose COMMIT fails as told."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self.fail = ""

    def __getattr__(self, name: str) -> object:
        return getattr(self._db, name)

    def execute(self, sql: str, *values: object) -> sqlite3.Cursor:
        if sql == "COMMIT" and self.fail:
            raise sqlite3.OperationalError(self.fail)
        return self._db.execute(sql, *values)  # type: ignore[arg-type]  # handed on as it came


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("disk I/O error", "the disk gave an error"),
        ("database or disk is full", "the disk is full"),
        ("database is locked", "another program is writing to it"),
        ("attempt to write a readonly database", "read-only"),
    ],
)
def test_a_commit_that_fails_counts_nothing(tmp_path: Path, fault: str, words: str) -> None:
    book, live, hands, voice = cranking(tmp_path / "logbook.sqlite")
    faulty = Faulty(book.store.db)
    book.store.db = faulty  # type: ignore[assignment]  # stands in for the connection
    faulty.fail = fault
    press(hands, 3)
    hands.do(Observed("tuck"))
    assert live.state.count == 0
    assert live.state.observations == []
    assert words in voice.said[-1]
    faulty.fail = ""
    press(hands, 2)
    assert live.state.count == 2
    same_as_stored(book, live)
    book.close()


@ON_LINUX
def test_a_place_that_may_not_be_entered_is_said(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("another user is needed")
    shut = tmp_path / "shut"
    Logbook(shut / "logbook.sqlite").close()
    os.seteuid(65534)  # "nobody" of most systems, who may not even enter our folder
    try:
        for place in (shut / "logbook.sqlite", tmp_path / "new" / "logbook.sqlite"):
            with pytest.raises(LogbookError, match=r"cannot be opened: permission denied\.$"):
                Logbook.for_counting(place)
    finally:
        os.seteuid(0)


@pytest.mark.parametrize("name", ["a name with spaces", "чулки и носки", "袜子", "per%cent?#&=100%25", "quote'\"s"])
def test_any_name_of_a_folder_will_do(tmp_path: Path, name: str) -> None:
    book, live, hands, _ = cranking(tmp_path / name / name / "logbook.sqlite")
    press(hands, 3)
    book.close()
    again = Logbook(tmp_path / name / name / "logbook.sqlite")
    assert again.take_up(record().id).state.count == live.state.count == 3
    again.close()


def test_a_network_drive_gets_a_rollback_journal_and_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "logbook.sqlite"
    book, _, hands, _ = cranking(path)  # on a local drive first, and left with its log as after a crash
    press(hands, 3)
    for file in (path, path.with_name(f"{path.name}-wal")):
        shutil.copyfile(file, tmp_path / f"far-{file.name}")
    book.close()
    monkeypatch.setattr("hosewright.logbook.file.opening.network_drive", lambda _: "nfs4")
    far = Logbook.for_counting(tmp_path / "far-logbook.sqlite")
    assert far.store.db.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
    assert far.store.db.execute("PRAGMA synchronous").fetchone()[0] == 3, "3 is EXTRA"
    assert any("network drive (nfs4)" in note and "one bench at a time" in note for note in far.store.notes)
    taken = far.take_up(record().id)
    assert taken.state.count == 3
    drive(taken, rows(2))
    reader = Logbook(tmp_path / "far-logbook.sqlite", why_read_only="Looking.")
    assert reader.take_up(record().id).state.count == 5
    reader.close()
    far.close()


def test_a_drive_without_a_write_ahead_log_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = sqlite3.connect

    class NoLog(sqlite3.Connection):
        def execute(self, sql: str, *values: object) -> sqlite3.Cursor:
            sql = "PRAGMA journal_mode" if sql == "PRAGMA journal_mode = WAL" else sql
            return super().execute(sql, *values)  # type: ignore[arg-type]

    monkeypatch.setattr(sqlite3, "connect", lambda *a, **k: real(*a, **k, factory=NoLog))
    book = Logbook(tmp_path / "logbook.sqlite")
    assert any("no write-ahead log" in note for note in book.store.notes)
    drive(book.start(record("tube")))
    book.close()


_MOUNTINFO = """\
22 27 0:21 / /proc rw,relatime shared:5 - proc proc rw
27 1 254:0 / / rw,relatime - ext4 /dev/vda rw
40 27 0:40 / /home/knitter/far\\040away rw,relatime - nfs4 house:/socks rw,vers=4.2
41 27 0:41 / /mnt/cloud rw - fuse.sshfs knitter@house:/ rw
42 27 0:42 / /mnt/stick rw - fuse.exfat /dev/sdb1 rw
43 27 0:43 / /mnt/both rw - nfs house:/a rw
44 27 0:44 / /mnt/both rw - ext4 /dev/sdc1 rw
45 27 0:45 / /mnt/share rw master:1 - cifs //house/socks rw
a line that says nothing
"""


@pytest.mark.skipif(sys.platform != "linux", reason="mountinfo is Linux's")
@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/home/knitter/far away/logbook.sqlite", "nfs4"),
        ("/home/knitter/far awayish/logbook.sqlite", ""),
        ("/mnt/cloud/x", "fuse.sshfs"),
        ("/mnt/stick/x", ""),
        ("/mnt/both/x", ""),
        ("/mnt/share/x", "cifs"),
        ("/root/x", ""),
    ],
)
def test_network_drives_are_told_by_their_file_system(monkeypatch: pytest.MonkeyPatch, path: str, kind: str) -> None:
    monkeypatch.setattr(place_check, "mounts", lambda _text: mounts(_MOUNTINFO))
    assert network_drive(Path(path)) == kind


def test_a_name_that_no_path_can_have_is_on_no_network_drive() -> None:
    assert network_drive(Path("a\0b")) == ""


def test_this_test_is_not_on_a_network_drive(tmp_path: Path) -> None:
    assert network_drive(tmp_path) == ""
    with pytest.raises(LogbookError):
        Logbook(tmp_path)


@ON_LINUX
@pytest.mark.parametrize("killed", [False, True])
def test_a_disk_full_at_the_start_is_called_full_and_opens_for_looking(
    small_disk: Path, tmp_path: Path, killed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = small_disk / "logbook.sqlite"
    book, _, hands, _ = cranking(path)
    press(hands, 3)
    log = path.with_name(f"{path.name}-wal")
    left = (path.read_bytes(), log.read_bytes())
    book.close()
    if killed:
        path.write_bytes(left[0])
        log.write_bytes(left[1])
        path.with_name(f"{path.name}.seal").unlink()
    fill(small_disk)
    looking = Logbook.for_counting(path)
    assert "The disk of" in looking.store.why_read_only
    assert "is full, so the logbook is open read-only" in looking.store.why_read_only
    assert looking.take_up(record().id).state.count == 3
    looking.close()
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(small_disk))
    assert main(["logbook", "backup", str(tmp_path / "elsewhere.sqlite")]) == 0
    with Logbook(tmp_path / "elsewhere.sqlite").store.db as db:
        assert db.execute("SELECT count(*) FROM sessions").fetchone() == (1,)
    (small_disk / "ballast").unlink()
    again = Logbook.for_counting(path)
    assert again.store.why_read_only == ""
    assert again.take_up(record().id).state.count == 3
    again.close()


@ON_LINUX
def test_no_room_for_a_new_logbook_is_said(small_disk: Path) -> None:
    fill(small_disk)
    with pytest.raises(LogbookError, match=r"There is no room for a new logbook: the disk of .* is full"):
        Logbook.for_counting(small_disk / "logbook.sqlite")
