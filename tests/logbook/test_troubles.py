"""When it knits badly: simulated faults lead to the right check, sound machines to none; what helped is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.accounts.care import Bed
from hosewright.logbook.accounts.troubles import advise, gathered
from hosewright.session.troubles import SYMPTOMS
from tests import faulty

if TYPE_CHECKING:
    from hosewright.logbook.accounts.troubles import Past

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
