"""Planning in full: cuffs, legs, deeper heels, the dial, cylinders, two feet and worn socks, without Textual."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.craft.correction import SockVerdict
from hosewright.craft.gauge import measure_gauge
from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.ribs import RibGauge
from hosewright.logbook.find.evidence import MeasuredTube, Worn
from hosewright.logbook.records import planned
from hosewright.logbook.records.shelf import Cylinder, Plan, Wearer
from hosewright.picture.of_sock import measures, of_plan
from hosewright.planning.fit import feet_of
from hosewright.planning.plan_lines import read_leg
from hosewright.planning.sock import shape_of, to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.words.tight import of_plan as of_plan_tight
from tests.bench.stage import WEARER
from tests.bench.test_plan import knit, tubes_of

if TYPE_CHECKING:
    from hosewright.planning.gauges import Knit

TUBE = Typed(tube="15 cm", leg="14 cm")
FOOT = Typed(foot="10 1/2 in", leg="14 cm")
LEGS = WEARER.model_copy(update={"sized_as": "men", "ankle_mm": 230.0, "calf_mm": 250.0})


def parts(typed: Typed, wearer: Wearer | None = None, k: Knit | None = None) -> dict[str, int]:
    worked = work_out(typed, k or knit(), wearer)
    assert worked.sock is not None, worked.missing or worked.problems
    return {section.name: section.count for section in worked.sock.sections}


def says(typed: Typed, wearer: Wearer | None = None, **more: Any) -> str:
    return "\n".join(work_out(typed, knit(), wearer, **more).notes)


# --- cuff -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "part", "line"),
    [
        (replace(TUBE, cuff="picot", rows="16"), "hem", "16 rows, picot, hung"),
        (replace(TUBE, cuff="mock rib", pattern="3x1", rows="16"), "hem", "16 rows, 3x1, hung"),
        (replace(TUBE, cuff="mock rib single", pattern="3 in 1 out", rows="15"), "cuff", "15 rows, 3x1, single"),
        (replace(TUBE, cuff="ribber", pattern="3x1", rows="20"), "cuff", "20 rows, ribber 3x1"),
    ],
)
def test_a_cuff_of_every_kind(typed: Typed, part: str, line: str) -> None:
    worked = work_out(typed, knit(), None)
    assert dict(worked.parts)[part.capitalize()] == line
    kept = to_plan("a-plan", typed, knit(), None, worked)
    assert Plan.model_validate_json(kept.model_dump_json()) == kept
    cuff = planned.cuff(kept)
    assert cuff is not None
    assert worked.sock is not None
    assert cuff == worked.sock.cuff


def test_a_rib_that_does_not_go_round_names_what_does_and_how_to_keep_it() -> None:
    typed = replace(TUBE, cuff="mock rib", pattern="4x1", rows="16")
    worked = work_out(typed, knit(), None)
    assert "leaves 4 over" in worked.problems["pattern"]
    assert "3x1" in worked.problems["pattern"]
    assert "Type 4x1 uneven to keep it." in worked.problems["pattern"]
    kept = work_out(replace(typed, pattern="4x1 uneven"), knit(), None)
    assert kept.sock is not None
    assert any("at the back" in note for note in kept.notes)


def test_a_cuff_without_rows_or_pattern_has_its_sentence_at_its_line() -> None:
    assert "rows" in work_out(replace(TUBE, cuff="hem"), knit(), None).problems
    assert "pattern" in work_out(replace(TUBE, cuff="ribber", rows="16"), knit(), None).problems
    assert "picot" in work_out(replace(TUBE, cuff="picot", rows="16"), knit(slots=71), None).problems["rows"]


# --- leg --------------------------------------------------------------------------------------------------------


def test_a_leg_by_name() -> None:
    assert parts(replace(TUBE, leg="crew"))["leg"] == 57  # 14 cm at 4.054 rows/cm
    assert parts(replace(TUBE, leg="Knee women"))["leg"] == parts(replace(TUBE, leg="knee"), LEGS.model_copy(
        update={"sized_as": "women"}))["leg"]  # fmt: skip
    # ANSUR II women: kneecap 449.05 mm; the sock ends 76.2 below it and the heel is 22 rows deep, by hand.
    assert parts(replace(TUBE, leg="knee women"))["leg"] == round((449.05 - 76.2) * 60 / 148) - 22
    assert "estimate" in says(replace(TUBE, leg="mid-calf men"))


def test_a_named_leg_of_nobody_asks_whose() -> None:
    assert "type knee men or knee women" in work_out(replace(TUBE, leg="knee"), knit(), None).missing


def test_legs_are_read_as_people_write_them() -> None:
    assert read_leg("mid calf, men").name == "mid-calf"
    assert read_leg("none").mm == 0
    assert read_leg("15 cm").mm == pytest.approx(150)


def test_a_leg_by_the_dial_follows_the_girths_and_ends_at_the_baseline() -> None:
    typed = replace(TUBE, shaped="yes", ankle="23 cm", calf="25 cm")
    worked = work_out(typed, knit(), None)
    assert worked.made is not None
    steps = worked.made.schedule
    assert steps[-1].clicks == 27
    assert steps[0].clicks > 27
    assert steps[0].girth_mm is not None
    assert nominal(steps[0].girth_mm) == pytest.approx(250, abs=5)
    assert error(steps[0].girth_mm) > 0
    assert worked.leg[0][1].startswith("7 1/4 turns, fits 9.76 ± 0.18 in")
    kept = to_plan("a-plan", typed, knit(), None, worked)
    assert kept.dial_changes == worked.made.dial_changes
    assert kept.dial_changes[-1][1] == kept.dial
    assert work_out(TUBE, knit(), None).leg == ()


def test_girths_that_are_not_taped_are_estimated_for_the_dial_and_said() -> None:
    typed = replace(TUBE, shaped="yes")
    told = LEGS.model_copy(update={"ankle_mm": None, "calf_mm": None})
    notes = says(typed, told)
    assert "Ankle girth is an estimate" in notes
    assert "Calf girth is an estimate" in notes
    assert "Type the ankle girth" in work_out(typed, knit(), None).missing
    assert "needs a leg" in work_out(replace(typed, leg="none", ankle="23 cm", calf="25 cm"), knit(), None).missing


def test_tubes_at_other_positions_sharpen_the_dial() -> None:
    typed = replace(TUBE, shaped="yes", ankle="23 cm", calf="25 cm")
    alone = knit()
    loop = nominal(alone.fabric.loop_mm)
    more = replace(alone, since=tubes_of((30, 5.5 / loop), (26, 5.5 / (loop - 1.1))))
    rough, sharp = (work_out(typed, one, None).made for one in (alone, more))
    assert rough is not None
    assert sharp is not None
    assert rough.schedule[0].girth_mm is not None
    assert sharp.schedule[0].girth_mm is not None
    assert error(sharp.schedule[0].girth_mm) < error(rough.schedule[0].girth_mm)


def test_a_leg_shaped_by_the_dial_is_drawn_as_its_tubes_say() -> None:
    """Loops by the dial as the response has them; the kept plan is drawn like the one typed."""
    typed, gauge = replace(TUBE, shaped="yes", ankle="23 cm", calf="25 cm"), knit()
    worked = work_out(typed, gauge, None)
    assert worked.made is not None
    shape = shape_of(worked.made, gauge.fabric)
    response, at = gauge.fabric.response, gauge.gauge.dial
    assert at is not None
    leg = next(tube for tube in shape.above if tube.name == "leg")
    first = worked.made.dial_changes[0][1]
    wanted = nominal(response.loop_at(first)) / nominal(response.loop_at(at))
    assert wanted > 1
    assert leg.wide_mm[0] / shape.foot.wide_mm[0] == pytest.approx(wanted)
    kept = to_plan("a-plan", typed, gauge, None, worked)
    assert of_plan(kept).box == pytest.approx(shape.box)
    parts, girth = measures(shape, "cm")
    assert ", at the top " in girth
    assert [words.split(" ")[0] for words in parts] == list(shape.names)
    straight = to_plan("a-plan", TUBE, gauge, None, work_out(TUBE, gauge, None))
    assert straight.loop_a_click is None


def test_the_yarn_of_a_leg_by_the_dial_counts_its_larger_loops() -> None:
    straight = work_out(TUBE, knit(), None)
    wide = work_out(replace(TUBE, shaped="yes", ankle="23 cm", calf="25 cm"), knit(), None)
    assert straight.yarn is not None
    assert wide.yarn is not None
    assert wide.made is not None
    rows = sum(step.rows * (nominal(step.larger) - 1) for step in wide.made.schedule)  # of the baseline's size
    a_row = 2 * dict(straight.yarn.sections)["leg"] / parts(TUBE)["leg"]
    assert wide.yarn.metres_per_pair - straight.yarn.metres_per_pair == pytest.approx(rows * a_row)
    assert any("larger loops of the shaped leg" in note for note in wide.notes)
    assert to_plan("a-plan", TUBE, knit(), None, wide).metres_per_pair == wide.yarn.metres_per_pair


def test_the_tube_is_held_against_the_ankle_and_a_knee_leg_against_the_calf() -> None:
    crew = work_out(replace(TUBE, leg="crew"), knit(), LEGS)
    assert dict(crew.rest)["Leg at ankle"] == "11 % ease, right"
    assert "Leg at calf" not in dict(crew.rest)
    knee = work_out(replace(TUBE, leg="knee"), knit(), LEGS.model_copy(update={"calf_mm": 360.0}))
    assert dict(knee.rest)["Leg at calf"] == "43 % ease, tight"
    assert "Round the calf (14.17 in) the leg, 8.03 in round, stretches 76 %: tight there." in knee.notes
    guessed = work_out(replace(TUBE, leg="knee"), knit(), LEGS.model_copy(update={"calf_mm": None}))
    assert any(note.startswith("Round the calf") and "±" in note for note in guessed.notes)
    unknown = work_out(replace(TUBE, leg="knee men"), knit(), None)
    assert any("round the calf, whose girth is not known: type it with the wearer" in note for note in unknown.notes)
    careful = work_out(replace(TUBE, leg="crew"), knit(), LEGS.model_copy(update={"caution": True}))
    assert dict(careful.rest)["Leg at ankle"] == "11 % ease"


# --- heel -------------------------------------------------------------------------------------------------------


def test_each_way_to_a_deeper_heel() -> None:
    plain = parts(FOOT)
    rows, passes, needles = (parts(replace(FOOT, deepen=way, deeper="4")) for way in ("rows", "passes", "needles"))
    assert (rows["ankle"], rows["foot"], rows["heel"]) == (4, plain["foot"], 44)
    assert (passes["heel"], passes["foot"]) == (52, plain["foot"] - 4)
    assert (needles["heel"], needles["foot"]) == (2 * (32 - 6), plain["foot"] - 4)
    worked = work_out(replace(FOOT, deepen="passes", deeper="4"), knit(), None)
    kept = to_plan("a-plan", FOOT, knit(), None, worked)
    assert (kept.extra_heel_passes, kept.extra_heel_rows) == (8, 0)
    assert planned.turnings(kept)[0].count == 52


def test_too_few_needles_offers_the_other_ways() -> None:
    assert "choose plain passes" in work_out(replace(FOOT, deepen="needles", deeper="14"), knit(), None).missing
    assert "deeper" in work_out(replace(FOOT, deepen="rows"), knit(), None).problems


def test_a_high_instep_is_shown_every_way() -> None:
    notes = says(FOOT, WEARER.model_copy(update={"high_instep": True}))
    assert notes.count("For the high instep:") == 3


def test_the_toe_has_needles_of_its_own() -> None:
    assert (parts(replace(TUBE, toe="8"))["heel"], parts(replace(TUBE, toe="8"))["toe"]) == (44, 48)


# --- fit --------------------------------------------------------------------------------------------------------


def test_all_cylinders_side_by_side_and_the_best_marked() -> None:
    small = Cylinder(id="c60", name="Sixty", slots=60, diameter_mm=108.0)
    table = work_out(TUBE, replace(knit(), others=(small,)), WEARER).cylinders
    assert table[1][0] == "* Sixty-four"
    assert table[1][2] == "measured"
    assert table[2][0] == "  Sixty"
    assert table[2][2] == "predicted"
    at_risk = work_out(TUBE, replace(knit(), others=(small,)), WEARER.model_copy(update={"caution": True})).cylinders
    assert all(row[-1] == "" and not row[0].startswith("*") for row in at_risk)


def test_the_tubes_stretched_width_decides_over_the_heel() -> None:
    measured = measure_gauge(rows=60, lengths_mm=(148.0,), slots=64, flat_widths_mm=(102.0,))
    told = WEARER.model_copy(update={"heel_ankle_mm": 330.0})
    narrow, wide = (
        work_out(TUBE, replace(knit(), tube=MeasuredTube(measured, mm, ())), told).cylinders[1][-1]
        for mm in (160.0, 205.0)
    )
    assert (narrow, wide) == ("will not go on", "right")


def test_an_estimated_girth_is_called_one() -> None:
    bare = Wearer(id="guest", name="A guest", sized_as="women")
    worked = work_out(Typed(foot="25 cm"), knit(), bare)
    assert dict(worked.rest)["Ball girth"].endswith("estimate")
    assert worked.cylinders


def test_two_feet_of_one_wearer() -> None:
    apart = WEARER.model_copy(update={"left_length_mm": 262.0, "right_length_mm": 270.0})
    assert "The right foot is 8 mm longer than the left" in says(FOOT, apart)


# --- certainty, yarn, learning ----------------------------------------------------------------------------------


def test_what_would_narrow_the_rows_is_worked_out() -> None:
    measured = measure_gauge(rows=60, lengths_mm=(146.5, 149.5), slots=64, flat_widths_mm=(102.0,))
    tube = MeasuredTube(measured, None, ("A doubt.",))
    rough = replace(knit(rows_per_mm_error=0.0055), tube=tube)
    notes = work_out(TUBE, rough, None).notes
    assert any(note.startswith("The foot is sure to") for note in notes)
    (said,) = [note for note in notes if note.startswith("The tape's part of that")]
    assert "a tube of 100 rows measured the same way would leave" in said
    assert "one more reading" in said
    assert "The tube's gauge: A doubt." in notes


def test_one_ball_gives_so_long_a_leg_and_is_wound_so() -> None:
    rest = dict(work_out(TUBE, knit(), None).rest)
    longest = int(rest["Longest leg"].split()[0])
    per_mm = 60 / 148
    for rows, enough in ((longest - 2, True), (longest + 2, False)):
        need = work_out(replace(TUBE, leg=f"{rows / per_mm:.1f} mm"), knit(), None).yarn
        assert need is not None
        assert ((need.grams_per_pair or 0) <= 100) is enough
    assert rest["Wind off"].startswith("32 g each")


def test_a_worn_sock_moves_the_next_plan_and_says_so() -> None:
    worn = Worn((SockVerdict(length="too short", length_mm=10.0),))
    before, after = work_out(FOOT, knit(), WEARER), work_out(FOOT, knit(), WEARER, worn=worn)
    assert before.sock is not None
    assert after.sock is not None
    assert after.sock.foot_rows > before.sock.foot_rows
    assert any("From one worn sock, this wearer's plan is" in note for note in after.notes)
    kept = to_plan("a-plan", FOOT, knit(), WEARER, after)
    assert 0 < kept.learnt_length_mm < 10
    tight = work_out(FOOT, knit(), WEARER, worn=Worn((SockVerdict(round="tight", round_mm=12.0),)))
    assert to_plan("a-plan", FOOT, knit(), WEARER, tight).learnt_round_mm > 0


def test_metric_and_inches_agree_on_everything() -> None:
    inches = replace(FOOT, leg="14 cm", shaped="yes", ankle="9 in", calf="10 in")
    metric = replace(FOOT, foot="266.7 mm", leg="140 mm", shaped="yes", ankle="228.6 mm", calf="25.4 cm")
    one, other = (work_out(typed, knit(), WEARER) for typed in (inches, metric))
    assert (one.parts, one.rest, one.leg) == (other.parts, other.rest, other.leg)


def test_the_larger_girth_of_two_feet_is_planned_for() -> None:
    apart = WEARER.model_copy(update={"girth_mm": 240.0, "left_girth_mm": 238.0, "right_girth_mm": 246.0})
    assert apart.ball_girth_mm == 246.0
    assert WEARER.model_copy(update={"girth_mm": None}).ball_girth_mm is None
    lengths = apart.model_copy(update={"left_length_mm": 262.0, "right_length_mm": 262.0})
    both = feet_of(lengths)
    assert both is not None
    assert both.girth_mm == 246.0


# --- where it is tight -----------------------------------------------------------------------------------------

# By hand, on a tube of 204 mm: 224 / 204 is 9.8 %, 245 is 20.1 %, 216 is 5.9 %, 360 is 76.5 %.
TAPED = WEARER.model_copy(
    update={"girth_mm": 224.0, "instep_mm": 245.0, "left_instep_mm": 231.0, "right_instep_mm": 245.0, "ankle_mm": 216.0}
)


def test_the_tightest_and_the_loosest_place_are_named_each_side_by_itself() -> None:
    worked = work_out(TUBE, knit(), TAPED)
    rest = dict(worked.rest)
    assert rest["Tightest, T"] == "stretched 20 % round the right instep"
    assert rest["Loosest, L"] == "stretched 6 % round the ankle"
    assert (
        "Where it goes round: stretched 10 % round the ball of the foot; stretched 13 % round the left instep; "
        "stretched 20 % round the right instep; stretched 6 % round the ankle."
    ) in worked.notes
    sock = worked.sock
    assert sock is not None
    half = (sock.foot_rows + 2 * 22) / 2 - 22  # heel and toe are 22 rows deep each
    assert [(sign, part, row) for sign, part, row, _ in worked.tight.marks] == [
        ("T", "foot", round(half + 0.01)),
        ("L", "leg", 57),
    ]


def test_a_calf_counts_where_the_leg_reaches_it_and_a_typed_one_comes_first() -> None:
    long = replace(TUBE, leg="30 cm")
    tall = TAPED.model_copy(update={"calf_mm": 360.0, "sized_as": "men"})
    assert "calf" not in dict(work_out(TUBE, knit(), tall).rest)["Tightest, T"]
    assert dict(work_out(long, knit(), tall).rest)["Tightest, T"] == "stretched 76 % round the calf"
    assert (
        dict(work_out(replace(long, calf="26 cm"), knit(), tall).rest)["Tightest, T"] == "stretched 27 % round the calf"
    )


def test_one_tape_alone_has_nothing_to_compare_and_an_estimate_is_no_tape() -> None:
    alone = WEARER.model_copy(update={"girth_mm": 224.0, "sized_as": "women"})
    assert "Tightest, T" not in dict(work_out(TUBE, knit(), alone).rest)
    assert work_out(TUBE, knit(), alone).tight.marks == ()


def test_a_foot_at_risk_gets_the_figures_and_no_verdict() -> None:
    worked = work_out(TUBE, knit(), TAPED.model_copy(update={"caution": True}))
    assert dict(worked.rest)["Tightest, T"] == "stretched 20 % round the right instep"
    assert worked.caution


def test_a_heel_shallower_than_the_foots_own_says_so_in_rows() -> None:
    """22 rows at 60 / 148 rows a mm are 54.3 mm deep; 70 mm to the ground are 15.7 mm more, 6.4 rows, so 7."""
    worked = work_out(TUBE, knit(), TAPED.model_copy(update={"heel_height_mm": 70.0}), "cm")
    assert dict(worked.rest)["Heel height"] == "7.0 cm; this heel 5.4 cm deep"
    assert any("1.6 cm more than this heel is deep" in note and "7 rows deeper" in note for note in worked.notes)
    enough = work_out(TUBE, knit(), TAPED.model_copy(update={"heel_height_mm": 50.0}), "cm")
    assert not any("rows deeper would reach" in note for note in enough.notes)


def test_a_ribbed_instep_counts_by_a_ribbed_tube_and_without_one_not_at_all() -> None:
    """By hand: 64 stitches at 0.5 a mm are 128 mm, pulled wide 240, so worn 184; half of it and of 204 plain are 194.

    245 / 194 is 26 % more.
    """
    ribbed = replace(TUBE, leg_rib="3x1", instep_rib="3x1")
    own = {"3x1": RibGauge("3x1", measured(0.41, 0.0), measured(0.5, 0.0), 120.0)}
    worked = work_out(ribbed, replace(knit(), ribs=own), TAPED)
    assert dict(worked.rest)["Tightest, T"] == f"stretched {245 / 194 - 1:.0%} round the right instep".replace(
        "%", " %"
    )
    assert "Tightest, T" not in dict(work_out(ribbed, knit(), TAPED).rest)


def test_the_fit_round_a_ribbed_instep_goes_by_its_own_tube() -> None:
    """By hand, as above: 194 mm round the foot, against a ball of 224: 13.4 % less, and 15.5 % of stretch."""
    ribbed = replace(TUBE, leg_rib="3x1", instep_rib="3x1")
    own = {"3x1": RibGauge("3x1", measured(0.41, 0.0), measured(0.5, 0.0), 120.0)}
    worked = work_out(ribbed, replace(knit(), ribs=own), TAPED, "cm")
    rest = dict(worked.rest)
    assert (rest["Round"].split()[0], rest["Ease round"]) == ("19.40", "13 %, right")
    assert worked.cylinders[1][1:4:2] == ("19.4 cm", "13 %")
    assert any("measured 19.4 cm round" in note and "stretches 15 % on the ball" in note for note in worked.notes)
    assert any("the plain tube and, half of it rib, the 3x1 one" in note for note in worked.notes)
    # A leg in rib over a plain foot leaves the foot as it was.
    leg_alone = dict(work_out(replace(TUBE, leg_rib="3x1"), replace(knit(), ribs=own), TAPED, "cm").rest)
    assert (leg_alone["Round"].split()[0], leg_alone["Ease round"]) == ("20.40", "9 %, right")


def test_round_a_ribbed_instep_that_nobody_measured_is_a_range_and_names_no_cylinder() -> None:
    """By hand: 204 mm plain; its instep's half as wide at the least (Spencer 7.3), so 153: 31.7 % less than 224."""
    ribbed = replace(TUBE, leg_rib="3x1", instep_rib="3x1")
    worked = work_out(ribbed, knit(), TAPED, "cm")
    rest = dict(worked.rest)
    assert (rest["Round"], rest["Ease round"]) == ("15.3 cm to 20.4 cm", "9 to 32 %, right to tight")
    assert worked.cylinders == ()
    assert any("a range" in note and "Spencer" in note and "from memory" in note for note in worked.notes)
    at_risk = work_out(ribbed, knit(), TAPED.model_copy(update={"caution": True}), "cm")
    assert dict(at_risk.rest)["Ease round"] == "9 to 32 %"
    assert dict(work_out(ribbed, knit(), None, "cm").rest)["Round"] == "15.3 cm to 20.4 cm"


