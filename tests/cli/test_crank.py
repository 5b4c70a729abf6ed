"""The line mode: what is typed into a pipe is what is stored."""

from __future__ import annotations

import io
import sys
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.places import logbook_path
from hosewright.session.events import Abandoned
from tests.helpers import FakeClock, crank_to, drive, record

if TYPE_CHECKING:
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind

ID = "20231114-test"


class Bench:
    """A session begun, lines typed at it, and where it then stands in the logbook."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.monkeypatch, self.capsys = monkeypatch, capsys

    def begin(self, kind: SessionKind, step: str, *, given_up: bool = False) -> None:
        book = Logbook(logbook_path(), FakeClock())
        live = book.start(record(kind, ID))
        crank_to(live, step)
        if given_up:
            drive(live, Abandoned())
        book.close()

    def type(self, *lines: str) -> list[str]:
        self.monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        assert main(["crank", "20231114", "--plain"]) == 0
        heard = self.capsys.readouterr()
        assert heard.err == ""
        return heard.out.splitlines()

    @property
    def state(self) -> State:
        book = Logbook(logbook_path())
        try:
            return book.state(book.store.find(ID))
        finally:
            book.close()


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Bench:
    return Bench(monkeypatch, capsys)


def test_enter_counts_one_line_a_press(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type("", "", "b", "")
    assert said[-5:] == [
        "gauge tube, row 1 of 30",
        "gauge tube, row 2 of 30",
        "taken back: gauge tube, row 1 of 30",
        "gauge tube, row 2 of 30",
        "Left at: gauge tube, row 2 of 30. Everything is stored.",
    ]
    assert bench.state.count == 2


def test_the_heel_says_which_needle_moves(bench: Bench) -> None:
    bench.begin("sock", "heel")
    said = bench.type(*[""] * 30)
    assert "heel, pass 31 of 48: carrier on the left, needle 28 comes down on the right" in said


def test_going_on_early_and_at_the_end(bench: Bench) -> None:
    bench.begin("tube", "separator-in")
    said = bench.type("g", *[""] * 10, "g", "q", "")
    assert "10 of 10" not in said[0]
    assert "0 of 10 rows are counted, 10 to go. g early leaves it there on purpose." in said
    assert "separator before, row 10 of 10, all done: g goes on" in said
    assert said[-1] == "Left at: join the working yarn. Everything is stored."
    assert bench.state.step is not None
    assert bench.state.step.id == "join"
    bench.type("g", "g early")
    assert bench.state.step.id == "part"


def test_a_search_in_lines(bench: Bench) -> None:
    bench.begin("search", "trial")
    said = bench.type("d", "", "D", "", "n", "", "s", "g")
    assert "Crank at least one full row at this position first." in said
    assert "row 1 with the dial 8 turns below zero" in said
    assert any(line.startswith("Stop: they stayed up") for line in said)
    assert bench.state.baseline == 34
    assert [trial.verdict for trial in bench.state.trials] == ["drop", "unsure", "stay"]


def test_a_stopped_search_begins_again(bench: Bench) -> None:
    bench.begin("search", "trial")
    said = bench.type("stiff", "", "v 7 1/2", "")
    assert any(line.startswith("Stop now and never force the crank.") for line in said)
    assert said[-2] == "row 1 with the dial 7 1/2 turns below zero"
    assert bench.state.search.position == 30
    assert bench.state.trials[0].void


def test_measuring(bench: Bench) -> None:
    bench.begin("tube", "after-wash")
    said = bench.type(
        "m length 4 1/2 in", "m length 4.6", "m width 4 kg", "m depth 3", "m width 4 1/4", "m mass 11 g",
        "m on-foot right", "m on-foot purple", "x", "g",
    )  # fmt: skip
    assert "Length of the working rows: 4 1/2 in, reading 1" in said
    assert any("“4 kg” has a unit that does not fit" in line for line in said)
    assert "Type m, one of length, width, stretched, mass, on-foot, and the reading." in said
    assert "Mass, separator yarn trimmed off: 11 g" in said
    assert "Type one of: loose, right, tight." in said
    assert bench.state.values("length") == pytest.approx([114.3, 116.84])
    assert bench.state.values("on-foot") == []  # x struck the last reading
    assert bench.state.status == "finished"


def test_faults_are_noted_at_their_row(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type("", "o dropped 5 by the seam", "o sang", "o knot", "x", "o tuck 500")
    assert "noted: dropped stitch, needle 5, at gauge tube, row 1 of 30" in said
    assert any(line.startswith("Type o and one of dropped, tuck") for line in said)
    assert "Needles here are numbered 1 to 72." in said
    first, second = bench.state.sightings
    assert (first.fault, first.needle, first.note, first.count, first.struck) == ("dropped", 5, "by the seam", 1, False)
    assert second.struck


def test_recount_pause_and_help(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type("r 12 lost count", "p", "", "p", "", "r many", "zz", "?", "w", "m length 3", "x", "g now")
    assert "gauge tube, row 12 of 30, paused" in said
    assert "Paused. Go on first." in said
    assert "going on: gauge tube, row 12 of 30" in said
    assert any("“many”" in line for line in said)
    assert "There is no letter “zz” here; ? says which there are." in said
    assert "Enter alone counts a row or pass." in said
    assert "There is nothing to measure in this step." in said
    assert "There is no reading and no fault to strike out." in said
    assert bench.state.count == 13


def test_a_session_given_up_is_taken_up(bench: Bench) -> None:
    bench.begin("tube", "tube", given_up=True)
    said = bench.type("", "u", "")
    assert "This session was given up; u takes it up again." in said
    assert bench.state.count == 1
    assert not bench.state.abandoned


def test_crank_needs_the_plain_mode_and_a_session(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["crank", ID]) == 2
    assert "Add --plain" in capsys.readouterr().err
    assert main(["crank", ID, "--plain"]) == 2
    assert "There is no logbook at" in capsys.readouterr().err
