"""The yarn in stock on the bench: lots noted, weighed, struck out, retired by their keys; and each screen as text."""

from __future__ import annotations

import shutil
from contextlib import asynccontextmanager
from copy import copy
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Input, Static

from hosewright.bench.app import Bench
from hosewright.bench.past.session_page import PageScreen
from hosewright.bench.year.stock_screen import LotScreen, StockScreen
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.records.year import Lot, Weighing
from hosewright.session.events import ReadOff
from hosewright.settings.table import Settings
from tests.bench.stage import measure_tube as stage_tube
from tests.bench.stage import stock as stage_shelf
from tests.bench.test_snapshots import hold_at, picture
from tests.helpers import FakeClock, crank_to, cylinder, drive, machine, yarn
from tests.logbook.test_stock import lot, pair, plan, sock, the_lot, weigh

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot

pytestmark = pytest.mark.usefixtures("home_left_alone")

G = 1000


def a_year(book: Logbook) -> None:
    """Two lots of grey yarn, a pair promised and half cranked, the lot weighed; a cone; a yarn without lots."""
    for item in (machine(), cylinder(), yarn(), yarn("Moss"), yarn("Rope"), plan()):
        book.keep(item)
    book.keep(lot(grams=200).model_copy(update={"pieces": 2}))
    book.keep(lot("42", 100, "2023-11-10"))
    book.keep(lot("B7", 450).model_copy(update={"yarn": "yarn-moss", "put_up": "cone"}))
    book.keep(pair())
    first = sock(book, 1, promise="for-ferry", title="The ferryman's sock")
    crank_to(first, "try-on")
    drive(first, ReadOff("mass", 38.5))
    weigh(book, 3.0, "gone")
    weigh(book, 150.0)
    twin = sock(book, 2, promise="for-ferry", title="The ferryman's twin")
    crank_to(twin, "foot")


@pytest.fixture(scope="module")
def _year_made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, FakeClock]:
    clock = FakeClock()
    book = Logbook(tmp_path_factory.mktemp("year") / "logbook.sqlite", clock)
    a_year(book)
    book.close()
    clock.step_ms = 0
    return book.path, clock


@pytest.fixture
def a_book(_year_made: tuple[Path, FakeClock], tmp_path: Path) -> Any:
    made, clock = _year_made
    book = Logbook(Path(shutil.copy(made, tmp_path)), copy(clock))
    yield book
    book.close()


@asynccontextmanager
async def at_stock(
    book: Logbook, size: tuple[int, int] = (80, 24), settings: Settings | None = None
) -> AsyncIterator[Pilot[int]]:
    app = Bench(book, settings or Settings())
    async with app.run_test(size=size, notifications=True) as pilot:
        await pilot.pause()
        await pilot.press("y")
        await pilot.pause()
        assert isinstance(app.screen, StockScreen)
        yield pilot


async def keys(pilot: Pilot[int], *pressed: str) -> None:
    await pilot.press(*pressed)
    await pilot.pause()


async def typed(pilot: Pilot[int], field: str, text: str) -> None:
    pilot.app.screen.query_one(f"#field-{field}", Input).value = text
    await pilot.pause()


def seen(pilot: Pilot[int]) -> str:
    return picture(pilot.app)


def wrong(pilot: Pilot[int]) -> str:
    return " ".join(str(one.render()) for one in pilot.app.screen.query(".form-problem").results(Static)).strip()


# --- the list ---------------------------------------------------------------------------------------------------


