"""A key that does nothing says so, on every screen and at every question."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.line import Steady
from hosewright.settings.table import Settings

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook

pytestmark = pytest.mark.usefixtures("home_left_alone")

# The keys that open a screen from the bench, the ways on from it, and what is said there of F9.
SCREENS = {
    "past": ("l",),
    "page": ("l", "enter"),
    "shelf": ("s",),
    "a form": ("s", "m"),
    "settings": ("e",),
    "stock": ("y",),
    "pairs": ("d",),
    "care": ("m",),
    "plan": ("p",),
    "start of a tube": ("t",),
    "start of a search": ("f",),
    "start of a sock": ("c",),
    "a string": ("b",),
    "cylinders": ("w",),
    "dial response": ("r",),
    "sizes": ("z",),
    "help": ("question_mark",),
    "observations": ("enter", "e"),
}


def said(app: Bench) -> list[str]:
    return [note.message for note in app._notifications]


async def each_screen(pilot: Pilot[int]) -> AsyncIterator[str]:
    """Each of them opened from the bench one after the other, by its name."""
    home = pilot.app.screen
    for name, keys in SCREENS.items():
        await pilot.press(*keys)
        await pilot.pause()
        yield name
        while pilot.app.screen is not home:
            await pilot.app.pop_screen()
        await pilot.pause()


async def test_a_key_that_does_nothing_says_so(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        async for name in each_screen(pilot):
            app.clear_notifications()
            screen = app.screen
            await pilot.press("f9", "f9")
            await pilot.pause()
            assert app.screen is screen, name
            (words,) = said(app)
            assert words.startswith("F9 does nothing here"), name


async def test_what_is_said_of_a_key_takes_the_place_of_what_was_said_before(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l", "f8", "f9")
        await pilot.pause()
        (words,) = said(app)
        assert words.startswith("F9 does nothing here")


async def test_a_key_that_does_something_says_nothing(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l", "down", "up", "end", "home", "pagedown", "escape", "s", "down", "escape")
        await pilot.press("p", "a", "b", "backspace", "left", "right", "tab", "shift+tab")
        await pilot.pause()
        assert said(app) == []


async def test_the_count_key_says_that_nothing_is_counted(practice: Logbook) -> None:
    app = Bench(practice, Settings(count_keys=("space", "f5")), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("l", "f5")
        await pilot.pause()
        assert said(app) == ["Nothing is counted here; Esc goes back."]


@pytest.mark.parametrize("key", ["backspace", "x", "up"])
async def test_any_other_key_at_a_question_says_which_answer_it(key: str, practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    name = {"backspace": "Bksp", "up": "Up"}.get(key, key)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("p", *"Anna", "escape")
        await pilot.pause()
        assert isinstance(app.screen, Ask)
        await pilot.press(key)
        await pilot.pause()
        assert said(app) == [f"{name} is not an answer here: y yes, n no."]
        await pilot.press("y", "enter")  # the sock half cranked
        await pilot.press("space", "enter", key)
        await pilot.pause()
        assert f"{name} is not an answer here: y yes, n no." in str(app.screen.query_one("#message", Steady).render())
