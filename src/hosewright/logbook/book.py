"""The logbook as the bench and the command line use it: records in, records out."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any, TypeVar

from hosewright.logbook.file import seal
from hosewright.logbook.file.called import kind_of, work_out_names
from hosewright.logbook.file.errors import LogbookError, plain, unreadable
from hosewright.logbook.file.lock import BENCH, BenchLock, HeldError
from hosewright.logbook.file.opening import holds_beside, needs_a_writer
from hosewright.logbook.file.store import SessionLine, Store
from hosewright.phrases.times import Clock, WallClock
from hosewright.places import make_private

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from hosewright.logbook.live import Live
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import GaugeRecord, OnShelf
    from hosewright.session.events import Entry
    from hosewright.session.state import State, Status

    Thing = TypeVar("Thing", bound=OnShelf)

# The records are pydantic models, a third of a bare first frame, and the engine is a seventh: both are imported in the
# functions that need them, and the bench opens without.


NAMED = ("machine", "cylinder", "yarn", "wearer", "same")  # what sessions are listed and gathered by
EVERY = 10_000_000  # more sessions than anybody cranks
LOOK_IT_OVER = "`hosewright logbook check` looks it over."


class Logbook:
    """One knitter's logbook."""

    def __init__(
        self, path: Path, clock: Clock | None = None, why_read_only: str = "", lock: BenchLock | None = None
    ) -> None:
        """Open the logbook at ``path``, making it when it is not there. Raises LogbookError.

        ``why_read_only``: why it is opened read-only, in a sentence. ``lock``: its own, let go when it closes.
        """
        self.store = Store(path, why_read_only, locked=lock is not None)
        self.clock = clock or WallClock()
        self._lock = lock
        self.seal_fault = ""  # what its seal says against the file, once that was looked at
        self._seals = lock is not None and not self.store.why_read_only
        self._to_look_at = self._seals and seal.is_sealed(path)
        if self._to_look_at:
            self.store.keep_file_as_it_is()
        elif not self.store.why_read_only:
            if not self._seals:
                seal.take_off(path)  # nobody looks at it
            self._let_file_change()

    @classmethod
    def for_reading(cls, path: Path, why: str = "The logbook was opened for reading.") -> Logbook:
        """Open it beside whoever writes to it: nothing is written, unless it is first brought up to date.

        ``why`` is said to who tries to write. Raises LogbookError.
        """
        if needs_a_writer(path):
            cls.for_writing(path, "another hosewright").close()
        return cls(path, why_read_only=why)

    @classmethod
    def for_writing(cls, path: Path, who: str) -> Logbook:
        """Open it as its one writer, ``who`` being told to others. Raises LogbookError; HeldError while another is."""
        book = cls._alone(path, None, who)
        try:
            fault = book.held_against_seal()
        except LogbookError:
            book.close()
            raise
        if fault:
            book.close()
            raise LogbookError(
                f"Something is wrong with the logbook {path}: {fault}. {LOOK_IT_OVER} Nothing was changed."
            )
        book.break_seal("")
        return book

    @classmethod
    def for_counting(cls, path: Path, clock: Clock | None = None) -> Logbook:
        """Open it as the one bench that counts in it; read-only when it is in use. Raises LogbookError."""
        try:
            return cls._alone(path, clock, BENCH)
        except HeldError as error:
            return cls(path, clock, _held(error))

    @classmethod
    def _alone(cls, path: Path, clock: Clock | None, who: str) -> Logbook:
        try:
            make_private(path.parent)
            lock = BenchLock(path, who)
        except OSError:  # a read-only folder, or none: opening the logbook says which
            return cls(path, clock)
        try:
            book = cls(path, clock, lock=lock)
        except BaseException:
            lock.release()
            raise
        if not lock.certain:
            book.store.notes.append(
                "This drive knows no locks, so nothing keeps a second bench out: open one bench at a time."
            )
        return book

    @property
    def path(self) -> Path:
        return self.store.path

    def held_against_seal(self) -> str:
        """What the file's seal says against it, without a full stop; empty when it fits. Raises LogbookError.

        It only reads, and takes a quarter of a second for 100 MB: another thread may do it.
        """
        try:
            return seal.damage_of(self.path) if self._to_look_at else ""
        except OSError as error:
            raise LogbookError(f"The logbook {self.path} cannot be read: {plain(error)}.") from error

    def break_seal(self, fault: str) -> None:
        """Let the file change, now that it was held against its seal; a ``fault`` found stays until it is accepted."""
        if self._to_look_at:
            self._to_look_at, self.seal_fault = False, fault
            self._let_file_change()

    def _let_file_change(self) -> None:
        """In pauses only, while the seal is off. What is not as it was is not sealed again unasked."""
        sealed = self._seals and not self.seal_fault
        self.store.let_file_change(seal.Sealing(self.path) if sealed else None)

    def close(self) -> None:
        """Close the file, seal it if nothing is wrong with it, and let the next bench in."""
        with suppress(LogbookError):
            self.break_seal(self.held_against_seal())
        sealed = self._seals and not (self.store.why_read_only or self.seal_fault)
        if sealed:
            with suppress(OSError):
                self.store.wait_for_seal()
                seal.take_off(self.path)
        self.store.close()
        if sealed and not holds_beside(self.path, "-wal"):  # another may still have had the file open
            seal.put_on(self.path)
        if self._lock is not None:
            self._lock.release()

    # --- shelf ---------------------------------------------------------------------------------------------

    def shelf(self, cls: type[Thing], *, retired: bool = False, kind: str = "") -> list[Thing]:
        """Everything of a kind that is in use (with ``retired``, what is no longer, too). Raises LogbookError."""
        kind = kind or kind_of(cls)
        try:
            found: list[Any] = [cls.model_validate_json(text) for text in self.store.shelf_texts(kind)]
        except ValueError as error:
            raise unreadable(kind) from error
        return [item for item in found if retired or not item.retired]

    def get(self, cls: type[Thing], item_id: str) -> Thing | None:
        """The thing with this id; one that was entered twice answers to both. Raises LogbookError."""
        told = self.store.names_now().get((kind_of(cls), item_id))
        now = told.now if told else item_id
        return next((item for item in self.shelf(cls, retired=True) if item.id == now), None)

    def keep(self, *items: OnShelf) -> None:
        """Store things, or new revisions of them, all or none; earlier revisions stay. Raises LogbookError."""
        at_ms = self.clock.now().at_ms
        # A thousandth of a second apart, so that things that come together (an import) keep their order.
        self.put_on_shelf([(kind_of(type(item)), item.id, at_ms + place, item) for place, item in enumerate(items)])

    def put_on_shelf(self, rows: Sequence[tuple[str, str, int, Any]]) -> None:
        """Store revisions, all or none, each with its kind, its id and the moment it is of. Raises LogbookError."""
        with self.store.one_commit():
            for kind, item_id, at_ms, item in rows:
                self.store.add_revision(kind, item_id, at_ms, item.model_dump_json())
            if any(kind in NAMED for kind, *_ in rows):
                work_out_names(self.store.db)
            if any(kind == "chosen" for kind, *_ in rows):
                from hosewright.logbook.ways import settle

                for session in {item.session for kind, _, _, item in rows if kind == "chosen"}:
                    settle(self.store, session)

    def gauges(self, *, ribbed: bool = False) -> list[GaugeRecord]:
        """Every gauge, measured here or from the notebook, newest first; with ``ribbed`` those of ribbed tubes, too.

        Raises LogbookError.
        """
        from hosewright.logbook.records.shelf import GaugeRecord, Machine, Noted

        try:
            every = (GaugeRecord.model_validate_json(text) for text in self.store.gauge_texts())
            measured = [gauge for gauge in every if ribbed or not gauge.rib]
        except ValueError as error:
            raise unreadable("gauge") from error
        noted = self.shelf(Noted)
        if not noted:
            return measured
        turns = {one.id: one.clicks_per_turn for one in self.shelf(Machine, retired=True)}
        here = {one.session for one in measured}  # its own session says more than a copy of it in a table
        found = (one.gauge(turns.get(one.machine)) for one in noted if one.id not in here)
        return sorted([*measured, *filter(None, found)], key=lambda one: one.at_ms, reverse=True)

    # --- sessions ------------------------------------------------------------------------------------------

    def new_id(self) -> str:
        from hosewright.logbook.records.fields import session_id

        return session_id(self.clock.now().at_ms)

    def start(self, record: SessionRecord) -> Live:
        """Store the start of a session and take it up. Raises LogbookError."""
        from hosewright.logbook.live import begin

        return begin(self.store, self.clock, record)

    def take_up(self, session_id: str) -> Live:
        """An existing session, folded to where it stands. Raises LogbookError."""
        from hosewright.logbook.live import Live

        line = self.store.find(session_id)
        return Live(self.store, self.clock, line.n, self.begun(line))

    def record(self, line: SessionLine) -> SessionRecord:
        """The start of a session as it stands, all put right, by the names of now. Raises LogbookError."""
        from hosewright.logbook.records.corrected import by_names_now
        from hosewright.logbook.records.sessions import read_start

        return by_names_now(read_start(line.id, self.store.record_text(line.n)), self.store.names_now())

    def begun(self, line: SessionLine) -> SessionRecord:
        """The frozen start of a session, as its file has it. Raises LogbookError when it cannot be read."""
        from hosewright.logbook.records.sessions import read_start

        return read_start(line.id, self.store.begun_text(line.n))

    def state(self, line: SessionLine) -> State:
        from hosewright.session.fold import fold

        return fold(self.record(line).head, self.store.entries(line.n))

    def lines(self, *statuses: Status) -> list[SessionLine]:
        """Every session with one of ``statuses`` (any, when none is named), the last changed first."""
        return self.store.lines(*statuses, newest=EVERY)

    def take_in(self, record: SessionRecord, entries: Iterable[Entry]) -> bool:
        """Store a whole session from elsewhere, with the things it names that are not on the shelf yet.

        Returns False when the very same session, or more of it, is here already. Raises LogbookError, storing nothing.
        """
        from hosewright.logbook import ways

        return ways.take_in(self.store, [ways.prepare(record, list(entries))]) != ["here already"]


def _held(error: HeldError) -> str:
    who = "Another bench" if error.who == BENCH else error.who[0].upper() + error.who[1:]
    return (
        f"{who} has this logbook open{error.which}, so this one is read-only: nothing can be counted or "
        "changed. Close the other one, then start this one again."
    )
