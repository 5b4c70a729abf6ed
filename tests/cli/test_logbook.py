"""The logbook's verbs on a real file."""

from __future__ import annotations

import json
import re
import sqlite3
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.travel.session_files import read
from hosewright.places import logbook_path
from hosewright.session.events import Judged, Observed, Struck
from tests.helpers import FakeClock, crank_to, drive, measure_tube, record, rows, yarn

if TYPE_CHECKING:
    from pathlib import Path

SEARCH, TUBE, SOCK = "20231114-search", "20231114-tube", "20231115-sock"


@pytest.fixture
def home() -> Path:
    """A logbook with a search under way, a tube measured and a sock just begun."""
    book = Logbook(logbook_path(), FakeClock())
    book.keep(yarn("Blue"))
    live = book.start(record("search", SEARCH))
    crank_to(live, "trial")
    drive(live, rows(1), Judged("drop", 26), rows(1), Judged("stay", 24))
    live = book.start(record("tube", TUBE))
    crank_to(live, "after-wash")
    measure_tube(live)
    book.start(record("sock", SOCK))
    book.close()
    return logbook_path().parent


def _said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> tuple[str, str]:
    assert main(["logbook", *argv]) == code
    heard = capsys.readouterr()
    assert "Traceback" not in heard.err
    return heard.out, heard.err


def test_without_a_logbook(capsys: pytest.CaptureFixture[str]) -> None:
    assert "no logbook yet" in _said(capsys, "list")[0]
    assert _said(capsys, "list", "--json") == ("", "")
    for verb in (["show", "x"], ["check"], ["backup", "copy"], ["export"]):
        assert "There is no logbook at" in _said(capsys, *verb, code=2)[1]
    assert not logbook_path().exists()


@pytest.mark.usefixtures("home")
def test_list(capsys: pytest.CaptureFixture[str]) -> None:
    out, _ = _said(capsys, "list")
    assert {line.split()[0] for line in out.splitlines()} == {SEARCH, TUBE, SOCK}
    assert re.search(rf"^{TUBE} .* Gauge tube +under way +A tube$", out, re.MULTILINE)
    found = [json.loads(line) for line in _said(capsys, "list", "--json")[0].splitlines()]
    assert {item["id"] for item in found} == {SEARCH, TUBE, SOCK}
    assert set(found[0]) == {"id", "kind", "title", "status", "status_words", "started"}
    assert {(item["status"], item["status_words"]) for item in found} >= {("open", "under way")}


@pytest.mark.usefixtures("home")
def test_show(capsys: pytest.CaptureFixture[str]) -> None:
    out, _ = _said(capsys, "show", "20231114-s")
    assert "Next: stitch size, dial at 7 turns below zero." in out
    found = json.loads(_said(capsys, "show", SEARCH, "--json")[0])
    assert found["baseline_clicks"] == 28
    assert found["step"] == "trial"
    assert {"id": "cast-on-rows", "title": "Separator rows", "count": 3} in found["steps"]


@pytest.mark.usefixtures("home")
def test_an_id_that_is_none_or_several(capsys: pytest.CaptureFixture[str]) -> None:
    assert "There is no session 'nothing'" in _said(capsys, "show", "nothing", code=2)[1]
    assert "Several sessions begin with" in _said(capsys, "report", "20231114", code=2)[1]


@pytest.mark.usefixtures("home")
def test_report_on_the_terminal_and_into_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out, _ = _said(capsys, "report", TUBE)
    assert out.startswith("# A tube\n")
    target = tmp_path / "report.md"
    _said(capsys, "report", TUBE, "--output", str(target))
    assert target.read_text(encoding="utf-8") == out
    assert "is there already" in _said(capsys, "report", TUBE, "--output", str(target), code=2)[1]
    assert json.loads(_said(capsys, "report", TUBE, "--json")[0])["markdown"] == out
    assert "was not started from a plan" in _said(capsys, "report", TUBE, "--sheet", code=2)[1]


@pytest.mark.usefixtures("home")
def test_export_and_import_lose_nothing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "kept"
    assert "4 files written" in _said(capsys, "export", "--folder", str(folder))[0]
    assert "0 files written" in _said(capsys, "export", "--folder", str(folder))[0]
    document, _ = _said(capsys, "export", TUBE)
    assert document == (folder / f"{TUBE}.json").read_text(encoding="utf-8")

    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "elsewhere"))
    out, _ = _said(capsys, "import", str(folder))
    assert out.count("new: 20") == 3
    assert "new: yarn yarn-blue" in out
    again = json.loads(_said(capsys, "import", str(folder / f"{TUBE}.json"), "--json")[0])
    assert again == {"new": [], "gone_on": [], "already_here": [TUBE], "both_kept": [], "refused": []}
    assert _said(capsys, "export", TUBE)[0] == document
    assert "sound." in _said(capsys, "check")[0]


