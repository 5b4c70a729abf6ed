"""Planning a sock: the trade's worked examples, both routes to the foot, and plans that cannot be."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.craft import CraftError
from hosewright.craft.gauge import measure_gauge, ways_to_narrow
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured
from hosewright.craft.sock import SockPlan, another_tube, plan_sock, ways_for_sock
from hosewright.craft.sock_notes import explain_rows
from hosewright.craft.spread import ASSUMED, pool
from hosewright.craft.supply import yarn_for
from hosewright.craft.units import read_length
from hosewright.craft.yarn import yarn_per_stitch

ROWS, STITCHES = 0.42, 0.32


def sock(**more: object) -> SockPlan:
    given_: dict[str, object] = {"slots": 60, "rows_per_mm": ROWS, "stitches_per_mm": STITCHES, **more}
    return plan_sock(**given_)  # type: ignore[arg-type]


def test_a_sock_of_common_practice() -> None:
    # Common practice, no source: 152.4 mm at 100/9 rows an inch.
    plan = sock(slots=72, rows_per_mm=50 / 114.3, stitches_per_mm=72 / 215.9, tube_length_mm=152.4)
    assert plan.foot_rows == 67
    assert (plan.needles, plan.heel.left_in_work, plan.heel.count, plan.heel.stitches) == (36, 12, 48, 1152)
    assert [(s.name, s.kind, s.count) for s in plan.sections] == [
        ("heel", "passes", 48),
        ("foot", "rows", 67),
        ("toe", "passes", 48),
    ]
    assert plan.stitches_per_sock == 67 * 72 + 2 * 1152
    assert any("for a foot of about" in note for note in plan.notes)


def test_from_a_foot() -> None:
    plan = sock(foot_length_mm=256.0)
    assert plan.foot_rows == math.floor(243.3 * ROWS - 40 + 0.5) == 62
    assert plan.routes[0].by == "foot"


def test_leg_and_hem_come_first() -> None:
    plan = sock(tube_length_mm=160.0, leg_mm=160.0, hem_rows=20)
    assert [s.name for s in plan.sections] == ["hem", "leg", "heel", "foot", "toe"]
    assert plan.sections[1].count == 67
    assert plan.stitches_per_sock == sum(s.stitches for s in plan.sections)
    assert any("10 rows deep" in note for note in plan.notes)


@given(st.floats(60.0, 250.0), st.floats(0.25, 0.9))
def test_inches_and_centimetres_plan_the_same_sock(mm: float, rate: float) -> None:
    inches = sock(rows_per_mm=rate, tube_length_mm=read_length(f"{mm / 25.4:.9f} in"))
    metric = sock(rows_per_mm=rate, tube_length_mm=read_length(f"{mm / 10:.8f} cm"))
    assert abs(inches.foot_rows - metric.foot_rows) <= (abs(mm * rate % 1 - 0.5) < 1e-4)


@given(st.floats(200.0, 320.0), st.floats(0.0, 40.0), st.floats(0.0, 40.0))
def test_more_ease_never_makes_a_bigger_sock(foot: float, one: float, other: float) -> None:
    less, more = sorted((one, other))
    assert (
        sock(foot_length_mm=foot, length_ease_mm=more).foot_rows
        <= sock(foot_length_mm=foot, length_ease_mm=less).foot_rows
    )


def test_a_sock_that_fits_wins_and_the_foot_stands_beside() -> None:
    tube = (256.0 - 12.7) - 40 / ROWS
    plan = sock(tube_length_mm=tube, foot_length_mm=256.0)
    assert [route.by for route in plan.routes] == ["tube", "foot"]
    assert plan.foot_rows == plan.routes[0].rows == plan.routes[1].rows
    assert not any("tip to tip" in note or "measure it" in note for note in plan.notes)


def test_a_sock_measured_tip_to_tip_is_asked_about() -> None:
    plan = sock(tube_length_mm=256.0 - 12.7, foot_length_mm=256.0)
    assert plan.routes[0].rows - plan.routes[1].rows == 40
    assert any("tip to tip? That is 40 rows too long" in note for note in plan.notes)
    alone = sock(tube_length_mm=243.3)
    assert any("tip to tip" in note for note in alone.notes)


def test_a_smaller_disagreement_is_told() -> None:
    plan = sock(tube_length_mm=160.0, foot_length_mm=256.0)
    assert plan.foot_rows == 67
    assert any("measure it and the foot once more" in note for note in plan.notes)


def test_the_error_is_told_in_rows() -> None:
    plan = sock(rows_per_mm=measured(ROWS, ROWS * 0.03), tube_length_mm=158.7)
    assert plan.foot_rows_error == pytest.approx(2.0, abs=0.01)
    assert any("67 ± 2 rows" in note and "over 2 times" in note for note in plan.notes)
    assert explain_rows(measured(67.0, 0.8)) == ("The foot is 67 ± 1 rows.",)


def test_a_foot_too_short_gets_the_nearest_that_can_be_knitted() -> None:
    with pytest.raises(CraftError, match="shortest foot is") as raised:
        sock(foot_length_mm=100.0)
    said = str(raised.value)
    left = int(said.split("leave ")[1].split()[0])
    assert sock(foot_length_mm=100.0, left_in_work=left).foot_rows >= 1
    shortest = read_length(said.split("foot is ")[1].split(",")[0])
    assert sock(foot_length_mm=shortest + 0.2).foot_rows in (1, 2)
    with pytest.raises(CraftError, match="shortest foot is"):
        sock(foot_length_mm=100.0, left_in_work=left - 2)
    with pytest.raises(CraftError, match="fewer slots"):
        sock(foot_length_mm=20.0)
    # By hand: 30 to 10 and 30 to 9 are 20 and 21 rows; with one of foot 42 rows, 100 mm and half an inch of ease.
    with pytest.raises(CraftError, match=r"take 41 rows, .* shortest foot is 113 mm"):
        sock(foot_length_mm=100.0, toe_left_in_work=9, unit="mm")
    with pytest.raises(CraftError, match="the shortest is 2 mm"):
        sock(tube_length_mm=1.0)
    assert sock(tube_length_mm=2.0).foot_rows == 1


@pytest.mark.parametrize("length", [{"tube_length_mm": 160.0}, {"foot_length_mm": 256.0}])
@pytest.mark.parametrize("tubes", [1, 2, 5])
def test_one_more_tube_leaves_the_error_of_a_plan_made_with_one_more(length: dict[str, float], tubes: int) -> None:
    def of(many: int) -> SockPlan:
        mean = pool([measured(ROWS, 0.005)] * many, ASSUMED)
        rate = measured(mean.value, mean.tape_error)
        return sock(rows_per_mm=rate, departs=ASSUMED.departs(many), **length)

    assert another_tube(of(tubes), ASSUMED, tubes) == pytest.approx(of(tubes + 1).foot_rows_error)


@pytest.mark.parametrize(("length", "over"), [({"tube_length_mm": 160.0}, 160.0), ({"foot_length_mm": 256.0}, 243.3)])
def test_ways_to_a_surer_foot_are_over_all_that_the_gauge_was_multiplied_by(
    length: dict[str, float], over: float
) -> None:
    """A foot's length is multiplied whole, its heel and toe with it, and its ease not."""
    gauge = measure_gauge(rows=60, lengths_mm=(60 / ROWS,), slots=60, flat_widths_mm=(94.0,))
    assert ways_for_sock(gauge, sock(rows_per_mm=gauge.rows_per_mm, **length)) == ways_to_narrow(gauge, over)


