"""The logbook's file: sessions and their events in SQLite. What is committed here survives a power cut."""

from __future__ import annotations

import sqlite3
import sys
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hosewright.logbook.coding import decode, encode
from hosewright.logbook.schema import APPLICATION_ID, NewerLogbookError, migrate, version_of
from hosewright.session.events import Entry

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from hosewright.logbook.records import SessionRecord
    from hosewright.session.state import Status


_LINE = "SELECT n, id, kind, title, started_ms, status, changed_ms FROM sessions"


class LogbookError(Exception):
    """The logbook cannot do what was asked; ``str(error)`` is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class SessionLine:
    """A session as a list shows it."""

    n: int
    id: str
    kind: str
    title: str
    started_ms: int
    status: Status
    changed_ms: int


class Store:
    """One open logbook. Not for use from several threads."""

    def __init__(self, path: Path) -> None:
        """Open the logbook at ``path``, making it when it is not there. Raises LogbookError."""
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            new = not path.exists()
            self.db = sqlite3.connect(path, isolation_level=None, timeout=5)
        except (OSError, sqlite3.Error) as error:
            raise LogbookError(f"The logbook {path} cannot be opened: {_plain(error)}.") from error
        try:
            self._prepare(new)
        except BaseException:
            self.db.close()
            raise

    def _prepare(self, new: bool) -> None:
        try:
            if new:
                self.path.chmod(0o600)
            self.db.execute("PRAGMA foreign_keys = ON")
            if not new and self.db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                mark = self.db.execute("PRAGMA application_id").fetchone()[0]
                if mark != APPLICATION_ID:
                    raise LogbookError(f"{self.path} is a database, but not a hosewright logbook. It was not touched.")
            version_of(self.db)  # before the journal mode, which is written into the file
            self.db.execute("PRAGMA journal_mode = WAL")
            self.db.execute("PRAGMA synchronous = FULL")
            if sys.platform == "darwin":
                self.db.execute("PRAGMA fullfsync = ON")
            migrate(self.db)
        except NewerLogbookError as error:
            raise LogbookError(str(error)) from error
        except (OSError, sqlite3.Error) as error:
            raise LogbookError(f"The logbook {self.path} cannot be read: {_plain(error)}.") from error

    def close(self) -> None:
        """Close the file."""
        self.db.close()

    @contextmanager
    def one_commit(self) -> Iterator[sqlite3.Connection]:
        """Everything inside is stored together or not at all. Raises LogbookError when it cannot be stored."""
        try:
            self.db.execute("BEGIN IMMEDIATE")
        except sqlite3.Error as error:
            raise LogbookError(f"Not stored: {_plain(error)}.") from error
        try:
            yield self.db
            self.db.execute("COMMIT")
        except sqlite3.Error as error:
            self._roll_back()
            raise LogbookError(f"Not stored: {_plain(error)}.") from error
        except BaseException:
            self._roll_back()
            raise

    def _ask(self, sql: str, *values: object) -> Iterator[tuple[Any, ...]]:
        try:
            yield from self.db.execute(sql, values)
        except sqlite3.Error as error:
            raise LogbookError(f"The logbook {self.path} cannot be read: {_plain(error)}.") from error

    def _roll_back(self) -> None:
        if self.db.in_transaction:
            self.db.execute("ROLLBACK")

    # --- sessions ------------------------------------------------------------------------------------------

    def add_session(self, record: SessionRecord) -> int:
        """Store the frozen start of a session and return its number. Call inside ``one_commit``."""
        row = self.db.execute(
            "INSERT INTO sessions (id, kind, title, started_ms, status, changed_ms, record)"
            " VALUES (?, ?, ?, ?, 'open', ?, ?)",
            (
                record.id,
                record.kind,
                record.title,
                record.started_ms,
                record.started_ms,
                record.model_dump_json(),
            ),
        )
        assert row.lastrowid is not None
        return row.lastrowid

    def lines(self, *statuses: Status, newest: int = 10_000) -> list[SessionLine]:
        """Sessions with one of ``statuses`` (any, when none is named), the last changed first."""
        where = f"WHERE status IN ({','.join('?' * len(statuses))})" if statuses else ""
        rows = self._ask(f"{_LINE} {where} ORDER BY changed_ms DESC, n DESC LIMIT ?", *statuses, newest)
        return [SessionLine(*row) for row in rows]

    def line(self, session_id: str) -> SessionLine | None:
        """The session with exactly this id."""
        return next((SessionLine(*row) for row in self._ask(f"{_LINE} WHERE id = ?", session_id)), None)

    def find(self, beginning: str) -> SessionLine:
        """The one session whose id begins with ``beginning``. Raises LogbookError for none or several."""
        rows = self._ask(f"{_LINE} WHERE substr(id, 1, ?) = ? ORDER BY id LIMIT 6", len(beginning), beginning)
        lines = [SessionLine(*row) for row in rows]
        exact = [line for line in lines if line.id == beginning]
        if exact or len(lines) == 1:
            return (exact or lines)[0]
        if not lines or not beginning:
            raise LogbookError(
                f"There is no session {beginning[:40]!r} in this logbook; `hosewright logbook list` lists them."
            )
        names = ", ".join(line.id for line in lines[:5])
        raise LogbookError(f"Several sessions begin with {beginning[:40]!r} ({names}); type more of the id.")

    def record_text(self, n: int) -> str:
        """The frozen start of session ``n`` as the JSON it was stored as."""
        for (text,) in self._ask("SELECT record FROM sessions WHERE n = ?", n):
            return str(text)
        raise LogbookError("That session is not in this logbook.")

    def set_status(self, n: int, status: Status, changed_ms: int) -> None:
        """Note where session ``n`` stands, for lists. Call inside ``one_commit``."""
        self.db.execute("UPDATE sessions SET status = ?, changed_ms = ? WHERE n = ?", (status, changed_ms, n))

    # --- events --------------------------------------------------------------------------------------------

    def add_entries(self, n: int, entries: Iterable[Entry]) -> None:
        """Append ``entries`` to session ``n``. Call inside ``one_commit``."""
        self.db.executemany(
            "INSERT INTO events (session, seq, at_ms, zone_min, tick_ms, kind, body) VALUES (?, ?, ?, ?, ?, ?, ?)",
            [(n, e.seq, e.at_ms, e.zone_min, e.tick_ms, *encode(e.event)) for e in entries],
        )

    def entries(self, n: int) -> Iterator[Entry]:
        """The entries of session ``n``, first to last. Raises LogbookError at one that cannot be read."""
        rows = self._ask(
            "SELECT seq, at_ms, zone_min, tick_ms, kind, body FROM events WHERE session = ? ORDER BY seq", n
        )
        for seq, at_ms, zone_min, tick_ms, kind, body in rows:
            try:
                event = decode(kind, body)
            except ValueError as error:
                raise LogbookError(f"Event {seq} of the session cannot be read: {error}.") from error
            yield Entry(seq, at_ms, zone_min, tick_ms, event)

    # --- projections: what lists and plans ask for, worked out again from the events at any time -------------

    def add_measurements(self, n: int, rows: Sequence[tuple[int, str, float, str]]) -> None:
        """Readings of session ``n`` as (seq, field, value, typed). Call inside ``one_commit``."""
        self.db.executemany("INSERT INTO measurements VALUES (?, ?, ?, ?, ?)", [(n, *row) for row in rows])

    def set_gauge(self, n: int, yarn: str, cylinder: str, at_ms: int, body: str | None) -> None:
        """The gauge session ``n`` came to, or None when it has none. Call inside ``one_commit``."""
        self.db.execute("DELETE FROM gauges WHERE session = ?", (n,))
        if body is not None:
            self.db.execute("INSERT INTO gauges VALUES (?, ?, ?, ?, ?)", (n, yarn, cylinder, at_ms, body))

    def gauge_texts(self, newest: int = -1) -> list[str]:
        """The ``newest`` gauges as JSON (all, when negative), newest first."""
        rows = self._ask("SELECT body FROM gauges ORDER BY at_ms DESC, session DESC LIMIT ?", newest)
        return [row[0] for row in rows]

    # --- shelf ---------------------------------------------------------------------------------------------

    def shelf_texts(self, kind: str) -> list[str]:
        """The latest revision of everything of ``kind`` as JSON, in order of first coming."""
        rows = self._ask(
            "SELECT body, (SELECT min(at_ms) FROM shelf f WHERE f.kind = s.kind AND f.id = s.id) AS came"
            " FROM shelf s WHERE kind = ? AND revision ="
            " (SELECT max(revision) FROM shelf l WHERE l.kind = s.kind AND l.id = s.id) ORDER BY came, id",
            kind,
        )
        return [row[0] for row in rows]

    def on_shelf(self, kind: str, item_id: str) -> bool:
        """Whether there is anything of ``kind`` with this id."""
        row = self.db.execute("SELECT 1 FROM shelf WHERE kind = ? AND id = ? LIMIT 1", (kind, item_id)).fetchone()
        return row is not None

    def add_revision(self, kind: str, item_id: str, at_ms: int, body: str) -> None:
        """A new revision of a thing on the shelf; earlier ones stay. Call inside ``one_commit``."""
        self.db.execute(
            "INSERT INTO shelf SELECT ?, ?, coalesce(max(revision), 0) + 1, ?, ? FROM shelf WHERE kind = ? AND id = ?",
            (kind, item_id, at_ms, body, kind, item_id),
        )

    # --- care ----------------------------------------------------------------------------------------------

    def faults(self) -> list[str]:
        """What SQLite's own checks find wrong, one line each; empty when the file is sound."""
        try:
            found = [row[0] for row in self.db.execute("PRAGMA integrity_check") if row[0] != "ok"]
            found += [f"a row of {row[0]} belongs to nothing" for row in self.db.execute("PRAGMA foreign_key_check")]
        except sqlite3.Error as error:
            found = [_plain(error)]
        return found

    def copy_to(self, target: Path) -> None:
        """A sound copy of the whole logbook at ``target``. Raises LogbookError when it exists or cannot be written."""
        if target.exists():
            raise LogbookError(f"{target} is there already; name a file that is not.")
        try:
            copy = sqlite3.connect(target)
            with copy:
                self.db.backup(copy)
            copy.close()
            target.chmod(0o600)
        except (OSError, sqlite3.Error) as error:
            raise LogbookError(f"The copy {target} could not be written: {_plain(error)}.") from error


def _plain(error: Exception) -> str:
    words = {
        "database or disk is full": "the disk is full",
        "attempt to write a readonly database": "the file or its folder is read-only",
        "unable to open database file": "the folder is missing or may not be entered",
        "file is not a database": "the file is not a database",
        "database is locked": "another program is writing to it",
        "UNIQUE constraint failed: events.session, events.seq": "this session was added to elsewhere; take it up anew",
    }
    said = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return words.get(said, said).rstrip(".")
