"""Home's glance is read from what is noted of each session in the same commit as its event, and never differs."""

from __future__ import annotations

import subprocess
import sys
from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.glance import Glance, look, on_machine
from hosewright.logbook.travel.session_files import read
from hosewright.places import shipped_folder
from hosewright.session.events import Confirmed, Pressed, ReadOff, Struck
from tests.faults.past import build
from tests.helpers import FakeClock, crank_to, cylinder, drive, machine, measure_tube, plan_of, record, yarn
from tests.strategies import events as any_event

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.events import Event


def noted(book: Logbook) -> Glance:
    """The glance from what is noted alone, which must be what working it all out would give."""

    def nothing_lacks(*_: object) -> None:
        raise AssertionError("something was not noted")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("hosewright.logbook.projections.work_out_standing", nothing_lacks)
        told = look(book.store)
    kept = list(book.store.ask("SELECT * FROM standing ORDER BY session"))
    book.store.db.execute("DELETE FROM standing")
    assert look(book.store) == told
    of_these = {row[0]: row for row in kept}
    for row in book.store.ask("SELECT * FROM standing"):
        assert row == of_these[row[0]]
    book.store.db.executemany("INSERT OR REPLACE INTO standing VALUES (?, ?, ?, ?, ?, ?, ?, ?)", kept)
    return told


def test_the_samples_are_noted_as_they_are_taken_in(samples: Logbook) -> None:
    told = noted(samples)
    assert len(told.standing) >= 2
    assert len(told.next) >= 3


def test_a_count_and_a_reading_put_right_are_noted(book: Logbook) -> None:
    book.keep(machine(), cylinder(), yarn())
    live = book.start(record("tube"))
    noted(book)
    crank_to(live, "tube")
    drive(live, Pressed(), Pressed())
    (tube,) = noted(book).standing
    assert "2 of 30 rows done" in tube.hands
    assert tube.hands in on_machine(book.store, machine().id)
    crank_to(live, "after-wash")
    assert noted(book).at("off the machine")
    measure_tube(live)
    noted(book)
    (width,) = (reading.seq for reading in live.state.readings if reading.field == "width")
    drive(live, Struck(width), ReadOff("width", 109.0, "109 mm"))
    noted(book)


def test_what_a_try_on_found_wrong_is_said_of_its_twin(book: Logbook) -> None:
    book.keep(machine(), cylinder(), yarn(), plan_of())
    live = book.start(record("sock"))
    crank_to(live, "try-on")
    drive(live, ReadOff("fit", 0.0, "tight"), Confirmed())
    twin = next(one.words for one in noted(book).next if "crank its twin" in one.words)
    assert "(tried on: " in twin
    assert "make a new plan if it should fit differently)" in twin


def test_another_plan_or_the_same_one_retired_is_seen(book: Logbook) -> None:
    plan = plan_of()
    book.keep(machine(), cylinder(), yarn(), plan)
    assert any("crank it" in one.words for one in look(book.store).next)
    book.keep(plan.model_copy(update={"retired": True}))
    assert not any("crank it" in one.words for one in look(book.store).next)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.lists(any_event, max_size=4), max_size=4))
def test_what_is_noted_is_what_would_be_worked_out(tmp_path: Path, evenings: list[list[Event]]) -> None:
    (tmp_path / "logbook.sqlite").unlink(missing_ok=True)
    with closing(Logbook(tmp_path / "logbook.sqlite", FakeClock())) as book:
        lives = [book.start(record(kind, f"20240101-{kind}")) for kind in ("search", "tube", "sock")]
        for number, events in enumerate(evenings):
            for event in events:
                lives[number % 3].do(event)
            noted(book)


# --- what was not noted is worked out, once ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "spoil",
    [
        "DELETE FROM standing",
        "UPDATE standing SET made_by = '0.0.1'",
        "UPDATE standing SET seq = seq - 1",
        "UPDATE standing SET hands = x'00'",
        "UPDATE standing SET since_ms = 'long ago'",
        "UPDATE standing SET place = 'nowhere'",
        "UPDATE standing SET found = x'00'",
    ],
)
def test_what_is_not_noted_or_cannot_be_right_is_worked_out_and_kept(book: Logbook, spoil: str) -> None:
    book.start(record("tube"))
    told = look(book.store)
    book.store.db.execute(spoil)
    assert look(book.store) == told
    assert noted(book) == told