async def test_figures_stand_in_their_columns(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        lines = seen(pilot).splitlines()
        heads = next(line for line in lines if "bought" in line)
        mine = next(line for line in lines if "lot 41" in line)
        for word, figure in (("bought", "200"), ("weighed", "38.5")):
            assert heads.index(word) + len(word) == mine.index(figure) + len(figure)
        # 200 g, 38.5 weighed, 3 gone, the scale says 150: 8.5 unaccounted for, and what the twin has taken
        account = the_lot(a_book).account
        assert (account.weighed, account.gone, account.unaccounted) == (38_500, 3 * G, 8_500)
        assert account.left == 150 * G - 39 * G
        assert mine.strip(" │").split()[-4:] == [f"{account.promised / G:.1f}", "111", "1", "pair"]


async def test_the_bar_begins_on_a_lot_and_says_what_its_figures_are_made_of(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        assert "8.5 g unaccounted for" in seen(pilot)
        await keys(pilot, "end")
        assert "No lot noted yet" in seen(pilot)
        assert "w weigh it" not in seen(pilot)
        await keys(pilot, "enter")
        assert "Each lot has its own ledger" in seen(pilot)


async def test_in_ounces(a_book: Logbook) -> None:
    async with at_stock(a_book, settings=Settings(mass_unit="oz")) as pilot:
        assert "In oz" in seen(pilot)
        assert "7.05" in seen(pilot)  # 200 g / 28.3495


async def test_an_empty_shelf_says_what_to_do(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "empty.sqlite", FakeClock())
    async with at_stock(book) as pilot:
        assert "No yarn on the shelf yet: y makes one" in seen(pilot)
        await keys(pilot, "a", "w", "r", "enter")
        assert isinstance(pilot.app.screen, StockScreen)
        await keys(pilot, "y", *"Oat", "ctrl+s")
        assert [one.name for one in book.shelf(Yarn)] == ["Oat"]
        await keys(pilot, "a")
        await typed(pilot, "name", "7")
        await keys(pilot, "ctrl+s")
        assert "Mass in all is needed" in wrong(pilot)  # its put-up is not known either
    book.close()


# --- a lot ------------------------------------------------------------------------------------------------------


async def test_a_lot_is_noted_by_keys_alone(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "a", *"dye lot 9", "enter", "3")
        assert "That is 300 g in all." in seen(pilot)
        await keys(pilot, "tab", *"skeins", "ctrl+s")
        (made,) = [one for one in a_book.shelf(Lot) if one.name == "dye lot 9"]
        assert (made.grams, made.pieces, made.put_up, made.yarn) == (300, 3, "skein", "yarn-grey")
        assert made.bought == "2023-11-14"
        assert "dye lot 9, 3 skeins" in seen(pilot)
        await keys(pilot, "c")
        await typed(pilot, "grams", "290 g")
        assert "That is 96.7 g each." in seen(pilot)
        await keys(pilot, "ctrl+s")
        assert next(one for one in a_book.shelf(Lot) if one.id == made.id).grams == 290


@pytest.mark.parametrize(
    ("field", "text", "sentence"),
    [
        ("put_up", "box", "“box” is not a put-up: type ball, cone or skein."),
        ("bought", "sometime", "“sometime” is not a day that can be read: type one"),
        ("bought", "2024-01-01", "is still to come"),
        ("pieces", "0", "out of range"),
        ("grams", "-3", "must be more than zero"),
    ],
)
async def test_what_a_lot_refuses(a_book: Logbook, field: str, text: str, sentence: str) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "a")
        await typed(pilot, "name", "9")
        await typed(pilot, field, text)
        await keys(pilot, "ctrl+s")
        assert sentence in wrong(pilot)
        assert len(a_book.shelf(Lot)) == 3


async def test_a_lot_is_retired_and_put_back(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "r", "n")
        assert "lot 41" in seen(pilot)
        await keys(pilot, "r", "y")
        assert "lot 41," not in seen(pilot)
        assert "Cranked since the first lot was bought" not in seen(pilot)  # the bar is on the next lot
        await keys(pilot, "up")
        assert "not charged to any lot: The ferryman's sock; The ferryman's twin." in " ".join(seen(pilot).split())
        await keys(pilot, "o", "down")
        assert "lot 41, retired" in seen(pilot)
        await keys(pilot, "r", "y", "o")
        assert the_lot(a_book).account.left == 111 * G


# --- weighing ---------------------------------------------------------------------------------------------------


async def test_weighing_says_what_the_books_say_before_it_is_kept(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "down", "w")
        assert "By the books it holds 100 g." in seen(pilot)
        await typed(pilot, "grams", "97")
        assert "100 g: 3 g unaccounted for." in seen(pilot)
        await typed(pilot, "grams", "103.5")
        assert "100 g: 3.5 g more than was noted." in seen(pilot)
        await typed(pilot, "grams", "100")
        assert "as the scale does" in seen(pilot)
        await typed(pilot, "what", "gone")
        assert "that leaves 0 g." in seen(pilot)
        await typed(pilot, "core_g", "12")
        await keys(pilot, "ctrl+s")
        assert the_lot(a_book, "42").account.gone == 100 * G
        assert the_lot(a_book, "42").lot.core_g == 12.0
        await keys(pilot, "w")
        assert "Core or cone" not in seen(pilot)  # it is known


@pytest.mark.parametrize("nothing", ["0", "0 g", "0.0", "0,00 g"])
async def test_a_lot_that_is_used_up(a_book: Logbook, nothing: str) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "w")
        await typed(pilot, "grams", nothing)
        await keys(pilot, "ctrl+s")
        assert the_lot(a_book).account.held == 0
        assert "More is promised than the lot holds" in seen(pilot)


