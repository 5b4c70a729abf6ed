"""A reinforcing yarn in heel and toe: how much it takes, and off which lot, in a ledger of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.entry_screen import EntryRow
from hosewright.logbook.accounts.stock import stock_of
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Plan, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.planning import starting
from hosewright.session.events import Pressed
from tests.bench.stage import Host
from tests.helpers import crank_to, cylinder, drive, machine, plan_of, yarn

if TYPE_CHECKING:
    from pathlib import Path

THREAD = Yarn(id="thread", name="Fine Nylon", m_per_100g=2000.0, ball_g=20.0)
LOT = Lot(id="lot-thread", yarn="thread", name="7", bought="2023-11-01", pieces=1, grams=20.0)


@pytest.fixture
def book(tmp_path: Path) -> Any:
    book = Logbook(tmp_path / "logbook.sqlite")
    for item in (machine(), cylinder(), yarn(), THREAD, LOT):
        book.keep(item)
    yield book
    book.close()


def planned(book: Logbook, *, reinforced: bool = True) -> Plan:
    plan = plan_of().model_copy(update={"reinforced": reinforced})
    book.keep(plan)
    return plan


def used_mg(book: Logbook) -> int:
    stock = stock_of(book, "thread")
    assert stock is not None
    (lot,) = stock.lots
    return sum(entry.mg for entry in lot.entries if entry.what == "used")


def test_heel_and_toe_take_their_thread_off_its_own_lot(book: Logbook) -> None:
    plan = planned(book)
    told = starting.thread_of(book, plan, "lot-thread")
    live = book.start(starting.first_sock(book, plan, 8, told))
    crank_to(live, "heel")
    assert used_mg(book) == 0
    drive(live, [Pressed()])
    # One pass over all but one of the heel's needles, as long as the sock's own yarn in it; 100 g are 2,000 m.
    whole = sum(part.stitches for part in plan.parts)
    a_stitch = plan.metres_per_pair / 2 / whole / 2000 * 100_000
    assert used_mg(book) == pytest.approx(a_stitch * (plan.slots // 2 - 1), abs=1)
    crank_to(live, "graft")
    turned = sum(part.stitches for part in plan.parts if part.kind == "passes")
    assert used_mg(book) == pytest.approx(a_stitch * turned, abs=1)
    stock = stock_of(book, "thread")
    assert stock is not None
    assert not stock.no_lot
    assert any(name.startswith("heel and toe of ") for name in stock.lots[0].names.values())
    assert f"einforcing yarn in heel and toe: {plan.metres_per_pair * turned / whole:.0f} m" in crank_sheet(plan)
    # The twin comes off the same lot.
    (first,) = starting.firsts(book, plan)
    assert first.record.thread_lot == "lot-thread"


def test_without_a_lot_or_a_thread_nothing_is_taken(book: Logbook) -> None:
    assert starting.thread_lots(book, planned(book, reinforced=False)) == {}
    plan = planned(book)
    assert list(starting.thread_lots(book, plan)) == ["lot-thread"]
    live = book.start(starting.first_sock(book, plan, 8))
    crank_to(live, "graft")
    assert used_mg(book) == 0


async def test_the_start_on_the_bench_asks_for_the_threads_lot(book: Logbook) -> None:
    plan, app = planned(book), Host(book)
    async with app.run_test() as pilot:
        app.show(SockStartScreen(plan=plan.id))
        await pilot.pause()
        row = app.screen.query_one("#row-thread_lot", EntryRow)
        assert row.display
        assert row.chosen == "lot-thread"  # the only one there is
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert (record.thread, record.thread_lot) == (THREAD, "lot-thread")


def test_sessions_of_before_have_no_thread(book: Logbook) -> None:
    record = starting.first_sock(book, planned(book), 8)
    old = record.model_dump(mode="json")
    del old["thread"], old["thread_lot"]
    assert SessionRecord.model_validate(old) == record
