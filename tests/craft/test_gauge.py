"""The gauge of a tube: the worked example, its errors in closed form, and what looks wrong."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.gauge import (
    Gauge,
    Readings,
    gauge_of_rates,
    measure_gauge,
    noted_rate,
    relaxation,
    relaxation_percent,
)
from hosewright.craft.measured import combine, half_up, measured, show_rows
from hosewright.craft.units import read_length


def tube(length: float = 142.0, width: float = 94.0, rows: int = 60, slots: int = 60, **more: float) -> Gauge:
    return measure_gauge(
        rows=rows,
        lengths_mm=(length,),
        slots=slots,
        flat_widths_mm=(width,),
        tape_error_mm=more.get("tape_error_mm", 1.0),
        mass_g=more.get("mass_g"),
    )


def test_a_tube_of_common_practice() -> None:
    # Common practice, no source: 50 rows over 114.3 mm are 100/9 rows an inch.
    numbers = tube(114.3, 107.95, 50, 72).as_numbers()
    assert numbers["rows_per_in"] == pytest.approx(11.11, abs=0.005)
    assert numbers["rows_per_in"] == pytest.approx(100 / 9)
    assert numbers["rows_per_cm"] == pytest.approx(4.374, abs=0.0005)
    assert numbers["rows_per_in"] == pytest.approx(2.54 * numbers["rows_per_cm"], rel=1e-12)
    assert numbers["stitches_per_in"] == pytest.approx(72 / 8.5)
    assert numbers["circumference_mm"] == pytest.approx(215.9)


def test_eight_rows_an_inch_over_seven_inches() -> None:
    gauge = tube(length=read_length("7 1/2 in"), rows=60)
    assert gauge.rows_in(read_length("7 in")).nominal_value == pytest.approx(56.0)


def test_stitches_in_a_width() -> None:
    # studioknits.com, pp. 21-22: 22 stitches over 10 cm, 40 cm wide is 88; 20 over 13 cm, 65 cm is 100.
    assert tube(width=50.0, slots=22).stitches_per_mm.nominal_value * 400 == pytest.approx(88)
    assert tube(width=65.0, slots=20).stitches_per_mm.nominal_value * 650 == pytest.approx(100)


@given(st.integers(20, 200), st.floats(40.0, 400.0))
def test_inches_and_centimetres_give_the_same_rows(rows: int, mm: float) -> None:
    inches = tube(read_length(f"{mm / 25.4:.6f} in"), rows=rows)
    metric = tube(read_length(f"{mm / 10:.6f} cm"), rows=rows)
    planned = inches.rows_in(read_length("7 in")).nominal_value
    assert planned == pytest.approx(metric.rows_in(read_length("17.78 cm")).nominal_value, rel=1e-5)


@given(
    st.lists(st.floats(100.0, 130.0), min_size=1, max_size=8),
    st.lists(st.floats(90.0, 120.0), min_size=1, max_size=8),
    st.floats(0.1, 3.0),
)
def test_errors_match_the_closed_form(lengths: list[float], widths: list[float], tape: float) -> None:
    gauge = measure_gauge(
        rows=60, lengths_mm=tuple(lengths), slots=60, flat_widths_mm=tuple(widths), tape_error_mm=tape
    )

    def closed(values: list[float]) -> tuple[float, float]:
        n, mean = len(values), sum(values) / len(values)
        variance = sum((v - mean) ** 2 for v in values) / (n - 1) if n > 1 else 0.0
        return mean, math.sqrt(tape**2 / 3 + variance / n)

    (length, u_length), (width, u_width) = closed(lengths), closed(widths)
    assert gauge.rows_per_mm.std_dev == pytest.approx(60 * u_length / length**2, rel=1e-6)
    assert gauge.circumference_mm.std_dev == pytest.approx(2 * u_width, rel=1e-6)
    assert gauge.loop_length_mm.std_dev == pytest.approx(5.5 * u_length / 60, rel=1e-6)
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


def test_relaxation() -> None:
    # ISO 5077:2007, expression of results, extract: 100 (xt - x0) / x0, with a minus where it shrank. A tube that
    # shrank and was pulled back to what it was has a larger gain than loss, since each is of what it was before.
    assert relaxation_percent(250.0, 240.0) == pytest.approx(-4.0)
    lost, gained = relaxation_percent(160.0, 128.0), relaxation_percent(128.0, 160.0)
    assert lost < 0 < -lost < gained
    assert (1 + lost / 100) * (1 + gained / 100) == pytest.approx(1.0)
    for before, after in ((0.0, 1.0), (1.0, 0.0), (math.nan, 1.0), (1.0, math.inf)):
        with pytest.raises(CraftError):
            relaxation_percent(before, after)


@pytest.mark.parametrize(
    "bad",
    [
        {"rows": 0}, {"rows": -5}, {"slots": 0}, {"slots": 9999}, {"lengths_mm": ()}, {"lengths_mm": (0.0,)},
        {"lengths_mm": (math.nan,)}, {"lengths_mm": (math.inf,)}, {"flat_widths_mm": (-3.0,)}, {"tape_error_mm": -1.0},
        {"tape_error_mm": 500.0}, {"mass_g": 0.0}, {"mass_g": math.nan}, {"mass_g": 5.0, "scale_g": 9.0},
        {"state": "damp"},
    ],
)  # fmt: skip
def test_bad_measurements_say_why(bad: dict[str, object]) -> None:
    good: dict[str, object] = {"rows": 60, "lengths_mm": (142.0,), "slots": 60, "flat_widths_mm": (94.0,)}
    with pytest.raises(CraftError):
        measure_gauge(**{**good, **bad})  # type: ignore[arg-type]


def test_inverse_variance_mean_against_numpy() -> None:
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
    for rows, shown in ((66.5, 67), (67.5, 68), (0.5, 1), (12.49, 12)):
        assert half_up(rows) == shown
        assert show_rows(rows).split()[0] == str(shown)
    assert show_rows(measured(67.0, 0.5)) == "67 ± 1 rows"


def test_relaxation_from_readings_carries_both_errors() -> None:
    found = relaxation(Readings((120.0, 121.0)), Readings((114.0,)))
    assert found.nominal_value == pytest.approx(relaxation_percent(120.5, 114.0))
    share = math.hypot(Readings((120.0, 121.0)).error / 120.5, 1 / math.sqrt(3) / 114.0)
    assert found.std_dev == pytest.approx(100 * 114.0 / 120.5 * share)


def test_a_rate_once_written_down_is_as_unsure_as_a_tape_laid_anyhow() -> None:
    """By hand: 42 rows over 100 mm, read to 3 mm either way (ours): 1.73 mm, so 1.7 % of 0.42."""
    rate = noted_rate(42, 100.0)
    assert rate.nominal_value == pytest.approx(0.42)
    assert rate.std_dev == pytest.approx(0.42 * 0.01732, rel=1e-4)


@pytest.mark.parametrize("rows", [None, 60])
def test_a_gauge_of_rates_alone_is_a_tube_that_measures_the_same(rows: int | None) -> None:
    known = gauge_of_rates(rows, 60, measured(0.42, 0.0042), measured(0.32, 0.0016))
    assert known.rows == (rows or 42)  # over 100 mm where nothing says
    made = measure_gauge(
        rows=known.rows,
        lengths_mm=known.lengths.values_mm,
        slots=60,
        flat_widths_mm=known.flat_widths.values_mm,
        tape_error_mm=known.lengths.half_width_mm,
    )
    assert known.lengths.mean == pytest.approx(known.rows / 0.42)
    assert known.flat_widths.mean == pytest.approx(60 / 0.32 / 2)
    assert made.rows_per_mm.std_dev == pytest.approx(known.rows_per_mm.std_dev) == pytest.approx(0.0042)
    assert made.stitches_per_mm.nominal_value == pytest.approx(0.32)
    assert known.flat_widths.error / known.flat_widths.mean == pytest.approx(0.005)  # half a per cent
    assert known.circumference_mm.nominal_value == pytest.approx(187.5)
    assert known.circumference_mm.std_dev == pytest.approx(187.5 * 0.005)
    assert known.ratio.nominal_value == pytest.approx(0.42 / 0.32)
    assert known.loop_length_mm.nominal_value == pytest.approx(made.loop_length_mm.nominal_value)
    assert known.mass_g is None
