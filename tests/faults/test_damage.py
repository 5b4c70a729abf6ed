"""Damage seen and damage mended: changed bytes in the file and in its log, and what rescue and restore make of it."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.file import log as wal
from hosewright.logbook.file import seal
from hosewright.logbook.file.backups import daily
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.upkeep.rescue import rescue
from hosewright.places import logbook_path
from hosewright.session.events import Observed
from tests.faults import damage
from tests.helpers import crank_to, drive, machine, record, rows


def test_no_changed_byte_of_a_closed_logbook_passes_unseen(tmp_path: Path) -> None:
    found = damage.file_trials(tmp_path, 40, seed=11)
    assert (found.trials, found.unseen_by_check, found.unseen_at_opening) == (40, [], [])


def test_a_rescue_brings_all_that_can_be_read_and_with_a_backup_everything(tmp_path: Path) -> None:
    found = damage.rescue_trials(tmp_path, 8, 1127)
    assert found.worse == []
    assert found.with_backup == found.events


def test_no_changed_byte_of_a_log_passes_unseen(tmp_path: Path) -> None:
    found = damage.log_trials(tmp_path, 40, seed=12)
    assert (found.trials, found.unseen_by_check, found.unseen_at_opening) == (40, [], [])


def cranked(path: Path, presses: int = 12) -> None:
    with closing(Logbook.for_counting(path)) as book:
        book.keep(machine())
        live = book.start(record("tube"))
        crank_to(live, "tube")
        drive(live, rows(presses), Observed("note", None, "a café at the corner"))


def change(path: Path, before: bytes, after: bytes) -> None:
    whole = path.read_bytes()
    assert whole.count(before) >= 1
    path.write_bytes(whole.replace(before, after))


def test_a_seal_is_made_at_closing_and_broken_before_the_file_changes(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    cranked(path)
    assert seal.is_sealed(path)
    assert seal.damage_of(path) == ""
    assert seal.seal_of(path).stat().st_mode & 0o777 == 0o600
    closed = path.read_bytes()
    with closing(Logbook.for_counting(path)) as book:
        live = book.take_up(record().id)
        drive(live, rows(3))
        book.store.fold_log_in()
        assert path.read_bytes() == closed, "nothing goes into the file until it was held against its seal"
        assert book.held_against_seal() == ""
        book.break_seal("")
        book.store.fold_log_in()
        book.store.wait_for_seal()
        assert path.read_bytes() != closed
        assert seal.is_sealed(path), "and it is sealed again at once"
        assert seal.damage_of(path) == ""
        drive(live, rows(3))
    assert seal.damage_of(path) == ""


@pytest.mark.parametrize("torn", [1, 512])
def test_a_torn_header_of_a_log_that_is_in_the_file_loses_nothing(tmp_path: Path, torn: int) -> None:
    """As a power cut leaves it where the log is begun anew; rows that only the log holds are never let go."""
    path, cut = tmp_path / "logbook.sqlite", tmp_path / "cut" / "logbook.sqlite"
    cut.parent.mkdir()

    def cut_off() -> Path:
        for end in ("", "-wal"):
            shutil.copyfile(f"{path}{end}", f"{cut}{end}")
        log = Path(f"{cut}-wal")
        log.write_bytes(b"\xa7" * torn + log.read_bytes()[torn:])
        return cut

    with closing(Logbook(path)) as book:
        live = book.start(record("tube"))
        crank_to(live, "tube")
        drive(live, rows(12))
        with pytest.raises(LogbookError, match="header of its log is damaged"):
            Logbook(cut_off())
        book.store.fold_log_in()
        cut_off()
    with closing(Logbook(cut)) as book:
        assert book.take_up(record().id).state.count == 12
        assert any("end of its log cannot be read" in note for note in book.store.notes)


def test_a_log_grown_long_is_carried_over_without_a_pause(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hosewright.logbook.file.store.COMMITS_IN_LOG", 10)
    path = tmp_path / "logbook.sqlite"
    with closing(Logbook.for_counting(path)) as book:
        live = book.start(record("tube"))
        crank_to(live, "tube")
        book.store.wait_for_seal()
        before = path.read_bytes()
        drive(live, rows(15))
        book.store.wait_for_seal()
        assert path.read_bytes() != before
        assert seal.damage_of(path) == ""


def test_no_changed_byte_of_the_file_a_kill_leaves_passes_unseen(tmp_path: Path) -> None:
    found = damage.file_trials(tmp_path, 40, seed=13, killed=True)
    assert (found.trials, found.unseen_by_check, found.unseen_at_opening) == (40, [], [])


def test_a_reader_leaves_the_seal_alone_and_a_kill_leaves_none_behind(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    cranked(path)
    with closing(Logbook.for_reading(path)) as book:
        assert find_damage(book)[1] == []
    assert seal.damage_of(path) == ""
    book = Logbook.for_counting(path)
    book.break_seal("")
    book.store.db.close()  # as a kill leaves it: no seal to say anything false of what follows
    assert seal.damage_of(path) == ""
    assert book._lock is not None
    book._lock.release()


def test_what_another_program_wrote_is_told_by_check_and_accepted_only_when_asked(
    capsys: pytest.CaptureFixture[str],
) -> None:
    cranked(logbook_path())
    with closing(sqlite3.connect(logbook_path())) as db, db:
        db.execute("UPDATE measurements SET value = value + 1")
        db.execute("UPDATE sessions SET changed_ms = changed_ms + 1")
    assert main(["logbook", "check"]) == 1
    told = capsys.readouterr().out
    assert "the file is not as hosewright left it" in told
    assert "`hosewright logbook restore` lists the backups" in told
    assert "check --accept` takes it as it is now" in told
    assert main(["logbook", "import", "."]) == 2
    assert "Something is wrong with the logbook" in capsys.readouterr().err
    with closing(Logbook.for_counting(logbook_path())) as book:
        fault = book.held_against_seal()
        assert fault
        book.break_seal(fault)
        drive(book.take_up(record().id), rows(1))
    assert main(["logbook", "check"]) == 1, "it stays told until it is accepted"
    assert main(["logbook", "check", "--accept"]) == 0
    assert main(["logbook", "check"]) == 0


def killed(folder: Path, presses: int) -> Path:
    """A logbook with ``presses`` in its log, as a kill leaves it."""
    path = folder / "before" / "logbook.sqlite"
    path.parent.mkdir()
    cranked(path, 2)
    book = Logbook.for_counting(path)
    book.break_seal("")
    live = book.take_up(record().id)
    drive(live, rows(presses))
    after = folder / "logbook.sqlite"
    shutil.copyfile(path, after)
    shutil.copyfile(path.with_name(f"{path.name}-wal"), after.with_name(f"{after.name}-wal"))
    book.close()
    return after


def test_a_log_damaged_in_its_midst_is_refused_and_rescue_reads_behind_the_place(tmp_path: Path) -> None:
    path = killed(tmp_path, 20)
    log = path.with_name(f"{path.name}-wal")
    held = bytearray(log.read_bytes())
    held[32 + 5 * (24 + 4096) + 100] ^= 1  # in the sixth of its frames
    log.write_bytes(held)
    with pytest.raises(LogbookError, match=r"has a damaged place in its log: the last \d+ changes cannot be read"):
        Logbook.for_counting(path)
    assert log.read_bytes() == held
    with closing(Logbook(path, why_read_only="Looking.")) as book:
        assert book.take_up(record().id).state.count < 22
    found = rescue(path, tmp_path / "rescued.sqlite")
    assert (found.sessions, found.lost) == ([record().id], [])
    with closing(Logbook(tmp_path / "rescued.sqlite")) as book:
        assert book.take_up(record().id).state.count == 22
        assert find_damage(book)[1] == []


def test_a_log_cut_short_at_its_end_opens_and_says_so_once(tmp_path: Path) -> None:
    path = killed(tmp_path, 4)
    log = path.with_name(f"{path.name}-wal")
    read = wal.read_log(path)
    assert read is not None
    last = max(frame.number for frame in read.frames())
    held = bytearray(log.read_bytes())
    held[32 + (last - 1) * (24 + 4096) + 2000] ^= 0x40
    log.write_bytes(held)
    with closing(Logbook.for_counting(path)) as book:
        assert any("the end of its log cannot be read" in note for note in book.store.notes)
        assert book.take_up(record().id).state.count == 5
        assert find_damage(book)[1] == []
    with closing(Logbook.for_counting(path)) as book:
        assert book.store.notes == []


# --- rescue ----------------------------------------------------------------------------------------------------------


def test_a_byte_that_is_no_text_stops_nothing(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    cranked(path)
    change(path, "café".encode(), b"caf\xff\xa9")
    found = rescue(path, tmp_path / "rescued.sqlite")
    assert found.sessions == [record().id]
    assert [loss.partition(":")[2] for loss in found.lost] == [" a letter of event 28 cannot be read."]
    with closing(Logbook(tmp_path / "rescued.sqlite")) as book:
        assert book.take_up(record().id).state.count == 12


def test_what_is_damaged_comes_from_the_backups(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    cranked(path)
    assert daily(path, "20260103") == ""
    with closing(Logbook.for_counting(path)) as book:
        drive(book.take_up(record().id), rows(5))
    change(path, "café".encode(), b"caf\xff\xa9")
    found = rescue(path, tmp_path / "rescued.sqlite")
    assert (found.sessions, found.lost) == ([record().id], [])
    assert found.filled == [f"session {record().id}: with what logbook-20260103.sqlite holds."]
    with closing(Logbook(tmp_path / "rescued.sqlite")) as book:
        live = book.take_up(record().id)
        assert live.state.count == 17
        assert [one.note for one in live.state.observations] == ["a café at the corner"]


@pytest.mark.parametrize("with_backup", [True, False])
def test_a_session_whose_start_is_damaged(tmp_path: Path, with_backup: bool) -> None:
    path = tmp_path / "logbook.sqlite"
    cranked(path)
    if with_backup:
        daily(path, "20260103")
    with closing(Logbook.for_counting(path)) as book:
        drive(book.take_up(record().id), rows(5))
    change(path, b'"kind":"tube"', b'"kind":"tu\xffe"')
    found = rescue(path, tmp_path / "rescued.sqlite")
    if with_backup:
        assert (found.sessions, found.lost) == ([record().id], [])
        with closing(Logbook(tmp_path / "rescued.sqlite")) as book:
            assert book.take_up(record().id).state.count == 17
        return
    aside = tmp_path / "rescued-session-1-events.json"
    assert found.sessions == []
    assert found.lost == [
        f"session number 1: its start cannot be read, and no backup has it; 33 events of it are written to {aside}."
    ]
    told = json.loads(aside.read_text())
    assert [one["seq"] for one in told] == list(range(1, 34))
    assert told[-1]["event"]["kind"] == "pressed"


def test_a_session_that_only_a_backup_holds_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    cranked(path)
    daily(path, "20260103")
    for damaged in (path, path.with_name(f"{path.name}-wal")):
        damaged.unlink(missing_ok=True)
    Logbook(path).close()
    found = rescue(path, tmp_path / "rescued.sqlite")
    assert (found.sessions, found.lost) == ([record().id], [])


def test_rescue_with_a_loss_ends_with_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "logbook.sqlite"
    cranked(path)
    assert main(["logbook", "rescue", str(path), "--to", str(tmp_path / "whole.sqlite")]) == 0
    change(path, b'"kind":"tube"', b'"kind":"tu\xffe"')
    assert main(["logbook", "rescue", str(path), "--to", str(tmp_path / "rescued.sqlite")]) == 1
    assert "Lost: session number 1" in capsys.readouterr().out
    with closing(sqlite3.connect(tmp_path / "rescued.sqlite")) as db:
        assert db.execute("SELECT count(*) FROM sessions").fetchone() == (0,)


# --- restore ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def backed_up() -> Path:
    """The knitter's logbook with a tube of 12 rows in its backup, and 5 rows and another session since."""
    path = logbook_path()
    cranked(path)
    daily(path, "20260103")
    with closing(Logbook.for_counting(path)) as book:
        drive(book.take_up(record().id), rows(5))
        book.start(record("tube").model_copy(update={"id": "20260104-second"}))
    return path


