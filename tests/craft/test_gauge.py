"""The gauge of a tube: the worked example, its errors in closed form, and what looks wrong."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft.errors import CraftError
from hosewright.craft.gauge import Gauge, Readings, doubts, measure_gauge, relaxation, relaxation_percent, what_narrows
from hosewright.craft.measured import combine, measured, show_rows
from hosewright.craft.narrowing import ways_to_narrow
from hosewright.craft.routes import whole
from hosewright.craft.units import read_length


def tube(length: float = 114.3, width: float = 107.95, rows: int = 50, slots: int = 72, **more: float) -> Gauge:
    return measure_gauge(
        rows=rows,
        lengths_mm=(length,),
        slots=slots,
        flat_widths_mm=(width,),
        tape_mm=more.get("tape_mm", 1.0),
        mass_g=more.get("mass_g"),
    )


def test_fifty_rows_over_four_and_a_half_inches() -> None:
    # Common practice worked example. 9 rows/in, sometimes quoted for it, is a slip.
    numbers = tube(read_length("4 1/2 in")).as_numbers()
    assert numbers["rows_per_in"] == pytest.approx(11.11, abs=0.005)
    assert numbers["rows_per_in"] == pytest.approx(100 / 9)
    assert numbers["rows_per_in"] != pytest.approx(9.0, abs=1.0)
    assert numbers["rows_per_cm"] == pytest.approx(4.374, abs=0.0005)
    assert numbers["rows_per_in"] == pytest.approx(2.54 * numbers["rows_per_cm"], rel=1e-12)
    assert numbers["stitches_per_in"] == pytest.approx(72 / 8.5)
    assert numbers["circumference_mm"] == pytest.approx(215.9)


def test_nine_rows_an_inch_over_six_inches() -> None:
    gauge = tube(length=read_length("5 in"), rows=45)
    assert gauge.rows_in(read_length("6 in")).nominal_value == pytest.approx(54.0)


def test_stitches_in_a_width() -> None:
    # studioknits.com, pp. 21-22: 22 stitches over 10 cm, 40 cm wide is 88; 20 over 13 cm, 65 cm is 100.
    assert tube(width=50.0, slots=22).stitches_per_mm.nominal_value * 400 == pytest.approx(88)
    assert tube(width=65.0, slots=20).stitches_per_mm.nominal_value * 650 == pytest.approx(100)


@given(st.integers(20, 200), st.floats(40.0, 400.0))
def test_inches_and_centimetres_give_the_same_rows(rows: int, mm: float) -> None:
    inches = tube(read_length(f"{mm / 25.4:.6f} in"), rows=rows)
    metric = tube(read_length(f"{mm / 10:.6f} cm"), rows=rows)
    planned = inches.rows_in(read_length("6 in")).nominal_value
    assert planned == pytest.approx(metric.rows_in(read_length("15.24 cm")).nominal_value, rel=1e-5)


@given(
    st.lists(st.floats(100.0, 130.0), min_size=1, max_size=8),
    st.lists(st.floats(90.0, 120.0), min_size=1, max_size=8),
    st.floats(0.1, 3.0),
)
def test_errors_match_the_closed_form(lengths: list[float], widths: list[float], tape: float) -> None:
    gauge = measure_gauge(rows=50, lengths_mm=tuple(lengths), slots=72, flat_widths_mm=tuple(widths), tape_mm=tape)

    def closed(values: list[float]) -> tuple[float, float]:
        n, mean = len(values), sum(values) / len(values)
        variance = sum((v - mean) ** 2 for v in values) / (n - 1) if n > 1 else 0.0
        return mean, math.sqrt(tape**2 / 3 + variance / n)

    (length, u_length), (width, u_width) = closed(lengths), closed(widths)
    assert gauge.rows_per_mm.std_dev == pytest.approx(50 * u_length / length**2, rel=1e-6)
    assert gauge.circumference_mm.std_dev == pytest.approx(2 * u_width, rel=1e-6)
    assert gauge.loop_length_mm.std_dev == pytest.approx(5.5 * u_length / 50, rel=1e-6)
    relative = math.hypot(u_length / length, u_width / width)
    assert gauge.ratio.std_dev == pytest.approx(gauge.ratio.nominal_value * relative, rel=1e-6)


def test_repeats_shrink_the_spread_and_not_the_tape() -> None:
    assert Readings((114.0,)).error == pytest.approx(1 / math.sqrt(3))
    assert Readings((114.0,) * 9).error == pytest.approx(1 / math.sqrt(3))
    assert Readings((113.0, 115.0)).error == pytest.approx(math.sqrt(1 / 3 + 2 / 2))


def test_correlated_numbers_cancel() -> None:
    gauge = tube()
    product = gauge.loop_length_mm * gauge.rows_per_mm
    assert product.nominal_value == pytest.approx(5.5)
    assert product.std_dev == pytest.approx(0.0, abs=1e-12)


def test_weighed_tube() -> None:
    gauge = tube(mass_g=11.0)
    assert gauge.scale_share == pytest.approx(1 / 11)
    assert gauge.as_numbers()["mass_per_stitch_g"] == pytest.approx(11 / 3600)
    assert gauge.as_numbers()["mass_per_stitch_g_error"] == pytest.approx(1 / math.sqrt(3) / 3600)


def test_a_sound_tube_raises_no_doubt() -> None:
    assert doubts(tube(mass_g=11.0), 238.1, -6.0, 2.0) == ()


@pytest.mark.parametrize(
    ("gauge", "hint"),
    [
        (tube(width=215.9), "flat width"),
        (tube(width=54.0), "half"),
        (tube(width=150.0), "sideways"),
        (tube(length=160.0), "separator rows"),
        (
            measure_gauge(rows=50, lengths_mm=(110.0, 119.0), slots=72, flat_widths_mm=(108.0,)),
            "readings differ",
        ),
    ],
)
def test_likely_slips_are_named(gauge: Gauge, hint: str) -> None:
    assert any(hint in sentence for sentence in doubts(gauge))


def test_yarn_and_washing_are_questioned() -> None:
    assert any("tightness" in s for s in doubts(tube(), tex=60.0))
    assert any("tightness" in s for s in doubts(tube(), tex=900.0))
    assert any("wash" in s and "shorter" in s for s in doubts(tube(), relaxation=-60.0))
    assert any("wider" in s for s in doubts(tube(), width_relaxation=45.0))
    assert any("heavier" in s for s in doubts(tube(mass_g=25.0), tex=238.1))


def test_relaxation() -> None:
    # ISO 5077: (after - before) / before x 100, negative shrank.
    assert relaxation_percent(120.0, 114.0) == pytest.approx(-5.0)
    for before, after in ((0.0, 1.0), (1.0, 0.0), (math.nan, 1.0), (1.0, math.inf)):
        with pytest.raises(CraftError):
            relaxation_percent(before, after)


def test_a_good_tube_needs_no_narrowing() -> None:
    assert what_narrows(tube(), 152.4) == ()
    assert show_rows(tube().rows_in(152.4)) == "67 rows"


def test_what_narrows_is_true_when_followed() -> None:
    rough = tube(tape_mm=5.0)
    said = what_narrows(rough, 152.4)
    assert "67 ± 2 rows" in said[0]
    advised = int(said[1].split()[3])
    longer = tube(length=114.3 * advised / 50, rows=advised, tape_mm=5.0)
    assert longer.rows_in(152.4).std_dev <= 1.0
    shorter = tube(length=114.3 * (advised - 2) / 50, rows=advised - 2, tape_mm=5.0)
    assert shorter.rows_in(152.4).std_dev > 1.0
    assert "More readings alone cannot" in said[2]


def test_more_readings_help_only_what_scatters() -> None:
    def scattered(times: int) -> Gauge:
        return measure_gauge(rows=50, lengths_mm=(111.0, 117.6) * times, slots=72, flat_widths_mm=(108.0,), tape_mm=0.5)

    said = what_narrows(scattered(1), 152.4)
    needed = int(said[2].split()[0])
    spread = scattered(1).lengths.spread
    rows_each_mm = 50 * 152.4 / 114.3**2
    assert rows_each_mm * math.sqrt(0.25 / 3 + spread**2 / needed) <= 1.0
    assert rows_each_mm * math.sqrt(0.25 / 3 + spread**2 / (needed - 1)) > 1.0


@pytest.mark.parametrize(
    "bad",
    [
        {"rows": 0}, {"rows": -5}, {"slots": 0}, {"slots": 9999}, {"lengths_mm": ()}, {"lengths_mm": (0.0,)},
        {"lengths_mm": (math.nan,)}, {"lengths_mm": (math.inf,)}, {"flat_widths_mm": (-3.0,)}, {"tape_mm": -1.0},
        {"tape_mm": 500.0}, {"mass_g": 0.0}, {"mass_g": math.nan}, {"mass_g": 5.0, "scale_g": 9.0}, {"state": "damp"},
    ],
)  # fmt: skip
def test_bad_measurements_say_why(bad: dict[str, object]) -> None:
    good: dict[str, object] = {"rows": 50, "lengths_mm": (114.3,), "slots": 72, "flat_widths_mm": (108.0,)}
    with pytest.raises(CraftError):
        measure_gauge(**{**good, **bad})  # type: ignore[arg-type]


def test_inverse_variance_mean_against_numpy() -> None:
    np = pytest.importorskip("numpy")
    values, errors = [11.8, 12.5, 13.1], [0.4, 0.2, 0.9]
    found = combine([measured(v, e) for v, e in zip(values, errors, strict=True)])
    mean, weights = np.average(values, weights=1 / np.square(errors), returned=True)
    assert found.nominal_value == pytest.approx(mean)
    assert found.std_dev == pytest.approx(weights**-0.5)
    assert combine([measured(3.0), measured(4.0, 1.0)]).nominal_value == 3.0
    with pytest.raises(CraftError):
        combine([])
    with pytest.raises(CraftError):
        measured(1.0, -1.0)


def test_half_a_row_is_shown_as_it_is_planned() -> None:
    # Python's own rounding would show 66.5 as 66 where the plan cranks 67.
    for rows in (66.5, 67.5, 0.5, 12.49):
        assert show_rows(rows).split()[0] == str(whole(rows))
    assert show_rows(measured(67.0, 0.5)) == "67 ± 1 rows"


def test_each_way_to_narrow_leaves_what_it_says() -> None:
    def scattered(values: tuple[float, ...], rows: int = 50, tape_mm: float = 2.0) -> Gauge:
        return measure_gauge(rows=rows, lengths_mm=values, slots=72, flat_widths_mm=(108.0,), tape_mm=tape_mm)

    now = scattered((112.3, 116.3))
    ways = {way.what: way for way in ways_to_narrow(now, 152.4)}
    rows_each_mm = 50 * 152.4 / 114.3**2
    spread = now.lengths.spread
    assert ways["reading"].rows_error == pytest.approx(rows_each_mm * math.sqrt(4 / 3 + spread**2 / 3))
    # A tube twice as long, read with the same scatter in mm, measured afresh.
    longer = scattered((226.6, 230.6), rows=100)
    assert ways["tube"].rows_error == pytest.approx(longer.rows_in(152.4).std_dev)
    finer = scattered((112.3, 116.3), tape_mm=0.5)
    assert ways["tape"].rows_error == pytest.approx(finer.rows_in(152.4).std_dev)
    assert all(f"± {way.rows_error:.1f}" in what_narrows(now, 152.4)[-1] for way in ways.values())


def test_one_reading_promises_nothing_of_a_second() -> None:
    ways = {way.what: way for way in ways_to_narrow(tube(), 152.4)}
    assert ways["reading"].rows_error == pytest.approx(tube().rows_in(152.4).std_dev)
    assert "shows no scatter" in ways["reading"].words
    assert "200 rows" in {way.what: way for way in ways_to_narrow(tube(length=228.6, rows=100), 152.4)}["tube"].words
    for bad in (0.0, math.nan, math.inf):
        with pytest.raises(CraftError):
            ways_to_narrow(tube(), bad)


@pytest.mark.parametrize(
    ("change", "width", "hint"),
    [
        (154.0, None, "inches and the other in cm"), (-60.6, None, "inches and the other in cm"),
        (-45.0, None, "measured stretched"), (None, 100.0, "the way round"), (None, -50.0, "the way round"),
        (None, 40.0, "same working rows"),
    ],
)  # fmt: skip
def test_washing_slips_are_told_apart(change: float | None, width: float | None, hint: str) -> None:
    (said,) = doubts(tube(), None, change, width)
    assert hint in said


def test_a_light_tube_and_a_heavy_one_get_different_checks() -> None:
    (heavy,) = doubts(tube(mass_g=25.0), tex=238.1)
    (light,) = doubts(tube(mass_g=5.0), tex=238.1)
    assert "separator yarn" in heavy
    assert "damp" in heavy
    assert "fewer rows" in light


def test_the_slips_named_for_tightness_are_ones_that_cause_it() -> None:
    # A four-ply of 240 tex: one ply typed for all of it halves K; plies counted twice raise it by sqrt 4.
    assert any("one ply may stand" in s for s in doubts(tube(), tex=240.0 / 4))
    assert any("counted twice" in s for s in doubts(tube(), tex=240.0 * 4))
    fewer = tube(rows=38)  # 12 of 50 rows left out
    assert any("left out of the count" in s for s in doubts(fewer, tex=240.0))
    assert any("counted as working rows" in s for s in doubts(tube(rows=70), tex=240.0))


def test_relaxation_from_readings_carries_both_errors() -> None:
    found = relaxation(Readings((120.0, 121.0)), Readings((114.0,)))
    assert found.nominal_value == pytest.approx(relaxation_percent(120.5, 114.0))
    share = math.hypot(Readings((120.0, 121.0)).error / 120.5, 1 / math.sqrt(3) / 114.0)
    assert found.std_dev == pytest.approx(100 * 114.0 / 120.5 * share)
