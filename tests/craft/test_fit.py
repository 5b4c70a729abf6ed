"""Which cylinder: predictions marked, monotone in ease, and the slip-on trial above all."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.fit import (
    CylinderChoice,
    CylinderSize,
    OnFoot,
    choose_cylinder,
    predict_circumference,
    trial_words,
    wanted_circumference,
)
from hosewright.craft.measured import measured
from hosewright.words.machine import cylinder_rows, wanted_words

TUBE = CylinderSize(64)
OWNED = (CylinderSize(48), CylinderSize(54), CylinderSize(60), TUBE, CylinderSize(80))


def choose(
    girth: float = 240.0,
    heel: float | None = 327.0,
    trial: OnFoot | None = None,
    ease: float = 0.1,
    owned: tuple[CylinderSize, ...] = OWNED,
    tube: CylinderSize = TUBE,
) -> CylinderChoice:
    return choose_cylinder(
        tube=tube, circumference=measured(216.0, 1.2), loop_mm=measured(12.57, 0.06), owned=owned, girth_mm=girth,
        heel_ankle_mm=heel, ease=ease, trial=trial,
    )  # fmt: skip


def test_ten_per_cent_of_ease() -> None:
    # How to Knit Socks (Storey), ch. 3: about 10 % in stocking stitch; typical finished 8 in for women.
    assert wanted_circumference(228.1) == pytest.approx(205.3, abs=0.05)
    assert wanted_circumference(228.1) / 25.4 == pytest.approx(8.0, abs=0.1)


def test_published_range_of_ease_is_right_for_the_foot() -> None:
    # Custom Socks, introduction: socks 5 to 10.5 in for feet 5.5 to 12 in round (9 to 12.5 % ease).
    for girth in (216.0 / (1 - 0.09), 216.0 / (1 - 0.125)):
        own = choose(girth, heel=None).fits[3]
        assert own.verdict == "right"


def test_own_cylinder_is_measured_and_others_predicted() -> None:
    found = choose()
    for fit in found.fits:
        assert fit.measured == (fit.cylinder == TUBE)
        assert ("measured" if fit.measured else "predicted") in fit.words
        assert fit.circumference.nominal_value == pytest.approx((fit.low_mm + fit.high_mm) / 2)
        assert (fit.low_mm < fit.high_mm) == (not fit.measured)
    assert found.best.cylinder == TUBE
    assert found.wanted_mm == pytest.approx(216.0)


def test_predictions_run_from_unadjusted_to_adjusted() -> None:
    unadjusted, adjusted = predict_circumference(measured(216.0, 1.2), measured(12.57, 0.06), TUBE, CylinderSize(60))
    assert unadjusted.nominal_value == pytest.approx(216.0 * 60 / 64)
    # Fewer needles stand further apart and draw a longer loop: l = 2 sqrt(d^2 + (p / 2)^2).
    pitch, wider = 3.141592653589793 * 110 / 64, 3.141592653589793 * 110 / 60
    draw_squared = (12.57 / 2) ** 2 - (pitch / 2) ** 2
    loop = 2 * (draw_squared + (wider / 2) ** 2) ** 0.5
    assert adjusted.nominal_value == pytest.approx(unadjusted.nominal_value * loop / 12.57)
    assert adjusted.nominal_value > unadjusted.nominal_value


def test_same_cylinder_predicts_itself() -> None:
    for found in predict_circumference(measured(216.0, 1.2), measured(12.57, 0.06), TUBE, TUBE):
        assert found.nominal_value == pytest.approx(216.0)


@given(st.floats(150.0, 300.0), st.floats(0.0, 0.4), st.floats(0.0, 0.4))
def test_more_ease_never_a_bigger_sock(girth: float, one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert wanted_circumference(girth, more) <= wanted_circumference(girth, less)
    bigger, smaller = choose(girth, None, ease=less).best, choose(girth, None, ease=more).best
    assert smaller.circumference.nominal_value <= bigger.circumference.nominal_value


def test_the_trial_outranks_the_arithmetic() -> None:
    # The girth alone would pick 80; the foot liked the tube.
    assert choose(girth=300.0).best.cylinder.slots == 80
    kept = choose(girth=300.0, trial="right")
    assert kept.best.cylinder == TUBE
    assert "outranks" in kept.best.words
    assert kept.notes
    assert choose(trial="loose").best.cylinder.slots < 64
    assert choose(trial="tight").best.cylinder.slots == 80
    alone = choose_cylinder(
        tube=TUBE, circumference=measured(216.0), loop_mm=measured(12.57), owned=(), girth_mm=240.0, trial="tight"
    )
    assert alone.best.cylinder == TUBE
    assert "no other cylinder" in alone.notes[0]


def test_the_leg_must_pass_over_the_heel() -> None:
    # ANSUR II: heel-ankle is 1.36 of the ball girth on average, so a sock with 10 % ease passes it.
    assert choose(240.0, 240.0 * 1.36).fits[3].verdict == "right"
    assert choose(240.0, 420.0).fits[0].verdict == "will not go on"
    assert choose(240.0, 390.0).fits[3].verdict == "tight"
    assert choose(100.0 * 1.8, 410.0).best.verdict != "will not go on"


def test_verdicts_in_order_of_size() -> None:
    order = ["tight", "snug", "right", "loose"]
    said = [choose(girth, None).fits[3].verdict for girth in (300.0, 260.0, 240.0, 210.0)]
    assert said == order


def test_nonsense_is_refused() -> None:
    for bad in (
        lambda: choose(girth=0.0), lambda: choose(ease=0.9), lambda: choose(ease=-0.1),
        lambda: choose(girth=float("nan")),
        lambda: CylinderSize(2), lambda: CylinderSize(64, 0.0), lambda: choose(trial="itchy"),  # type: ignore[arg-type]
    ):  # fmt: skip
        with pytest.raises(CraftError):
            bad()


def test_the_width_stretched_wide_decides_whether_the_heel_passes() -> None:
    def wide(width: float, heel: float = 327.0) -> CylinderChoice:
        return choose_cylinder(
            tube=TUBE, circumference=measured(216.0, 1.2), loop_mm=measured(12.57, 0.06), owned=OWNED, girth_mm=240.0,
            heel_ankle_mm=heel, stretched_width_mm=width,
        )  # fmt: skip

    stiff = wide(160.0).fits[3]
    assert (stiff.verdict, stiff.heel_passes, stiff.stretched_mm) == ("will not go on", False, 320.0)
    assert "the heel does not pass" in stiff.words
    assert wide(220.0).fits[3].verdict == "right"
    # Our band of 90 % would refuse this heel; the tube, measured, lets it through.
    assert choose(240.0, 420.0).fits[3].verdict == "will not go on"
    stretchy = wide(300.0, 420.0).fits[3]
    assert (stretchy.heel_passes, stretchy.verdict) == (True, "right")
    for fit in wide(220.0).fits:
        assert fit.stretched_mm == pytest.approx(fit.circumference.nominal_value * 440.0 / 216.0)
    with pytest.raises(CraftError, match="pulled wide"):
        wide(80.0)


def test_a_predictions_error_takes_in_its_range() -> None:
    found = choose().fits[1]
    half = (found.high_mm - found.low_mm) / 2
    measured_part = 1.2 * 54 / 64
    assert found.circumference.std_dev >= (half**2 / 3 + measured_part**2) ** 0.5
    assert found.circumference.std_dev == pytest.approx((half**2 / 3 + measured_part**2) ** 0.5, rel=0.05)


def test_an_estimated_girth_widens_the_verdict() -> None:
    # The residual spread of ball girth on foot length is 10.4 mm (ANSUR II): here it spans two verdicts.
    def words(girth: float, spread: float) -> str:
        return choose_cylinder(
            tube=TUBE, circumference=measured(216.0, 1.2), loop_mm=measured(12.57), owned=(),
            girth_mm=measured(girth, spread),
        ).best.words  # fmt: skip

    assert "within the errors" not in words(249.0, 0.0)
    assert "(from snug to right within the errors)" in words(249.0, 10.4)


def test_when_none_goes_on_there_is_none_to_use() -> None:
    small = choose(girth=330.0, heel=620.0)
    assert small.none_goes_on
    said = wanted_words(small, "cm")
    assert "None of these goes on over this heel." in said
    assert "To use" not in said
    assert not any(row[0].startswith("*") for row in cylinder_rows(small, "cm"))
    assert any("more slots than any of these" in note for note in small.notes)
    assert not choose().none_goes_on
    assert "To use" in wanted_words(choose(), "cm")


def test_a_trial_that_leaves_only_cylinders_that_do_not_go_on_leaves_none_to_use() -> None:
    # Tight on the foot, so that only more slots could help; those do not pass over this heel by the girth.
    choice = choose(owned=(CylinderSize(80),), girth=330.0, heel=620.0, trial="tight")
    assert [fit.verdict for fit in choice.fits] == ["tight", "will not go on"]
    assert choice.none_goes_on
    assert "To use" not in wanted_words(choice, "cm")


@pytest.mark.parametrize(("girth", "trial"), [(400.0, None), (100.0, None), (240.0, "tight")])
def test_a_cylinder_that_does_not_fit_is_the_nearest_and_not_the_one_to_use(girth: float, trial: OnFoot | None) -> None:
    said = wanted_words(choose(owned=(), girth=girth, trial=trial), "cm")
    assert "None fits; the nearest: " in said
    assert "To use" not in said


@pytest.mark.parametrize(
    ("trial", "round_mm", "said"),
    [
        ("tight", 216.0, "On the foot: tight, though by the tape it would be right: it is 10 % less round"),
        ("right", 216.0, "On the foot: right, as the tape says too"),
        ("loose", 240.0, "On the foot: loose, as the tape says too"),
        ("right", 195.0, "On the foot: right, as the tape says too"),  # snug: between right and tight
        ("loose", 195.0, "On the foot: loose, though by the tape it would be snug"),
    ],
)
def test_how_the_tube_sat_is_held_against_the_tape(trial: str, round_mm: float, said: str) -> None:
    assert trial_words(trial, round_mm, 240.0, "cm").startswith(said)


def test_without_a_girth_or_for_a_foot_at_risk_the_tube_gets_no_verdict_by_tape() -> None:
    assert "no tape to compare it with" in trial_words("tight", 216.0, None)
    at_risk = trial_words("tight", 216.0, 240.0, "cm", verdicts=False)
    assert at_risk == "On the foot: tight. The tube is 10 % less round than the foot's 24.0 cm."


def test_a_prediction_from_an_assumed_diameter_says_so() -> None:
    def assumed(tube: CylinderSize, *others: CylinderSize) -> list[str]:
        return [note for note in choose(tube=tube, owned=others).notes if "assumed" in note]

    (said,) = assumed(CylinderSize(60), CylinderSize(54), CylinderSize(64, 112.0))
    assert said.startswith("Nobody measured across the needles of 60 slots, 54 slots: 4.33 in is assumed.")
    (said,) = assumed(CylinderSize(60, 110.0), CylinderSize(64))
    assert said.startswith("Nobody measured across the needles of 64 slots:")
    assert not assumed(CylinderSize(60, 110.0), CylinderSize(64, 112.0))
    assert not assumed(CylinderSize(60))  # nothing is predicted
