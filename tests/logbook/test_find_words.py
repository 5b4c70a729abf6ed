"""What is typed to find sessions by, read."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.lists import fill_lists
from hosewright.logbook.find.sessions import count, find
from hosewright.logbook.find.wanted import FindError, Wanted, read_wanted, wanted_words
from hosewright.session.events import Amended, Observed
from hosewright.session.fold import fold
from tests.faults.past import build
from tests.helpers import drive, record

if TYPE_CHECKING:
    from pathlib import Path


@given(st.text(max_size=40))
def test_nothing_typed_breaks_the_search(samples: Logbook, text: str) -> None:
    try:
        wanted = read_wanted(text)
    except FindError:
        return
    assert 0 <= count(samples.store, wanted) <= 1000


@pytest.mark.parametrize(
    "text",
    [
        "since:tomorrow",
        "since:2025-13",
        "until:2025-02-30",
        "began:0",
        "began:9999",
        "kind:hat",
        "status:s",
        "kind:st",
        "seen:moth",
        "needle:left",
        "gauge:10.4-",
        "pace:fast",
    ],
)
def test_what_cannot_be_looked_for_is_said(text: str) -> None:
    with pytest.raises(FindError):
        read_wanted(text)


def test_days_are_those_of_the_place() -> None:
    wanted = read_wanted("began:2025-03", zone_min=60)
    assert wanted.since_ms == 1_740_783_600_000  # 2025-02-28T23:00Z
    assert wanted.before_ms == 1_743_462_000_000  # 2025-03-31T23:00Z
    assert read_wanted("since:2025 until:2025-03", 60).before_ms == wanted.before_ms


def test_an_order_there_is_not(samples: Logbook) -> None:
    with pytest.raises(LogbookError):
        find(samples.store, Wanted(), "colour; DROP TABLE sessions")  # type: ignore[arg-type]


def _values(text: str) -> list[tuple[object, ...]]:
    return [term.values for term in read_wanted(text).terms]


def test_words_in_quotes_and_words_with_a_colon() -> None:
    assert _values('"new latch"') == [('"new latch"',)]
    assert _values('"new latc') == [('"new" *',), ('"latc" *',)], "half typed, each word is found by its beginning"
    assert _values('notes:"new latch"') == [('notes : "new latch"',)]
    assert _values("10:15") == [('"10" *',), ('"15" *',)]
    assert read_wanted('yarn:""') == Wanted()
    assert Wanted().anything


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("grey tube", "sessions with “grey” and “tube”"),
        ("kind:tube yarn:grey -dropped", "gauge tubes with “grey” in the yarn, without “dropped”"),
        ("verdict:right kind:sock", "socks with a fit that is right, round and in length"),
        ('"new latch" needle:17', "sessions with “new latch” and something noted at needle 17"),
        ("dial:30", "sessions with the dial 30 clicks below zero"),
        ("gauge:10.4-10.8", "sessions with a gauge of 10.4 to 10.8 rows/in"),
        ("pace:>25", "sessions with a usual pace of over 25 rows a minute"),
        ("pace:<=25,5", "sessions with a usual pace of 25.5 or less rows a minute"),
        ("lot:4471 for:cox", "sessions with yarn of lot “4471” and a promise that names “cox”"),
        ("status:drying status:open", "sessions drying or under way"),
        ("status:left-out", "sessions with a reason to be left out"),
        ("-kind:sock -fault:tuck", "sessions without any sock or a fault “tuck” noted"),
        ("since:July 2025 grey", "sessions with “grey”, begun since 1 Jul 2025"),
        ("July 2025", "sessions begun from 1 Jul 2025 to 31 Jul 2025"),
        ("15.7.2025 60", "sessions with “60”, begun on 15 Jul 2025"),
        ("-began:2024", "sessions without any begun from 1 Jan 2024 to 31 Dec 2024"),
        ("until:24/12", "sessions begun until 24 Dec 2025"),
        ("2025 grey", "sessions with “2025” and “grey”"),
    ],
)
def test_a_query_is_said_in_words(text: str, said: str) -> None:
    assert wanted_words(read_wanted(text, today=date(2026, 3, 4))) == said


def test_a_gauge_is_in_the_knitters_unit() -> None:
    (term,) = read_wanted("gauge:4.1", unit="cm").terms
    assert term.values == pytest.approx((0.405, 0.415))
    assert term.words == "a gauge of 4.1 rows/cm"


def test_folding_is_not_needed_for_a_list(samples: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> object:
        raise AssertionError("a list folded a session")

    monkeypatch.setattr("hosewright.session.fold.fold", never)
    assert fold is not never
    assert find(samples.store, Wanted())


def test_a_dye_lot_is_found_however_it_came_into_the_session(book: Logbook, tmp_path: Path) -> None:
    begun = book.start(record("tube", "20240101-begun").model_copy(update={"dye_lot": "ferry 417"}))
    joined = book.start(record("tube", "20240101-joined"))
    drive(joined, Observed("knot"))
    drive(joined, Amended(joined.state.last_seq, note="a ball of lot ferry 417 joined on", lot="lot-417"))
    book.start(record("tube", "20240101-other"))
    wanted = read_wanted("417")
    ids = {begun.record.id, joined.record.id}
    assert {line.id for line in find(book.store, wanted)} == ids
    assert {line.id for line in find(book.store, read_wanted('"dye lot ferry"'))} == {begun.record.id}
    fill_lists(book.store.db)
    assert {line.id for line in find(book.store, wanted)} == ids, "worked out again it comes to the same"


def test_dye_lots_of_a_logbook_of_version_three_are_found(tmp_path: Path) -> None:
    path = tmp_path / "past.sqlite"
    build(3, path)
    with closing(sqlite3.connect(path)) as db:
        (guard,) = db.execute("SELECT sql FROM sqlite_master WHERE name = 'sessions_start_as_written'").fetchone()
        db.execute("DROP TRIGGER sessions_start_as_written")
        (n,) = db.execute("SELECT max(n) FROM sessions").fetchone()
        db.execute("UPDATE sessions SET record = json_set(record, '$.dye_lot', 'ferry 417') WHERE n = ?", (n,))
        db.execute(guard)
        db.commit()
    with closing(Logbook(path)) as book:
        assert [line.n for line in find(book.store, read_wanted("417"))] == [n]
