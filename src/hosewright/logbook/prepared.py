"""A session from elsewhere, worked out as it will be stored: plain rows, which another process can make ready."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.file.coding import Prepared, encode
from hosewright.logbook.projections import gauge_of, standing_of
from hosewright.logbook.records.shelf import SHELF
from hosewright.session.events import Entry, Undone
from hosewright.session.fold import fold
from hosewright.session.results import verdict_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import OnShelf

_KIND_OF = {cls: kind for kind, cls in SHELF.items()}


def prepare(record: SessionRecord, entries: Sequence[Entry]) -> Prepared:
    """Fold a session and work out all that is stored beside its events."""
    state = fold(record.head, entries)
    changed_ms = entries[-1].at_ms if entries else record.started_ms
    gauge = gauge_of(record, state, state.last_ms) if record.kind == "tube" else None
    things: list[OnShelf | None] = [record.machine, record.cylinder, record.yarn, record.wearer, record.plan]
    for sock in record.socks:
        things += [sock.wearer, sock.plan]
    return Prepared(
        record.id,
        record.kind,
        record.title,
        record.started_ms,
        state.status,
        changed_ms,
        record.model_dump_json(),
        [(seq, at, zone, tick, *encode(event)) for seq, at, zone, tick, event in entries],
        [(reading.seq, reading.field, reading.value, reading.typed) for reading in state.readings],
        (record.yarn.id, record.cylinder.id, gauge.model_dump_json()) if gauge else None,
        [(_KIND_OF[type(thing)], thing.id, thing.model_dump_json()) for thing in things if thing is not None],
        verdict_words(state),
        any(isinstance(entry.event, Undone) for entry in entries),
        standing_of(state),
    )
