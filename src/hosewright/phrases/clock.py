"""The time of day and a clock that never steps."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta, timezone
from typing import NamedTuple, Protocol


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
        """The present moment."""
        at = time.time()
        offset = datetime.fromtimestamp(at).astimezone().utcoffset()
        minutes = int(offset.total_seconds() // 60) if offset else 0
        return Moment(int(at * 1000), minutes, time.monotonic_ns() // 1_000_000)


def local(at_ms: float, zone_min: int) -> datetime:
    """A moment (UTC in ms since 1970) as the clock on the wall showed it, ``zone_min`` minutes ahead of UTC."""
    return datetime.fromtimestamp(at_ms / 1000, timezone(timedelta(minutes=zone_min)))


def utc_text(at_ms: int) -> str:
    """A moment as ISO 8601 in UTC, to the second: "2025-01-14T18:03:00+00:00"."""
    return datetime.fromtimestamp(at_ms / 1000, UTC).isoformat(timespec="seconds")
