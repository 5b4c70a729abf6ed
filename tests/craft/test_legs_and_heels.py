"""Legs by name, and deeper heels: each way changes what it says it changes."""

import math
import re
from typing import Any, Literal

import pytest

from hosewright.craft import CraftError
from hosewright.craft.deeper_heel import deeper_heel
from hosewright.craft.leg import LegName, leg_length
from hosewright.craft.measured import measured
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.turning import Turning, depth_rows

ROWS = 0.42
HEEL_MM = 20 / ROWS


def sock(**more: Any) -> SockPlan:
    told = {"slots": 60, "rows_per_mm": ROWS, "stitches_per_mm": 0.32, "foot_length_mm": 256.0, "leg_mm": 160.0}
    return plan_sock(**(told | more))


@pytest.mark.parametrize("sex", ["men", "women"])
def test_legs_grow_in_the_order_of_their_names(sex: Literal["men", "women"]) -> None:
    names: tuple[LegName, ...] = ("ankle", "crew", "mid-calf", "knee")
    legs = [leg_length(name, HEEL_MM, sex) for name in names]
    assert [leg.mm for leg in legs] == sorted(leg.mm for leg in legs)
    assert [leg.estimated for leg in legs] == [True, False, True, True]
    assert all(("estimate" in leg.words) == leg.estimated for leg in legs)


def test_a_knee_sock_by_estimate_and_by_tape() -> None:
    # ANSUR II public release: of 100 men's kneecaps 5 are lower than 443.1 mm and 5 higher than 536.0; women's 408.0
    # and 493.0. The estimate's own error must take in as many, and a tape's centimetre must move the leg by one.
    for sex, lowest, highest in (("men", 443.1, 536.0), ("women", 408.0, 493.0)):
        guessed = leg_length("knee", HEEL_MM, sex)  # type: ignore[arg-type]
        assert 2 * 1.645 * guessed.value.std_dev == pytest.approx(highest - lowest, rel=0.02)
        taped, higher = (leg_length("knee", HEEL_MM, kneecap_mm=measured(mm, 2.0)) for mm in (470.0, 480.0))
        assert higher.mm - taped.mm == pytest.approx(10.0)
        assert (taped.value.std_dev, taped.estimated) == (2.0, False)
        lower, upper = (leg_length("knee", HEEL_MM, kneecap_mm=mm).mm for mm in (lowest, highest))
        assert lower < guessed.mm < upper
    half = leg_length("mid-calf", HEEL_MM, "women", kneecap_mm=450.0)
    assert half.estimated
    assert leg_length("ankle", HEEL_MM, "women").mm < half.mm < leg_length("knee", HEEL_MM, kneecap_mm=450.0).mm


def test_legs_that_cannot_be_known_say_what_to_do() -> None:
    with pytest.raises(CraftError, match="men or women"):
        leg_length("knee", HEEL_MM)
    with pytest.raises(CraftError, match="already reaches the ankle"):
        leg_length("ankle", 120.0, "women")
    for bad in ("thigh", ""):
        with pytest.raises(CraftError, match="mid-calf"):
            leg_length(bad, HEEL_MM, "men")  # type: ignore[arg-type]
    for height in (0.0, math.nan, 2000.0):
        with pytest.raises(CraftError, match="standing"):
            leg_length("ankle", HEEL_MM, "men", ankle_bone_mm=height)


def test_each_deeper_heel_does_what_it_says_to_the_plan() -> None:
    plain = sock()
    ways = {way.way: way for way in deeper_heel(plain.heel, 60, ROWS, 4)}
    changed = {
        "rows": sock(extra_heel_rows=4),
        "passes": sock(extra_heel_passes=ways["passes"].turning.extra_passes),
        "needles": sock(left_in_work=ways["needles"].turning.left_in_work, toe_left_in_work=10),
    }
    for name, way in ways.items():
        plan = changed[name]
        assert plan.heel == way.turning
        assert depth_rows(plan.heel) == way.depth_rows
        assert plan.foot_rows - plain.foot_rows == way.foot_rows_change
        assert plan.stitches_per_sock - plain.stitches_per_sock == way.stitches_change
        assert way.depth_mm == pytest.approx(way.depth_rows / ROWS)
    assert (ways["passes"].depth_rows, ways["needles"].depth_rows, ways["rows"].depth_rows) == (24, 24, 20)
    assert [s.name for s in changed["rows"].sections] == ["leg", "ankle", "heel", "foot", "toe"]
    assert any("4 rows deeper" in note for note in changed["passes"].notes)


