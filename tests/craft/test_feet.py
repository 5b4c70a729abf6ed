"""Shoe sizes and girth estimates against their published figures."""

import math
from itertools import pairwise
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hosewright.craft import CraftError
from hosewright.craft.feet import (
    ankle_estimate,
    best_girth,
    calf_estimate,
    girth_estimate,
    heel_ankle_estimate,
    width_shift_mm,
)
from hosewright.craft.measured import measured
from hosewright.craft.shoes import SCALES, from_size, nearest_half, read_size, sizes


def number(foot_mm: float, name: str) -> float:
    value = sizes(foot_mm)[name]
    assert isinstance(value, float)
    return value


def test_the_270_row() -> None:
    # From memory: shops sell EU 42 1/2, UK 9, US men 10 and US women 11 for a foot of 27 cm.
    exact = {"eu": 42.50, "uk": 8.89, "us_men": 9.89, "us_women": 10.89, "mondopoint": 270.0}
    marked = {"eu": 42.5, "uk": 9.0, "us_men": 10.0, "us_women": 11.0}
    for name, value in exact.items():
        assert number(270.0, name) == pytest.approx(value, abs=0.005)
    for name, value in marked.items():
        assert nearest_half(number(270.0, name)) == value


def test_size_one_men() -> None:
    # From memory of the foot-measuring device: US men's 1 is a foot of 7 2/3 in, and a size is 1/3 in.
    assert from_size("us_men", 1).foot_mm == pytest.approx((7 + 2 / 3) * 25.4)
    assert from_size("us_men", 2).foot_mm - from_size("us_men", 1).foot_mm == pytest.approx(25.4 / 3)


@pytest.mark.parametrize(
    ("name", "size", "last_in"),
    [("uk_child", 1, 13 / 3), ("uk_child", 10, 22 / 3), ("uk", 1, 26 / 3)],
)
def test_english_lasts_are_half_to_two_thirds_of_an_inch_longer_than_the_foot(
    name: str, size: float, last_in: float
) -> None:
    # The Manufacture of Boots and Shoes (Golding), Irregular Gradations: child 1 is a last of 4 1/3 in, child 10 of
    # 7 1/3, adult 1 of 8 2/3. That a last is 1/2 to 2/3 in longer than the foot is from memory.
    shortest, longest = SCALES[name].foot_range(size)
    assert (shortest / 25.4, longest / 25.4) == pytest.approx((last_in - 2 / 3, last_in - 1 / 2))


def test_a_japanese_size_is_the_mondopoint_in_centimetres() -> None:
    # PD ISO/TS 19407:2015, clause 3 a, extract: Japan uses Mondopoint, sometimes in cm rather than mm. AIST (Human
    # Foot Morphology, Shoe size system in Japan): by halves, men from 20 to 30, women from 19.5 to 27.
    for marked in (19.5, 20.0, 26.5, 27.0, 30.0):
        read = read_size(f"Japan {marked}")
        assert read.foot_mm_range == (read.foot_mm, read.foot_mm)
        assert read.foot_mm == read_size(f"mondopoint {marked * 10:.0f}").foot_mm
    assert read_size("JP 26 1/2").foot_mm == 265


def test_golding_adult_one() -> None:
    # The Manufacture of Boots and Shoes (Golding), Irregular Gradations: adult 1 follows child 13.
    assert SCALES["uk"].foot(1) - SCALES["uk_child"].foot(13) == pytest.approx(25.4 / 3)


@given(st.floats(200.0, 320.0))
def test_every_size_comes_back(foot: float) -> None:
    for name, scale in SCALES.items():
        assert scale.foot(scale.size(foot)) == pytest.approx(foot)
        low, high = scale.foot_range(scale.size(foot))
        assert low - 1e-9 <= foot <= high + 1e-9
        if not name.endswith("child"):
            assert from_size(name, scale.size(foot)).foot_mm == pytest.approx(foot)


@given(st.floats(80.0, 399.0))
def test_ranges_hold_the_number_and_mondopoint_its_step(foot: float) -> None:
    found = sizes(foot)
    for name, value in found.items():
        if isinstance(value, float):
            span = found[f"{name}_range"]
            assert isinstance(span, tuple)
            assert span[0] <= value <= span[1]
    assert number(foot, "mondopoint") % 5 == 0
    assert abs(number(foot, "mondopoint") - foot) <= 2.5 + 1e-9