HANDS = TAPED.model_copy(
    update={"calf_mm": 360.0, "wrist_mm": 160.0, "hand_mm": 220.0, "left_hand_mm": 214.0, "right_hand_mm": 220.0}
)


def tube(leg: str, end: str = "chained off", **more: str) -> Typed:
    return replace(TUBE, tube="", heel="none", end=end, leg=leg, **more)


@pytest.mark.parametrize(
    ("typed", "tightest", "loosest", "marks"),
    [
        # On a tube of 204 mm, by hand: 220 is 7.8 % more and 160 is 21.6 % less; 360 is 76.5 % more and 216 5.9 %.
        # 15 cm are 61 rows, 30 cm 122, all of them those of the leg.
        (tube("15 cm"), "stretched 8 % round the right hand", "22 % to spare round the wrist", (61, 30)),
        (tube("30 cm"), "stretched 76 % round the calf", "stretched 6 % round the ankle", (1, 122)),
        (
            tube("30 cm", "toe", foot="25 cm"),
            "stretched 76 % round the calf",
            "stretched 6 % round the ankle",
            (1, 122),
        ),
        # 14 cm do not reach the calf. 57 rows of leg, and of a foot of 25 cm less 1/2 in, 96 rows, half: 105.
        (
            tube("14 cm", "drawn up", foot="25 cm"),
            "stretched 20 % round the right instep",
            "stretched 6 % round the ankle",
            (105, 57),
        ),
    ],
)
def test_a_tube_without_a_heel_says_where_it_is_tight(
    typed: Typed, tightest: str, loosest: str, marks: tuple[int, int]
) -> None:
    worked = work_out(typed, knit(), HANDS)
    rest = dict(worked.rest)
    assert (rest["Tightest, T"], rest["Loosest, L"]) == (tightest, loosest)
    assert [(sign, part, row) for sign, part, row, _ in worked.tight.marks] == [
        ("T", "tube", marks[0]),
        ("L", "tube", marks[1]),
    ]


