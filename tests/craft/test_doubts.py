"""What looks wrong with a gauge, the mistake it names, and what would narrow it: each checked by doing it."""

import math

import pytest

from hosewright.craft import CraftError
from hosewright.craft.doubts import doubts, impossible
from hosewright.craft.gauge import Gauge, measure_gauge, ways_to_narrow, what_narrows
from hosewright.craft.measured import show_rows


def tube(length: float = 142.0, width: float = 94.0, rows: int = 60, slots: int = 60, **more: float) -> Gauge:
    return measure_gauge(
        rows=rows,
        lengths_mm=(length,),
        slots=slots,
        flat_widths_mm=(width,),
        tape_error_mm=more.get("tape_error_mm", 1.0),
        mass_g=more.get("mass_g"),
    )


def test_a_sound_tube_raises_no_doubt() -> None:
    assert doubts(tube(mass_g=11.0), 238.1, -6.0, 2.0) == ()


@pytest.mark.parametrize(
    ("gauge", "hint"),
    [
        (tube(width=188.0), "flat width"),
        (tube(width=47.0), "half"),
        (tube(width=130.0), "sideways"),
        (tube(length=200.0), "separator rows"),
        (
            measure_gauge(rows=60, lengths_mm=(137.0, 148.0), slots=60, flat_widths_mm=(94.0,)),
            "readings differ",
        ),
    ],
)
def test_likely_slips_are_named(gauge: Gauge, hint: str) -> None:
    assert any(hint in sentence for sentence in doubts(gauge))


@pytest.mark.parametrize(("times", "way"), [(25.4, "more"), (2.54, "more"), (1 / 2.54, "less")])
def test_a_wrong_unit_in_length_and_width_is_named_without_the_yarn(times: float, way: str) -> None:
    (said,) = doubts(tube(142 * times, 94 * times))
    assert f"{way} than a sock machine makes" in said
    assert "wrong unit" in said


def test_yarn_and_washing_are_questioned() -> None:
    assert any("tightness" in s for s in doubts(tube(), tex=60.0))
    assert any("tightness" in s for s in doubts(tube(), tex=900.0))
    assert any("wash" in s and "shorter" in s for s in doubts(tube(), relaxation=-60.0))
    assert any("wider" in s for s in doubts(tube(), width_relaxation=45.0))
    assert any("heavier" in s for s in doubts(tube(mass_g=25.0), tex=238.1))


def test_a_good_tube_needs_no_narrowing() -> None:
    assert what_narrows(tube(), 158.0) == ()
    assert show_rows(tube().rows_in(158.0)) == "67 ± 1 rows"


def test_what_narrows_is_true_when_followed() -> None:
    rough = tube(tape_error_mm=6.0)
    said = what_narrows(rough, 158.0)
    assert "67 ± 2 rows" in said[0]
    advised = int(said[1].split()[3])
    longer = tube(length=142 * advised / 60, rows=advised, tape_error_mm=6.0)
    assert longer.rows_in(158.0).std_dev <= 1.0
    shorter = tube(length=142 * (advised - 2) / 60, rows=advised - 2, tape_error_mm=6.0)
    assert shorter.rows_in(158.0).std_dev > 1.0
    # By hand: 142 mm over 66.76 rows is 2.127 mm a row, times root 3 is 3.68; 6 mm are 3.464, or 1.6 rows.
    assert said[2] == (
        "More readings alone cannot do it, since the tape's own error is 1.6 rows; reading it to 3.6 mm would."
    )
    assert tube(tape_error_mm=3.6).rows_in(158.0).std_dev <= 1.0 < tube(tape_error_mm=3.7).rows_in(158.0).std_dev


def test_where_readings_scatter_too_far_no_tape_will_do() -> None:
    """By hand: 3 mm apart both ways, two readings leave 3 mm, 1.4 rows; 1 mm either way leaves 1, and a tape 3.2."""

    def said(apart_mm: float) -> str:
        rough = measure_gauge(
            rows=60,
            lengths_mm=(142 - apart_mm, 142 + apart_mm),
            slots=60,
            flat_widths_mm=(94.0,),
            tape_error_mm=6.0,
        )
        return what_narrows(rough, 158.0)[2]

    assert said(3.0).endswith("the tape's own error is 1.6 rows.")
    assert said(1.0).endswith("reading it to 3.2 mm would.")


def test_more_readings_help_only_what_scatters() -> None:
    def scattered(times: int) -> Gauge:
        return measure_gauge(
            rows=60, lengths_mm=(138.5, 145.5) * times, slots=60, flat_widths_mm=(94.0,), tape_error_mm=0.5
        )

    said = what_narrows(scattered(1), 158.0)
    needed = int(said[2].split()[0])
    spread = scattered(1).lengths.spread
    rows_each_mm = 60 * 158.0 / 142**2
    assert rows_each_mm * math.sqrt(0.25 / 3 + spread**2 / needed) <= 1.0
    assert rows_each_mm * math.sqrt(0.25 / 3 + spread**2 / (needed - 1)) > 1.0


