"""A copy of a logbook with all its days so many days later."""

from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from datetime import date, timedelta
from typing import TYPE_CHECKING

from hosewright.logbook.file.schema import without_guards
from hosewright.phrases.times import DAY_MS

if TYPE_CHECKING:
    from pathlib import Path

EPOCH = date(1970, 1, 1)
_DAY = re.compile(r'("(?:made|by|handed_over|bought)":")([0-9]{4}-[0-9]{2}-[0-9]{2})(?=")')
_MOMENT = re.compile(r'("(?:started|at)_ms":)([0-9]+)')
# Every moment in the tables, and every text that has some in it.
_MOMENTS = (
    *(("events", "at_ms"), ("shelf", "at_ms"), ("gauges", "at_ms"), ("seen", "at_ms"), ("standing", "since_ms")),
    *(("sessions", "started_ms"), ("sessions", "changed_ms"), ("catalogue", "began"), ("catalogue", "changed")),
)
_TEXTS = (("sessions", "record"), ("shelf", "body"), ("gauges", "body"))


def copy_later(logbook: Path, copy: Path, newest: date) -> None:
    """Copy the logbook so that its last event is on the day ``newest``; the time of the day stays, and so do ids.

    It is for a logbook that is to be thrown away: what was written is changed, which its triggers refuse otherwise.
    """
    shutil.copyfile(logbook, copy)
    with closing(sqlite3.connect(copy)) as db:
        db.execute("PRAGMA synchronous = OFF")
        (last,) = db.execute(f"SELECT max((at_ms + zone_min * 60000) / {DAY_MS}) FROM events").fetchone()
        days = (newest - EPOCH).days - last
        db.create_function("later", 1, lambda text: _later(text, days), deterministic=True)
        with db, without_guards(db):
            for table, column in _MOMENTS:
                db.execute(f"UPDATE {table} SET {column} = {column} + ?", (days * DAY_MS,))
            for table, column in _TEXTS:
                db.execute(f"UPDATE {table} SET {column} = later({column})")


def _later(text: str, days: int) -> str:
    """``text`` with each moment and day moved ``days`` on."""
    text = _DAY.sub(lambda found: found[1] + (date.fromisoformat(found[2]) + timedelta(days)).isoformat(), text)
    return _MOMENT.sub(lambda found: f"{found[1]}{int(found[2]) + days * DAY_MS}", text)
