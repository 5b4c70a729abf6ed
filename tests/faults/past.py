"""Logbooks as past versions left them, kept as SQL text: ``python -m tests.faults.past VERSION`` writes one.

Run it before the migration after VERSION is added, or later: only the tables VERSION had are filled.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

from hosewright.logbook.book import Logbook
from hosewright.logbook.files import read
from hosewright.logbook.schema import APPLICATION_ID, MIGRATIONS, tables_of
from hosewright.places import shipped_folder

FIXTURES = Path(__file__).with_name("fixtures")
SAMPLES = ("01", "02", "07")  # a search, a measured tube and a sock given up, so that the text stays short


def fixture_of(version: int) -> Path:
    return FIXTURES / f"version-{version}.sql"


def few_samples() -> list[Path]:
    found = sorted(shipped_folder("sample_sessions").glob("*.json"))
    return [path for path in found if path.name[:2] in SAMPLES]


def write(version: int) -> None:
    with tempfile.TemporaryDirectory() as folder, closing(Logbook(Path(folder) / "now.sqlite")) as book:
        for path in few_samples():
            filed = read(path)
            book.take_in(filed.session, filed.entries())
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as then:
            tables_of(then, version)
            _fill(then, book.store.db)
            lines = [f"PRAGMA application_id = {APPLICATION_ID};", f"PRAGMA user_version = {version};"]
            fixture_of(version).write_text("\n".join([*lines, *then.iterdump()]) + "\n", encoding="utf-8")


def _fill(then: sqlite3.Connection, now: sqlite3.Connection) -> None:
    """Copy what was typed and cranked; triggers of ``then`` work out the rest as they did at the time."""
    for table in ("shelf", "sessions", "events", "measurements", "gauges"):
        for row in now.execute(f"SELECT * FROM {table}"):
            then.execute(f"INSERT INTO {table} VALUES ({','.join('?' * len(row))})", row)


def build(version: int, path: Path) -> None:
    """A logbook of a past version at ``path``."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.executescript(fixture_of(version).read_text(encoding="utf-8"))


if __name__ == "__main__":
    number = int(sys.argv[1])
    assert 1 <= number <= len(MIGRATIONS)
    write(number)
