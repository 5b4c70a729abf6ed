"""What is from a notebook beside what was cranked: gauges, socks, pairs, cards, responses and plans read both."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pydantic import ValidationError

from hosewright.craft.gauge import NOTED_TAPE_MM, gauge_of_rates, noted_rate
from hosewright.craft.measured import error, measured, nominal
from hosewright.logbook.accounts.pairs import pair_of
from hosewright.logbook.accounts.stock import stock_of
from hosewright.logbook.book import Logbook
from hosewright.logbook.find.evidence import worn_by
from hosewright.logbook.find.yarns import yarn_card, yarns_cranked
from hosewright.logbook.overview import way
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Noted, Part, Wearer
from hosewright.logbook.records.year import Lot, Promise
from hosewright.logbook.upkeep.forgetting import forget
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.paper.yarn_page import yarn_page
from hosewright.planning import starting
from hosewright.planning.gauges import TOGETHER, gauge_words, read_knits, taken_together
from hosewright.planning.sock import to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.words.gauges import yarn_facts
from tests.helpers import FakeClock, crank_to, cylinder, machine, measure_tube, record, yarn

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

ANA = Wearer(id="ana", name="Ana")
BARE = machine().model_copy(update={"clicks_per_turn": None, "starting_dial": None})


def noted(name: str = "tube-2019", **more: object) -> Noted:
    """A gauge of 0.41 rows and 0.31 stitches to the mm, 60 slots."""
    said = {"id": name, "day": "2019", "machine": machine().id, "cylinder": cylinder().id, "yarn": yarn().id}
    rates = {"rows_per_mm": 0.41, "rows_per_mm_error": 0.005, "stitches_per_mm": 0.31, "stitches_per_mm_error": 0.004}
    return Noted.model_validate(said | {"slots": 60, "dial": "6 1/2"} | rates | more)


def sock(name: str, **more: object) -> Noted:
    """A sock of which no gauge was written down."""
    parts = (Part(name="leg", kind="rows", count=40), Part(name="heel", kind="passes", count=36))
    bare = {"rows_per_mm": None, "stitches_per_mm": None}
    return noted(name, **({"what": "sock", "wearer": "ana", "parts": parts} | bare | more))


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    made = Logbook(tmp_path / "logbook.sqlite", FakeClock())
    made.keep(machine(), cylinder(), yarn(), ANA)
    yield made
    made.close()


def crank_a_tube(book: Logbook) -> str:
    """Tonight's tube, washed and measured; its session."""
    live = book.start(record("tube", "20231114-tubexx"))
    crank_to(live, "after-wash")
    measure_tube(live)
    return live.record.id


def test_a_notebooks_gauge_stands_among_the_measured_by_its_day(book: Logbook) -> None:
    book.keep(noted(), noted("tube-2025", day="2025-03"))
    tube = crank_a_tube(book)
    assert [gauge.session for gauge in book.gauges()] == ["tube-2025", tube, "tube-2019"]
    newest, here, oldest = book.gauges()
    assert (newest.when, oldest.when) == ("Mar 2025, from the notebook", "2019, from the notebook")
    assert "notebook" not in here.when
    assert oldest.dial == 26
    assert (oldest.rows, here.rows) == (None, 30)
    assert not list(book.lines("finished")), "nothing was cranked for it"
    book.keep(noted(retired=True))
    assert [gauge.session for gauge in book.gauges()] == ["tube-2025", tube]


def test_a_session_says_more_than_a_copy_of_it_in_a_table(book: Logbook) -> None:
    tube = crank_a_tube(book)
    book.keep(noted(tube))
    (gauge,) = book.gauges()
    assert (gauge.session, gauge.noted) == (tube, "")


@pytest.mark.parametrize(("typed", "clicks"), [("6 1/2", None), ("26 clicks", 26), ("0", 0), ("", None)])
def test_turns_stay_as_typed_until_someone_counts_the_clicks(book: Logbook, typed: str, clicks: int | None) -> None:
    book.keep(BARE, noted(dial=typed))
    assert book.gauges()[0].dial == clicks
    book.keep(machine())
    assert book.gauges()[0].dial == (26 if typed == "6 1/2" else clicks)
    book.keep(machine(clicks_per_turn=3))
    assert book.gauges()[0].dial == (None if typed == "6 1/2" else clicks), "no whole click of such a dial"