def test_each_way_to_narrow_leaves_what_it_says() -> None:
    def scattered(values: tuple[float, ...], rows: int = 60, tape_error_mm: float = 2.0) -> Gauge:
        return measure_gauge(
            rows=rows, lengths_mm=values, slots=60, flat_widths_mm=(94.0,), tape_error_mm=tape_error_mm
        )

    now = scattered((140.0, 144.0))
    ways = {way.what: way for way in ways_to_narrow(now, 158.0)}
    rows_each_mm = 60 * 158.0 / 142**2
    spread = now.lengths.spread
    assert ways["reading"].rows_error == pytest.approx(rows_each_mm * math.sqrt(4 / 3 + spread**2 / 3))
    # A tube of 100 rows, 236.7 mm long, read with the same scatter in mm, measured afresh.
    longer = scattered((14200 / 60 - 2, 14200 / 60 + 2), rows=100)
    assert ways["tube"].rows_error == pytest.approx(longer.rows_in(158.0).std_dev)
    finer = scattered((140.0, 144.0), tape_error_mm=0.5)
    assert ways["tape"].rows_error == pytest.approx(finer.rows_in(158.0).std_dev)
    assert all(f"± {way.rows_error:.1f}" in what_narrows(now, 158.0)[-1] for way in ways.values())


def test_one_reading_promises_nothing_of_a_second() -> None:
    ways = {way.what: way for way in ways_to_narrow(tube(), 158.0)}
    assert ways["reading"].rows_error == pytest.approx(tube().rows_in(158.0).std_dev)
    assert "shows no scatter" in ways["reading"].words
    assert "200 rows" in {way.what: way for way in ways_to_narrow(tube(length=236.7, rows=100), 158.0)}["tube"].words
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
    fewer = tube(rows=46)  # 14 of 60 rows left out
    assert any("left out of the count" in s for s in doubts(fewer, tex=240.0))
    assert any("counted as working rows" in s for s in doubts(tube(rows=88), tex=240.0))


def test_a_length_and_a_width_in_the_same_wrong_unit_are_told_by_the_loop() -> None:
    # 14.2 cm and 9.4 cm read as inches: rows to stitches stay near 1.3, and only the tightness is off, by 2.54.
    (loose,) = doubts(tube(length=14.2 * 25.4, width=9.4 * 25.4), tex=238.1)
    assert "centimetres may have been taken for inches" in loose
    (tight,) = doubts(tube(length=55.9, width=37.0), tex=238.1)
    assert "inches may have been taken for centimetres" in tight
    assert not any("taken for" in s for s in doubts(tube(rows=46), tex=240.0))


def sound(length: float = 148.0, width: float = 102.0, slots: int = 64, rows: int = 60) -> Gauge:
    """60 rows over 148 mm, 102 mm flat on 64 slots (ours), one of them wrong where it is given."""
    return measure_gauge(rows=rows, lengths_mm=(length,), slots=slots, flat_widths_mm=(width,))


@pytest.mark.parametrize(
    ("gauge", "said"),
    [
        (sound(length=148 * 2.54), "centimetres may have been taken for inches in the length"),
        (sound(width=102 / 2.54), "inches for centimetres in the width"),
        (sound(length=148 / 2.54), "inches may have been taken for centimetres in the length"),
        (sound(width=102 * 2.54), "centimetres for inches in the width"),
        (sound(slots=96), "96 slots may not be this tube's (about 6"),
        (sound(slots=48), "48 slots may not be this tube's (about 6"),
    ],
)
def test_a_wrong_unit_and_a_wrong_slot_count_are_named(gauge: Gauge, said: str) -> None:
    assert any(said in sentence for sentence in doubts(gauge))
    assert doubts(sound()) == ()


@pytest.mark.parametrize("gauge", [sound(width=4.02), sound(width=40 * 25.4)])
def test_a_number_of_slots_that_no_cylinder_has_is_not_offered(gauge: Gauge) -> None:
    said = " ".join(doubts(gauge))
    assert "64 slots may not be this tube's" in said
    assert "would fit" not in said


def test_a_tube_whose_readings_were_all_inches_called_centimetres_is_named_without_the_yarn() -> None:
    # 5.83 in and 4.02 in of a sound tube, typed as cm: rows to stitches stay as they were.
    (said,) = doubts(sound(length=58.3, width=40.2))
    assert "wrong unit" in said
    assert doubts(sound(rows=75, width=85.0)) == ()


def test_what_no_tube_can_have_is_told_from_what_one_can() -> None:
    assert impossible(sound()) == ""
    assert impossible(tube()) == ""
    assert "1.5 stitches an inch cannot be" in impossible(sound(width=540.0))
    assert "rows an inch cannot be" in impossible(sound(length=900.0))
    apart = measure_gauge(rows=60, lengths_mm=(148.0,), slots=64, flat_widths_mm=(102.0, 102.0, 160.0))
    assert "widths cannot all be of one tube: 102 mm and 160 mm" in impossible(apart)
