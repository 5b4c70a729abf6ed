"""A class: every learner's logbook looked into, again and again, without the learner noticing.

A look opens the file for reading, takes what is new, and closes it. No connection is kept: SQLite folds its log into
the file when the last one goes, so a teacher who held one would leave a learner who quits with half a file. That is
also why `PRAGMA data_version`, which needs a connection kept open, is not asked; the files' own times and sizes say
whether anything changed, and everything is looked at again after RELOOK_MS whatever they say.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from copy import deepcopy
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal
from urllib.parse import quote

from hosewright.logbook.file.coding import EVENTS, entry_of
from hosewright.logbook.file.errors import plain
from hosewright.logbook.file.lock import lock_of
from hosewright.logbook.file.opening import network_drive
from hosewright.logbook.file.schema import APPLICATION_ID, NewerLogbookError, version_of
from hosewright.logbook.records.sessions import SessionRecord, record_in
from hosewright.phrases.harmless import one_line
from hosewright.phrases.lists import many
from hosewright.phrases.times import time_of_day
from hosewright.session.cues import LATE_ROWS
from hosewright.session.fold import apply
from hosewright.session.observations import FAULT_WORDS, needle_words, place_words
from hosewright.session.pace import Paces
from hosewright.session.results import where_work_is
from hosewright.session.state import State
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from hosewright.phrases.times import Moment
    from hosewright.session.events import Entry, Fault
    from hosewright.session.results import Where

_NO_FAULT: frozenset[Fault] = frozenset({"note", "colour"})
_STOP_THE_WORK: frozenset[Fault] = frozenset({"dropped", "fell-off", "yarn-broke", "stiff"})
_STOPPED = {"stiff": "crank stiff", "broke": "yarn broke"}


@dataclass(frozen=True, slots=True)
class Patience:
    """After how many seconds of silence a learner is taken to need help (ours, as a teacher can set them).

    ``paused_s``: a pause, or a fault that stops the work, with no row since; ``quiet_s``: nothing pressed in a part
    that is counted; ``step_s``: a step at the machine that is not said to be done. After ``left_s`` no one needs help
    any more: the machine was left.
    """

    paused_s: int = 60
    quiet_s: int = 180
    step_s: int = 600
    left_s: int = 3600


USUAL_PATIENCE = Patience()


@dataclass(frozen=True, slots=True)
class LearnerLine:
    """One learner. ``trouble`` stands alone when the file cannot be read; without a session all the rest is empty.

    ``count`` and ``target`` are rows or passes by ``unit``. ``pace`` is in those a minute, ``quiet_ms`` since the
    last event. ``fault`` is the last one noted, ``fault_at`` its place; ``waits`` says why help is waited for.
    ``past`` is how many rows or passes the part in hand is past its plan (see ``past_plan``). ``left``: the bench was
    closed with work on the machine, so nobody sits there who could need help; of a copied file nobody can tell.
    """

    learner: str
    file: str
    trouble: str = ""
    note: str = ""
    session: str = ""
    title: str = ""
    where: Where | Literal["finished", "given up"] | None = None
    step: str = ""
    step_number: int = 0
    steps: int = 0
    unit: Literal["rows", "passes"] | None = None
    count: int | None = None
    target: int | None = None
    pace: float | None = None
    paused: bool = False
    quiet_ms: int | None = None
    fault: str = ""
    fault_at: str = ""
    waits: str = ""
    more: int = 0
    past: int = 0
    left: bool = False


def line_of(look: Look, now_ms: int, patience: Patience = USUAL_PATIENCE) -> LearnerLine:
    """The line of a learner looked at, at ``now_ms`` of the clock of the one looking."""
    session = look.session
    if session is None:
        return LearnerLine(look.name, str(look.path), look.trouble, look.note)
    state, step = session.state, session.state.step
    seen = next((s for s in reversed(state.observations) if not s.struck and s.fault not in _NO_FAULT), None)
    quiet_ms = max(0, now_ms - session.seen_ms)
    turned = isinstance(step, CountPasses)
    counted = isinstance(step, CountRows | CountPasses | DialTrial) and not state.abandoned
    where = _where(state)
    left = look.left and where == "on the machine"
    pace = session.paces.of(passes=turned).now_per_minute
    return LearnerLine(
        learner=look.name,
        file=str(look.path),
        note=look.note,
        session=session.record.id,
        title=session.record.title,
        where=where,
        step=step.title if step else "",
        step_number=min(state.index + 1, len(state.head.steps)),
        steps=len(state.head.steps),
        unit=("passes" if turned else "rows") if counted else None,
        count=state.count if counted else None,
        target=state.target if counted else None,
        pace=round(pace, 1) if counted and pace is not None else None,
        paused=state.paused,
        quiet_ms=quiet_ms,
        fault=FAULT_WORDS[seen.fault] if seen else "",
        fault_at=place_words(state, seen) + needle_words(seen) if seen else "",
        waits="" if left else waits_for_help(state, quiet_ms, patience),
        more=session.more,
        past=past_plan(state),
        left=left,
    )


def _where(state: State) -> Where | Literal["finished", "given up"]:
    if state.status == "finished":
        return "finished"
    if state.status == "abandoned":
        return "given up"
    return where_work_is(state)


def past_plan(state: State) -> int:
    """How many rows or passes the part in hand is past its plan, once that is to be told; 0 until then.

    One pass is told at once, since the carrier may stand at the wrong end. Rows only add up: they are told once they
    are more than ``LATE_ROWS``, as long as the bench itself still calls for what was due.
    """
    if state.abandoned or state.target is None:
        return 0
    past = state.count - state.target
    return past if past > (0 if isinstance(state.step, CountPasses) else LATE_ROWS) else 0


def past_words(line: LearnerLine) -> str:
    """What is past the plan, in the bench's words: "12 rows more than planned". Empty where nothing is told."""
    if not line.past:
        return ""
    return f"{many(line.past, 'pass' if line.unit == 'passes' else 'row')} more than planned"


