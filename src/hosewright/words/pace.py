"""How fast the crank goes, month by month, as a list and for a spreadsheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.phrases.days import past_day
from hosewright.phrases.lists import Column
from hosewright.session.pace import EVEN_GAPS

if TYPE_CHECKING:
    from hosewright.logbook.accounts.pace import MonthPace

NO_PACE_YET = "No pace is known yet: it comes of the times between your rows."
PACE_RULE = (
    "The middle of each month's sessions, and how far they lie apart. Sessions left out are not in it, nor any whose "
    f"rows no hand cranked: {EVEN_GAPS} or more of them alike to a hundredth, or over four a second."
)
PACE_NAMES = ("month", "sessions", "rows_a_minute", "rows_spread", "passes_a_minute", "passes_spread")


def pace_facts(one: MonthPace) -> dict[str, object]:
    """A month by the names of ``PACE_NAMES``; None where nothing tells."""
    pace = one.pace
    rows = (_rounded(pace.rows), _rounded(pace.rows_spread) if pace.rows else None)
    passes = (_rounded(pace.passes), _rounded(pace.passes_spread) if pace.passes else None)
    return dict(zip(PACE_NAMES, (one.month, pace.sessions, *rows, *passes), strict=True))


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _a_minute(value: float | None, spread: float) -> str:
    return "" if value is None else f"{value:.1f}" + (f" ± {spread:.1f}" if round(spread, 1) else "")


PACE_COLUMNS: tuple[Column[MonthPace], ...] = (
    Column("Month", lambda one: past_day(one.month)),
    Column("Sessions", lambda one: str(one.pace.sessions), number=True),
    Column("Rows a minute", lambda one: _a_minute(one.pace.rows, one.pace.rows_spread), number=True),
    Column("Passes a minute", lambda one: _a_minute(one.pace.passes, one.pace.passes_spread), number=True),
)
