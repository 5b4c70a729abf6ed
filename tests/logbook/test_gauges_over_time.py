"""A yarn's gauge over years: by machine and cylinder, what changed and when, what holds now; truth built in."""

from __future__ import annotations

import re
from datetime import date
from random import Random
from typing import TYPE_CHECKING

import pytest

from hosewright.craft import CraftError
from hosewright.craft.dial import Dial
from hosewright.craft.measured import error, nominal
from hosewright.craft.units import MM_PER_INCH
from hosewright.logbook.find.gauges import (
    Course,
    Place,
    Tube,
    course_of,
    newest_against_others,
    pooled,
    spread_of,
    tubes_of,
)
from hosewright.logbook.find.yarns import yarn_card
from hosewright.logbook.records.shelf import Noted
from hosewright.logbook.ways import prepare, take_in
from hosewright.phrases.times import DAY_MS
from hosewright.planning.gauges import TOGETHER, PlanShelf, gauge_words
from hosewright.planning.plan_lines import days_between
from hosewright.planning.sock import to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.words.gauges import course_lines, shift_words, yarn_facts
from tests.helpers import START_MS, cylinder, machine, past_tube, yarn

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook

DIAL = Dial(1.25, 4)
PLACE = Place("yarn-grey", "bench-machine", "cylinder-60", 60)
OTHER = machine().model_copy(update={"id": "other-machine", "name": "Other machine"})
LOOP_A_CLICK = 0.5  # mm


def _rows_at(rows_per_in: float, clicks: int) -> float:
    """Rows per inch so many clicks below 26, the loop growing by the click."""
    return 5.5 * MM_PER_INCH / (5.5 * MM_PER_INCH / rows_per_in + LOOP_A_CLICK * (clicks - 26))


def _tubes(rows: list[tuple[float, int]], seed: int = 1) -> list[Tube]:
    """One a week, with rows per inch at 26 clicks and the dial; each departs by 0.05 and is read to 0.05."""
    chance = Random(seed)
    found = []
    for week, (rate, dial) in enumerate(rows):
        seen = _rows_at(rate + chance.gauss(0, 0.05) + chance.gauss(0, 0.05), dial) / MM_PER_INCH
        at = START_MS + 7 * week * DAY_MS
        found.append(Tube(f"tube-{week}", PLACE, at, 0, dial, seen, 0.05 / MM_PER_INCH, 0.32, 0.002))
    return found


def _course(rows: list[tuple[float, int]], seed: int = 1) -> Course:
    return course_of(_tubes(rows, seed), DIAL)


def test_a_yarn_that_loosened_is_dated_and_sized_at_the_newest_dial() -> None:
    dials = [26, 28, 26, 30] * 8
    course = _course([(10.3 if n < 18 else 9.95, dial) for n, dial in enumerate(dials)])
    (shift,) = course.shifts
    assert (shift.not_before.session, shift.not_after.session) <= ("tube-17", "tube-18")
    assert abs(int(shift.first.session[5:]) - 18) <= 1
    wanted = _rows_at(9.95, 30) - _rows_at(10.3, 30)
    assert abs(nominal(shift.by) * MM_PER_INCH - wanted) < 2.5 * error(shift.by) * MM_PER_INCH
    assert shift.after * MM_PER_INCH == pytest.approx(_rows_at(9.95, 30), abs=0.06)
    assert {tube.dial for tube in course.alike} == {30}
    assert all(int(tube.session[5:]) >= 18 for tube in course.alike)
    rows, _ = pooled(course.alike, spread_of([course]))
    assert abs(rows.value * MM_PER_INCH - _rows_at(9.95, 30)) < 3 * rows.error * MM_PER_INCH
    assert "fewer**, from " in shift_words(shift)


def test_the_ranges_hold_the_truth_as_often_as_they_say() -> None:
    held = 0
    for seed in range(200):
        course = _course([(10.3 if n < 12 else 9.9, 26) for n in range(24)], seed)
        rows, _ = pooled(course.alike, spread_of([course]))
        held += abs(rows.value * MM_PER_INCH - 9.9) <= rows.reach * MM_PER_INCH
    assert 184 <= held <= 197


def test_a_steady_yarn_has_not_changed_and_few_tubes_do_not_tell() -> None:
    steady = _course([(10.3, 26)] * 12)
    assert steady.shifts == ()
    assert steady.since == steady.tubes
    assert steady.drift is not None
    assert "- No change in 12 tubes" in "\n".join(f"- {line}" for line in course_lines(steady, spread_of([steady]), 4))
    few = _course([(10.3, 26), (10.3, 28), (9.9, 26)])
    assert (few.shifts, few.looks, few.drift) == ((), 0, None)
    spread = spread_of([few])
    how = newest_against_others(few, spread)
    assert how is not None
    assert nominal(how) * MM_PER_INCH == pytest.approx(-0.4, abs=0.3)
    assert error(how) > 0.014 * nominal(few.tubes[-1].rows)  # two tubes differ by themselves, as is assumed
    said = course_lines(few, spread, 4)[-1]
    assert said.startswith("3 tubes are too few to tell whether it changed, 6 can: the newest has 0.")
    assert said.endswith("rows per in fewer than the one before at this dial position.")
    assert course_lines(_course([(10.3, 26), (9.9, 26)]), spread, 4)[-1].endswith("fewer than the one before.")
    other = _course([(10.3, 26), (9.9, 28)])
    assert newest_against_others(other, spread) is None
    assert course_lines(other, spread, 4)[-1].endswith("6 can: the newest is the only one at its dial position.")
    assert len(course_lines(_course([(10.3, 26)]), spread, 4)) == 1


