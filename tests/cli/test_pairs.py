"""Promised pairs and care cards from the shell."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Wearer
from hosewright.logbook.records.year import Lot, Promise
from hosewright.phrases.days import local_day, show_day
from hosewright.phrases.times import WallClock
from hosewright.places import logbook_path, settings_path
from tests.helpers import FakeClock, crank_to, drive, rows, yarn
from tests.logbook.test_pairs import PLAN, PROMISE, sock

if TYPE_CHECKING:
    from pathlib import Path

SMITH = Wearer(id="smith", name="The smith", foot_length_mm=266.7, girth_mm=241.0, note="bunions", caution=True)


@pytest.fixture
def today() -> date:
    """A logbook with a pair overdue and half cranked, one due in three days, and one without a day or a plan."""
    book = Logbook(logbook_path(), FakeClock(step_ms=0))
    today = local_day(WallClock())
    wool = yarn().model_copy(update={"fibre": "wool", "care": ("wash-30-mild",)})
    overdue = PROMISE.model_copy(
        update={"by": str(today - timedelta(5)), "wearer": "smith", "price": 2850, "paid": 1000, "note": "owes me one"}
    )
    soon = PROMISE.model_copy(update={"id": "baker", "name": "The baker, grey", "by": str(today + timedelta(3))})
    far = PROMISE.model_copy(update={"id": "cook", "name": "The cook", "by": None, "plan": None})
    gone = PROMISE.model_copy(update={"id": "gone", "name": "Gone", "handed_over": str(today)})
    for item in (wool, SMITH, PLAN, overdue, soon, far, gone):
        book.keep(item)
    live = sock(book, "20231114-one", PROMISE)
    clock = book.clock
    assert isinstance(clock, FakeClock)
    for part, ms in (("leg", 3000), ("heel", 6000)):
        crank_to(live, part)
        for _ in range(6):
            clock.wait(ms)
            drive(live, rows(1))
    book.close()
    return today


def said(capsys: pytest.CaptureFixture[str], *argv: str, code: int = 0) -> tuple[str, str]:
    assert main(list(argv)) == code
    heard = capsys.readouterr()
    assert "Traceback" not in heard.err
    assert "\x1b" not in heard.out
    return heard.out, heard.err


def objects(out: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in out.splitlines()]


def test_pairs_are_listed_by_their_day_with_the_week_below(capsys: pytest.CaptureFixture[str], today: date) -> None:
    lines = said(capsys, "pairs")[0].splitlines()
    assert [line.split()[0] for line in lines[:4]] == ["Id", "smith", "baker", "cook"]
    assert lines[0].split() == ["Id", "Due", "For", "Yarn", "Left", "First", "Twin", "Price"]
    assert "overdue" in lines[1]
    for word in ("The smith", "Grey", "on the machine  not begun", "28.50, paid 10"):
        assert word in lines[1]
    assert "no plan yet" in lines[3]
    # 20 rows and 10 passes a minute. Left of the smith's: 22 rows and 74 passes of the first, 31 and 80 of the twin:
    # 53 / 20 + 154 / 10 = 18.05 min. The baker's: 62 / 20 + 160 / 10 = 19.1 min. Together 37.15 min.
    assert "  18 min  " in lines[1]
    assert "  19 min" in lines[2]
    assert lines[-2] == "This week: 2 pairs (1 overdue), 37 min of cranking; today 18 min are needed."
    assert lines[-1] == "All 3 pairs, 1 without a plan: 37 min of cranking."
    assert len(said(capsys, "pairs", "--old")[0].splitlines()) == len(lines) + 1


def test_the_week(capsys: pytest.CaptureFixture[str], today: date) -> None:
    lines = said(capsys, "pairs", "--week")[0].splitlines()
    weekday = f"{today + timedelta(3):%A}"
    assert [line.split()[0] for line in lines[:3]] == ["Id", "smith", "baker"]
    assert lines[-3:-1] == ["today: 18 min", f"by {weekday}: 37 min"]
    settings_path().parent.mkdir(parents=True, exist_ok=True)
    settings_path().write_text('off_crank_min = 30\nhours_a_week = 2\nmoney = "crowns"\n')
    out = said(capsys, "pairs", "--week")[0]
    assert "28.50 crowns, paid 10 crowns" in out
    # 30 min more for each of four socks, none of which is off the crank yet.
    assert out.splitlines()[-1] == (
        "This week: 2 pairs (1 overdue), 37 min of cranking and 2 h off the crank; "
        f"by {weekday} 2 h 37 min are needed, and you have 2 h a week."
    )


def test_the_day_all_of_it_ends(capsys: pytest.CaptureFixture[str], today: date) -> None:
    settings_path().parent.mkdir(parents=True, exist_ok=True)
    # 37.15 min and four socks' two hours off the crank, 157.15 min; an hour a week is 8.57 min a day: over on the 19th.
    settings_path().write_text("off_crank_min = 30\nhours_a_week = 1\n")
    day = today + timedelta(18)
    assert said(capsys, "pairs")[0].splitlines()[-1] == (
        "All 3 pairs, 1 without a plan: 37 min of cranking and 2 h off the crank; "
        f"at 1 h a week they are done by {show_day(day.isoformat(), today)}, 1 pair too late."
    )


def test_what_the_yarn_cost(capsys: pytest.CaptureFixture[str], today: date) -> None:
    assert "Yarn cost" not in said(capsys, "pairs")[0]
    book = Logbook(logbook_path(), FakeClock(step_ms=0))
    book.keep(Lot(id="lot-41", name="41", yarn="yarn-grey", grams=100, bought="2023-11-01", price=2500))
    baker = book.get(Promise, "baker")
    assert baker is not None
    # The yarn has no count, so its metres weigh nothing until the plan says what a pair takes: 78 g at 25 for 100 g.
    book.keep(PLAN.model_copy(update={"grams_per_pair": 78.0}), baker.model_copy(update={"lot": "lot-41"}))
    book.close()
    lines = said(capsys, "pairs")[0].splitlines()
    assert lines[0].endswith("Yarn cost")
    assert lines[2].endswith("19.50 in all")
    smith, baker_said, _ = objects(said(capsys, "pairs", "--json")[0])
    assert smith["yarn_cost"] is None
    assert [baker_said[f"yarn_cost{what}"] for what in ("", "_so_far", "_in_part")] == [19.5, 0.0, False]


def test_one_object_a_promise_without_its_note(capsys: pytest.CaptureFixture[str], today: date) -> None:
    out = said(capsys, "pairs", "--json")[0]
    assert "owes me" not in out
    smith, baker, cook = objects(out)
    assert (smith["id"], smith["days"], smith["price"], smith["paid"]) == ("smith", -5, 28.5, 10.0)
    assert smith["first"] == {
        "stage": "on the machine",
        "part": "heel, 6 of 40 passes done",
        "fit": None,
        "session": "20231114-one",
        "sock_of_string": None,
        "rows": 9,
        "passes": 6,
        "rows_of": 31,
        "passes_of": 80,
    }
    assert (smith["rows_left"], smith["passes_left"]) == (53, 154)
    assert smith["cranking_min"] == pytest.approx(18.05)
    assert (baker["price"], baker["first"]["session"]) == (None, None)
    assert (cook["rows_left"], cook["cranking_min"], cook["by"]) == (None, None, None)
    assert [one["id"] for one in objects(said(capsys, "pairs", "--week", "--json")[0])] == ["smith", "baker"]
    old = objects(said(capsys, "pairs", "--old", "--json")[0])[-1]
    assert (old["id"], old["handed_over"], old["rows_left"]) == ("gone", str(today), 0)


def test_nothing_promised_and_no_logbook(capsys: pytest.CaptureFixture[str]) -> None:
    assert "There is no logbook" in said(capsys, "pairs", code=2)[1]
    Logbook(logbook_path()).close()
    assert said(capsys, "pairs")[0] == "No pair is promised.\n"
    assert said(capsys, "pairs", "--week", "--json")[0] == ""


@pytest.mark.usefixtures("today")
def test_a_slip_in_each_form(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out = said(capsys, "care-card", "smi")[0]
    assert out.startswith("A pair of socks\n\nFibre  wool\n")
    assert "podiatrist or nurse" in out
    for ending, start in ((".html", "<!DOCTYPE html>"), (".md", "# A pair of socks"), (".txt", "A pair of socks")):
        file = tmp_path / f"card{ending}"
        assert said(capsys, "care-card", "20231114", "--output", str(file))[0] == f"Written: {file}\n"
        assert file.read_text(encoding="utf-8").startswith(start)
    for text in (out, *(file.read_text(encoding="utf-8") for file in tmp_path.glob("card.*"))):
        for never in ("smith", "266", "241", "bunions", "28.50", "owes"):
            assert never not in text
    (about,) = objects(said(capsys, "care-card", "smith", "--json")[0])
    assert (about["id"], about["care_card"]["care"]) == ("smith", "Wash at 30 °C at most (mild process)")
    assert about["not_noted"] == ["the gauge tube's wash"]
    assert about["text"] == out


@pytest.mark.usefixtures("today")
def test_what_has_no_slip_is_one_sentence(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert "There is no promised pair and no session 'nobody'" in said(capsys, "care-card", "nobody", code=2)[1]
    assert "end the file's name" in said(capsys, "care-card", "smith", "--output", "card.pdf", code=2)[1]
    there = tmp_path / "card.txt"
    there.write_text("mine")
    assert str(there) in said(capsys, "care-card", "smith", "--output", str(there), code=2)[1]
    assert there.read_text() == "mine"
    assert "Still missing: ID." in said(capsys, "care-card", code=2)[1]
