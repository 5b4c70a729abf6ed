"""What is read of the logbook when a session is opened: the needles to watch, and the yarn still to come."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.counting.from_the_record import YarnAhead, read_record, watched, yarn_ahead
from hosewright.logbook.records.year import Lot
from hosewright.session.events import Amended, Observed, ReadOff
from hosewright.session.results import pieces_of
from hosewright.session.steps import CountPasses, CountRows
from tests.helpers import crank_to, drive, plan_of, record, rows

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook


def test_the_grams_taken_are_those_of_the_stitches_cranked(book: Logbook) -> None:
    """Held against the pieces themselves at every row and pass of every part."""
    live = book.start(record("sock"))
    yarn = YarnAhead({0: 34_000}, {0: 34_000}, 21.0)
    for index, step in enumerate(live.record.steps):
        if not isinstance(step, CountRows | CountPasses):
            continue
        crank_to(live, step.id)
        for _ in range(step.target):
            drive(live, rows(1))
            (piece,) = pieces_of(live.state)
            wanted = round(34_000 * piece.stitches / piece.stitches_planned)
            taken = yarn.taken_of(live.state)
            assert taken is not None
            assert abs(taken[0] - wanted) <= 1, f"step {index}, row {live.state.count}"
            assert taken[1] == 34_000


@pytest.mark.parametrize(("core", "stop"), [(21.0, 55), (None, 34)])
def test_the_weight_at_which_to_stop_is_the_twins_yarn_and_the_core(
    book: Logbook, core: float | None, stop: int
) -> None:
    live = book.start(record("sock"))
    assert YarnAhead({0: 33_600}, {0: 33_600}, core).stop_at_g(live.state) == stop
    assert YarnAhead({0: 33_600}, {0: 0}, core).stop_at_g(live.state) is None
    assert YarnAhead({0: None}, {}, core).taken_of(live.state) is None


def test_needles_that_faulted_on_this_cylinder_are_watched(book: Logbook) -> None:
    live = book.start(record("sock", "20231114-before"))
    crank_to(live, "leg")
    for needle in (17, 5, 17):
        drive(live, [*rows(1), Observed("dropped")])
        drive(live, [Amended(live.state.last_seq, needle=needle)])
    told = [(one.needle, one.words) for one in watched(book, live.record)]
    assert told == [(5, "dropped once"), (17, "dropped twice")]
    assert read_record(book, live.record).watched


def test_a_twin_takes_what_its_first_sock_was_weighed_at(book: Logbook) -> None:
    start = record("sock", "20231114-first").model_copy(update={"plan": plan_of()})
    first = book.start(start)
    crank_to(first, "try-on")
    drive(first, ReadOff("mass", 29.0))
    twin = book.start(start.model_copy(update={"id": "20231114-twin", "twin_of": start.id}))
    yarn = yarn_ahead(book, twin.record)
    assert yarn is not None
    crank_to(twin, "leg")
    (did,), (planned,) = pieces_of(first.state), pieces_of(twin.state)
    assert yarn.taken_of(twin.state) == (0, round(29_000 * planned.stitches_planned / did.stitches))
    assert yarn.basis == "as the first took"


def test_the_core_is_that_of_the_lot_else_of_the_yarn(book: Logbook) -> None:
    start = record("sock").model_copy(update={"plan": plan_of(), "lot": "l1"})
    book.keep(start.yarn.model_copy(update={"core_g": 12.0}))
    lot = Lot(id="l1", name="17 B", yarn=start.yarn.id, grams=100.0, bought="2023-11-01")
    for core, told in ((None, 12.0), (21.0, 21.0), (0.0, 0.0)):
        book.keep(lot.model_copy(update={"core_g": core}))
        yarn = yarn_ahead(book, start)
        assert yarn is not None
        assert yarn.core_g == told