def test_a_wrister_counts_no_foot_and_a_hand_is_never_guessed() -> None:
    worked = work_out(tube("15 cm"), knit(), HANDS)
    assert "Leg at ankle" not in dict(worked.rest)
    assert not any("the ball of" in note or "ankle" in note for note in worked.notes)
    unknown = work_out(tube("15 cm"), knit(), TAPED)
    assert not unknown.tight.told
    one = work_out(tube("15 cm"), knit(), TAPED.model_copy(update={"wrist_mm": 160.0}))
    assert one.tight.told == ("Where it goes round: 22 % to spare round the wrist.",)


@pytest.mark.parametrize(
    "typed",
    [
        TUBE,
        replace(TUBE, leg="30 cm"),
        replace(TUBE, heel="mini-gusset"),
        replace(TUBE, leg="none"),
        tube("15 cm"),
        tube("30 cm"),
        tube("30 cm", "toe", foot="25 cm"),
        replace(TUBE, leg_rib="3x1", instep_rib="3x1"),
        replace(TUBE, leg="30 cm", shaped="yes", ankle="21.6 cm", calf="25 cm"),
    ],
)
def test_a_kept_plan_is_tight_where_it_was_when_it_was_planned(typed: Typed) -> None:
    own = {"3x1": RibGauge("3x1", measured(0.41, 0.0), measured(0.5, 0.0), 120.0)}
    worn = HANDS.model_copy(update={"ankle_mm": 216.0, "calf_mm": 250.0})
    known = replace(knit(), ribs=own)
    worked = work_out(typed, known, worn)
    kept = of_plan_tight(to_plan("a-plan", typed, known, worn, worked), worn)
    assert kept.marks == worked.tight.marks
    assert kept.lines == worked.tight.lines
    assert kept.lines
    assert kept.notes == worked.tight.notes


