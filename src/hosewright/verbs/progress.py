"""How far a long piece of work is, on one line of a terminal that is written anew."""

from __future__ import annotations

import sys
import time

_EVERY_S = 0.2
_LATE_S = 1.0  # what is done sooner needs no telling


class Progress:
    """Called with what is counted, how many are done and how many there are. Silent where nobody looks on."""

    def __init__(self) -> None:
        self._began = self._told = time.monotonic()
        self._looked_at = sys.stderr.isatty()

    def __call__(self, what: str, done: int, all_of_them: int) -> None:
        """Tell it, now and then; what was told is wiped away at the end."""
        now = time.monotonic()
        if not self._looked_at or now - self._began < _LATE_S:
            return
        if done >= all_of_them:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)
        elif now - self._told >= _EVERY_S:
            self._told = now
            print(f"\r\x1b[K{done:,} of {all_of_them:,} {what}", end="", file=sys.stderr, flush=True)