@pytest.mark.usefixtures("home")
def test_a_file_that_is_refused_does_not_keep_others_out(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    document = _said(capsys, "export", TUBE)[0]
    bad, differs, new = (tmp_path / name for name in ("bad.json", "differs.json", "new.json"))
    bad.write_text("{}", encoding="utf-8")
    differs.write_text(document.replace('"title": "A tube"', '"title": "Another"'), encoding="utf-8")
    new.write_text(document.replace(TUBE, "20231116-new"), encoding="utf-8")
    out, err = _said(capsys, "import", str(bad), str(differs), str(new), str(tmp_path / "none.json"), code=2)
    assert out == f"new: 20231116-new\nboth kept: {TUBE}\n"
    assert "bad.json is not a session file" in err
    assert f"{TUBE} went on here and in the file differs.json: both are kept." in err
    assert "none.json cannot be read" in err
    out, err = _said(capsys, "import", str(bad), code=2)
    assert (out, len(err.splitlines()) > 0) == ("", True)


@pytest.mark.usefixtures("home")
def test_nothing_is_overwritten_by_an_export(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / f"{SOCK}.json").write_text("mine", encoding="utf-8")
    assert "is there already and differs" in _said(capsys, "export", "--folder", str(tmp_path), code=2)[1]
    assert not (tmp_path / f"{TUBE}.json").exists()
    assert "--output takes one session" in _said(capsys, "export", "--output", "x", code=2)[1]


@pytest.mark.usefixtures("home")
def test_backup_is_a_whole_logbook(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = _said(capsys, "list", "--json")[0]
    other = tmp_path / "other"
    other.mkdir()
    _said(capsys, "backup", str(other / "logbook.sqlite"))
    assert "is there already" in _said(capsys, "backup", str(other / "logbook.sqlite"), code=2)[1]
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(other))
    assert _said(capsys, "list", "--json")[0] == before


@pytest.mark.usefixtures("home")
def test_check_finds_what_does_not_add_up(capsys: pytest.CaptureFixture[str]) -> None:
    assert "3 sessions, sound." in _said(capsys, "check")[0]
    with sqlite3.connect(logbook_path()) as db:
        db.execute("UPDATE sessions SET status = 'finished' WHERE id = ?", (SOCK,))
        db.execute(
            "INSERT INTO events SELECT session, seq + 5, at_ms, zone_min, tick_ms, 'sang', body FROM events "
            "WHERE session = 1 ORDER BY seq DESC LIMIT 1"
        )
    db.close()
    out, _ = _said(capsys, "check", code=1)
    assert f"session {SOCK}: lists show it as finished, its events say open." in out
    assert re.search(rf"session {SEARCH}: Event \d+ of the session cannot be read", out)
    assert json.loads(_said(capsys, "check", "--json", code=1)[0])["sound"] is False


def _rescued(capsys: pytest.CaptureFixture[str], source: Path, target: Path) -> tuple[dict[str, list[str]], Logbook]:
    before = source.read_bytes()
    code = main(["logbook", "rescue", str(source), "--to", str(target), "--json"])
    assert source.read_bytes() == before
    found: dict[str, list[str]] = json.loads(capsys.readouterr().out)
    assert code == (1 if found["lost"] else 0)
    return found, Logbook(target)


def test_rescue_brings_everything_out_of_a_sound_logbook(
    capsys: pytest.CaptureFixture[str], home: Path, tmp_path: Path
) -> None:
    found, book = _rescued(capsys, home / "logbook.sqlite", tmp_path / "new.sqlite")
    assert sorted(found["sessions"]) == [SEARCH, TUBE, SOCK]
    assert found["lost"] == []
    assert len(book.gauges()) == 1
    assert book.get(type(yarn()), "yarn-blue") == yarn("Blue")
    book.close()


def test_rescue_keeps_what_comes_before_the_break(
    capsys: pytest.CaptureFixture[str], home: Path, tmp_path: Path
) -> None:
    source = home / "logbook.sqlite"
    with sqlite3.connect(source) as db:
        for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f"DROP TRIGGER {name}")
        db.execute("UPDATE events SET kind = 'sang', body = NULL WHERE session = 2 AND seq = 9")
        db.execute("UPDATE sessions SET record = '{' WHERE id = ?", (SOCK,))
        db.execute("UPDATE shelf SET body = '{}' WHERE id = 'yarn-blue'")
    db.close()
    found, book = _rescued(capsys, source, tmp_path / "new.sqlite")
    assert sorted(found["sessions"]) == [SEARCH, TUBE]
    assert found["lost"] == [
        "revision 1 of yarn yarn-blue on the shelf cannot be read.",
        f"session {TUBE}: event 9 is missing, so 55 behind have no place; 55 events of it are written to "
        f"{tmp_path / 'new-session-2-events.json'}.",
        "session number 3: its start cannot be read, and no backup has it; 1 event of it is written to "
        f"{tmp_path / 'new-session-3-events.json'}.",
    ]
    line = book.store.find(TUBE)
    assert len(list(book.store.entries(line.n))) == 8
    book.close()


