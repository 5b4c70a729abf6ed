"""An evening in plain lines, from an empty logbook to a pair of socks, with slips of the hand; then through a pipe."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from typing import TYPE_CHECKING

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.places import logbook_path
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from tests.helpers import crank_to, record

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

    from hosewright.session.state import State

DROPS_FROM = 26  # clicks: where the stitches of this invented yarn begin to drop back
READINGS = {"length": ("148 mm", "147 mm", "149 mm"), "width": ("102 mm", "101,5 mm"), "mass": ("11.6 g",)}
SHELF = [
    *("1", "Attic", "four", "4", "", "done"),
    *("1", "the sixty", "6", "60", "done"),
    *("hlp", "shelf ad yarn Moss", "1", "Moss", "explain", "", "420 m/100g", "100 g", "done"),
    *("shelf add lot '17 B' --of Moss --pieces 3 --put-up ball",),
    *("shelf add wearer Baker --foot-length '252 mm' --girth '236 mm'",),
]


class Person:
    """Types what a knitter would, from where the work stands; ``typed`` is all of it."""

    def __init__(self) -> None:
        self.typed: list[str] = []
        self.slips = {
            "tube": ["", "", "undo", "undo", "tuck 99", "tuck", "99", "9", "recount 1 lost count", "zzz"],
            "sock": ["", "-", "back", "ok", "pause", "where", ""],
        }
        self._cranking = False
        self._ahead = list(SHELF)
        self._begun: list[str] = []

    def readline(self) -> str:
        line = self._ahead.pop(0) if self._ahead else self._next()
        self.typed.append(line)
        return f"{line}\n"

    def _next(self) -> str:
        book = Logbook.for_reading(logbook_path())
        try:
            lines = book.store.lines(newest=1)
            state = book.state(lines[0]) if lines else None
        finally:
            book.close()
        unfinished = state is not None and state.step is not None
        if self._cranking:
            if not unfinished:
                self._cranking = False
                return "leave"
            assert state is not None
            return self._at(state)
        if unfinished:
            self._cranking = True
            return "1"
        return self._begin()

    def _begin(self) -> str:
        """The next thing to do once what is on the machine is finished."""
        kind = ("search", "tube", "plan", "sock", "twin", "leave")[len(self._begun)]
        self._begun.append(kind)
        if kind == "search":
            self._ahead = ["7 turns", "done"]
        if kind == "plan":
            return "plan --gauge moss --wearer baker --cuff hem --leg '11 cm' --name 'Baker, Moss'"
        return {"tube": "start tube --rows 60"}.get(kind, kind)

    def _at(self, state: State) -> str:
        step, slips = state.step, self.slips.get(state.head.kind, [])
        if isinstance(step, CountRows | CountPasses):
            if slips and step.id in ("tube", "leg"):
                return slips.pop(0)
            return "ok" if state.count >= step.target else ""
        if isinstance(step, DialTrial):
            if state.search.found:
                return "ok"
            if not state.count:
                return ""
            return "dropped" if state.search.position >= DROPS_FROM else "s"
        if isinstance(step, Measure):
            lines: list[str] = []
            for field in step.fields:
                had = READINGS.get(field.id, ()) if step.id == "after-wash" else ()
                lines += had if had and not field.repeats else [*had, ""]
            self._ahead = [*lines[1:], "ok", *([] if any(lines) else ["y"])]
            return lines[0]
        return "ok"


def told(home: Path) -> list[tuple[str, str]]:
    """Kind and standing of every session in a home's logbook, the first begun first."""
    book = Logbook.for_reading(home / "logbook.sqlite")
    try:
        return [(line.kind, book.state(line).status) for line in sorted(book.lines(), key=lambda one: one.n)]
    finally:
        book.close()


DONE = [("search", "finished"), ("tube", "finished"), ("sock", "finished"), ("sock", "finished")]


def test_from_an_empty_logbook_to_a_pair(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    person = Person()
    monkeypatch.setattr(sys, "stdin", person)
    assert main(["--plain"]) == 0
    said = capsys.readouterr().out
    assert told(logbook_path().parent) == DONE
    assert max(map(len, said.splitlines())) < 80
    for heard in (
        "does not start with a number",
        "Did you mean add?",
        "Needles here are numbered 1 to 60. Nothing is noted yet",
        "none is noted yet. Which one?",
        "Needle 9 noted.",
        "Undone: row 2.",
        "Kept: Baker, Moss.",
        "Type a number, or help; Enter says them again.",
    ):
        assert heard in said.replace("\n ", " ").replace("\n", " ")

    home = tmp_path / "by a pipe"
    typed = "".join(f"{line}\n" for line in person.typed)
    done = subprocess.run(
        [sys.executable, "-m", "hosewright", "--plain"],
        input=typed,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env=os.environ | {"HOSEWRIGHT_HOME": str(home)},
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert told(home) == DONE


def test_measuring_is_gone_to_by_the_id(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(logbook_path())
    live = book.start(record("tube", "20231114-tubes"))
    crank_to(live, "tube")
    assert main(["measure", "20231114-tubes"]) == 2
    assert "A tube is not at its measuring: gauge tube, 0 of 30 rows done." in capsys.readouterr().err
    crank_to(live, "dry")
    book.close()
    for answer, code, status in (("no", 2, "waiting"), ("yes\n148 mm\n\n102 mm\nok", 0, "finished")):
        monkeypatch.setattr(sys, "stdin", io.StringIO(f"{answer}\n"))
        assert main(["measure", "20231114-tubes"]) == code
        assert told(logbook_path().parent) == [("tube", status)]
    assert "Length of the working rows: 148 mm" in capsys.readouterr().out.replace("5.83 in", "148 mm")