def waits_for_help(state: State, quiet_ms: int, patience: Patience = USUAL_PATIENCE) -> str:
    """Why the learner is taken to need help after ``quiet_ms`` without an event; empty when not."""
    step = state.step
    quiet_s = quiet_ms / 1000
    if state.abandoned or step is None or quiet_s >= patience.left_s:
        return ""
    if state.paused and quiet_s >= patience.paused_s:
        return "paused"
    if not isinstance(step, CountRows | CountPasses | DialTrial):
        at_the_machine = isinstance(step, Confirm) and where_work_is(state) == "on the machine"
        return "no step" if at_the_machine and quiet_s >= patience.step_s else ""
    if isinstance(step, DialTrial) and state.search.stopped:
        return _STOPPED.get(state.search.why, "search stopped")
    if quiet_s >= patience.paused_s and (fault := _fault_since_the_last_row(state)):
        return fault
    return "no row" if quiet_s >= patience.quiet_s else ""


def _fault_since_the_last_row(state: State) -> str:
    here = [s for s in state.observations if not s.struck and (s.step, s.count) == (state.index, state.count)]
    return next((FAULT_WORDS[s.fault] for s in reversed(here) if s.fault in _STOP_THE_WORK), "")


RELOOK_MS = 15_000
BUSY_S = 0.2  # a commit takes far less; what is busy for longer is looked at next time

_OPEN = (
    "SELECT s.n, (SELECT at_ms FROM events e WHERE e.session = s.n ORDER BY seq DESC LIMIT 1) AS last, s.changed_ms"
    " FROM sessions s WHERE status IN ('open', 'waiting')"
)
_LAST = "SELECT n FROM sessions WHERE status <> 'aside' ORDER BY changed_ms DESC, n DESC LIMIT 1"


@dataclass(slots=True)
class LastSession:
    """The session a learner touched last, folded as far as it was read; ``last`` is the last entry taken in.

    ``seen_ms``: when that happened, by the clock of the one looking. ``more`` are the learner's other sessions that are
    not finished.
    """

    n: int
    record: SessionRecord
    state: State
    paces: Paces = field(default_factory=Paces)
    last: Entry | None = None
    seen_ms: int = 0
    more: int = 0

    def take(self, entries: Sequence[Entry], now_ms: int, *, first: bool) -> None:
        for entry in entries:
            self.paces.take(entry, passes=isinstance(self.state.step, CountPasses))
            apply(self.state, entry)
            self.last = entry
        if entries:
            # What came in while one looked came just now, whatever the clock of the learner's computer says.
            self.seen_ms = min(entries[-1].at_ms, now_ms) if first else now_ms

    def copied(self, more: int) -> LastSession:
        """What is shown while the next look goes on in another thread."""
        return replace(self, state=self.state.copy(), paces=deepcopy(self.paces), more=more)


@dataclass(frozen=True, slots=True)
class Look:
    """A learner at one moment: a ``session``, or none yet, or a sentence of ``trouble`` in its place.

    ``note``: a sentence about what can be seen of this learner's file, empty when all of it can. ``left``: the
    learner's bench was closed, which puts the log away.
    """

    name: str
    path: Path
    session: LastSession | None = None
    trouble: str = ""
    note: str = ""
    left: bool = False


Stamp = tuple[tuple[int, ...] | None, ...]


def _stamp(path: Path) -> Stamp:
    """What the system says of the file and its log. Raises OSError when there is no such file."""
    found = path.stat()
    main = (found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns)
    try:
        log = path.with_name(f"{path.name}-wal").stat()
    except OSError:
        return main, None
    return main, (log.st_size, log.st_mtime_ns)


