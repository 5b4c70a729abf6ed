"""Yarn for each part, the leg one ball gives, and how to share the ball: solved, then checked by planning it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hosewright.craft import CraftError
from hosewright.craft.measured import measured
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.supply import SURE_REACH, leg_of_ball, wind_off, yarn_for
from hosewright.craft.yarn import yarn_per_stitch

ROWS = 0.42


def sock(leg_rows: int, slots: int = 60, hem_rows: int = 20) -> SockPlan:
    return plan_sock(
        slots=slots, rows_per_mm=ROWS, stitches_per_mm=0.32, tube_length_mm=160.0, leg_mm=leg_rows / ROWS,
        hem_rows=hem_rows,
    )  # fmt: skip


@given(st.floats(30.0, 200.0), st.integers(0, 150), st.sampled_from([54, 60, 64, 80]))
def test_the_leg_of_a_ball_is_just_enough(ball: float, planned: int, slots: int) -> None:
    found = leg_of_ball(sock(planned, slots), 12.5, ROWS, 420.0, ball, tails_m=0.0)
    if found.short_g:
        need = yarn_for(sock(0, slots), 12.5, 420.0, ball)
        assert not need.enough
        assert need.grams_per_pair == pytest.approx(ball + found.short_g)
        assert found.rows == 0
        return
    if found.rows:
        assert (yarn_for(sock(found.rows, slots), 12.5, 420.0, ball).grams_per_pair or 0) <= ball
    if found.rows < 800:
        assert (yarn_for(sock(found.rows + 1, slots), 12.5, 420.0, ball).grams_per_pair or 0) > ball
    assert found.safe_rows <= found.rows


def test_the_safe_leg_runs_out_once_in_twenty() -> None:
    loop = measured(12.5, 0.1)
    found = leg_of_ball(sock(60), loop, ROWS, 420.0, 100.0, tails_m=0.0)
    chance = yarn_for(sock(found.safe_rows), loop, 420.0, 100.0).chance_enough
    assert chance == pytest.approx(0.95, abs=0.01)
    one_more = yarn_for(sock(found.rows), loop, 420.0, 100.0).chance_enough
    assert one_more == pytest.approx(0.5, abs=0.05)
    assert f"a leg of {found.rows} rows" in found.words
    assert "short of a pair" in leg_of_ball(sock(60), loop, ROWS, 420.0, 20.0).words


def test_one_sided_reach_against_scipy() -> None:
    assert stats.norm.ppf(0.95) == pytest.approx(SURE_REACH, abs=1e-6)
    need = yarn_for(sock(60), measured(12.5, 0.3), 420.0, 90.0)
    assert need.grams_per_pair is not None
    spread = need.metres_error / need.metres_per_pair * need.grams_per_pair
    assert need.chance_enough == pytest.approx(stats.norm.cdf(90.0, need.grams_per_pair, spread))


def test_grams_and_margins() -> None:
    need = yarn_for(sock(60), 12.5, 420.0, margin=0.1, tails_m=2.0)
    assert sum(g for _, g in need.section_grams) * 2 == pytest.approx(need.grams_per_pair)
    assert [name for name, _ in need.section_grams] == ["hem", "leg", "heel", "foot", "toe"]
    assert need.safe_metres == pytest.approx(need.metres_per_pair * 1.1 + 4.0)
    assert need.safe_grams == pytest.approx(need.safe_metres / 4.2)
    assert need.safe_words.endswith(f"{need.safe_metres:.0f} m, {need.safe_grams:.0f} g.")
    leg = dict(need.sections)["leg"]
    assert f"leg {leg:.0f} m ({leg / 4.2:.0f} g)" in need.part_words
    bare = yarn_for(sock(60), 12.5)
    assert bare.section_grams == ()
    assert f"leg {leg:.0f} m," in bare.part_words
    assert " g." not in bare.safe_words


def test_winding_off() -> None:
    plan = sock(40)
    plenty = wind_off(plan, 12.5, 420.0, 150.0)
    need = yarn_for(plan, 12.5, 420.0)
    assert need.safe_grams is not None
    assert plenty.enough
    assert plenty.grams_each == pytest.approx(need.safe_grams / 2)
    assert plenty.ball_left_g == pytest.approx(150.0 - plenty.grams_each)
    tight = wind_off(plan, 12.5, 420.0, 50.0)
    assert not tight.enough
    assert (tight.grams_each, tight.metres_each) == pytest.approx((25.0, 105.0))
    assert "half the ball" in tight.words
    assert "half the ball" not in plenty.words


def test_bad_supplies_are_refused() -> None:
    plan = sock(40)
    for bad in (
        lambda: leg_of_ball(plan, 12.5, ROWS, 420.0, 0.0), lambda: wind_off(plan, 12.5, 420.0, float("nan")),
        lambda: yarn_for(plan, 12.5, margin=-0.1), lambda: yarn_for(plan, 12.5, tails_m=99.0),
        lambda: leg_of_ball(plan, 0.0, ROWS, 420.0, 100.0), lambda: leg_of_ball(plan, 12.5, ROWS, -1.0, 100.0),
    ):  # fmt: skip
        with pytest.raises(CraftError):
            bad()


def test_a_need_known_exactly_is_had_or_not() -> None:
    """A yarn per stitch that a scale without an error gave: 12.5 mm of 250 tex."""
    exact = yarn_per_stitch(measured(12.5, 0.0), 250.0, measured(12.5 * 250e-6, 0.0))
    grams = yarn_for(sock(60), exact, 400.0).grams_per_pair
    assert grams == pytest.approx(2 * sock(60).stitches_per_sock * 12.5e-3 * 0.25)
    assert grams is not None
    for more, chance, said in ((-0.01, 0.0, False), (0.01, 1.0, True)):
        need = yarn_for(sock(60), exact, 400.0, grams + more)
        assert (need.chance_enough, need.enough) == (chance, said)
