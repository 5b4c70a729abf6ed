"""Rows, passes and hours on a machine, counted from the events."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.logbook.accounts.care import (
    still_ms,
)
from hosewright.logbook.accounts.cranked import Cranked, cranked_on, rows_and_passes
from hosewright.logbook.book import Logbook
from hosewright.session.events import (
    Amended,
    Confirmed,
    Doubted,
    Entry,
    Event,
    Judged,
    LeftOut,
    Observed,
    Opened,
    Paused,
    Pressed,
    Recounted,
    Redone,
    Rehung,
    Restated,
    Resumed,
    TookBack,
    Undone,
    Vouched,
)
from hosewright.session.fold import apply
from hosewright.session.rules import refusal
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, SessionKind
from tests import helpers
from tests.strategies import logs

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.steps import Head
    from tests.helpers import FakeClock
from tests.logbook.test_care import HOUR, KINDS, MACHINE, took_in


def to_leg() -> list[Event]:
    return [Opened(), *helpers.to_step(helpers.head("sock"), "leg")]


def counted(events: list[Event], tmp_path: Path, kind: SessionKind = "sock") -> tuple[int, int]:
    book = Logbook(tmp_path / "own.sqlite")
    took_in(book, kind, events)
    found = rows_and_passes(book.store, MACHINE)
    book.close()
    return found


def test_rows_and_passes_apart(tmp_path: Path) -> None:
    head = helpers.head("sock")
    way = [Opened(), *helpers.to_step(head, "heel")]
    rows = sum(isinstance(event, Pressed) for event in way)
    assert rows > 10
    assert counted([*way, *[Pressed()] * 7], tmp_path) == (rows, 7)


@pytest.mark.parametrize(
    ("after", "more"),
    [
        ([Pressed()] * 5, 5),
        ([Pressed(), Pressed(doubtful=True), Pressed(doubtful=True)], 1),
        ([Pressed(), Pressed(doubtful=True), Pressed(doubtful=True), Vouched()], 3),
        ([Pressed(), Pressed(), Pressed(doubtful=True), Doubted()], 1),
        ([Pressed(), Pressed(), TookBack()], 1),
        ([Pressed(), Pressed(), Undone()], 1),
        ([Pressed(), Pressed(), Undone(), Undone(), Redone()], 1),
        ([Pressed(), Pressed(), Observed("knot"), Undone(), Undone()], 1),
        ([*[Pressed()] * 4, Recounted(7), Undone()], 4),
        ([Pressed(), Pressed(doubtful=True), Vouched(), Undone()], 1),
        ([*[Pressed()] * 5, Rehung("leg", 1), Undone(), Pressed()], 6),  # it was hung again nowhere
        ([Pressed(), Confirmed(early=True), Undone(), Pressed()], 2),
        ([*[Pressed()] * 4, Recounted(7)], 7),
        ([*[Pressed()] * 4, Recounted(2)], 2),
        ([*[Pressed()] * 5, Rehung("leg", 1), *[Pressed()] * 2], 7),  # pulled back, but cranked
        ([Pressed(), Paused(), Pressed(), Resumed(), Pressed()], 2),  # refused while paused, so never a row
    ],
)
def test_what_counts_as_cranked(after: list[Event], more: int, tmp_path: Path) -> None:
    base = sum(isinstance(event, Pressed) for event in to_leg())
    assert counted([*to_leg(), *after], tmp_path) == (base + more, 0)


def test_a_part_counted_right_afterwards_is_counted_from_when_it_was_cranked(book: Logbook) -> None:
    last = took_in(book, "tube", [Opened(), *helpers.to_step(helpers.head("tube"), "separator-out")])
    whole, _ = rows_and_passes(book.store, MACHINE)
    book.take_up("20231114").do(Recounted(28, "two counted twice", step="tube"))
    assert rows_and_passes(book.store, MACHINE) == (whole - 2, 0)
    assert rows_and_passes(book.store, MACHINE, last + 1) == (0, 0)


def test_what_was_never_cranked_wore_no_machine(book: Logbook) -> None:
    took_in(book, "tube", [Opened(), *helpers.BEGUN, *[Pressed()] * 10])
    live = book.take_up("20231114")
    live.do(LeftOut("cranked by a guest"))
    assert rows_and_passes(book.store, MACHINE) == (10, 0)
    live.do(LeftOut("only tried the keys", cranked=False))
    assert cranked_on(book.store, MACHINE) == Cranked(0, 0, 0)


def test_rows_of_a_verdict_taken_back_are_counted_once(tmp_path: Path) -> None:
    way = helpers.to_step(helpers.head("search"), "trial")
    base = sum(isinstance(event, Pressed) for event in way)
    events = [Opened(), *way, Pressed(), Pressed(), Judged("drop", 32), TookBack()]
    assert counted(events, tmp_path, "search") == (base + 2, 0)


def one_by_one(head: Head, entries: list[Entry], since_ms: int) -> tuple[int, int]:
    """The same figure, folded event by event."""
    state, found = State(head), [0, 0]
    for entry in entries:
        at, before, refused, last_ms = state.index, list(state.counts), state.ignored, state.last_ms
        apply(state, entry)
        event = entry.event
        counts = isinstance(event, Pressed | Doubted | Vouched | TookBack | Recounted)
        if isinstance(event, Recounted) and event.step and state.ignored == refused:
            at = next(at for at, step in enumerate(head.steps) if step.id == event.step)
        when = last_ms if isinstance(event, Recounted) and event.step else entry.at_ms
        if counts and state.ignored == refused and when >= since_ms and at < len(before):
            more = state.counts[at] - before[at]
            if isinstance(event, TookBack):
                more = min(more, 0)
            found[isinstance(head.steps[at], CountPasses)] += more
    return max(0, found[0]), max(0, found[1])


@given(st.data())
def test_runs_come_to_what_single_events_come_to(data: st.DataObject) -> None:
    from tempfile import TemporaryDirectory

    record = helpers.record(data.draw(st.sampled_from(KINDS)))
    drawn = data.draw(logs(record.head))
    events: list[Event] = [Opened()]
    for entry in (entry for entry in drawn if not isinstance(entry.event, LeftOut | Restated)):
        events += [entry.event] * (data.draw(st.integers(1, 4)) if isinstance(entry.event, Pressed) else 1)
    entries = helpers.entries(events)
    since_ms = data.draw(st.sampled_from([0, *(entry.at_ms for entry in entries), entries[-1].at_ms + 1]))
    with TemporaryDirectory() as folder:
        from pathlib import Path

        book = Logbook(Path(folder) / "any.sqlite")
        book.take_in(record, entries)
        found = rows_and_passes(book.store, MACHINE, since_ms)
        book.close()
    if since_ms == 0:
        entries = standing(record.head, entries).entries  # what was undone was not cranked
        assert found == one_by_one(record.head, entries, since_ms)
    elif not any(isinstance(entry.event, Undone | Redone) for entry in entries):
        assert found == one_by_one(record.head, entries, since_ms)


def test_the_date_divides_a_run_of_presses(book: Logbook) -> None:
    last = took_in(book, "tube", [Opened(), *helpers.BEGUN, *[Pressed()] * 10])
    for back in range(11):
        assert rows_and_passes(book.store, MACHINE, last - back * 1000 + 1) == (min(back, 10), 0)


def test_another_machine_has_none_of_it(book: Logbook) -> None:
    took_in(book, "tube", [Opened(), *helpers.BEGUN, *[Pressed()] * 10])
    assert cranked_on(book.store, "another") == Cranked(0, 0, 0)


def test_hours_are_the_gaps_no_longer_than_the_pause(book: Logbook) -> None:
    # Ten presses 20 s apart: nine gaps, by hand; the observation between two of them is part of one.
    took_in(book, "tube", [Opened(), *helpers.BEGUN, *[Pressed()] * 10], every_ms=20_000)
    assert cranked_on(book.store, MACHINE).ms == 9 * 20_000
    assert cranked_on(book.store, MACHINE, still_ms=19_999).ms == 0
    noted: list[Event] = [
        Opened(),
        *helpers.BEGUN,
        Pressed(),
        Observed("dropped", 3),
        Pressed(),
        Paused(),
        Resumed(),
        Pressed(),
    ]
    took_in(book, "tube", noted, name="20231115-test", every_ms=20_000)
    assert cranked_on(book.store, MACHINE).ms == 9 * 20_000 + 2 * 20_000


UNDOING: list[tuple[list[Event], int]] = [
    ([Pressed(), Pressed(), Undone()], 0),
    ([Pressed(), Pressed(), Undone(), Redone()], 1),
    ([Pressed(), Pressed(), Pressed(), Undone(), Undone(), Redone(), Pressed()], 1),
    ([Pressed(), Pressed(), Observed("knot"), Undone(), Undone()], 1),  # to the knot; what led up to the press is gone
    ([Pressed(), Pressed(), Confirmed(early=True), Undone(), Undone(), Pressed(), Pressed()], 1),
    ([Pressed(), Pressed(), Pressed(), Undone(), Pressed(), Undone(), Undone()], 0),  # the second undone goes deeper
]


@pytest.mark.parametrize(("after", "gaps"), UNDOING)
def test_the_time_before_an_undone_press_is_not_at_the_crank(after: list[Event], gaps: int, book: Logbook) -> None:
    took_in(book, "tube", [Opened(), *helpers.BEGUN, *after], every_ms=20_000)
    assert cranked_on(book.store, MACHINE).ms == gaps * 20_000


@given(st.data())
def test_the_time_is_that_of_the_presses_that_stand(data: st.DataObject) -> None:
    from pathlib import Path
    from tempfile import TemporaryDirectory

    record = helpers.record(data.draw(st.sampled_from(KINDS)))
    events = [Opened(), *(entry.event for entry in data.draw(logs(record.head)))]
    # A press held to be a held key goes along with the deed before it: whose time it was is anybody's guess.
    entries = helpers.entries(event for event in events if not isinstance(event, Doubted | LeftOut | Restated))
    kept = {entry.seq for entry in standing(record.head, entries).entries}
    state, plain, gaps = State(record.head), set[int](), 0
    for before, entry in pairwise([entries[0], *entries]):
        if isinstance(entry.event, Pressed) and not entry.event.doubtful and refusal(state, entry.event) is None:
            plain.add(entry.seq)
        apply(state, entry)
        crank = all(isinstance(one.event, Pressed | Observed | Amended) for one in (before, entry))
        gaps += crank and not (entry.seq in plain and entry.seq not in kept)
    with TemporaryDirectory() as folder:
        book = Logbook(Path(folder) / "any.sqlite")
        book.take_in(record, entries)
        assert cranked_on(book.store, MACHINE).ms == gaps * 1000
        book.close()


def test_two_passes_are_a_row_for_the_oil() -> None:
    assert Cranked(100, 48, 0).as_rows == 124
    assert Cranked(100, 1, 0).as_rows == 100


def test_the_pause_switched_off_leaves_the_usual_one() -> None:
    assert still_ms(120) == 120_000
    assert still_ms(0) == 300_000


def test_a_press_in_an_unfinished_session_counts_though_no_list_moved(book: Logbook, clock: FakeClock) -> None:
    live = book.start(helpers.record("tube"))
    helpers.drive(live, helpers.BEGUN)
    clock.wait(30 * 24 * HOUR)
    since = clock.at_ms
    helpers.drive(live, helpers.rows(3))
    line = book.store.find(live.record.id)
    assert line.changed_ms < since
    assert rows_and_passes(book.store, MACHINE, since) == (3, 0)
