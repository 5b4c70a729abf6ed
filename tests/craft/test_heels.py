"""Kinds of heel: the needles each is turned on, where rows are split, and how far round it is."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Literal

import pytest

from hosewright.craft import CraftError
from hosewright.craft.heels import (
    USUAL_HEEL,
    HeelAs,
    heel_half_words,
    on_needles,
    part_rows,
    round_the_heel_mm,
    turn_heel,
    usual_gusset,
    wide_heel,
)
from hosewright.craft.sock import plan_sock
from hosewright.craft.turning import Turning, depth_rows

if TYPE_CHECKING:
    from hosewright.craft.sock import SockPlan

HALF = Turning(30, 10)


@pytest.mark.parametrize(
    ("slots", "needles"),
    [(60, 36), (64, 38), (80, 48), (54, 33), (16, 10), (61, 36)],  # 60 %, as many more on one side: by hand
)
def test_a_wide_heel_is_over_six_tenths(slots: int, needles: int) -> None:
    """A heel of 60 % of the stitches: explaiknit.typepad.com, short_rows, as another page quotes it."""
    assert wide_heel(slots) == needles
    assert on_needles(HeelAs(needles=needles), slots) == needles


@pytest.mark.parametrize(("slots", "joining"), [(45, 5), (54, 5), (55, 6), (64, 6), (65, 7), (84, 8), (4, 1)])
def test_a_usual_gusset_grows_by_one_in_ten(slots: int, joining: int) -> None:
    """Ours: one needle more each side for every ten slots, the next from five on."""
    assert usual_gusset(slots) == joining


@pytest.mark.parametrize(
    ("heel", "on"),
    [
        (HeelAs(), 30),
        (HeelAs(needles=30), 30),
        (HeelAs(needles=56), 56),  # the instep keeps four
        (HeelAs("afterthought"), 30),
        (HeelAs("mini-gusset", gusset=1), 32),
        (HeelAs("mini-gusset", gusset=13), 56),
    ],
)
def test_a_heel_is_turned_on_half_and_what_joins_it(heel: HeelAs, on: int) -> None:
    assert on_needles(heel, 60) == on
    turned = turn_heel(heel, 60, left_in_work=8)
    assert (turned.needles, turned.left_in_work, turned.gusset) == (on, 8, heel.gusset)


@pytest.mark.parametrize(
    ("heel", "said"),
    [
        (HeelAs(needles=28), "up to 56; not on 28"),
        (HeelAs(needles=31), "by twos"),
        (HeelAs(needles=58), "not on 58"),
        (HeelAs("afterthought", needles=32), "half of the slots, 30"),
        (HeelAs("mini-gusset", gusset=0), "from 1 to 13 needles .* not 0; 6 is usual"),
        (HeelAs("mini-gusset", gusset=14), "not 14"),
        (HeelAs("none"), "no needles"),
        (HeelAs("flap"), "afterthought, none, not “flap”"),  # type: ignore[arg-type]
    ],
)
def test_a_heel_that_cannot_be_says_what_can(heel: HeelAs, said: str) -> None:
    with pytest.raises(CraftError, match=said):
        on_needles(heel, 60)


def test_of_few_slots_the_usual_gusset_is_the_most_there_can_be() -> None:
    with pytest.raises(CraftError, match=r"from 1 to 1 needles .* 1 is usual"):
        on_needles(HeelAs("mini-gusset", gusset=2), 13)


def test_narrowed_to_a_third_where_nothing_is_said() -> None:
    assert turn_heel(HeelAs(needles=36), 60) == Turning(36, 12)
    told = turn_heel(HeelAs(), 60, 8, "near", plain_passes=True, carrier="right", extra_passes=2)
    assert told == Turning(30, 8, "near", True, "right", 2)


def test_rows_are_split_where_heel_and_toe_begin() -> None:
    """60 slots. By hand: rows begin 8 stitches before the heel: 8 lead in, 52 complete the row; so at the toe."""
    assert part_rows(0, HALF, HALF, 60) == ((0, 0), (0, 0))
    assert part_rows(8, HALF, HALF, 60) == ((8, 52), (8, 52))
    assert part_rows(59, HALF, HALF, 60) == ((59, 1), (59, 1))
    wide = turn_heel(HeelAs(needles=36), 60)  # the toe begins 3 needles further on
    assert part_rows(0, wide, HALF, 60) == ((0, 0), (3, 57))
    assert part_rows(57, wide, HALF, 60) == ((57, 3), (0, 0))
    for part in (-1, 60):
        with pytest.raises(CraftError, match="from 0 to 59"):
            part_rows(part, HALF, HALF, 60)


@pytest.mark.parametrize("plain", ["before", "after"])
def test_one_plain_pass_needs_a_toe_that_begins_where_rows_do(plain: Literal["before", "after"]) -> None:
    odd = Turning(30, 10, plain_passes=plain)
    assert part_rows(0, odd, odd, 60) == ((0, 0), (0, 0))
    turned_back = Turning(30, 10, plain_passes=plain, carrier=odd.ends)
    assert part_rows(8, odd, turned_back, 60) == ((8, 52), (8, 52))  # the second one brings the carrier back
    for part, heel in ((8, HALF), (0, turn_heel(HeelAs(needles=36), 60))):
        with pytest.raises(CraftError, match="choose none, or one before and one after"):
            part_rows(part, heel, odd, 60)


def test_how_far_round_a_heel_is_by_hand() -> None:
    """60 slots at 0.3 stitches and 0.4 rows a mm, 30 needles to 12: 18 narrowed, 9 a side, 9 / 0.3 = 30 mm.

    18 rows of 0.4 are 45 mm, so a gore is hypot(30, 45) = 54.08; across it 30 + 12 stitches are 140 mm.
    """
    assert round_the_heel_mm(Turning(30, 12), 60, 0.4, 0.3) == pytest.approx(140 + 2 * 54.083, abs=0.01)
    # With 36 needles to 12 the instep has 24, so 36 are 120 mm; a gore is hypot(12 / 0.3, 24 / 0.4) = 72.11.
    assert round_the_heel_mm(Turning(36, 12), 60, 0.4, 0.3) == pytest.approx(120 + 2 * 72.111, abs=0.01)


def test_a_deeper_heel_is_further_round() -> None:
    usual, wide = turn_heel(HeelAs(), 64), turn_heel(HeelAs(needles=38), 64)
    gusset = turn_heel(HeelAs("mini-gusset", gusset=usual_gusset(64)), 64)
    rounds = [round_the_heel_mm(heel, 64, 0.4, 0.3) for heel in (usual, wide, gusset)]
    assert rounds == sorted(rounds)
    assert [depth_rows(heel) for heel in (usual, wide)] == [22, 26]
    assert rounds[0] < math.inf


def test_where_the_heel_lies_is_said_by_its_needles() -> None:
    wide, gusset = turn_heel(HeelAs(needles=36), 60), turn_heel(HeelAs("mini-gusset", gusset=6), 60)
    said = heel_half_words(wide, HALF)
    assert "turned on 36 needles, the half towards you and 3 more on each side" in said
    assert "The toe is turned on the half alone, on 4 to 33 of these." in said
    assert "the carrier comes to them at the left end, by needle 1," in said
    said = heel_half_words(gusset, HALF, "away from you", "clockwise", 8)
    assert "6 needles of the instep on each side join it" in said
    assert "the half's own are 7 to 36" in said
    assert "counted anew from 1 to 30" in said
    assert "A row begins and ends 8 stitches before that." in said


def planned(heel: HeelAs = USUAL_HEEL, tube_mm: float = 160.0, **more: Any) -> SockPlan:
    told: dict[str, Any] = {
        "slots": 60,
        "rows_per_mm": 0.42,
        "stitches_per_mm": 0.32,
        "tube_length_mm": tube_mm,
        "heel_as": heel,
    }
    return plan_sock(**(told | more))


def test_a_sock_with_a_wide_heel_says_where_its_toe_is_and_what_grows() -> None:
    """By hand: 36 needles to 12 are 24 rows, 4 more than 30 to 10; the toe is on 4 to 33 of the heel's needles."""
    said = planned(HeelAs(needles=36)).notes
    assert any(
        note.startswith("This heel is 4 rows deeper than a short-row heel over half: the foot keeps") for note in said
    )
    assert (
        "The toe is turned on half, on needles 4 to 33 of the heel's: 3 stitches lead into it, and 57 after it "
        in " ".join(said)
    )
    by_foot = planned(HeelAs(needles=36), tube_length_mm=None, foot_length_mm=256.0).notes
    assert any("half: the foot gets 4 rows fewer" in note for note in by_foot)
    assert not any("deeper than" in note for note in planned().notes)


