"""From an empty logbook to the first counted row: how many keys, and how many words there are to read.

A line of text is counted once, however many screens show it. What has to be read is what says what to do: what Enter
goes on with, lines of a form that are needed and what is said below them, what a step asks the hands to do, what stands
in the panels of the count, and of the foot each key pressed, with what it does. Aside are the titles of frames,
the headings of lists, the other keys of the foot, cautions, the lines of a form that may stay empty, the way ahead as
home draws it, and the why, the sign and the remedy of a step, which stand beside its instruction for whoever wants it.
"""

from __future__ import annotations

import asyncio
import re
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.planning.shelf_lines import CLICKS, cylinder_fields, machine_fields, yarn_fields
from hosewright.planning.starting import SET_UP
from hosewright.session.keys import shown_key
from hosewright.settings.table import Settings
from tests.bench.test_snapshots import picture
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook

MOST_KEYS = 40
MOST_WORDS = 250
SHELF = ("s", *"mA", "tab", *"4", "ctrl+s", *"cB", "tab", *"60", "ctrl+s", *"yC", "ctrl+s", "escape")
SEARCH = ("f", *"7", "ctrl+s")
STEPS = ("enter",) * 4
FIELDS = (*machine_fields("in"), *cylinder_fields("in"), *yarn_fields("g"), *SET_UP)
MAY_STAY_EMPTY = {field.label for field in FIELDS if not field.required} - {CLICKS.label}
UNDER_THE_STEP = ("Why", "Look for", "If not", "Careful")
HEADINGS = ("Name Turns", "Name m/100 g", "Name Slots")
FRAME = re.compile(r"[╭╰┏┗].*|[│┃▄█▀▼]")


def to_read(screen: str) -> list[str]:
    """The lines of a screen that have to be read, without their marks."""
    found, aside = [], ""
    lines = screen.splitlines()[1:]  # without the heading
    foot = max(at for at, line in enumerate(lines) if line.startswith((" Enter ", " Space ")))
    for line in lines[:foot]:
        if "FROM SHELF TO SOCK" in line:
            break
        if re.match("[╭╰┏┗]", line):
            aside = ""
        label = re.match(r" {1,2}(\S+(?: \S+)*)(?: {2,}|$)", line)
        if label is not None:
            aside = label[1] if label[1] in {*MAY_STAY_EMPTY, *UNDER_THE_STEP} else ""
        text = " ".join(FRAME.sub(" ", line).split())
        if text and not aside and not text.startswith(HEADINGS):
            found.append(text)
    return found


def foot_of(screen: str, key: str) -> list[str]:
    """What the foot says of a key: "Ctrl+S save"."""
    lines = screen.splitlines()
    start = max(at for at, line in enumerate(lines) if line.startswith((" Enter ", " Space ")))
    told = [one for line in lines[start:] for one in re.split(" {2,}", line.strip())]
    return [one for one in told if shown_key(key) in one.partition(" ")[0].split("/")]


@pytest.mark.parametrize("theme", ["lamplight", "daylight"])
async def test_the_first_row_is_forty_keys_and_two_hundred_and_fifty_words_away(book: Logbook, theme: str) -> None:
    app = Bench(book, Settings(press_gap_ms=0, theme=theme))
    keys = (*SHELF, *SEARCH, *STEPS, "space")
    assert len(keys) <= MOST_KEYS
    lines: dict[str, None] = {}
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines |= dict.fromkeys(to_read(picture(app)))
        for key in keys:
            before = app.screen
            lines |= dict.fromkeys(foot_of(picture(app), key))
            await pilot.press(key)
            await pilot.pause()
            if app.screen is not before or key == "enter":  # not again for each letter typed on it
                lines |= dict.fromkeys(to_read(picture(app)))
        assert isinstance(app.screen, SessionScreen)
        assert app.screen.live.state.count == 1
    words = [word for text in lines for word in text.split() if re.search("[A-Za-z]", word)]
    assert len(words) <= MOST_WORDS, "\n".join(lines)


async def test_no_word_of_a_copy_lies_over_the_first_screen(book: Logbook) -> None:
    for day, told in ((1, []), (2, ["Backed up"])):
        book.clock = FakeClock(day * 86_400_000, zone_min=0)
        app = Bench(book, Settings())
        async with app.run_test(size=(80, 24), notifications=True) as pilot:
            await asyncio.to_thread(app._look_after)
            await pilot.pause()
            assert [note.title for note in app._notifications] == told