@pytest.mark.parametrize(
    "bad",
    [
        {},
        {"foot_length_mm": -1.0}, {"foot_length_mm": math.nan}, {"tube_length_mm": math.inf}, {"tube_length_mm": 0.5},
        {"foot_length_mm": 250.0, "length_ease_mm": 300.0}, {"foot_length_mm": 250.0, "length_ease_mm": -1.0},
        {"tube_length_mm": 150.0, "left_in_work": 30},
        {"tube_length_mm": 150.0, "left_in_work": 13, "lowering": "near"},
        {"tube_length_mm": 150.0, "hem_rows": 7}, {"tube_length_mm": 150.0, "hem_rows": -2},
        {"tube_length_mm": 150.0, "leg_mm": -5.0}, {"tube_length_mm": 150.0, "rows_per_mm": 0.0},
        {"tube_length_mm": 150.0, "rows_per_mm": math.nan}, {"tube_length_mm": 150.0, "slots": 4},
        {"tube_length_mm": 150.0, "stitches_per_mm": 900.0}, {"tube_length_mm": 150.0, "toe_left_in_work": 1},
    ],
)  # fmt: skip
def test_plans_that_cannot_be_knitted_say_why(bad: dict[str, object]) -> None:
    with pytest.raises(CraftError) as raised:
        sock(**bad)
    assert str(raised.value).endswith(".")


def test_odd_slots_and_uneven_gores_are_noted() -> None:
    plan = sock(slots=61, tube_length_mm=160.0, left_in_work=13)
    assert plan.needles == 30
    assert any("heel gets 30 and the instep 31" in note for note in plan.notes)
    assert sum("gores" in note for note in plan.notes) == 2


def test_plain_passes_and_a_toe_of_its_own() -> None:
    plan = sock(foot_length_mm=256.0, plain_passes=True, toe_left_in_work=8)
    assert plan.heel.stitches == 800 + 60
    assert plan.toe.stitches == 30**2 - 8**2 + 60
    assert plan.foot_rows == math.floor(243.3 * ROWS - 21 - 23 + 0.5)


