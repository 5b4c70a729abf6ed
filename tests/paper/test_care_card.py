"""The care card that goes with a pair, and promised pairs in words."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.workload import Due, OwnPace, Work, week
from hosewright.logbook.accounts.pairs import Pair, PairGiven, Sock, pair_given
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Wearer
from hosewright.paper.care_card import CAUTION, card_as, card_html, card_markdown, card_text, care_card
from hosewright.phrases.figures import read_money, show_money
from hosewright.phrases.times import minutes_words
from hosewright.settings.table import Settings
from hosewright.words.pairs import (
    due_words,
    left_words,
    money_words,
    sock_words,
    week_days,
    week_words,
)
from tests.helpers import machine, plan_of, record, yarn
from tests.logbook.test_pairs import PLAN, PROMISE, sock, string

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook

TODAY = date(2026, 11, 25)  # a Wednesday
KNOWN = yarn().model_copy(
    update={
        "fibre": "75 % wool, 25 % nylon",
        "colour": "grey",
        "wash": "by hand",
        "care": ("wash-30-mild", "do-not-bleach", "dry-flat"),
    }
)
FOOT = Wearer(id="smith", name="The smith", foot_length_mm=266.7, girth_mm=245.0, calf_mm=371.0, note="bunions")


def pair(wearer: Wearer | None = FOOT, *, tube_wash: str = "wool wash at 30 °C", **more: Any) -> PairGiven:
    return PairGiven("smith", KNOWN.model_copy(update=more), wearer, None, tube_wash)


def test_all_that_is_known_stands_on_it() -> None:
    found = care_card(pair())
    assert card_text(found).splitlines() == [
        "A pair of socks",
        "",
        "Fibre  75 % wool, 25 % nylon",
        "Yarn   Grey, grey",
        # 266.7 mm: EU 1.5 cm + 2 = 42.0, rival + 2.25; UK 3 in - 23 = 8.5, rival 8; US men 9.5, rival 9; women 10.5,
        # rivals 10 and 11 (the formulas of craft.shoes).
        "Size   EU 42 to 42.5, UK 8 to 8.5, US men 9 to 9.5, US women 10 to 11",
        "Care   Wash at 30 °C at most (mild process)",
        "       Do not bleach",
        "       Dry flat",
        "Wash   wool wash at 30 °C. The size was measured after this wash and holds only for it.",
    ]
    assert (found.unknown, found.caution) == ((), "")


def test_what_is_not_known_is_left_out_and_said() -> None:
    found = care_card(pair(None, tube_wash="", fibre="", wash="", care=()))
    assert [name for name, _ in found.lines] == ["Yarn"]
    assert found.not_noted == "Not noted: fibre, size, care, the gauge tube's wash."
    for told in (card_html(found), card_text(found), card_markdown(found)):
        assert "noted" not in told.lower()  # it goes to a customer
    noted = dict(care_card(pair(tube_wash="")).lines)
    assert noted["Wash"] == ("by hand (as noted for this yarn)",)


@pytest.mark.parametrize(
    ("feet", "size"),
    [
        ({"shoe_size": "UK 9"}, "EU 42.5 to 43.5, UK 9, US men 9.5 to 10.5, US women 10.5 to 12"),
        ({"left_length_mm": 262.0, "right_length_mm": 266.7}, "EU 42 to 42.5, UK 8 to 8.5, US men 9 to 9.5"),
        ({"foot_length_mm": 262.0, "right_length_mm": 266.7}, "EU 42 to 42.5, UK 8 to 8.5, US men 9 to 9.5"),
        ({"foot_length_mm": 266.7, "sized_as": "women"}, "EU 42 to 42.5, UK 8 to 8.5, US women 10 to 11"),
        ({"foot_length_mm": 150.0}, "UK child 7 to 7.5"),
        ({"shoe_size": "mondopoint 270"}, "EU 42.5 to 43, UK 8.5 to 9, US men 9.5 to 10, US women 10.5 to 11.5"),
    ],
)
def test_sizes_come_from_whatever_is_known_of_the_foot(feet: dict[str, Any], size: str) -> None:
    wearer = Wearer.model_validate({"id": "xx", "name": "X", **feet})
    (said,) = dict(care_card(pair(wearer)).lines)["Size"]
    assert size in said
    assert not re.search(r"-\d", said)
    assert ("US men" in said) == (feet.get("sized_as") != "women" and feet.get("foot_length_mm") != 150.0)


def test_the_foot_the_socks_were_planned_for_stands_in_for_an_unknown_one() -> None:
    plan = PLAN.model_copy(update={"foot_length_mm": 266.7})
    found = care_card(PairGiven("smith", KNOWN, None, plan, ""))
    assert dict(found.lines)["Size"][0].startswith("EU 42 to 42.5")


@pytest.mark.parametrize("caution", [False, True])
def test_no_measurement_no_price_and_no_name_stand_on_it(caution: bool) -> None:
    found = care_card(pair(FOOT.model_copy(update={"caution": caution})))
    for text in (card_text(found), card_markdown(found), card_html(found)):
        assert (CAUTION in text) == caution
        for never in ("smith", "266", "26.7", "245", "371", "bunions", "28.50"):
            assert never not in text.replace("#1a1a1a", "")
        for claim in ("medical", "heal", "therap", "circulation", "orthop", "compression", "diabet"):
            assert claim not in text.lower()


def test_what_was_typed_stays_what_was_typed() -> None:
    found = care_card(pair(fibre="<b>wool</b> | 75 *%*", name="Grey\x1b[31m"))
    assert "<b>" not in card_html(found)
    assert "&lt;b&gt;wool&lt;/b&gt;" in card_html(found)
    assert r"\<b\>wool\</b\> \| 75 \*%\*" in card_markdown(found)
    assert "\x1b" not in card_text(found) + card_markdown(found) + card_html(found)


def test_the_page_is_one_small_block_of_its_own() -> None:
    page = card_html(care_card(pair()))
    assert page.startswith("<!DOCTYPE html>")
    assert "max-width: 9cm" in page
    assert not re.search(r"(?:src|href)=|@import|url\(", page)
    assert page.count("<dt>") == 5


def test_a_pair_from_a_plan_has_its_sock_drawn_in_its_yarn_and_says_nothing_of_whose_it_is() -> None:
    plan = plan_of().model_copy(update={"name": "The smith's socks"})
    page = card_html(care_card(PairGiven("smith", KNOWN.model_copy(update={"colour": "navy"}), FOOT, plan, "")))
    assert page.count("<svg ") == 1
    assert 'fill="#000080"' in page
    assert "smith" not in page
    assert "<svg " not in card_html(care_card(pair()))


def test_the_end_of_the_name_says_the_form() -> None:
    found = care_card(pair())
    assert card_as(found, "a.HTML") == card_html(found)
    assert card_as(found, "a.md") == card_markdown(found)
    assert card_as(found, "a.txt") == card_text(found)
    with pytest.raises(CraftError, match=r"\.html, \.md or \.txt"):
        card_as(found, "card.pdf")


# --- from the logbook -------------------------------------------------------------------------------------------


def _with_tube(book: Logbook, wash: str) -> None:
    start = record("tube", "20231101-tube")
    washed = KNOWN.model_copy(update={"wash": wash})
    book.start(start.model_copy(update={"yarn": washed}))
    book.keep(PLAN.model_copy(update={"gauge_session": "20231101-tube"}))
    book.keep(KNOWN)
    book.keep(machine())
    book.keep(FOOT)


def test_the_tubes_own_wash_is_the_one_frozen_into_its_session(book: Logbook) -> None:
    _with_tube(book, "wool wash at 30 °C")
    book.keep(PROMISE.model_copy(update={"wearer": "smith"}))
    book.keep(KNOWN.model_copy(update={"wash": "changed since"}))
    found = pair_given(book, "smi")
    assert (found.id, found.tube_wash, found.wearer) == ("smith", "wool wash at 30 °C", FOOT)
    live = sock(book, "20231114-one", plan=PLAN.model_copy(update={"gauge_session": "20231101-tube"}))
    assert pair_given(book, PROMISE.name.upper()) == found  # what it is called does as well
    by_session = pair_given(book, "20231114")
    assert (by_session.id, by_session.tube_wash) == (live.record.id, "wool wash at 30 °C")
    assert by_session.yarn.wash == "changed since"


def test_a_promise_without_a_plan_takes_that_of_its_sock(book: Logbook) -> None:
    _with_tube(book, "in the stream")
    book.keep(PROMISE.model_copy(update={"plan": None}))
    assert pair_given(book, "smith").tube_wash == ""
    sock(book, "20231114-one", plan=PLAN.model_copy(update={"gauge_session": "20231101-tube"}))
    assert pair_given(book, "smith").tube_wash == "in the stream"


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        ("zzz", "There is no promised pair and no session 'zzz' in this logbook"),
        ("", "There is no promised pair and no session ''"),
        ("sm", "Several promised pairs match 'sm' (smith, smooth); type more of the id."),
        ("20231101", "is no sock: a care card goes with"),
        ("20231115", "is a string of several socks: a care card goes with"),
        ("202311", "Several sessions begin with"),
        ("lost", "The yarn of The lost one is not in this logbook any more"),
    ],
)
def test_what_has_no_slip_is_told(book: Logbook, asked: str, why: str) -> None:
    _with_tube(book, "")
    book.keep(PROMISE)
    book.keep(PROMISE.model_copy(update={"id": "smooth"}))
    book.keep(PROMISE.model_copy(update={"id": "lost", "name": "The lost one", "yarn": "gone", "plan": None}))
    string(book, "20231115-row", (PROMISE, False), (PROMISE, True))
    with pytest.raises(LogbookError) as told:
        pair_given(book, asked)
    assert why in str(told.value)


# --- promised pairs in words ------------------------------------------------------------------------------------


def a_pair(**change: Any) -> Pair:
    promise = PROMISE.model_copy(update={"by": "2026-12-24", **change})
    whole = Work(250, 100)
    return Pair(promise, None, None, None, None, Sock(whole=whole), Sock(whole=whole))


def test_the_sentence_of_the_week() -> None:
    # 25 rows and 10 passes a minute: a pair of 2 x (250 rows, 100 passes) takes 2 x (10 + 10) = 40 min.
    pace, two = OwnPace(25, 10, sessions=1), Work(500, 200, 2)
    dues = [Due(2, two)] * 9 + [Due(5, two)] * 2 + [Due(5, None)]
    assert week_words(week([], pace), Settings(), TODAY) == "Nothing is due this week."
    held = week(dues, pace)
    assert (
        week_words(held, Settings(), TODAY)
        == "This week: 12 pairs, 1 without a plan, 7 h 20 min of cranking; by Friday 6 h are needed."
    )
    assert week_days(held, TODAY) == ["by Friday: 6 h", "by Monday: 7 h 20 min"]
    few = Settings(hours_a_week=5, off_crank_min=30)
    held = week(dues, pace, minutes_a_week=300, off_crank_min=30)
    assert week_words(held, few, TODAY).endswith(
        "7 h 20 min of cranking and 11 h off the crank; by Friday 15 h are needed, and you have 5 h a week."
    )
    enough = week([Due(-1, two), Due(1, two)], pace, minutes_a_week=600)
    assert (
        week_words(enough, Settings(hours_a_week=10), TODAY)
        == "This week: 2 pairs (1 overdue), 1 h 20 min of cranking; today 40 min are needed; you have 10 h a week."
    )


def test_the_sentence_says_what_it_does_not_know() -> None:
    two = Work(500, 200, 2)
    assert "for hours, crank a sock first" in week_words(week([Due(1, two)], OwnPace()), Settings(), TODAY)
    only = week([Due(1, None)], OwnPace(25, 10))
    assert week_words(only, Settings(), TODAY) == "This week: 1 pair, 1 without a plan, so no hours are known."
    done = week([Due(1, Work())], OwnPace(25, 10))
    assert week_words(done, Settings(), TODAY) == "This week: 1 pair; nothing of it is left to crank."
    assert week_days(done, TODAY) == []
    spread = week([Due(1, two)], OwnPace(25, 10, 5.0, 2.0))
    # 20 min x 5 / 25 = 4 and 20 x 2 / 10 = 4: the root of the sum of squares is 5.66.
    assert "40 min ± 6 min of cranking" in week_words(spread, Settings(), TODAY)


def test_when_a_pair_is_due() -> None:
    said = {
        "2026-11-20": "overdue, Fri 20 Nov",
        "2026-11-25": "today, Wed 25 Nov",
        "2026-11-26": "tomorrow, Thu 26 Nov",
        "2027-01-01": "Fri 1 Jan",
        "2027-12-24": "24 Dec 2027",
    }
    for by, words in said.items():
        assert due_words(PROMISE.model_copy(update={"by": by}), TODAY) == words
    assert due_words(PROMISE.model_copy(update={"by": None}), TODAY) == "no day"
    assert due_words(PROMISE.model_copy(update={"handed_over": "2026-11-01"}), TODAY) == "handed over Sun 1 Nov"
    assert due_words(PROMISE.model_copy(update={"retired": True}), TODAY) == "called off"


def test_what_is_left_of_a_pair() -> None:
    assert left_words(a_pair(), OwnPace(25, 10)) == "40 min"
    assert left_words(a_pair(), OwnPace(25, 10), 40) == "2 h"
    assert left_words(a_pair(), OwnPace()) == "500 rows, 200 passes"
    assert left_words(a_pair(handed_over="2026-11-01"), OwnPace()) == "nothing"
    unknown = Pair(PROMISE, None, None, None, None, Sock(), Sock())
    assert left_words(unknown, OwnPace(25, 10)) == "no plan yet"
    assert sock_words(Sock("washed", "x", 3, "drying")) == "washed, drying (sock 3 of a string)"
    assert sock_words(Sock("tried on", "x", fit="round tight")) == "tried on: round tight"
    assert [minutes_words(minutes) for minutes in (0.4, 59.6, 60, 580)] == ["0 min", "1 h", "1 h", "9 h 40 min"]


@pytest.mark.parametrize(
    ("price", "paid", "words"),
    [
        (None, 0, ""),
        (None, 500, "paid 5"),
        (2850, 0, "28.50, not paid"),
        (2850, 1000, "28.50, paid 10"),
        (2800, 2800, "28, paid"),
        (2800, 3000, "28, paid and 2 more"),
    ],
)
def test_price_and_paid(price: int | None, paid: int, words: str) -> None:
    assert money_words(PROMISE.model_copy(update={"price": price, "paid": paid})) == words


@pytest.mark.parametrize("typed", ["", "-3", "28.505", "1e3", "twenty", "28 crowns", "1000000", "२८"])
def test_no_amount(typed: str) -> None:
    with pytest.raises(CraftError, match="type it like 28 or"):
        read_money(typed)


@given(st.integers(0, 99_999_999), st.sampled_from(["", "crowns"]))
def test_an_amount_reads_back(hundredths: int, money: str) -> None:
    assert read_money(show_money(hundredths, money), money) == hundredths
    assert read_money(show_money(hundredths).replace(".", ",")) == hundredths
