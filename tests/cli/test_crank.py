"""The line mode: what is typed into a pipe is what is stored."""

from __future__ import annotations

import io
import sys
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.places import logbook_path, settings_path
from hosewright.session.events import Confirmed, Pressed
from tests.helpers import FakeClock, crank_to, drive, head, record

if TYPE_CHECKING:
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind

ID = "20231114-test"


class Bench:
    """A session begun, lines typed at it, and where it then stands in the logbook."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        self.monkeypatch, self.capsys = monkeypatch, capsys

    def begin(self, kind: SessionKind, step: str) -> None:
        logbook_path().unlink(missing_ok=True)
        book = Logbook(logbook_path(), FakeClock())
        crank_to(book.start(record(kind, ID)), step)
        book.close()

    def type(self, *lines: str) -> list[str]:
        self.monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        assert main(["crank", "20231114", "--plain"]) == 0
        heard = self.capsys.readouterr()
        assert heard.err == ""
        assert max(map(len, heard.out.splitlines())) < 80
        return heard.out.replace("\n ", " ").splitlines()

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
    said = bench.type("", "", "-", "")
    assert said[-6:] == [
        "gauge tube, 1 of 30 rows done",
        "2 of 30",
        "Undone: row 2. The row is still on the machine; if you pulled it back, use rehang.",
        "gauge tube, 1 of 30 rows done",
        "2 of 30",
        "Left at: gauge tube, 2 of 30 rows done. Everything is saved.",
    ]
    assert bench.state.count == 2


def test_presses_as_fast_as_a_pipe_are_never_doubtful(bench: Bench) -> None:
    bench.begin("tube", "tube")
    bench.type(*[""] * 30)
    assert (bench.state.count, bench.state.doubted) == (30, 0)


def test_the_target_and_what_goes_past_it_are_said(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type(*[""] * 32)
    assert "27 of 30. In 3 rows: join the separator yarn" in said
    assert "gauge tube, all 30 rows done: ok goes on" in said
    longer = "A longer tube is just as good: its gauge is worked out from all 31 rows."
    assert f"31 of 30, 1 too many: ok goes on. {longer}" in said
    assert "32 of 30, 2 too many: ok goes on" in said


def test_the_heel_says_which_needle_moves(bench: Bench) -> None:
    bench.begin("sock", "heel")
    said = bench.type(*[""] * 42)
    assert "26 down right. 31" in said
    turn = said.index("21 down right. 21. Now: needles begin to come down")
    assert said[turn - 3].endswith("In 3 passes: needles begin to come down")
    assert "heel, all 40 passes done: ok goes on" in said
    assert "42 of 40, 2 too many: ok goes on" in said


def test_a_step_says_nothing_twice(bench: Bench) -> None:
    bench.begin("tube", "dial-start")
    said = bench.type(*["ok"] * 4, *[""] * 10, "ok", "ok")
    assert said[1].startswith("Set the dial to 6 1/2 turns below zero.")
    assert sum("clamp it to the table" in line for line in said) == 1
    assert "Join the working yarn: Cut the separator yarn, tie in the working yarn" in "\n".join(said)
    assert sum("separator before, 0 of 8 rows done" in line for line in said) == 1


@pytest.mark.parametrize("kind", ["search", "tube", "sock"])
def test_no_step_opens_by_saying_its_name_twice(bench: Bench, kind: SessionKind) -> None:
    for step in head(kind).steps[: 7 if kind == "search" else None]:  # a search goes no further without verdicts
        bench.begin(kind, step.id)
        first = bench.type()[1]
        title = step.title.casefold()
        assert first.casefold().count(title) < 2, first
        assert not first.casefold().startswith(f"{title}: {title.split()[0]}"), first


def test_going_on_short_and_at_the_end(bench: Bench) -> None:
    bench.begin("tube", "separator-in")
    said = bench.type("ok", *[""] * 8, "ok", "ok short", "q", "")
    assert "0 of 8 rows are done; type ok short to go on with 8 still to do." in said
    assert "separator before, all 8 rows done: ok goes on" in said
    assert "All rows are done; type ok to go on." in said
    assert said[-1] == "Left at: join the working yarn. Everything is saved."
    assert bench.state.step is not None
    assert bench.state.step.id == "join"
    bench.type("ok", "ok", "y", "ok now", "ok short")
    assert bench.state.step.id == "part"
    assert [s.fault for s in bench.state.observations] == ["split"]  # a y behind that question is still split yarn


def test_enter_never_goes_on_to_another_step(bench: Bench) -> None:
    bench.begin("tube", "join")
    said = bench.type("", "")
    assert said.count("There is nothing to count in this step. ok goes on.") == 2
    assert bench.state.step is not None
    assert bench.state.step.id == "join"


def test_a_search_in_lines(bench: Bench) -> None:
    bench.begin("search", "trial")
    said = bench.type("d", "", "d", "", "n", "", "s", "-", "s")
    assert "Crank at least one full row at this position first." in said
    assert "row 1, dial at 6 1/2 turns below zero" in said
    undone = said.index("Undone: verdict “stayed up” at 6 turns below zero. Turn the dial back to 6 turns below zero.")
    assert said[undone + 1] == "row 1, dial at 6 turns below zero"
    assert any(line.startswith("First draw the work down by hand") for line in said)
    assert bench.state.baseline == 28
    assert [trial.verdict for trial in bench.state.trials] == ["drop", "unsure", "stay"]


def test_a_verdict_takes_no_words(bench: Bench) -> None:
    bench.begin("search", "trial")
    said = bench.type("", "n a note", "d 23", "ok")
    assert "In this step n takes nothing after it, so nothing was done: leave out “a note”." in said
    assert "In this step d takes nothing after it, so nothing was done: leave out “23”." in said
    assert any("does nothing in this step" in line for line in said)
    assert bench.state.trials == []


def test_a_stopped_search_begins_again(bench: Bench) -> None:
    bench.begin("search", "trial")
    said = bench.type("z", "", "g 7 1/2", "", "x", "ok", "", "d", "w", "y")
    assert any(line.startswith("Stop now, and never force the crank.") for line in said)
    assert any(line.endswith("ok starts the search again.") for line in said)
    assert "row 1, dial at 7 1/2 turns below zero" in said
    assert "Weights or tension changed? Then no trial counts. y or n." in said
    assert [trial.void for trial in bench.state.trials] == [True, True, True]
    assert bench.state.search.position == 24  # w starts again where the dial belongs after the last verdict


def test_a_bare_reading_is_the_one_that_is_asked_for(bench: Bench) -> None:
    bench.begin("tube", "after-wash")
    said = bench.type("73 mm", "", "94 mm", "93,5 mm", "strike", "ok")
    assert [(one.field, one.value, one.struck) for one in bench.state.readings] == [
        ("length", 73, False),
        ("width", 94, False),
        ("width", 93.5, True),
    ]
    assert "Next: Flat width." in said


def test_measuring(bench: Bench) -> None:
    bench.begin("tube", "after-wash")
    said = bench.type(
        "m length 2 7/8 in", "m length 28.75", "x", "m length 2.9", "m width 4 kg", "m depth 3", "m width 3 3/4",
        "m mass 5.2 g", "m on-foot right", "m on-foot purple", "x", "x 3", "ok",
    )  # fmt: skip
    assert any(line.startswith("Length of the working rows: 2 7/8 in. Another, or Enter") for line in said)
    assert any("10.0 times larger" in line and "x strikes it out" in line for line in said)
    assert "Struck out: Length of the working rows 28.75. undo takes that back." in said
    assert any("“4 kg” has a unit that does not fit" in line for line in said)
    assert "Type m, one of length, width, stretched, mass, on-foot, and the reading." in said
    assert any(line.startswith("Mass, separator yarn trimmed off: 5.2 g.") for line in said)
    assert "Type one of: loose, right, tight." in said
    assert bench.state.values("length") == pytest.approx([73.025, 73.66])
    assert bench.state.values("on-foot") == []  # x struck the last reading
    assert bench.state.status == "finished"


@pytest.mark.parametrize(("width", "doubted"), [("3 3/4", False), ("7 1/2", True)])
def test_a_finished_tube_says_when_its_gauge_looks_wrong(bench: Bench, width: str, doubted: bool) -> None:
    bench.begin("tube", "after-wash")
    rows = bench.state.count_of("tube")
    said = "\n".join(bench.type(f"m length {rows * 0.095:.2f} in", f"m width {width}", "ok"))
    assert "10.53 rows" in said  # 1 / 0.095
    assert ("where a plain washed tube gives about 1.3" in said) is doubted
    assert ("back goes back to the readings." in said) is doubted
    assert ("Plan a sock from it next." in said) is not doubted


def test_nothing_measured_is_asked_about(bench: Bench) -> None:
    bench.begin("tube", "before-wash")
    said = bench.type("x", "ok", "m raw-length 4", "n", "ok", "yes")
    assert "There is no reading here to strike out." in said
    assert said.count("Nothing was measured here. Go on? y or n.") == 3
    assert bench.state.step is not None
    assert bench.state.step.id == "wash"
    assert not bench.state.readings


def test_faults_are_noted_at_their_row(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type(
        "", "d 5 by the seam", "o sang", "k", "del", "t 500", "t", "", "n wool smells", "c", "7", "7", "e"
    )
    assert any(line.startswith("Noted: dropped stitch, needle 5, row 1 (undo takes it back).") for line in said)
    assert any("takes nothing after it" in line for line in said)
    assert any(line.startswith("Needles here are numbered 1 to 60. Nothing is noted yet") for line in said)
    assert "“7” does nothing in this step, so nothing was changed; help says what does." in said
    assert said[-2] == "Gauge tube, row 2: colour change, needle 7"
    dropped, knot, tuck, note, colour = bench.state.observations
    assert (dropped.fault, dropped.needle, dropped.note, dropped.count) == ("dropped", 5, "by the seam", 1)
    assert (knot.fault, knot.struck, dropped.struck) == ("knot", True, False)
    assert (tuck.needle, note.note, colour.needle, bench.state.count) == (None, "wool smells", 7, 2)


def test_recount_pause_and_what_does_nothing(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type("= 12 lost count", "p", "", "p", "p", "= many", "=", "zz", "m length 3", "l", "g", "g 7 turns")
    assert "The count is corrected to 12: gauge tube, 12 of 30 rows done" in said
    assert "Paused. The next row goes on." in said
    assert "Going on: gauge tube, 13 of 30 rows done" in said
    assert "Going on: gauge tube, 13 of 30 rows done." in said
    assert any("“many”" in line for line in said)
    assert "The counter is really at (and why): type it after the word: recount 37 lost count" in said
    assert "“zz” does nothing in this step, so nothing was changed; help says what does." in said
    assert "“m” does nothing in this step: it is “save it” while measuring." in said
    assert "l only changes what the bench's screen shows; it does nothing here." in said
    assert "Noted: the dial stands at 7 turns below zero (undo takes it back)." in said
    assert (bench.state.count, bench.state.dial, bench.state.paused) == (13, 28, False)


def test_hung_again_and_a_step_back(bench: Bench) -> None:
    bench.begin("sock", "foot")
    said = bench.type("", "", "r 1", "r leg 5", "y", "where", "b")
    assert "Hung again at row 1 of “Foot”: foot, 1 of 22 rows done" in said
    assert said.count("leg, 5 of 9 rows done") == 2
    assert "Back to the step before; its count is as it was. undo takes that back." in said
    assert bench.state.count_of("leg") == 5


def test_a_part_is_named_as_it_is_shown(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type("r nowhere 3", "r Separator before 5", "y")
    assert "Type a row number, or a part and a row. The parts: separator before, gauge tube." in said
    assert "separator before, 5 of 8 rows done. In 3 rows: join the working yarn" in said


def test_help_says_the_letters_of_the_step_only(bench: Bench) -> None:
    bench.begin("tube", "join")
    lines = bench.type("?")
    assert sum(line.startswith("Join the working yarn") for line in lines) == 1
    here = "\n".join(lines)
    assert "ok: This step is done; go on to the next." in here
    assert "dropped" not in here
    assert "Enter alone" not in here
    bench.type("ok")
    there = "\n".join(bench.type("?"))
    assert "Enter alone: Count one row" in there
    assert "(d 23 latch bent): d dropped stitch, t tuck, y split yarn" in there
    assert "Space" not in there


def test_a_session_is_given_up_after_asking_and_taken_up(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type("a", "n", "a", "", "a", "y", "", "q")
    assert said.count("Give this session up? It can be taken up again. y or n.") == 3
    assert "gauge tube, 1 of 30 rows done" in said
    assert any(line.endswith("ok takes it up again.") for line in said)
    assert bench.state.abandoned
    bench.type("ok", "")
    assert not bench.state.abandoned
    assert bench.state.count == 2


def test_other_open_sessions_are_named(bench: Bench) -> None:
    bench.begin("tube", "tube")
    assert "No other session is open." in bench.type("o")
    book = Logbook(logbook_path(), FakeClock())
    book.start(record("search", "20231113-more"))
    book.close()
    assert "20231113-more: A search" in bench.type("o")


def test_a_letter_moved_in_the_settings_is_moved_here_too(bench: Bench) -> None:
    settings_path().parent.mkdir(parents=True, exist_ok=True)
    settings_path().write_text('[keys]\nleave_out = "f2"\npause = "j"\n', encoding="utf-8")
    bench.begin("tube", "tube")
    said = bench.type("p", "j")
    assert "“p” does nothing in this step, so nothing was changed; help says what does." in said
    assert bench.state.paused


def test_a_line_too_long_does_nothing(bench: Bench) -> None:
    bench.begin("tube", "tube")
    said = bench.type("n " + "x" * 600)
    assert any("longer than 500 characters" in line for line in said)
    assert not bench.state.observations


def test_crank_needs_the_plain_mode_and_a_session(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["crank", ID]) == 2
    assert "Add --plain" in capsys.readouterr().err
    assert main(["crank", ID, "--plain"]) == 2
    assert "There is no logbook at" in capsys.readouterr().err


def test_passes_past_the_plan_are_asked_about(bench: Bench) -> None:
    bench.begin("sock", "heel")
    said = bench.type(*[""] * 41, "ok", "n", "ok", "y")
    assert said.count("41 of 40 passes, 1 more than planned. Go on? y or n.") == 2
    assert "41 of 40, 1 too many: ok goes on" in said
    assert bench.state.step is not None
    assert bench.state.step.id == "heel-lower"


def test_a_twin_is_told_of_a_heel_left_short_and_where_it_differs(bench: Bench) -> None:
    logbook_path().unlink(missing_ok=True)
    book = Logbook(logbook_path(), FakeClock())
    first = book.start(record("sock", "20231113-first"))
    crank_to(first, "heel")
    drive(first, [Pressed()] * 32 + [Confirmed(early=True)])
    crank_to(first, "graft")
    twin = book.start(record("sock", ID).model_copy(update={"twin_of": "20231113-first"}))
    crank_to(twin, "heel-pull")
    book.close()
    short = "The first sock's heel was left short at 32 passes; this one's is planned whole, with 40."
    assert short in bench.type("where")
    book = Logbook(logbook_path(), FakeClock())
    crank_to(book.take_up(ID), "part")
    book.close()
    assert "Heel: 40 passes, 8 more than the first." in bench.type("where")


def test_a_finished_sock_says_what_it_came_to(bench: Bench) -> None:
    bench.begin("sock", "try-on")
    said = bench.type("m fit tight", "ok")
    assert "Cranked: Leg 9, Heel 40, Foot 22, Toe 40." in said
    assert any(line.startswith("On the foot: round tight.") for line in said)