def said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> str:
    assert main(["logbook", "restore", *argv]) == code
    told = capsys.readouterr()
    return told.out if code == 0 else told.err


def test_restore_lists_the_backups_with_what_each_holds(backed_up: Path, capsys: pytest.CaptureFixture[str]) -> None:
    daily(backed_up, "20260105")
    (backed_up.parent / "backups" / "logbook-20260104.sqlite").write_bytes(b"nothing that can be read")
    lines = said(capsys).splitlines()
    assert lines[0].split()[:2] == ["1", "logbook-20260105.sqlite"]
    assert "2 sessions with" in lines[0]
    assert lines[1].split()[:2] == ["2", "logbook-20260103.sqlite"]
    assert "1 session with 28 events" in lines[1]
    assert lines[2] == "1 more cannot be read."
    told = [json.loads(line) for line in said(capsys, "--json").splitlines()]
    assert [(one["number"], one["sessions"]) for one in told] == [(1, 2), (2, 1)]


def test_restore_says_what_would_change_and_changes_nothing_unasked(
    backed_up: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = backed_up.read_bytes()
    told = said(capsys, "1")
    assert "1 session would be missing, for only the present logbook has them" in told
    assert "(20260104-second) has 1 event" in told
    assert "1 session would be shorter:" in told
    assert f"({record().id}) loses 5 events" in told
    assert "Nothing was changed." in told
    assert backed_up.read_bytes() == before


def test_restore_keeps_the_present_file_aside_with_its_log(backed_up: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = backed_up.with_name(f"{backed_up.name}-wal")
    backed_up.write_bytes(b"SQLite format 3\0 and then rubbish")
    log.write_bytes(b"rows stored last")
    answer = json.loads(said(capsys, "1", "--yes", "--json"))
    assert answer["restored"]
    aside = Path(answer["aside"])
    assert (aside / backed_up.name).read_bytes() == b"SQLite format 3\0 and then rubbish"
    assert (aside / log.name).read_bytes() == b"rows stored last"
    assert not log.exists()
    with closing(Logbook.for_counting(backed_up)) as book:
        assert book.take_up(record().id).state.count == 12
        assert find_damage(book)[1] == []


def test_restore_waits_for_the_bench(backed_up: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(Logbook.for_counting(backed_up)):
        assert "The bench has this logbook open" in said(capsys, "1", "--yes", code=2)
    assert [path.name for path in backed_up.parent.iterdir() if "aside" in path.name] == []


@pytest.mark.parametrize(
    ("argv", "words"), [(["7"], "There is no backup 7"), (["nosuch"], "is not a backup"), (["--yes"], "Say which")]
)
def test_what_is_no_backup_is_said(
    argv: list[str], words: str, backed_up: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert words in said(capsys, *argv, code=2)


def test_a_restore_cut_short_anywhere_leaves_one_or_the_other_whole(
    backed_up: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from hosewright.logbook.upkeep import restoring

    (newest,) = restoring.backups_of(backed_up)
    steps = 0

    def stop(left: list[int]) -> None:
        def sync(_folder: Path) -> None:
            nonlocal steps
            steps += 1
            if steps == left[0]:
                raise OSError(5, "Input/output error")

        monkeypatch.setattr(restoring, "sync_folder", sync)

    for at in range(1, 5):
        steps = 0
        stop([at])
        with pytest.raises(LogbookError, match="could not be put in place"):
            restoring.restore(backed_up, newest.path)
        for aside in backed_up.parent.glob("*-aside-*"):
            shutil.rmtree(aside)
        with closing(Logbook(backed_up, why_read_only="Looking.")) as book:
            assert book.take_up(record().id).state.count == (17 if at < 4 else 12)


@pytest.mark.skipif(os.name != "posix", reason="a pty is needed")
def test_a_bench_that_cannot_read_its_logbook_offers_the_newest_backup(tmp_path: Path) -> None:
    from tests.terminal.forked import Forked

    path = tmp_path / "logbook.sqlite"
    cranked(path)
    daily(path, "20260103")
    path.write_bytes(b"no database at all, though it is long enough to be one" * 100)
    life = Forked(tmp_path)
    life.see("cannot be read", "logbook-20260103.sqlite, holds 1 session", "Type r and Enter")
    life.send("\r")
    assert life.end() == 2
    life.close()
    assert path.read_bytes().startswith(b"no database")
    life = Forked(tmp_path)
    life.see("Type r and Enter")
    life.send("r\r")
    life.see("ENTER GOES ON WITH")
    life.send("q")
    assert life.end() == 0
    life.close()
    assert len(list(tmp_path.glob("logbook-aside-*/logbook.sqlite"))) == 1
