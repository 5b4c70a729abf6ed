"""How fast the crank went: in one session, lately, and month by month, of the sessions that hands cranked."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.workload import OwnPace, own_pace
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.projections import start_of_session
from hosewright.phrases.times import local
from hosewright.session.fold import apply
from hosewright.session.pace import Paces
from hosewright.session.state import State
from hosewright.session.steps import CountPasses

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import Store


RECENT = 10  # sock sessions the pace is taken from; our choice


def recent_pace(book: Logbook) -> OwnPace:
    """The knitter's own pace over their last sock sessions, pauses taken out. Raises LogbookError."""
    rows = book.store.ask(
        "SELECT session FROM catalogue WHERE kind IN ('sock', 'string') AND left_out = ''"
        " ORDER BY changed DESC LIMIT ?",
        RECENT,
    )
    found = [walked(book.store, n)[1] for (n,) in rows]
    return own_pace([(one.rows.per_minute, one.passes.per_minute) for one in found if one.by_hand])


def walked(store: Store, n: int) -> tuple[State, Paces]:
    """Where session ``n`` stands, and how fast it was cranked. Raises LogbookError."""
    state, paces = State(start_of_session(store, n)[1]), Paces()
    for entry in store.entries(n):
        paces.take(entry, passes=isinstance(state.step, CountPasses))
        apply(state, entry)
    return state, paces


@dataclass(frozen=True, slots=True)
class MonthPace:
    """The median of a month's sessions with its robust spread; ``month`` is as ISO 8601 has it, 2025-10."""

    month: str
    pace: OwnPace


def months(book: Logbook) -> tuple[MonthPace, ...]:
    """Every month in which a session tells a pace, the first on top (see ``months_bit_by_bit``)."""
    return tuple(reversed([month for month in months_bit_by_bit(book) if month is not None]))


def months_bit_by_bit(book: Logbook) -> Iterator[MonthPace | None]:
    """Each month once it is read, the newest first, and None after every session.

    Out of it are sessions left out, those no hand cranked (``session.pace.Pace.by_hand``), any that cannot be read, and
    what is from the notebook, which no press tells of. Raises LogbookError.
    """
    read, found = "", list[tuple[float | None, float | None]]()
    sql = """SELECT session, began, zone_min FROM catalogue WHERE left_out = ''
        ORDER BY began + zone_min * 60000 DESC, session"""
    for n, began, zone_min in book.store.ask(sql):
        month = f"{local(began, zone_min):%Y-%m}"
        if found and month != read:
            yield MonthPace(read, own_pace(found))
            found = []
        read = month
        with suppress(LogbookError, ValueError):
            paces = walked(book.store, n)[1]
            told = paces.rows.per_minute, paces.passes.per_minute
            if paces.by_hand and told != (None, None):
                found.append(told)
        yield None
    if found:
        yield MonthPace(read, own_pace(found))
