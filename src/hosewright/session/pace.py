"""How fast the crank goes, from the presses themselves."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from statistics import median
from typing import TYPE_CHECKING

from hosewright.session.events import Amended, Observed, Pressed, Undone

if TYPE_CHECKING:
    from hosewright.session.events import Entry

REMEMBERED = 200  # gaps; ours, as is the next
LAST_FEW = 7
EVEN_GAPS = 40  # gaps of which half are within this share of the middle one: no hand; both ours
EVEN_SHARE = 0.01
LEAST_GAP_MS = 250  # ours: a row in less is no crank
STILL_MS = 300_000  # the usual auto-pause; a longer gap between presses is no time at the crank; ours


@dataclass(slots=True)
class Pace:
    """The gaps between presses that follow one another with nothing but an observation between.

    The median is robust: a phone call counted as one long gap does not move it. ``spent_ms`` is their sum, without
    gaps too long to be time at the crank.
    """

    gaps_ms: deque[int] = field(default_factory=lambda: deque(maxlen=REMEMBERED))
    spent_ms: int = 0
    last_tick: int | None = None
    # Of the last presses and observations: whether a press gave a gap, which goes when it is undone.
    gave: deque[bool] = field(default_factory=lambda: deque(maxlen=REMEMBERED))

    def take(self, entry: Entry) -> None:
        if isinstance(entry.event, Pressed):
            if entry.event.doubtful:
                return
            known = self.last_tick is not None and entry.tick_ms > self.last_tick
            if self.last_tick is not None and known:
                gap = entry.tick_ms - self.last_tick
                self.gaps_ms.append(gap)
                self.spent_ms += gap if gap <= STILL_MS else 0
            self.gave.append(known)
            self.last_tick = entry.tick_ms
        elif isinstance(entry.event, Observed | Amended):
            self.gave.append(False)
        else:
            self.last_tick = None
            if not isinstance(entry.event, Undone):
                self.gave.clear()
            elif self.gave and self.gave.pop() and self.gaps_ms:
                gap = self.gaps_ms.pop()
                self.spent_ms -= gap if gap <= STILL_MS else 0

    @property
    def per_minute(self) -> float | None:
        """The usual rows or passes a minute, or None before there are three gaps to judge by."""
        return 60_000 / median(self.gaps_ms) if len(self.gaps_ms) >= 3 else None

    @property
    def by_hand(self) -> bool:
        """Whether hands may have cranked it: not so fast, nor row upon row so even, as a script's rows are."""
        gaps = self.gaps_ms
        if len(gaps) < EVEN_GAPS:
            return True
        middle = median(gaps)
        return middle >= LEAST_GAP_MS and median(abs(gap - middle) for gap in gaps) > EVEN_SHARE * middle

    @property
    def now_per_minute(self) -> float | None:
        """Rows or passes a minute over the last few, or None before there are three gaps to judge by."""
        last = list(self.gaps_ms)[-LAST_FEW:]
        return 60_000 / median(last) if len(last) >= 3 else None


@dataclass(slots=True)
class Paces:
    """The pace in rows and the pace in passes, kept apart, for a pass is another movement."""

    rows: Pace = field(default_factory=Pace)
    passes: Pace = field(default_factory=Pace)

    def of(self, *, passes: bool) -> Pace:
        return self.passes if passes else self.rows

    @property
    def by_hand(self) -> bool:
        return self.rows.by_hand and self.passes.by_hand

    @property
    def minutes_spent(self) -> float:
        """Minutes at the crank so far."""
        return (self.rows.spent_ms + self.passes.spent_ms) / 60_000

    def take(self, entry: Entry, *, passes: bool) -> None:
        """Take one more entry, in order; ``passes``: it came in a heel or toe."""
        self.of(passes=passes).take(entry)
        self.of(passes=not passes).last_tick = None

    def minutes_for(self, rows: int, passes: int) -> float | None:
        """Minutes for so many rows and passes at the usual pace, or None while it is not known.

        While only one of the two is known it stands for the other, too.
        """
        row, turned = self.rows.per_minute, self.passes.per_minute
        if row is None and turned is None:
            return None
        return rows / (row or turned or 1) + passes / (turned or row or 1)