@pytest.mark.parametrize(
    ("field", "text", "sentence"),
    [
        ("what", "right", "“right” is neither: type left"),
        ("grams", "-1", "must be more than zero"),
        ("grams", "0 stone", "has a unit that does not fit"),
        ("grams", "", "Mass is needed"),
    ],
)
async def test_what_a_weighing_refuses(a_book: Logbook, field: str, text: str, sentence: str) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "w")
        await typed(pilot, "grams", "5")
        await typed(pilot, field, text)
        await keys(pilot, "ctrl+s")
        assert sentence in wrong(pilot)
        assert len(a_book.shelf(Weighing)) == 2


# --- the ledger -------------------------------------------------------------------------------------------------


async def test_the_ledger_strikes_a_weighing_out_and_puts_it_back(a_book: Logbook) -> None:
    before = the_lot(a_book).account
    async with at_stock(a_book) as pilot:
        await keys(pilot, "enter")
        assert isinstance(pilot.app.screen, LotScreen)
        assert [line.strip(" │").split()[3] for line in seen(pilot).splitlines() if " Nov 2023" in line][:3] == [
            "bought",
            "used",
            "gone",
        ]
        assert "r strike out" not in seen(pilot)
        await keys(pilot, "down", "down", "down", "down")
        await keys(pilot, "r", "y")
        assert the_lot(a_book).account.unaccounted == 0
        assert "struck out" in seen(pilot)
        await keys(pilot, "end", "r", "y")
        assert the_lot(a_book).account == before
        assert "struck out" not in seen(pilot)


async def test_a_line_of_the_ledger_shows_its_session_which_can_be_taken_up(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "enter", "enter")
        assert "This line has no session." in seen(pilot)
        await keys(pilot, "end", "enter")
        assert isinstance(pilot.app.screen, PageScreen)
        assert pilot.app.screen.session_id == "20231112-sock"
        await keys(pilot, "t")
        assert type(pilot.app.screen).__name__ == "SessionScreen"
        await keys(pilot, "escape")


async def test_weighing_from_the_ledger(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "enter", "w")
        await typed(pilot, "grams", "120")
        await keys(pilot, "ctrl+s")
        assert the_lot(a_book).account.held == 120 * G
        await keys(pilot, "escape", "escape")
        assert type(pilot.app.screen).__name__ == "HomeScreen"


# --- elsewhere --------------------------------------------------------------------------------------------------


async def test_a_logbook_for_looking_says_why_nothing_is_kept(a_book: Logbook) -> None:
    a_book.store.make_read_only("It is read-only.")
    async with at_stock(a_book) as pilot:
        await keys(pilot, "r", "y")
        assert "It is read-only." in seen(pilot)
        await keys(pilot, "w")
        await typed(pilot, "grams", "5")
        await keys(pilot, "ctrl+s")
        assert len(a_book.shelf(Weighing)) == 2


async def test_the_plan_says_how_far_each_lot_reaches(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "plan.sqlite", FakeClock())
    stage_shelf(book)
    stage_tube(book)
    for name, grams in (("41", 40), ("42", 400)):
        book.keep(lot(name, grams).model_copy(update={"yarn": "moss"}))
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 60)) as pilot:
        await pilot.pause()
        await pilot.press("p", *"6in")
        await pilot.pause()
        said = picture(app)
        assert "40 g free, " in said
        assert " g short" in said
        assert "400 g free, enough" in said
    book.close()


async def test_a_form_starts_from_what_is_kept(a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, "c")
        shown = {one.id: one.value for one in pilot.app.screen.query(Input)}
        assert (shown["field-name"], shown["field-grams"], shown["field-bought"]) == ("41", "200 g", "2023-11-01")
        await keys(pilot, "ctrl+s")
        assert the_lot(a_book).lot == lot(grams=200).model_copy(update={"pieces": 2})


SCREENS: dict[str, tuple[str, ...]] = {
    "stock": (),
    "stock-yarn": ("up",),
    "stock-ledger": ("enter", "end"),
    "stock-lot": ("a",),
    "stock-weighing": ("w", "tab", *"110"),
}


@pytest.mark.parametrize("name", SCREENS)
async def test_screen(name: str, a_book: Logbook) -> None:
    async with at_stock(a_book) as pilot:
        await keys(pilot, *SCREENS[name])
        await hold_at(pilot, name)
