"""Whatever in the logbook is torn, and on whatever screen it is met: one sentence, and the screen stays."""

from __future__ import annotations

import os
import shutil
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import SHELF
from hosewright.settings.table import Settings
from tests import quiet
from tests.faults.monkeys import PLACES, SESSIONS, fill, go, settle
from tests.helpers import FakeClock, crank_to, record, some

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from textual.pilot import Pilot

HOME_KEYS = "ftpcbdsymwrzle"
BESIDE = ("notebook", "why", "choose", *SESSIONS)  # where none of these leads
TORN = "{torn"
_SHELF = "UPDATE shelf SET body = ? WHERE kind = '{}'"
KINDS = {
    **{kind: _SHELF.format(kind) for kind in SHELF},
    "the start of a session": "UPDATE sessions SET record = ?",
    "an event": "UPDATE events SET body = ? WHERE body IS NOT NULL",
    "a gauge": "UPDATE gauges SET body = ?",
}


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("torn") / "logbook.sqlite"
    with closing(Logbook(path, FakeClock())) as book:
        fill(book)
        from hosewright.logbook.travel import shelf_file
        from hosewright.logbook.travel.session_files import read_text
        from hosewright.places import shipped_folder

        shelf_file.take_in(book, shelf_file.parse(read_text(shipped_folder("sample_sessions") / shelf_file.NAME)))
    return path


def tear(path: Path, statement: str) -> None:
    with closing(Logbook(path)) as book:
        db = book.store.db
        triggers = list(db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
        for name, _ in triggers:
            db.execute(f"DROP TRIGGER {name}")
        db.execute(statement, (TORN,))
        for _, sql in triggers:
            db.execute(sql)


def test_every_place_is_gone_to() -> None:
    leads = {command.does for command in HomeScreen.commands if command.key in HOME_KEYS}
    assert {*PLACES} - {"home"} <= leads | {*BESIDE}


async def poke(app: Bench, pilot: Pilot[int], keys: Sequence[str]) -> None:
    """Each screen that the home screen leads to, with its own keys and back again."""
    for key in keys:
        await pilot.press(key)
        await settle(pilot)
        for more in ("enter", "down", "a", "escape", "escape", "n"):
            await pilot.press(more)
            await settle(pilot)
        while len(app.screen_stack) > 1:
            await app.pop_screen()
        await settle(pilot)


@pytest.mark.parametrize("kind", list(KINDS))
async def test_a_torn_record_ends_no_screen(
    filled: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    """Each kind of record torn, on every fourth screen, others with the next kind: one guard stands before all.

    Home works its panels out with it the first time it is seen.
    """
    first = list(KINDS).index(kind) + 1  # so that weighings, which home does not read, are met among the lots
    path = shutil.copyfile(filled, tmp_path / "logbook.sqlite")
    tear(path, KINDS[kind])
    with closing(Logbook(path, FakeClock())) as book:
        app = Bench(book, Settings(press_gap_ms=0))
        async with app.run_test(size=(80, 24)) as pilot:
            await settle(pilot)
            quiet.leave_home_alone(monkeypatch)
            await poke(app, pilot, some(HOME_KEYS, 4, first))
            for place in some(BESIDE, 4, first):
                app.call_later(go, app, place)
                await pilot.pause()
                await settle(pilot)
                while len(app.screen_stack) > 1:
                    await app.pop_screen()
            assert app.is_running


@pytest.mark.parametrize("how", ["emptied", "zeros"])
async def test_a_file_emptied_under_one_that_looks_ends_no_screen(filled: Path, tmp_path: Path, how: str) -> None:
    path = shutil.copyfile(filled, tmp_path / "logbook.sqlite")
    with closing(Logbook(path, FakeClock(), why_read_only="A test looks.")) as book:
        app = Bench(book, Settings(press_gap_ms=0))
        async with app.run_test(size=(80, 24)) as pilot:
            if how == "emptied":
                os.truncate(path, 0)
            else:
                path.write_bytes(bytes(path.stat().st_size))
            await poke(app, pilot, some(HOME_KEYS, 2, how == "zeros"))
            assert app.is_running


async def test_keys_in_the_first_moment_on_a_torn_logbook_end_nothing(filled: Path, tmp_path: Path) -> None:
    path = shutil.copyfile(filled, tmp_path / "logbook.sqlite")
    with closing(Logbook(path, FakeClock(), why_read_only="A test looks.")) as book:
        os.truncate(path, 0)
        app = Bench(book, Settings(press_gap_ms=0))
        async with app.run_test(size=(80, 24)) as pilot:
            for key in HOME_KEYS:
                app.simulate_key(key)
            await settle(pilot)
            assert app.is_running


@pytest.mark.skipif(os.name != "posix", reason="Windows does not let an open file be emptied")
@pytest.mark.parametrize("size", [0, 4096])
async def test_a_file_emptied_under_a_count_stops_it_at_once(tmp_path: Path, size: int) -> None:
    path = tmp_path / "logbook.sqlite"
    with closing(Logbook.for_counting(path, FakeClock())) as book:
        crank_to(book.start(record("tube")), "tube")
        book.store.fold_log_in()
        app = Bench(book, Settings(press_gap_ms=0))
        async with app.run_test(size=(80, 24)) as pilot:
            await settle(pilot)
            await pilot.press("enter")
            await settle(pilot)
            screen = app.screen
            assert isinstance(screen, SessionScreen)
            await pilot.press("space")
            await settle(pilot)
            assert screen.live.state.count == 1
            os.truncate(path, size)
            await screen._tick()
            await settle(pilot)
            told = "\n".join(strip.text for strip in screen._compositor.render_strips())
            assert "emptied" in told
            for _ in range(3):
                await pilot.press("space")
                await settle(pilot)
            assert screen.live.state.count == 1
            assert app.is_running