def test_a_sock_with_an_afterthought_heel_says_how_its_place_is_kept() -> None:
    plan = planned(HeelAs("afterthought"), slots=61, leg_mm=100.0)
    assert [section.name for section in plan.sections] == ["leg", "foot", "toe", "heel"]
    assert any(
        note.startswith("2 passes of waste yarn over the heel half keep the heel's place")
        and "30 loops below them and 30 or 29 above" in note
        for note in plan.notes
    )


def test_a_row_that_heel_and_toe_split_is_said_with_its_stitches() -> None:
    said = " ".join(planned(part_row=8).notes)
    assert (
        "8 stitches lead into the heel and 52 complete it afterwards, as the foot's first; its last is split by" in said
    )
    assert "The toe is turned on half" not in said
    said = " ".join(planned(HeelAs(needles=36), part_row=57).notes)  # the toe begins where rows do
    assert "57 stitches lead into the heel and 3 complete it afterwards, as the foot's first. Where" in said
    assert "on needles 4 to 33 of the heel's. " in said + " "
    assert "lead into it" not in said


def test_a_part_row_needs_two_rows_of_foot() -> None:
    assert planned(part_row=8, tube_mm=4.8).foot_rows == 2
    with pytest.raises(CraftError, match="two rows of foot or more"):
        planned(part_row=8, tube_mm=2.4)
    assert planned(tube_mm=2.4).foot_rows == 1
