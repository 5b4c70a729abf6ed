"""Two logbooks into one, and what is said beforehand."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.travel.merge import merge, preview
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.ways import prepare
from hosewright.session.events import Pressed, ReadOff
from tests.helpers import FakeClock, crank_to, drive, measure_tube, record, yarn

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Logbook]:
    """The other house's logbook: one session both have, one only it has, one that went on there."""
    there = Logbook(tmp_path / "other.sqlite", FakeClock())
    there.keep(yarn("Blue"))
    there.keep(yarn("Grey").model_copy(update={"colour": "slate"}))
    for session_id in ("20231114-both", "20231115-only", "20231116-on"):
        live = there.start(record("tube", session_id))
        crank_to(live, "after-wash")
        measure_tube(live)
    yield there
    there.close()


def _shared(book: Logbook, there: Logbook) -> None:
    book.keep(yarn("Grey"))
    for session_id in ("20231114-both", "20231116-on"):
        line = there.store.find(session_id)
        book.take_in(there.record(line), there.store.entries(line.n))
    drive(there.take_up("20231116-on"), ReadOff("length", 114.0))
    drive(book.take_up("20231116-on"), ReadOff("length", 113.0))


def test_a_merge_takes_what_is_new_and_leaves_the_rest(book: Logbook, other: Logbook) -> None:
    _shared(book, other)
    foretold = merge(book, other.path, dry_run=True)
    assert {item.id: item.what for item in foretold.sessions} == {
        "20231114-both": "here already",
        "20231115-only": "new",
        "20231116-on": "disagrees",
    }
    assert "both went on after event" in next(i.why for i in foretold.sessions if i.what == "disagrees")
    assert book.store.line("20231115-only") is None
    assert [yarn.id for yarn in book.shelf(Yarn)] == ["yarn-grey"]

    done = merge(book, other.path)
    assert done == foretold
    line, far = book.store.find("20231115-only"), other.store.find("20231115-only")
    assert list(book.store.entries(line.n)) == list(other.store.entries(far.n))
    assert book.record(line) == other.record(far)
    assert len(book.gauges()) == 3
    assert {(item.id, item.what) for item in done.shelf if item.kind == "yarn"} == {
        ("yarn-blue", "new"),
        ("yarn-grey", "disagrees"),
    }
    assert next(item.why for item in done.shelf if item.id == "yarn-grey") == "colour: both are kept"
    assert next(one for one in book.shelf(Yarn) if one.id == "yarn-grey").colour == ""
    again = merge(book, other.path)
    assert "new" not in {item.what for item in [*again.sessions, *again.shelf]}
    assert book.store.damage() == []


def test_the_other_logbook_is_only_read(book: Logbook, other: Logbook, tmp_path: Path) -> None:
    other.close()
    before = other.path.read_bytes()
    merge(book, other.path)
    assert other.path.read_bytes() == before


@pytest.mark.parametrize("what", ["letter", "stray", "none"])
def test_what_is_no_logbook_is_refused(book: Logbook, tmp_path: Path, what: str) -> None:
    path = tmp_path / f"{what}.sqlite"
    if what == "letter":
        path.write_text("Dear coxswain, the socks are dry. " * 100, encoding="utf-8")
    elif what == "stray":
        db = sqlite3.connect(path)
        db.execute("CREATE TABLE recipes (soup TEXT)")
        db.close()
    with pytest.raises(LogbookError):
        merge(book, path)


def test_how_sessions_of_one_id_differ(book: Logbook) -> None:
    live = book.start(record("tube", "20231114-one"))
    crank_to(live, "tube")
    drive(live, Pressed())
    start, entries = live.record, list(book.store.entries(live.n))
    assert preview(book, prepare(start, entries)).what == "here already"
    assert preview(book, prepare(start, entries[:-2])).what == "here already"
    gone_on = preview(book, prepare(start, [*entries, entries[-1]._replace(seq=len(entries) + 1)]))
    assert (gone_on.what, gone_on.why) == ("goes on", f"1 more event than the {len(entries)} here")
    changed = [*entries[:-1], entries[-1]._replace(at_ms=5)]
    assert preview(book, prepare(start, changed)).why == f"both went on after event {len(entries) - 1}"
    renamed = start.model_copy(update={"title": "Other", "dial": 3})
    assert preview(book, prepare(renamed, entries)).why == "its start differs (title, dial)"
    assert preview(book, prepare(start.model_copy(update={"id": "20231114-two"}), entries)).what == "new"


def test_a_merge_that_is_interrupted_keeps_whole_sessions_and_goes_on_later(book: Logbook, tmp_path: Path) -> None:
    there = Logbook(tmp_path / "many.sqlite", FakeClock())
    ids = [f"20240301-{number:04}" for number in range(120)]
    for session_id in ids:
        live = there.start(record("tube", session_id))
        crank_to(live, "separator-in")
        drive(live, Pressed())
    told: list[tuple[str, int, int]] = []

    def leave_at(what: str, done: int, all_of_them: int) -> None:
        told.append((what, done, all_of_them))
        if (what, done) == ("sessions", 115):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        merge(book, there.path, progress=leave_at)
    assert ("sessions", 1, 120) in told
    taken = [line.id for line in book.lines()]
    assert sorted(taken) == ids[:100], "what was committed by then, and nothing in parts"
    assert find_damage(book)[1] == []
    merged = merge(book, there.path)
    assert [item.what for item in merged.sessions].count("new") == 20
    assert sorted(line.id for line in book.lines()) == ids
    there.close()
