"""How fast the crank goes month by month: only what hands cranked is in it."""

from __future__ import annotations

import csv
import io
from random import Random
from statistics import median
from typing import TYPE_CHECKING

import pytest

from hosewright.cli import main
from hosewright.craft.workload import MAD_TO_SD
from hosewright.logbook.accounts.pace import months, recent_pace
from hosewright.logbook.book import Logbook
from hosewright.logbook.find.sessions import find
from hosewright.logbook.find.wanted import read_wanted
from hosewright.logbook.records.shelf import Noted
from hosewright.places import logbook_path
from hosewright.session.events import LeftOut
from tests.helpers import FakeClock, crank_to, drive, record, rows

if TYPE_CHECKING:
    from hosewright.logbook.live import Live

HANDS = Random(1811)


def at(book: Logbook) -> FakeClock:
    clock = book.clock
    assert isinstance(clock, FakeClock)
    clock.step_ms = 0
    return clock


def cranked(book: Logbook, day: int, *, per_minute: float, passes: float = 0, wobble: float = 0.06) -> Live:
    """A sock of that many days after the first, cranked by hands that wobble so much, or by a script's that do not."""
    clock = at(book)
    clock.at_ms = 1_700_000_000_000 + day * 86_400_000
    live = book.start(record("sock", f"sock-{day}", started_ms=clock.at_ms))
    for part, pace, many in (("foot", per_minute, 21), ("heel", passes, 39)):
        if part == "heel" and not passes:
            continue
        if part == "heel":
            live = book.start(record("sock", f"sock-{day}-heel", started_ms=clock.at_ms))
        crank_to(live, part)
        for _ in range(many):
            clock.wait(round(60_000 / pace * HANDS.gauss(1, wobble)))
            drive(live, rows(1))
    return live


def tube(book: Logbook, day: int, per_minute: float, wobble: float) -> Live:
    clock = at(book)
    clock.at_ms = 1_700_000_000_000 + day * 86_400_000
    live = book.start(record("tube", f"tube-{day}", started_ms=clock.at_ms))
    crank_to(live, "tube")
    for _ in range(58):
        clock.wait(round(60_000 / per_minute * HANDS.gauss(1, wobble)))
        drive(live, rows(1))
    return live


def test_each_month_has_its_middle_and_its_spread_with_passes_apart(book: Logbook) -> None:
    # 14 November 2023 is day 0; day 17 is the first of December.
    for day, pace in ((0, 20), (2, 22), (5, 27), (17, 30)):
        cranked(book, day, per_minute=pace, wobble=0.0)
    cranked(book, 20, per_minute=32, passes=9, wobble=0.0)
    november, december = months(book)
    assert (november.month, december.month) == ("2023-11", "2023-12")
    assert november.pace.rows == pytest.approx(22, rel=1e-3)
    assert november.pace.rows_spread == pytest.approx(MAD_TO_SD * median([2, 0, 5]), rel=0.01)
    assert (november.pace.passes, november.pace.sessions) == (None, 3)
    assert december.pace.rows == pytest.approx(31, rel=1e-3)
    assert december.pace.passes == pytest.approx(9, rel=1e-3)


def test_what_no_hand_cranked_is_out_of_it_and_of_the_hours(book: Logbook) -> None:
    tube(book, 0, 24, wobble=0.06)
    (one,) = months(book)
    assert one.pace.sessions == 1
    assert one.pace.rows == pytest.approx(24, rel=0.05)
    tube(book, 1, 60, wobble=0.0)  # a second apart, to the thousandth
    tube(book, 2, 600, wobble=0.06)  # ten a second
    assert months(book) == (one,)
    # Few rows alike to the thousandth prove nothing: they are believed.
    cranked(book, 3, per_minute=24, wobble=0.0)
    assert months(book)[0].pace.sessions == 2
    # A sock that a script brought in, heel and toe a second a pass, is out of the hours a pair takes, too.
    assert recent_pace(book).passes is None
    live = cranked(book, 4, per_minute=24, passes=60, wobble=0.0)
    assert recent_pace(book).passes == pytest.approx(60)
    crank_to(live, "toe")
    for _ in range(39):
        at(book).wait(1000)
        drive(live, rows(1))
    assert recent_pace(book).passes is None


def test_what_was_left_out_and_the_notebook_are_out_of_it(book: Logbook) -> None:
    live = tube(book, 0, 24, wobble=0.06)
    tube(book, 3, 30, wobble=0.06)
    assert months(book)[0].pace.sessions == 2
    drive(live, LeftOut("cranked by a guest"))
    (one,) = months(book)
    assert one.pace.rows == pytest.approx(30, rel=0.05)
    noted = {"id": "old", "what": "sock", "day": "2019", "machine": "bench-machine", "cylinder": "cylinder-60"}
    book.keep(Noted.model_validate(noted | {"yarn": "yarn-grey", "slots": 60}))
    assert months(book) == (one,)


def test_from_the_shell(capsys: pytest.CaptureFixture[str]) -> None:
    made = Logbook(logbook_path(), FakeClock(step_ms=0))
    assert main(["logbook", "pace"]) == 0
    assert capsys.readouterr().out.startswith("No pace is known yet")
    cranked(made, 0, per_minute=20, wobble=0.0)
    cranked(made, 1, per_minute=24, passes=9, wobble=0.0)
    made.close()
    assert main(["logbook", "pace"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == ["Month", "Sessions", "Rows", "a", "minute", "Passes", "a", "minute"]
    assert lines[1].split() == ["Nov", "2023", "3", "22.0", "±", "3.0", "9.0"]
    assert main(["logbook", "csv", "--pace"]) == 0
    (row,) = csv.DictReader(io.StringIO(capsys.readouterr().out))
    assert row == {
        "month": "2023-11", "sessions": "3", "rows_a_minute": "22.0", "rows_spread": "2.97", "passes_a_minute": "9.0",
        "passes_spread": "0.0",
    }  # fmt: skip
    assert main(["logbook", "csv", "x", "--pace"]) == 2
    assert "leave out the ID" in capsys.readouterr().err


def test_what_no_hand_cranked_has_no_pace_to_be_found_by(book: Logbook) -> None:
    by_hand = tube(book, 0, 27, 0.06).record.id
    tube(book, 1, 27, 0.0)
    assert [one.id for one in find(book.store, read_wanted("pace:>20"))] == [by_hand]
