"""Which presses can be rows. No hand cranks a row in so short a time; a bouncing pedal or a held key takes less."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

USUAL_GAP_MS = (
    120.0  # ours: far above a contact's bounce (Ganssle, A Guide to Debouncing: 6.2 ms at most in 16 switches)
)
# A held key repeats only after a wait, then evenly. Desktop defaults, from memory: wait 250 to 660 ms, then 25 to 40
# repeats a second; the bounds here are wider.
_WAIT_MS = (150.0, 1100.0)
_RUN = 3
_UNEVEN_MS = 15.0


class Judgement(Enum):
    """What a press is taken for."""

    ROW = "row"
    DOUBTFUL = "doubtful"
    HELD_KEY = "held key"  # doubtful, and so is the press before this run: it was the key's first repeat


@dataclass(slots=True)
class Doubter:
    """Judges each press by its gap to the press before, of whatever kind. ``gap_ms`` 0 takes every press for a row."""

    gap_ms: float = USUAL_GAP_MS
    last_ms: float | None = None
    before_run_ms: float | None = None
    run: list[float] = field(default_factory=list)

    def judge(self, at_ms: float) -> Judgement:
        """Judge the press that arrived at ``at_ms`` on a clock that never steps."""
        gap = None if self.last_ms is None else at_ms - self.last_ms
        self.last_ms = at_ms
        if self.gap_ms <= 0 or gap is None or gap >= self.gap_ms:
            self.before_run_ms, self.run = gap, []
            return Judgement.ROW
        self.run.append(gap)
        if len(self.run) == _RUN and max(self.run) - min(self.run) <= _UNEVEN_MS and self._waited():
            return Judgement.HELD_KEY
        return Judgement.DOUBTFUL

    def _waited(self) -> bool:
        return self.before_run_ms is not None and _WAIT_MS[0] <= self.before_run_ms <= _WAIT_MS[1]
