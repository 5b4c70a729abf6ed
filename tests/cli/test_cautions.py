"""What to be careful of in the line mode, and what the commands say of feet at risk."""

from __future__ import annotations

import io

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.places import logbook_path
from hosewright.session.steps.said import CRANKING, FEET_AT_RISK, PAIN
from tests.helpers import record


def test_the_line_mode_says_each_once(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    book = Logbook(logbook_path())
    book.start(record("tube", "20231114-lines"))
    book.close()
    monkeypatch.setattr("sys.stdin", io.StringIO("ok\n" * 4 + "\n" * 10 + "ok\n" * 2))
    assert main(["crank", "20231114-lines", "--plain"]) == 0
    said = capsys.readouterr().out.replace("\n ", " ")
    assert said.count(CRANKING) == said.count(PAIN) == said.count("clamp it to the table") == 1


FOOT = ["--foot-length", "25 cm"]
GAUGE = ["--slots", "60", "--rows-per-in", "10.3", "--stitches-per-in", "8"]


@pytest.mark.parametrize(
    "argv",
    [
        ["sock", *GAUGE, *FOOT],
        ["cylinders", *GAUGE, "--cylinders", "54,80", "--girth", "24 cm"],
        ["sizes", *GAUGE, "--cylinders", "54,80"],
        ["feet", *FOOT],
    ],
)
def test_commands_call_no_ease_safe_for_feet_at_risk(argv: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(argv) == 0
    assert FEET_AT_RISK in capsys.readouterr().out
