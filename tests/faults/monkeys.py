"""Random keys in every screen: whatever is pressed, pasted, clicked or resized, what is shown is what is stored.

Seeded, so that what was found can be found again. After each key the invariants are checked.
"""

from __future__ import annotations

import asyncio
import inspect
import random
import shutil
import time
from collections import Counter, deque
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from textual import events
from textual.keys import _character_to_key

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.logbook.book import Logbook
from hosewright.logbook.travel.session_files import read
from hosewright.places import shipped_folder
from hosewright.session.fold import fold
from hosewright.settings.table import Settings
from tests.faults.mutants import NASTY_WORDS, plain
from tests.helpers import FakeClock, crank_to, drive, machine, record

if TYPE_CHECKING:
    from textual.pilot import Pilot

PLACES = (
    "home",
    "search",
    "tube",
    "sock",
    "shelf",
    "notebook",
    "plan",
    "settings",
    "cylinders",
    "response",
    "sizes",
    "past",
    "why",
    "choose",
)
SESSIONS = {
    "session: trial": "20231114-trial",
    "session: rows": "20231114-rows",
    "session: heel": "20231114-heel",
    "session: measuring": "20231114-wash",
}
ALL = (*PLACES, *SESSIONS)
SIZES = ((80, 24), (10, 3), (40, 10), (120, 40), (300, 100), (1, 1))
_LETTERS = tuple("abcdefghijklmnopqrstuvwxyz0123456789.,=?:;-/[]<>'\" ABCXYZé袜")
_NAMED = (
    "enter",
    "escape",
    "escape",
    "escape",
    "tab",
    "shift+tab",
    "backspace",
    "delete",
    "up",
    "down",
    "left",
    "right",
    "home",
    "end",
    "pageup",
    "pagedown",
    "space",
    "f1",
    "f2",
    "f5",
    "f9",
    "ctrl+s",
    "ctrl+c",
    "ctrl+q",
    "ctrl+a",
    "ctrl+k",
    "ctrl+p",
    "ctrl+u",
    "ctrl+y",
    "alt+x",
    "ctrl+backslash",
)


class Kept(Bench):
    """The bench, which a key cannot end."""

    CSS_PATH = str(Path(inspect.getfile(Bench)).parent / Bench.CSS_PATH)  # found beside the bench, not beside us
    left = 0

    def exit(self, *_args: Any, **_more: Any) -> None:
        self.left += 1


@dataclass
class Figures:
    """What a run came to."""

    keys: int = 0
    resizes: int = 0
    pastes: int = 0
    seen: Counter[str] = field(default_factory=Counter)
    slowest_s: float = 0.0


def fill(book: Logbook) -> None:
    """Every sample session, and four sessions that stand where there is most to press."""
    for path in sorted(shipped_folder("sample_sessions").glob("[0-9]*.json")):
        filed = read(path)
        book.take_in(filed.session, filed.entries())
    book.keep(machine())
    trial = book.start(record("search", SESSIONS["session: trial"]))
    crank_to(trial, "trial")
    crank_to(book.start(record("tube", SESSIONS["session: rows"])), "tube")
    crank_to(book.start(record("sock", SESSIONS["session: heel"])), "heel")
    crank_to(book.start(record("tube", SESSIONS["session: measuring"])), "after-wash")
    drive(trial)
    *begun, last = book.store.entries(trial.n)
    book.take_in(trial.begun, [*begun, last._replace(zone_min=0)])  # it went on elsewhere, too


def go(app: Bench, place: str) -> None:
    """Go to a place from the home screen."""
    if place in SESSIONS:
        app.open_session(SESSIONS[place])
    elif place != "home":
        app.go_to(place)


def a_key(rng: random.Random) -> events.Event:
    """One key, or now and then a paste."""
    if rng.random() < 0.02:
        return events.Paste(rng.choice((*NASTY_WORDS, "5 7/8 in", "64")))
    if rng.random() < 0.45:
        name = rng.choice(_NAMED)
        return events.Key(name, " " if name == "space" else None)
    letter = rng.choice(_LETTERS)
    return events.Key(_character_to_key(letter), letter)


def check(app: Bench) -> None:
    """What is shown is the fold of what is stored, and nothing shown can drive the terminal."""
    assert app._exception is None, repr(app._exception)
    for screen in app.screen_stack:
        if isinstance(screen, SessionScreen):
            live = screen.live
            state = fold(live.record.head, app.book.store.entries(live.n))
            assert state == live.state
            assert state.ignored == 0, "a key stored what cannot happen"
    assert not app.book.store.db.in_transaction


async def settle(pilot: Pilot[Any]) -> None:
    """Wait until every event is dealt with; an app that came to grief is never done, so that is looked at first."""
    for wait in (pilot._wait_for_screen, pilot.app._animator.wait_until_complete):
        assert pilot.app._exception is None, repr(pilot.app._exception)
        await asyncio.wait_for(wait(), timeout=60)


async def wander(app: Kept, pilot: Pilot[Any], place: str, keys: int, rng: random.Random, figures: Figures) -> None:
    """So many random keys, starting again from the place whenever they have led away from it for long."""
    away = 1000
    target = ""
    last: deque[str] = deque(maxlen=8)
    for _ in range(keys):
        if away > 25:
            while not app.screen.is_mounted:  # no key of a person takes a screen off while it is being put up
                await pilot.pause(0.01)
            while len(app.screen_stack) > 2:
                await app.pop_screen()
            go(app, place)
            await settle(pilot)
            target, away = type(app.screen).__name__, 0
        what = a_key(rng)
        began = time.monotonic()
        if isinstance(what, events.Paste):
            figures.pastes += 1
        app.post_message(what)
        await settle(pilot)
        if rng.random() < 0.02:
            await pilot.resize_terminal(*rng.choice(SIZES))
            await settle(pilot)
            figures.resizes += 1
        figures.slowest_s = max(figures.slowest_s, time.monotonic() - began)
        figures.keys += 1
        last.append(repr(what)[:40])
        figures.seen[type(app.screen).__name__] += 1
        away = 0 if target in [type(screen).__name__ for screen in app.screen_stack] else away + 1
        try:
            check(app)
        except AssertionError as error:
            raise AssertionError(f"in {place}, at key {figures.keys} (last: {', '.join(last)}): {error}") from error
    await pilot.resize_terminal(80, 24)
    await settle(pilot)
    for strip in app.screen._compositor.render_strips():
        plain(strip.text)


async def run(folder: Path, keys: int, seed: int, places: tuple[str, ...] = ALL) -> Figures:
    """``keys`` random keys in each of ``places``."""
    figures = Figures()
    if not (folder / "filled.sqlite").exists():
        with closing(Logbook(folder / "filled.sqlite", FakeClock())) as book:
            fill(book)
    for place in places:
        number = ALL.index(place)
        rng = random.Random(seed * 1000 + number)
        path = shutil.copyfile(folder / "filled.sqlite", folder / f"{number}.sqlite")
        with closing(Logbook(path, FakeClock())) as book:
            app = Kept(book, Settings(press_gap_ms=0))
            async with app.run_test(size=(80, 24)) as pilot:
                await settle(pilot)
                await wander(app, pilot, place, keys, rng, figures)
    return figures
