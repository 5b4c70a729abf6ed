"""Pairs promised on the bench: the list, its form and its keys, small and large."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input, Select, Static

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.shelf import open_form
from hosewright.bench.start.screen import StartScreen
from hosewright.bench.widgets.ask import Ask, AskLine
from hosewright.bench.widgets.list_screen import More
from hosewright.bench.year.forms import PromiseForm, lot_form
from hosewright.bench.year.pairs_screen import CareCardScreen, PairsScreen, Promised
from hosewright.logbook.accounts.pairs import pair_of
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Wearer, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.places import data_folder
from hosewright.session.events import Abandoned, ReadOff
from hosewright.settings.table import Settings
from hosewright.words.pairs import for_whom, usual_name
from tests.bench.stage import CYLINDER, MACHINE, WEARER, YARN, Host, new_book, stock
from tests.bench.test_snapshots import hold_at
from tests.bench.test_start import PLAN
from tests.helpers import FakeClock, crank_to, drive, rows, sock_plan_steps

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live

pytestmark = pytest.mark.usefixtures("home_left_alone")

SIZES = [(80, 24), (120, 40)]
NOW_MS = 1_764_060_000_000  # Tuesday 25 November 2025, 08:40
FERRY = Promise(
    id="ferry-pair",
    name="The ferryman's winter pair",
    yarn=YARN.id,
    wearer=WEARER.id,
    plan=PLAN.id,
    made="2025-11-01",
    by="2025-11-28",
    price=2850,
)
COOK = FERRY.model_copy(update={"id": "cook-pair", "name": "The cook's pair", "wearer": None, "by": "2025-11-20"})
KEYS = {"c": "crank", "h": "handed over", "p": "paid", "l": "care card", "r": "call off"}


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    opened = new_book(tmp_path)
    opened.clock = FakeClock(NOW_MS, zone_min=0, step_ms=0)
    stock(opened)
    opened.keep(PLAN)
    yield opened
    opened.close()


def sock(book: Logbook, session_id: str, promise: Promise, **more: object) -> Live:
    record = SessionRecord(
        id=session_id,
        kind="sock",
        title=f"Sock {session_id}",
        started_ms=book.clock.now().at_ms,
        machine=MACHINE,
        cylinder=CYLINDER,
        yarn=YARN,
        plan=PLAN,
        dial=30,
        steps=sock_plan_steps(),
        promise=promise.id,
    )
    return book.start(record.model_copy(update=more))


def paced(book: Logbook, live: Live, step: str, presses: int) -> None:
    """Crank at 20 rows and 10 passes a minute."""
    clock = book.clock
    assert isinstance(clock, FakeClock)
    clock.step_ms = 0
    for part, ms in (("leg", 3000), ("heel", 6000)):
        crank_to(live, part)
        for _ in range(6):
            clock.wait(ms)
            drive(live, rows(1))
    crank_to(live, step)
    drive(live, rows(presses))
    clock.at_ms = NOW_MS


class Shown:
    """The bench with its promised pairs up."""

    def __init__(self, app: Bench, pilot: Pilot[int]) -> None:
        self.app, self.pilot = app, pilot

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()
        await self.pilot.pause()

    @property
    def lines(self) -> list[str]:
        listed = self.app.screen.query_one(Promised)
        return [" ".join(map(str, listed.get_row_at(at))) for at in range(listed.row_count)]

    def says(self, place: str) -> str:
        """The week above the list, or what is said below it of the marked one."""
        screen = self.app.screen
        return str(screen.query_one("#pairs-week", Static).content) if place == "week" else screen.query_one(More).said

    def promise(self, item_id: str) -> Promise:
        found = self.app.book.get(Promise, item_id)
        assert found is not None
        return found


@pytest.fixture(params=SIZES, ids=["80x24", "120x40"])
async def shown(book: Logbook, request: pytest.FixtureRequest) -> AsyncIterator[Shown]:
    book.keep(FERRY)
    book.keep(COOK)
    app = Bench(book, Settings(press_gap_ms=0, money="crowns", hours_a_week=1))
    async with app.run_test(size=request.param) as pilot:
        there = Shown(app, pilot)
        await there.press("d")
        assert isinstance(app.screen, PairsScreen)
        yield there


async def test_the_list_tells_how_far_each_is(shown: Shown) -> None:
    first = sock(shown.app.book, "20251110-one", FERRY)
    paced(shown.app.book, first, "heel", 0)
    await shown.press("escape", "d")
    assert len(shown.lines) == 2
    assert shown.lines[0].startswith("! overdue, Thu 20 Nov")
    assert "not begun" in shown.lines[0]
    assert shown.lines[1].startswith("◆ Fri 28 Nov")
    for word in (WEARER.name, "Moss", "on the machine", "28.50, not paid"):
        assert word in shown.lines[1]
    assert shown.says("week").startswith("Pairs   This week: 2 pairs (1 overdue), ")
    await shown.press("down")
    said = shown.says("says")
    assert "First sock  on the machine, heel, 6 of 40 passes done" in said
    assert "Twin        not begun" in said
    assert "Price       28.50 crowns, not paid" in said
    drive(first, Abandoned("the cat"))
    await shown.press("escape", "d")
    await shown.press("home", "down")
    assert "Spoilt      the cat, after 9 rows and 6 passes" in shown.says("says")


async def test_a_pair_is_promised_by_keys_alone(shown: Shown) -> None:
    shown.app.book.keep(Lot(id="lot-17", name="17 B", yarn=YARN.id, grams=400, bought="2025-09-01"))
    await shown.press("a")
    form = shown.app.screen
    assert isinstance(form, PromiseForm)
    assert form.query_one("#field-yarn", Select).value == YARN.id  # the only one there is
    await shown.press("enter", "down", "enter")
    assert form.query_one("#field-wearer", Select).value == WEARER.id
    assert form.query_one("#field-lot", Select).value == "lot-17"
    form.query_one("#field-lot", Select).focus()
    await shown.press("down")
    assert form.query_one("#field-by", Input).has_focus
    await shown.press(*"soon", "enter")
    assert "“soon” is not a day that can be read" in str(form.query_one("#row-by .form-problem", Static).content)
    form.query_one("#field-by", Input).value = ""
    form.query_one("#field-by", Input).focus()
    await shown.press(*"in", "space", "2", "space", *"weeks")
    assert "By Tue 9 Dec." in str(form.query_one("#form-remark", Static).content)
    await shown.press("enter", *"28,5", "enter", "enter", "enter", *"warm", "ctrl+s")
    assert isinstance(shown.app.screen, PairsScreen)
    made = next(one for one in shown.app.book.shelf(Promise) if one.note == "warm")
    assert (made.by, made.price, made.paid, made.wearer, made.lot) == ("2025-12-09", 2850, 0, WEARER.id, "lot-17")
    assert (made.name, made.made) == (f"{WEARER.name}, Moss", "2025-11-25")
    assert shown.app.screen.marked is not None
    assert shown.app.screen.marked.promise.id == made.id


async def test_enter_changes_and_keeps_what_was_left_alone(shown: Shown) -> None:
    await shown.press("down", "enter")
    form = shown.app.screen
    assert isinstance(form, PromiseForm)
    assert form.query_one("#field-plan", Select).value == PLAN.id
    form.query_one("#field-paid", Input).focus()
    await shown.press(*"10crowns", "ctrl+s")
    assert shown.promise(FERRY.id) == FERRY.model_copy(update={"paid": 1000})
    await shown.press("enter", "escape")
    assert isinstance(shown.app.screen, PairsScreen)
    await shown.press("enter")
    shown.app.screen.query_one("#field-note", Input).focus()
    await shown.press("x", "escape")
    assert isinstance(shown.app.screen, Ask)
    await shown.press("y")
    assert isinstance(shown.app.screen, PairsScreen)
    assert shown.promise(FERRY.id).note == ""


async def test_without_a_yarn_nothing_is_kept(book: Logbook) -> None:
    book.keep(YARN.model_copy(update={"retired": True}))
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        there = Shown(app, pilot)
        await there.press("d")
        assert there.lines == []
        assert app.screen.query_one(Promised).border_title == "Pairs promised: none yet, a adds one"
        for key in KEYS:
            await there.press(key)
            assert isinstance(app.screen, PairsScreen)
        await there.press("a", "ctrl+s")
        assert isinstance(app.screen, PromiseForm)
        problem = app.screen.query_one("#row-yarn .form-problem", Static)
        assert str(problem.content) == "! Choose the yarn first, or make one with y."
        await there.press("escape", "escape")
        assert isinstance(app.screen, HomeScreen)


async def test_the_day_all_of_it_ends_and_what_the_yarn_cost(shown: Shown) -> None:
    book = shown.app.book
    paced(book, sock(book, "20251110-one", FERRY), "foot", 3)
    lot = Lot(id="lot-7", name="7", yarn=YARN.id, grams=100, bought="2025-11-01", price=3000)
    book.keep(PLAN.model_copy(update={"grams_per_pair": 70.0}), lot, COOK.model_copy(update={"lot": lot.id}))
    await shown.press("escape", "d")
    # An hour a week is 8.57 min a day: 43 min take a little more than five of them. The ferryman waits until Friday.
    assert shown.says("week").endswith("\nAt 1 h a week all of it is done by Sun 30 Nov, 1 pair too late.")
    assert "Yarn cost   21 crowns in all" in shown.says("says")
    await shown.press("down")
    assert "Yarn cost" not in shown.says("says")


async def test_a_lot_is_noted_with_its_price(shown: Shown) -> None:
    shown.app.push_screen(lot_form(shown.app, YARN))
    await shown.pilot.pause()
    shown.app.screen.query_one("#field-name", Input).value = "17 B"
    shown.app.screen.query_one("#field-price", Input).focus()
    await shown.press(*"dear", "enter")
    assert "is not an amount" in str(shown.app.screen.query_one("#row-price .form-problem", Static).content)
    shown.app.screen.query_one("#field-price", Input).value = "24.50 crowns"
    await shown.press("ctrl+s")
    (lot,) = shown.app.book.shelf(Lot)
    assert (lot.name, lot.price) == ("17 B", 2450)


async def test_handed_over_and_taken_back(shown: Shown) -> None:
    await shown.press("h")
    assert isinstance(shown.app.screen, Ask)
    assert "Price 28.50 crowns, not paid." in str(shown.app.screen.query_one("#ask-question", Static).content)
    await shown.press("n")
    assert shown.promise(COOK.id).handed_over is None
    await shown.press("h", "y")
    assert shown.promise(COOK.id).handed_over == "2025-11-25"
    assert len(shown.lines) == 1
    await shown.press("o")
    assert len(shown.lines) == 2
    assert shown.lines[1].startswith("■ handed over Tue 25 Nov ")
    await shown.press("end", "h", "y")
    assert shown.promise(COOK.id).handed_over is None


async def test_ordered_by_whom_they_are_for_and_found_by_a_word(shown: Shown) -> None:
    listed = shown.app.screen.query_one(Promised)
    await shown.press("down", "s", "s")  # by the day they are due, then by name
    assert [pair.promise.id for pair in listed.records] == [COOK.id, FERRY.id]
    assert listed.border_title == "Pairs promised: 2, sorted by For"
    assert listed.mark == FERRY.id
    await shown.press("slash", *"cook")
    assert [pair.promise.id for pair in listed.records] == [COOK.id]
    await shown.press("escape")
    assert len(listed.records) == 2
    assert isinstance(shown.app.screen, PairsScreen)


async def test_called_off_and_promised_again(shown: Shown) -> None:
    await shown.press("r", "y")
    assert shown.promise(COOK.id).retired
    assert len(shown.lines) == 1
    await shown.press("o", "end")
    assert "called off" in shown.lines[1]
    await shown.press("r", "n")
    assert shown.promise(COOK.id).retired
    await shown.press("r", "y")
    assert not shown.promise(COOK.id).retired


async def test_paid(shown: Shown) -> None:
    await shown.press("p", *"lots", "enter")
    asked = shown.app.screen.query_one(AskLine)
    assert asked.display
    assert str(asked.query_one(Static).content).startswith("The cook's pair paid so far, of 28.50 crowns:")
    await shown.press("escape")
    assert not asked.display
    assert isinstance(shown.app.screen, PairsScreen)
    await shown.press("p", *"12.5", "enter")
    assert shown.promise(COOK.id).paid == 1250
    await shown.press("p", "enter")
    assert shown.promise(COOK.id).paid == 2850
    assert "28.50, paid" in shown.lines[0]
    assert "Price       28.50 crowns, paid" in shown.says("says")


async def test_c_goes_on_with_the_sock_or_begins_the_right_one(shown: Shown) -> None:
    book = shown.app.book
    # Another pair of the same plan has its first sock: the twin offered must not be that one's.
    other = sock(book, "20251110-one", COOK)
    crank_to(other, "graft")
    await shown.press("escape", "d", "end", "c")
    start = shown.app.screen
    assert isinstance(start, StartScreen)
    assert start.rows["plan"].chosen == PLAN.id
    assert start.rows["which"].chosen is None
    assert start.rows["promise"].chosen == FERRY.id
    await shown.press("escape", "home", "c")
    start = shown.app.screen
    assert isinstance(start, StartScreen)
    assert (start.rows["which"].chosen, start.rows["promise"].chosen) == ("20251110-one", COOK.id)
    await shown.press("ctrl+s")
    assert isinstance(shown.app.screen, SessionScreen)
    assert pair_of(book, COOK).twin.stage == "on the machine"


async def test_c_takes_up_what_is_on_the_machine_and_says_when_there_is_nothing(shown: Shown) -> None:
    live = sock(shown.app.book, "20251110-one", COOK)
    crank_to(live, "leg")
    await shown.press("escape", "d", "c")
    assert isinstance(shown.app.screen, SessionScreen)
    shown.app.book.keep(FERRY.model_copy(update={"plan": None}))
    await shown.press("escape")
    while not isinstance(shown.app.screen, HomeScreen):
        await shown.press("escape")
    await shown.press("d", "end", "c")
    assert isinstance(shown.app.screen, PairsScreen)
    assert "no plan yet" in shown.lines[1]


async def test_the_slip_is_shown_and_written(shown: Shown) -> None:
    shown.app.book.keep(YARN.model_copy(update={"fibre": "wool", "care": ("wash-30-mild",)}))
    await shown.press("end", "l")
    assert isinstance(shown.app.screen, CareCardScreen)
    page = shown.app.screen.query_one("Page")
    assert "Wash at 30 °C at most" in page.source  # type: ignore[attr-defined]
    await shown.press("w")
    written = (data_folder() / "prints" / f"care-card-{FERRY.id}.html").read_text(encoding="utf-8")
    assert "Wash at 30 °C at most" in written
    await shown.press("escape")
    assert isinstance(shown.app.screen, PairsScreen)


async def test_a_wearer_and_a_yarn_are_made_on_the_spot(shown: Shown) -> None:
    await shown.press("a", "w", *"Baker", "ctrl+s")
    form = shown.app.screen
    assert isinstance(form, PromiseForm)
    baker = next(one for one in shown.app.book.shelf(Wearer) if one.name == "Baker")
    assert form.query_one("#field-wearer", Select).value == baker.id
    await shown.press("y", *"Flint", "ctrl+s")
    flint = next(one for one in shown.app.book.shelf(Yarn) if one.name == "Flint")
    assert form.query_one("#field-yarn", Select).value == flint.id
    assert form.query_one("#field-plan", Select).is_blank()


async def test_wash_and_care_are_kept_with_the_yarn(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=(80, 24)) as pilot:
        app.show(open_form(app, Yarn, YARN))
        await pilot.pause()
        app.screen.query_one("#field-wash", Input).focus()
        await pilot.press(*"cold", "enter", *"boil", "enter")
        await pilot.pause()
        problem = str(app.screen.query_one("#row-care .form-problem", Static).content)
        assert problem.startswith("! “boil” is not a care symbol: type some of wash-95, ")
        app.screen.query_one("#field-care", Input).value = "dry flat, hand wash"
        await pilot.press("ctrl+s")
        await pilot.pause()
    kept = app.book.get(Yarn, YARN.id)
    assert kept is not None
    assert (kept.wash, kept.care) == ("cold", ("wash-by-hand", "dry-flat"))
    app.book.close()


# --- pictures ---------------------------------------------------------------------------------------------------

SCREENS = {
    "pairs": ("d",),
    "pairs-marked": ("d", "down"),
    "pairs-old": ("d", "h", "y", "o"),
    "promise-form": ("d", "down", "enter"),
    "care-card": ("d", "down", "l"),
}


@pytest.mark.parametrize("name", SCREENS)
async def test_screen(name: str, book: Logbook) -> None:
    book.keep(YARN.model_copy(update={"fibre": "wool", "wash": "by hand, dried flat", "care": ("wash-by-hand",)}))
    book.keep(FERRY.model_copy(update={"paid": 1000, "note": "a deep heel, please"}))
    book.keep(COOK)
    first = sock(book, "20251110-one", FERRY)
    paced(book, first, "foot", 3)
    drive(first, Abandoned("a latch tore the heel"))
    second = sock(book, "20251111-two", FERRY)
    crank_to(second, "try-on")
    drive(second, ReadOff("fit", 1))
    app = Bench(book, Settings(press_gap_ms=0, money="crowns"))
    async with app.run_test(size=SIZES[0]) as pilot:
        await pilot.pause()
        await pilot.press(*SCREENS[name])
        await pilot.pause()
        await hold_at(pilot, name)


@pytest.mark.parametrize(
    ("called", "shown"),
    [
        (usual_name(WEARER, YARN), WEARER.name),
        ("guest 1", f"{WEARER.name}, guest 1"),
        (f"{WEARER.name.upper()}, summer", f"{WEARER.name.upper()}, summer"),
    ],
)
def test_pairs_of_one_wearer_are_told_apart_by_what_was_typed(book: Logbook, called: str, shown: str) -> None:
    promise = FERRY.model_copy(update={"name": called})
    book.keep(promise)
    assert for_whom(pair_of(book, promise)) == shown
