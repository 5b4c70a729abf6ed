"""How fast the crank went month by month, from the sessions that hands cranked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.workload import OwnPace, own_pace
from hosewright.logbook.accounts.pairs import paces_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.phrases.times import local

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook


@dataclass(frozen=True, slots=True)
class MonthPace:
    """The median of a month's sessions with its robust spread; ``month`` is as ISO 8601 has it, 2025-10."""

    month: str
    pace: OwnPace


def months(book: Logbook) -> tuple[MonthPace, ...]:
    """Every month in which a session tells a pace, the first on top.

    Out of it are sessions left out, those no hand cranked (``session.pace.Pace.by_hand``), any that cannot be read, and
    what is from the notebook, which no press tells of. Raises LogbookError.
    """
    found: dict[str, list[tuple[float | None, float | None]]] = {}
    sql = "SELECT session, began, zone_min FROM catalogue WHERE left_out = '' ORDER BY began, session"
    for n, began, zone_min in book.store.ask(sql):
        try:
            paces = paces_of(book, n)
        except (LogbookError, ValueError):
            continue
        told = paces.rows.per_minute, paces.passes.per_minute
        if paces.by_hand and told != (None, None):
            found.setdefault(f"{local(began, zone_min):%Y-%m}", []).append(told)
    return tuple(MonthPace(month, own_pace(told)) for month, told in found.items())
