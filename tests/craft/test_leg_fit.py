"""A leg round ankle and calf, and the yarn that the larger loops of a shaped one take."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.cuffs import ribber_rib
from hosewright.craft.dial import Dial
from hosewright.craft.leg import LegStep, leg_fits, leg_schedule
from hosewright.craft.measured import measured, nominal
from hosewright.craft.response import Response, TubeReading, fit_response
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.supply import leg_of_ball, wind_off, yarn_for

LOOP = 13.2
ROUND = measured(198.0, 1.0)


def response() -> Response:
    tubes = (TubeReading(29, measured(LOOP, 0.1)), TubeReading(33, measured(15.0, 0.1)))
    return fit_response(tubes, Dial(1.2, 4))


def shaped(rows: int = 120) -> tuple[LegStep, ...]:
    return leg_schedule(response(), baseline_clicks=29, leg_rows=rows, ankle_mm=220.0, calf_mm=260.0)[0]


def sock(leg_rows: int = 120, rib: bool = True) -> SockPlan:
    return plan_sock(
        slots=64, rows_per_mm=0.4, stitches_per_mm=64 / 198, tube_length_mm=150.0, leg_mm=leg_rows / 0.4,
        cuff=ribber_rib(64, "1x1", 20) if rib else None,
    )  # fmt: skip


def row_by_row(plan: SockPlan, steps: tuple[LegStep, ...], loop: float) -> float:
    """Metres of one sock, each row of leg and cuff with the loop of the dial where it stands for it."""
    clicks = [step.clicks for step in steps for _ in range(step.rows)]
    rows = [clicks[0]] * (plan.cuff.rows if plan.cuff else 0) + clicks
    loops = [nominal(response().loop_at(place)) * loop / LOOP for place in rows]
    plain = plan.stitches_per_sock - len(rows) * plan.slots
    return (sum(loops) * plan.slots + plain * loop) / 1000


@pytest.mark.parametrize("rib", [True, False])
def test_the_yarn_of_a_shaped_leg_counts_its_larger_loops(rib: bool) -> None:
    plan, steps = sock(rib=rib), shaped()
    need, plain = yarn_for(plan, LOOP, 420.0, 150.0, leg=steps), yarn_for(plan, LOOP, 420.0, 150.0)
    assert len(steps) > 2
    assert need.metres_per_sock == pytest.approx(row_by_row(plan, steps, nominal(response().loop_at(29))), rel=2e-3)
    assert sum(metres for _, metres in need.sections) == pytest.approx(need.metres_per_sock)
    more = need.metres_per_pair - plain.metres_per_pair
    assert more > 10
    assert f"{more:.0f} m of that go into the larger loops of the shaped leg." in need.notes
    assert not any("larger loops" in note for note in plain.notes)
    for part in ("heel", "foot", "toe"):
        assert dict(need.sections)[part] == dict(plain.sections)[part]
    assert need.grams_per_pair == pytest.approx(need.metres_per_pair / 4.2)
    assert need.metres_error > plain.metres_error


def test_a_leg_that_stays_at_the_baseline_takes_what_it_took() -> None:
    straight = leg_schedule(response(), baseline_clicks=29, leg_rows=120, ankle_mm=230.0, calf_mm=230.0)[0]
    assert yarn_for(sock(), LOOP, leg=straight).metres_per_pair == pytest.approx(yarn_for(sock(), LOOP).metres_per_pair)


@given(st.floats(90.0, 260.0))
def test_the_longest_shaped_leg_of_a_ball_is_just_enough(ball: float) -> None:
    plan, steps = sock(), shaped()
    found = leg_of_ball(plan, LOOP, 0.4, 420.0, ball, tails_m=0.0, shaped=steps)
    if found.rows > 20:
        need = yarn_for(sock(found.rows), LOOP, 420.0, ball, leg=shaped(found.rows))
        assert need.grams_per_pair == pytest.approx(ball, rel=0.02)
    assert wind_off(plan, LOOP, 420.0, ball, leg=steps).grams_each >= wind_off(plan, LOOP, 420.0, ball).grams_each


@pytest.mark.parametrize(
    ("ankle", "verdict", "says"),
    [
        (190.0, "loose", "is 4 % larger: loose there"), (205.0, "right", "stretches 4 %: right there"),
        (225.0, "right", "stretches 14 %: right there"), (245.0, "snug", "stretches 24 %: snug there"),
        (290.0, "tight", "stretches 46 %: tight there"),
    ],
)  # fmt: skip
def test_a_leg_at_the_ankle(ankle: float, verdict: str, says: str) -> None:
    ((fit,), told) = leg_fits(ROUND, 150.0, ankle_mm=ankle, calf_mm=380.0, unit="cm")
    assert (fit.place, fit.verdict) == ("ankle", verdict)
    assert fit.ease == pytest.approx(1 - 198 / ankle)
    assert says in told[0]
    assert any("would make it wider" in one for one in told) == (verdict == "tight")


def test_only_a_leg_that_reaches_the_calf_is_held_against_it() -> None:
    short, told = leg_fits(ROUND, 150.0, calf_mm=380.0)
    assert (short, told) == ((), ())
    for more in ({"leg_mm": 330.0}, {"leg_mm": 150.0, "knee": True}, {"leg_mm": 150.0, "shaped": shaped()}):
        ((calf,), told) = leg_fits(ROUND, calf_mm=measured(380.0, 20.0), unit="cm", **more)
        assert calf.place == "calf"
        assert "(38 ± 2 cm)" in told[0]
        assert ("or a leg shaped by the dial" in told[1]) == ("shaped" not in more)
    assert "not known: type --calf to hold" in leg_fits(ROUND, 330.0, ask="type --calf")[1][0]
    assert leg_fits(ROUND, 0.0, ankle_mm=230.0, knee=True) == ((), ())


def test_the_top_of_a_shaped_leg_is_larger_and_a_wide_tube_stretches_further() -> None:
    ((plain,), _) = leg_fits(ROUND, 330.0, calf_mm=260.0)
    ((wide,), _) = leg_fits(ROUND, 330.0, calf_mm=260.0, shaped=shaped())
    larger = nominal(response().loop_at(shaped()[0].clicks) / response().loop_at(29))
    assert nominal(wide.round_mm) / nominal(plain.round_mm) == pytest.approx(larger)
    assert wide.ease < plain.ease
    ((stiff,), _) = leg_fits(ROUND, 330.0, calf_mm=380.0, stretched_width_mm=170.0)
    ((soft,), _) = leg_fits(ROUND, 330.0, calf_mm=380.0, stretched_width_mm=250.0)
    assert (stiff.verdict, soft.verdict) == ("will not go on", "tight")


def test_for_a_foot_at_risk_there_are_figures_and_no_verdict() -> None:
    _, told = leg_fits(ROUND, 330.0, ankle_mm=225.0, calf_mm=380.0, verdicts=False)
    assert len(told) == 2
    assert not any(word in " ".join(told) for word in ("right", "tight", "loose", "snug", "small"))
    with pytest.raises(CraftError, match="5 to 100 cm"):
        leg_fits(ROUND, 330.0, ankle_mm=20.0)


def test_a_tube_too_tight_is_told_what_makes_a_tube_wider() -> None:
    """It has neither rib nor a leg shaped by the dial: it is plain, and cranked at one position."""
    _, told = leg_fits(ROUND, 330.0, calf_mm=380.0, stretched_width_mm=170.0, tube=True)
    assert told[-1] == (
        "More slots, or larger stitches all along, by a gauge from further down the dial, would make it wider there."
    )
    assert not any("rib" in words or "shaped" in words for words in told)
