"""A ball of another lot joined on in the middle: each lot gives what was cranked off it, to the milligram."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.records.sessions import StringSock
from hosewright.session.events import Amended, Confirmed, Observed, ReadOff, Spoilt, Struck
from hosewright.session.observations import joined
from tests.helpers import FakeClock, crank_to, drive, rows, string_of, yarn
from tests.logbook.test_stock import HALF_PAIR, G, balanced, lot, pair, plan, shelve, sock, the_lot, the_yarn, weigh

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live

# The sock by hand: 9 rows of leg and 22 of foot, 60 stitches each, heel and toe of 30^2 - 10^2 stitches.
TURNED = 30**2 - 10**2
WHOLE = 31 * 60 + 2 * TURNED


def join(live: Live, lot_id: str) -> int:
    drive(live, Observed("knot"))
    seq = live.state.last_seq
    drive(live, Amended(seq, lot=lot_id))
    return seq


def used(book: Logbook) -> tuple[int, int]:
    return the_lot(book, "41").account.used, the_lot(book, "42").account.used


def test_each_lot_gives_what_was_cranked_off_it(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    crank_to(live, "leg")
    drive(live, rows(5))
    join(live, "lot-42")
    crank_to(live, "try-on")
    first = HALF_PAIR * 5 * 60 / WHOLE
    assert used(book)[0] == pytest.approx(first, abs=0.5)
    assert sum(used(book)) == HALF_PAIR
    drive(live, ReadOff("mass", 36.5))  # the scale says what it all came to
    assert used(book)[0] == pytest.approx(36_500 * 5 * 60 / WHOLE, abs=0.5)
    assert sum(used(book)) == 36_500
    balanced(book)


def test_what_the_sock_still_takes_comes_off_the_new_ball(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    crank_to(live, "foot")
    assert the_lot(book).account.promised > 0
    join(live, "lot-42")
    assert (the_lot(book, "41").account.promised, the_lot(book, "41").claims) == (0, ())
    (claim,) = the_lot(book, "42").claims
    assert claim.words == "Sock 1, on the machine"
    assert the_lot(book, "42").account.promised == HALF_PAIR - sum(used(book))
    balanced(book)


def test_struck_out_it_was_never_joined(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    crank_to(live, "foot")
    seq = join(live, "lot-42")
    crank_to(live, "try-on")
    drive(live, Struck(seq))
    assert joined(live.state) == []
    assert used(book) == (HALF_PAIR, 0)


def test_a_ball_put_right_later_counts_from_where_it_was_joined(book: Logbook) -> None:
    shelve(book, lot(), lot("42"), lot("43"))
    live = sock(book)
    crank_to(live, "foot")
    seq = join(live, "lot-43")
    crank_to(live, "try-on")
    drive(live, Amended(seq, lot="lot-42", note="the band says 42"))
    assert the_lot(book, "43").account.used == 0
    assert used(book)[0] == pytest.approx(HALF_PAIR * (9 * 60 + TURNED) / WHOLE, abs=0.5)


def test_there_and_back_again(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    for part, lot_id in (("heel", "lot-42"), ("foot", "lot-41"), ("toe", "lot-42")):
        crank_to(live, part)
        join(live, lot_id)
    crank_to(live, "try-on")
    turned = HALF_PAIR * 2 * TURNED / WHOLE
    assert used(book)[1] == pytest.approx(turned, abs=1)
    assert sum(used(book)) == HALF_PAIR


def test_a_sock_that_named_no_lot_takes_from_the_one_joined_on(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book, lot=None)
    crank_to(live, "foot")
    join(live, "lot-42")
    crank_to(live, "try-on")
    assert used(book)[0] == 0
    assert used(book)[1] == pytest.approx(HALF_PAIR * (22 * 60 + TURNED) / WHOLE, abs=0.5)
    assert the_yarn(book).no_lot == ("Sock 1",)  # what came before


def test_a_sock_begun_before_its_second_lot_was_bought(book: Logbook) -> None:
    live = sock(book, lot=None)
    crank_to(live, "foot")
    shelve(book, lot("42", bought="2024-06-01"))
    join(live, "lot-42")
    crank_to(live, "try-on")
    assert the_lot(book, "42").account.used > 0


def test_of_one_promise_it_is_one_sock(book: Logbook) -> None:
    shelve(book, lot(), lot("42"), pair())
    live = sock(book, 1, promise="for-ferry")
    crank_to(live, "foot")
    join(live, "lot-42")
    claims = [claim.words for name in ("41", "42") for claim in the_lot(book, name).claims]
    assert claims == ["Pair for the ferry, one sock", "Sock 1, on the machine"]
    assert the_yarn(book).account.promised + the_yarn(book).account.used == 2 * HALF_PAIR
    balanced(book)


def test_both_lots_on_the_scale_in_the_middle(book: Logbook, clock: FakeClock) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    crank_to(live, "heel")
    join(live, "lot-42")
    crank_to(live, "foot")
    leg, heel = HALF_PAIR * 9 * 60 / WHOLE, HALF_PAIR * TURNED / WHOLE
    weigh(book, 100 - leg / G)
    clock.wait(1000)
    weigh(book, 100 - heel / G, of="lot-42")
    clock.wait(1000)
    crank_to(live, "try-on")
    first, second = the_lot(book, "41"), the_lot(book, "42")
    assert first.account.unaccounted == pytest.approx(0, abs=1)
    assert second.account.unaccounted == pytest.approx(0, abs=1)
    assert first.account.left == pytest.approx(100 * G - leg, abs=1)
    assert second.account.left == pytest.approx(100 * G - (HALF_PAIR - leg), abs=1)
    balanced(book)


def test_a_split_sock_does_not_tell_what_the_next_takes(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    crank_to(live, "foot")
    join(live, "lot-42")
    crank_to(live, "try-on")
    drive(live, ReadOff("mass", 39.0), Confirmed())
    parts = [taken for taken in the_yarn(book).taken if taken.session == live.record.id]
    assert [(taken.lot, taken.split, taken.taken_on) for taken in parts] == [
        ("lot-41", True, False),
        ("lot-42", True, True),
    ]
    assert sum(taken.mg for taken in parts) == HALF_PAIR


def test_in_a_string_the_ball_goes_on_into_the_next_sock(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    both = (StringSock(plan=plan()), StringSock(plan=plan(), twin=True))
    live = sock(book, kind="string", plan=None, socks=both, steps=string_of(2))
    crank_to(live, "s1-foot")
    join(live, "lot-42")
    crank_to(live, "s2-leg")
    drive(live, rows(4), Spoilt("a latch tore it"))
    assert used(book)[0] == pytest.approx(HALF_PAIR * (9 * 60 + TURNED) / WHOLE, abs=0.5)
    spoilt = HALF_PAIR * 4 * 60 / WHOLE
    assert used(book)[1] == pytest.approx(HALF_PAIR - used(book)[0] + spoilt, abs=1)
    (claim,) = the_lot(book, "42").claims
    assert claim.mg == HALF_PAIR
    assert the_lot(book, "41").claims == ()
    balanced(book)


def test_a_sock_gone_through_without_a_row_gives_its_mass_to_the_ball_that_is_on(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    join(live, "lot-42")
    while live.state.step is not None and live.state.step.id != "try-on":
        drive(live, Confirmed(early=True))
    drive(live, ReadOff("mass", 30.0))
    assert used(book) == (0, 30 * G)


def test_a_knot_that_was_something_else_joined_nothing_on(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    crank_to(live, "foot")
    seq = join(live, "lot-42")
    crank_to(live, "try-on")
    drive(live, Amended(seq, fault="dropped"))
    assert used(book) == (HALF_PAIR, 0)


def test_which_ball_stays_readable_when_a_note_is_added(book: Logbook) -> None:
    shelve(book, lot(), lot("42"))
    live = sock(book)
    drive(live, Observed("knot"))
    seq = live.state.last_seq
    drive(live, Amended(seq, note="a ball of lot 42 joined on", lot="lot-42"), Amended(seq, note="woven in by hand"))
    assert live.state.observations[0].note == "a ball of lot 42 joined on; woven in by hand"
    drive(live, Amended(seq, note="a ball of lot 43 joined on", lot="lot-43"))
    assert live.state.observations[0].note == "a ball of lot 43 joined on"


def test_a_lot_weighed_after_its_last_row_owes_nothing_more(book: Logbook, clock: FakeClock) -> None:
    unknown = plan(grams=None).model_copy(update={"metres_per_pair": 0.0001})
    bare = yarn().model_copy(update={"m_per_100g": None, "count": ""})
    shelve(book, lot(), lot("42"), bare, unknown)
    both = (StringSock(plan=unknown), StringSock(plan=unknown, twin=True))
    live = sock(book, kind="string", plan=None, yarn=bare, socks=both, steps=string_of(2))
    crank_to(live, "s1-heel")
    join(live, "lot-42")
    crank_to(live, "s1-foot")
    assert the_lot(book, "41").not_weighed == ("sock 1 of Sock 1",)
    clock.wait(1000)
    weigh(book, 90.0)
    assert the_lot(book, "41").not_weighed == ()
    assert the_lot(book, "42").not_weighed == ("sock 1 of Sock 1", "sock 2 of Sock 1")
