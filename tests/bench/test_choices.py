"""What was changed in two places, on the bench: said at the start, side by side, chosen by its number."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.choices import ChoicesScreen, Questions, Ways
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.travel.merge import merge
from hosewright.session.events import Observed, Pressed
from hosewright.settings.table import Settings
from tests.bench.test_snapshots import hold, picture
from tests.helpers import BEGUN, START_MS, FakeClock, drive, machine, record, rows, yarn

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook

TUBE = "20231114-tube"


@pytest.fixture
def changed(book: Logbook, tmp_path: Path) -> Logbook:
    """A tube that went on here and on another laptop, and a yarn dyed otherwise on each."""
    book.keep(machine(), yarn())
    drive(book.start(record("tube", TUBE)), BEGUN, rows(3))
    book.store.copy_to(tmp_path / "cabin.sqlite")
    there = type(book)(tmp_path / "cabin.sqlite", FakeClock(START_MS + 500))
    drive(there.take_up(TUBE), rows(4))
    there.keep(yarn().model_copy(update={"colour": "moss [dark]"}))
    there.close()
    drive(book.take_up(TUBE), Observed("dropped", 7), Pressed())
    book.keep(yarn().model_copy(update={"colour": "slate"}))
    merge(book, tmp_path / "cabin.sqlite")
    return book


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 55)])
async def test_both_stand_side_by_side_and_a_number_chooses(changed: Logbook, size: tuple[int, int]) -> None:
    app = Bench(changed, Settings())
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await app.push_screen(ChoicesScreen())
        await pilot.pause()
        hold("choices", f"{size[0]}x{size[1]}", picture(app))
        screen = app.screen
        assert isinstance(screen, ChoicesScreen)
        assert [one.id for one in screen.query_one(Questions).records] == [TUBE, yarn().id]
        ways = screen.query_one(Ways)
        assert ways.whose == ("this laptop", "the logbook cabin.sqlite")
        assert ("since they parted", "1 row or pass and 1 other event", "4 rows and passes") in ways.records
        await pilot.press("2")
        await pilot.pause()
        assert changed.take_up(TUBE).state.count == 7
        assert ways.records == [("colour", "slate", "moss [dark]")]
        await pilot.press("4")  # there is no fourth
        await pilot.press("1")
        await pilot.pause()
        assert screen.query_one(Questions).records == []
        mine = changed.get(Yarn, yarn().id)
        assert mine is not None
        assert mine.colour == "slate"
        await pilot.press("escape")


async def test_it_is_found_by_its_name_and_said_at_the_start(changed: Logbook) -> None:
    app = Bench(changed, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app._complete()
        await pilot.pause()
        told = [one.message for one in app._notifications]
        assert any("A tube, Yarn Grey. To choose: Ctrl+P, then type choose." in one for one in told), told
        await pilot.press("ctrl+p", *"choose what", "enter")
        await pilot.pause()
        assert isinstance(app.screen, ChoicesScreen)
