"""What a machine has cranked since it was cared for: exact, and read no further than the date asked for."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from scipy.stats import binom

from hosewright.logbook.accounts import cranked as sql
from hosewright.logbook.accounts.care import (
    ByNeedle,
    Figures,
    OilDue,
    Oiled,
    beds,
    cylinder_in_use,
    faults_by_needle,
    figures,
    history,
    last_oiled,
    month_began,
    needle_changes,
    oil_due,
)
from hosewright.logbook.accounts.cranked import Cranked, cranked_on, rows_and_passes
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.year import Care
from hosewright.paper.yarn_page import changed_words, tally
from hosewright.session.events import (
    Event,
    Observed,
    Opened,
    Pressed,
)
from hosewright.words.care import entry_words, figure_lines, needles_words, oil_words, reminder
from tests import helpers
from tests.benchmarks.data import fill

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.steps import SessionKind


MACHINE = "bench-machine"
HOUR = 3_600_000
KINDS: tuple[SessionKind, ...] = ("search", "tube", "sock")


def took_in(
    book: Logbook, kind: SessionKind, events: list[Event], *, name: str = "20231114-test", every_ms: int = 1000
) -> int:
    """A session of these events, so far apart; returns when the last one happened."""
    record = helpers.record(kind, name)
    entries = helpers.entries(events, every_ms=every_ms)
    book.take_in(record, entries)
    return entries[-1].at_ms


def care(what: str, at_ms: int, name: str, **more: object) -> Care:
    return Care.model_validate({"id": name, "machine": MACHINE, "at_ms": at_ms, "what": what} | more)


# --- how much is read -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("question", [sql.STARTS, sql.TIME])
def test_no_question_reads_every_event(question: str, book: Logbook) -> None:
    asked = {"machine": MACHINE, "since": 5, "still": 5}
    plan = [row[3] for row in book.store.db.execute(f"EXPLAIN QUERY PLAN {question}", asked)]
    assert any(step.startswith("SEARCH e USING PRIMARY KEY (session=?") for step in plan)
    assert any("catalogue_by_changed (on_top=? AND changed>?)" in step for step in plan)
    assert not [step for step in plan if step.startswith("SCAN") and step != "SCAN mine"]
    plan = [row[3] for row in book.store.db.execute(f"EXPLAIN QUERY PLAN {sql.NOTED}", (1,))]
    assert plan == ["SEARCH events USING PRIMARY KEY (session=?)"]


def test_a_date_keeps_it_quick_in_a_large_logbook(tmp_path: Path) -> None:
    fill(tmp_path / "large.sqlite", 1000, 100_000)
    book = Logbook(tmp_path / "large.sqlite")
    ((newest,),) = book.store.db.execute("SELECT max(changed) FROM catalogue").fetchall()
    steps = 0

    def step() -> None:
        nonlocal steps
        steps += 1

    def taken(since_ms: int) -> int:
        nonlocal steps
        steps = 0
        book.store.db.set_progress_handler(step, 100)  # the work of SQLite in its own steps, not in a clock's time
        cranked_on(book.store, MACHINE, since_ms)
        book.store.db.set_progress_handler(None, 0)
        return steps

    began = time.perf_counter()
    whole = taken(0)
    assert time.perf_counter() - began < 5
    assert taken(newest - 5 * HOUR) < whole / 20
    book.close()


def test_a_start_that_cannot_be_read_is_said(book: Logbook) -> None:
    took_in(book, "tube", [Opened(), *helpers.BEGUN, Pressed()])
    book.store.db.execute("DROP TRIGGER sessions_start_as_written")
    book.store.db.execute("UPDATE sessions SET record = '{}'")
    with pytest.raises(LogbookError, match="Session 20231114-test cannot be read"):
        rows_and_passes(book.store, MACHINE)


# --- care -------------------------------------------------------------------------------------------------------


def test_since_it_was_oiled_this_month_and_ever(book: Logbook) -> None:
    last = took_in(book, "tube", [Opened(), *helpers.BEGUN, *[Pressed()] * 10])
    book.keep(helpers.machine())
    now = Oiled(last, 60)
    assert figures(book.store, MACHINE, now).since_oiled is None
    book.keep(care("oiled", last - 2500, "oiled-1"))
    found = figures(book.store, MACHINE, now)
    assert found.oiled == Oiled(last - 2500, 0)
    assert found.since_oiled is not None
    assert (found.since_oiled.rows, found.month.rows, found.ever.rows) == (3, 10, 10)
    assert found.ever.ms == 9000


def test_an_oiling_struck_out_counts_no_more(book: Logbook) -> None:
    first, second = care("oiled", 1000, "oiled-1"), care("oiled", 2000, "oiled-2")
    book.keep(first)
    book.keep(second)
    assert last_oiled(book.store, MACHINE) == Oiled(2000, 0)
    book.keep(second.model_copy(update={"retired": True}))
    assert last_oiled(book.store, MACHINE) == Oiled(1000, 0)
    assert [item.id for item in history(book, MACHINE)] == ["oiled-2", "oiled-1"]  # it stays readable


def test_a_month_begins_by_the_clock_on_the_wall() -> None:
    late = datetime(2025, 3, 31, 23, 30, tzinfo=UTC)
    at_ms = int(late.timestamp() * 1000)
    assert month_began(at_ms, 0) == int(datetime(2025, 3, 1, tzinfo=UTC).timestamp() * 1000)
    assert month_began(at_ms, 60) == int(datetime(2025, 3, 31, 23, tzinfo=UTC).timestamp() * 1000)


def test_no_reminder_before_the_figure_is_given(book: Logbook) -> None:
    last = took_in(book, "tube", [Opened(), *helpers.BEGUN, *[Pressed()] * 10])
    machine = helpers.machine()
    book.keep(machine)
    assert oil_due(book.store) == []
    book.keep(machine.model_copy(update={"oil_every_rows": 11}))
    assert oil_due(book.store) == []
    book.keep(machine.model_copy(update={"oil_every_rows": 10}))
    (due,) = oil_due(book.store)
    assert (due.machine, due.rows, due.every, due.oiled) == ("Bench machine", 10, 10, None)
    assert oil_due(book.store, "another") == []
    book.keep(care("oiled", last + 1, "oiled-1"))
    assert oil_due(book.store, MACHINE) == []
    book.keep(machine.model_copy(update={"oil_every_rows": 1, "retired": True}))
    assert oil_due(book.store) == []


def test_the_last_change_of_a_needle_and_when_the_old_one_came(book: Logbook) -> None:
    book.keep(care("needle", 1000, "n-1", needles=(23, 24), cylinder="c64"))
    book.keep(care("needle", 5000, "n-2", needles=(23,), cylinder="c64", zone_min=60))
    book.keep(care("needle", 6000, "n-3", needles=(23,), cylinder="c60"))
    book.keep(care("needle", 7000, "n-4", needles=(24,), cylinder="c64", retired=True))
    found = needle_changes(book.store, MACHINE, "c64")
    assert {n: (c.at_ms, c.zone_min, c.came_ms) for n, c in found.items()} == {23: (5000, 60, 1000), 24: (1000, 0, 0)}
    book.keep(care("needle", 9000, "n-5", needles=(24,)))
    assert needle_changes(book.store, MACHINE, "c64")[24].at_ms == 9000
    assert needle_changes(book.store, "another", "c64") == {}


def test_the_cylinder_last_cranked(book: Logbook) -> None:
    assert cylinder_in_use(book.store, MACHINE) is None
    took_in(book, "tube", [Opened()])
    assert cylinder_in_use(book.store, MACHINE) == "cylinder-60"


# --- needles ----------------------------------------------------------------------------------------------------


def drops(book: Logbook, *needles: int, name: str = "20231114-drops") -> list[int]:
    """A session with these drops; returns when each was seen."""
    events: list[Event] = [Opened(), *helpers.BEGUN]
    for needle in needles:
        events += [Pressed(), Observed("dropped", needle)]
    took_in(book, "tube", events, name=name)
    return [helpers.START_MS + 1000 * (3 + len(helpers.BEGUN) + 2 * at) for at in range(len(needles))]


def dropped(book: Logbook) -> ByNeedle:
    (found,) = faults_by_needle(book.store, beds(book.store)[0])
    return found


def test_a_new_needle_answers_for_itself_alone(book: Logbook) -> None:
    seen = drops(book, 23, 5, 23, 23, 51, 23, 40, 8, 12)
    (suspect,) = dropped(book).suspects
    assert (suspect.needle, suspect.hits, suspect.of) == (23, 4, 9)
    book.keep(care("needle", seen[6] - 1, "n-1", needles=(23,), cylinder="cylinder-60"))
    found = dropped(book)
    assert found.suspects == ()
    assert dict(found.counts) == {5: 1, 51: 1, 40: 1, 8: 1, 12: 1}
    (changed,) = found.changed
    assert (changed.needle, changed.before, changed.since, changed.listed) == (23, 4, 0, 4)
    assert changed_words("dropped", changed) == "needle 23: 4 drops before it was changed on 14 Nov 2023, none since"
    assert tally(found).counts[-1] == ("needle 23, changed since", 4)
    assert sum(hits for _, hits in tally(found).counts) == found.of == 9
    book.keep(care("needle", seen[6] - 1, "n-1", needles=(23,), cylinder="another"))  # put right: not this cylinder
    assert [s.needle for s in dropped(book).suspects] == [23]


def test_what_came_since_is_judged_by_the_same_exact_test(book: Logbook) -> None:
    seen = drops(book, 23, 23, 23, 23, 7, 23, 51, 23, 23, 23)
    book.keep(care("needle", seen[4], "n-1", needles=(23,)))
    (suspect,) = dropped(book).suspects
    # Of the six drops since the change four are the new needle's; scipy's own tail, times 60 needles and 3 kinds.
    assert (suspect.needle, suspect.hits, suspect.of) == (23, 4, 6)
    assert suspect.odds == pytest.approx(binom.sf(3, 6, 1 / 60) * 60 * 3)
    (changed,) = dropped(book).changed
    assert (changed.before, changed.since) == (4, 4)


def test_another_needle_is_judged_among_all_as_before(book: Logbook) -> None:
    seen = drops(book, 23, 40, 23, 40, 40, 40, 9)
    before = [s for s in dropped(book).suspects if s.needle == 40]
    book.keep(care("needle", seen[-1], "n-1", needles=(23,)))
    assert [s for s in dropped(book).suspects if s.needle == 40] == before != []


def test_a_needle_changed_twice_counts_from_the_change_before(book: Logbook) -> None:
    seen = drops(book, 23, 23, 23, 23, 23)
    book.keep(care("needle", seen[1], "n-1", needles=(23,)))
    book.keep(care("needle", seen[4], "n-2", needles=(23,)))
    (changed,) = dropped(book).changed
    assert (changed.before, changed.since, changed.listed) == (3, 1, 4)


# --- words ------------------------------------------------------------------------------------------------------


def test_the_reminder_is_one_sentence() -> None:
    march = int(datetime(2025, 3, 3, 12, tzinfo=UTC).timestamp() * 1000)
    due = OilDue("Grey machine", 20_400, 20_000, Oiled(march, 0))
    assert reminder(due) == (
        "Grey machine: 20,400 rows since it was oiled on 3 Mar 2025; its manual says every 20,000."
    )
    never = OilDue("Grey machine", 20_400, 20_000, None)
    assert reminder(never) == (
        "Grey machine: 20,400 rows in this logbook, and no oiling was ever noted; its manual says every 20,000."
    )


@pytest.mark.parametrize(
    ("needles", "words"),
    [((23,), "23"), ((24, 23), "23 and 24"), ((41, 1, 2, 3, 30), "1 to 3, 30 and 41"), ((5, 5), "5")],
)
def test_needles_in_words(needles: tuple[int, ...], words: str) -> None:
    assert needles_words(needles) == words


def test_an_entry_in_words() -> None:
    item = care("needle", 0, "n-1", needles=(23,), cylinder="c64", fault="dropped", why="latch bent", note="old\nstock")
    assert entry_words(item, {"c64": "Sixty-four"}) == (
        "needles changed: 23 on Sixty-four, dropped stitch; latch bent; old stock"
    )
    part = care("part", 0, "p-1", note="heel spring", why="carrier lagged")
    assert entry_words(part, {}) == "part: heel spring; carrier lagged"
    assert entry_words(care("oiled", 0, "o-1", retired=True), {}) == "oiled (struck out)"


def test_figures_in_words() -> None:
    found = Figures(Oiled(0, 0), Cranked(20_400, 12, HOUR), Cranked(0, 0, 0), Cranked(1_000_000, 4, 150 * HOUR))
    lines = figure_lines(found)
    assert lines[0].split("  ")[:2] == ["Since oiled, 1 Jan 1970", "20,400 rows"]
    assert lines[2].endswith("150 h cranking")
    half = Figures(None, None, Cranked(20_400, 12, 12 * HOUR + HOUR // 2), Cranked(0, 0, 0))
    assert figure_lines(half)[1].endswith("12 h 30 min cranking")
    alike = Figures(Oiled(0, 0), Cranked(172, 36, HOUR), Cranked(0, 0, 0), Cranked(172, 36, HOUR))
    assert [line.split()[-2:] for line in figure_lines(alike)[1:]] == [["min", "cranking"], ["the", "same"]]
    assert figure_lines(Figures(None, None, found.month, found.ever))[0].endswith("not noted yet")


def test_the_oil_in_words() -> None:
    found = Figures(Oiled(0, 0), Cranked(20_400, 12, HOUR), Cranked(0, 0, 0), Cranked(1_000_000, 4, 150 * HOUR))
    machine = helpers.machine()
    assert oil_words(machine, found) == "No oil reminder yet: the figure from its manual is not entered."
    due = machine.model_copy(update={"oil_every_rows": 20_406})  # 12 passes are 6 rows
    assert oil_words(due, found) == "Oil is due: by its manual every 20,406 rows."
    past = machine.model_copy(update={"oil_every_rows": 20_000})
    assert oil_words(past, found) == "Oil is due: by its manual every 20,000 rows, 406 past it."
    later = machine.model_copy(update={"oil_every_rows": 20_407})
    assert oil_words(later, found) == "Oil every 20,407 rows by its manual: 1 to go."