def test_childrens_sizes_only_for_children() -> None:
    assert "uk_child" not in sizes(270.0)
    assert number(150.0, "uk_child") == pytest.approx(3 * 150 / 25.4 - 10)
    assert number(150.0, "us_child") - number(150.0, "uk_child") == pytest.approx(1 / 3)
    # The last one is 13 1/2, by Golding's lasts 25 1/2 barleycorns, 23 1/2 of them foot; the first is 0.
    assert number(23.5 * 25.4 / 3, "uk_child") == 13.5
    assert "uk_child" not in sizes(23.6 * 25.4 / 3)
    assert number(10 * 25.4 / 3, "uk_child") == 0
    assert "uk_child" not in sizes(9.9 * 25.4 / 3)


@pytest.mark.parametrize(
    ("text", "foot"),
    [
        ("US men 10", (10 + 22) / 3 * 25.4), ("us men's 10", (10 + 22) / 3 * 25.4), ("10 US men", (10 + 22) / 3 * 25.4),
        ("US women 8½", (8.5 + 21) / 3 * 25.4), ("US women’s 8 1/2", (8.5 + 21) / 3 * 25.4), ("EU 42.5", 270.0),
        ("EU 42,5", 270.0), ("UK 9", 32 / 3 * 25.4), ("mondopoint 270", 270.0), ("Mondopoint 280/110", 280.0),
        ("UK child 10", 20 / 3 * 25.4), ("  eur   38 ", 240.0),
    ],
)  # fmt: skip
def test_typed_sizes(text: str, foot: float) -> None:
    read = read_size(text)
    assert read.foot_mm == pytest.approx(foot)
    assert read.foot_mm_range[0] <= read.foot_mm <= read.foot_mm_range[1]
    assert "better" in read.words


@pytest.mark.parametrize(
    "text",
    ["", "10", "US 10", "US men", "US men ten", "US men -3", "EU 4000", "UK US 9", "BR 27", "UK 1/0", "US men women 9",
     "mondopoint 27", "UK child 20", "EU \x1b[2J 42", "US men nan", "EU " + "9" * 10_000],
)  # fmt: skip
def test_sizes_that_mean_nothing_are_refused(text: str) -> None:
    with pytest.raises(CraftError) as raised:
        read_size(text)
    assert str(raised.value).isprintable()
    assert len(str(raised.value)) < 220


def test_feet_out_of_reach_are_refused() -> None:
    for foot in (0.0, -1.0, 79.0, 401.0, math.nan, math.inf):
        with pytest.raises(CraftError):
            sizes(foot)


@pytest.mark.parametrize(
    ("sex", "foot", "heel"),
    [
        ("men", 254.1, 326.7), ("men", 271.0, 343.2), ("men", 287.4, 359.3),
        ("women", 237.2, 302.1), ("women", 253.7, 317.2), ("women", 270.8, 333.9),
    ],
)  # fmt: skip
def test_girth_over_the_heel_by_size_group(sex: Literal["men", "women"], foot: float, heel: float) -> None:
    # ANSUR II public release (Gordon et al. 2014, NATICK/TR-15/007): mean girth over heel and ankle of the feet in
    # one size by the foot-measuring device, a mean over part of the sample, which the line need not pass through.
    found = heel_ankle_estimate(foot, sex)
    assert found is not None
    assert found.mm == pytest.approx(heel, abs=2.0)
    assert found.estimated
    assert "estimate" in found.words


@pytest.mark.parametrize(
    ("sex", "ball", "ankle", "calf"), [("men", 252.0, 0.9104, 1.5568), ("women", 227.0, 0.9463, 1.6370)]
)
def test_ankle_and_calf_of_a_middling_foot(
    sex: Literal["men", "women"], ball: float, ankle: float, calf: float
) -> None:
    # Same source: medians of the ball girth, and the means of each wearer's own ankle / ball and calf / ball.
    ankles, calves = ankle_estimate(ball, sex), calf_estimate(ball, sex)
    assert ankles is not None
    assert calves is not None
    assert ankles.mm / ball == pytest.approx(ankle, abs=0.005)
    assert calves.mm / ball == pytest.approx(calf, abs=0.005)


