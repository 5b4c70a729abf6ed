"""Days as people type and say them. A day is stored as ISO 8601 has it, 2026-12-24."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date, timedelta
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.units import quoted
from hosewright.phrases.times import local

if TYPE_CHECKING:
    from hosewright.phrases.times import Clock

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
FIRST_YEAR, LAST_YEAR = 1970, 2200
HALF_A_YEAR = 182  # days; nearer, the weekday says more than the year; our line
HINT = "such as 2026-12-24, 24 Dec, Friday or in 2 weeks"
_MONTH_NAMES = (
    "january february march april may june july august september october november december".split()  # noqa: SIM905
)
_IN = re.compile(r"in (a|an|one|[0-9]{1,3}) (day|week|month)s?")
_DAY_MONTH = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?\.? ?(?:of )?([a-z]{3,9})\.?,?(?: ([0-9]{4}))?")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? ([0-9]{1,2})(?:st|nd|rd|th)?,?(?: ([0-9]{4}))?")


def local_day(clock: Clock) -> date:
    """Today, as the calendar on the wall has it."""
    at_ms, zone_min, _ = clock.now()
    return local(at_ms, zone_min).date()


def clock_day(at_ms: int, zone_min: int) -> str:
    """The day of a moment as the calendar on the wall showed it: "14 Nov 2023"."""
    return _with_year(local(at_ms, zone_min))


def plain_day(day: str) -> str:
    """A stored day in words, whatever day it is today: "24 Dec 2026"."""
    return _with_year(date.fromisoformat(day))


def _with_year(day: date) -> str:
    return f"{_in_its_year(day)} {day.year}"


def _in_its_year(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]}"


def read_day(text: str, today: date) -> str:
    """A day as ISO 8601 from typed text; one without a year is the next that comes. Raises CraftError."""
    if len(text) > 60:
        raise CraftError(f"The day is {len(text)} characters long: type one {HINT}.")
    plain = " ".join(text.lower().replace(",", " ").split())
    try:
        found = _iso(plain) or _named(plain, today) or _ahead(plain, today)
    except (ValueError, OverflowError):
        raise CraftError(f"There is no day {quoted(text)} in the calendar: type one {HINT}.") from None
    if found is None:
        raise CraftError(f"{quoted(text)} is not a day that can be read: type one {HINT}.")
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise CraftError(f"{quoted(text)} is too far away: type one {HINT}.")
    return found.isoformat()


def show_day(day: str, today: date) -> str:
    """A day in words: "Thu 24 Dec", or "12 Dec 2025" when it is more than half a year away."""
    when = date.fromisoformat(day)
    far = abs((when - today).days) > HALF_A_YEAR
    return _with_year(when) if far else f"{WEEKDAYS[when.weekday()][:3]} {_in_its_year(when)}"


def days_to(day: str, today: date) -> int:
    """Days from today to ``day``; below zero when it is past."""
    return (date.fromisoformat(day) - today).days


def weekday_of(days: int, today: date) -> str:
    """The weekday so many days from today, today and tomorrow by those words."""
    return ("today", "tomorrow")[days] if days in (0, 1) else WEEKDAYS[(today + timedelta(days)).weekday()]


def _iso(plain: str) -> date | None:
    found = re.fullmatch(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})", plain)
    return date(*map(int, found.groups())) if found else None


def _named(plain: str, today: date) -> date | None:
    """24 Dec, Dec 24, 24 December 2026. Raises ValueError for a day its month does not have."""
    found = _DAY_MONTH.fullmatch(plain)
    day, month, year = found.groups() if found else (None, None, None)
    if found is None and (found := _MONTH_DAY.fullmatch(plain)):
        month, day, year = found.groups()
    number = next((n for n, name in enumerate(_MONTH_NAMES, 1) if month and name.startswith(month)), None)
    if number is None or day is None:
        return None
    if year is not None:
        return date(int(year), number, int(day))
    for coming in range(today.year, today.year + 9):  # 29 February may be eight years off
        if int(day) <= monthrange(coming, number)[1] and (when := date(coming, number, int(day))) >= today:
            return when
    raise ValueError("no such day")


def _ahead(plain: str, today: date) -> date | None:
    """Today, tomorrow, a weekday, in 3 days, in 2 weeks, in a month."""
    if plain in ("today", "tomorrow"):
        return today + timedelta(plain == "tomorrow")
    names = [day.lower() for day in WEEKDAYS]
    weekday = next((n for n, name in enumerate(names) if len(plain) >= 3 and name.startswith(plain)), None)
    if weekday is not None:
        return today + timedelta((weekday - today.weekday() - 1) % 7 + 1)
    found = _IN.fullmatch(plain)
    if found is None:
        return None
    many = int(found[1]) if found[1].isdigit() else 1
    if found[2] != "month":
        return today + timedelta(many * (7 if found[2] == "week" else 1))
    years, month = divmod(today.month - 1 + many, 12)
    year = today.year + years
    return date(year, month + 1, min(today.day, monthrange(year, month + 1)[1]))