def test_yarn_for_a_pair() -> None:
    # From outside: the mass of the leg's cloth by its size. Texcoms Textile Technical Handbook (2023), p. 147, formula
    # a: g per square metre = courses/in x wales/in x loop (mm) x 39.37 x 39.37 x tex / 1,000,000.
    plan = sock(tube_length_mm=160.0, leg_mm=160.0)
    loop = loop_length_mm(ROWS)
    need = yarn_for(plan, loop, 420.0, 100.0)
    per_square_metre = ROWS * 25.4 * STITCHES * 25.4 * loop * 39.37**2 * (100_000 / 420) / 1e6
    round_mm, long_mm = 60 / STITCHES, 67 / ROWS
    leg_g = dict(need.section_grams)["leg"]
    assert leg_g == pytest.approx(per_square_metre * round_mm * long_mm / 1e6, rel=1e-4)
    assert need.grams_per_pair is not None
    assert need.grams_per_pair / (2 * leg_g) == pytest.approx(plan.stitches_per_sock / (67 * 60))
    assert need.metres_per_pair == pytest.approx(need.grams_per_pair * 4.2)
    assert need.enough is True
    assert yarn_for(plan, loop, 420.0, 50.0).enough is False
    close = yarn_for(plan, loop, 420.0, need.grams_per_pair + 1)
    assert close.enough is None
    assert "too close" in close.notes[-1]
    assert yarn_for(plan, loop).enough is None
    assert yarn_for(plan, loop, ball_g=100.0).enough is None


@pytest.mark.parametrize(
    ("loop", "count", "ball"), [(0.0, None, None), (math.nan, None, None), (12.5, -1.0, None), (12.5, 420.0, 0.0)]
)
def test_bad_yarn_is_refused(loop: float, count: float | None, ball: float | None) -> None:
    with pytest.raises(CraftError):
        yarn_for(sock(tube_length_mm=160.0), loop, count, ball)


def test_the_yarns_error_is_neither_lost_nor_counted_twice() -> None:
    plan = sock(tube_length_mm=160.0)
    rough = yarn_for(plan, measured(12.5, 0.5))
    assert rough.metres_error / rough.metres_per_pair == pytest.approx(math.hypot(0.5 / 12.5, 0.05))
    weighed = yarn_per_stitch(measured(12.5, 0.1), 250.0, measured(11.25 / 3600, 0.2 / 3600))
    sharp = yarn_for(plan, weighed)
    assert sharp.metres_error / sharp.metres_per_pair == pytest.approx(
        weighed.combined_mm.std_dev / weighed.combined_mm.nominal_value
    )
    assert sharp.metres_error < 0.02 * sharp.metres_per_pair


def test_the_error_of_a_measured_foot_is_carried() -> None:
    rate = measured(ROWS, ROWS * 0.01)
    plan = sock(rows_per_mm=rate, foot_length_mm=measured(256.0, 4.0))
    assert plan.foot_rows_error == pytest.approx(math.hypot(243.3 * ROWS * 0.01, 4.0 * ROWS))
    assert any("1.7 of it from the length itself" in note for note in plan.notes)
    finer = sock(rows_per_mm=measured(ROWS, ROWS * 0.03), foot_length_mm=measured(256.0, 0.6))
    (said,) = (note for note in finer.notes if "times as many" in note)
    times = float(said.split("over ")[1].split()[0])
    again = sock(rows_per_mm=measured(ROWS, ROWS * 0.03 / times), foot_length_mm=measured(256.0, 0.6))
    assert 0.95 <= again.foot_rows_error <= 1.0


def test_two_routes_are_not_called_different_within_twice_their_error() -> None:
    # 1.6 rows apart, with 1.1 rows of tape and gauge between them.
    tube = (256.0 - 12.7) - (40 - 1.6) / ROWS
    apart = sock(tube_length_mm=measured(tube, 2.0), foot_length_mm=measured(256.0, 2.0))
    assert not any("once more" in note for note in apart.notes)
    assert any("once more" in note for note in sock(tube_length_mm=tube, foot_length_mm=256.0).notes)


def test_what_is_likely_a_slip_in_a_plan_is_said() -> None:
    def notes(slots: int, foot_mm: float) -> str:
        return " ".join(
            plan_sock(slots=slots, rows_per_mm=10.3 / 25.4, stitches_per_mm=8 / 25.4, foot_length_mm=foot_mm).notes
        )

    assert "rows of foot are left" not in notes(64, 250.0)
    assert "Only 2 rows of foot are left between heel and toe" in notes(64, 125.0)
    assert "far too wide for a foot 125 mm long" in notes(64, 125.0)
    assert "far too wide" not in notes(64, 250.0)
    assert "63 slots do not divide in half" in notes(63, 250.0)
    assert "200 slots is an unlikely number" in notes(200, 380.0)
    assert "24 slots is an unlikely number" in notes(24, 250.0)
