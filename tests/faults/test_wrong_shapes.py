"""What stands in the logbook is right JSON of a wrong shape: whoever reads it says so, and nothing else comes out."""

from __future__ import annotations

import json
import random
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.logbook import glance
from hosewright.logbook.accounts import care, pace, pairs
from hosewright.logbook.accounts import care as find_needles
from hosewright.logbook.accounts import stock as stock_accounts
from hosewright.logbook.book import Logbook
from hosewright.logbook.file.coding import decode
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find import yarns as find_yarns
from hosewright.logbook.overview import overview
from hosewright.logbook.records.shelf import Machine, Yarn
from hosewright.logbook.travel import shelf_file
from hosewright.logbook.travel.session_files import read_text
from hosewright.paper.report import session_report
from hosewright.places import shipped_folder
from tests.faults.monkeys import fill
from tests.helpers import THOROUGH, FakeClock

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from hosewright.logbook.file.store import SessionLine

WRONG: tuple[Any, ...] = (None, "x", 5, [], {}, True, [[]], {"a": 1})
KINDS = {  # where it stands, and how one is put in the place of another
    "shelf": ("SELECT body, kind, id, revision FROM shelf", "UPDATE shelf SET body = ? WHERE (kind, id, revision) ="),
    "a start": ("SELECT record, n FROM sessions", "UPDATE sessions SET record = ? WHERE (n) ="),
    "a gauge": ("SELECT body, session FROM gauges", "UPDATE gauges SET body = ? WHERE (session) ="),
    "an event": (
        "SELECT body, session, seq FROM events WHERE body IS NOT NULL",
        "UPDATE events SET body = ? WHERE (session, seq) =",
    ),
}
TRIALS = 1000 if THOROUGH else 15


def _made_wrong(told: Any, rng: random.Random) -> Any:
    """A copy with one value anywhere in it replaced by one of another kind."""
    if isinstance(told, dict | list) and told and rng.random() < 0.85:
        copied = json.loads(json.dumps(told))
        key = rng.choice(list(told)) if isinstance(told, dict) else rng.randrange(len(told))
        copied[key] = _made_wrong(told[key], rng)
        return copied
    return rng.choice(WRONG)


def _readers(book: Logbook) -> Iterator[Callable[[], object]]:
    """What screens ask a logbook for."""
    machines, yarns = [one.id for one in book.shelf(Machine)], book.shelf(Yarn)
    beds = find_needles.beds(book.store)
    yield lambda: glance.look(book.store)
    yield lambda: overview(book.store, book.clock.now().at_ms)
    yield lambda: [glance.on_machine(book.store, one) for one in machines]
    yield lambda: [(care.last_oiled(book.store, one), care.history(book, one)) for one in machines]
    yield lambda: care.oil_due(book.store)
    yield lambda: (pairs.pairs(book, old=True), pace.recent_pace(book))
    yield lambda: stock_accounts.stocks(book, retired=True)
    yield lambda: [find_yarns.yarn_card(book, yarn) for yarn in yarns]
    yield lambda: [find_needles.faults_by_needle(book.store, bed) for bed in beds]


def _report(book: Logbook, line: SessionLine) -> str:
    return session_report(book.record(line), list(book.store.entries(line.n)), "in")


@pytest.mark.parametrize("kind", list(KINDS))
def test_a_wrong_shape_is_told_by_whoever_reads_it(tmp_path: Path, kind: str) -> None:
    """Each of them by every reader of the whole logbook; one of a session by that session's report, too.

    A report reads nothing but its own session, and nothing of the shelf: any other would be the same each time.
    """
    rng = random.Random(kind)
    with closing(Logbook(tmp_path / "logbook.sqlite", FakeClock())) as book:
        fill(book)
        shelf_file.take_in(book, shelf_file.parse(read_text(shipped_folder("sample_sessions") / shelf_file.NAME)))
        readers, lines = list(_readers(book)), {line.n: line for line in book.store.lines()}
        db = book.store.db
        for (name,) in list(db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")):
            db.execute(f"DROP TRIGGER {name}")
        asked, put = KINDS[kind]
        rows = db.execute(asked).fetchall()
        refused = 0
        for body, *place in rng.sample(rows, min(TRIALS, len(rows))):
            wrong = json.dumps(_made_wrong(json.loads(body), rng))
            where = f"{put} ({', '.join('?' * len(place))})"
            db.execute(where, (wrong, *place))
            line = lines.get(place[0]) if kind in ("a start", "an event") else None  # one set aside is in no list
            own: list[Callable[[], object]] = [partial(_report, book, line)] if line else []
            for read in (*readers, *own):
                try:
                    read()
                except LogbookError:
                    refused += 1
                except Exception as error:
                    raise AssertionError(f"{place}: {wrong}") from error
            db.execute(where, (body, *place))
        assert refused


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("observed", '{"fault": "dropped", "needle": {}}'),
        ("observed", '{"fault": []}'),
        ("observed", '{"fault": "a fault of no kind"}'),
        ("recounted", '{"count": "12"}'),
        ("recounted", '{"count": true}'),
        ("judged", "[]"),
        ("measured", '{"field": "raw-length", "value": null}'),
    ],
)
def test_an_event_with_a_value_of_another_type_is_no_event(kind: str, body: str) -> None:
    with pytest.raises(ValueError, match=kind):
        decode(kind, body)
