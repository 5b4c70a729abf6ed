"""`hosewright plan`: what it keeps is what the bench would keep from the same lines."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Plan
from hosewright.places import logbook_path, shipped_folder

if TYPE_CHECKING:
    from collections.abc import Callable


@pytest.fixture(autouse=True)
def samples(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    """The sample sessions are in the logbook."""
    assert main(["logbook", "import", str(shipped_folder("sample_sessions"))]) == 0
    capsys.readouterr()


def plans() -> list[Plan]:
    book = Logbook.for_reading(logbook_path())
    try:
        return book.shelf(Plan)
    finally:
        book.close()


def told(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_a_wearer_s_measures_and_what_is_usual_fill_the_lines(
    typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", "--gauge", "signal 54", "--wearer", "helm", "--json"]) == 0
    said, made = told(capsys), plans()[-1]
    assert said["id"] == made.id
    assert (made.slots, made.wearer is not None, made.cuff is not None) == (54, True, True)
    assert made.foot_length_mm is not None
    assert made.leg_mm == pytest.approx(140, abs=0.1)  # as shown and read again: 5.51 in


def test_lines_are_asked_for_and_those_that_mean_nothing_are_not(
    typing: Callable[..., None], capsys: pytest.CaptureFixture[str]
) -> None:
    typing("signal", "148 mm", "", "none", "short", "none", "11 cm", "", "for the galley")
    assert main(["plan"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) < 80
    assert "“short” is not one of them" in out
    assert "offered: hung hem" in out
    made = plans()[-1]
    assert (made.name, made.cuff, round(made.leg_mm)) == ("for the galley", None, 110)
    assert made.tube_length_mm == pytest.approx(148)
    assert "Cuff rows" not in out
    assert "Feet with diabetes" in out
    assert f"hosewright start sock --plan {made.id}" in out


def test_a_try_keeps_nothing(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    before = len(plans())
    assert main(["plan", "--gauge", "signal", "--tube-length", "148 mm", "--cuff", "none", "--try"]) == 0
    assert "Foot: 50 ± 1 rows, ± 0.2 from the tape\n" in capsys.readouterr().out
    assert len(plans()) == before


def test_a_long_slit_is_asked_about(typing: Callable[..., None], capsys: pytest.CaptureFixture[str]) -> None:
    deep = ["plan", "--gauge", "signal", "--tube-length", "15 cm", "--deepen", "plain passes first", "--deeper", "12"]
    before = len(plans())
    assert main([*deep, "--json"]) == 2
    assert "--anyway keeps it" in capsys.readouterr().err
    assert len(plans()) == before
    assert main([*deep, "--anyway", "--json"]) == 0
    assert plans()[-1].extra_heel_passes > 0


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["--gauge", "plum"], "No gauge is like that; the newest is Signal Stripe / 54 slots"),
        (["--gauge", "signal", "--tube-length", "soon"], "The tube length “soon” does not start with a number"),
        (["--gauge", "signal", "--leg", "14 cm"], "Type the tube of a sock that fits, or the length of the foot"),
        (["--wearer", "nobody"], "No wearer on the shelf has that name."),
        (["--cuf", "hem"], "Did you mean --cuff?"),
    ],
)
def test_what_is_wrong_is_one_sentence(
    typing: Callable[..., None], argv: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", *argv, "--json"]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert err.count("\n") == 1
