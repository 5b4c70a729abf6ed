"""The time of day, a clock that never steps, and moments and durations in words.

Each is said in one way wherever it stands: "14 November 2023, 23:13", "9 h 40 min".
"""

from __future__ import annotations

import time
from datetime import UTC, date, datetime, timedelta, timezone
from typing import NamedTuple, Protocol

DAY_MS = 86_400_000


class Moment(NamedTuple):
    """UTC in ms since 1970, the local offset in minutes, and a monotonic clock in ms."""

    at_ms: int
    zone_min: int
    tick_ms: int


class Clock(Protocol):
    """Anything that can say what time it is."""

    def now(self) -> Moment:
        """The present moment."""


class WallClock:
    """The machine's own clocks."""

    def now(self) -> Moment:
        at = time.time()
        offset = datetime.fromtimestamp(at).astimezone().utcoffset()
        minutes = int(offset.total_seconds() // 60) if offset else 0
        return Moment(int(at * 1000), minutes, time.monotonic_ns() // 1_000_000)


def local(at_ms: float, zone_min: int) -> datetime:
    """A moment (UTC in ms since 1970) as the clock on the wall showed it, ``zone_min`` minutes ahead of UTC."""
    return datetime.fromtimestamp(at_ms / 1000, timezone(timedelta(minutes=zone_min)))


def day_began(day: date, zone_min: int) -> int:
    """When a day begins by the clock on the wall, UTC in ms since 1970; of days before that, then."""
    midnight = datetime(day.year, day.month, day.day, tzinfo=timezone(timedelta(minutes=zone_min)))
    return max(0, int(midnight.timestamp() * 1000))


def utc_text(at_ms: int) -> str:
    """A moment as ISO 8601 in UTC, to the second: "2025-01-14T18:03:00+00:00"."""
    return datetime.fromtimestamp(at_ms / 1000, UTC).isoformat(timespec="seconds")


ONLY_HOURS = 100  # from so many on, minutes are not worth saying
IN_DAYS = 48  # so is time that passed by itself from so many hours on


def clock_time(at_ms: int, zone_min: int) -> str:
    """A moment as the clock on the wall showed it: "14 November 2023, 23:13"."""
    return f"{local(at_ms, zone_min):%d %B %Y, %H:%M}".lstrip("0")


def time_of_day(at_ms: float, zone_min: int) -> str:
    """The time alone: "23:13"."""
    return f"{local(at_ms, zone_min):%H:%M}"


def today_words(at_ms: int, zone_min: int) -> str:
    """The date for the heading."""
    return f"{local(at_ms, zone_min):%A %d %B %Y}"


def minutes_words(minutes: float) -> str:
    """Minutes of work, to the minute: "40 min", "9 h 40 min", "1,204 h"."""
    hours, left = divmod(round(minutes), 60)
    if hours >= ONLY_HOURS:
        return f"{minutes / 60:,.0f} h"
    return f"{hours} h {left} min" if hours and left else f"{hours} h" if hours else f"{left} min"


def span(ms: float) -> str:
    """How long, to the nearest unit worth saying: "40 s", "12 min", "3 h 5 min", "4 days"."""
    seconds = round(ms / 1000)
    if seconds < 60:
        return f"{seconds} s"
    hours = round(seconds / 60) // 60
    return f"{round(hours / 24)} days" if hours >= IN_DAYS else minutes_words(seconds / 60)


def short_span(ms: float) -> str:
    """The same where there is room for six letters: "40 s", "75 min", "7 h", "4 d"."""
    seconds = int(ms / 1000)
    if seconds < 60:
        return f"{seconds} s"
    if seconds < 90 * 60:
        return f"{seconds // 60} min"
    hours = seconds // 3600
    return f"{hours} h" if hours < IN_DAYS else f"{hours // 24} d"


def limit_words(seconds: int) -> str:
    """A limit that was set, exactly: "90 s", "5 min"."""
    return f"{seconds} s" if seconds % 60 else f"{seconds // 60} min"


def since_words(ms: float) -> str:
    """How long something has been left alone; empty when it is hardly any time."""
    return span(ms) if ms >= 120_000 else ""
