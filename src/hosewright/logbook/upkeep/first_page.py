"""A new first page for a logbook whose own list of tables is destroyed, so that the tables can be reached again.

A database's first page says where its tables begin. The tables of sessions were the first ever made in every logbook,
so they begin at the same pages in all of them, but for those written anew when a wearer was forgotten, which again are
alike. The layout is that of sqlite.org/fileformat2.html.
"""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

from hosewright.logbook.file.schema import make

_PAGE = 4096  # SQLite's own size since 2016, which no logbook ever changed
_NEEDED = ("shelf", "sessions", "events")
_PAGES_AT, _FREE_AT, _SIZE = 28, 32, 4  # of the header: pages in the file, first free page and how many are free


def lay_over(path: Path) -> None:
    """Give the logbook at ``path`` the first page of a new one, with the tables sessions are kept in and no others.

    Of the two places where the tables can begin, as made and as a file written anew has them, the one is taken where
    there are events. Raises OSError. Meant for a copy: what the old page said is gone.
    """
    pages = -(-path.stat().st_size // _PAGE)
    for written_anew in (True, False):  # the usual one last, so that it stays when neither holds events
        page = bytearray(_new_first_page(written_anew=written_anew))
        page[_PAGES_AT : _PAGES_AT + _SIZE] = pages.to_bytes(_SIZE, "big")
        page[_FREE_AT : _FREE_AT + 2 * _SIZE] = bytes(2 * _SIZE)
        with path.open("rb+") as file:
            file.write(page)
            file.truncate(pages * _PAGE)
        if _holds_events(path):
            return


def _holds_events(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as db:
        try:
            found = db.execute("SELECT typeof(seq), typeof(zone_min), typeof(kind) FROM events LIMIT 1").fetchone()
        except sqlite3.Error:
            return False
    return bool(found == ("integer", "integer", "text"))


def _new_first_page(*, written_anew: bool) -> bytes:
    with tempfile.TemporaryDirectory(prefix="hosewright-") as folder:
        path = Path(folder) / "new.sqlite"
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            db.execute(f"PRAGMA page_size = {_PAGE}")
            make(db, 1)
            if written_anew:
                db.execute("VACUUM")
            db.execute("PRAGMA writable_schema = ON")
            marks = ",".join("?" * len(_NEEDED))
            # The index a UNIQUE column makes is part of its table and must stay.
            db.execute(
                f"DELETE FROM sqlite_master WHERE name NOT IN ({marks}) AND name NOT LIKE 'sqlite_autoindex_sessions%'",
                _NEEDED,
            )
        return path.read_bytes()[:_PAGE]
