"""A reinforcing yarn in heel and toe: how much it takes, and off which lot, in a ledger of its own."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.bench.start.sock_screen import Pairs, SockStartScreen, StringScreen
from hosewright.bench.widgets.entry_screen import EntryRow
from hosewright.cli import main
from hosewright.logbook.accounts.stock import stock_of
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Plan, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.places import logbook_path
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
    told = starting.thread_of(book, "lot-thread", plan)
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


async def test_a_string_asks_for_the_threads_lot_and_each_reinforced_sock_takes_off_it(book: Logbook) -> None:
    plain = plan_of().model_copy(update={"id": "plan-plain", "name": "Plain socks"})
    book.keep(plain)
    plan, app = planned(book), Host(book)
    async with app.run_test() as pilot:
        app.show(StringScreen())
        await pilot.pause()
        row = app.screen.query_one("#row-thread_lot", EntryRow)
        listed = app.screen.query_one("#string-offers", Pairs)
        offered = [str(listed.get_option_at_index(at).prompt) for at in range(listed.option_count)]
        listed.highlighted = offered.index("Plain socks")
        await pilot.press("a")
        assert not row.display
        listed.highlighted = offered.index(plan.name)
        await pilot.press("enter")
        await pilot.pause()
        assert row.display
        assert row.chosen == "lot-thread"
        await pilot.press("ctrl+s")
        await pilot.pause()
    (record,) = app.results
    assert isinstance(record, SessionRecord)
    assert [sock.plan.id for sock in record.socks] == ["plan-plain", plan.id, plan.id]
    assert (record.thread, record.thread_lot) == (THREAD, "lot-thread")
    live = book.start(record)
    a_stitch = plan.metres_per_pair / 2 / sum(part.stitches for part in plan.parts) / 2000 * 100_000
    turned = sum(part.stitches for part in plan.parts if part.kind == "passes")
    crank_to(live, "s2-heel")
    assert used_mg(book) == 0  # the first sock has no such yarn
    crank_to(live, "s3-heel")
    assert used_mg(book) == pytest.approx(a_stitch * turned, abs=1)
    crank_to(live, "graft")
    assert used_mg(book) == pytest.approx(2 * a_stitch * turned, abs=2)


def test_a_string_by_command_names_the_threads_lot(capsys: pytest.CaptureFixture[str]) -> None:
    logbook_path().parent.mkdir(parents=True, exist_ok=True)
    with closing(Logbook(logbook_path())) as book:
        for item in (machine(), cylinder(), yarn(), THREAD, LOT):
            book.keep(item)
        plan = planned(book)
    assert main(["start", "string", "--plan", plan.id, "--thread-lot", "7", "--json"]) == 0
    capsys.readouterr()
    with closing(Logbook(logbook_path())) as book:
        (line,) = book.lines()
        assert book.record(line).thread_lot == "lot-thread"


def test_sessions_of_before_have_no_thread(book: Logbook) -> None:
    record = starting.first_sock(book, planned(book), 8)
    old = record.model_dump(mode="json")
    del old["thread"], old["thread_lot"]
    assert SessionRecord.model_validate(old) == record
