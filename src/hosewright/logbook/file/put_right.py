"""What a session is found by, once something in it was undone: worked out anew from what stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.file.coding import encode
from hosewright.logbook.file.lists import FOLLOWS, follow
from hosewright.session.results import verdict_words
from hosewright.session.standing import standing

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.logbook.file.store import Store
    from hosewright.session.events import Entry, Event
    from hosewright.session.steps import Head


def is_listed(event: Event) -> bool:
    """Whether any list tells of such an event, so that undoing it must be told there."""
    return event.kind in FOLLOWS or event.kind == "measured"


def put_lists_right(store: Store, n: int, head: Head, entries: Iterable[Entry]) -> None:
    """Let faults, words, readings and verdict of session ``n`` tell what stands. Call inside ``one_commit``."""
    stands = standing(head, entries)
    db = store.db
    db.execute("DELETE FROM seen WHERE session = ?", (n,))
    db.execute("DELETE FROM words WHERE session = ? AND rowid <> ?", (n, -n))  # every row but that of its start
    db.execute("DELETE FROM measurements WHERE session = ?", (n,))
    store.add_measurements(n, [(one.seq, one.field, one.value, one.typed) for one in stands.state.readings])
    for entry in stands.entries:
        kind, body = encode(entry.event)
        if body is not None:
            follow(db, n, entry.seq, entry.at_ms, kind, body)
    store.set_verdict(n, verdict_words(stands.state))
