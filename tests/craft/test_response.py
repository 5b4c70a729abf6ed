"""The dial's response: the prior, the regression against numpy and scipy, and the leg."""

import math
from typing import TypeVar

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from hosewright.craft import CraftError
from hosewright.craft.dial import Dial
from hosewright.craft.leg import dial_changes, leg_schedule
from hosewright.craft.loops import draw_mm, loop_on_pitch
from hosewright.craft.measured import measured, nominal
from hosewright.craft.response import TubeReading, ceiling_mm, click_for, fit_response, prior_rise

T = TypeVar("T")


def tubes(*pairs: tuple[int, float], spread: float = 0.1) -> tuple[TubeReading, ...]:
    return tuple(TubeReading(clicks, measured(loop, spread)) for clicks, loop in pairs)


DIAL = Dial(1.25)


def known(answer: T | None) -> T:
    assert answer is not None
    return answer


def test_the_prior_lies_between_nothing_and_what_the_v_cam_pulls() -> None:
    # From outside: a loop drawn deeper by a click's travel on needles that stand close has two legs longer by it
    # (`loops`); the prior stays under that, and as near as its own doubt.
    pitch = 0.01
    pulled = loop_on_pitch(draw_mm(12.0, pitch) + known(DIAL.click_mm), pitch) - 12.0
    prior = known(prior_rise(DIAL))
    assert known(ceiling_mm(DIAL)) == pytest.approx(pulled, rel=1e-4)
    assert 0 < prior.nominal_value < pulled < prior.nominal_value + prior.std_dev


def test_one_tube_leaves_the_prior() -> None:
    found = fit_response(tubes((30, 12.5)), DIAL)
    assert found.rise_mm.nominal_value == pytest.approx(known(prior_rise(DIAL)).nominal_value)
    assert found.rise_mm.std_dev == pytest.approx(known(prior_rise(DIAL)).std_dev)
    assert found.loop_at(30).nominal_value == pytest.approx(12.5)
    assert "is only assumed" in found.notes[0]


def test_without_a_pitch_nothing_is_assumed() -> None:
    assert (prior_rise(Dial()), ceiling_mm(Dial())) == (None, None)
    with pytest.raises(CraftError, match="thread pitch, or measure a second tube"):
        fit_response(tubes((27, 14.2), (27, 14.3)))
    two = fit_response(tubes((25, 13.0), (29, 15.0)))
    assert two.rise_mm.nominal_value == pytest.approx(0.5)
    assert "is only assumed" not in " ".join(two.notes)


def readings_of(least: int) -> st.SearchStrategy[list[tuple[int, float, float]]]:
    """Tubes at so many places or more: clicks, loop, error."""
    one = st.tuples(st.integers(10, 60), st.floats(8.0, 20.0), st.floats(0.06, 0.5))
    return st.lists(one, min_size=least, max_size=6, unique_by=lambda reading: reading[0])


@given(readings_of(3))
def test_tubes_alone_against_numpy(readings: list[tuple[int, float, float]]) -> None:
    places = [clicks for clicks, _, _ in readings]
    found = fit_response(tuple(TubeReading(c, measured(loop, u)) for c, loop, u in readings))
    weights = [1 / u for _, _, u in readings]
    (rise, base), covariance = np.polyfit(places, [loop for _, loop, _ in readings], 1, w=weights, cov="unscaled")
    off = [(loop - base - rise * c) / u for c, loop, u in readings]
    widened = max(sum(x * x for x in off) / (len(readings) - 2), 1.0)
    assert found.rise_mm.nominal_value == pytest.approx(rise, rel=1e-5, abs=1e-6)
    assert found.rise_mm.std_dev == pytest.approx(math.sqrt(covariance[0, 0] * widened), rel=1e-5)
    assert found.loop_at(27).nominal_value == pytest.approx(base + rise * 27, rel=1e-5, abs=1e-6)


