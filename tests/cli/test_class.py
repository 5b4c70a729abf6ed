"""`hosewright class`: what a script is told, and what is refused in a sentence."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import VERBS, main
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.lock import lock_of
from hosewright.phrases.times import WallClock
from hosewright.places import logbook_path
from hosewright.session.events import Observed, Paused
from tests.helpers import FakeClock, crank_to, drive, record, rows

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Path]:
    """Anna counts, a row a second by a clock that is ahead, and is there; Bert has not begun, Cleo has no logbook."""
    clock = FakeClock(WallClock().now().at_ms + 60_000)
    book = Logbook(tmp_path / "room" / "anna" / "logbook.sqlite", clock)
    live = book.start(record("tube", "20231114-anna"))
    crank_to(live, "tube")
    drive(live, rows(12), Observed("knot"))
    Logbook(tmp_path / "room" / "bert" / "logbook.sqlite").close()
    (tmp_path / "room" / "cleo.sqlite").write_text("socks " * 1000)
    yield tmp_path / "room"
    book.close()


def told(capsys: pytest.CaptureFixture[str], *argv: str) -> list[dict[str, Any]]:
    assert main(["class", *argv, "--json"]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_a_script_gets_an_object_a_learner_a_line(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cleo, anna, bert = told(capsys, str(room))
    assert (anna["learner"], anna["title"], anna["where"]) == ("anna", "A tube", "on the machine")
    assert (anna["step"], anna["count"], anna["target"], anna["unit"]) == ("Gauge tube", 12, 30, "rows")
    assert (anna["fault"], anna["fault_at"], anna["waits"]) == ("knot", "Gauge tube, row 12", "")
    assert anna["pace"] == 60
    assert 0 <= anna["quiet_ms"] < 60_000
    assert anna["file"] == str(room / "anna" / "logbook.sqlite")
    assert (bert["where"], bert["trouble"]) == (None, "")
    assert cleo["trouble"] == "The logbook cannot be read: the file is not a database."
    assert set(anna) == set(bert) == set(cleo)


def test_a_file_that_is_not_there_is_told_in_its_place(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    anna, nobody = told(capsys, str(room / "anna"), str(room / "nobody.sqlite"))
    assert anna["trouble"] == ""
    assert (nobody["learner"], nobody["trouble"]) == ("nobody", "There is no logbook here yet.")


def test_where_nothing_can_be_seen_the_code_says_so(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["class", str(room / "nobody"), "--plain"]) == 2
    assert "There is no logbook here yet." in capsys.readouterr().out


def test_a_pause_is_told(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(room / "anna" / "logbook.sqlite")
    drive(book.take_up("20231114-anna"), Paused())
    (anna,) = told(capsys, str(room / "anna"))
    assert anna["paused"] is True
    book.close()


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        ([], "Still missing: FILE."),
        (["x", "--quiet", "0"], "--quiet takes 1 to 59 minutes, such as 3; 0 was typed."),
        (["x", "--quiet", "60"], "--quiet takes 1 to 59 minutes"),
        (["x", "--quiet", "long"], "--quiet takes 1 to 59 minutes, such as 3; long was typed."),
        (["x", "--plain", "--json"], "do not go together"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(
    argv: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["class", *argv]) == 2
    heard = capsys.readouterr()
    assert heard.out == ""
    assert said in heard.err
    assert len(heard.err.splitlines()) == 1


# --- plain lines --------------------------------------------------------------------------------------------------

CLEO = "cleo: The logbook cannot be read: the file is not a database."
ANNA = (
    "anna: A tube, on the machine: gauge tube, 12 of 30 rows done, 60 rows a minute. "
    "Noted last: knot (Gauge tube, row 12)."
)


def lines(capsys: pytest.CaptureFixture[str], *argv: str) -> list[str]:
    assert main(["class", *argv]) == 0
    heard = capsys.readouterr()
    assert heard.err == ""
    return heard.out.splitlines()


@pytest.mark.parametrize("argv", [["--plain"], []], ids=["asked for", "no terminal"])
def test_a_line_a_learner_in_words(room: Path, capsys: pytest.CaptureFixture[str], argv: list[str]) -> None:
    assert lines(capsys, str(room), *argv) == [CLEO, ANNA, "bert: nothing begun yet."]


def on_a_terminal(monkeypatch: pytest.MonkeyPatch, kind: str, shown: list[list[Path]]) -> None:
    def show(named: list[Path], *_: object) -> int:
        shown.append(named)
        return 0

    monkeypatch.setenv("TERM", kind)
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    monkeypatch.setattr("hosewright.bench.classroom.screen.run_class", show)


def test_a_terminal_shows_the_class_unless_lines_are_asked_for(
    room: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown: list[list[Path]] = []
    on_a_terminal(monkeypatch, "xterm-256color", shown)
    assert lines(capsys, str(room)) == []
    assert shown == [[room]]
    assert len(lines(capsys, str(room), "--plain")) == 3
    assert shown == [[room]]


@pytest.mark.parametrize("kind", ["dumb", "unknown"])
def test_a_terminal_that_cannot_show_it_gets_the_lines(
    room: Path, kind: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown: list[list[Path]] = []
    on_a_terminal(monkeypatch, kind, shown)
    assert lines(capsys, str(room))[0] == CLEO
    assert shown == []


def test_what_is_far_past_the_plan_is_told_in_lines_and_in_json(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(room / "anna" / "logbook.sqlite")
    drive(book.take_up("20231114-anna"), rows(30))
    book.close()
    (anna,) = lines(capsys, str(room / "anna"), "--plain")
    assert "gauge tube, 42 of 30 rows done, 12 more than planned, " in anna
    (facts,) = told(capsys, str(room / "anna"))
    assert (facts["past"], facts["count"], facts["target"]) == (12, 42, 30)


def test_who_waits_for_help_is_said_first(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(room / "dora" / "logbook.sqlite", FakeClock(WallClock().now().at_ms - 400_000, step_ms=10))
    live = book.start(record("tube", "20231114-dora"))
    crank_to(live, "tube")
    drive(live, rows(3), Paused())
    (dora,) = lines(capsys, str(room / "dora"), "--plain")
    assert dora == (
        "dora: needs help (paused). A tube, on the machine: gauge tube, 3 of 30 rows done, paused, quiet for 6 min."
    )
    book.close()
    assert lines(capsys, str(room / "dora"), "--plain") == [dora], "a copied file is not one that was left"
    lock_of(book.path).touch()  # she closes the bench with her work on the machine
    (dora,) = lines(capsys, str(room / "dora"), "--plain")
    assert dora == "dora: A tube, on the machine: gauge tube, 3 of 30 rows done, left, quiet for 6 min."


def test_nothing_in_a_logbook_breaks_the_line(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (room / "anna").rename(room / "an\nna\x1b[31m")
    (anna,) = [line for line in lines(capsys, str(room), "--plain") if line.startswith("an")]
    assert anna.startswith("an na[31m: A tube, ")


def test_the_line_mode_explains_a_step(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """What the bench shows one step at a time, for those who hear it."""
    book = Logbook(logbook_path())
    live = book.start(record("tube", "20231114-hears"))
    crank_to(live, "tube")
    book.close()
    monkeypatch.setattr("sys.stdin", io.StringIO("h\n"))
    assert main(["crank", "20231114-hears", "--plain"]) == 0
    said = capsys.readouterr().out
    for label in ("Why: This tube shows", "Look for: ", "If not: Lost count?", "Careful: Hair, sleeves and fingers"):
        assert label in said


def test_the_verb_is_listed_and_explained(capsys: pytest.CaptureFixture[str]) -> None:
    assert "class" in VERBS
    assert main(["class", "--help"]) == 0
    assert "read-only" in capsys.readouterr().out
