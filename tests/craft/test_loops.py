"""Loop geometry against published figures; each names its source."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.doubts import TIGHTNESS_BAND
from hosewright.craft.loops import (
    STATES,
    draw_mm,
    loop_length_mm,
    loop_on_pitch,
    needle_pitch_mm,
    rows_per_mm,
    stitches_per_mm,
    tightness,
)
from hosewright.craft.measured import measured


def test_loops_per_square_cm() -> None:
    # GATE 2015, Textile Engineering, question 54: Kc 5.5, Kw 4.2, l = 0.5 cm gives 92.4, printed as 92.
    assert rows_per_mm(5.0) * stitches_per_mm(5.0) * 100 == pytest.approx(92.4)


@pytest.mark.parametrize(("state", "ks"), [("dry", 19.0), ("wet", 21.6), ("full", 23.1)])
def test_product_of_the_constants(state: str, ks: float) -> None:
    # Spencer, Knitting Technology, 3rd ed. 2001, p. 281, as quoted; Ks is printed rounded, so within 1 %.
    assert STATES[state].kc * STATES[state].kw == pytest.approx(ks, rel=0.01)
    assert STATES[state].ratio == pytest.approx(1.3, abs=0.02)


def test_the_pitch_of_a_cylinder_is_an_inch_by_its_needles_per_inch() -> None:
    # GATE-style problem (cdquestions.com): 26 in, 20 needles an inch, printed as 1633.6 needles round.
    assert needle_pitch_mm(26 * 25.4, 1634) == pytest.approx(25.4 / 20, rel=5e-4)


def test_a_plain_worsted_fabric_is_neither_called_tight_nor_loose() -> None:
    # Spencer, Knitting Technology, 3rd ed. 2001, p. 282, as quoted: plain worsted has sqrt(tex) / l of 1.4 to 1.5.
    # A loop of 5.5 mm in 60 tex, or of 10 mm in 200 tex, lies between, in either unit of the same yarn.
    for tex, loop in ((60.0, 5.5), (200.0, 10.0)):
        assert 1.4 <= tightness(tex, loop) <= 1.5
        assert TIGHTNESS_BAND[0] < tightness(tex, loop) < TIGHTNESS_BAND[1]


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