@given(readings_of(1))
def test_regression_against_numpy(readings: list[tuple[int, float, float]]) -> None:
    found = fit_response(tuple(TubeReading(c, measured(loop, u)) for c, loop, u in readings), DIAL)
    prior = known(prior_rise(DIAL))
    design = np.array([[1.0, c] for c, _, _ in readings] + [[0.0, 1.0]])
    seen = np.array([loop for _, loop, _ in readings] + [prior.nominal_value])
    weights = np.array([u**-2 for _, _, u in readings] + [prior.std_dev**-2])
    covariance = np.linalg.inv(design.T @ (design * weights[:, None]))
    base, rise = covariance @ (design.T @ (weights * seen))
    if len(readings) > 2:
        scatter = float(np.sum(weights * (seen - design @ [base, rise]) ** 2))
        covariance = covariance * max(scatter / (len(readings) - 1), 1.0)
    assert found.rise_mm.nominal_value == pytest.approx(rise, rel=1e-6, abs=1e-7)
    assert found.rise_mm.std_dev == pytest.approx(math.sqrt(covariance[1, 1]), rel=1e-6)
    for clicks in (10, 30, 45):
        row = np.array([1.0, clicks])
        assert found.loop_at(clicks).nominal_value == pytest.approx(base + rise * clicks, rel=1e-6)
        assert found.loop_at(clicks).std_dev == pytest.approx(math.sqrt(row @ covariance @ row), rel=1e-4)


def test_many_good_tubes_drown_the_prior_against_scipy() -> None:
    places = list(range(20, 41, 2))
    loops = [9.0 + 0.11 * c for c in places]
    found = fit_response(tubes(*zip(places, loops, strict=True), spread=0.05), DIAL)
    line = stats.linregress(places, loops)
    assert found.rise_mm.nominal_value == pytest.approx(line.slope, rel=0.02)


@given(st.integers(20, 45), st.floats(0.2, 0.6))
def test_click_for_the_gauge_of_a_click(clicks: int, rise: float) -> None:
    found = fit_response(tubes((28, 12.0), (36, 12.0 + 8 * rise)), DIAL)
    wanted = found.rows_per_mm_at(clicks).nominal_value
    answer = click_for(found, wanted)
    assert answer.clicks == clicks
    assert answer.rows_per_mm.nominal_value == pytest.approx(wanted)
    assert 0 < answer.chance <= answer.chance_within_one <= 1
    assert bool(answer.notes) == all(abs(clicks - c) > 4 for c in (28, 36))


def test_chance_against_scipy() -> None:
    answer = click_for(fit_response(tubes((30, 12.5)), DIAL), 5.5 / 13.2)
    normal = stats.norm(answer.exact.nominal_value, answer.exact.std_dev)
    assert answer.chance == pytest.approx(normal.cdf(answer.clicks + 0.5) - normal.cdf(answer.clicks - 0.5))


def test_far_from_any_tube_and_past_zero() -> None:
    found = fit_response(tubes((30, 12.5)), DIAL)
    far = click_for(found, 5.5 / 17.0)
    assert any("more than a turn from any tube" in note for note in far.notes)
    tight = click_for(fit_response(tubes((2, 12.5)), DIAL), 5.5 / 8.0)
    assert tight.clicks == 0
    assert any("tighter than the zero mark" in note for note in tight.notes)


def test_tubes_that_make_no_sense_are_told() -> None:
    backwards = fit_response(tubes((20, 14.0), (60, 9.0), spread=0.05), DIAL)
    assert any("here it does not" in note for note in backwards.notes)
    with pytest.raises(CraftError, match="backwards"):
        click_for(backwards, 0.44)
    steep = fit_response(tubes((20, 9.0), (30, 20.0), spread=0.05), DIAL)
    assert any("more here than the V-cam can" in note for note in steep.notes)
    scattered = fit_response(tubes((28, 12.0), (30, 14.5), (32, 12.2), (34, 15.0), spread=0.05), DIAL)
    assert any("disagree by more" in note for note in scattered.notes)
    for bad in ((), tubes((-1, 12.0)), tubes((30, 0.0))):
        with pytest.raises(CraftError):
            fit_response(bad)


