"""Yarn counts against published examples, and yarn per stitch found two ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.measured import measured
from hosewright.craft.yarn import SYSTEMS, counts, read_count, read_yarn_count, tex_from, yarn_per_stitch


def test_twenty_tex() -> None:
    # GATE 1992, Textile Engineering, question 2: 20 tex = 29.5 Ne = 180 denier = 50 Nm.
    found = counts(20.0)
    assert found["cotton"] == pytest.approx(29.5, abs=0.05)
    assert found["denier"] == pytest.approx(180.0)
    assert found["nm"] == pytest.approx(50.0)


def test_published_counts() -> None:
    # Worked examples of two teaching pages (mapofsciences.com: Ne 30 = 19.7 tex; textilecalculations.com: denier x
    # Ne = 5315), which the definitions below give, too.
    assert tex_from("cotton", 30) == pytest.approx(19.7, abs=0.05)
    assert counts(20.0)["denier"] * counts(20.0)["cotton"] == pytest.approx(5315, abs=0.5)
    # Computed from the exact pound and yard.
    assert tex_from("worsted", 1) == pytest.approx(885.8119, abs=1e-4)
    assert tex_from("cotton", 1) == pytest.approx(590.5412, abs=1e-4)
    assert tex_from("woollen", 1) == pytest.approx(1937.71, abs=0.01)
    assert tex_from("linen", 1) == pytest.approx(1653.52, abs=0.01)
    assert tex_from("m_per_100g", 400) == 250.0
    assert tex_from("m_per_100g", 420) == pytest.approx(238.10, abs=0.005)
    assert tex_from("m_per_100g", 425) == pytest.approx(235.29, abs=0.005)


def test_plies() -> None:
    assert tex_from("nm", 28, plies=2) == pytest.approx(2 * 1000 / 28)
    assert read_count("28/2", "nm") == read_count("2/28", "nm") == tex_from("nm", 28, 2)
    assert read_count("420", "m_per_100g") == tex_from("m_per_100g", 420)
    for text, system in (("2/16", "m_per_100g"), ("4/4", "nm"), ("0", "nm"), ("x", "tex"), ("1/0", "nm")):
        with pytest.raises(CraftError):
            read_count(text, system)


@given(st.sampled_from(SYSTEMS), st.floats(20.0, 2000.0))
def test_every_count_comes_back(system: str, tex: float) -> None:
    assert tex_from(system, counts(tex)[system]) == pytest.approx(tex)


@pytest.mark.parametrize("value", [0.0, -5.0, float("nan"), float("inf"), 1e9])
def test_bad_counts_are_refused(value: float) -> None:
    for system in SYSTEMS:
        with pytest.raises(CraftError):
            tex_from(system, value)
    with pytest.raises(CraftError, match="no count called"):
        tex_from("stone", 3)


def test_two_ways_of_finding_yarn_per_stitch() -> None:
    # 60 rows of 60 at 12.5 mm of 250 tex: 45 m, 11.25 g.
    per_stitch = measured(11.25 / 3600, 0.5774 / 3600)
    found = yarn_per_stitch(measured(12.5, 0.1), 250.0, per_stitch, 1 / 11)
    assert found.weighed_mm is not None
    assert found.weighed_mm.nominal_value == pytest.approx(12.5)
    assert found.combined_mm.nominal_value == pytest.approx(12.5)
    a, b = found.weighed_mm.std_dev, found.looped_mm.std_dev
    assert found.combined_mm.std_dev == pytest.approx((a**-2 + b**-2) ** -0.5)
    assert found.disagreement_percent == pytest.approx(0.0, abs=1e-9)
    assert found.agrees
    assert any("9 %" in note for note in found.notes)


def test_a_heavy_tube_is_questioned() -> None:
    found = yarn_per_stitch(measured(12.5, 0.1), 250.0, measured(15.0 / 3600, 0.1 / 3600))
    assert not found.agrees
    assert "heavier" in found.notes[-1]
    assert found.combined_mm.nominal_value == pytest.approx(
        (12.5 / found.looped_mm.std_dev**2 + (15e6 / 3600 / 250) / (0.1e6 / 3600 / 250) ** 2)
        / (found.looped_mm.std_dev**-2 + (0.1e6 / 3600 / 250) ** -2)
    )


@pytest.mark.parametrize(("mm", "said"), [(10.5, "lighter"), (11.5, ""), (12.5, ""), (13.5, ""), (14.5, "heavier")])
def test_only_a_tube_past_two_errors_is_questioned(mm: float, said: str) -> None:
    # Ours: a loop is good to 5 %, here 0.625 mm of 12.5, and the scale to 0.4: together 0.742, and twice that 1.484.
    found = yarn_per_stitch(12.5, 250.0, measured(mm * 250e-6, 0.4 * 250e-6))
    assert found.sigmas == pytest.approx(abs(mm - 12.5) / 0.742, rel=1e-3)
    assert found.agrees == (not said)
    assert found.disagreement_percent == pytest.approx(100 * (mm - 12.5) / found.combined_mm.nominal_value)
    assert [f"The tube is {way} than" in " ".join(found.notes) for way in ("lighter", "heavier")] == [
        said == "lighter",
        said == "heavier",
    ]


def test_without_weighing_the_loop_length_stands_alone() -> None:
    found = yarn_per_stitch(12.5)
    assert found.weighed_mm is None
    assert found.combined_mm.nominal_value == 12.5
    assert "weigh" in found.notes[0]


def test_two_ways_that_contradict_do_not_make_a_surer_number() -> None:
    # Birge 1932, from memory: with two values it is their distance in errors.
    apart = yarn_per_stitch(measured(12.5, 0.1), 250.0, measured(15.0 / 3600, 0.1 / 3600))
    assert apart.weighed_mm is not None
    assert apart.sigmas is not None
    assert apart.sigmas > 2
    plain = (apart.weighed_mm.std_dev**-2 + apart.looped_mm.std_dev**-2) ** -0.5
    assert apart.combined_mm.std_dev == pytest.approx(plain * apart.sigmas)


@pytest.mark.parametrize(
    ("text", "tex"),
    [
        # GATE 1992, as above: one yarn in four systems; and its metres and yards over a mass by the exact yard.
        ("20 tex", 20.0), ("Tex 20", 20.0), ("200 dtex", 20.0), ("180 den", 20.0), ("Td 180", 20.0), ("Nm 50", 20.0),
        ("50nm", 20.0), ("Ne 29.53", 20.0), ("NeC 29,53", 20.0), ("Nm 2/100", 20.0), ("metric 100/2", 20.0),
        ("5000 m / 100 g", 20.0), ("2500 metres per 50 g", 20.0), ("5468 yd/100g", 20.0), ("24803 yards to lb", 20.0),
        ("1550 yd = 1 oz", 20.0), ("50 m in g", 20.0), ("NeL 82.68", 20.0), ("NeK 44.29", 20.0),
        ("woollen 96.89", 20.0),
    ],
)  # fmt: skip
def test_a_count_is_read_in_every_way_a_label_writes_it(text: str, tex: float) -> None:
    found = read_yarn_count(text)
    assert found.tex == pytest.approx(tex, rel=3e-4)
    assert found.typed == text


def test_a_count_is_said_both_ways() -> None:
    assert read_yarn_count(" 420 m/100g ").said == "238 tex, 420 m per 100 g"
    assert read_yarn_count("420 m/100g").m_per_100g == pytest.approx(420.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("4 ply", "kind of yarn"), ("sport", "kind of yarn"), ("dk 200", "kind of yarn"),
        ("420", "in what system"), ("420 stones", "in what system"), ("m/100g", "in what system"),
        ("", "in what system"),
        ("420 m/100 inches", "unit"), ("0 m/100g", "yarn's length"), ("100001 m/100g", "yarn's length"),
        ("1" * 61, "61 characters"), ("tex 0.5", "no sock machine knits"),
    ],
)  # fmt: skip
def test_what_is_no_count_says_why(text: str, said: str) -> None:
    with pytest.raises(CraftError, match=said):
        read_yarn_count(text)


def test_plies_are_of_a_single_and_a_length_over_mass_is_of_the_whole() -> None:
    with pytest.raises(CraftError, match="leave the plies at 1"):
        tex_from("m_per_100g", 420, plies=2)
    assert read_count("2/3", "worsted") == tex_from("worsted", 3, 2)
    for text in ("3/3", "2.5/28"):
        with pytest.raises(CraftError, match="two ways"):
            read_count(text, "nm")
    for tex in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(CraftError, match="above zero"):
            counts(tex)
