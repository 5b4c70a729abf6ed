"""From kept plans back to steps, what worn socks said, and files written before either was known."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.craft import CraftError
from hosewright.craft.correction import learn
from hosewright.craft.measured import nominal
from hosewright.logbook.find.evidence import measured_tube, worn_by
from hosewright.logbook.records import planned
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Machine, Plan, PlannedCuff, PlannedPart, Wearer
from hosewright.logbook.travel.session_files import read
from hosewright.places import shipped_folder
from hosewright.planning import starting
from hosewright.session.events import Confirmed, ReadOff
from hosewright.session.steps import CountPasses, CountRows
from tests.helpers import crank_to, cylinder, drive, machine, measure_tube, record, yarn

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook

WEARER = Wearer(id="pilot", name="The pilot", foot_length_mm=270, girth_mm=245)


def plan(**changes: Any) -> Plan:
    told: dict[str, Any] = {
        "id": "a-plan",
        "name": "A plan",
        "machine": "bench-machine",
        "cylinder": "cylinder-60",
        "yarn": "yarn-grey",
        "slots": 60,
        "dial": 26,
        "rows_per_mm": 0.42,
        "stitches_per_mm": 0.32,
        "heel_left_in_work": 10,
        "toe_left_in_work": 10,
        "parts": (
            PlannedPart(name="leg", kind="rows", count=20, stitches=1200),
            PlannedPart(name="heel", kind="passes", count=40, stitches=800),
            PlannedPart(name="foot", kind="rows", count=22, stitches=1320),
            PlannedPart(name="toe", kind="passes", count=40, stitches=800),
        ),
        "foot_rows": 22,
        "metres_per_pair": 200.0,
    }
    return Plan.model_validate(told | changes)


def sock(book: Logbook, session_id: str, fit: dict[str, float], made_to: Plan | None = None) -> None:
    """A sock for the pilot, cranked, tried on, and judged."""
    made_to = made_to or plan()
    steps = planned.steps(made_to, planned.sections(made_to))
    begun = record("sock", session_id, steps=steps)
    live = book.start(begun.model_copy(update={"wearer": WEARER, "plan": made_to}))
    crank_to(live, "try-on")
    drive(live, *(ReadOff(field, value) for field, value in fit.items()))
    drive(live, Confirmed())


# --- plans ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kept", "out"),
    [
        (PlannedCuff(kind="hem", rows=16, hung=True), 0),
        (PlannedCuff(kind="picot", rows=16, hung=True), 0),
        (PlannedCuff(kind="mock rib", rows=16, pattern="3x1", hung=True), 15),
        (PlannedCuff(kind="mock rib", rows=15, pattern="5x1"), 10),
        (PlannedCuff(kind="ribber", rows=20, pattern="1x1"), 30),
        (PlannedCuff(kind="rolled", rows=9), 0),
    ],
)
def test_a_kept_cuff_is_the_cuff_planned(kept: PlannedCuff, out: int) -> None:
    cuff = planned.cuff(plan(cuff=kept))
    assert cuff is not None
    assert (cuff.kind, cuff.rows, cuff.hung, len(cuff.out_of_work)) == (kept.kind, kept.rows, kept.hung, out)


def test_a_cuff_that_cannot_be_knitted_says_why() -> None:
    with pytest.raises(CraftError, match="even"):
        planned.cuff(plan(cuff=PlannedCuff(kind="picot", rows=15, hung=True)))


def test_extra_passes_are_the_heels_alone() -> None:
    heel, toe = planned.turnings(plan(extra_heel_passes=8))
    assert (heel.count, toe.count) == (48, 40)


def test_a_plan_kept_before_there_were_cuffs_still_reads() -> None:
    old = plan().model_dump()
    for name in ("cuff", "extra_heel_rows", "extra_heel_passes", "dial_changes", "learnt_length_mm", "learnt_round_mm"):
        del old[name]
    assert Plan.model_validate(old) == plan()


def test_session_files_of_before_still_import(book: Logbook, tmp_path: Path) -> None:
    path = shipped_folder("sample_sessions") / "03-coxswain-first-sock.json"
    told = json.loads(path.read_text(encoding="utf-8"))
    session = told["session"]
    new_in_plan = set(Plan.model_fields) - set(OLD_PLAN)
    new_in_wearer = set(Wearer.model_fields) - set(OLD_WEARER)
    assert new_in_plan
    assert new_in_wearer
    for name in new_in_plan:
        session["plan"].pop(name, None)
    for name in new_in_wearer:
        session["wearer"].pop(name, None)
    for step in session["steps"]:  # the try-on did not ask by how much
        if step["id"] == "try-on":
            step["fields"] = [field for field in step["fields"] if not field["id"].endswith("-by")]
    old = tmp_path / "old.json"
    old.write_text(json.dumps(told), encoding="utf-8")
    found = read(old)
    assert book.take_in(found.session, found.entries())
    assert book.record(book.lines()[0]).plan == SessionRecord.model_validate(session).plan
    assert len(worn_by(book, "coxswain").verdicts) == 1


OLD_PLAN = (
    "id", "name", "machine", "cylinder", "yarn", "wearer", "gauge_session", "slots", "dial", "rows_per_mm",
    "stitches_per_mm", "tube_length_mm", "foot_length_mm", "length_ease_mm", "leg_mm", "hem_rows", "heel_left_in_work",
    "toe_left_in_work", "lowering", "plain_passes", "parts", "foot_rows", "foot_rows_error", "metres_per_pair",
    "grams_per_pair", "retired",
)  # fmt: skip
OLD_WEARER = (
    "id", "name", "foot_length_mm", "girth_mm", "heel_ankle_mm", "fitting_tube_mm", "shoe_size", "caution", "note",
    "retired",
)  # fmt: skip


# --- worn socks -------------------------------------------------------------------------------------------------


def test_what_a_wearer_said_is_learnt(book: Logbook) -> None:
    sock(book, "20231114-one", {"fit": 1, "fit-length": 0, "fit-length-by": 8.0})
    sock(book, "20231115-two", {"fit": 2, "fit-by": 10.0, "fit-length": 0})
    worn = worn_by(book, WEARER.id)
    first, second = worn.verdicts
    assert (first.length, first.length_mm, first.round) == ("too short", 8.0, "right")
    assert (second.length, second.length_mm, second.round, second.round_mm) == ("too short", None, "tight", 10.0)
    learnt = learn(worn.verdicts)
    assert nominal(learnt.length_mm) > 0
    assert nominal(learnt.round_mm) > 0
    assert worn_by(book, "someone-else").verdicts == ()


def test_a_sock_planned_with_a_correction_says_so_to_the_next(book: Logbook) -> None:
    sock(book, "20231114-one", {"fit-length": 1}, plan(learnt_length_mm=5.0, learnt_round_mm=-2.0))
    (verdict,) = worn_by(book, WEARER.id).verdicts
    assert (verdict.planned_length_mm, verdict.planned_round_mm) == (5.0, -2.0)


@pytest.mark.parametrize(
    ("said", "noted"),
    [
        ({"fit-length": 1, "fit-length-by": 8.0}, "though right was said"),
        ({"fit-length": 2, "fit-length-by": 120.0}, "more than a worn sock can be"),
        ({"fit-length": 2, "fit-by": 8.0}, "though nothing was said"),
    ],
)
def test_an_amount_that_cannot_be_is_left_out_and_said(book: Logbook, said: dict[str, float], noted: str) -> None:
    sock(book, "20231114-one", said)
    worn = worn_by(book, WEARER.id)
    (verdict,) = worn.verdicts
    assert verdict.length_mm is None
    assert verdict.round_mm is None
    assert noted in worn.notes[0]


def test_a_sock_nobody_judged_teaches_nothing(book: Logbook) -> None:
    sock(book, "20231114-one", {})
    assert worn_by(book, WEARER.id).verdicts == ()


# --- tubes ------------------------------------------------------------------------------------------------------


def test_a_tube_with_its_readings(book: Logbook) -> None:
    live = book.start(record("tube", "20231114-tube"))
    crank_to(live, "before-wash")
    drive(live, ReadOff("raw-length", 300.0), Confirmed())
    crank_to(live, "after-wash")
    measure_tube(live)
    drive(live, ReadOff("stretched", 170.0), ReadOff("stretched", 172.0), Confirmed())
    tube = measured_tube(book, "20231114-tube")
    assert tube is not None
    assert tube.stretched_width_mm == pytest.approx(171)
    assert tube.gauge.lengths.values_mm == (71.0,)
    assert any("300" in doubt or "wash" in doubt for doubt in tube.doubts)  # -62 % is no relaxation
    assert measured_tube(book, "20231114-none") is None


def test_an_unmeasured_tube_is_none(book: Logbook) -> None:
    book.keep(machine())
    book.keep(cylinder())
    book.keep(yarn())
    book.start(record("tube", "20231114-tube"))
    assert measured_tube(book, "20231114-tube") is None


def test_a_sock_is_turned_from_the_end_where_the_machine_s_carrier_comes_in(book: Logbook) -> None:
    kept = {"thread_pitch_mm": 1.27, "clicks_per_turn": 4, "starting_dial": 26, "weights": "the old ones"}
    old = Machine.model_validate({"id": "old-one", "name": "Old one"} | kept)
    assert old.model_dump(include=set(kept)) == kept  # what it was kept with, though nothing is filled in any more
    assert (old.heel_half, old.carrier_turns, old.carrier_in) == ("", "", "left")
    other = machine().model_copy(update={"heel_half": "away from you", "carrier_turns": "anticlockwise"})
    for item in (other, cylinder(), yarn()):
        book.keep(item)
    live = book.start(starting.first_sock(book, plan(), 8))
    carriers = {step.id: step.carrier for step in live.state.head.steps if isinstance(step, CountPasses)}
    assert carriers == {"heel": "right", "toe": "right"}


def test_a_twin_has_the_split_rows_of_its_first_sock_again(book: Logbook) -> None:
    for item in (machine(), cylinder(), yarn()):
        book.keep(item)
    split = plan(part_row=20)
    first = book.start(starting.first_sock(book, split, 8))
    crank_to(first, "graft")
    foot = next(step for step in first.state.head.steps if step.id == "foot")
    assert isinstance(foot, CountRows)
    assert foot.target == first.state.count_of("foot") == 20
    found = starting.firsts(book, split)
    assert [(part.name, part.count) for part in planned.sections(split, found[0].state)] == [
        (part.name, part.count) for part in split.parts
    ]
    twin = starting.twin(book, found[0], 8)
    assert [step.id for step in twin.steps] == [step.id for step in first.state.head.steps]
    assert [step for step in twin.steps if step.id == "foot"] == [foot]


def test_a_plan_that_says_so_has_its_heel_and_toe_reinforced() -> None:
    old = plan().model_dump()
    del old["reinforced"]
    before, after = Plan.model_validate(old), plan(reinforced=True)
    assert before == plan()
    ids = [[step.id for step in planned.steps(made_to, planned.sections(made_to))] for made_to in (before, after)]
    assert not [name for name in ids[0] if "reinforce" in name]
    assert [name for name in ids[1] if name not in ids[0]] == [
        "heel-reinforce",
        "heel-reinforced",
        "toe-reinforce",
        "toe-reinforced",
    ]
