"""Loop geometry against published worked examples; each names its source."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft.errors import CraftError
from hosewright.craft.loops import (
    STATES,
    areal_mass,
    course_length_mm,
    draw_mm,
    loop_length_mm,
    loop_on_pitch,
    needle_pitch_mm,
    needles_round,
    rows_per_mm,
    stitch_density,
    stitches_per_mm,
    tightness,
)
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_INCH


def test_loops_per_square_cm() -> None:
    # GATE 2015 TF question 54 (textiletriangle.com): Kc 5.5, Kw 4.2, l = 0.5 cm gives 92.4, printed as 92.
    assert stitch_density(5.0) == pytest.approx(92.4)
    assert rows_per_mm(5.0) * 10 == pytest.approx(11.0)
    assert stitches_per_mm(5.0) * 10 == pytest.approx(8.4)


@pytest.mark.parametrize(("state", "ks"), [("dry", 19.0), ("wet", 21.6), ("full", 23.1)])
def test_product_of_the_constants(state: str, ks: float) -> None:
    # "Knitted Fabric Geometry" slides after Munden 1959; Ks is printed rounded, so within 1 %.
    assert STATES[state].kc * STATES[state].kw == pytest.approx(ks, rel=0.01)
    assert STATES[state].ratio == pytest.approx(1.3, abs=0.02)


def test_needles_round_a_cylinder() -> None:
    # GATE-style question on cdquestions.com: 26 in, 20 gauge, 120 feeders, 30 rpm, 30 tex, l = 3 mm.
    needles = needles_round(26, 20)
    assert needles == pytest.approx(1633.6, abs=0.05)
    metres_per_minute = course_length_mm(1, 3.0) * needles * 120 * 30 / 1000
    assert metres_per_minute == pytest.approx(17_643, abs=1)
    assert metres_per_minute * 60 * 30 / 1e6 == pytest.approx(31.8, abs=0.05)


@pytest.mark.parametrize(("slots", "per_inch"), [(54, 3.820), (60, 4.244), (64, 4.527), (72, 5.093), (84, 5.942)])
def test_needles_per_inch_of_sock_cylinders(slots: int, per_inch: float) -> None:
    # Computed from needles = pi D G (textilecalculation.blogspot.com 2015-11) for 4.5 in.
    assert MM_PER_INCH / needle_pitch_mm(4.5 * MM_PER_INCH, slots) == pytest.approx(per_inch, abs=5e-4)
    assert needles_round(4.5, per_inch) == pytest.approx(slots, abs=0.01)


def test_pitch_of_a_sock_cylinder() -> None:
    # Computed: 72 needles round 4.5 in stand 4.987 mm apart.
    assert needle_pitch_mm(4.5 * MM_PER_INCH, 72) == pytest.approx(4.987, abs=5e-4)


def test_tightness_of_hand_gauge_sock_yarn() -> None:
    # Computed: 420 m per 100 g is 238.1 tex; l = 11.0 mm at K 1.40. Definition: Texcoms handbook, p. 147.
    assert tightness(100_000 / 420, 11.0) == pytest.approx(1.40, abs=0.005)


def test_mass_per_square_metre() -> None:
    # Texcoms handbook p. 147: S l tex / 100; and its inch form WPI CPI l 0.9155 / Ne, exact factor 0.91534.
    assert areal_mass(92.4, 5.0, 250.0) == pytest.approx(1155.0)
    courses, wales, cotton = 40.0, 30.0, 20.0
    per_cm2 = courses * wales / 2.54**2
    assert areal_mass(per_cm2, 3.0, 590.5412 / cotton) == pytest.approx(
        courses * wales * 3.0 * 0.91534 / cotton, rel=1e-4
    )


@given(st.floats(0.05, 2.0), st.sampled_from(sorted(STATES)))
def test_loop_length_comes_back(rows: float, state: str) -> None:
    assert rows_per_mm(loop_length_mm(rows, state), state) == pytest.approx(rows)


@given(st.floats(5.5, 30.0), st.floats(1.0, 5.4))
def test_same_pitch_gives_the_same_loop(loop: float, pitch: float) -> None:
    assert loop_on_pitch(draw_mm(loop, pitch), pitch) == pytest.approx(loop)
    assert loop_on_pitch(draw_mm(loop, pitch), pitch * 1.2) > loop * (1 - 1e-12)


def test_errors_are_carried() -> None:
    loop = loop_length_mm(measured(0.4374, 0.004374))
    assert loop.std_dev / loop.nominal_value == pytest.approx(0.01)
    draw = draw_mm(loop, 5.0)
    assert draw.std_dev == pytest.approx(loop.std_dev * loop.nominal_value / 4 / draw.nominal_value)
    assert draw.nominal_value == pytest.approx(math.sqrt((loop.nominal_value / 2) ** 2 - 2.5**2))


def test_impossible_loops_are_refused() -> None:
    with pytest.raises(CraftError, match="no machine can knit"):
        draw_mm(4.0, 5.0)
    with pytest.raises(CraftError, match="dry, wet or full"):
        loop_length_mm(0.4, "damp")
    for bad in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(CraftError):
            loop_length_mm(bad)
