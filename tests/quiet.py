"""Waiting for an app by what its event loop has still to do.

Textual's own wait sleeps 20 ms at a time until the process uses little of the processor. That is long when there is
nothing to wait for, and too short when other processes have the processor. After each key it also sends every widget
of the screen a message and waits until the last has come back, which wakes 250 widgets to learn that they were idle.
And the timer of a screen's frames sleeps on when no frame is asked for, so that nobody can see that nothing is due.
"""

from __future__ import annotations

import asyncio
import math
from typing import TYPE_CHECKING, Any
from weakref import WeakSet

from textual.pilot import Pilot
from textual.screen import Screen
from textual.timer import EventTargetGone, Timer

if TYPE_CHECKING:
    import pytest
    from textual.message_pump import MessagePump

SOON_S = 0.03  # Textual repaints and moves things by timers of 1/120 and 1/60 s
LEAST_S = 0.005  # that a timer counts for: screens that never come to rest, on a slow machine, end a wait, too
MOST_S = 1.0  # of waiting for timers, Textual's own limit: one that repeats so fast never ends
LONGEST_S = 0.25  # that a frame is put off while the app is at work
MANY_FRAMES = (
    30  # within one wait, as soon as asked for; of a screen that never comes to rest the others keep Textual's time
)
_LOOKING: list[Any] = []  # who looks whether others can go on: each of them is one of those that can
_UNPAINTED: WeakSet[Screen[Any]] = WeakSet()
_textual_waits, _textual_runs, _textual_refreshes = Pilot._wait_for_screen, Timer._run, Screen._compositor_refresh


async def wait_until_quiet(min_sleep: float = 0.0, max_sleep: float = MOST_S) -> None:
    """Until no task can go on and no timer is due soon; what Textual calls ``wait_for_idle``.

    What is to be painted by then is painted once, at the end of the pilot's wait.
    """
    loop: Any = asyncio.get_running_loop()
    loop.frames, loop.puts_off = 0, True
    try:
        await _until_quiet(loop, max_sleep)
    finally:
        loop.puts_off = False


async def _until_quiet(loop: Any, max_sleep: float) -> None:
    waited = 0.0
    while True:
        await _others(loop)
        if loop._ready:
            continue
        due = min((timer.when() for timer in loop._scheduled if not timer.cancelled()), default=math.inf)
        soon = due - loop.time()
        if soon > SOON_S or waited > max_sleep:
            return
        await asyncio.sleep(soon)
        waited += max(LEAST_S, soon)


async def _others(loop: Any) -> None:
    """Let everything else that can go on do so once."""
    _LOOKING.append(loop)
    try:
        await asyncio.sleep(0)
    finally:
        _LOOKING.pop()


async def _until_nothing_else(loop: Any, until: float) -> None:
    """Until no task can go on but those that wait for just that; at most until then."""
    while len(loop._ready) > len(_LOOKING) and loop.time() < until:
        await _others(loop)


def _waits(pump: MessagePump) -> bool:
    """Whether it has handled all it was sent and waits for more."""
    queue: Any = pump._message_queue
    return (queue.empty() and bool(queue.ready_event._waiters)) or not pump.is_running


async def wait_for_screen(pilot: Pilot[Any], timeout: float = 30.0) -> bool:
    """Until the app and every widget of its screen wait for a message: the pilot's own ``_wait_for_screen``.

    One that is still within a handler, while nothing else goes on, is waited for in Textual's way.
    """
    await wait_until_quiet()
    app = pilot.app
    if app.screen in _UNPAINTED:
        app.screen.call_later(app.screen._compositor_refresh)
        await _until_quiet(asyncio.get_running_loop(), MOST_S)
    if app._exception is None and all(map(_waits, (app, *app.screen.walk_children(with_self=True)))):
        return True
    return await _textual_waits(pilot, timeout)


def refresh(screen: Screen[Any]) -> None:
    """Paint what changed; while keys and waits go on, that is left until all of it has changed."""
    if not getattr(asyncio.get_running_loop(), "puts_off", False) or screen.app.screen is not screen:
        _UNPAINTED.discard(screen)
        _textual_refreshes(screen)
        return
    screen._dirty_widgets.clear()
    _UNPAINTED.add(screen)


async def run_frames(timer: Timer) -> None:
    """A frame as soon as one is asked for and nothing else goes on: Textual's own timer sleeps first, 1/60 s."""
    if timer.name != "screen_update":
        await _textual_runs(timer)
        return
    loop: Any = asyncio.get_running_loop()
    loop.frames = 0
    count = 0
    while True:
        await timer._active.wait()
        await asyncio.sleep(0 if loop.frames < MANY_FRAMES else timer._interval)
        await _until_nothing_else(loop, loop.time() + LONGEST_S)
        await timer._active.wait()
        loop.frames, count = loop.frames + 1, count + 1
        try:
            await timer._tick(next_timer=loop.time() + timer._interval, count=count)
        except EventTargetGone:
            return


def use(patch: pytest.MonkeyPatch) -> None:
    """Have Textual's pilot and keys wait so."""
    patch.setattr("textual.app.wait_for_idle", wait_until_quiet)
    patch.setattr("textual.pilot.wait_for_idle", wait_until_quiet)
    patch.setattr(Pilot, "_wait_for_screen", wait_for_screen)
    patch.setattr(Timer, "_run", run_frames)
    patch.setattr(Screen, "_compositor_refresh", refresh)


def leave_home_alone(patch: pytest.MonkeyPatch) -> None:
    """Have home show its panels without what only the engine can tell, which reads every session in the logbook.

    It begins with that whenever it is come back to after something was stored, or could not be read: for a test of
    another screen half of its work, and the same in each. What home then tells is looked at in the tests of home.
    """
    patch.setattr("hosewright.bench.home.screen.HomeScreen._remind", lambda _home: None)
