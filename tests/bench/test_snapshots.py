"""Each screen as text, at 80x24 and 120x40, the main ones at 200x55. ``UPDATE_SNAPSHOTS=1`` writes them anew."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.bench.app import Bench
from hosewright.settings.table import Settings
from tests import quiet
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from textual.app import App
    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook

FOLDER = Path(__file__).parent / "snapshots"
# Late in the year after the samples end, so that "for 26 days" stays so.
NOW_MS = 1_767_225_600_000

SCREENS: dict[str, tuple[str, ...]] = {
    "bench": (),
    "bench-help": ("question_mark",),
    "heel": ("enter", "space"),
    "leg": ("enter", "b", "b", "b"),
    "heel-alone": ("enter", "l"),
    "heel-help": ("enter", "question_mark"),
    "heel-paused": ("enter", "space", "p"),
    "heel-noted": ("enter", "space", "d", "2"),
    "heel-asked": ("enter", "space", "equals_sign", *("1", "7", "space", "l", "o", "s", "t")),
    "heel-short": ("enter", "space", "enter"),
    "heel-cue": ("enter", *["space"] * 14),
    "heel-done": ("enter", *["space"] * 17),
    "heel-past-plan": ("enter", *["space"] * 18, "enter"),
    "heel-observations": ("enter", "space", "d", "space", "k", "e"),
    "heel-set-up": ("enter", "b"),
    "given-up": ("enter", "a", "y"),
    "search-weights": ("f", "ctrl+s", "y"),
    "search-trial": (
        "f",
        "ctrl+s",
        "y",
        "enter",
        "enter",
        *["space"] * 3,
        "enter",
        "enter",
        "space",
        "d",
        "space",
        "s",
    ),
    "drying": ("down", "down", "enter"),
    "measuring": ("down", "down", "enter", "enter"),
    "measuring-wrong": ("down", "down", "enter", "enter", *"about", "enter"),
    "measuring-saved": ("down", "down", "enter", "enter", *"110mm", "enter", *"111mm", "enter"),
    "start-search": ("f",),
    "start-tube": ("t",),
    "start-sock": ("c",),
    "shelf": ("s",),
    "form": ("s", "y"),
    "notebook": ("n",),
    "notebook-gauge": ("n", "a"),
    "notebook-sock": ("n", "a", "enter", "down", "enter"),
    "plan": ("p", *"16cm"),
    "past": ("l",),
    "page": ("l", "enter"),
    "replay": ("l", "enter", "p", "end"),
    "compare": ("l", "slash", *"title:twin", "enter", "c"),
    "yarn-card": ("l", "end", "y"),
    "needles": ("l", "n"),
    "why": ("k",),
}

OF_HOME = ("bench", "bench-help", "given-up")
ANSWERS = {"settings": ("e",), "cylinders": ("w",), "sizes": ("z",), "response": ("r", "up", "enter", "down", "enter")}
SCREENS |= ANSWERS


SIZES = {"80x24": (80, 24), "120x40": (120, 40), "200x55": (200, 55)}
ALSO_WIDE = ("bench", "heel", "leg", "plan", "past", "page", "shelf", "form", "start-sock", *ANSWERS)


# What these show follows a new size only in part.
OPENED_ANEW = ("bench-help", "heel-asked", "heel-short", "heel-past-plan", "page")


def looks() -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each screen with the sizes it is looked at in one app."""
    for name in SCREENS:
        sizes = tuple(size for size in SIZES if size != "200x55" or name in ALSO_WIDE)
        yield from ((name, (size,)) for size in sizes) if name in OPENED_ANEW else [(name, sizes)]


def picture(app: App[Any]) -> str:
    """The screen as text, a line a row, without trailing blanks."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips) + "\n"


@pytest.mark.parametrize(("name", "sizes"), list(looks()))
async def test_screen(name: str, sizes: tuple[str, ...], practice: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    """At each size one after the other, as in a terminal that somebody makes wider."""
    if name not in OF_HOME:
        quiet.leave_home_alone(monkeypatch)
    practice.clock = FakeClock(NOW_MS, zone_min=0, step_ms=0)
    app = Bench(practice, Settings(press_gap_ms=0), practice=True)
    async with app.run_test(size=SIZES[sizes[0]]) as pilot:
        await pilot.pause()
        await pilot.press(*SCREENS[name])
        await hold_at(pilot, name, sizes)


async def hold_at(pilot: Pilot[Any], name: str, sizes: Iterable[str] = SIZES) -> None:
    """Hold the screen that is up against its snapshots at these sizes, one after the other."""
    for size in sizes:
        await pilot.resize_terminal(*SIZES[size])
        await pilot.pause()
        hold(name, size, picture(pilot.app))


def hold(name: str, size: str, seen: str) -> None:
    """Hold what is seen against the snapshot, or write that anew."""
    path = FOLDER / f"{name}-{size}.txt"
    if os.environ.get("UPDATE_SNAPSHOTS"):
        FOLDER.mkdir(exist_ok=True)
        path.write_text(seen, encoding="utf-8")
    assert seen == path.read_text(encoding="utf-8"), f"{path.name} looks different; see the module's first line"
