"""What the yarn of a promised pair cost, from the price of its lots."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.accounts.pairs import YarnCost, pair_of, yarn_cost
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import Noted
from hosewright.logbook.records.year import Promise
from hosewright.session.events import Amended, Confirmed, Observed, ReadOff, Spoilt
from hosewright.words.pairs import cost_words
from tests.helpers import crank_to, drive, record, rows, string_of
from tests.logbook.test_stock import lot, plan, shelve, sock

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook

# A pair of the plan takes 78 g; lot 41 is 100 g for 25.00, so a gram is 0.25 and a sock 9.75.
PAIR = Promise(id="smith", name="The smith, grey", yarn="yarn-grey", lot="lot-41", plan="grey-pair", made="2023-11-01")
PRICED = lot("41").model_copy(update={"price": 2500})
OTHER = lot("42").model_copy(update={"price": 5000})


def cost(book: Logbook, promise: Promise = PAIR) -> YarnCost | None:
    return yarn_cost(book, pair_of(book, promise))


def test_nothing_is_said_without_a_price(book: Logbook) -> None:
    shelve(book, lot("41"), PAIR)
    sock(book, promise="smith")
    assert cost(book) is None


def test_a_pair_from_the_plan_to_the_scale(book: Logbook) -> None:
    shelve(book, PRICED, PAIR)
    assert cost(book) == YarnCost(0, 1950, in_part=False)
    first = sock(book, promise="smith")
    assert cost(book) == YarnCost(0, 1950, in_part=False)
    crank_to(first, "try-on")
    drive(first, ReadOff("mass", 41.0))
    # Weighed, the first took 41 g: 10.25. The twin is still to come, by the plan.
    assert cost(book) == YarnCost(1025, 975, in_part=False)
    over = PAIR.model_copy(update={"handed_over": "2023-12-24"})
    book.keep(over)
    assert cost(book, over) == YarnCost(1025, 0, in_part=False)


def test_a_ball_of_a_dearer_lot_joined_on_costs_what_it_cost(book: Logbook) -> None:
    shelve(book, PRICED, OTHER, PAIR)
    live = sock(book, promise="smith")
    crank_to(live, "leg")
    drive(live, rows(4))
    drive(live, Observed("knot"))
    drive(live, Amended(live.state.last_seq, lot="lot-42"))
    crank_to(live, "try-on")
    drive(live, ReadOff("mass", 39.0))
    told = cost(book)
    assert told is not None
    # All of lot 41 would be 9.75, all of lot 42, at twice the price, 19.50; only four rows of the leg are of lot 41.
    assert 1700 < told.so_far < 1950


def test_without_a_lot_or_from_the_notebook_it_is_told_in_part(book: Logbook) -> None:
    nowhere = PAIR.model_copy(update={"lot": None})
    shelve(book, PRICED, nowhere)
    first = sock(book, promise="smith")
    crank_to(first, "try-on")
    drive(first, ReadOff("mass", 40.0))
    # The twin is of no lot yet.
    assert cost(book, nowhere) == YarnCost(1000, 0, in_part=True)
    noted = Noted(
        id="old-sock", what="sock", day="2023", machine="bench-machine", cylinder="cylinder-60", yarn="yarn-grey",
        slots=60, promise="smith",
    )  # fmt: skip
    book.keep(noted, PAIR)
    assert cost(book) == YarnCost(1000, 0, in_part=True)


def test_a_spoilt_sock_of_a_string_costs_its_own_pair(book: Logbook) -> None:
    other = PAIR.model_copy(update={"id": "cook", "name": "The cook, grey"})
    shelve(book, PRICED, PAIR, other)
    told = record("sock", "20231115-string", started_ms=book.clock.now().at_ms).model_dump()
    socks = [StringSock(plan=plan(), promise=one).model_dump() for one in ("smith", "cook")]
    told |= {"kind": "string", "steps": string_of(2), "socks": socks, "lot": "lot-41"}
    live = book.start(SessionRecord.model_validate(told))
    crank_to(live, "s2-leg")
    drive(live, rows(5))
    before = cost(book, other), cost(book)
    drive(live, Spoilt("ladder"), Confirmed())
    cook, smith = cost(book, other), cost(book)
    assert (cook, smith) != before
    assert smith == before[1]
    # What was spoilt is paid for, and a whole sock still to come.
    assert cook is not None
    assert before[0] is not None
    assert (cook.so_far, cook.to_come) == (before[0].so_far, 1950)
    assert cook.whole > 1950


def test_in_words() -> None:
    assert cost_words(YarnCost(640, 0, in_part=False), "crowns") == "6.40 crowns"
    assert cost_words(YarnCost(320, 320, in_part=False)) == "3.20 so far, 6.40 in all"
    assert cost_words(YarnCost(0, 640, in_part=True)) == "6.40 in all, as far as it is known"