def test_a_heel_on_more_needles_leaves_less_of_the_foot_in_rib_in_the_form_and_in_the_kept_plan() -> None:
    """By hand, as above: 204 mm plain, 184 as worn; 44 of 64 needles turn the heel, so 204 x 44/64 + 184 x 20/64."""
    own = {"3x1": RibGauge("3x1", measured(0.41, 0.0), measured(0.5, 0.0), 120.0)}
    one = replace(knit(), ribs=own)
    ribbed = replace(TUBE, leg_rib="3x1", instep_rib="3x1", heel="mini-gusset", gusset="6", tube="25 cm")
    worked = work_out(ribbed, one, TAPED, "cm")
    rest = dict(worked.rest)
    assert rest["Round"].split()[0] == f"{(204 * 44 + 184 * 20) / 640:.2f}"
    kept = to_plan("ours", ribbed, one, TAPED, worked)
    assert dict(of_plan_tight(kept, TAPED).lines)["Tightest, T"] == rest["Tightest, T"]
    assert rest["Tightest, T"] == f"stretched {245 / 197.75 - 1:.0%} round the right instep".replace("%", " %")


def test_a_heel_that_the_foot_has_no_room_for_says_so() -> None:
    worked = work_out(replace(TUBE, tube="", foot="17 cm"), knit(), None, "cm")
    (gusset,) = (line for line in worked.heels if "mini-gusset" in line)
    assert gusset.split()[-2:] == ["no", "room"]