def test_one_row_deeper_is_said_of_one_row() -> None:
    said = [way.words for by in ("foot", "tube") for way in deeper_heel(sock().heel, 60, ROWS, 1, by=by)]
    said += sock(extra_heel_passes=2).notes + sock(extra_heel_rows=1).notes
    assert not any(re.search(r"\b1 rows", words) for words in said)
    assert any("make the heel 1 row deeper" in words and "the foot gets 1 row fewer" in words for words in said)
    assert any("1 row before the heel makes the leg" in words for words in said)


def test_with_a_sock_that_fits_the_foot_stays_and_the_implied_foot_grows() -> None:
    tube = sock().routes[0].tube_mm
    plain, deeper = (sock(tube_length_mm=tube, foot_length_mm=None, extra_heel_passes=n) for n in (0, 8))
    assert deeper.foot_rows == plain.foot_rows
    told = " ".join(deeper.notes)
    assert "8 plain passes before narrowing make the heel 4 rows deeper; the foot keeps the rows of the sock" in told
    assert "planned that much shorter" not in told
    assert "rows fewer" not in told
    implied = [
        re.search(
            r"for a foot of about ([\d.]+) mm",
            " ".join(sock(tube_length_mm=tube, foot_length_mm=None, extra_heel_passes=n, unit="mm").notes),
        )
        for n in (0, 8)
    ]
    assert implied[0] is not None
    assert implied[1] is not None
    assert float(implied[1][1]) - float(implied[0][1]) == pytest.approx(4 / ROWS, abs=1.0)
    for way in deeper_heel(plain.heel, 60, ROWS, 4, by="tube"):
        assert way.foot_rows_change == 0
        assert "rows fewer" not in way.words
        changed = sock(
            tube_length_mm=tube, foot_length_mm=None, left_in_work=way.turning.left_in_work, toe_left_in_work=10,
            extra_heel_passes=way.turning.extra_passes, extra_heel_rows=way.extra_rows,
        )  # fmt: skip
        assert changed.stitches_per_sock - plain.stitches_per_sock == way.stitches_change


@pytest.mark.parametrize("deeper", [{"extra_heel_passes": 12}, {"left_in_work": 4, "toe_left_in_work": 10}])
def test_neither_route_calls_the_other_wrong_for_a_deeper_heel(deeper: dict[str, int]) -> None:
    plain, deep = sock(), sock(**deeper)
    for fits in (plain.routes[0].tube_mm, deep.routes[0].tube_mm):  # a sock with a usual heel, and one with this
        notes = " ".join(sock(tube_length_mm=fits, **deeper).notes)
        assert "tip to tip" not in notes
        assert "once more" not in notes
    wrong = plain.routes[0].tube_mm + 30
    assert "once more" in " ".join(sock(tube_length_mm=wrong, **deeper).notes)


def test_plain_passes_say_that_they_open_a_slit_and_many_are_asked_about() -> None:
    few, many = (" ".join(sock(extra_heel_passes=n).notes) for n in (6, 8))
    assert "6 plain passes open a slit 6 passes high at each corner of the heel" in few
    assert "did you mean that many?" not in few
    assert "More than 6 is a lot: did you mean that many?" in many


def test_rows_before_the_heel_have_one_wording_that_does_not_call_it_deeper() -> None:
    rows = next(way for way in deeper_heel(sock().heel, 60, ROWS, 4) if way.way == "rows")
    assert rows.words in sock(extra_heel_rows=4).notes
    assert "the heel stays 20 rows deep" in rows.words


def test_needles_keep_the_gores_equal_and_run_out() -> None:
    ways = {way.way: way for way in deeper_heel(Turning(30, 10), 60, ROWS, 3)}
    assert ways["needles"].turning.left_in_work == 6
    assert ways["needles"].turning.gores_equal
    assert "needles" not in {way.way for way in deeper_heel(Turning(30, 10), 60, ROWS, 11)}
    for bad in (0, -1, 51):
        with pytest.raises(CraftError):
            deeper_heel(Turning(30, 10), 60, ROWS, bad)


def test_extra_passes_are_plain_and_come_first() -> None:
    heel = Turning(30, 10, extra_passes=4)
    assert (heel.count, heel.stitches) == (44, 800 + 4 * 30)
    assert [step.stage for step in heel.passes()][:5] == ["plain"] * 4 + ["narrow"]
    assert sum(len(step.in_work) for step in heel.passes()) == heel.stitches
    assert heel.at(5).carrier == "left"
    for bad in (1, -2, 102):
        with pytest.raises(CraftError, match="in twos"):
            Turning(30, 10, extra_passes=bad)
    for bad in (-1, 51):
        with pytest.raises(CraftError, match="extra rows"):
            sock(extra_heel_rows=bad)
