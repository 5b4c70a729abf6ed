"""A session in use: an event is stored first and shown after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.file.coding import harmless_event
from hosewright.logbook.projections import (
    gauge_of,
    is_listed,
    project_gauge,
    project_left_out,
    project_start,
    put_lists_right,
    standing_of,
)
from hosewright.logbook.records.corrected import as_it_stands, by_names_now, sound
from hosewright.session.events import (
    Confirmed,
    Entry,
    Event,
    LeftOut,
    Opened,
    Paused,
    Pressed,
    ReadOff,
    Recounted,
    Redone,
    Reread,
    Restated,
    Struck,
    TakenIn,
    Undone,
)
from hosewright.session.fold import apply, fold
from hosewright.session.pace import Paces
from hosewright.session.results import verdict_words
from hosewright.session.rules import refusal
from hosewright.session.state import State
from hosewright.session.steps import CountPasses
from hosewright.session.undoing import last_done

if TYPE_CHECKING:
    from hosewright.logbook.file.store import Store
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import GaugeRecord
    from hosewright.phrases.times import Clock


_CHANGES_GAUGE = (ReadOff, Reread, Struck, Undone, Redone, Recounted, Restated, LeftOut, TakenIn)


class Live:
    """One session, its state, and the way to add to it."""

    def __init__(self, store: Store, clock: Clock, n: int, record: SessionRecord) -> None:
        """Fold what is stored; ``record`` is the frozen start. Raises LogbookError when it cannot be read."""
        self._store = store
        self._clock = clock
        self.n = n
        self.begun = record
        self.state = State(record.head)
        self.paces = Paces()
        self.record = record  # as it stands, by the names of now
        for entry in store.entries(n):
            self._show(entry)
        self.record = self._standing(self.state)

    def _standing(self, state: State) -> SessionRecord:
        return by_names_now(as_it_stands(self.begun, state.restated), self._store.names_now())

    def _show(self, entry: Entry) -> None:
        self.paces.take(entry, passes=isinstance(self.state.step, CountPasses))
        before = self.state.restated
        apply(self.state, entry)
        if self.state.restated is not before:
            self.record = self._standing(self.state)

    @property
    def looking(self) -> bool:
        """Whether nothing can be written, so that only another bench adds to the session."""
        return bool(self._store.why_read_only)

    def lost(self) -> str:
        """Why nothing is stored any more, said once (see ``Store.lost``); empty while all is well."""
        return self._store.lost()

    def catch_up(self) -> bool:
        """Take in what another bench has stored meanwhile; True when there was something. Raises LogbookError."""
        last = self.state.last_seq
        for entry in self._store.entries(self.n, after=last):
            self._show(entry)
        return self.state.last_seq > last

    def do(self, event: Event) -> str | None:
        """Store ``event``, then fold it in. Returns a sentence, and stores nothing, when it cannot happen now.

        Raises LogbookError when it could not be stored; the state is then as it was.
        """
        why = refusal(self.state, event)
        if why is not None:
            return why
        if isinstance(event, Restated):
            try:
                event = sound(event)
            except ValueError:
                return f"That is not a {event.what}."
        entry = Entry(self.state.last_seq + 1, *self._clock.now(), harmless_event(event))
        after = self.state.copy()
        apply(after, entry)
        with self._store.one_commit():
            self._store.add_entries(self.n, [entry])
            self._store.set_standing(self.n, standing_of(after))
            if not isinstance(event, Pressed):  # a press moves nothing that other lists show
                self._put_in_lists(entry, after)
        self._show(entry)
        if isinstance(event, Paused | Confirmed):
            self._store.fold_log_in()
        return None

    def _put_in_lists(self, entry: Entry, after: State) -> None:
        event = entry.event
        if isinstance(event, ReadOff):
            self._store.add_measurements(self.n, [(entry.seq, event.field, event.value, event.typed)])
        if isinstance(event, Undone | Redone):
            deed = last_done(self.state if isinstance(event, Undone) else after)
            if deed is not None and is_listed(deed.event):
                put_lists_right(self._store, self.n, self.begun.head, self._store.entries(self.n))
        elif isinstance(event, ReadOff | Reread | Struck):
            self._store.set_verdict(self.n, verdict_words(after))
        before, record = self.state, self._standing(after)
        if after.restated != before.restated:
            project_start(self._store, self.n, as_it_stands(self.begun, after.restated), after)
        if after.out != before.out:
            project_left_out(self._store, self.n, after)
        moved = (after.status, after.index) != (before.status, before.index)
        if moved or isinstance(event, ReadOff | Struck | Undone | Redone):
            self._store.set_status(self.n, after.status, after.last_ms)
        if moved or isinstance(event, _CHANGES_GAUGE):
            project_gauge(self._store, self.n, record, after)

    def gauge(self, state: State) -> GaugeRecord | None:
        """What the washed tube says in ``state``; None while it says nothing (see ``projections.gauge_of``)."""
        return gauge_of(self._standing(state), state)


def begin(store: Store, clock: Clock, record: SessionRecord) -> Live:
    """Store the start of a session and take it up. Raises LogbookError."""
    opened = Entry(1, *clock.now(), Opened())
    with store.one_commit():
        n = store.add_session(record)
        store.add_entries(n, [opened])
        store.set_standing(n, standing_of(fold(record.head, [opened])))
    return Live(store, clock, n, record)
