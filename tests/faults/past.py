"""Logbooks as past versions left them, kept as SQL text: ``python -m tests.faults.past`` writes one.

Run it before a migration is added: it writes a logbook of the version there is now.
"""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.schema import APPLICATION_ID, VERSION, VERSIONS, sql_of
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


def write() -> None:
    """The tables as this version makes them, with a few samples."""
    with tempfile.TemporaryDirectory() as folder, closing(Logbook(Path(folder) / "now.sqlite")) as book:
        for path in few_samples():
            filed = read(path)
            book.take_in(filed.session, filed.entries())
        text = [f"PRAGMA application_id = {APPLICATION_ID};", f"PRAGMA user_version = {VERSION};", "BEGIN;"]
        text += [*map(sql_of, VERSIONS), *_filling(book.store.db), "COMMIT;"]
        fixture_of(VERSION).write_text("\n".join(text) + "\n", encoding="utf-8")


def _filling(now: sqlite3.Connection) -> Iterator[str]:
    for table in ("shelf", "sessions", "events", "measurements", "gauges", "catalogue", "words", "seen", "standing"):
        found = now.execute(f"SELECT {'rowid, ' if table == 'words' else ''}* FROM {table}")
        names = ", ".join(column[0] for column in found.description)
        for row in found.fetchall():
            values = (now.execute("SELECT quote(?)", (value,)).fetchone()[0] for value in row)
            yield f"INSERT INTO {table} ({names}) VALUES ({', '.join(values)});"


def build(version: int, path: Path) -> None:
    """A logbook of a past version at ``path``."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.executescript(fixture_of(version).read_text(encoding="utf-8"))


if __name__ == "__main__":
    write()
