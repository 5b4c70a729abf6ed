"""Logbooks as past versions left them, kept as SQL text: ``python -m tests.faults.past VERSION`` writes one.

Run it before the migration after VERSION is added, or later: only the tables VERSION had are filled.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.schema import APPLICATION_ID, MIGRATIONS
from hosewright.logbook.travel.session_files import read
from hosewright.places import shipped_folder

if TYPE_CHECKING:
    from collections.abc import Iterator

FIXTURES = Path(__file__).with_name("fixtures")
SAMPLES = ("01", "02", "07")  # a search, a measured tube and a sock given up, so that the text stays short


def fixture_of(version: int) -> Path:
    return FIXTURES / f"version-{version}.sql"


def few_samples() -> list[Path]:
    found = sorted(shipped_folder("sample_sessions").glob("[0-9]*.json"))
    return [path for path in found if path.name[:2] in SAMPLES]


def write(version: int) -> None:
    """The tables of ``version`` as it made them, then what was typed and cranked; its triggers work out the rest."""
    with tempfile.TemporaryDirectory() as folder, closing(Logbook(Path(folder) / "now.sqlite")) as book:
        for path in few_samples():
            filed = read(path)
            book.take_in(filed.session, filed.entries())
        made = [f"{statement.strip()};" for _, statements in MIGRATIONS[:version] for statement in statements]
        text = [f"PRAGMA application_id = {APPLICATION_ID};", f"PRAGMA user_version = {version};", "BEGIN;"]
        text += [*made, *_filling(book.store.db), "COMMIT;"]
        fixture_of(version).write_text("\n".join(text) + "\n", encoding="utf-8")


def _filling(now: sqlite3.Connection) -> Iterator[str]:
    for table in ("shelf", "sessions", "events", "measurements", "gauges"):
        for row in now.execute(f"SELECT * FROM {table}").fetchall():
            values = (now.execute("SELECT quote(?)", (value,)).fetchone()[0] for value in row)
            yield f"INSERT INTO {table} VALUES ({', '.join(values)});"


def build(version: int, path: Path) -> None:
    """A logbook of a past version at ``path``."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.executescript(fixture_of(version).read_text(encoding="utf-8"))


if __name__ == "__main__":
    number = int(sys.argv[1])
    assert 1 <= number <= len(MIGRATIONS)
    write(number)
