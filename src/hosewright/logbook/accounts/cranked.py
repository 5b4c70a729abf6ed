"""What a machine has cranked since a moment: rows, passes and time at the crank, from the events themselves.

A million presses are not folded one by one: between two events of another kind they are a run, and a run is a number.

What counts. A row whose press came too fast to be one (a bouncing pedal) was never cranked, nor was a press taken
back as a mistake; doubtful presses vouched for were, and where the counter was put right, so is this. Rows that fell
off, were pulled back or belonged to a spoilt sock were cranked all the same and wore the machine like any other.
A press that was undone was no row, so the time that led up to it is not at the crank either.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.logbook.file.coding import entry_of, head_of, start_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.session.events import Doubted, Entry, Pressed, Recounted, Redone, TookBack, Undone, Vouched
from hosewright.session.fold import apply
from hosewright.session.pace import STILL_MS
from hosewright.session.rules import MOST_ROWS, refusal
from hosewright.session.state import State
from hosewright.session.steps import CountPasses
from hosewright.session.undoing import last_done, part_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.logbook.file.store import Store
    from hosewright.session.steps import Head

_PRESS = Pressed()
_PUTS_RIGHT = (Doubted, Vouched, TookBack, Recounted)
_COUNTED = (Pressed, *_PUTS_RIGHT)  # undone, they change what was cranked; anything else wore the machine

# The sessions of a machine in which anything can have happened since: those unfinished (a press moves no date), and
# those changed since. The plus keeps the index of dates in use, which bounds what is read.
_MINE = """WITH mine AS (
    SELECT session FROM catalogue WHERE on_top = 1 AND +machine_id = :machine AND cranked
    UNION ALL SELECT session FROM catalogue
        WHERE on_top = 0 AND changed >= :since AND +machine_id = :machine AND cranked)"""
STARTS = f"""{_MINE} SELECT s.n, s.id, (SELECT max(seq) FROM events e WHERE e.session = s.n)
    FROM mine CROSS JOIN sessions s ON s.n = mine.session"""
NOTED = """SELECT seq, at_ms, zone_min, tick_ms, kind, body FROM events
    WHERE session = ? AND (kind <> 'pressed' OR body IS NOT NULL) ORDER BY seq"""
# Time at the crank: from one press to the next with nothing but observations between, as the pace is taken.
TIME = f"""{_MINE} SELECT coalesce(sum(e.tick_ms - p.tick_ms), 0)
    FROM mine CROSS JOIN events e ON e.session = mine.session
    CROSS JOIN events p ON p.session = e.session AND p.seq = e.seq - 1
    WHERE e.kind IN ('pressed', 'observed', 'amended') AND p.kind IN ('pressed', 'observed', 'amended')
    AND e.at_ms >= :since AND e.tick_ms - p.tick_ms BETWEEN 0 AND :still"""
BEFORE = """SELECT e.tick_ms - p.tick_ms
    FROM events e CROSS JOIN events p ON p.session = e.session AND p.seq = e.seq - 1
    WHERE e.session = ? AND e.seq = ? AND e.at_ms >= ? AND p.kind IN ('pressed', 'observed', 'amended')
    AND e.tick_ms - p.tick_ms BETWEEN 0 AND ?"""
WITHIN = "SELECT count(*) FROM events WHERE session = ? AND seq > ? AND seq < ? AND at_ms >= ?"


@dataclass(frozen=True, slots=True)
class Cranked:
    """Rows and passes cranked, and the time at the crank in ms."""

    rows: int
    passes: int
    ms: int

    @property
    def as_rows(self) -> int:
        """Both together: a pass goes half round, so two of them make one row."""
        return self.rows + self.passes // 2


def cranked_on(store: Store, machine_id: str, since_ms: int = 0, still_ms: int = STILL_MS) -> Cranked:
    """What this machine has cranked since ``since_ms``, gaps up to ``still_ms`` being time at the crank.

    Raises LogbookError.
    """
    ((ms,),) = store.ask(TIME, machine=machine_id, since=since_ms, still=still_ms)
    rows = passes = 0
    for one in _counted(store, machine_id, since_ms):
        rows, passes = rows + one.found[0], passes + one.found[1]
        ms -= one.ms_undone(still_ms)
    return Cranked(max(0, rows), max(0, passes), ms)


def rows_and_passes(store: Store, machine_id: str, since_ms: int = 0) -> tuple[int, int]:
    """The rows and the passes alone. Raises LogbookError."""
    *_, found = (0, 0), *rows_and_passes_so_far(store, machine_id, since_ms)
    return found


def rows_and_passes_so_far(store: Store, machine_id: str, since_ms: int = 0) -> Iterator[tuple[int, int]]:
    """The same after each session, for who cannot be held up by all of them. Raises LogbookError."""
    rows = passes = 0
    for one in _counted(store, machine_id, since_ms):
        rows, passes = rows + one.found[0], passes + one.found[1]
        yield max(0, rows), max(0, passes)


def _counted(store: Store, machine_id: str, since_ms: int) -> Iterator[_Session]:
    for n, name, last_seq in store.ask(STARTS, machine=machine_id, since=since_ms):
        if not last_seq:
            continue
        try:
            told = [entry_of(*row) for row in store.ask(NOTED, n)]
            one = _Session(store, n, head_of(start_of(store.record_text(n))), since_ms)
            one.count(told, last_seq)
        except (KeyError, ValueError) as error:
            raise LogbookError(f"Session {name} cannot be read.") from error
        yield one


class _Session:
    """One session folded with its presses a run at a time."""

    def __init__(self, store: Store, n: int, head: Head, since_ms: int) -> None:
        self.store, self.n, self.since_ms = store, n, since_ms
        self.state = State(head)
        self.found = [0, 0]
        self.standing: list[list[int]] = []  # runs of plain presses, the first and the last of each
        self.undone: list[int] = []

    def count(self, noted: list[Entry], last_seq: int) -> None:
        """Find the rows and passes since then, from every event that is no plain press."""
        before: Entry | None = None
        for entry in noted:
            self._run(before, entry, entry.seq)
            self._other(entry)
            before = entry
        self._run(before, None, last_seq + 1)

    def ms_undone(self, still_ms: int) -> int:
        """The time that led up to presses that were undone and stay so."""
        gaps = [self.store.ask(BEFORE, self.n, seq, self.since_ms, still_ms) for seq in self.undone]
        return sum(ms for found in gaps for (ms,) in found)

    def _run(self, before: Entry | None, after: Entry | None, end: int) -> None:
        """The plain presses between two events: all of them count, or none does."""
        begin = before.seq if before else 0
        state, many = self.state, end - begin - 1
        if many == 0 or refusal(state, _PRESS) is not None:
            return
        many = min(many, MOST_ROWS - state.count)
        if many > 0:
            self.standing.append([begin + 1, begin + many])
        alike = many
        if state.doubting:  # the first ends a run of doubtful ones, and is no press like the rest
            apply(state, Entry(begin + 1, 0, 0, 0, _PRESS))
            alike -= 1
        state.counts[state.index] += alike
        state.presses += alike
        state.run += alike
        state.undone.clear()
        if before is not None and before.at_ms < self.since_ms:
            if after is not None and after.at_ms < self.since_ms:
                return
            ((many,),) = self.store.ask(WITHIN, self.n, begin, end, self.since_ms)
        self._add(many, state.index)

    def _other(self, entry: Entry) -> None:
        state = self.state
        before, last_ms = state.counts[:], state.last_ms
        undone = last_done(state) if isinstance(entry.event, Undone) else None
        again = isinstance(entry.event, Redone) and bool(state.undone)
        held = isinstance(entry.event, Doubted) and part_of(state, entry.event) == "doubts"
        apply(state, entry)
        if held or (undone is not None and undone.event == _PRESS):
            self._no_row(undone=not held)
        deed = None
        if isinstance(entry.event, Undone | Redone):
            deed = undone or last_done(state)
            if again and deed is not None and deed.event == _PRESS:
                self.standing.append([self.undone[-1]] * 2)
                del self.undone[-1]
        event = entry.event if deed is None else deed.event
        if not isinstance(event, _PUTS_RIGHT if deed is None else _COUNTED):
            return
        # Rows of a part that was done were cranked by then, whenever they are counted right.
        if (last_ms if isinstance(event, Recounted) and event.step else entry.at_ms) < self.since_ms:
            return
        at = next((at for at, count in enumerate(before) if count != state.counts[at]), None)
        if at is None:
            return
        more = state.counts[at] - before[at]
        if isinstance(event, TookBack):  # of a verdict, it puts back rows that were counted when they were cranked
            more = max(0, more) if undone else min(0, more)
        self._add(more, at)

    def _no_row(self, *, undone: bool) -> None:
        """The press that stands last stands no more: it was undone, or a key was held down."""
        run = self.standing[-1]
        if undone:
            self.undone.append(run[1])
        run[1] -= 1
        if run[1] < run[0]:
            del self.standing[-1]

    def _add(self, many: int, at: int) -> None:
        self.found[isinstance(self.state.head.steps[at], CountPasses)] += many
