"""The time of day and a clock that never steps."""

from __future__ import annotations

import time
from datetime import datetime
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