def test_a_slow_drift_leaves_the_limits() -> None:
    climbing = course_of(_tubes([(10.0 + 0.012 * n, 26) for n in range(20)], seed=11), DIAL)
    assert climbing.shifts == ()
    first = climbing.drifts_from()
    assert first is not None
    *_, drifts, tested = course_lines(climbing, spread_of([climbing]), 4)
    assert f"It drifts: on {first.when}" in drifts
    assert tested.startswith("How this was tested: ")
    assert tested.endswith("; EWMA chart.")


# --- from the logbook ------------------------------------------------------------------------------------------------


def _fill(book: Logbook) -> None:
    """Two machines: one always 0.3 rows looser, the yarn on the other loosening in the sixth month."""
    chance = Random(8)
    every = []
    for n in range(24):
        at = START_MS + 14 * n * DAY_MS
        rate = (10.3 if n < 12 else 9.95) + chance.gauss(0, 0.03)
        every.append(past_tube(f"20231114-one-{n:02d}", at, rate))
        every.append(past_tube(f"20231114-two-{n:02d}", at + DAY_MS, 10.0 + chance.gauss(0, 0.03), on=OTHER))
    take_in(book.store, [prepare(*one) for one in every])


def test_two_machines_are_two_gauges_and_only_one_changed(book: Logbook) -> None:
    _fill(book)
    facts = yarn_facts(yarn_card(book, yarn()))
    (change,) = facts["changes"]
    assert (change["machine"], change["slots"], change["dial"]) == ("Bench machine", 60, 26)
    assert "2024-04-16" <= change["day"] <= "2024-05-14"  # the twelfth fortnight ends on 30 April
    assert change["rows_per_in_before"] == pytest.approx(10.3, abs=0.03)
    assert change["rows_per_in_after"] == pytest.approx(9.95, abs=0.03)
    assert change["p"] < 0.001
    held = {one["machine"]: one for one in facts["gauges"]}
    assert held["Other machine"]["rows_per_in"] == pytest.approx(10.0, abs=0.03)
    assert len(held["Other machine"]["tubes"]) == 24
    assert len(held["Bench machine"]["tubes"]) == pytest.approx(12, abs=1)
    assert len(facts["tubes"]) == 48


def test_a_tube_counts_where_it_was_cranked_not_where_it_was_measured(book: Logbook) -> None:
    late = past_tube("20231114-early", START_MS, 10.3)
    late[1][-1] = late[1][-1]._replace(at_ms=START_MS + 90 * DAY_MS)
    take_in(book.store, [prepare(*late), prepare(*past_tube("20231214-late", START_MS + 30 * DAY_MS, 10.2))])
    ((_, tubes),) = tubes_of(book).items()
    assert [tube.session for tube in tubes] == ["20231114-early", "20231214-late"]


def test_the_knitters_own_tape_takes_the_usual_ones_place(book: Logbook) -> None:
    take_in(book.store, [prepare(*past_tube("20231114-one", START_MS, 10.0))])
    (usual,), (fine,) = (next(iter(tubes_of(book, tape).values())) for tape in (1.0, 0.5))
    assert fine.rows_error == pytest.approx(usual.rows_error / 2)
    assert fine.stitches_error == pytest.approx(usual.stitches_error / 2)


def test_a_notebooks_gauge_is_one_of_them_where_its_dial_is_known(book: Logbook) -> None:
    book.keep(machine(), cylinder(), yarn())
    on = {"machine": "bench-machine", "cylinder": "cylinder-60", "yarn": "yarn-grey", "slots": 60}
    rates = {"rows_per_mm": 0.4, "rows_per_mm_error": 0.01, "stitches_per_mm": 0.32, "stitches_per_mm_error": 0.01}
    for name, dial in (("old-one", "26 clicks"), ("old-two", "")):
        book.keep(Noted.model_validate({"id": name, "day": "2021-05", "dial": dial} | on | rates))
    take_in(book.store, [prepare(*past_tube("20231114-one", START_MS, 10.0))])
    ((_, tubes),) = tubes_of(book, 0.5, "yarn-grey").items()
    assert [tube.session for tube in tubes] == ["old-one", "20231114-one"]
    assert tubes[0].rows_error == 0.01  # its error is assumed, no tape's
    assert "notebook" in tubes[0].when