class _UnfitError(Exception):
    """The file cannot be shown; the text is a sentence."""


class Learner:
    """One learner's file. Not for use from several threads at once."""

    def __init__(self, name: str, path: Path) -> None:
        self.path = path
        self._stamp: Stamp | None = None
        self._read_ms = 0
        self._followed: LastSession | None = None
        self._look = Look(name, path)
        self._drive = network_drive(path)
        self.was_there = False  # whether there ever was a file
        self._gone = ""  # since when it is gone, by the clock on the wall

    def rename(self, name: str) -> None:
        """Call the learner by another name, when another of the same name came."""
        if name != self._look.name:
            self._look = replace(self._look, name=name)

    def look(self, now: Moment) -> Look:
        """Where the learner stands. The file is read only when it changed, and then only what is new in it."""
        try:
            stamp = _stamp(self.path)
        except FileNotFoundError:
            return self._say(self._nothing_there(now))
        except OSError as error:
            return self._say(f"The logbook cannot be read: {plain(error)}.")
        self.was_there, self._gone = True, ""
        if stamp == self._stamp and now.tick_ms - self._read_ms < RELOOK_MS:
            return self._look
        try:
            self._read(stamp, now)
        except (NewerLogbookError, _UnfitError) as error:
            return self._say(str(error))
        except (sqlite3.Error, OSError, ValueError, TypeError, ArithmeticError) as error:
            if _moved_on(self.path, stamp):
                return self._look  # it was being written to: the next look gets it
            return self._say(_sentence(self.path, error))
        self._stamp, self._read_ms = stamp, now.tick_ms
        return self._look

    def _nothing_there(self, now: Moment) -> str:
        if not self.was_there:
            return "There is no logbook here yet."
        self._gone = self._gone or time_of_day(now.at_ms, now.zone_min)
        return f"The logbook has been gone since {self._gone}: moved, or its drive was taken out."

    def _say(self, trouble: str) -> Look:
        self._stamp, self._followed = None, None
        self._look = Look(self._look.name, self.path, trouble=one_line(trouble))
        return self._look

    def _read(self, stamp: Stamp, now: Moment) -> None:
        if self._stamp is not None and (self._stamp[0] or ())[:2] != (stamp[0] or ())[:2]:
            self._followed = None  # another file lies there now
        if not (stamp[0] or (0, 0, 0))[2]:
            raise _UnfitError("The file is empty: nothing was ever saved in it.")
        how, note = self._how(stamp)
        log_put_away = stamp[1] is None and _has_log(self.path) and lock_of(self.path).exists()
        with closing(_connect(self.path, how)) as db:
            _refuse_what_is_no_logbook(db)
            db.execute("BEGIN")
            n, more = _session_in_hand(db)
            session = None if n is None else self._follow(db, n, more, now)
        self._look = Look(self._look.name, self.path, session, note=note, left=log_put_away)

    def _how(self, stamp: Stamp) -> tuple[str, str]:
        """How to open the file so that nothing is written beside it, and what that leaves out."""
        log = stamp[1]
        if log is None:
            return ("mode=ro&immutable=1" if _has_log(self.path) else "mode=ro"), ""
        if self._drive and log[0]:
            # The log's index is memory shared by processes of one computer: through a network drive there is none.
            why = "Seen through a network drive: its rows come in when a step is done or the crank pauses."
            return "mode=ro&immutable=1", why
        return "mode=ro", ""

    def _follow(self, db: sqlite3.Connection, n: int, more: int, now: Moment) -> LastSession:
        known = self._followed
        if known is not None and known.n == n and known.last is not None:
            entries = _entries(db, n, known.last.seq - 1)
            if entries[:1] == [known.last]:
                if len(entries) == 1 and self._look.session is not None:
                    return replace(self._look.session, more=more)
                restated = known.state.restated
                known.take(entries[1:], now.at_ms, first=False)
                if known.state.restated is not restated:
                    known.record = _record(db, n)
                return known.copied(more)
        record = _record(db, n)
        self._followed = known = LastSession(n, record, State(record.head))
        known.take(_entries(db, n, 0), now.at_ms, first=True)
        known.seen_ms = known.seen_ms or min(record.started_ms, now.at_ms)
        return known.copied(more)


def _moved_on(path: Path, stamp: Stamp) -> bool:
    try:
        return _stamp(path) != stamp
    except OSError:
        return False


def _sentence(path: Path, error: Exception) -> str:
    if not isinstance(error, sqlite3.Error | OSError):
        return "The session in hand cannot be read: what is saved of it makes no sense."
    journal = path.with_name(f"{path.name}-journal")
    if journal.exists() and getattr(error, "sqlite_errorname", "").startswith("SQLITE_READONLY"):
        return "The logbook was left in the middle of a change; the learner's own bench puts that right when it opens."
    return f"The logbook cannot be read: {plain(error)}."


