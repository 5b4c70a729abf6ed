"""What only the events of a session tell, for conditions in SQL: where its dial stood, its pace, the lots joined on."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple
from weakref import WeakSet

from hosewright.logbook.file.coding import head_of, start_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.wanted import has_words
from hosewright.session.fold import apply
from hosewright.session.pace import Paces
from hosewright.session.state import State
from hosewright.session.steps import CountPasses

if TYPE_CHECKING:
    from hosewright.logbook.file.store import Store

_HAVE: WeakSet[Store] = WeakSet()


class Folded(NamedTuple):
    """What a session tells: clicks of the dial as it stood last, usual rows a minute by hand, ids of lots."""

    dial: int | None = None
    pace: float | None = None
    lots: tuple[str, ...] = ()


def add_functions(store: Store) -> None:
    """Let SQL ask for ``dial_of``, ``pace_of`` and ``joined_lots`` of a session, by its number and last event.

    What was folded once is kept as long as the logbook is open, until the session goes on. One that cannot be read
    tells nothing.
    """
    if store in _HAVE:
        return
    _HAVE.add(store)

    @cache
    def told(n: int, last_seq: int) -> Folded:  # noqa: ARG001  # a session that went on is folded again
        try:
            return _fold(store, n)
        except (LogbookError, ValueError):
            return Folded()

    store.db.create_function("has_words", 2, has_words, deterministic=True)
    store.db.create_function("dial_of", 2, lambda n, last_seq: told(n, last_seq).dial)
    store.db.create_function("pace_of", 2, lambda n, last_seq: told(n, last_seq).pace)
    store.db.create_function("joined_lots", 2, lambda n, last_seq: f" {' '.join(told(n, last_seq).lots)} ")


def _fold(store: Store, n: int) -> Folded:
    state, paces = State(head_of(start_of(store.begun_text(n)))), Paces()
    for entry in store.entries(n):
        paces.take(entry, passes=isinstance(state.step, CountPasses))
        apply(state, entry)
    lots = tuple(seen.lot for seen in state.observations if seen.lot and not seen.struck)
    return Folded(state.dial, paces.rows.per_minute if paces.by_hand else None, lots)