def test_a_machine_is_not_cranked_before_its_clicks_are_counted(book: Logbook) -> None:
    with pytest.raises(ValidationError, match="clicks in a turn"):
        SessionRecord.model_validate(record("tube").model_dump() | {"machine": BARE.model_dump()})
    with pytest.raises(ValueError, match="Nobody counted the dial clicks"):
        starting.fresh(book, "tube", BARE, cylinder(), yarn(), dial=26, rows=60, separator_rows=8)
    set_up = {"clicks_per_turn": 3}
    made = starting.fresh(book, "tube", BARE, cylinder(), yarn(), dial=26, rows=60, separator_rows=8, set_up=set_up)
    assert made.head.clicks_per_turn == made.machine.clicks_per_turn == 3


def test_a_plan_of_such_a_gauge_asks_where_the_dial_stands_when_it_is_cranked(book: Logbook) -> None:
    book.keep(noted(dial=""))
    knit = read_knits(book)["tube-2019"]
    assert gauge_words(knit, "in") == "Grey / 60 slots / 10.41 rows/in, 2019, from the notebook"
    typed = Typed(tube="150 mm", leg="4 in")
    plan = to_plan("plan-of-2019", typed, knit, None, work_out(typed, knit, None))
    assert (plan.dial, plan.gauge_session) == (None, "tube-2019")
    assert plan.foot_rows_error > 0
    told = "The gauge is that of 2019, from the notebook: a tube cranked now would tell whether it still holds."
    assert told in work_out(typed, knit, None).notes
    assert "Dial: not known" in crank_sheet(plan, machine())
    book.keep(plan)
    with pytest.raises(ValueError, match="type where it stands now"):
        starting.first_sock(book, plan, 8)
    assert starting.first_sock(book, plan, 8, dial=27).dial == 27


def test_a_plan_by_the_mean_says_how_many_of_its_tubes_are_from_the_notebook(book: Logbook) -> None:
    book.keep(noted())
    tube = crank_a_tube(book)
    knit = taken_together(read_knits(book))[f"{TOGETHER}{tube}"]
    typed = Typed(tube="150 mm")
    assert "From the notebook: 1 of the 2 tubes of this gauge." in work_out(typed, knit, None).notes


def test_the_response_is_fitted_through_both(book: Logbook) -> None:
    book.keep(noted(dial="7"), noted("unknown", dial=""))
    tube = crank_a_tube(book)
    knit = read_knits(book)[tube]
    assert [one.session for one in knit.since] == ["tube-2019", tube]
    assert [reading.clicks for reading in knit.tubes] == [26, 28]
    assert nominal(knit.fabric.response.rise_mm) != 0


def test_the_yarns_card_shows_both_and_says_which(book: Logbook) -> None:
    book.keep(sock("worn", fit="tight", fit_length="right"))
    assert [one.name for one in yarns_cranked(book)] == ["Grey"]
    book.keep(noted(), noted("unknown", day="2018-05", dial="where the paint is", fit="loose"))
    crank_a_tube(book)
    card = yarn_card(book, yarn())
    ((here, nowhere),) = (on.in_order() for on in card.cylinders)
    assert [[line.noted for line in at.tubes] for at in (here, nowhere)] == [["", "2019"], ["2018-05"]]
    said = yarn_page(card)
    assert "- Gauge of 2019, from the notebook: 10.41 ± 0.13 rows and 7.87 ± 0.10 stitches per in" in said
    assert "**Dial not known in clicks**" in said
    assert "loose on the foot; dial noted as where the paint is" in said
    assert "- Sock for Ana, 2019, from the notebook: round tight, length right; leg 40, heel 36 passes" in said
    (course,) = card.courses
    assert [tube.noted for tube in course.tubes] == ["2019", ""]