def _connect(path: Path, how: str) -> sqlite3.Connection:
    address = f"file:{quote(str(path.absolute()).encode('utf-8', 'surrogateescape'))}?{how}"
    return sqlite3.connect(address, uri=True, isolation_level=None, timeout=BUSY_S)


def _has_log(path: Path) -> bool:
    """Whether the file is one with a write-ahead log (its header's bytes 18 and 19: sqlite.org/fileformat2.html)."""
    with path.open("rb") as file:
        return file.read(20)[18:20] == b"\x02\x02"


def _refuse_what_is_no_logbook(db: sqlite3.Connection) -> None:
    names = {name for (name,) in db.execute("SELECT name FROM sqlite_master")}
    if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise _UnfitError("The file is a database, but not a hosewright logbook.")
    version_of(db)
    if not {"sessions", "events"} <= names:
        raise _UnfitError("The logbook is incomplete: its tables are missing.")


def _session_in_hand(db: sqlite3.Connection) -> tuple[int | None, int]:
    """The session touched last among those not finished, else the last one of all; and how many others are open."""
    standing = db.execute(_OPEN).fetchall()
    if standing:
        n, _, _ = max(standing, key=lambda row: (row[1] or row[2], row[0]))
        return n, len(standing) - 1
    last = db.execute(_LAST).fetchone()
    return (None if last is None else last[0]), 0


def _record(db: sqlite3.Connection, n: int) -> SessionRecord:
    row = db.execute("SELECT record FROM sessions WHERE n = ?", (n,)).fetchone()
    return record_in(row[0])


def _entries(db: sqlite3.Connection, n: int, after: int) -> list[Entry]:
    return [entry_of(*row) for row in db.execute(EVENTS, (n, after))]


class Classroom:
    """All learners. Not for use from several threads at once."""

    def __init__(self, named: Sequence[Path]) -> None:
        """``named``: files and folders, as ``files_of`` takes them; who comes later is found at the next look."""
        self._named = named
        self._learners: dict[Path, Learner] = {}
        self._order: list[Path] = []

    def look(self, now: Moment) -> tuple[Look, ...]:
        """Every learner as they stand, in the order they were named. What cannot be read says so in its place.

        Whoever was there once keeps their place, even when a folder no longer holds them.
        """
        found = files_of(self._named)
        there = [path for path, learner in self._learners.items() if learner.was_there]
        self._order = in_place([path for path in self._order if path in there], [path for _, path in found])
        for name, path in found:
            if path not in self._learners:
                self._learners[path] = Learner(name, path)
            self._learners[path].rename(name)
        return tuple(self._learners[path].look(now) for path in self._order)


# --- which logbooks a class consists of, and what each learner is called ----------------------------------------------


LOGBOOK = "logbook.sqlite"
_is_folder, _is_file = os.path.isdir, os.path.isfile  # those of Path fail at a place that may not be looked into
MOST_NAME = 40


def files_of(named: Iterable[Path]) -> list[tuple[str, Path]]:
    """The learners that these files and folders stand for, as (name, logbook).

    A folder with a logbook in it is one learner, called like the folder; any other folder holds a logbook, or a
    folder with one, for each. A file is called like itself, or like its folder when every logbook is called that.
    """
    found: dict[Path, str] = {}
    for path in named:
        for name, file in _in_folder(path) if _is_folder(path) else [(_called(path), path)]:
            found.setdefault(file, name)
    names = list(found.values())
    shown = []
    for file, name in found.items():
        told = name if names.count(name) == 1 else f"{name} ({file.absolute().parent.parent.name})"
        shown.append((one_line(told)[:MOST_NAME] or "?", file))
    return shown


def in_place(known: list[Path], found: list[Path]) -> list[Path]:
    """All of both: those ``known`` where they were, those newly ``found`` behind whom they were found behind."""
    merged, at = list(known), 0
    for path in found:
        if path in merged:
            at = merged.index(path) + 1
        else:
            merged.insert(at, path)
            at += 1
    return merged


def _called(path: Path) -> str:
    return path.absolute().parent.name if path.name == LOGBOOK else path.stem


def _in_folder(folder: Path) -> list[tuple[str, Path]]:
    own = folder / LOGBOOK
    if _is_file(own):
        return [(_called(own), own)]
    try:
        inside = sorted(folder.iterdir())
    except OSError:
        inside = []
    files = [path for path in inside if path.suffix == ".sqlite" and _is_file(path)]
    files += [path / LOGBOOK for path in inside if _is_file(path / LOGBOOK)]
    return [(_called(path), path) for path in files] or [(_called(own), own)]