def test_a_leg_from_calf_to_ankle() -> None:
    found = fit_response(tubes((30, 12.5), (34, 14.6)), DIAL)
    steps, notes = leg_schedule(found, baseline_clicks=30, leg_rows=66, ankle_mm=229.0, calf_mm=260.0)
    assert sum(step.rows for step in steps) == 66
    clicks = [step.clicks for step in steps]
    assert clicks == sorted(clicks, reverse=True)
    assert clicks[-1] == 30
    needed = 12.5 * (260 / 229 - 1) / found.rise_mm.nominal_value
    assert clicks[0] - 30 == round(needed)
    assert [note for note in notes if "taller" not in note] == []
    assert max(s.rows for s in steps) - min(s.rows for s in steps) <= 1


def test_a_wide_calf_stops_a_turn_from_the_tubes() -> None:
    steps, notes = leg_schedule(
        fit_response(tubes((30, 12.5)), DIAL), baseline_clicks=30, leg_rows=66, ankle_mm=229.0, calf_mm=392.0
    )
    assert steps[0].clicks == 34
    assert "stretch must do the rest" in notes[0]
    straight, said = leg_schedule(
        fit_response(tubes((30, 12.5)), DIAL), baseline_clicks=30, leg_rows=66, ankle_mm=229.0, calf_mm=229.0
    )
    assert [(s.rows, s.clicks) for s in straight] == [(66, 30)]
    assert said


def test_bad_legs_are_refused() -> None:
    found = fit_response(tubes((30, 12.5)), DIAL)
    for rows, ankle, calf in ((0, 229.0, 300.0), (66, 0.0, 300.0), (66, 229.0, math.nan)):
        with pytest.raises(CraftError):
            leg_schedule(found, baseline_clicks=30, leg_rows=rows, ankle_mm=ankle, calf_mm=calf)


def test_each_leg_change_says_its_row_and_its_girth() -> None:
    found = fit_response(tubes((30, 12.5), (34, 14.6)), DIAL)
    steps, notes = leg_schedule(found, baseline_clicks=30, leg_rows=66, ankle_mm=229.0, calf_mm=260.0)
    assert [s.from_row for s in steps] == [1 + sum(t.rows for t in steps[:n]) for n in range(len(steps))]
    for step in steps:
        assert step.girth_mm is not None
        loops = [found.loop_at(c).nominal_value for c in (step.clicks, 30)]
        assert step.girth_mm.nominal_value == pytest.approx(229.0 * loops[0] / loops[1])
    assert steps[0].girth_mm is not None
    assert steps[-1].girth_mm is not None
    click = 229.0 * found.rise_mm.nominal_value / 12.5
    assert steps[0].girth_mm.nominal_value == pytest.approx(260.0, abs=click / 2 + 1)
    # The baseline's own loop is common to both ends of the ratio, so the ankle's row carries no error at all.
    assert steps[-1].girth_mm.nominal_value == pytest.approx(229.0)
    assert steps[-1].girth_mm.std_dev == pytest.approx(0.0, abs=1e-9)
    longer = sum(s.rows * (found.loop_at(s.clicks).nominal_value / found.loop_at(30).nominal_value - 1) for s in steps)
    assert sum(nominal(s.more_rows) for s in steps) == pytest.approx(longer)
    (said,) = (note for note in notes if "taller" in note)
    assert f"as long as {66 + longer:.0f} rows" in said


def test_a_leg_too_short_for_its_clicks_says_so() -> None:
    found = fit_response(tubes((30, 12.5), (34, 14.6), (38, 16.7)), DIAL)
    steps, notes = leg_schedule(found, baseline_clicks=30, leg_rows=3, ankle_mm=229.0, calf_mm=300.0)
    assert [(s.rows, s.clicks) for s in steps] == [(1, 32), (1, 31), (1, 30)]
    assert "one row a click" in notes[0]
    assert not any("turn from a measured tube" in note for note in notes)


