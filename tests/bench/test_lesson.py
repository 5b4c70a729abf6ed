"""A first lesson: every stop by real keys, the way back from wrong ones, and the bench that stays when it is left."""

from __future__ import annotations

import os
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import pytest
from textual.widget import Widget

from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.lesson import STOPS, Coach, LessonBench, open_lesson
from hosewright.bench.plan.screen import PlanScreen
from hosewright.session.steps import CountRows
from hosewright.settings.table import Settings
from tests.bench.test_snapshots import picture
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from textual.pilot import Pilot

FOLDER = Path(__file__).parent / "snapshots"
NOW_MS = 1_767_225_600_000  # as the other snapshots
TO_TRIAL = ("f", "ctrl+s", *["enter"] * 4, *["space"] * 3, "enter", "enter")
TO_TEN_ROWS = (*TO_TRIAL, "space", "d", "space", "d", "space", "s", "enter", "enter")
TO_TUBE = (*TO_TEN_ROWS, *["space"] * 10, "enter", "t", "ctrl+s", *["enter"] * 4, "f2", "enter", "enter")
TO_SEVEN = (*TO_TUBE, *["space"] * 5, "n", "d", "backspace")
LENGTH, WIDTH = ("1", "5", "full_stop", "4", "space", "c", "m"), ("1", "0", "full_stop", "2", "space", "c", "m")


def lesson(folder: Path) -> LessonBench:
    book = open_lesson(folder, FakeClock(NOW_MS, zone_min=0))
    return LessonBench(book, Settings(press_gap_ms=0), practice=True)


def said(app: LessonBench) -> str:
    """What the coach says on the screen that is up, which must be whole in two lines of 80 columns."""
    coach = app.screen.query_one(Coach)
    words = " ".join(line.strip(" ┃") for line in coach.plain.splitlines()[1:-1]).strip()
    assert words
    assert "{" not in words
    assert len(wrap(words, 76)) <= 2
    return words


async def press(pilot: Pilot[int], *keys: str) -> str:
    """What the coach says in the end."""
    app = pilot.app
    assert isinstance(app, LessonBench)
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
        said(app)
    return said(app)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_a_hand_on_each_key_through_all_eight_stops(tmp_path: Path, size: tuple[int, int]) -> None:
    app = lesson(tmp_path)
    seen = []
    async with app.run_test(size=size) as pilot:
        await pilot.pause()

        async def stop(*keys: str) -> str:
            words = await press(pilot, *keys)
            seen.append(app.stop)
            return words

        assert (await stop()).endswith("press f.")
        assert "Ctrl+S begins" in await stop("f")
        assert "Enter says that it is done" in await stop("ctrl+s")
        assert "Space counts it" in await press(pilot, *["enter"] * 4)
        assert "2 more to go" in await press(pilot, "space")
        assert "Crank one row" in await stop("space", "space", "enter", "enter")
        assert "dropped back at once: d." in await press(pilot, "space")
        assert "dropped back at once: d." in await press(pilot, "d", "space")
        assert "stayed up: s." in await press(pilot, "d", "space")
        assert "Found" in await press(pilot, "s")
        assert "0 of 10" in await stop("enter", "enter")
        assert "Enter ends the search" in await press(pilot, *["space"] * 10)
        assert "press t" in await stop("enter")
        assert "Ctrl+S begins" in await press(pilot, "t")
        assert "rows that are measured" in await press(pilot, "ctrl+s", *["enter"] * 4, "f2", "enter", "enter")
        assert "n shows the letters" in await press(pilot, *["space"] * 5)
        assert "Bksp undoes" in await press(pilot, "n", "d")
        assert "55 more to go, or F2" in await stop("backspace")
        await press(pilot, "f2", "enter", "enter", "f2", *["enter"] * 3)
        assert said(app).endswith("Ctrl+S goes on.")
        assert said(app) != await press(pilot, "ctrl+s")
        assert "dry already" in await press(pilot, "y", "enter")
        assert "15.4 cm" in await press(pilot, "enter")
        assert "10.2 cm" in await press(pilot, *LENGTH, "enter")
        assert "enough for a gauge" in await press(pilot, "enter", *WIDTH, "enter")
        assert "p plans one" in await stop("ctrl+s")
        assert " p " in picture(app).splitlines()[-1]
        assert "That was the lesson" in await press(pilot, "p")
        assert isinstance(app.screen, PlanScreen)
        await pilot.press("f3")
        await pilot.pause()
        assert not app.screen.query(Coach)
        assert isinstance(app.screen, PlanScreen)
    assert seen == list(range(len(STOPS)))
    assert len(STOPS) == 8
    assert app.book.gauges()[0].rows == 60


