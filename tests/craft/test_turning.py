"""Short-row turning: published counts and every legal pair of needle counts."""

import pytest
from tests.helpers import some

from hosewright.craft import CraftError
from hosewright.craft.turning import Lowering, Turning, default_left_in_work

LOWERINGS: tuple[Lowering, ...] = ("far", "near", "two-and-one")


def test_thirty_six_to_twelve() -> None:
    # Common practice worked example for a 72-slot cylinder.
    heel = Turning(36, 12)
    assert (heel.narrowing, heel.widening, heel.count, heel.stitches) == (24, 24, 48, 1152)
    assert heel.gores_equal
    first, last = heel.at(1), heel.at(48)
    assert (first.stage, first.carrier, first.lift, first.in_work) == (
        "narrow",
        "left",
        (1,),
        tuple(range(2, 37)),
    )
    assert heel.at(24).in_work == tuple(range(13, 25))
    assert (heel.at(31).carrier, heel.at(31).lower) == ("left", (28,))
    assert last.in_work == tuple(range(1, 37))


def test_near_lowers_beside_the_carrier() -> None:
    assert Turning(36, 12, "near").at(25).lower == (12,)
    with pytest.raises(CraftError, match="leave 14 in work"):
        Turning(36, 13, "near")


def test_two_down_one_up_moves_three_needles_until_the_last() -> None:
    heel = Turning(36, 12, "two-and-one")
    assert (heel.at(25).lower, heel.at(25).lift) == ((25, 26), (13,))
    assert (heel.at(26).lower, heel.at(26).lift) == ((13, 12), (26,))
    assert [len(p.lift) for p in heel.passes()[-2:]] == [0, 0]


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("lowering", LOWERINGS)
def test_every_legal_turning_is_sound(lowering: Lowering, plain: bool) -> None:
    for needles in some(range(20, 61), 3, 2 * LOWERINGS.index(lowering) + plain):
        for left in range(2, needles - 1):
            if lowering == "near" and (needles - left) % 2:
                continue
            check(Turning(needles, left, lowering, plain, "right" if left % 3 else "left"))


def check(heel: Turning) -> None:
    everything = set(range(1, heel.needles + 1))
    working, lifted, carrier, total = set(everything), set[int](), heel.carrier, 0
    for number, step in enumerate(heel.passes(), 1):
        assert (step.number, step.carrier) == (number, carrier) == (number, heel.carrier_after(number - 1))
        across = "left" if carrier == "right" else "right"
        assert lifted.issuperset(step.lower), "a lowered needle had been lifted"
        working.update(step.lower)
        lifted.difference_update(step.lower)
        assert working.issuperset(step.lift), "a lifted needle was in work"
        beside = min(working) if step.carrier == "left" else max(working)
        assert step.lift in ((), (beside,))
        working.difference_update(step.lift)
        lifted.update(step.lift)
        assert set(step.in_work) == working
        assert len(working) >= heel.left_in_work
        assert set(heel.in_work_after(number)) == working
        assert step.lowered_on == (None if not step.lower else carrier if heel.lowering == "near" else across)
        total += len(step.in_work)
        carrier = "right" if carrier == "left" else "left"
    assert working == everything
    assert carrier == heel.carrier, "the carrier ends where it began, ready for rounds"
    plain = 2 * heel.needles if heel.plain_passes is True else 0
    assert total == heel.stitches == heel.needles**2 - heel.left_in_work**2 + plain
    assert len(heel.passes()) == heel.count


@pytest.mark.parametrize(
    ("needles", "left"), [(36, 12), (30, 10), (32, 10), (27, 9), (20, 6), (42, 14), (4, 2), (5, 3)]
)
def test_usual_needles_left(needles: int, left: int) -> None:
    assert default_left_in_work(needles) == left
    assert Turning(needles, left).gores_equal


@pytest.mark.parametrize(
    ("needles", "left"), [(36, 0), (36, 1), (36, 35), (36, 36), (36, -4), (3, 2), (0, 0), (500, 20)]
)
def test_impossible_turnings_say_why(needles: int, left: int) -> None:
    with pytest.raises(CraftError):
        Turning(needles, left)


def test_a_pass_outside_the_heel_is_refused() -> None:
    for n in (0, -1, 49):
        with pytest.raises(CraftError, match="1 to 48"):
            Turning(36, 12).at(n)


def test_uneven_gores_are_allowed_and_told() -> None:
    assert not Turning(36, 13).gores_equal
    with pytest.raises(CraftError):
        Turning(36, 12, "sideways")  # type: ignore[arg-type]