@pytest.mark.parametrize("version", [2, 3, 4])
def test_a_logbook_of_an_earlier_version_is_worked_out_at_its_first_opening(tmp_path: Path, version: int) -> None:
    path = tmp_path / "past.sqlite"
    build(version, path)
    with closing(Logbook(path)) as book:
        look(book.store)
        noted(book)


def test_a_logbook_for_looking_only_stays_as_it_is(book: Logbook) -> None:
    book.start(record("tube"))
    told = look(book.store)
    book.store.db.execute("DELETE FROM standing")
    book.store.make_read_only("Another bench counts.")
    assert look(book.store) == told
    assert not list(book.store.ask("SELECT * FROM standing"))


@pytest.mark.parametrize(
    ("kind", "body"), [("plan", "{"), ("plan", "[]"), ("promise", '{"id": "x", "name": "X", "retired": false}')]
)
def test_a_thing_on_the_shelf_that_cannot_be_read_is_said(book: Logbook, kind: str, body: str) -> None:
    book.keep(machine(), cylinder(), yarn())
    book.store.db.execute("INSERT INTO shelf VALUES (?, 'torn', 1, 0, ?)", (kind, body))
    with pytest.raises(LogbookError, match=f"A {kind} in this logbook cannot be read"):
        look(book.store)


# --- at little cost ---------------------------------------------------------------------------------------------


def test_it_reads_no_more_than_it_needs(samples: Logbook) -> None:
    asked: list[str] = []
    samples.store.db.set_trace_callback(asked.append)
    look(samples.store)
    samples.store.db.set_trace_callback(None)
    queries = [sql for sql in asked if "LEFT JOIN standing" in sql]
    assert len(queries) == 2
    for sql in queries:
        plan = [row[3] for row in samples.store.db.execute(f"EXPLAIN QUERY PLAN {sql}")]
        scanned = [step for step in plan if step.startswith("SCAN")]
        assert all("sessions_by_change" in step or step == "SCAN s" for step in scanned), plan
        assert any("SEARCH events USING PRIMARY KEY (session=?)" in step for step in plan), plan


_OPENED = """
import asyncio, sys
from pathlib import Path
import hosewright.cli
from hosewright.bench.app import Bench
from hosewright.bench.home.screen import HomeScreen
from hosewright.logbook.book import Logbook
from hosewright.settings.loading import load
from textual.widgets import OptionList

def full(home):
    print(home.query_one("#glance", OptionList).option_count, *sys.modules)

async def main():
    HomeScreen._remind = full  # which comes right behind the frame with everything in it
    app = Bench(Logbook.for_counting(Path(sys.argv[1])), load(Path(sys.argv[2]))[0])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()

asyncio.run(main())
"""
# Home brings them in behind its panels; a key may be faster than that.
_LOOKED_BACK = _OPENED.replace(
    "        await pilot.pause()\n",
    """        await pilot.press("l")
        await pilot.pause()
        print(len(app.screen.query_one("#past-table").records), *sys.modules)
""",
)


@pytest.mark.parametrize(
    ("script", "module"), [(_OPENED, "hosewright.bench.home.screen"), (_LOOKED_BACK, "hosewright.bench.past.screen")]
)
def test_nothing_imports_pydantic_or_the_engine_before_home_is_full_or_the_past_listed(
    tmp_path: Path, script: str, module: str
) -> None:
    with closing(Logbook(tmp_path / "logbook.sqlite")) as book:
        for path in sorted(shipped_folder("sample_sessions").glob("[0-9]*.json")):
            filed = read(path)
            book.take_in(filed.session, filed.entries())
    (tmp_path / "settings.toml").write_text('length_unit = "cm"\nbell = false\n')
    where = [str(tmp_path / "logbook.sqlite"), str(tmp_path / "settings.toml")]
    told = subprocess.run([sys.executable, "-c", script, *where], capture_output=True, text=True, check=True).stdout
    lines, *modules = told.splitlines()[-1].split()
    assert int(lines) >= 5
    assert module in modules
    late = {"pydantic", "pint", "tomlkit", "markdown_it", "hosewright.session.fold", "hosewright.session.events"}
    assert not late & set(modules)
