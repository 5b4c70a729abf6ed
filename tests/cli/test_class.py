"""`hosewright class`: what a script is told, and what is refused in a sentence."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import VERBS, main
from hosewright.logbook.book import Logbook
from hosewright.places import logbook_path
from hosewright.session.events import Observed, Paused
from tests.helpers import crank_to, drive, record, rows

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """Anna counts, Bert has not begun, Cleo's file is no logbook."""
    book = Logbook(tmp_path / "room" / "anna" / "logbook.sqlite")
    live = book.start(record("tube", "20231114-anna"))
    crank_to(live, "tube")
    drive(live, rows(12), Observed("knot"))
    book.close()
    Logbook(tmp_path / "room" / "bert" / "logbook.sqlite").close()
    (tmp_path / "room" / "cleo.sqlite").write_text("socks " * 1000)
    return tmp_path / "room"


def told(capsys: pytest.CaptureFixture[str], *argv: str) -> list[dict[str, Any]]:
    assert main(["class", *argv, "--json"]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_a_script_gets_an_object_a_learner_a_line(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cleo, anna, bert = told(capsys, str(room))
    assert (anna["learner"], anna["title"], anna["where"]) == ("anna", "A tube", "on the machine")
    assert (anna["step"], anna["count"], anna["target"], anna["unit"]) == ("Gauge tube", 12, 30, "rows")
    assert (anna["fault"], anna["fault_at"], anna["waits"]) == ("knot", "Gauge tube, row 12", "")
    assert anna["pace"] > 0
    assert 0 <= anna["quiet_ms"] < 60_000
    assert anna["file"] == str(room / "anna" / "logbook.sqlite")
    assert (bert["where"], bert["trouble"]) == (None, "")
    assert cleo["trouble"] == "The logbook cannot be read: the file is not a database."
    assert set(anna) == set(bert) == set(cleo)


def test_a_file_that_is_not_there_is_told_in_its_place(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    anna, nobody = told(capsys, str(room / "anna"), str(room / "nobody.sqlite"))
    assert anna["trouble"] == ""
    assert (nobody["learner"], nobody["trouble"]) == ("nobody", "There is no logbook here yet.")


def test_a_pause_is_told(room: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(room / "anna" / "logbook.sqlite")
    drive(book.take_up("20231114-anna"), Paused())
    (anna,) = told(capsys, str(room / "anna"))
    assert anna["paused"] is True
    book.close()


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        ([], "The following arguments are required: FILE"),
        (["x", "--quiet", "0"], "--quiet takes 1 to 59 minutes, such as 3; 0 was typed."),
        (["x", "--quiet", "60"], "--quiet takes 1 to 59 minutes"),
        (["x", "--quiet", "long"], "--quiet takes 1 to 59 minutes, such as 3; long was typed."),
        (["x"], "The class needs a terminal; --json prints it, one object a learner a line."),
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


def test_a_terminal_that_cannot_show_it_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TERM", "dumb")
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    assert main(["class", "x"]) == 2
    assert "This terminal (TERM=dumb) cannot show the class; --json prints it" in capsys.readouterr().err


def test_the_line_mode_explains_a_step(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """What the bench shows one step at a time, for those who hear it."""
    book = Logbook(logbook_path())
    live = book.start(record("tube", "20231114-hears"))
    crank_to(live, "tube")
    book.close()
    monkeypatch.setattr("sys.stdin", io.StringIO("h\n"))
    assert main(["crank", "20231114-hears", "--plain"]) == 0
    said = capsys.readouterr().out
    for label in ("Why: The tube tells", "Look for: ", "If not: Lost count?", "Careful: Hair, sleeves and fingers"):
        assert label in said


def test_the_verb_is_listed_and_explained(capsys: pytest.CaptureFixture[str]) -> None:
    assert "class" in VERBS
    assert main(["class", "--help"]) == 0
    assert "looking only" in capsys.readouterr().out
