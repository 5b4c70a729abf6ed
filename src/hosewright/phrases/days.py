"""Days as people type and say them. A day is stored as ISO 8601 has it, 2026-12-24.

What was long ago may be known to the month or the year only: 2021-05, 2019. So it is stored, and no finer.
"""

from __future__ import annotations

import re
from calendar import day_name, month_abbr, month_name, monthrange
from datetime import date, timedelta
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.units import quoted
from hosewright.phrases.times import local

if TYPE_CHECKING:
    from hosewright.phrases.times import Clock

NO_DAY = "9999"  # sorts behind every day as ISO 8601 writes it
WEEKDAYS = tuple(day_name)
MONTHS = tuple(month_abbr)[1:]
FIRST_YEAR, LAST_YEAR = 1970, 2200
HALF_A_YEAR = 182  # days; nearer, the weekday says more than the year; our line
HINT = "such as 24 Dec, 24/12, July 2027, Friday or in 2 weeks"
PAST_HINT = "such as 2019, May 2021 or 24/12/2020"
_MONTH_NAMES = tuple(name.lower() for name in month_name)[1:]
_IN = re.compile(r"in (a|an|one|[0-9]{1,3}) (day|week|month)s?")
_DAY_MONTH = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?\.? ?(?:of )?([a-z]{3,9})\.?,?(?: ([0-9]{4}))?")
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? ([0-9]{1,2})(?:st|nd|rd|th)?,?(?: ([0-9]{4}))?")
_MONTH_YEAR = re.compile(r"([a-z]{3,9})\.?(?: ([0-9]{4}))?")
_IN_FIGURES = re.compile(r"(?:([0-9]{1,2})[/.])?([0-9]{1,2})[/.]([0-9]{4})|([0-9]{1,2})[/.]([0-9]{1,2})\.?")
_ISO_PARTS = re.compile(r"([0-9]{4})(?:-([0-9]{1,2})(?:-([0-9]{1,2}))?)?")


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
    """A day as ISO 8601 from typed text; one without a year is the next that comes, a month is its last day.

    Figures are day before month. Raises CraftError.
    """
    if len(text) > 60:
        raise CraftError(f"The day is {len(text)} characters long: type one {HINT}.")
    plain = " ".join(text.lower().replace(",", " ").split())
    try:
        found = _ahead(plain, today) or _coming(plain, today)
    except (ValueError, OverflowError):
        raise CraftError(f"There is no day {quoted(text)} in the calendar: type one {HINT}.") from None
    if found is None:
        raise CraftError(f"{quoted(text)} is not a day that can be read: type one {HINT}.")
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise CraftError(f"{quoted(text)} is too far away: type one {HINT}.")
    return found.isoformat()


def show_day(day: str, today: date, *, weekday: bool = True) -> str:
    """A day in words: "Thu 24 Dec", or "12 Dec 2025" when it is more than half a year away."""
    when = date.fromisoformat(day)
    if abs((when - today).days) > HALF_A_YEAR:
        return _with_year(when)
    return f"{WEEKDAYS[when.weekday()][:3]} {_in_its_year(when)}" if weekday else _in_its_year(when)


def days_to(day: str, today: date) -> int:
    """Days from today to ``day``; below zero when it is past."""
    return (date.fromisoformat(day) - today).days


def weekday_of(days: int, today: date) -> str:
    """The weekday so many days from today, today and tomorrow by those words."""
    return ("today", "tomorrow")[days] if days in (0, 1) else WEEKDAYS[(today + timedelta(days)).weekday()]


def _coming(plain: str, today: date) -> date | None:
    """24 Dec, 24/12, 24.12.2026 or 2026-12-24; of a month its last day. Raises ValueError for a day there is not."""
    year, month, day = _typed_parts(plain) or (None, None, None)
    if month is None:
        return None
    if year is not None:
        return date(year, month, day or monthrange(year, month)[1])
    for coming in range(today.year, today.year + 9):  # 29 February may be eight years off
        last = monthrange(coming, month)[1]
        if (day or 1) <= last and (when := date(coming, month, day or last)) >= today:
            return when
    raise ValueError("no such day")


