"""``hosewright why``: what to look at, by how faults lie; asked line by line; what helped is kept and travels."""

from __future__ import annotations

import io
import json
from contextlib import closing
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.logbook.accounts.troubles import tried_on
from hosewright.logbook.book import Logbook
from hosewright.places import logbook_path
from hosewright.session import events as ev
from tests.bench.stage import MACHINE, Ticking, begin_tube, do, stock

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.records.year import Tried


@pytest.fixture(autouse=True)
def last() -> str:
    """Three sessions with a drop at needle 17 in each; the id of the last."""
    book = Logbook(logbook_path(), Ticking())
    stock(book)
    for row in (12, 33, 47):
        live = begin_tube(book)
        do(live, [*[ev.Confirmed()] * 4, *[ev.Pressed()] * 8, ev.Confirmed(), ev.Confirmed(), *[ev.Pressed()] * row])
        do(live, [ev.Observed("dropped", 17), *[ev.Pressed()] * (50 - row)])
    book.close()
    return live.record.id


def told(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> str:
    assert main(["why", *argv]) == code
    heard = capsys.readouterr()
    assert "Traceback" not in heard.err
    return heard.err if code else heard.out


def facts(capsys: pytest.CaptureFixture[str], *argv: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told(capsys, *argv, "--json"))
    return found


def tried() -> list[Tried]:
    book = Logbook(logbook_path())
    try:
        return tried_on(book, MACHINE.id)
    finally:
        book.close()


def test_the_needle_is_named_by_session_by_machine_and_without_either(
    capsys: pytest.CaptureFixture[str], last: str
) -> None:
    out = told(capsys)
    assert out == told(capsys, last) == told(capsys, "attic")
    lines = out.splitlines()
    assert lines[0] == "The attic machine, Sixty-four: dropped stitches"
    assert lines[2].startswith("Needle 17: 3 of 3 that name a needle. By chance alone: about 1 in")
    assert "1. Look at the latch and the hook of needle 17 [needle]" in lines
    assert max(map(len, lines)) <= 79


def test_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    found = facts(capsys)
    assert (found["machine"], found["seen"], found["noted"], found["sessions"]) == ("attic", "dropped", 3, 3)
    (lie,) = found["lies"]
    assert (lie["kind"], lie["needles"], lie["hits"], lie["of"]) == ("needle", [17], 3, 3)
    assert lie["odds"] == pytest.approx(1 / 64**2)  # three of three at any one needle
    assert [one["id"] for one in found["checks"][:3]] == ["needle", "move-needle", "slots"]
    assert found["checks"][-1]["id"] == "cams"
    assert facts(capsys, "--seen", "a stiff crank")["too_few"]


def test_what_came_of_a_check_is_kept_by_options(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, "attic", "--check", "weights", "--answer", "that was it") == "Saved.\n"
    assert told(capsys, "attic", "--check", "needle", "--answer", "no") == "Saved.\n"
    assert told(capsys, "attic", "--check", "cams", "--answer", "not now").startswith("The attic machine")
    assert [(one.symptom, one.check, one.outcome) for one in tried()] == [
        ("dropped", "needle", "not"),
        ("dropped", "weights", "helped"),
    ]
    checks = facts(capsys)["checks"]
    assert (checks[0]["id"], checks[0]["helped"]) == ("weights", 1)
    assert (checks[-1]["id"], checks[-1]["lately_no"]) == ("needle", True)
    assert [one["helped"] for one in facts(capsys, "--seen", "tucked stitches")["checks"]] == [0] * 9


def test_a_moved_needle(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Needles" not in told(capsys, "--needle", "17", "--to", "65", code=2)
    assert told(capsys, "--needle", "17", "--to", "40") == "Saved.\n"
    assert "The needle of slot 17 is in slot 40 since" in told(capsys)
    assert facts(capsys)["moved"] == {"from": 17, "to": 40}
    assert told(capsys, "--went", "at neither") == "Saved.\n"
    assert (tried()[0].outcome, tried()[0].needle, tried()[0].to) == ("gone", 17, 40)
    assert "No needle waits for an answer" in told(capsys, "--went", "at neither", code=2)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("nobody",), "No machine on the shelf has that name"),
        (("2026nothing",), "There is no session"),
        (("--seen", "gremlins"), "is not one of them: Seen takes"),
        (("--check", "weights"), "Say what came of that check"),
        (("--answer", "no"), "Say which check that was"),
        (("--to", "40"), "From slot is needed"),
    ],
)
def test_what_cannot_be_used_is_said(typed: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert said in told(capsys, *typed, code=2)
    assert tried() == []


def test_asked_line_by_line_each_answer_is_kept_at_once(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("\nno\nperhaps\n\nyes\n"))
    out = told(capsys, "--ask")
    assert "“perhaps” is not one of them" in " ".join(out.split())
    assert "Saved." in out
    assert [(one.check, one.outcome) for one in tried()] == [("slots", "helped"), ("needle", "not")]
    monkeypatch.setattr("sys.stdin", io.StringIO("ladder\nno\n"))  # and nobody types any more
    told(capsys, "--ask", code=2)
    assert (tried()[0].symptom, tried()[0].check) == ("ladder", "needle")


def test_what_helped_leaves_and_comes_in_and_is_merged(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told(capsys, "--check", "weights", "--answer", "yes")
    (one,) = tried()
    for how in ("export", "merge"):
        here = logbook_path()
        folder = tmp_path / how
        if how == "export":
            assert main(["logbook", "export", "--folder", str(folder)]) == 0
            source = str(folder)
        else:
            source = str(here)
        with monkeypatch.context() as elsewhere:
            elsewhere.setenv("HOSEWRIGHT_HOME", str(tmp_path / f"{how}-home"))
            assert main(["logbook", "import" if how == "export" else "merge", source]) == 0
            assert tried() == [one]
    capsys.readouterr()


def test_a_report_on_many_faults_proposes_it(capsys: pytest.CaptureFixture[str], last: str) -> None:
    def report() -> str:
        assert main(["logbook", "report", last]) == 0
        return capsys.readouterr().out

    assert "looks for why" not in report()
    with closing(Logbook(logbook_path(), Ticking())) as book:
        do(book.take_up(last), [ev.Observed("tuck", 3), *[ev.Observed("dropped")] * 3, ev.Observed("knot")])
    assert f"It went wrong 5 times: `hosewright why {last}`, or k on the bench, looks for why." in report()
