"""The home screen: what is in the logbook stands there with the first frame."""

from __future__ import annotations

from asyncio import to_thread
from shutil import copyfile
from typing import TYPE_CHECKING

import pytest
from textual.widgets import OptionList
from textual.widgets._toast import Toast

from hosewright.bench.app import Bench
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.widgets.keybar import KeyBar
from hosewright.logbook.book import Logbook
from hosewright.settings.table import Settings
from tests.bench.stage import begin_tube, new_book
from tests.bench.test_snapshots import picture

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    made = new_book(tmp_path)
    begin_tube(made)
    return made


def listed(app: Bench) -> str:
    options = app.screen.query_one("#glance", OptionList).options
    return "\n".join(str(option.prompt) for option in options)


async def test_what_there_is_stands_there_before_the_first_size_is_known(
    book: Logbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = Bench(book, Settings())
    shown: list[str] = []
    resized = HomeScreen.on_resize

    def on_resize(home: HomeScreen) -> None:
        shown.append(listed(app))
        resized(home)

    monkeypatch.setattr(HomeScreen, "on_resize", on_resize)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert shown[0] == listed(app)
        assert "Gauge tube: Moss" in shown[0]


async def test_a_key_typed_ahead_opens_what_stands_there(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        assert "Set the dial" in picture(app)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 16)])
async def test_what_is_said_stands_above_the_keys(book: Logbook, size: tuple[int, int]) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=size, notifications=True) as pilot:
        app.tell("The yarn Moss is short by 12 g.")
        await pilot.pause()
        await pilot.pause()
        (said,) = app.screen.query(Toast)
        assert 0 < said.region.bottom <= app.screen.query_one(KeyBar).region.y


async def test_a_terminal_narrower_than_a_frame_ends_nothing(practice: Logbook) -> None:
    app = Bench(practice, Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.resize_terminal(1, 1)
        await pilot.pause()
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert "ENTER GOES ON WITH" in picture(app)


async def test_a_copy_laid_beside_the_logbook_is_told_each_time_and_a_synced_folder_once(tmp_path: Path) -> None:
    folder = tmp_path / "SockSync"
    folder.mkdir()
    made = new_book(folder)
    made.close()
    path = made.path
    copyfile(path, path.with_name("logbook (attic's copy).sqlite"))
    for opened in (1, 2):
        app = Bench(Logbook(path), Settings())
        async with app.run_test(size=(120, 40), notifications=True) as pilot:
            await to_thread(app._look_after)
            await pilot.pause()
            told = [toast._notification.message for toast in app.screen.query(Toast)]
            assert sum("logbook (attic's copy).sqlite" in one for one in told) == 1
            assert sum("synced folder" in one for one in told) == (opened == 1)
        app.book.close()