@pytest.mark.parametrize(
    ("sex", "foot", "ball"),
    [
        ("men", 254.1, 241.6),
        ("men", 271.0, 251.6),
        ("men", 287.4, 260.4),
        ("women", 237.2, 223.6),
        ("women", 253.7, 232.5),
    ],
)
def test_girth_by_size_group(sex: Literal["men", "women"], foot: float, ball: float) -> None:
    # Same source: mean ball girth of the feet in one bare-foot size; the line passes within 1.5 mm.
    found = girth_estimate(foot, sex)
    assert found is not None
    assert found.mm == pytest.approx(ball, abs=1.5)
    assert found.error_mm == pytest.approx(10.38 if sex == "men" else 9.37)


def test_errors_of_the_ball_are_carried() -> None:
    found = calf_estimate(measured(250.0, 10.38), "men")
    assert found is not None
    assert found.error_mm == pytest.approx(math.hypot(23.34, 1.4215 * 10.38))


def test_no_estimate_outside_the_sample() -> None:
    assert girth_estimate(150.0, "women") is None
    assert heel_ankle_estimate(350.0, "men") is None
    assert calf_estimate(150.0, "men") is None
    with pytest.raises(CraftError):
        girth_estimate(250.0, "children")  # type: ignore[arg-type]


def test_a_tape_measure_always_wins() -> None:
    taped = best_girth(231.0, 270.0, "men")
    assert taped is not None
    assert (taped.mm, taped.estimated) == (231.0, False)
    guessed = best_girth(None, 270.0, "men")
    assert guessed is not None
    assert guessed.estimated
    assert best_girth(None, None, "men") is None
    with pytest.raises(CraftError):
        best_girth(5.0, None, "men")


def test_width_letters() -> None:
    # GNU Units definitions file, note on shoe sizes: widths change by 1/4 in (6.35 mm) a letter; Rossi 2000, p. 202,
    # as quoted by Kippen 2009, 6.5 mm. Usual widths: US men D, women B, from memory; UK women D, men 4 (Kippen).
    assert width_shift_mm("D", "men") == width_shift_mm("b", "women") == 0.0
    assert width_shift_mm("4", "men", "UK") == width_shift_mm("D", "women", "UK") == 0.0
    steps = [width_shift_mm(w, "men") for w in ("AAA", "AA", "A", "B", "C", "D", "E", "EE", "EEE")]
    assert all(b - a == pytest.approx(25.4 / 4, abs=0.2) for a, b in pairwise(steps))
    wide, usual = girth_estimate(270.0, "men", "EE"), girth_estimate(270.0, "men")
    assert wide is not None
    assert usual is not None
    assert wide.mm - usual.mm == pytest.approx(25.4 / 2, abs=0.4)
    assert "last-makers" in wide.words
    with pytest.raises(CraftError):
        width_shift_mm("Q", "men")


def test_a_size_midway_is_marked_up() -> None:
    # Ours, for the roomier shoe; 242.5 mm lies midway between two Mondopoint sizes, and 237.5 must go the same way.
    assert [number(mm, "mondopoint") for mm in (232.5, 237.5, 242.5, 247.5, 242.4)] == [235, 240, 245, 250, 240]
    assert [nearest_half(size) for size in (8.25, 8.75, 8.24, 8.76)] == [8.5, 9.0, 8.0, 9.0]


def test_ranges_of_an_estimate_against_scipy() -> None:
    found = girth_estimate(270.0, "men")
    assert found is not None
    percents: tuple[Literal[68, 95], ...] = (68, 95)
    for percent in percents:
        low, high = found.within(percent)
        assert (low, high) == pytest.approx(stats.norm(found.mm, found.error_mm).interval(percent / 100), rel=1e-6)
    # Facts of the same sample: shoe size predicts girth to about 20 mm either way at 95 %.
    assert (high - low) / 2 == pytest.approx(20, abs=1)
    assert f"95 such feet in 100 between {low:.0f} and {high:.0f} mm" in found.words


