"""When it knits badly: simulated faults lead to the right check, sound machines to none; what helped is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.accounts.care import Bed, Change
from hosewright.logbook.accounts.troubles import advise, gathered, refused
from hosewright.logbook.records.year import Care, Tried
from hosewright.session import troubles
from hosewright.session.events import DialMoved, Event, Observed, Pressed, Spoilt, Undone
from hosewright.session.troubles import CHECKS, SYMPTOMS, in_order
from tests import faulty, helpers

if TYPE_CHECKING:
    from hosewright.logbook.accounts.troubles import Past

DAY = 86_400_000
BED = Bed("attic", "The attic machine", "c64", "Sixty-four", 64, 1)


def cranked(*chances: object, seed: int, knot_at: int = 0) -> Past:
    return gathered(BED, [faulty.sock(*chances, seed=seed, knot_at=knot_at)])  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fault", "symptom", "right", "knot_at"),
    [
        (faulty.bad_latch, "dropped", ("needle",), 0),
        (faulty.dirty_slots, "tuck", ("slots",), 0),
        (faulty.light_weights, "ride-up", ("weights",), 0),
        (faulty.splitty_ball, "split", ("ball",), 40),
        (faulty.heel_ends, "dropped", ("edge-needle", "heel-weight"), 0),
    ],
)
def test_a_fault_leads_to_its_check(fault: object, symptom: str, right: tuple[str, ...], knot_at: int) -> None:
    found = 0
    for seed in range(40):
        past = cranked(faulty.background, fault, seed=seed, knot_at=knot_at)
        assert past.rounds + 40 == 200
        told = advise(past, past.likeliest(), [], 0)
        first = [check.id for check in told.checks[:3]]
        found += told.symptom.id == symptom and any(one in first for one in right)
    assert found >= 36, found


def test_even_faults_name_none() -> None:
    named = 0
    for seed in range(100):
        told = advise(cranked(faulty.even_faults, seed=seed, knot_at=40), SYMPTOMS["dropped"], [], 0)
        named += bool(told.lay.lies)
        assert told.lay.lies or [check.id for check in told.checks[:3]] == ["yarn-path", "weights", "needle"]
    assert named <= 5, named


def test_what_was_cranked_of_a_spoilt_sock_counts_and_its_faults_have_a_place() -> None:
    record = helpers.record("string")
    leg = next(step for step in record.steps if step.id == "s1-leg")
    events = helpers.to_step(record.head, leg.id)
    spoilt: list[Event] = [*events, Pressed(), Pressed(), Observed("dropped", 3), Spoilt("a ladder"), Pressed()]
    past = gathered(Bed("a", "A", "c", "C", 60, 1), [(record, helpers.entries(spoilt))])
    (seen,) = past.seen
    before = gathered(Bed("a", "A", "c", "C", 60, 1), [(record, helpers.entries(events))])
    assert past.rounds == before.rounds + 2
    assert (seen.placed.needle, seen.placed.round) == (3, before.rounds + 1)


def test_what_changed_between_sessions_and_within_them_is_a_moment() -> None:
    first, second = helpers.record("tube", "20231114-one"), helpers.record("tube", "20231114-two", dial=30)
    events = [*helpers.to_step(first.head, "tube"), *helpers.rows(20)]
    turned = [*events, DialMoved(24), *helpers.rows(3), DialMoved(22), Undone(), Observed("knot")]
    past = gathered(
        Bed("a", "A", "c", "C", 60, 2),
        [(first, helpers.entries(turned)), (second, helpers.entries(events))],
        [Care(id="oil", machine="bench-machine", at_ms=helpers.START_MS + 2000, what="oiled")],
    )
    assert [(one.what, one.knitted) for one in past.moments] == [
        ("oil", 0),
        ("dial", 28 * 60),
        ("knot", 31 * 60),
        ("dial", 31 * 60),
    ]
    assert past.rounds == 31 + 28


def test_faults_of_a_needle_since_changed_count_against_no_needle() -> None:
    record = helpers.record("tube")
    events = [*helpers.to_step(record.head, "tube")]
    for _ in range(4):
        events += [*helpers.rows(5), Observed("dropped", 17)]
    bed, entries = Bed("a", "A", "c", "C", 60, 1), helpers.entries(events)
    past = gathered(bed, [(record, entries)])
    assert [lie.needles for lie in past.lay(SYMPTOMS["dropped"]).lies] == [(17,)]
    changed = gathered(bed, [(record, entries)], (), {17: Change(17, entries[-1].at_ms + 1, 0, 0)})
    assert changed.lay(SYMPTOMS["dropped"]).lies == ()


def test_the_order_of_checks() -> None:
    usual = [check.id for check in in_order(SYMPTOMS["dropped"])]
    assert usual[:2] == ["yarn-path", "weights"]
    assert usual[-1] == "cams"
    assert [check.id for check in in_order(SYMPTOMS["dropped"], ["needle"])][:3] == ["needle", "move-needle", "slots"]
    assert in_order(SYMPTOMS["split"], ["turned"], "oil")[0].id == "clean-oil"
    helped = [check.id for check in in_order(SYMPTOMS["dropped"], ["needle"], None, {"speed": 2, "cams": 1})]
    assert helped[:3] == ["speed", "cams", "needle"]
    tried = [check.id for check in in_order(SYMPTOMS["dropped"], ["needle"], None, {}, {"needle", "weights"})]
    assert tried[0] == "move-needle"
    assert set(tried[-2:]) == {"needle", "weights"}


def test_the_catalogue_holds_together() -> None:
    named = {check for symptom in SYMPTOMS.values() for check in symptom.checks}
    named |= {check for lies in troubles._BY_LIE.values() for check in lies}
    named |= {check for since in troubles._BY_MOMENT.values() for check in since}
    assert named | {troubles.LAST} == set(CHECKS)
    words = " ".join(part for check in CHECKS.values() for part in (check.why, check.how, check.caution, check.source))
    assert "%" not in words  # no shares
    for check in CHECKS.values():
        assert all((check.title, check.why, check.how, check.caution, check.source)), check.id


def test_what_was_not_it_is_tried_again_after_a_month_or_once_something_helped() -> None:
    def tried(check: str, outcome: str, day: int) -> Tried:
        about = {"id": f"{check}-{day}", "machine": "a1", "cylinder": "c1", "symptom": "dropped", "check": check}
        return Tried.model_validate(about | {"at_ms": day * DAY, "outcome": outcome})

    done = [tried("needle", "not", 100), tried("weights", "not", 99), tried("speed", "helped", 90)]
    done += [tried("slots", "not", 80)]
    assert refused(done, SYMPTOMS["dropped"], 101 * DAY) == {"needle", "weights"}
    assert refused(done, SYMPTOMS["dropped"], 129 * DAY + 1) == {"needle"}
    assert refused(done, SYMPTOMS["tuck"], 101 * DAY) == set()
