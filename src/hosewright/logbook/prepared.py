"""A session from elsewhere, worked out as it will be stored: plain rows, which another process can make ready."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from hosewright.logbook.file.coding import Prepared, encode, with_more
from hosewright.logbook.projections import gauge_of, standing_of
from hosewright.logbook.records.corrected import as_it_stands
from hosewright.logbook.records.shelf import SHELF
from hosewright.session.events import Entry, Undone
from hosewright.session.fold import fold
from hosewright.session.results import verdict_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import OnShelf

NOTHING: Mapping[int, list[Any]] = MappingProxyType({})
_KIND_OF = {cls: kind for kind, cls in SHELF.items()}


def prepare(
    record: SessionRecord, entries: Sequence[Entry], whose: str = "", more: Mapping[int, list[Any]] = NOTHING
) -> Prepared:
    """Fold a session and work out all that is stored beside its events; ``whose``: where it is from.

    ``more``: what a later version said of its events, by their numbers.
    """
    state = fold(record.head, entries)
    stands = as_it_stands(record, state.restated)
    changed_ms = state.last_ms if entries else record.started_ms
    gauge = gauge_of(stands, state) if record.kind == "tube" else None
    things: list[OnShelf | None] = [record.plan]
    for one in (record,) if stands is record else (record, stands):
        things += [one.machine, one.cylinder, one.yarn, one.wearer]
        things += [thing for sock in one.socks for thing in (sock.wearer, sock.plan)]
    return Prepared(
        record.id,
        record.kind,
        stands.title,
        stands.started_ms,
        state.status,
        changed_ms,
        record.model_dump_json(),
        None if stands is record else stands.model_dump_json(),
        [(seq, at, zone, tick, *with_more(*encode(event), more.get(seq))) for seq, at, zone, tick, event in entries],
        [(reading.seq, reading.field, reading.value, reading.typed) for reading in state.readings],
        (stands.yarn.id, stands.cylinder.id, gauge.model_dump_json()) if gauge else None,
        [(_KIND_OF[type(thing)], thing.id, thing.model_dump_json()) for thing in things if thing is not None],
        verdict_words(state),
        (state.out.reason, state.out.cranked) if state.out else None,
        any(isinstance(entry.event, Undone) for entry in entries),
        standing_of(state),
        whose,
    )
