"""Gauges of the logbook by option: the mean since a change, tubes left out, one tube alone, some days of the dial."""

from __future__ import annotations

import io
import json
from random import Random
from typing import Any

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.find.yarns import yarn_card
from hosewright.logbook.records.shelf import Plan, Yarn
from hosewright.logbook.ways import prepare, take_in
from hosewright.phrases.times import DAY_MS
from hosewright.places import logbook_path
from hosewright.planning.gauges import PlanShelf
from hosewright.verbs.sock import gauge_named
from tests.helpers import START_MS, machine, past_tube

OTHER = machine().model_copy(update={"id": "other-machine", "name": "Other machine"})


@pytest.fixture(autouse=True)
def tubes() -> None:
    """A tube a fortnight on each of two machines; on the first the yarn loosens after the ninth."""
    chance = Random(4)
    every = []
    for n in range(18):
        at, dial = START_MS + 14 * n * DAY_MS, 28 if n % 4 == 3 else 26
        rate = (10.3 if n < 9 else 9.9) + chance.gauss(0, 0.02)
        every.append(past_tube(f"20231114-one-{n:02d}", at, rate if dial == 26 else rate - 0.5, dial=dial))
        every.append(past_tube(f"20231114-two-{n:02d}", at, 10.6 + chance.gauss(0, 0.02), on=OTHER))
    book = Logbook(logbook_path())
    take_in(book.store, [prepare(*one) for one in every])
    book.close()


def _told(capsys: pytest.CaptureFixture[str], *argv: str) -> dict[str, Any]:
    assert main([*argv, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def _refused(capsys: pytest.CaptureFixture[str], *argv: str) -> str:
    assert main(list(argv)) == 2
    return capsys.readouterr().err


SOCK = ("sock", "--tube-length", "15 cm")


def test_a_sock_of_the_mean_since_the_change(capsys: pytest.CaptureFixture[str]) -> None:
    gauge = _told(capsys, *SOCK, "--gauge", "grey bench")["gauge"]
    assert (gauge["slots"], gauge["dial"]) == (60, 26)
    assert gauge["rows_per_in"] == pytest.approx(9.9, abs=0.03)
    assert all(f"20231114-one-{n:02d}" in gauge["tubes"] for n in (10, 12, 13, 14, 16, 17))
    assert "20231114-one-07" not in gauge["tubes"]
    assert _told(capsys, *SOCK, "--gauge", "other")["gauge"]["rows_per_in"] == pytest.approx(10.6, abs=0.03)
    fewer = _told(capsys, *SOCK, "--gauge", "grey bench", "--leave-out", "1, 2")["gauge"]["tubes"]
    assert fewer == gauge["tubes"][:-2]
    alone = _told(capsys, *SOCK, "--gauge", "20231114-one-17")["gauge"]
    assert alone["tubes"] == ["20231114-one-17"]
    assert alone["rows_per_in_tape_error"] > gauge["rows_per_in_tape_error"]
    how = "To leave some of them out, type their numbers: --leave-out “1, 3”."
    assert main([*SOCK, "--gauge", "grey bench"]) == 0
    said = capsys.readouterr().out
    assert "The gauge is the mean of " in said
    assert how in said
    assert main([*SOCK, "--gauge", "grey bench", "--leave-out", "1"]) == 0
    said = capsys.readouterr().out
    assert "left out" in said
    assert how not in said
    assert "No older ones: the gauge changed between " in said


def test_card_and_plans_say_alike_how_far_tubes_differ() -> None:
    """By all of the yarn that repeat, on either machine: not by those of the gauge taken alone."""
    book = Logbook.for_reading(logbook_path())
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    card = yarn_card(book, book.shelf(Yarn)[0], 1.0)
    ours, theirs = (gauge_named(shelf, on, "in") for on in ("grey bench", "other"))
    told = [shelf.knit(name) for name in (ours, theirs)]
    assert [one.spread if one else None for one in told] == [card.spread, card.spread]
    fewer = shelf.knit(theirs, shelf.left_out(theirs, "1"))
    book.close()
    assert fewer is not None
    assert fewer.spread.tubes == card.spread.tubes - 1


def test_a_gauge_of_a_renamed_yarn_is_found_by_either_name(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shelf", "change", "yarn", "Grey", "--name", "Fog"]) == 0
    capsys.readouterr()
    told = [_told(capsys, *SOCK, "--gauge", words)["gauge"] for words in ("fog other", "grey other")]
    assert told[0] == told[1]


def test_slips_are_met_with_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert "type numbers from 1 to" in _refused(capsys, *SOCK, "--gauge", "other", "--leave-out", "99")
    assert "this gauge is of one tube" in _refused(capsys, *SOCK, "--gauge", "20231114-one-17", "--leave-out", "1")
    assert "No gauge is like that; the newest is Grey" in _refused(capsys, *SOCK, "--gauge", "purple")
    assert "not both" in _refused(capsys, *SOCK, "--gauge", "other", "--slots", "60")
    assert "Type --gauge" in _refused(capsys, *SOCK)
    assert "Type --stitches-per-in" in _refused(capsys, *SOCK, "--slots", "60", "--rows-per-in", "10")
    assert "Type --tubes" in _refused(capsys, "response", "--rows-per-in", "10")


def test_a_plan_leaves_tubes_out_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "--gauge", "other", "--leave-out", "18", "--tube-length", "15 cm", "--anyway"]) == 0
    assert "The gauge is the mean of 17 tubes:" in capsys.readouterr().out
    book = Logbook.for_reading(logbook_path())
    (plan,) = book.shelf(Plan)
    book.close()
    assert "20231114-two-00" not in plan.made_from
    assert len(plan.made_from) == 17


def test_the_response_takes_the_tubes_since_the_change_or_those_of_some_days(
    capsys: pytest.CaptureFixture[str],
) -> None:
    now = _told(capsys, "response", "--gauge", "grey bench", "--rows-per-in", "9.9")
    assert now["clicks"] == 26
    before = _told(capsys, "response", "--gauge", "grey bench", "--days", "2023 to Feb 2024", "--rows-per-in", "10.3")
    assert before["clicks"] == 26
    across = _refused(capsys, "response", "--gauge", "grey bench", "--days", "2023 to 2024", "--rows-per-in", "10")
    assert "no answer lies between the two" in across


def test_a_card_dates_the_change_on_the_machine_it_happened_on(capsys: pytest.CaptureFixture[str]) -> None:
    (change,) = _told(capsys, "logbook", "yarn", "grey")["changes"]
    assert (change["machine"], change["slots"], change["dial"]) == ("Bench machine", 60, 26)
    assert change["rows_per_in_after"] - change["rows_per_in_before"] == pytest.approx(-0.4, abs=0.06)
    assert change["p"] < 0.001
    assert main(["logbook", "yarn", "grey"]) == 0
    said = capsys.readouterr().out
    assert "## Gauge on 60 slots, Bench machine" in said
    assert "**Changed between " in said
    assert "## Before that, by year" in said


def test_the_names_to_pick_from_stand_below_one_another(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    book = Logbook.for_writing(logbook_path(), "a test")
    later = [past_tube(f"20241114-more-{n:02d}", START_MS + (400 + n) * DAY_MS, 9.9) for n in range(12)]
    take_in(book.store, [prepare(*one) for one in later])
    book.close()
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    assert main(["plan", "--try"]) == 2
    listed = [line for line in capsys.readouterr().out.splitlines() if "Grey / " in line]
    assert len(listed) > 9
    assert {line.index("Grey / ") for line in listed} == {4}
