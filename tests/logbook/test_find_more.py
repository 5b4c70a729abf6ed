"""Needles that keep faulting, and what a yarn did."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from scipy import stats

from hosewright.logbook.accounts.care import beds, faults_by_needle
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.yarns import yarn_card, yarns_cranked
from hosewright.logbook.records.sessions import SessionRecord, StringSock
from hosewright.logbook.records.shelf import Yarn
from hosewright.paper.yarn_page import yarn_page
from hosewright.session.events import Amended, Confirmed, Judged, Observed, ReadOff, Struck
from hosewright.session.fold import fold
from hosewright.words.gauges import yarn_facts
from tests.helpers import crank_to, drive, measure_tube, record, rows, sock_plan_steps, string_of, yarn
from tests.logbook.test_planned_and_verdicts import WEARER, plan

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.events import Entry
    from hosewright.session.state import State
    from hosewright.session.steps import Head


def _tube(book: Logbook, session_id: str, *, dial: int = 30) -> Live:
    live = book.start(record("tube", session_id, dial=dial))
    crank_to(live, "tube")
    return live


def _drops(live: Live, *needles: int | None) -> None:
    for needle in needles:
        drive(live, rows(1), Observed("dropped", needle))


# --- needles ---------------------------------------------------------------------------------------------------


def test_a_needle_that_keeps_dropping_over_several_evenings(book: Logbook) -> None:
    first = _tube(book, "20231114-one")
    _drops(first, 23, 5, 23, None)
    second = _tube(book, "20231115-two")
    _drops(second, 51, 23, 40, 12, 9)
    drive(second, Observed("dropped"), Amended(second.state.last_seq + 1, needle=23))
    drive(second, Observed("dropped", 7), Struck(second.state.last_seq + 1))  # not a drop after all
    drive(second, Observed("knot", 3), Observed("tuck", 50))
    (bed,) = beds(book.store)
    assert (bed.slots, bed.sessions) == (60, 2)
    dropped, tuck = faults_by_needle(book.store, bed)
    assert (dropped.fault, dropped.of, dropped.unplaced) == ("dropped", 9, 1)
    assert dropped.counts[0] == (23, 4)
    (suspect,) = dropped.suspects
    assert (suspect.needle, suspect.hits, suspect.of) == (23, 4, 9)
    # three kinds of fault times 60 needles are looked at; scipy's own tail for one of them
    assert suspect.odds == pytest.approx(3 * 60 * float(stats.binom.sf(3, 9, 1 / 60)))
    assert tuck.suspects == ()


def test_only_the_newest_faults_count(book: Logbook) -> None:
    live = _tube(book, "20231114-one")
    _drops(live, 23, 23, 23)
    _drops(live, *range(1, 11), *range(31, 41))  # the latch was changed: twenty others since
    (dropped,) = faults_by_needle(book.store, beds(book.store)[0])
    assert dropped.of == 20
    assert dropped.suspects == ()


def test_a_needle_no_cylinder_has_is_left_out(book: Logbook) -> None:
    live = _tube(book, "20231114-one")
    _drops(live, 5)
    book.store.db.execute("UPDATE seen SET needle = 500")
    (dropped,) = faults_by_needle(book.store, beds(book.store)[0])
    assert (dropped.of, dropped.suspects) == (0, ())


def test_a_machine_without_faults(book: Logbook) -> None:
    _tube(book, "20231114-one")
    assert faults_by_needle(book.store, beds(book.store)[0]) == []


# --- yarn ------------------------------------------------------------------------------------------------------


def _washed(book: Logbook, session_id: str, lengths: tuple[float, ...], *, dial: int = 30) -> None:
    live = _tube(book, session_id, dial=dial)
    crank_to(live, "before-wash")
    drive(live, ReadOff("raw-length", 76.0), Confirmed())
    crank_to(live, "after-wash")
    measure_tube(live, lengths[0])
    for length in lengths[1:]:
        drive(live, ReadOff("length", length))
    drive(live, ReadOff("on-foot", 1), Confirmed())


def test_a_card_gathers_what_a_yarn_did(book: Logbook) -> None:
    book.keep(yarn())
    search = book.start(record("search", "20231113-find"))
    crank_to(search, "trial")
    drive(search, rows(1), Judged("drop", 26), rows(1), Judged("stay", 24))
    _washed(book, "20231114-one", (71.0, 71.2, 70.8), dial=28)
    sock = book.start(record("sock", "20231201-sock", dial=28, steps=sock_plan_steps()))
    crank_to(sock, "try-on")
    drive(sock, ReadOff("fit", 1), ReadOff("fit-length", 2), ReadOff("mass", 38.0))
    assert [one.id for one in yarns_cranked(book)] == ["yarn-grey"]
    card = yarn_card(book, yarn())
    (on,) = card.cylinders
    (at,) = on.in_order()
    assert (at.dial, at.bases[0].session, at.bases[0].proven) == (28, "20231113-find", False)
    (tube,) = at.tubes
    assert tube.length_change == pytest.approx((71.0 - 76.0) / 76.0 * 100)
    assert (tube.on_foot, tube.width_change) == ("right", None)
    assert tube.rows().value == pytest.approx(tube.gauge.rows_per_mm.nominal_value)
    assert tube.rows().error == pytest.approx(tube.gauge.rows_per_mm.std_dev)
    assert tube.stitches().value == pytest.approx(tube.gauge.stitches_per_mm.nominal_value)
    assert tube.stitches().error == pytest.approx(tube.gauge.stitches_per_mm.std_dev)
    (made,) = at.socks
    assert (made.mass_g, made.verdict) == (38.0, "round right, length too long")
    (course,) = card.courses
    assert [tube.session for tube in course.tubes] == ["20231114-one"]
    assert (card.many, card.shown, card.older) == (3, 3, ())


def test_a_card_lists_the_socks_of_a_string_one_by_one(book: Logbook) -> None:
    book.keep(yarn())
    socks = (StringSock(plan=plan(grams_per_pair=80.0), wearer=WEARER), StringSock(plan=plan()))
    start = record("tube", dial=28, steps=string_of(2)).model_dump() | {"kind": "string", "socks": socks}
    live = book.start(SessionRecord.model_validate(start))
    crank_to(live, "s1-try-on")
    drive(live, ReadOff("s1-fit", 1), ReadOff("s1-mass", 38.0), Confirmed(), ReadOff("s2-fit", 2))
    ((at,),) = (on.in_order() for on in yarn_card(book, yarn()).cylinders)
    told = [(one.title, one.wearer, one.mass_g, one.planned_g, one.verdict) for one in at.socks]
    assert told == [
        ("A tube, sock 1", WEARER.name, 38.0, 40.0, "round right"),
        ("A tube, sock 2", "", None, None, "round tight"),
    ]


def test_a_session_that_cannot_be_read_is_named_on_the_card(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    _washed(book, "20231114-one", (71.0,))

    def torn(_: object) -> object:
        raise LogbookError("Its start cannot be read.")

    monkeypatch.setattr(book, "record", torn)
    card = yarn_card(book, Yarn(id="yarn-grey", name="Grey"))
    assert card.cylinders == []
    assert card.unread == ["20231114-one: Its start cannot be read."]


def test_as_data_a_card_reads_no_tube_that_its_gauge_tells_of(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    _washed(book, "20231114-one", (71.0,))
    begun = book.start(record("search", "20231115-look"))
    yarn = Yarn(id="yarn-grey", name="Grey")
    whole = yarn_facts(yarn_card(book, yarn))
    read = []

    def folded(head: Head, entries: Iterable[Entry]) -> State:
        read.append(head.id)
        return fold(head, entries)

    monkeypatch.setattr("hosewright.logbook.find.yarns.fold", folded)
    assert yarn_facts(yarn_card(book, yarn, tubes_alone=False)) == whole
    assert read == [begun.record.id]


def test_a_tube_not_washed_yet_is_shown_as_it_came_off_and_held_against_none(book: Logbook) -> None:
    book.keep(yarn())
    live = _tube(book, "20231114-raw")
    crank_to(live, "before-wash")
    drive(live, ReadOff("raw-length", 76.0), ReadOff("raw-width", 90.0), Confirmed())
    card = yarn_card(book, yarn())
    assert card.courses == []
    ((at,),) = (on.in_order() for on in card.cylinders)
    (tube,) = at.tubes
    assert (tube.washed, tube.gauge.state) == (False, "dry")
    assert tube.rows().value == pytest.approx(30 / 76.0)
    assert "- Unwashed tube of 14 Nov 2023: 10.03 ±" in yarn_page(card)