def test_one_tube_in_closed_form() -> None:
    # With one tube the answer is base + prior x clicks, and the click for a gauge its inverse.
    found = fit_response(tubes((30, 12.5), spread=0.1), DIAL)
    rise = 0.85 * 2 * 0.3125
    for clicks in (26, 30, 34):
        loop = found.loop_at(clicks)
        assert loop.nominal_value == pytest.approx(12.5 + rise * (clicks - 30))
        assert loop.std_dev == pytest.approx(math.hypot(0.1, 0.25 * rise * (clicks - 30)))
    wanted = 10.5 / 25.4
    answer = click_for(found, wanted)
    exact = 30 + (5.5 / wanted - 12.5) / rise
    assert answer.exact.nominal_value == pytest.approx(exact)
    away = (5.5 / wanted - 12.5) / rise
    assert answer.exact.std_dev == pytest.approx(math.hypot(0.1 / rise, 0.25 * away))


def test_an_overwhelmed_prior_leaves_polyfit() -> None:
    # Many tight tubes over a wide span: the prior weighs under a thousandth, so numpy.polyfit must agree.
    rng = np.random.default_rng(5)
    places = [*range(20, 60, 2)]
    loops = [7.0 + 0.3 * c + float(rng.normal(0, 0.05)) for c in places]
    found = fit_response(tubes(*zip(places, loops, strict=True), spread=0.05), DIAL)
    slope, intercept = np.polyfit(places, loops, 1)
    assert found.rise_mm.nominal_value == pytest.approx(slope, rel=1e-3)
    assert found.loop_at(40).nominal_value == pytest.approx(intercept + slope * 40, rel=1e-4)


def test_tubes_that_scatter_make_a_less_sure_answer() -> None:
    calm = fit_response(tubes((28, 12.0), (30, 13.0), (32, 14.0), (34, 15.0), spread=0.05), DIAL)
    wild = fit_response(tubes((28, 12.4), (30, 12.6), (32, 14.4), (34, 14.6), spread=0.05), DIAL)
    assert wild.rise_mm.std_dev > 2 * calm.rise_mm.std_dev
    assert click_for(wild, 5.5 / 13.5).chance < click_for(calm, 5.5 / 13.5).chance


def test_dial_changes_are_made_when_so_many_rows_are_cranked() -> None:
    found = fit_response(tubes((30, 12.5), (34, 14.6)), DIAL)
    steps, _ = leg_schedule(found, baseline_clicks=30, leg_rows=66, ankle_mm=229.0, calf_mm=260.0)
    changes = dial_changes(steps)
    assert changes[0] == (0, steps[0].clicks)
    assert changes[-1] == (66 - steps[-1].rows, 30)
    assert len(changes) == len(steps)


def test_tubes_at_one_place_that_contradict_each_other_are_not_averaged() -> None:
    with pytest.raises(CraftError, match=r"at 7 1/2 turns below zero contradict each other: 12\.0 and 13\.0 mm a loop"):
        fit_response(tubes((30, 12.0), (30, 13.0), spread=0.1), DIAL)
    with pytest.raises(CraftError, match="No answer lies between them"):
        fit_response(tubes((30, 12.0), (30, 13.0), (34, 14.6), spread=0.1), DIAL)
    # Where tubes of one yarn differ by 5 % of a loop they do not.
    assert nominal(fit_response(tubes((30, 12.0), (30, 13.0), spread=0.1), DIAL, 0.05).loop_at(30)) == pytest.approx(
        12.5, abs=0.05
    )


def test_tubes_that_hardly_agree_make_every_one_less_sure() -> None:
    # Of two equally sure readings the standard error of the mean, from their own scatter, is half their distance.
    loop = fit_response(tubes((30, 12.4), (30, 12.6), spread=0.1), DIAL).loop_at(30)
    assert loop.nominal_value == pytest.approx(12.5)
    assert loop.std_dev == pytest.approx(stats.sem([12.4, 12.6])) == pytest.approx(0.1)
    alike = fit_response(tubes((30, 12.5), (30, 12.6), spread=0.1), DIAL)
    assert alike.loop_at(30).std_dev == pytest.approx(0.1 / math.sqrt(2))
