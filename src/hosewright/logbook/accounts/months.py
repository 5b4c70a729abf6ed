"""How fast the crank went month by month, from the sessions that hands cranked."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.workload import OwnPace, own_pace
from hosewright.logbook.accounts.pairs import paces_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.phrases.times import local

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.logbook.book import Logbook


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
            paces = paces_of(book, n)
            told = paces.rows.per_minute, paces.passes.per_minute
            if paces.by_hand and told != (None, None):
                found.append(told)
        yield None
    if found:
        yield MonthPace(read, own_pace(found))
