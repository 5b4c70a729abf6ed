"""The fast way to read a stored start gives what the checked way gives."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.file.coding import head_of, start_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.glance import look
from hosewright.logbook.travel.session_files import read
from hosewright.places import shipped_folder
from tests.helpers import record

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook


@pytest.mark.parametrize("path", sorted(shipped_folder("sample_sessions").glob("[0-9]*.json")), ids=lambda p: p.stem)
def test_every_sample_reads_the_same_both_ways(path: object) -> None:
    session = read(path).session  # type: ignore[arg-type]
    assert head_of(start_of(session.model_dump_json())) == session.head


@pytest.mark.parametrize("text", ["[]", "{}", "not json", '{"steps": [{"kind": "dance"}]}', '{"steps": [{}]}'])
def test_a_start_that_cannot_be_read_is_a_value_error(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        head_of(start_of(text))


def test_a_damaged_start_is_a_sentence_on_the_bench(book: Logbook) -> None:
    book.start(record("tube"))
    for (name,) in book.store.db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        book.store.db.execute(f'DROP TRIGGER "{name}"')
    book.store.db.execute("UPDATE sessions SET record = '{}'")
    with pytest.raises(LogbookError, match="cannot be read"):
        look(book.store)
