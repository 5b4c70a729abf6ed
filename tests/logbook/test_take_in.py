"""Sessions from elsewhere: taken in once, never over another, never by halves."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from hypothesis import given

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.corrected import restated
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.logbook.travel.session_files import parse, write
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.session.events import Confirmed, Entry, Event, Observed, Opened, Pressed, ReadOff, Struck, Undone
from hosewright.session.fold import fold
from tests.helpers import FakeClock, crank_to, entries, measure_tube, record, yarn
from tests.strategies import logs

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.records.sessions import SessionRecord


def measured_tube(book: Logbook) -> tuple[SessionRecord, list[Entry]]:
    live = book.start(record("tube", "20240301-tube"))
    crank_to(live, "after-wash")
    measure_tube(live)
    return live.record, list(book.store.entries(live.n))


@pytest.fixture
def other(tmp_path: Path) -> Logbook:
    return Logbook(tmp_path / "other.sqlite", FakeClock())


def dump(book: Logbook) -> list[str]:
    return list(book.store.db.iterdump())


def test_a_session_travels_with_everything_it_names_and_its_gauge(book: Logbook, other: Logbook) -> None:
    start, log = measured_tube(book)
    filed = parse(write(start, log))
    assert other.take_in(filed.session, filed.entries())
    line = other.store.find(start.id)
    assert (line.status, line.changed_ms) == ("open", log[-1].at_ms)
    assert other.record(line) == start
    assert list(other.store.entries(line.n)) == log
    assert [item.name for item in other.shelf(Yarn)] == ["Grey"]
    assert [item.slots for item in other.shelf(Cylinder)] == [60]
    assert [item.name for item in other.shelf(Machine)] == ["Bench machine"]
    assert other.gauges() == book.gauges()
    assert other.store.damage() == []
    other.close()


def test_the_very_same_session_twice_is_no_trouble_and_no_change(book: Logbook, other: Logbook) -> None:
    start, log = measured_tube(book)
    assert other.take_in(start, log)
    before = dump(other)
    assert not other.take_in(start, log)
    assert dump(other) == before
    other.close()


def listed(book: Logbook) -> list[str]:
    """All that the lists tell."""
    tables = ("catalogue", "seen", "words", "measurements", "gauges", "standing")
    return [f"{name} {row}" for name in tables for row in book.store.ask(f"SELECT * FROM {name} ORDER BY 1, 2")]


def test_a_session_that_goes_on_elsewhere_goes_on_here(book: Logbook, other: Logbook, tmp_path: Path) -> None:
    start, log = measured_tube(book)
    more: list[Event] = [
        ReadOff("length", 114.0),
        Struck(len(log)),
        Observed("dropped", 7, "at the seam"),
        Undone(),
        Confirmed(),
    ]
    for entry in entries(more, first=len(log) + 1):
        log.append(entry)
        assert other.take_in(start, log)
    assert not other.take_in(start, log[:-2])
    at_once = Logbook(tmp_path / "at-once.sqlite", FakeClock())
    at_once.take_in(start, log)
    assert list(other.store.entries(1)) == log
    assert listed(other) == listed(at_once)
    assert find_damage(other) == (1, [])
    at_once.close()
    other.close()


def test_a_corrected_session_is_the_same_gone_on(book: Logbook, other: Logbook) -> None:
    start, log = measured_tube(book)
    other.take_in(start, log)
    right = restated("yarn", yarn("Blue"))
    assert other.take_in(start, [*log, *entries([right], first=len(log) + 1)])
    assert other.record(other.store.find(start.id)).yarn.name == "Blue"
    assert [gauge.yarn for gauge in other.gauges()] == ["yarn-blue"]
    assert find_damage(other) == (1, [])
    other.close()


@pytest.mark.parametrize("change", ["another event", "another title", "another time"])
def test_another_session_of_the_same_id_is_kept_beside_it(book: Logbook, other: Logbook, change: str) -> None:
    start, log = measured_tube(book)
    other.take_in(start, [*log, *entries([Confirmed()], first=len(log) + 1)])
    before, shown = list(other.store.entries(1)), listed(other)
    if change == "another event":
        log = [*log, *entries([ReadOff("length", 114.0)], first=len(log) + 1)]
    elif change == "another time":
        log = [log[0]._replace(zone_min=0), *log[1:]]
    else:
        start = start.model_copy(update={"title": "Another"})
    assert other.take_in(start, log)
    assert not other.take_in(start, log), "it is known now"
    assert (list(other.store.entries(1)), listed(other)) == (before, shown)
    (line,) = other.lines()
    (aside,) = other.store.asides(line.id)
    assert (other.begun(aside), list(other.store.entries(aside.n))) == (start, log)
    assert find_damage(other) == (1, [])
    other.close()


def test_what_is_on_the_shelf_already_is_not_changed(book: Logbook, other: Logbook) -> None:
    start, log = measured_tube(book)
    other.keep(yarn().model_copy(update={"note": "my own note"}))
    other.take_in(start, log)
    assert [item.note for item in other.shelf(Yarn)] == ["my own note"]
    other.close()


def test_a_session_that_was_never_cranked_can_travel(other: Logbook) -> None:
    start = record("tube")
    assert other.take_in(start, [])
    assert other.lines()[0].changed_ms == start.started_ms
    assert other.take_up(start.id).state.last_seq == 0
    other.close()


def test_half_an_import_is_none(book: Logbook, other: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    start, log = measured_tube(book)
    before = dump(other)

    def fails(*_: object) -> None:
        raise LogbookError("no room")

    monkeypatch.setattr(other.store, "add_measurements", fails)
    with pytest.raises(LogbookError, match="no room"):
        other.take_in(start, log)
    assert dump(other) == before
    other.close()


def test_refused_events_travel_too_and_still_count_for_nothing(other: Logbook) -> None:
    log = entries([Opened(), Pressed(), ReadOff("length", float("nan")), ReadOff("width", 5.0), Confirmed()])
    start = record("tube")
    other.take_in(start, log)
    live = other.take_up(start.id)
    assert (live.state.ignored, live.state.index) == (3, 1)
    assert other.store.db.execute("SELECT count(*) FROM measurements").fetchone()[0] == 0
    other.close()


@given(logs())
def test_whatever_happened_is_carried_over_whole(tmp_path_factory: pytest.TempPathFactory, log: list[Entry]) -> None:
    start = record("tube")
    filed = parse(write(start, log))
    target = Logbook(tmp_path_factory.mktemp("any") / "any.sqlite", FakeClock())
    target.take_in(filed.session, filed.entries())
    assert list(target.store.entries(1)) == log
    assert target.take_up(start.id).state == fold(start.head, log)
    target.close()


def test_control_characters_in_names_do_not_reach_a_terminal() -> None:
    document = json.loads(write(record("tube"), []))
    document["session"]["title"] = "a \x1b[31mred\u202e title\x07"
    document["session"]["yarn"]["note"] = "one\nline\x00"
    session = parse(json.dumps(document)).session
    assert (session.title, session.yarn.note) == ("a [31mred title", "one\nline")


@pytest.mark.parametrize("name", ["", "   ", "\x1b", "\u202e \x00"])
def test_a_name_with_nothing_in_it_is_refused_before_it_is_kept(name: str) -> None:
    # A kept name is read again by the same rules, so one that comes to nothing would shut the shelf.
    with pytest.raises(ValueError, match="at least one letter or figure"):
        Wearer(id="cook", name=name)
