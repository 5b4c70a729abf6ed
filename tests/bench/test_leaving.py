"""Ctrl+Q, Ctrl+C and Ctrl+Z: on every screen, in every window, at every question, in every line to type in."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input

from hosewright.bench.app import Bench
from hosewright.bench.classroom.screen import ClassApp
from hosewright.bench.widgets.ask import Ask
from hosewright.logbook.book import Logbook
from hosewright.settings.table import Settings
from tests.faults.monkeys import ALL, fill, go, settle
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

KEYS = ("ctrl+q", "ctrl+c", "ctrl+z")
# Keys that put up a window, a question or a line to type in, where there is one.
WAYS = {
    "home": ("question_mark",),
    "shelf": ("f1", "m", "c", "y", "w"),
    "plan": ("f1",),
    "settings": ("f1", "enter"),
    "past": ("slash", "f1"),
    "session: rows": ("question_mark", "a", "n", "equals_sign", "r", "g", "e"),
    "session: heel": ("enter", "l", "h"),
    "session: trial": ("w",),
    "session: measuring": ("f1",),
}


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    book = Logbook(tmp_path_factory.mktemp("leaving") / "logbook.sqlite", FakeClock())
    fill(book)
    yield book
    book.close()


@pytest.mark.parametrize("place", ALL)
async def test_they_act_everywhere(filled: Logbook, place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    app = Bench(filled, Settings(press_gap_ms=0))
    acted: list[str] = []
    monkeypatch.setattr(app, "action_leave", lambda: acted.append("ctrl+q"))
    monkeypatch.setattr(app, "action_leave_asking", lambda: acted.append("ctrl+c"))
    monkeypatch.setattr(app, "action_suspend_process", lambda: acted.append("ctrl+z"))
    async with app.run_test(size=(80, 24)) as pilot:
        go(app, place)
        await settle(pilot)
        for way in ("", *WAYS.get(place, ())):
            if way:
                await pilot.press(way)
                await settle(pilot)
            acted.clear()
            for field in [None, *app.screen.query(Input)]:
                if field is not None and field.focusable:
                    field.focus()
                    await settle(pilot)
                acted.clear()
                await pilot.press(*KEYS)
                await settle(pilot)
                assert acted == list(KEYS), (place, way, field)
            if way:
                await pilot.press("escape")
                await settle(pilot)
                if isinstance(app.screen, Ask):
                    await pilot.press("y")
                    await settle(pilot)


async def test_they_act_in_a_class(tmp_path: Path) -> None:
    with closing(Logbook(tmp_path / "logbook.sqlite", FakeClock())):
        app = ClassApp([tmp_path], Settings())
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("f1")
            await settle(pilot)
            await pilot.press("ctrl+c")
            await settle(pilot)
        assert app.return_code == 0