def test_as_data_a_gauge_without_a_dial_is_there_too(book: Logbook) -> None:
    book.keep(noted(), noted("unknown", day="2018-05", dial="where the paint is"))
    tubes = {tube["session"]: tube for tube in yarn_facts(yarn_card(book, yarn()))["tubes"]}
    assert {name: (tube["dial"], tube["day"]) for name, tube in tubes.items()} == {
        "tube-2019": (26, "2019"),
        "unknown": (None, "2018-05"),
    }
    assert all(tube["from_notebook"] for tube in tubes.values())
    assert tubes["unknown"].keys() == tubes["tube-2019"].keys()
    assert tubes["unknown"]["rows_per_in_error"] == pytest.approx(0.005 * 25.4)


def test_a_worn_sock_of_the_notebook_teaches_the_next_plan(book: Logbook) -> None:
    book.keep(sock("one", fit="tight"), sock("other", fit_length="too short", day="2018"), sock("unworn"))
    learnt = worn_by(book, "ana").verdicts
    assert [(one.round, one.length) for one in learnt] == [(None, "too short"), ("tight", None)]
    assert worn_by(book, "nobody").verdicts == ()


def test_a_sock_of_the_notebook_is_one_of_its_pair_and_its_grams_are_gone(book: Logbook) -> None:
    promise = Promise(id="pair", name="Ana's", yarn=yarn().id, wearer="ana", made="2023-11-01")
    book.keep(promise, Lot(id="lot", name="3", yarn=yarn().id, grams=100, bought="2023-11-01"))
    book.keep(sock("done", promise="pair", fit="right"))
    pair = pair_of(book, promise)
    assert (pair.first.stage, pair.first.fit, pair.first.part) == ("tried on", "round right", "from the notebook")
    assert (pair.twin.stage, pair.twin.whole) == ("not begun", pair.first.whole)
    assert pair.first.whole is not None
    assert (pair.first.whole.rows, pair.first.whole.passes) == (40, 36)
    stock = stock_of(book, yarn().id)
    assert stock is not None
    assert [claim.words for claim in stock.claims] == ["Ana's, one sock"]
    book.keep(sock("twin", promise="pair"))
    assert pair_of(book, promise).next_sock is None
    stock = stock_of(book, yarn().id)
    assert stock is not None
    assert not stock.claims


def test_forgetting_a_wearer_forgets_what_the_notebook_says_of_them(book: Logbook) -> None:
    book.keep(sock("hers", fit="tight", note="Ana said so"), noted(note="for Ana"))
    told = forget(book, "ana", really=True)
    assert told.socks == ["hers"]
    (left,) = book.shelf(Noted, retired=True)
    assert (left.id, left.note) == ("tube-2019", "for someone")


def test_with_a_notebooks_gauge_one_is_on_the_way_to_a_plan(book: Logbook) -> None:
    before = way(book.store)
    book.keep(noted())
    after = way(book.store)
    assert before is not None
    assert after is not None
    assert (before.at, after.at) == (1, 4)


def test_a_notebooks_error_is_that_of_a_careless_tape() -> None:
    rate = noted_rate(60, 148.0)
    assert nominal(rate) == pytest.approx(60 / 148)
    assert error(rate) / nominal(rate) == pytest.approx(NOTED_TAPE_MM / 3**0.5 / 148)


def test_a_gauge_of_rates_alone_is_a_reading_that_comes_to_the_same() -> None:
    rates = measured(0.41, 0.005), measured(0.31, 0.004)
    gauge = gauge_of_rates(None, 60, *rates)
    again = gauge.rows / gauge.lengths.value
    assert (nominal(again), error(again)) == pytest.approx((0.41, 0.005))
    across = gauge.slots / 2 / gauge.flat_widths.value
    assert (nominal(across), error(across)) == pytest.approx((0.31, 0.004))


@pytest.mark.parametrize("day", ["2019-13", "May 2021", "", "19"])
def test_a_day_is_kept_in_one_way_only(day: str) -> None:
    with pytest.raises(ValidationError):
        noted(day=day)
