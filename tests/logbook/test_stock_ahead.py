"""What is said of the yarn before the first row: short, about even odds, mixed dye lots, promised to others."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.craft.measured import measured
from hosewright.logbook.accounts.enough import before_first_row, reaches_for
from hosewright.session.events import Confirmed, ReadOff
from hosewright.words.stock import reach_lines
from tests.helpers import crank_to, drive, measure_tube, yarn
from tests.logbook.test_stock import a_tube, lot, pair, plan, shelve, sock, the_yarn, weigh

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook


def test_nothing_is_said_when_all_is_well(book: Logbook) -> None:
    shelve(book, lot(grams=200))
    assert before_first_row(book, [plan()] * 2, "lot-41") == ()


def test_a_lot_that_is_short_says_by_how_much_and_that_another_would_mix(book: Logbook) -> None:
    shelve(book, lot(grams=62), lot("42", 50), lot("43", 200))
    # 5 % of 78 g is 4 g, the loop model's share.
    assert before_first_row(book, [plan()] * 2, "lot-41") == (
        "Lot 41 holds 62 g; the pair takes 78 ± 4 g: 16 g short.",
        "Lot 43 (200 g) alone would be enough.",
        "Finishing it from lot 42 (50 g) or lot 43 (200 g) would mix dye lots.",
    )


@pytest.mark.parametrize(
    ("grams", "said"), [(84, "probably enough"), (80, "about even odds"), (76, "about even odds"), (72, "6 g short")]
)
def test_the_odds_are_said(book: Logbook, grams: float, said: str) -> None:
    shelve(book, lot())
    weigh(book, grams)  # the scale's 0.6 g and the pair's 3.9 g: 3.94 g together
    (sentence,) = before_first_row(book, [plan()] * 2, "lot-41")
    assert said in sentence


def test_another_promise_on_the_lot_is_named(book: Logbook) -> None:
    shelve(book, lot(), pair(plan="grey-pair"))
    other = plan("other")
    book.keep(other)
    (sentence,) = before_first_row(book, [other] * 2, "lot-41")
    assert sentence == (
        "Lot 41 holds 100 g, 78 g of it promised or on the machine (Pair for the ferry, both socks); "
        "the pair takes 78 ± 4 g: 56 g short."
    )
    # the pair the promise is for does not stand in its own way
    assert before_first_row(book, [plan()] * 2, "lot-41") == ()
    assert before_first_row(book, [other] * 2, "lot-41", promises=["for-ferry"]) == ()


def test_a_promise_of_no_lot_yet_is_named_where_it_bites(book: Logbook) -> None:
    shelve(book, lot(), pair(lot=None))
    other = plan("other")
    (sentence,) = before_first_row(book, [other] * 2, "lot-41")
    assert (
        sentence == "Promised of this yarn, too: Pair for the ferry, both socks, 78 g; after this 22 g is left for it."
    )
    book.keep(lot("42", 60))
    assert before_first_row(book, [other] * 2, "lot-41") == ()


def test_no_lot_chosen(book: Logbook) -> None:
    shelve(book, lot(), lot("42", 50))
    assert before_first_row(book, [plan()] * 2, None) == (
        "No dye lot is chosen, and the yarn stock has lot 41 (100 g left) and lot 42 (50 g left): "
        "without one no grams are kept.",
    )
    weigh(book, 0.0)
    weigh(book, 0.0, of="lot-42")
    assert before_first_row(book, [plan()] * 2, None) == ()


def test_a_sock_of_the_plan_that_was_weighed_knows_better_than_the_plan(book: Logbook) -> None:
    shelve(book, lot(grams=70))
    live = sock(book)
    crank_to(live, "try-on")
    drive(live, ReadOff("mass", 36.0), Confirmed())
    (sentence,) = before_first_row(book, [plan()] * 1, "lot-41")
    assert sentence == "Lot 41 holds 34 g; by the sock weighed the sock takes 36 ± 1 g: 2 g short."


def test_the_gauge_of_the_plan_carries_its_own_error(book: Logbook) -> None:
    shelve(book)
    live = a_tube(book)
    crank_to(live, "after-wash")
    measure_tube(live, 142.0, 94.0, 11.0)
    drive(live, Confirmed())
    book.keep(lot(grams=60))
    by_gauge = plan().model_copy(update={"gauge_session": live.record.id})
    (sentence, *_) = before_first_row(book, [by_gauge] * 2, "lot-41")
    # By hand, in mm a stitch: 13.0 ± 0.65 from the rows (5 %), 12.8 ± 0.67 by the scale (1 g / sqrt(3) of 11 g);
    # together 1 / sqrt(1 / 0.65^2 + 1 / 0.67^2) = 0.47 of 12.9, 3.6 % of 78 g.
    assert "the pair takes 78 ± 3 g" in sentence


def test_plans_that_tell_nothing_and_lots_that_are_gone(book: Logbook) -> None:
    shelve(book, lot())
    book.keep(yarn().model_copy(update={"m_per_100g": None}))
    assert "cannot say whether the yarn is enough" in before_first_row(book, [plan(grams=None)] * 2, "lot-41")[0]
    assert "any more" in before_first_row(book, [plan()] * 2, "lot-99")[0]


def test_ounces(book: Logbook) -> None:
    shelve(book, lot(grams=62))
    (sentence,) = before_first_row(book, [plan()] * 2, "lot-41", unit="oz")
    assert sentence == "Lot 41 holds 2.19 oz; the pair takes 2.75 ± 0.14 oz: 0.56 oz short."


def test_a_pair_that_is_only_being_planned(book: Logbook) -> None:
    shelve(book, lot(grams=62), lot("42", 200), lot("43", 5))
    weigh(book, 0.0, of="lot-43")
    found = reaches_for(the_yarn(book), measured(78.0, 4.0))
    assert [(one.lot.lot.name, one.verdict, one.free) for one in found] == [("41", "short", 62), ("42", "enough", 200)]
    assert reach_lines(found, "g") == [("Lot 41", "62 g free, 16 g short"), ("Lot 42", "200 g free, enough")]


def test_a_string_of_two_promised_pairs_does_not_stand_in_its_own_way(book: Logbook) -> None:
    shelve(book, lot(grams=160), pair(), pair("for-mill", name="Pair for the mill"))
    said = before_first_row(book, [plan()] * 4, "lot-41", promises=["for-ferry", "for-mill"])
    # 160 - 4 x 39 = 4 g; 5 % of 156 g and 2 % of the label's 160 g are 8.4 g together
    assert said == ("Lot 41 holds 160 g; the 4 socks take 156 ± 8 g: about even odds that it is enough.",)
    alone = before_first_row(book, [plan()] * 2, "lot-41", promises=["for-ferry"])
    assert alone[0].startswith("Lot 41 holds 160 g, 78 g of it promised or on the machine (Pair for the mill, both")


def test_a_string_of_two_plans_takes_the_grams_of_each(book: Logbook) -> None:
    heavy = plan("heavy", 100.0)
    shelve(book, lot(grams=120), heavy)
    (said,) = before_first_row(book, [plan(), heavy, heavy], "lot-41")
    assert said == "Lot 41 holds 120 g; the 3 socks take 139 ± 7 g: 19 g short."
