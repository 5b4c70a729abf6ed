"""Lots and weighings on the shelf, and accounts that hold whatever happens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hosewright.logbook.accounts.enough import before_first_row, stocks
from hosewright.logbook.accounts.stock import lot_words, stock_of
from hosewright.logbook.book import Logbook
from hosewright.session.events import Abandoned, Amended, Confirmed, Observed, ReadOff
from hosewright.session.steps import CountPasses, CountRows
from tests.helpers import FakeClock, crank_to, drive, rows

if TYPE_CHECKING:
    import pytest

    from hosewright.logbook.live import Live
    from hosewright.logbook.records.year import Weighing
from tests.logbook.test_stock import HALF_PAIR, G, balanced, lot, pair, plan, shelve, sock, the_lot, the_yarn, weigh


def test_striking_a_weighing_out_restores_the_account(book: Logbook) -> None:
    shelve(book, lot())
    crank_to(sock(book), "try-on")
    before = the_lot(book).account
    for what in ("left", "gone"):
        made = weigh(book, 7.0, what)
        assert the_lot(book).account != before
        book.keep(made.model_copy(update={"retired": True}))
        assert the_lot(book).account == before


def test_what_names_no_lot_is_said_and_moves_no_grams(book: Logbook) -> None:
    shelve(book, lot())
    crank_to(sock(book, 1, lot=None), "try-on")
    crank_to(sock(book, 2, lot="gone-lot"), "try-on")
    found = the_yarn(book)
    assert found.no_lot == ("Sock 1", "Sock 2")
    assert found.account.used == 0


def test_what_was_cranked_before_the_first_lot_was_bought_is_of_other_yarn(book: Logbook) -> None:
    crank_to(sock(book, 1, lot=None), "try-on")
    shelve(book, lot(bought="2024-02-01"))
    assert the_yarn(book).no_lot == ()


def test_yarns_without_lots_and_retired_lots(book: Logbook) -> None:
    shelve(book)
    (bare,) = stocks(book)
    assert (bare.lots, bare.sock_mg, bare.socks(100 * G)) == ((), HALF_PAIR, 2)
    assert before_first_row(book, [plan()] * 2, None) == ()
    book.keep(lot().model_copy(update={"retired": True}))
    assert stocks(book)[0].lots == ()
    assert [one.lot.name for one in stocks(book, retired=True)[0].lots] == ["41"]
    assert stock_of(book, "no-such") is None


def test_a_session_that_cannot_be_read_is_named(book: Logbook) -> None:
    shelve(book, lot())
    crank_to(sock(book), "try-on")
    book.store.db.execute("INSERT INTO events VALUES (1, 9999, 0, 0, 0, 'nonsense', '{}')")
    (said,) = the_yarn(book).unread
    assert said.startswith("20231111-sock: Event 9999")


def test_a_lot_is_named_once(book: Logbook) -> None:
    assert [lot_words(lot(name)) for name in ("41", "Lot 7", "dye lot 7", "Lottie")] == [
        "lot 41",
        "Lot 7",
        "dye lot 7",
        "lot Lottie",
    ]


# --- whatever happens -------------------------------------------------------------------------------------------

DEEDS = st.lists(
    st.tuples(
        st.sampled_from(
            ["begin", "crank", "crank", "weigh", "gone", "strike", "promise", "give-up", "mass", "retire", "join"]
        ),
        st.integers(0, 150),
    ),
    max_size=14,
)


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(DEEDS)
def test_no_gram_is_lost_whatever_is_done(
    tmp_path_factory: pytest.TempPathFactory, deeds: list[tuple[str, int]]
) -> None:
    book = Logbook(tmp_path_factory.mktemp("book") / "logbook.sqlite", FakeClock())
    shelve(book, lot(grams=300), lot("42", 50))
    socks: list[Live] = []
    weighings: list[Weighing] = []
    for n, (deed, amount) in enumerate(deeds):
        before = the_yarn(book).account
        if deed == "begin":
            promise = f"pair-{amount % 3}" if amount % 2 else None
            socks.append(sock(book, n, lot=("lot-41", "lot-42", None)[amount % 3], promise=promise))
        elif deed in ("weigh", "gone"):
            weighings.append(weigh(book, float(amount), {"weigh": "left"}.get(deed, deed)))
        elif deed == "strike" and weighings:
            book.keep(weighings[-1].model_copy(update={"retired": True}))
        elif deed == "promise":
            book.keep(pair(f"pair-{amount % 3}", lot=None if amount % 2 else "lot-41"))
        elif deed == "retire":
            book.keep(lot("42", 50).model_copy(update={"retired": bool(amount % 2)}))
        elif socks and deed in ("crank", "give-up", "mass", "join"):
            _do(socks[-1], deed, amount)
            if deed == "crank":  # yarn goes from what the sock still takes to what it took: nobody gains or loses any
                assert the_yarn(book).account.left == before.left
        balanced(book)
    book.close()


def _do(live: Live, deed: str, amount: int) -> None:
    if live.state.abandoned:
        return
    if deed == "give-up":
        drive(live, Abandoned())
    elif deed == "join":
        drive(live, Observed("knot"))
        drive(live, Amended(live.state.last_seq, lot=f"lot-{41 + amount % 3}"))  # the third is not on the shelf
    elif deed == "mass":
        crank_to(live, "try-on")
        drive(live, ReadOff("mass", 20.0 + amount))
    else:
        for _ in range(amount):
            step = live.state.step
            if step is None or step.id == "try-on":
                return
            if isinstance(step, CountRows | CountPasses) and live.state.count < step.target:
                drive(live, rows(1))
            else:
                drive(live, Confirmed())