def _day_named(plain: str) -> tuple[int | None, int, int] | None:
    """The year, where one is said, the month and the day of 24 Dec, Dec 24, 24 December 2026."""
    found = _DAY_MONTH.fullmatch(plain)
    day, name, year = found.groups() if found else (None, None, None)
    if found is None and (found := _MONTH_DAY.fullmatch(plain)):
        name, day, year = found.groups()
    month = _month_named(name)
    return None if month is None or day is None else (int(year) if year else None, month, int(day))


def _month_named(name: str | None) -> int | None:
    return next((n for n, known in enumerate(_MONTH_NAMES, 1) if name and known.startswith(name)), None)


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


# --- what is past, as far as it is known ------------------------------------------------------------------------------


def read_past_day(text: str, today: date) -> str:
    """A day, month or year from typed text, no finer than it was typed: "2019", "2021-05", "2020-12-24".

    Figures are day before month. Without a year it is the last one that was. Raises CraftError.
    """
    plain = " ".join(text[:61].lower().replace(",", " ").split())
    if len(text) <= 60 and plain in ("today", "yesterday"):
        return (today - timedelta(plain == "yesterday")).isoformat()
    said = None if len(text) > 60 else _typed_parts(plain)
    if said is None:
        raise CraftError(f"{quoted(text)} is not a day that can be read: type one {PAST_HINT}.")
    year, month, day = said
    try:
        if year is None:
            assert month is not None  # a day or a month was said
            year = _last_year_of(month, day, today)
        known = "-".join([f"{year:04}", *(f"{part:02}" for part in (month, day) if part is not None)])
        days_of(known)
    except ValueError:
        raise CraftError(f"There is no {quoted(text)} in the calendar: type a day {PAST_HINT}.") from None
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise CraftError(f"{quoted(text)} is too far away: type a day {PAST_HINT}.")
    return known


def read_day_gone(text: str, today: date) -> str:
    """The same, but nothing that is still to come. Raises CraftError."""
    known = read_past_day(text, today)
    if days_of(known)[0] > today:
        raise CraftError(f"{past_day(known)} is still to come: type a day that is past.")
    return known


def days_of(known: str) -> tuple[date, date]:
    """The first and the last day of a stored day, month or year. Raises ValueError for one there is not."""
    year, month, day = (int(part) if part else None for part in _parts_of(known))
    first = date(year or 0, 1 if month is None else month, 1 if day is None else day)
    if day is not None:
        return first, first
    last_month = month or 12
    return first, date(first.year, last_month, monthrange(first.year, last_month)[1])


def past_day(known: str) -> str:
    """A stored day, month or year in words: "24 Dec 2020", "May 2021", "2019"."""
    year, month, day = _parts_of(known)
    if day is not None:
        return plain_day(known)
    return year if month is None else f"{MONTHS[int(month) - 1]} {year}"


def _parts_of(known: str) -> tuple[str, str | None, str | None]:
    found = _ISO_PARTS.fullmatch(known)
    if found is None:
        raise ValueError(f"{known[:20]!r} is no day, month or year")
    return found[1], found[2], found[3]


def _typed_parts(plain: str) -> tuple[int | None, int | None, int | None] | None:
    """Year, month and day, as far as they are said; None for what is none of them."""
    if found := _ISO_PARTS.fullmatch(plain):
        year, month, day = (int(part) if part else None for part in found.groups())
        return year, month, day
    if found := _IN_FIGURES.fullmatch(plain):
        day_of, month_of, year_of, day_alone, month_alone = found.groups()
        if day_alone:
            return None, int(month_alone), int(day_alone)
        return int(year_of), int(month_of), int(day_of) if day_of else None
    if named := _day_named(plain):
        return named
    found = _MONTH_YEAR.fullmatch(plain)
    named_month = _month_named(found[1]) if found else None
    return (int(found[2]) if found[2] else None, named_month, None) if found and named_month else None


def _last_year_of(month: int, day: int | None, today: date) -> int:
    """The year of the last such day or month that was. Raises ValueError for a day that no month has."""
    for year in range(today.year, today.year - 9, -1):  # 29 February may be eight years back
        if (day or 1) <= monthrange(year, month)[1] and date(year, month, 1 if day is None else day) <= today:
            return year
    raise ValueError("no such day")
