"""Bringing what can be read of a damaged logbook into a new one. The damaged file is copied and never opened.

Events and revisions never change once they are stored, so what a backup holds of a session is as good as the session:
each is put together from the damaged file, from the pages of its log behind a damaged place, and from the backups.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
import tempfile
from contextlib import ExitStack, closing, suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.backups import kept
from hosewright.logbook.file.coding import decode
from hosewright.logbook.file.errors import LogbookError, plain
from hosewright.logbook.file.log import lay_over as lay_log_over
from hosewright.logbook.file.log import read_log
from hosewright.logbook.file.schema import make
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import of_kind
from hosewright.logbook.travel.folders import write_new
from hosewright.phrases.lists import many
from hosewright.session.events import Entry

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence


# What SQLite says of a damaged file may itself be no text.
BROKEN = (sqlite3.Error, UnicodeDecodeError)
MOST_SESSIONS = 1_000_000
_WAYS_IN = (
    "SELECT n FROM sessions NOT INDEXED ORDER BY n",
    "SELECT n FROM sessions NOT INDEXED ORDER BY n DESC",
    "SELECT n FROM sessions INDEXED BY sessions_by_start ORDER BY started_ms",
    "SELECT n FROM sessions INDEXED BY sessions_by_status ORDER BY status",
    "SELECT DISTINCT session FROM events ORDER BY session",
    "SELECT DISTINCT session FROM events ORDER BY session DESC",
)
_EVENTS = "SELECT seq, at_ms, zone_min, tick_ms, kind, body FROM events WHERE session = ? ORDER BY seq"
_ONE_BY_ONE = "SELECT seq, at_ms, zone_min, tick_ms, kind, body FROM events WHERE +session = ?"  # "+": by no index
_SHELF = "SELECT kind, id, revision, at_ms, body FROM shelf ORDER BY kind, id, revision"


@dataclass(slots=True)
class Rescued:
    """The ids brought over; what came from a backup, and what could not be read, a sentence each."""

    sessions: list[str] = field(default_factory=list)
    filled: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Source:
    """A database to read from; ``called`` is what a sentence calls a backup, empty for the damaged logbook itself."""

    db: sqlite3.Connection
    called: str = ""


def rescue(source: Path, target: Path) -> Rescued:
    """Bring every session and shelf item of ``source`` that it or a backup beside it still holds into a new logbook.

    Of a session whose events break off, those before the break come along. What cannot be given a place is written as
    JSON beside ``target``. Raises LogbookError when nothing can be read at all or ``target`` exists.
    """
    if not source.is_file():
        raise LogbookError(f"There is no file {source}.")
    if target.exists():
        raise LogbookError(f"{target} is there already; name another file with --to.")
    found = Rescued()
    with ExitStack() as open_now:
        folder = Path(open_now.enter_context(tempfile.TemporaryDirectory(prefix="hosewright-")))
        sources = [
            _Source(open_now.enter_context(closing(_opened(path))), called)
            for path, called in _readable(source, folder, found)
        ]
        numbers = sorted({n for each in sources if not each.called for n in _session_numbers(each.db)})
        ids = {each.called: _ids(each.db) for each in sources if each.called}
        if not (numbers or any(ids.values()) or _answers(sources[0].db)):
            raise LogbookError(f"Nothing can be read from {source}: it is not a logbook, or its tables are destroyed.")
        book = open_now.enter_context(closing(Logbook(target)))
        _bring_shelf(sources, book, found)
        for n in numbers:
            _bring_session(sources, book, n, found)
        for at, each in enumerate(sources):  # what only backups know of
            for session, n in ids.get(each.called, {}).items():
                if session not in found.sessions:
                    _bring_session(sources[at:], book, n, found)
    return found


def _opened(path: Path) -> sqlite3.Connection:
    db = sqlite3.connect(path)
    # A byte that is no text is carried along as Python carries one, so that reading never stops at it.
    db.text_factory = lambda raw: raw.decode("utf-8", "surrogateescape")
    return db


def _readable(source: Path, folder: Path, found: Rescued) -> Iterator[tuple[Path, str]]:
    """Copies of everything a session may be in, the damaged logbook first, then the backups, the newest first."""
    copy = _copied(source, folder / "logbook.sqlite")
    with closing(_opened(copy)) as db:
        whole = _answers(db)
    if not whole:
        lay_over(copy)
    yield copy, ""
    behind = folder / "behind.sqlite"
    try:
        log = read_log(source)
        if log is not None:
            shutil.copyfile(source, behind)
            lay_log_over(behind, log)
            yield behind, ""
    except ValueError as error:
        found.lost.append(f"{error}; rows saved last may be among it.")
    except OSError as error:
        raise LogbookError(f"{source} cannot be read: {plain(error)}.") from error
    for place, backup in enumerate(reversed(kept(source))):
        with suppress(OSError):
            yield Path(shutil.copyfile(backup, folder / f"backup-{place}.sqlite")), backup.name


def _copied(source: Path, copy: Path) -> Path:
    try:
        shutil.copyfile(source, copy)
        log = source.with_name(f"{source.name}-wal")  # the last rows may be only there
        if log.is_file():
            shutil.copyfile(log, copy.with_name(f"{copy.name}-wal"))
    except OSError as error:
        raise LogbookError(f"{source} cannot be read: {plain(error)}.") from error
    return copy


def _answers(db: sqlite3.Connection) -> bool:
    """Whether any way to the sessions still works."""
    for query in _WAYS_IN:
        try:
            db.execute(query).fetchone()
        except BROKEN:
            continue
        return True
    return False


def _session_numbers(db: sqlite3.Connection) -> set[int]:
    """Every session number any intact part of the file knows of."""
    known: set[int] = set()
    for query in _WAYS_IN:
        for row in _rows(db, query):
            if isinstance(row[0], int) and len(known) < MOST_SESSIONS:
                known.add(row[0])
    return known


def _ids(db: sqlite3.Connection) -> dict[str, int]:
    return {session: n for session, n in _rows(db, "SELECT id, n FROM sessions ORDER BY n") if isinstance(session, str)}


def _rows(db: sqlite3.Connection, query: str, *values: object) -> Iterator[tuple[Any, ...]]:
    """The rows of a query up to where the file breaks."""
    with suppress(*BROKEN):
        yield from db.execute(query, values)


def _from_both_ends(db: sqlite3.Connection, query: str, *values: object) -> Iterator[tuple[Any, ...]]:
    """The rows of an ordered query on both sides of a break, those behind it last first."""
    yield from _rows(db, query, *values)
    before, _, columns = query.rpartition(" ORDER BY ")
    back = ", ".join(f"{column} DESC" for column in columns.split(", "))
    yield from _rows(db, f"{before} ORDER BY {back}", *values)


# --- the shelf -----------------------------------------------------------------------------------------------------


def _bring_shelf(sources: Sequence[_Source], book: Logbook, found: Rescued) -> None:
    kept_here: dict[tuple[str, str, int], tuple[int, str]] = {}
    sure: set[tuple[str, str, int]] = set()
    unread: set[tuple[str, str, int]] = set()
    for source in sources:
        for kind, item_id, revision, at_ms, body in _from_both_ends(source.db, _SHELF):
            key = (kind, item_id, revision)
            if key in sure or (key in kept_here and not source.called):
                continue
            if _is_thing(kind, body) and isinstance(at_ms, int):
                news = kept_here.get(key) != (at_ms, body)
                kept_here[key] = (at_ms, body)
                if source.called:
                    sure.add(key)
                if source.called and news:
                    found.filled.append(f"revision {revision} of {kind} {item_id}: from {source.called}.")
            else:
                unread.add(key)
    for (kind, item_id, _), (at_ms, body) in sorted(kept_here.items(), key=lambda one: one[0]):
        with book.store.one_commit():
            book.store.add_revision(kind, item_id, at_ms, body)
    for kind, item_id, revision in sorted(unread - set(kept_here), key=str):
        found.lost.append(f"revision {revision} of {kind} {item_id} on the shelf cannot be read.")


def _is_thing(kind: object, body: object) -> bool:
    try:
        of_kind(kind).model_validate_json(body)  # type: ignore[arg-type]  # whatever a damaged file holds
    except (KeyError, ValueError, TypeError):
        return False
    return True


# --- sessions ------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Pieces:
    """What the sources hold of one session: its start, its events by number, and the backups that helped."""

    record: SessionRecord | None = None
    entries: dict[int, Entry] = field(default_factory=dict)
    dropped: set[int] = field(default_factory=set)  # events of which a letter is no text
    sure: set[int] = field(default_factory=set)  # events that a backup holds
    helped: list[str] = field(default_factory=list)

    def take(self, entry: Entry, *, whole: bool, from_backup: bool) -> bool:
        """Take an event in if it is news. Where a backup says otherwise it is right: it was sound when it was made."""
        known, torn = self.entries.get(entry.seq), entry.seq in self.dropped
        if entry.seq in self.sure:
            return False
        if from_backup and whole:
            self.sure.add(entry.seq)
            news = known != entry or torn
        else:
            news = known is None or (torn and whole)
        if not news:
            return False
        self.entries[entry.seq] = entry
        (self.dropped.discard if whole else self.dropped.add)(entry.seq)
        return True

    @property
    def whole(self) -> list[Entry]:
        """The events from the first on, up to one that is missing."""
        entries: list[Entry] = []
        while (entry := self.entries.get(len(entries) + 1)) is not None:
            entries.append(entry)
        return entries


def _bring_session(sources: Sequence[_Source], book: Logbook, n: int, found: Rescued) -> None:
    pieces = _pieces(sources, n)
    name = f"session {pieces.record.id}" if pieces.record else f"session number {n}"
    if pieces.helped:
        found.filled.append(f"{name}: with what {' and '.join(pieces.helped)} holds.")
    if pieces.record is None:
        told = f"{name}: its start cannot be read, and no backup has it"
        found.lost.append(f"{told}{_set_aside(book, n, list(pieces.entries.values()))}.")
        return
    entries = pieces.whole
    try:
        book.take_in(pieces.record, entries)
    except (LogbookError, ValueError, TypeError) as error:  # the last two: values no event can have
        found.lost.append(f"{name}: {error}{_set_aside(book, n, entries)}")
        return
    if pieces.record.id not in found.sessions:  # the ways it went on have one id
        found.sessions.append(pieces.record.id)
    behind = [entry for seq, entry in sorted(pieces.entries.items()) if seq > len(entries)]
    if behind:
        first, last = len(entries) + 1, behind[0].seq - 1
        missing = f"event {first} is" if first == last else f"events {first} to {last} are"
        more = f"{missing} missing, so {len(behind)} behind have no place"
        found.lost.append(f"{name}: {more}{_set_aside(book, n, behind)}.")
    elif _knew_more(sources, n, len(entries)):
        found.lost.append(f"{name}: only its first {len(entries)} events can be read.")
    found.lost += [f"{name}: a letter of event {seq} cannot be read." for seq in sorted(pieces.dropped)]


def _pieces(sources: Sequence[_Source], n: int) -> _Pieces:
    """All that is known of session ``n`` of the first of ``sources``."""
    pieces = _Pieces()
    for place, source in enumerate(sources):
        number = _number_in(source, n, pieces) if source.called and place else n
        if number is None:
            continue
        rows = [(row, _entry(row)) for row in _from_both_ends(source.db, _EVENTS, number)]
        if source.called and place and _went_another_way(pieces, [entry for _, entry in rows if entry is not None]):
            continue
        helps = False
        with suppress(sqlite3.Error, ValueError, TypeError):
            sql = f"SELECT {_begun_in(source.db)} FROM sessions NOT INDEXED WHERE n = ?"
            row = source.db.execute(sql, (number,)).fetchone()
            record = SessionRecord.model_validate_json(row[0]) if row is not None else None
            if record is not None and (pieces.record is None or (source.called and pieces.record != record)):
                pieces.record, helps = record, True
        for row, entry in rows:
            if entry is not None and pieces.take(entry, whole=_is_text(row[5]), from_backup=bool(source.called)):
                helps = True
        if helps and source.called and place:
            pieces.helped.append(source.called)
    if len(pieces.whole) < len(pieces.entries):  # where one is damaged, others beside it may not be found by number
        for source in (one for one in sources if not one.called):
            for row in _rows(source.db, _ONE_BY_ONE, n):
                entry = _entry(row)
                if entry is not None:
                    pieces.take(entry, whole=_is_text(row[5]), from_backup=False)
    return pieces


def _went_another_way(pieces: _Pieces, entries: Sequence[Entry]) -> bool:
    """Whether a backup holds another way that the session went on, which was chosen over since: not one event differs,
    as where the file is damaged, but the last both have, and others.
    """
    both = sorted(entry.seq for entry in entries if entry.seq in pieces.entries)
    differ = {entry.seq for entry in entries if pieces.entries.get(entry.seq, entry) != entry}
    return len(differ) > 1 and both[-1] in differ


def _begun_in(db: sqlite3.Connection) -> str:
    """The column of the frozen start, which before version 7 was the only one there was."""
    columns = [row[1] for row in db.execute("PRAGMA table_info(sessions)")]
    return "coalesce(begun, record)" if "begun" in columns else "record"


def _number_in(backup: _Source, n: int, pieces: _Pieces) -> int | None:
    """The number of the same session in a backup; None when it is not in there.

    Numbers are given anew in a logbook that was itself rescued. Without an id, the first event tells.
    """
    if pieces.record is not None:
        return _ids(backup.db).get(pieces.record.id)
    first = next((_entry(row) for row in _rows(backup.db, _EVENTS, n)), None)
    return n if first is not None and pieces.entries.get(1, first) == first else None


def _knew_more(sources: Sequence[_Source], n: int, read: int) -> bool:
    """Whether the damaged file holds the beginning of something behind event ``read``, or stopped answering there."""
    try:
        rows = sources[0].db.execute("SELECT seq FROM events WHERE session = ? ORDER BY seq", (n,)).fetchall()
    except BROKEN:
        return True
    return any(not isinstance(seq, int) or seq > read for (seq,) in rows)


def _is_text(body: object) -> bool:
    try:
        str(body).encode()
    except UnicodeEncodeError:
        return False
    return True


def _entry(row: tuple[Any, ...]) -> Entry | None:
    seq, at_ms, zone_min, tick_ms, kind, body = row
    try:
        return Entry(int(seq), int(at_ms), int(zone_min), int(tick_ms), decode(kind, body))
    except (ValueError, TypeError):
        return None


def _set_aside(book: Logbook, n: int, entries: Iterable[Entry]) -> str:
    """Write events that have no place as JSON beside the new logbook; the end of a sentence that says where."""
    told = [{**entry._asdict(), "event": asdict(entry.event)} for entry in sorted(entries, key=lambda one: one.seq)]
    if not told:
        return ""
    path = book.path.with_name(f"{book.path.stem}-session-{n}-events.json")
    write_new(path, json.dumps(told, indent=1) + "\n")
    number = many(len(told), "event of it is", "events of it are")
    return f"; {number} written to {path}"


# --- a new first page, where a logbook's own list of tables is destroyed ----------------------------------------------

# A database's first page says where its tables begin. Those of sessions were the first ever made in every logbook, so
# they begin at the same pages in all of them, but for those written anew when a wearer was forgotten, which again are
# alike. The layout is that of sqlite.org/fileformat2.html.


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
        except BROKEN:
            return False
    return bool(found == ("integer", "integer", "text"))


def _new_first_page(*, written_anew: bool) -> bytes:
    with tempfile.TemporaryDirectory(prefix="hosewright-") as folder:
        path = Path(folder) / "new.sqlite"
        with closing(sqlite3.connect(path, isolation_level=None)) as db:
            db.execute(f"PRAGMA page_size = {_PAGE}")
            make(db, 1)
            db.execute("ALTER TABLE sessions ADD COLUMN begun TEXT")
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