def test_rescue_reads_round_destroyed_pages(capsys: pytest.CaptureFixture[str], home: Path, tmp_path: Path) -> None:
    source = home / "logbook.sqlite"
    book = Logbook(source, FakeClock())
    live = book.start(record("tube", "20231120-long"))
    crank_to(live, "tube")
    for _ in range(400):  # enough to fill several pages
        drive(live, rows(1), Observed("note", None, "x" * 60))
    book.close()
    with sqlite3.connect(source) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        size = db.execute("PRAGMA page_size").fetchone()[0]
        last = db.execute("PRAGMA page_count").fetchone()[0]
    db.close()
    broken = bytearray(source.read_bytes())
    leaves = [at for at in range(0, last * size, size) if b'{"fault":"note"' in broken[at : at + size]]
    broken[leaves[-3] : leaves[-3] + size] = b"\xff" * size
    source.write_bytes(broken)

    found, rescued = _rescued(capsys, source, tmp_path / "new.sqlite")
    assert {SEARCH, TUBE, SOCK} <= set(found["sessions"])
    assert any("are missing, so" in loss for loss in found["lost"])
    assert rescued.store.damage() == []
    rescued.close()
    heard = _said(capsys, "check", code=1)
    assert "logbook rescue" in heard[0]


def test_rescue_of_what_is_no_logbook(capsys: pytest.CaptureFixture[str], home: Path, tmp_path: Path) -> None:
    stray = tmp_path / "stray.sqlite"
    stray.write_bytes(b"not a database at all " * 100)
    assert "Nothing can be read" in _said(capsys, "rescue", str(stray), code=2)[1]
    assert not (tmp_path / "stray-rescued.sqlite").exists()
    assert "There is no file" in _said(capsys, "rescue", str(tmp_path / "none"), code=2)[1]
    source = home / "logbook.sqlite"
    assert "3 sessions rescued" in _said(capsys, "rescue", str(source))[0]
    assert "logbook-rescued.sqlite is there already" in _said(capsys, "rescue", str(source), code=2)[1]


def test_a_rescued_session_is_the_session_that_was(
    capsys: pytest.CaptureFixture[str], home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "b").mkdir()
    before = _said(capsys, "export", TUBE)[0]
    _rescued(capsys, home / "logbook.sqlite", tmp_path / "b" / "logbook.sqlite")[1].close()
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "b"))
    assert _said(capsys, "export", TUBE)[0] == before


def test_a_title_cannot_drive_the_terminal(capsys: pytest.CaptureFixture[str], home: Path) -> None:
    with sqlite3.connect(home / "logbook.sqlite") as db:
        db.execute("UPDATE sessions SET title = ? WHERE id = ?", ("\x1b[2Jgone", SOCK))
    db.close()
    assert "\x1b" not in _said(capsys, "list")[0]


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        ([], "Type what to do with the logbook: list, show"),
        (["burn"], "The logbook has no verb “burn”. There are list"),
        (["show"], "Still missing: ID."),
        (["import"], "Still missing: FILE."),
    ],
)
def test_slips(capsys: pytest.CaptureFixture[str], argv: list[str], said: str) -> None:
    _, err = _said(capsys, *argv, code=2)
    assert said.lower() in err.lower()
    assert err.count("\n") == 1


def test_an_empty_folder_is_no_import(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert "holds no session files" in _said(capsys, "import", str(tmp_path / "empty"), code=2)[1]


@pytest.mark.parametrize("verb", ["list", "show", "report", "export", "import", "check", "rescue", "backup"])
def test_help(capsys: pytest.CaptureFixture[str], verb: str) -> None:
    assert f"Example:\n  hosewright logbook {verb}" in _said(capsys, verb, "--help")[0]
    assert f"\n  {verb} " in _said(capsys, "--help")[0]


@pytest.mark.usefixtures("home")
def test_struck_readings_go_out_and_in(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    book = Logbook(logbook_path(), FakeClock())
    live = book.take_up(TUBE)
    drive(live, Struck(live.state.readings[0].seq))
    book.close()
    target = tmp_path / "tube.json"
    _said(capsys, "export", TUBE, "--output", str(target))
    assert read(target).entries()[-1].event == Struck(live.state.readings[0].seq)
    assert "~~2.80 in~~ (struck out)" in _said(capsys, "report", TUBE)[0]
