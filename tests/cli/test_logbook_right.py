"""What was wrong with a session put right by command."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.places import logbook_path
from hosewright.session.events import Observed, ReadOff
from tests.helpers import FakeClock, crank_to, cylinder, machine, measure_tube, plan_of, record, yarn

if TYPE_CHECKING:
    from hosewright.logbook.records.sessions import SessionRecord

TUBE, SOCK, STRING = "20231114-tube", "20231115-sock", "20231116-string"


@pytest.fixture(autouse=True)
def _home() -> None:
    """A washed tube, a sock under way and a string, all of the grey."""
    book = Logbook(logbook_path(), FakeClock())
    book.keep(machine(), cylinder(60), yarn(), Yarn(id="twine-ab23", name="Twine"))
    book.keep(Machine(id="attic-cd45", name="Attic", clicks_per_turn=6))
    book.keep(Cylinder(id="fifty-four", name="Fifty-four", slots=54), Wearer(id="ana-ef67", name="Ana"))
    book.keep(Lot(id="lot-7", name="7", yarn="yarn-grey", grams=100, bought="2023-11-01"))
    book.keep(Promise(id="ana-pair", name="Ana, winter", yarn="yarn-grey", made="2023-11-01"))
    live = book.start(record("tube", TUBE))
    crank_to(live, "after-wash")
    measure_tube(live)
    assert live.do(ReadOff("length", 70.5)) is None  # what was typed was not kept
    crank_to(live, "none")
    crank_to(book.start(record("sock", SOCK)), "leg")
    book.start(record("string", STRING))
    book.close()


def _said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> str:
    assert main(["logbook", *argv]) == code
    heard = capsys.readouterr()
    assert "Traceback" not in heard.err
    return heard.out if code == 0 else heard.err


def _record(session: str) -> SessionRecord:
    book = Logbook.for_reading(logbook_path())
    try:
        return book.record(book.store.find(session))
    finally:
        book.close()


def test_every_part_of_the_start(capsys: pytest.CaptureFixture[str]) -> None:
    named = ["--yarn", "twine", "--machine", "Attic", "--cylinder", "fifty", "--wearer", "Ana"]
    out = _said(capsys, "correct", TUBE, *named, "--day", "4 Nov 2023", "--title", "The long one")
    assert "- the yarn was really Twine, not Grey" in out
    assert "- the cylinder was really Fifty-four (54 slots), not 60 slots" in out
    assert "- the day is really 4 Nov 2023, not 14 Nov 2023" in out
    assert "Its stitches are now worked out for 54 slots, not 60" in out
    assert "The dial stays as it was counted: 26 clicks below zero, on Attic 4 1/3 turns below zero." in out
    found = _record(TUBE)
    assert (found.yarn.name, found.machine.name, found.cylinder.slots, found.title) == (
        "Twine",
        "Attic",
        54,
        "The long one",
    )
    assert json.loads(_said(capsys, "show", TUBE, "--json"))["slots"] == 54
    report = _said(capsys, "report", TUBE)
    assert "The yarn was really Twine, not Grey, put right on " in report
    assert f"\n{TUBE}  4 Nov 2023" in _said(capsys, "find", "yarn:twine", "until:2023-11-05")
    assert "3 sessions, sound." in _said(capsys, "check")
    assert "Jan 2199 is still to come" in _said(capsys, "correct", TUBE, "--day", "1 Jan 2199", code=2)


def _found(capsys: pytest.CaptureFixture[str], *asked: str) -> list[str]:
    return [json.loads(line)["id"] for line in _said(capsys, "find", *asked, "--json").splitlines()]


def _ever(capsys: pytest.CaptureFixture[str], machine: str) -> int:
    assert main(["care", machine, "--json"]) == 0
    rows: int = json.loads(capsys.readouterr().out)["ever"]["rows"]
    return rows


def _used(capsys: pytest.CaptureFixture[str], yarn: str) -> dict[str, float]:
    assert main(["stock", yarn, "--json"]) == 0
    told = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    return {lot["name"]: lot["used_g"] for lot in told}


def test_another_machine_is_followed_by_gauge_care_and_finding(capsys: pytest.CaptureFixture[str]) -> None:
    assert (_ever(capsys, "Attic"), _found(capsys, "machine:attic")) == (0, [])
    before = _ever(capsys, machine().name)
    _said(capsys, "correct", TUBE, "--machine", "Attic")
    assert _ever(capsys, "Attic") > 0
    assert _ever(capsys, "Attic") + _ever(capsys, machine().name) == before
    assert _found(capsys, "machine:attic") == [TUBE]
    assert {one["machine"] for one in json.loads(_said(capsys, "yarn", "Grey", "--json"))["tubes"]} == {"Attic"}


def test_another_lot_is_followed_by_ledger_and_finding(capsys: pytest.CaptureFixture[str]) -> None:
    assert (_used(capsys, "Grey"), _found(capsys, "lot:7")) == ({"7": 0.0}, [])
    _said(capsys, "correct", TUBE, "--lot", "7")
    assert _used(capsys, "Grey")["7"] > 0
    assert _found(capsys, "lot:7") == [TUBE]
    _said(capsys, "correct", TUBE, "--lot", "none")
    assert (_used(capsys, "Grey"), _found(capsys, "lot:7")) == ({"7": 0.0}, [])


def test_another_wearer_and_promise_are_followed_by_pairs_and_finding(capsys: pytest.CaptureFixture[str]) -> None:
    def socks() -> list[str | None]:
        assert main(["pairs", "--json"]) == 0
        pair = json.loads(capsys.readouterr().out)
        return [pair[which]["session"] for which in ("first", "twin")]

    assert SOCK not in socks()
    _said(capsys, "correct", SOCK, "--wearer", "Ana", "--promise", "Ana")
    assert SOCK in socks()
    assert _found(capsys, "wearer:ana") == _found(capsys, "for:winter") == [SOCK]
    _said(capsys, "correct", SOCK, "--wearer", "none", "--promise", "none")
    assert SOCK not in socks()
    assert _found(capsys, "wearer:ana") == _found(capsys, "for:winter") == []


def test_another_day_and_title_are_followed_by_gauge_and_finding(capsys: pytest.CaptureFixture[str]) -> None:
    _said(capsys, "correct", TUBE, "--day", "4.11.2023", "--title", "The windy one")
    assert _found(capsys, "began:4/11/2023") == _found(capsys, "title:windy") == [TUBE]
    (tube,) = json.loads(_said(capsys, "yarn", "Grey", "--json"))["tubes"]
    assert tube["day"] == "2023-11-04"
    listed = {one["id"]: one["title"] for one in map(json.loads, _said(capsys, "list", "--json").splitlines())}
    assert listed[TUBE] == "The windy one"


def test_a_lot_goes_with_its_yarn(capsys: pytest.CaptureFixture[str]) -> None:
    assert "the lot was really 7" in _said(capsys, "correct", TUBE, "--lot", "7")
    assert _record(TUBE).dye_lot == "7"
    assert "No lot is named now" in _said(capsys, "correct", TUBE, "--yarn", "Twine")
    assert (_record(TUBE).lot, _record(TUBE).dye_lot) == (None, "")
    assert "That lot is of another yarn" in _said(capsys, "correct", TUBE, "--lot", "7", code=2)


def test_a_promise_is_joined_and_parted(capsys: pytest.CaptureFixture[str]) -> None:
    assert "the promise was really Ana, winter" in _said(capsys, "correct", SOCK, "--promise", "Ana", "--wearer", "Ana")
    assert _record(SOCK).promise == "ana-pair"
    assert "there was no promise, not Ana, winter" in _said(capsys, "correct", SOCK, "--promise", "none")
    assert _record(SOCK).promise is None
    assert "sock 2: the wearer was really Ana" in _said(capsys, "correct", STRING, "--wearer", "Ana", "--sock", "2")
    assert "This session needs --sock, from 1 to 2." in _said(capsys, "correct", STRING, "--wearer", "Ana", code=2)
    assert "--sock is for a string of socks" in _said(capsys, "correct", SOCK, "--wearer", "Ana", "--sock", "2", code=2)
    assert "This session needs a sock for that." in _said(capsys, "correct", TUBE, "--promise", "Ana", code=2)


def test_rows_and_readings(capsys: pytest.CaptureFixture[str]) -> None:
    shown = json.loads(_said(capsys, "show", TUBE, "--json"))["readings"]
    seq = next(one["number"] for one in shown if one["what"].startswith("Length"))
    out = _said(capsys, "correct", TUBE, "--rows", "tube=27", "--reason", "three were the separator's")
    assert "- Gauge tube was really 27: three were the separator's" in out
    assert "Length of the working rows: 2.83 in, where 71 mm was read" in _said(
        capsys, "correct", TUBE, "--reading", f"{seq}=72 mm"
    )
    assert "- Length of the working rows 2.83 in struck out" in _said(capsys, "correct", TUBE, "--reading", f"{seq}=")
    assert str(seq) not in [one["number"] for one in json.loads(_said(capsys, "show", TUBE, "--json"))["readings"]]
    assert "is not a reading that stands" in _said(capsys, "correct", TUBE, "--reading", f"{seq}=70", code=2)
    assert "Length of the working rows 70.5 mm" in _said(capsys, "show", TUBE)
    assert "is not a part that is done" in _said(capsys, "correct", TUBE, "--rows", "toe=3", code=2)
    assert "nothing was changed" in _said(capsys, "correct", TUBE, "--rows", "tube=27", code=2)


def test_left_out_and_taken_in(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Grey" in _said(capsys, "csv")
    assert "left out of gauges, pace and statistics: felted" in _said(capsys, "leave-out", TUBE, "--reason", "felted")
    assert "Grey" not in _said(capsys, "csv")
    assert "Left out of gauges, pace and statistics: felted." in _said(capsys, "show", TUBE)
    assert "taken in again" in _said(capsys, "take-in", TUBE)
    assert "This session is not left out of anything." in _said(capsys, "take-in", TUBE, code=2)
    assert "no yarn went in" in _said(capsys, "leave-out", TUBE, "--reason", "only tried the keys", "--no-yarn")


def test_a_sock_that_fits_a_pair_is_offered(capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook.for_writing(logbook_path(), "a test")
    plan = plan_of(60).model_copy(update={"yarn": "yarn-grey"})
    book.keep(plan, Promise(id="ana-pair", name="Ana, winter", yarn="yarn-grey", plan=plan.id, made="2023-11-01"))
    book.start(record("sock", "20231120-bare").model_copy(update={"plan": plan}))
    book.close()
    assert main(["pairs"]) == 0
    assert "`hosewright logbook correct 20231120-bare --promise ana-pair`" in capsys.readouterr().out
    _said(capsys, "correct", "20231120-bare", "--promise", "ana-pair")
    assert main(["pairs", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["may_be_of_it"] == []


def test_the_lot_of_a_ball_joined_on_is_said_afterwards(capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook.for_writing(logbook_path(), "a test")
    live = book.take_up(SOCK)
    live.do(Observed("knot"))
    knot = live.state.observations[0].seq
    book.close()
    assert "is not a ball joined on" in _said(capsys, "correct", SOCK, "--joined", "1=7", code=2)
    assert "a ball of lot 7 joined on" in _said(capsys, "correct", SOCK, "--joined", f"{knot}=lot 7")
    book = Logbook.for_reading(logbook_path())
    assert book.state(book.store.find(SOCK)).observations[0].lot == "lot-7"
    book.close()


def test_what_was_renamed_or_entered_twice_is_found_by_what_it_was_called(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["shelf", "change", "yarn", "Grey", "--name", "Fog"]) == 0
    assert main(["shelf", "add", "lot", "8", "--of", "grey"]) == 0
    for of in ("Grey", "grey", "Fog"):
        assert _said(capsys, "yarn", of).partition("# ")[2].startswith("Fog")
        assert main(["stock", of]) == 0
    assert main(["shelf", "merge", "yarn", "Fog", "Twine"]) == 0
    capsys.readouterr()
    for of in ("Grey", "Fog", "Twine"):
        assert _said(capsys, "yarn", of).startswith("# Twine")