async def test_wrong_keys_do_what_they_do_and_the_coach_leads_back(tmp_path: Path) -> None:
    app = lesson(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Esc leads back" in await press(pilot, "s")
        assert "press f" in await press(pilot, "escape")
        assert "Esc leads back" in await press(pilot, "t")  # the form of a tube comes later
        assert "press f" in await press(pilot, "escape")
        assert "Esc leads back" in await press(pilot, "question_mark")
        await press(pilot, "escape", *TO_TRIAL, "space")
        assert "is not what you said: Bksp takes it back" in await press(pilot, "s")
        assert "dropped back at once" in await press(pilot, "backspace")
        assert "question comes first" in await press(pilot, "a")
        assert "dropped back at once" in await press(pilot, "escape")
        assert "Enter goes on" in await press(pilot, "escape")
        assert isinstance(app.screen, HomeScreen)
        assert "dropped back at once" in await press(pilot, "enter")
        assert "Enter takes it up again" in await press(pilot, "a", "y")
        assert "dropped back at once" in await press(pilot, "enter")
        assert app.stop == 3
        await press(pilot, "z")
        assert "Bksp takes the last answer back" in said(app)
        await press(pilot, "backspace")
        assert "dropped back at once" in said(app)
        await press(pilot, "d", "space", "d", "space", "s", "enter", "enter", "f2", "enter", "escape")
        assert said(app).endswith("press t.")
        await press(pilot, "t", "ctrl+s", "escape")
        assert "Enter on the bench goes on" in said(app)
        assert "it is set first" in await press(pilot, "enter")


async def test_nothing_moves_while_one_counts_and_the_foot_stays_whole(tmp_path: Path) -> None:
    app = lesson(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *TO_TUBE)
        before = [(widget.id, widget.region) for widget in app.screen.query(Widget)]
        await press(pilot, *["space"] * 5)
        assert [(widget.id, widget.region) for widget in app.screen.query(Widget)] == before
        coach, keys = app.screen.query_one(Coach).region, app.screen.query_one("#keys").region
        assert coach.bottom <= keys.y
        assert keys.bottom == 24
        assert "Space count" in picture(app)


async def test_f2_cranks_the_rest_at_a_hand_s_pace_and_only_where_rows_are_counted(tmp_path: Path) -> None:
    app = lesson(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f2")
        assert not app.book.store.lines()
        await press(pilot, *TO_TUBE, "f2")
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        step = screen.live.state.step
        assert isinstance(step, CountRows)
        assert screen.live.state.count == step.target == 60
        assert 2 < screen.live.paces.minutes_spent < 10


async def test_the_lesson_can_be_left_at_any_stop_and_the_bench_stays(tmp_path: Path) -> None:
    app = lesson(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *TO_TRIAL)
        await pilot.press("f3")
        await pilot.pause()
        assert not app.screen.query(Coach)
        await pilot.press("space", "d", "escape")
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)
        assert not app.screen.query(Coach)


STANDS = {"trial": (*TO_TRIAL, "space"), "fault": (*TO_TUBE, *["space"] * 5, "n")}


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
@pytest.mark.parametrize("name", STANDS)
async def test_the_stops_look_as_they_did(name: str, size: tuple[int, int], tmp_path: Path) -> None:
    app = lesson(tmp_path)
    async with app.run_test(size=size) as pilot:
        await press(pilot, *STANDS[name])
        while (seen := picture(app)).count("┗") > 1:  # the count before it is being taken down
            await pilot.pause(0.02)
    path = FOLDER / f"lesson-{name}-{size[0]}x{size[1]}.txt"
    if os.environ.get("UPDATE_SNAPSHOTS"):
        path.write_text(seen, encoding="utf-8")
    assert seen == path.read_text(encoding="utf-8")