def test_a_foots_own_error_is_carried() -> None:
    found = girth_estimate(measured(270.0, 8.0), "men")
    heel = heel_ankle_estimate(measured(270.0, 8.0), "men")
    assert found is not None
    assert heel is not None
    assert found.error_mm == pytest.approx(math.hypot(10.38, 0.5895 * 8.0))
    assert heel.error_mm == pytest.approx(math.hypot(10.11, 1.0067 * 8.0))
    taped = heel_ankle_estimate(270.0, "men", measured(250.0, 2.0))
    assert taped is not None
    assert taped.error_mm == pytest.approx(math.hypot(11.05, 0.9595 * 2.0))


def test_uk_widths_are_numbers_for_men_and_letters_for_women() -> None:
    # 6.5 mm a step (Kippen 2009 after Rossi 2000); usual UK men 4, women D
    men, usual_men = girth_estimate(270.0, "men", "UK 6"), girth_estimate(270.0, "men")
    women, usual_women = girth_estimate(245.0, "women", "UK F"), girth_estimate(245.0, "women")
    assert men and usual_men and women and usual_women  # noqa: PT018 - all are within the sampled feet
    assert men.mm - usual_men.mm == pytest.approx(13.0)
    assert women.mm - usual_women.mm == pytest.approx(13.0)


@pytest.mark.parametrize(
    ("text", "size", "width", "men", "women"),
    [
        ("US men 10 EE", 10.0, "EE", "EE", None),
        ("US men 10 2E", 10.0, "EE", "EE", None),
        ("US women 8 1/2 AA", 8.5, "AA", None, "AA"),
        ("UK 5 f", 5.0, "UK F", None, "UK F"),
        ("US men 10", 10.0, "", None, None),
        ("US m 10", 10.0, "", None, None),
    ],
)
def test_a_width_stands_behind_an_adults_size(
    text: str, size: float, width: str, men: str | None, women: str | None
) -> None:
    """Of UK widths the letters are women's (Kippen 2009, as above)."""
    read = read_size(text)
    assert (read.size, read.width) == (size, width)
    assert (read.width_for("men"), read.width_for("women")) == (men, women)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("EU 42 E", "no widths are known for EU"),
        ("US child 10 E", "no widths are known for US child"),
        ("mondopoint 270 E", "no widths are known for Mondopoint"),
        ("US men 10 Q", "There is no width “Q”"),
        ("US men 10 M", "There is no width “M”"),  # with men said, it is no other word for them
        ("US men 10 EE D", "names no scale"),
        ("US men 10 EEEEEEE", "names no scale"),
    ],
)
def test_a_width_nobody_knows_is_refused(text: str, said: str) -> None:
    with pytest.raises(CraftError, match=said):
        read_size(text)


def test_a_scale_nobody_knows_is_refused() -> None:
    with pytest.raises(CraftError, match="no shoe-size scale called “paris”"):
        from_size("paris", 42.0)


def test_each_estimate_is_its_line_and_stands_only_where_feet_were_sampled() -> None:
    """By hand from the lines' own figures: slope times what was taped, and the intercept, in mm.

    Both ends are the shortest and the longest foot of the sample (ANSUR II), and a millimetre past them there is none.
    """
    lines = (
        (calf_estimate(250.0, "men"), 389.385, 23.34),
        (calf_estimate(230.0, "women"), 375.818, 23.68),
        (ankle_estimate(250.0, "men"), 227.78, 10.71),
        (ankle_estimate(230.0, "women"), 217.154, 12.02),
        (girth_estimate(260.0, "men"), 245.42, 10.38),
        (girth_estimate(240.0, "women"), 224.508, 9.37),
    )
    for found, mm, spread in lines:
        assert found is not None
        assert found.mm == pytest.approx(mm, abs=0.001)
        assert found.value.std_dev == pytest.approx(spread, abs=0.001)
    ends: tuple[tuple[Literal["men", "women"], float, float], ...] = (("men", 216, 323), ("women", 198, 286))
    for sex, low, high in ends:
        assert girth_estimate(low, sex) is not None
        assert girth_estimate(high, sex) is not None
        assert girth_estimate(low - 1, sex) is None
        assert girth_estimate(high + 1, sex) is None
