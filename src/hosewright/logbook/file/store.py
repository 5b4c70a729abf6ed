"""The logbook's file: sessions and their events in SQLite. What is committed here survives a power cut."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from threading import Lock
from typing import TYPE_CHECKING, Any

from hosewright import __version__
from hosewright.logbook.file.backups import copy
from hosewright.logbook.file.called import EVERY_NAME, Called, names_in, show_by_name, with_ids_now
from hosewright.logbook.file.errors import LogbookError, ReadOnlyError, plain
from hosewright.logbook.file.lists import BEGINS, TURNS_OUT, follow
from hosewright.logbook.file.opening import CHECKPOINT_PAGES, COMMITS_IN_LOG, open_file
from hosewright.logbook.file.schema import VERSION

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from hosewright.logbook.file.called import Names
    from hosewright.logbook.file.coding import Prepared, Standing
    from hosewright.logbook.file.seal import Sealing
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.session.events import Entry
    from hosewright.session.state import Status

    _EventRow = tuple[int, int, int, int, int, str, str | None]


_MAY_BE_SAVED = (
    " Nothing can be written to the disk now. If hosewright ends before that changes, look at the count when you "
    "start it again: the first row refused may have been saved after all."
)
_MORE = "~"  # ``coding.MORE``, without the engine, which the first frame does not need
_EVERY_LINE = "SELECT n, id, kind, title, started_ms, status, changed_ms FROM sessions"
_LINE = f"{_EVERY_LINE} WHERE status <> 'aside'"


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

    @property
    def session(self) -> str:
        """The id of the session that it is, or is another way of (see ``Store.asides``)."""
        return self.id.partition("~")[0]


class Store:
    """One open logbook. Not for use from several threads."""

    def __init__(self, path: Path, why_read_only: str = "", *, locked: bool = False) -> None:
        """Open the logbook at ``path``, making it when it is not there. Raises LogbookError.

        ``why_read_only``: why it is opened read-only. A file that is so is opened so by itself.
        ``locked``: its lock is held, so that no bench is at it.
        """
        self.path = path
        self._file = open_file(path, why_read_only, locked=locked)
        self.db = self._file.db
        self._may_change = True
        self._sealing: Sealing | None = None  # how the log may be carried into the file
        self._commits = 0  # since it last was
        self._committing = Lock()
        self._denied = False  # whether what a failed commit wrote may still stand in the log

    @property
    def why_read_only(self) -> str:
        """Why nothing can be written, in a sentence; empty when it can."""
        return self._file.why_read_only

    @property
    def notes(self) -> list[str]:
        """What the person should know of the place the file lies in."""
        return self._file.notes

    def make_read_only(self, why: str) -> None:
        """Write nothing more, for the reason given in a sentence."""
        self._file.why_read_only = why

    def shut(self, within_s: float = 0.5) -> None:
        """From another thread, while the one that uses it hangs: let a commit under way end, and none begin again.

        The file itself is closed with the process, which is to end now: nothing is open in it by then.
        """
        self._committing.acquire(timeout=within_s)

    def close(self) -> None:
        self.wait_for_seal()
        self.db.close()

    def wait_for_seal(self) -> None:
        """Return when nobody is at the seal."""
        if self._sealing is not None:
            self._sealing.wait()

    def lost(self) -> str:
        """Why nothing is stored any more, said once, when the file is found emptied or cut short; else empty."""
        if self.why_read_only or not self._file.shrunk():
            return ""
        self.make_read_only(
            f"The logbook {self.path} was emptied or cut short by something else. The count stops here: nothing can be "
            "saved any more. Leave; `hosewright logbook restore` lists the backups."
        )
        return self.why_read_only

    def _refuse_lost_writes(self) -> None:
        self.lost()
        if self._file.why_read_only:
            raise ReadOnlyError(self._file.why_read_only)
        if not self._file.still_there():
            raise LogbookError(
                f"Not saved: the logbook {self.path} is no longer in its place (moved, replaced, or its drive "
                "unplugged). Put it back, or leave and start again."
            )

    @contextmanager
    def one_commit(self) -> Iterator[sqlite3.Connection]:
        """Everything inside is stored together or not at all. Raises LogbookError when it cannot be stored."""
        with self._committing:
            yield from self._one_commit()

    def _one_commit(self) -> Iterator[sqlite3.Connection]:
        self._refuse_lost_writes()
        try:
            self._write_over_denied()
            self.db.execute("BEGIN IMMEDIATE")
        except sqlite3.Error as error:
            raise LogbookError(f"Not saved: {plain(error)}.{_MAY_BE_SAVED if self._denied else ''}") from error
        try:
            yield self.db
            self._denied = True
            self.db.execute("COMMIT")
            self._denied = False
            self._commits += 1
        except sqlite3.Error as error:
            self._roll_back()
            raise LogbookError(f"Not saved: {plain(error)}.{self._after_denial()}") from error
        except BaseException:
            self._roll_back()
            raise
        if self._sealing is not None and self._commits >= COMMITS_IN_LOG:
            self.fold_log_in()

    def _write_over_denied(self) -> None:
        """Commit something harmless over what a failed commit left in the log. Raises sqlite3.Error.

        A commit whose sync fails is undone in memory, but its frames stand in the log, whole and valid: after a kill
        they would be read as a row that the person was told is not there. The next commit begins at the same place,
        and the frames behind it are then no part of the log (their checksums are chained, sqlite.org/fileformat2.html,
        section 4.2).
        """
        if self._denied:
            self.db.execute(f"PRAGMA user_version = {VERSION}")  # a commit of its own, though it changes nothing
            self._denied = False

    def _after_denial(self) -> str:
        """Overwrite a denied commit; what to say when not even that can be written."""
        with suppress(sqlite3.Error):
            self._write_over_denied()
        return _MAY_BE_SAVED if self._denied else ""

    def ask(self, sql: str, *values: object, **named: object) -> list[tuple[Any, ...]]:
        """The rows of a query. Raises LogbookError when they cannot be read."""
        try:
            return self.db.execute(sql, named or values).fetchall()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            raise LogbookError(f"The logbook {self.path} cannot be read: {plain(error)}.") from error

    @property
    def version(self) -> tuple[int, int]:
        """Another one whenever something was written, from here or by another program. Raises LogbookError."""
        ((elsewhere,),) = self.ask("PRAGMA data_version")
        return self.db.total_changes, elsewhere

    def _roll_back(self) -> None:
        if self.db.in_transaction:
            self.db.execute("ROLLBACK")

    def fold_log_in(self) -> None:
        """Carry the write-ahead log into the file, in a pause. What is stored is stored whether or not it succeeds."""
        self._commits = 0
        if not self._may_change:
            return
        with suppress(sqlite3.Error, OSError):
            if self._sealing is None:
                self._checkpoint()
            else:
                self._sealing.while_off(self._checkpoint)

    def _checkpoint(self) -> None:
        how = "TRUNCATE" if self._file.cut_short else "PASSIVE"  # so that what was cut short is told once
        self.db.execute(f"PRAGMA wal_checkpoint({how})")
        self._file.cut_short = False

    def keep_file_as_it_is(self) -> None:
        """Write to the log alone for now."""
        self._may_change = False
        self.db.execute("PRAGMA wal_autocheckpoint = 0")

    def let_file_change(self, sealing: Sealing | None = None) -> None:
        """Carry the log into the file from now on: in pauses, and when it has grown long.

        With a ``sealing`` only while the seal is off; else SQLite may do it by itself at any commit.
        """
        self._may_change, self._sealing = True, sealing
        self.db.execute(f"PRAGMA wal_autocheckpoint = {0 if sealing else CHECKPOINT_PAGES}")
        if self._file.cut_short:
            self.fold_log_in()

    # --- sessions ------------------------------------------------------------------------------------------

    def add_session(self, record: SessionRecord) -> int:
        """Store the frozen start of a session and return its number. Call inside ``one_commit``."""
        started = record.started_ms
        return self._add_start(
            (record.id, record.kind, record.title, started, "open", started, record.model_dump_json(), None)
        )

    def add_prepared(self, one: Prepared) -> int:
        """Store a whole session and return its number. Call inside ``one_commit``."""
        begun = one.record if one.stands else None
        start = (one.id, one.kind, one.title, one.started_ms, one.status, one.changed_ms, one.stands or one.record)
        n = self._add_start((*start, begun))
        self._add_events([(n, *row) for row in one.events])
        self._list(n, one)
        return n

    def _list(self, n: int, one: Prepared) -> None:
        """Let the lists tell of session ``n``, whose start and events they have, what all of it comes to."""
        self.add_measurements(n, one.readings)
        if one.verdict:
            self.set_verdict(n, one.verdict)
        if one.left_out is not None:
            reason, cranked = one.left_out
            self.set_left_out(n, reason, cranked=cranked)
        if one.gauge is not None:
            yarn, cylinder, body = one.gauge
            self.set_gauge(n, yarn, cylinder, one.changed_ms, body)
        self.set_standing(n, one.standing)
        self._show_by_name(n)

    # --- a session that went on in two places ----------------------------------------------------------------

    def lengthen(self, n: int, one: Prepared, after: int) -> None:
        """Append the events of ``one`` past number ``after`` to session ``n``, which it begins with.

        Call inside ``one_commit``.
        """
        aside = self.db.execute("SELECT 1 FROM sessions WHERE n = ? AND status = 'aside'", (n,)).fetchone()
        if not aside:
            self._forget_in_lists(n)
        self._insert_events([(n, *row) for row in one.events[after:]])
        if not aside:
            self._put_in_lists(n, one)

    def add_aside(self, one: Prepared) -> None:
        """Store another way a session that is here went on; no list shows it. Call inside ``one_commit``."""
        ((n,),) = self.db.execute("SELECT coalesce(max(n), 0) + 1 FROM sessions").fetchall()
        row = (n, f"{one.id}~{n}", one.whose, one.started_ms, one.changed_ms, one.record)
        self.db.execute("INSERT INTO sessions VALUES (?, ?, 'aside', ?, ?, 'aside', ?, ?, NULL)", row)
        self._insert_events([(n, *row) for row in one.events])

    def asides(self, session_id: str = "") -> list[SessionLine]:
        """The other ways a session went on (without an id, those of all), in the order they came.

        The title of each says where it is from, and its id is that of the session, "~" and a number.
        """
        rows = self.ask(f"{_EVERY_LINE} WHERE status = 'aside' ORDER BY n")
        found = [SessionLine(*row) for row in rows]
        return [line for line in found if session_id in ("", line.session)]

    def keeps_others(self) -> bool:
        """Whether another way of any session, or another version of a thing, was ever kept beside the one in place."""
        asked = (
            "SELECT EXISTS (SELECT 1 FROM sessions WHERE status = 'aside'), EXISTS (SELECT 1 FROM shelf WHERE kind = ?)"
        )
        return any(self.ask(asked, "beside")[0])

    def change_places(self, n: int, one: Prepared, aside: int) -> None:
        """Let ``one``, until now number ``aside``, stand in the place of session ``n``, which is set aside.

        Call inside ``one_commit``. Of the guard over a session's start that of its id is lifted for it.
        """
        (guard,) = self.db.execute("SELECT sql FROM sqlite_master WHERE name = 'sessions_start_as_written'").fetchone()
        self.db.execute("DROP TRIGGER sessions_start_as_written")
        self._forget_in_lists(n)
        self.db.execute(
            "UPDATE sessions SET id = id || '~' || n, kind = 'aside', status = 'aside', title = '',"
            " record = coalesce(begun, record), begun = NULL WHERE n = ?",
            (n,),
        )
        self.db.execute("UPDATE sessions SET id = ?, kind = ? WHERE n = ?", (one.id, one.kind, aside))
        self.db.execute(guard)
        self._put_in_lists(aside, one)

    def _forget_in_lists(self, n: int) -> None:
        for table in ("measurements", "gauges", "standing", "catalogue", "seen", "words"):
            self.db.execute(f"DELETE FROM {table} WHERE session = ?", (n,))

    def _put_in_lists(self, n: int, one: Prepared) -> None:
        """Let the lists tell of session ``n``, of which they know nothing, what ``one`` says."""
        begun = self.begun_text(n)  # to the letter, which another version may have written
        start = (one.stands or begun, begun if one.stands else None)
        self.db.execute(
            "UPDATE sessions SET title = ?, status = ?, started_ms = ?, changed_ms = ?, record = ?, begun = ?"
            " WHERE n = ?",
            (one.title, one.status, one.started_ms, one.changed_ms, *start, n),
        )
        for statement in BEGINS:
            self.db.execute(statement, {"session": n})
        self._follow([(n, *row) for row in one.events])
        self._list(n, one)

    def _add_start(self, row: tuple[object, ...]) -> int:
        made = self.db.execute(
            "INSERT INTO sessions (id, kind, title, started_ms, status, changed_ms, record, begun)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            row,
        )
        assert made.lastrowid is not None
        for statement in BEGINS:
            self.db.execute(statement, {"session": made.lastrowid})
        return made.lastrowid

    def _show_by_name(self, n: int) -> None:
        """Where anything is called otherwise by now, show session ``n`` by that."""
        if self.db.execute("SELECT 1 FROM called LIMIT 1").fetchone():
            show_by_name(self.db, [n])

    def lines(self, *statuses: Status, newest: int = 10_000) -> list[SessionLine]:
        """Sessions with one of ``statuses`` (any, when none is named), the last changed first."""
        where = f"AND status IN ({','.join('?' * len(statuses))})" if statuses else ""
        rows = self.ask(f"{_LINE} {where} ORDER BY changed_ms DESC, n DESC LIMIT ?", *statuses, newest)
        return [SessionLine(*row) for row in rows]

    def latest(self) -> tuple[str, int]:
        """The open session in which something happened last, and when, in ms; ("", 0) when none is open."""
        last = "(SELECT at_ms FROM events WHERE session = sessions.n ORDER BY seq DESC LIMIT 1)"
        rows = self.ask(f"SELECT id, {last} AS at FROM sessions WHERE status = 'open' ORDER BY at DESC, n DESC LIMIT 1")
        return (rows[0][0], rows[0][1] or 0) if rows else ("", 0)

    def line(self, session_id: str) -> SessionLine | None:
        return next((SessionLine(*row) for row in self.ask(f"{_LINE} AND id = ?", session_id)), None)

    def find(self, beginning: str) -> SessionLine:
        """The one session whose id begins with ``beginning``. Raises LogbookError for none or several."""
        rows = self.ask(f"{_LINE} AND substr(id, 1, ?) = ? ORDER BY id LIMIT 6", len(beginning), beginning)
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
        """The start of session ``n`` as JSON, with all that was put right of it."""
        return self._text("record", n)

    def begun_text(self, n: int) -> str:
        """The frozen start of session ``n`` as the JSON it was stored as."""
        return self._text("coalesce(begun, record)", n)

    def _text(self, which: str, n: int) -> str:
        for (text,) in self.ask(f"SELECT {which} FROM sessions WHERE n = ?", n):
            return str(text)
        raise LogbookError("That session is not in this logbook.")

    def set_start(self, n: int, title: str, started_ms: int, stands: str | None) -> None:
        """Let all that reads session ``n`` find its start as it stands: JSON, or None: it is as it was begun.

        Call inside ``one_commit``.
        """
        self.db.execute(
            "UPDATE sessions SET title = :title, started_ms = :started, record = coalesce(:stands, begun, record),"
            " begun = CASE WHEN :stands IS NULL THEN NULL ELSE coalesce(begun, record) END WHERE n = :n",
            {"title": title, "started": started_ms, "stands": stands, "n": n},
        )
        for statement in TURNS_OUT:
            self.db.execute(statement, {"session": n})
        self._show_by_name(n)

    def set_left_out(self, n: int, reason: str, *, cranked: bool = True) -> None:
        """Note why session ``n`` is left out of gauges, pace and statistics; empty: it is not.

        ``cranked``: yarn went through the machine all the same. Call inside ``one_commit``.
        """
        self.db.execute("UPDATE catalogue SET left_out = ?, cranked = ? WHERE session = ?", (reason, cranked, n))

    def set_status(self, n: int, status: Status, changed_ms: int) -> None:
        """Note where session ``n`` stands, for lists. Call inside ``one_commit``."""
        self.db.execute("UPDATE sessions SET status = ?, changed_ms = ? WHERE n = ?", (status, changed_ms, n))
        self.db.execute(
            "UPDATE catalogue SET on_top = ?, status = ?, changed = ? WHERE session = ?",
            (status in ("open", "waiting"), status, changed_ms, n),
        )

    def set_verdict(self, n: int, said: str) -> None:
        """Let the lists tell what was said of the fit. Call inside ``one_commit``."""
        self.db.execute("UPDATE catalogue SET verdict = ? WHERE session = ?", (said, n))
        self.db.execute("UPDATE words SET verdict = ? WHERE rowid = ?", (said, -n))

    # --- events --------------------------------------------------------------------------------------------

    def add_entries(self, n: int, entries: Iterable[Entry]) -> None:
        """Append ``entries`` to session ``n``. Call inside ``one_commit``."""
        from hosewright.logbook.file.coding import encode  # on first use: the first frame needs no events

        self._add_events([(n, *entry[:4], *encode(entry.event)) for entry in entries])

    def _add_events(self, rows: list[_EventRow]) -> None:
        self._insert_events(rows)
        self._follow(rows)

    def _insert_events(self, rows: list[_EventRow]) -> None:
        self.db.executemany(
            "INSERT INTO events (session, seq, at_ms, zone_min, tick_ms, kind, body) VALUES (?, ?, ?, ?, ?, ?, ?)", rows
        )

    def _follow(self, rows: list[_EventRow]) -> None:
        for n, seq, at_ms, _, _, kind, body in rows:
            if body is not None:
                follow(self.db, n, seq, at_ms, kind, body)

    def entries(self, n: int, after: int = 0) -> Iterator[Entry]:
        """The entries of session ``n`` past number ``after``, in order. Raises LogbookError at one unreadable."""
        # A press is looked up here, not in a call, and its entry made without the check of its length: a million of
        # them are read and folded in 1.2 s instead of 1.4.
        # They are not asked for by ``ask``, which would hold all of them at once.
        from hosewright.logbook.file.coding import EVENTS, PLAIN, decode  # the first frame needs no events
        from hosewright.session.events import Entry

        known, new = PLAIN.get, tuple.__new__
        try:
            for seq, at_ms, zone_min, tick_ms, kind, body in self.db.execute(EVENTS, (n, after)):
                event = known(kind) if body is None else None
                if event is None:
                    try:
                        event = decode(kind, body)
                    except ValueError as error:
                        raise LogbookError(f"Event {seq} of the session cannot be read: {error}.") from error
                yield new(Entry, (seq, at_ms, zone_min, tick_ms, event))
        except (sqlite3.Error, UnicodeDecodeError) as error:
            raise LogbookError(f"The logbook {self.path} cannot be read: {plain(error)}.") from error

    def more(self, n: int) -> dict[int, list[Any]]:
        """What a later version said of events of session ``n``, by their numbers. Raises LogbookError."""
        rows = self.ask("SELECT seq, body FROM events WHERE session = ? AND instr(body, ?)", n, f'"{_MORE}":')
        told = ((seq, json.loads(body).get(_MORE)) for seq, body in rows)
        return {seq: more for seq, more in told if isinstance(more, list)}

    # --- projections: what lists and plans ask for, worked out again from the events at any time -------------

    def add_measurements(self, n: int, rows: Sequence[tuple[int, str, float, str]]) -> None:
        """Readings of session ``n`` as (seq, field, value, typed). Call inside ``one_commit``."""
        self.db.executemany("INSERT INTO measurements VALUES (?, ?, ?, ?, ?)", [(n, *row) for row in rows])

    def set_gauge(self, n: int, yarn: str, cylinder: str, at_ms: int, body: str | None) -> None:
        """The gauge session ``n`` came to, or None when it has none. Call inside ``one_commit``."""
        self.db.execute("DELETE FROM gauges WHERE session = ?", (n,))
        if body is not None:
            self.db.execute("INSERT INTO gauges VALUES (?, ?, ?, ?, ?)", (n, yarn, cylinder, at_ms, body))

    def set_standing(self, n: int, standing: Standing) -> None:
        """Note what home says of session ``n``. Call inside ``one_commit``."""
        self.db.execute("INSERT OR REPLACE INTO standing VALUES (?, ?, ?, ?, ?, ?, ?, ?)", (n, __version__, *standing))

    def gauge_texts(self) -> list[str]:
        """The gauges as JSON, newest first."""
        return [row[0] for row in self.ask("SELECT body FROM gauges ORDER BY at_ms DESC, session DESC")]

    # --- shelf ---------------------------------------------------------------------------------------------

    def shelf_texts(self, kind: str) -> list[str]:
        """The latest revision of everything of ``kind`` as JSON, in order of first coming."""
        rows = self.ask(
            "SELECT body, (SELECT min(at_ms) FROM shelf f WHERE f.kind = s.kind AND f.id = s.id) AS came"
            " FROM shelf s WHERE kind = ? AND revision ="
            " (SELECT max(revision) FROM shelf l WHERE l.kind = s.kind AND l.id = s.id) ORDER BY came, id",
            kind,
        )
        return self._by_names_now([row[0] for row in rows])

    def _by_names_now(self, texts: list[str]) -> list[str]:
        names = self.names_now()
        merged = [item for (_, item), called in names.items() if called.now != item]
        return [with_ids_now(text, names) if any(f'"{one}"' in text for one in merged) else text for text in texts]

    def names_now(self) -> Names:
        """What is called otherwise now than it once was, by kind and id. Raises LogbookError."""
        return {(kind, item): Called(*told) for kind, item, *told in self.ask("SELECT * FROM called")}

    def names_before(self) -> dict[tuple[str, str], list[str]]:
        """What renamed things were called before, first name first, by kind and id. Raises LogbookError."""
        return {thing: names[:-1] for thing, names in names_in(self.ask(EVERY_NAME)).items() if names[1:]}

    def revisions(self) -> list[tuple[Any, ...]]:
        """Everything that ever stood on the shelf as (kind, id, revision, JSON). Raises LogbookError."""
        return self.ask("SELECT kind, id, revision, body FROM shelf ORDER BY kind, id, revision")

    def on_shelf(self, kind: str, item_id: str) -> bool:
        row = self.db.execute("SELECT 1 FROM shelf WHERE kind = ? AND id = ? LIMIT 1", (kind, item_id)).fetchone()
        return row is not None

    def add_revision(self, kind: str, item_id: str, at_ms: int, body: str) -> None:
        """A new revision of a thing on the shelf; earlier ones stay. Call inside ``one_commit``."""
        self.db.execute(
            "INSERT INTO shelf SELECT ?, ?, coalesce(max(revision), 0) + 1, ?, ? FROM shelf WHERE kind = ? AND id = ?",
            (kind, item_id, at_ms, body, kind, item_id),
        )

    # --- care ----------------------------------------------------------------------------------------------

    def damage(self) -> list[str]:
        """What SQLite's own checks find wrong, one line each; empty when the file is sound."""
        try:
            found = [row[0] for row in self.db.execute("PRAGMA integrity_check") if row[0] != "ok"]
            found += [f"a row of {row[0]} belongs to nothing" for row in self.db.execute("PRAGMA foreign_key_check")]
            found += self._damaged_words()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            found = [plain(error)]
        return found

    def _damaged_words(self) -> list[str]:
        """What FTS5's own check finds: the one above does not look into its tables.

        It is worded as a write, so it is done in a copy, which SQLite removes.
        """
        damaged = []
        with closing(sqlite3.connect("", isolation_level=None)) as copied:
            self.db.backup(copied)
            for (name,) in list(copied.execute("SELECT name FROM sqlite_master WHERE sql LIKE '%USING fts5%'")):
                try:
                    copied.execute(f"INSERT INTO {name}({name}) VALUES ('integrity-check')")
                except sqlite3.DatabaseError:
                    damaged.append(
                        f"the words to find sessions by ({name}) are damaged; the sessions themselves are not"
                    )
        return damaged

    def copy_to(self, target: Path) -> None:
        """A sound copy of the whole logbook at ``target``. Raises LogbookError when it exists or cannot be written."""
        if target.exists():
            raise LogbookError(f"{target} is there already; name another file.")
        try:
            fault = copy(self.db, target)
        except (OSError, sqlite3.Error) as error:
            raise LogbookError(f"The copy {target} could not be written: {plain(error)}.") from error
        if fault:
            raise LogbookError(f"The copy {target} is written, but the logbook is damaged: {fault}.")
