"""Waiting for an app by what its event loop has still to do.

Textual's own wait sleeps 20 ms at a time until the process uses little of the processor. That is long when there is
nothing to wait for, and too short when other processes have the processor.
"""

from __future__ import annotations

import asyncio
import math
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pytest

SOON_S = 0.03  # Textual repaints and moves things by timers of 1/120 and 1/60 s
MOST_S = 1.0  # of waiting for timers, Textual's own limit: one that repeats so fast never ends


async def wait_until_quiet(min_sleep: float = 0.0, max_sleep: float = MOST_S) -> None:
    """Until no task can go on and no timer is due soon; what Textual calls ``wait_for_idle``."""
    loop: Any = asyncio.get_running_loop()
    waited = 0.0
    while True:
        await asyncio.sleep(0)
        if loop._ready:
            continue
        due = min((timer.when() for timer in loop._scheduled if not timer.cancelled()), default=math.inf)
        soon = due - loop.time()
        if soon > SOON_S or waited > max_sleep:
            return
        await asyncio.sleep(soon)
        waited += max(0.0, soon)


def use(patch: pytest.MonkeyPatch) -> None:
    """Have Textual's pilot and keys wait so."""
    patch.setattr("textual.app.wait_for_idle", wait_until_quiet)
    patch.setattr("textual.pilot.wait_for_idle", wait_until_quiet)
