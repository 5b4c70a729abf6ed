"""What another process wants kept while the logbook is open."""

from __future__ import annotations

import stat
import threading
import time
from contextlib import closing, suppress
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.accounts.care import blank
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.year import Care
from hosewright.logbook.upkeep import errands
from tests.helpers import FakeClock, machine

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    with closing(Logbook.for_counting(tmp_path / "logbook.sqlite", FakeClock())) as opened:
        opened.keep(machine())
        yield opened


def oiled(book: Logbook) -> Care:
    return blank(machine(), "oiled", book.clock.now())


def left(book: Logbook) -> Path:
    return book.path.with_name(errands.FOLDER)


def test_the_writer_keeps_it_and_the_one_who_left_it_learns_so(book: Logbook) -> None:
    item = oiled(book)
    told: list[bool] = []
    waiting = threading.Thread(target=lambda: told.append(errands.leave(book.path, "care", item, wait_s=20)))
    waiting.start()
    while not list(left(book).glob("*.json")) if left(book).is_dir() else True:
        time.sleep(0.01)
    assert stat.S_IMODE(left(book).stat().st_mode) == 0o700
    assert stat.S_IMODE(next(left(book).glob("*.json")).stat().st_mode) == 0o600
    assert errands.take(book) == [item]
    waiting.join(20)
    assert told == [True]
    assert book.shelf(Care) == [item]
    assert list(left(book).iterdir()) == []
    assert errands.take(book) == []


def test_what_nobody_takes_is_taken_back(book: Logbook) -> None:
    assert errands.leave(book.path, "care", oiled(book), wait_s=0.1) is False
    assert list(left(book).iterdir()) == []
    assert errands.take(book) == []


def test_what_a_killed_bench_had_in_hand_is_kept_by_the_next_one_once(book: Logbook) -> None:
    item = oiled(book)
    left(book).mkdir()
    (left(book) / "x.taken").write_text('{"kind": "care", "body": ' + item.model_dump_json() + "}")
    assert errands.take(book) == [item]
    assert errands.take(book) == []
    assert book.shelf(Care) == [item]


def test_what_cannot_be_saved_now_is_not_said_to_be(book: Logbook) -> None:
    item = oiled(book)
    left(book).mkdir()
    (left(book) / "x.json").write_text('{"kind": "care", "body": ' + item.model_dump_json() + "}")
    pages = book.store.db.execute("PRAGMA page_count").fetchone()[0]
    book.store.db.execute(f"PRAGMA max_page_count = {pages}")
    kept = 0
    with suppress(LogbookError):
        while kept < 2000:
            book.keep(oiled(book))
            kept += 1
    assert kept < 2000
    with pytest.raises(LogbookError, match="the disk is full"):
        errands.take(book)
    assert [path.name for path in left(book).iterdir()] == ["x.taken"]
    book.store.db.execute("PRAGMA max_page_count = 100000")
    assert errands.take(book) == [item]


UNREAD = ["", "[]", '{"kind": "nosuch", "body": {}}', '{"kind": "care", "body": []}', "\udcff" * 3]


@pytest.mark.parametrize("text", UNREAD)
def test_what_cannot_be_read_is_set_aside(book: Logbook, text: str) -> None:
    left(book).mkdir()
    (left(book) / "x.json").write_bytes(text.encode("utf-8", "surrogateescape"))
    assert errands.take(book) == []
    assert [path.name for path in left(book).iterdir()] == ["x.unread"]
    assert errands.take(book) == []


def test_a_bench_that_only_looks_leaves_it(book: Logbook, tmp_path: Path) -> None:
    left(book).mkdir()
    (left(book) / "x.json").write_text('{"kind": "care", "body": ' + oiled(book).model_dump_json() + "}")
    with closing(Logbook.for_counting(tmp_path / "logbook.sqlite")) as second:
        assert second.store.why_read_only
        assert errands.take(second) == []
    assert [path.name for path in left(book).iterdir()] == ["x.json"]