def test_a_card_shows_the_newest_and_sums_up_the_rest_by_year(book: Logbook) -> None:
    _fill(book)
    card = yarn_card(book, yarn(), newest=10)
    assert (card.many, card.shown) == (48, 10)
    shown = [tube for on in card.cylinders for at in on.in_order() for tube in at.tubes]
    assert len(shown) == 10
    assert [(year.year, year.sessions, year.tubes) for year in card.older] == [(2024, 30, 30), (2023, 8, 8)]
    assert len(yarn_card(book, yarn(), newest=10).courses[0].tubes) == 24


# --- what a plan takes -----------------------------------------------------------------------------------------------


def _shelf(book: Logbook) -> PlanShelf:
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    return shelf


def test_a_plan_takes_the_mean_of_the_tubes_since_the_change_and_can_leave_each_out(book: Logbook) -> None:
    _fill(book)
    shelf = _shelf(book)
    name = shelf.first("20231114-one-23")
    assert name == f"{TOGETHER}20231114-one-23"
    knit = shelf.knit(name)
    assert knit is not None
    assert len(knit.pool) == len(knit.since) == pytest.approx(12, abs=1)
    assert nominal(knit.rates[0]) * MM_PER_INCH == pytest.approx(9.95, abs=0.03)
    assert knit.fabric.tubes_measured == len(knit.pool)
    assert error(knit.rates[0]) < knit.since[-1].rows_error / 3
    assert re.fullmatch(
        r"Grey / 60 slots, Bench machine / 9.9\d rows/in, 1[123] tubes since \d+ \w+ 2024", gauge_words(knit, "in")
    )
    lines = shelf.tube_lines(name, (), "in")
    assert lines[0] == f"The gauge is the mean of {len(knit.pool)} tubes:"
    assert lines[-1].startswith("No older ones: the gauge changed between ")
    gone = shelf.left_out(name, "1, 3")
    assert gone == {knit.pool[-1].session, knit.pool[-3].session}
    fewer = shelf.knit(name, gone)
    assert fewer is not None
    assert (fewer.gauge.session, len(fewer.pool), len(fewer.since)) == (
        knit.pool[-2].session,
        len(knit.pool) - 2,
        len(knit.since) - 2,
    )
    assert sum("left out" in line for line in shelf.tube_lines(name, gone, "in")) == 2
    with pytest.raises(CraftError, match="type numbers from 1 to"):
        shelf.left_out(name, "40")
    with pytest.raises(CraftError, match="Leave at least one tube in"):
        shelf.left_out(name, " ".join(str(n) for n in range(1, len(knit.pool) + 1)))


def test_the_newest_tube_alone_stays_a_choice_and_older_ones_keep_to_their_own_stretch(book: Logbook) -> None:
    _fill(book)
    shelf = _shelf(book)
    alone = shelf.knit("20231114-one-23")
    assert alone is not None
    assert (alone.pool, alone.fabric.tubes_measured) == ((), 1)
    assert shelf.tube_lines("20231114-one-23", (), "in") == []
    assert shelf.left_out("20231114-one-23", "7") == frozenset()
    old = shelf.knit("20231114-one-02")
    assert old is not None
    assert old.shift is None
    assert old.since[-1].session < "20231114-one-14"
    assert shelf.first("20231114-one-02") == "20231114-one-02"
    assert shelf.first("gone") in shelf.gauges


def test_a_plan_keeps_which_tubes_it_is_made_from(book: Logbook) -> None:
    _fill(book)
    shelf = _shelf(book)
    knit = shelf.knit(shelf.first("20231114-two-23"))
    typed = Typed(tube="150 mm", leg="4 in")
    plan = to_plan("a-plan", typed, knit, None, work_out(typed, knit, None)) if knit else None
    assert plan is not None
    assert plan.gauge_session == "20231114-two-23"
    assert set(plan.made_from) == {f"20231114-two-{n:02d}" for n in range(24)}
    assert plan.rows_per_mm * MM_PER_INCH == pytest.approx(10.0, abs=0.03)


def test_the_response_can_be_narrowed_by_days_but_not_across_a_change(book: Logbook) -> None:
    _fill(book)
    knit = _shelf(book).knit("20231114-one-23")
    assert knit is not None
    field = days_between(date(2026, 11, 27))
    assert knit.of_days(None) is knit
    before = knit.of_days(field.read("2023 to Feb 2024"))
    assert [tube.session for tube in before.since] == [f"20231114-one-{n:02d}" for n in range(8)]
    assert {reading.clicks for reading in before.fabric.tubes} == {26}
    with pytest.raises(CraftError, match=r"The gauge changed between .* no answer lies between"):
        knit.of_days(field.read("2023 to 2024"))
    with pytest.raises(CraftError, match="No tube of this yarn"):
        knit.of_days(field.read("2019"))
    with pytest.raises(CraftError, match="type the earlier one first"):
        field.read("2024 to 2023")
