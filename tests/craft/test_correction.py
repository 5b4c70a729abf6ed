"""Learning from worn socks: part of the way from one, nearly all from several that agree."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.correction import SockVerdict, corrected_ease, learn
from hosewright.craft.fit import wanted_circumference
from hosewright.craft.measured import half_up
from hosewright.craft.sock import SockPlan, plan_sock

ROWS = 0.42


def short(mm: float, planned: float = 0.0) -> SockVerdict:
    return SockVerdict(length="too short", length_mm=mm, planned_length_mm=planned)


def sock(*verdicts: SockVerdict) -> SockPlan:
    return plan_sock(
        slots=60, rows_per_mm=ROWS, stitches_per_mm=0.32, foot_length_mm=256.0,
        correction=learn(verdicts) if verdicts else None,
    )  # fmt: skip


def test_one_sock_moves_the_plan_part_of_the_way() -> None:
    found = learn([short(10.0)])
    # Normal prior sd 8 mm, verdict sd 3 mm: 10 x 64 / (64 + 9).
    assert found.length_mm.nominal_value == pytest.approx(10 * 64 / 73)
    assert found.length_mm.std_dev == pytest.approx((1 / 64 + 1 / 9) ** -0.5)
    assert "9 ± 3 mm longer, part of the way" in found.words
    assert "wider" not in found.words


@given(st.lists(st.floats(0.5, 60.0), min_size=1, max_size=6))
def test_never_more_than_was_asked_nor_than_the_socks_warrant(asked: list[float]) -> None:
    found = learn([short(mm) for mm in asked]).length_mm.nominal_value
    assert 0 < found < max(asked)
    assert found <= 12.0 * len(asked)


def test_several_that_agree_move_it_nearly_all_the_way() -> None:
    moves = [learn([short(10.0)] * n).length_mm.nominal_value for n in range(1, 8)]
    assert moves == sorted(moves)
    assert moves[-1] == pytest.approx(10.0, abs=0.3)
    assert "part of the way" not in learn([short(10.0)] * 3).words


def test_a_sock_that_was_right_confirms_what_it_was_planned_with() -> None:
    first = learn([short(10.0)]).length_mm.nominal_value
    kept = learn([short(10.0), SockVerdict(length="right", planned_length_mm=first)]).length_mm
    assert kept.nominal_value == pytest.approx(first, abs=0.5)
    assert kept.std_dev < learn([short(10.0)]).length_mm.std_dev
    # Still 4 mm short of what it was planned with: the whole correction grows.
    more = learn([short(10.0), short(4.0, planned=first)]).length_mm.nominal_value
    assert more > first


def test_words_without_a_measure_count_less() -> None:
    said, taped = learn([SockVerdict(length="too long")]), learn([SockVerdict(length="too long", length_mm=6.0)])
    assert taped.length_mm.nominal_value < said.length_mm.nominal_value < 0
    # Ours: a sock said to be off is 6 mm off, give or take 5; by hand with the prior's 8: 6 x 64 / (64 + 25).
    assert said.length_mm.nominal_value == pytest.approx(-6 * 64 / 89)
    assert said.length_mm.std_dev == pytest.approx((1 / 64 + 1 / 25) ** -0.5)
    assert "shorter" in said.words


def test_socks_that_disagree_are_told() -> None:
    assert learn([short(10.0), SockVerdict(length="too long", length_mm=10.0)]).notes
    assert not learn([short(10.0), short(8.0)]).notes


def test_the_next_plan_uses_it_and_says_so() -> None:
    plain, longer = sock(), sock(short(10.0))
    moved = longer.routes[0].exact.nominal_value - plain.routes[0].exact.nominal_value
    assert moved == pytest.approx(10 * 64 / 73 * ROWS)
    assert longer.foot_rows == half_up(longer.routes[0].exact) > plain.foot_rows
    assert any("this wearer's plan is 9" in note for note in longer.notes)
    # One more observation of the length: its error joins that of the gauge (none here) as a sum of squares.
    assert longer.foot_rows_error == pytest.approx((1 / 64 + 1 / 9) ** -0.5 * ROWS)
    assert plain.foot_rows_error == 0
    assert any("from what worn socks taught so far" in note for note in longer.notes)


def test_a_tight_sock_gets_less_ease() -> None:
    found = learn([SockVerdict(round="tight", round_mm=10.0)])
    ease = corrected_ease(240.0, 0.10, found)
    assert ease < 0.10
    grown = wanted_circumference(240.0, ease) - wanted_circumference(240.0, 0.10)
    assert grown == pytest.approx(found.round_mm.nominal_value)
    assert corrected_ease(240.0, 0.10, learn([SockVerdict(round="loose")])) > 0.10
    assert corrected_ease(240.0, 0.10, learn([])) == 0.10
    with pytest.raises(CraftError, match="measure the girth again"):
        corrected_ease(100.0, 0.02, learn([SockVerdict(round="tight", round_mm=40.0)] * 5))


def test_nothing_learnt_changes_nothing() -> None:
    found = learn([])
    assert (found.length_mm.nominal_value, found.round_mm.nominal_value, found.socks) == (0.0, 0.0, 0)
    assert "stays as it is" in learn([SockVerdict(length="right")]).words


@pytest.mark.parametrize(
    "bad",
    [
        {"length": "long"}, {"length_mm": 5.0}, {"length": "right", "length_mm": 5.0},
        {"length": "too long", "length_mm": -5.0}, {"round": "tight", "round_mm": math.nan}, {"round": "itchy"},
        {"length": "too short", "length_mm": 900.0},
    ],
)  # fmt: skip
def test_verdicts_that_mean_nothing(bad: dict[str, object]) -> None:
    with pytest.raises(CraftError) as raised:
        SockVerdict(**bad)  # type: ignore[arg-type]
    assert str(raised.value).endswith(".")
