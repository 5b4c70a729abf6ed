"""The arithmetic verbs: published checks, names in the JSON, and what is said about mistakes."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.places import settings_path

if TYPE_CHECKING:
    from collections.abc import Callable

GAUGE = ["gauge", "--rows", "60", "--length", "148 mm", "--flat-width", "102 mm", "--slots", "64"]
SOCK = ["sock", "--slots", "64", "--rows-per-in", "10.3", "--stitches-per-in", "8", "--left-in-work", "12"]
TUBE = [*SOCK, "--tube-length", "15 cm"]


@pytest.fixture
def answer(capsys: pytest.CaptureFixture[str]) -> Callable[..., dict[str, Any]]:
    def ask(*argv: str) -> dict[str, Any]:
        assert main([*argv, "--json"]) == 0
        out = capsys.readouterr().out
        assert out.count("\n") == 1
        found: dict[str, Any] = json.loads(out)
        return found

    return ask


@pytest.fixture
def text(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    def ask(*argv: str) -> str:
        assert main(argv) == 0
        return capsys.readouterr().out

    return ask


def test_sixty_rows_over_148_mm(answer: Callable[..., dict[str, Any]]) -> None:
    # By hand: 60 rows over 148 mm are 4.054 rows/cm and 10.30 rows/in.
    found = answer(*GAUGE)
    assert found["rows_per_in"] == pytest.approx(10.30, abs=0.005)
    assert found["rows_per_cm"] == pytest.approx(4.054, abs=0.0005)
    assert found["rows_per_in"] == pytest.approx(found["rows_per_cm"] * 2.54)
    assert found["circumference_mm"] == pytest.approx(204)
    assert found["circumference_mm_error"] == pytest.approx(2 / 3**0.5)  # twice the width's, by hand
    assert found["loop_length_mm"] == pytest.approx(5.5 / (60 / 148))
    assert found["notes"] == []


def test_gauge_has_every_promised_name(answer: Callable[..., dict[str, Any]]) -> None:
    names = {"rows_per_cm", "rows_per_in", "stitches_per_cm", "stitches_per_in"}
    names |= {"circumference_mm", "loop_length_mm", "ratio"}
    assert names | {f"{name}_error" for name in names} <= set(answer(*GAUGE))


def test_inches_and_centimetres_give_the_same_gauge(answer: Callable[..., dict[str, Any]]) -> None:
    in_inches = ["gauge", "--rows", "60", "--length", "5.8268 in", "--flat-width", "10,2 cm", "--slots", "64"]
    assert answer(*in_inches)["rows_per_in"] == pytest.approx(answer(*GAUGE)["rows_per_in"], rel=1e-4)


def test_repeated_readings_use_their_mean(answer: Callable[..., dict[str, Any]]) -> None:
    found = answer(*GAUGE, "--length", "152 mm")
    assert found["rows_per_cm"] == pytest.approx(60 / 15)
    assert found["rows_per_in_error"] > answer(*GAUGE)["rows_per_in_error"]


def test_a_coarser_tape_has_a_larger_error(answer: Callable[..., dict[str, Any]]) -> None:
    fine, coarse = answer(*GAUGE), answer(*GAUGE, "--tape-error", "3 mm")
    assert coarse["ratio_error"] == pytest.approx(3 * fine["ratio_error"], rel=1e-6)


def test_gauge_in_words(text: Callable[..., str]) -> None:
    said = text(*GAUGE, "--over", "15 cm", "--mass", "13 g", "--m-per-100g", "420", "--raw-length", "165 mm")
    assert "10.30 ± 0.04 per in" in said
    assert "4.054 ± 0.016 per cm" in said
    assert "8.03 in" in said
    assert "61 ± 1 rows" in said
    assert "The scale alone is good to 8 % of this tube's mass." in said
    assert "The wash changed the length by -10.3 ± 0.5 %." in said


def test_what_would_narrow_it_is_said_when_it_matters(text: Callable[..., str]) -> None:
    said = text(*GAUGE, "--over", "25 cm", "--tape-error", "5 mm")
    assert "which is more than one row either way" in said


def test_a_slip_is_doubted(answer: Callable[..., dict[str, Any]]) -> None:
    mistaken = ["gauge", "--rows", "60", "--length", "148 mm", "--flat-width", "204 mm", "--slots", "64"]
    assert "typed as the flat width" in answer(*mistaken)["notes"][0]


def test_a_bare_number_is_in_the_knitters_own_unit(answer: Callable[..., dict[str, Any]]) -> None:
    bare = ["gauge", "--rows", "60", "--length", "14.8", "--flat-width", "10.2", "--slots", "64"]
    settings_path().parent.mkdir(parents=True)
    settings_path().write_text('length_unit = "cm"\ntape_error_mm = 2.0\n', encoding="utf-8")
    found = answer(*bare)
    assert found["rows_per_cm"] == pytest.approx(60 / 14.8)
    assert found["circumference_mm_error"] == pytest.approx(4 / 3**0.5)


def test_settings_that_cannot_be_used_are_named_once(capsys: pytest.CaptureFixture[str]) -> None:
    settings_path().parent.mkdir(parents=True)
    settings_path().write_text('length_unit = "ells"\n', encoding="utf-8")
    assert main(GAUGE) == 0
    said = capsys.readouterr()
    assert "length_unit = 'ells' is not in, cm or mm" in said.err
    assert "10.30" in said.out


def test_the_worked_sock(answer: Callable[..., dict[str, Any]]) -> None:
    # By hand: 15 cm at 10.3 rows/in are 60.8 rows; 32 heel needles to 12 is 40 passes and 32^2 - 12^2 = 880 stitches.
    found = answer(*TUBE)
    assert [part["name"] for part in found["sections"]] == ["heel", "foot", "toe"]
    assert found["sections"][0] == {"name": "heel", "kind": "passes", "count": 40, "stitches": 880}
    assert set(found["section_metres"]) == {"heel", "foot", "toe"}
    assert found["heel"] == {"needles": 32, "left_in_work": 12, "passes": 40}
    assert found["foot_rows"] == 61
    assert found["stitches_per_sock"] == 61 * 64 + 2 * 880
    loop_mm = 5.5 / (10.3 / 25.4)
    assert found["metres_per_pair"] == pytest.approx(2 * found["stitches_per_sock"] * loop_mm / 1000)
    assert found["grams_per_pair"] is None
    assert found["enough"] is None


def test_whether_a_ball_is_enough(answer: Callable[..., dict[str, Any]]) -> None:
    found = answer(*TUBE, "--leg", "14 cm", "--m-per-100g", "420", "--ball-mass", "100 g")
    assert found["grams_per_pair"] == pytest.approx(found["metres_per_pair"] / 4.2)
    assert found["enough"] is True
    assert answer(*TUBE, "--leg", "14 cm", "--m-per-100g", "420", "--ball-mass", "50 g")["enough"] is False


def test_both_routes_side_by_side(answer: Callable[..., dict[str, Any]], text: Callable[..., str]) -> None:
    both = [*TUBE, "--foot-length", "262 mm", "--rows-error", "0.1"]
    found = answer(*both)
    assert [(route["by"], route["rows"]) for route in found["routes"]] == [("tube", 61), ("foot", 61)]
    # The tape's part by hand, and one tube and one sock that each depart by 1.5 %, our assumption.
    assert found["foot_rows_tape_error"] == pytest.approx(15 / 2.54 * 0.1)
    own = 15 / 2.54 * 10.3 * 0.015 * 2**0.5
    assert found["foot_rows_error"] == pytest.approx(math.hypot(15 / 2.54 * 0.1, own))
    four = answer(*both, "--spread", "1.2 %", "--tubes", "4")
    own = 15 / 2.54 * 10.3 * 0.012 * 1.25**0.5
    assert four["foot_rows_error"] == pytest.approx(math.hypot(15 / 2.54 * 0.1, own))
    said = text(*both)
    assert "From the sock that fits: 5.91 in of tube is 61 ± 1 rows." in said
    assert "± 1, ± 0.6 of it from the tape" in said
    assert "Another tube would bring that to ± 1.2 rows; another reading, at best, to ± 1.3." in said
    assert "From the foot: 10 5/16 in less 1/2 in of ease" in said


def test_rates_per_cm_and_no_ease_at_all(answer: Callable[..., dict[str, Any]]) -> None:
    in_cm = ["sock", "--slots", "64", "--rows-per-cm", "4.054", "--stitches-per-cm", "3.15"]
    eased = answer(*in_cm, "--foot-length", "25 cm")
    bare = answer(*in_cm, "--foot-length", "25 cm", "--length-ease", "0")
    assert bare["foot_rows"] - eased["foot_rows"] in (5, 6)  # half an inch at 10.3 rows/in


def test_how_the_heel_is_turned(answer: Callable[..., dict[str, Any]]) -> None:
    turned = [*TUBE, "--left-in-work", "14", "--toe-left-in-work", "16", "--plain-passes", "--hem-rows", "20"]
    found = answer(*turned, "--lowering", "near")
    assert found["heel"] == {"needles": 32, "left_in_work": 14, "passes": 38}
    assert found["toe"]["left_in_work"] == 16
    assert found["sections"][0] == {"name": "hem", "kind": "rows", "count": 20, "stitches": 1280}


def test_a_part_row_changes_no_count_and_says_its_stitches(answer: Callable[..., dict[str, Any]]) -> None:
    whole, part = answer(*TUBE), answer(*TUBE, "--part-row", "20")
    assert (whole["part_row"], part["part_row"]) == (0, 20)
    assert part["sections"] == whole["sections"]
    assert part["stitches_per_sock"] == whole["stitches_per_sock"]
    assert any(
        note.startswith("20 stitches lead into the heel and 44 complete it afterwards") for note in part["notes"]
    )


@pytest.mark.parametrize(("typed", "more"), [([], 0), (["before"], 1), (["after"], 1), (["both"], 2)])
def test_plain_passes_before_after_or_both(answer: Callable[..., dict[str, Any]], typed: list[str], more: int) -> None:
    plain = answer(*TUBE, "--left-in-work", "12", *(["--plain-passes", *typed] if typed else []))
    assert plain["heel"]["passes"] == plain["toe"]["passes"] == 40 + more
    stitches = {part["name"]: part["stitches"] for part in plain["sections"]}
    assert stitches["heel"] == 32**2 - 12**2 + more * 32


def test_a_foot_of_27_cm(answer: Callable[..., dict[str, Any]]) -> None:
    # A public table said to match ISO 19407: 270 mm is EU 42.5, UK 9, US men 10, US women 11.
    found = answer("feet", "--foot-length", "27 cm")
    assert found["foot_length_mm"] == pytest.approx(270)
    assert found["mondopoint"] == 270
    assert found["eu"] == pytest.approx(42.5)
    assert (round(found["uk"]), round(found["us_men"]), round(found["us_women"])) == (9, 10, 11)
    assert found["us_women_range"][0] < found["us_women"] < found["us_women_range"][1]
    # ANSUR II regression on foot length: 0.5895 x 270 + 92.15 for men, 0.5732 x 270 + 86.94 for women.
    assert found["girth_estimate_mm"] == pytest.approx({"men": 251.3, "women": 241.7}, abs=0.1)
    assert found["girth_error_mm"] == pytest.approx({"men": 10.4, "women": 9.4}, abs=0.1)


def test_a_size_gives_the_foot_and_its_range(answer: Callable[..., dict[str, Any]], text: Callable[..., str]) -> None:
    found = answer("feet", "--size", "US men 10")
    assert found["foot_length_mm"] == pytest.approx((10 + 22) / 3 * 25.4)  # the device's formula, 3 in - 22
    assert found["us_men"] == pytest.approx(10)
    assert "a foot measured on the floor is better" in text("feet", "--size", "US men 10")


def test_a_childs_foot_has_no_girth_estimate(answer: Callable[..., dict[str, Any]], text: Callable[..., str]) -> None:
    assert answer("feet", "--foot-length", "15 cm")["girth_estimate_mm"] == {"men": None, "women": None}
    said = text("feet", "--foot-length", "15 cm")
    assert "UK child" in said
    assert "US men" not in said


@pytest.mark.parametrize(
    ("system", "value"),
    [("tex", "20"), ("cotton", "29.53"), ("denier", "180"), ("nm", "50"), ("m-per-100g", "5000"), ("dtex", "200")],
)
def test_one_yarn_in_every_system(answer: Callable[..., dict[str, Any]], system: str, value: str) -> None:
    # 20 tex is 29.5 Ne, 180 denier, 50 Nm: published conversion.
    found = answer("yarn", f"--{system}", value)
    assert found["tex"] == pytest.approx(20, rel=1e-3)
    assert found["cotton"] == pytest.approx(29.53, rel=1e-3)
    assert found["denier"] == pytest.approx(180, rel=1e-3)
    assert found["nm"] == pytest.approx(50, rel=1e-3)
    assert found["m_per_100g"] == pytest.approx(5000, rel=1e-3)
    assert "worsted" in found


@pytest.mark.parametrize(
    ("count", "m_per_100g"),
    [
        (["437 yd/100g"], 437 * 0.9144), (["437", "yd", "/", "100", "g"], 437 * 0.9144), (["390 m per 100 g"], 390),
        (["Nm 2/8"], 400), (["tex 238"], 100_000 / 238), (["195 m/50g"], 390),
    ],
)  # fmt: skip
def test_a_yarn_as_its_label_has_it(answer: Callable[..., dict[str, Any]], count: list[str], m_per_100g: float) -> None:
    assert answer("yarn", *count)["m_per_100g"] == pytest.approx(m_per_100g)


def test_a_width_letter_behind_the_size(answer: Callable[..., dict[str, Any]]) -> None:
    plain, apart = answer("feet", "--size", "US men 10"), answer("feet", "--size", "US men 10", "--width", "EE")
    for typed in ("US men 10 EE", "us men 10ee", "US men's 10 2E", "10EE US men"):
        found = answer("feet", "--size", typed)
        assert found["foot_length_mm"] == plain["foot_length_mm"]
        assert found["girth_estimate_mm"]["men"] == apart["girth_estimate_mm"]["men"]
        assert found["girths_mm"]["men"]["ball"]["mm"] == found["girth_estimate_mm"]["men"]
        assert found["girth_estimate_mm"]["women"] == plain["girth_estimate_mm"]["women"]
    narrow = answer("feet", "--size", "UK 6 C")["girth_estimate_mm"]
    usual = answer("feet", "--size", "UK 6")["girth_estimate_mm"]
    assert (narrow["men"], narrow["women"]) == (usual["men"], pytest.approx(usual["women"] - 6.5))


def test_the_yarn_in_words(text: Callable[..., str]) -> None:
    assert "238.1  g in 1000 m" in text("yarn", "--m-per-100g", "420")


def test_the_search_to_its_baseline(answer: Callable[..., dict[str, Any]], text: Callable[..., str]) -> None:
    asked = ["dial", "--trials", "28:drop,26:drop,24:stay"]
    found = answer(*asked)
    assert found["baseline_clicks"] == 28
    assert found["baseline_turns"] == 7
    assert "next_clicks" not in found
    assert "7 turns below zero" in found["advice"]


def test_the_travel_of_a_baseline_needs_the_machines_pitch(
    answer: Callable[..., dict[str, Any]], text: Callable[..., str]
) -> None:
    asked = ["dial", "--trials", "28:drop,26:drop,24:stay"]
    assert answer(*asked)["baseline_travel_mm"] is None
    assert text(*asked).splitlines()[0] == "Baseline: 28 clicks, 7 turns below zero."
    assert answer(*asked, "--pitch", "1.25 mm")["baseline_travel_mm"] == pytest.approx(8.75)
    said = text(*asked, "--pitch", "1.25 mm")
    assert said.startswith("Baseline: 28 clicks, 7 turns below zero; the V-cam sits 8.75 mm")


@pytest.mark.parametrize(
    ("trials", "position"), [("28:drop", 26), ("7 turns:drop; 26 clicks:DROP", 24), ("28:unsure", 28), ("28:stay", 32)]
)
def test_the_search_goes_on(answer: Callable[..., dict[str, Any]], trials: str, position: int) -> None:
    found = answer("dial", "--trials", trials)
    assert found["next_clicks"] == position
    assert "baseline_clicks" not in found


def test_a_ball_without_its_yarn_and_a_length_without_its_unit_are_spoken_of(text: Callable[..., str]) -> None:
    assert "To know whether a ball is enough, type --yarn" in text(*TUBE, "--ball-mass", "50 g")
    said = text("gauge", "--rows", "60", "--length", "148", "--flat-width", "102", "--slots", "64")
    assert "type the unit after the number" in said


def test_sizes_are_shown_to_the_hundredth(text: Callable[..., str]) -> None:
    said = text("feet", "--size", "EU 42")
    assert "UK           8.5     8 to 8.5 by other conventions" in said
    assert "US women     10.5    10 to 11 by other conventions" in said


def test_the_search_stops(answer: Callable[..., dict[str, Any]], text: Callable[..., str]) -> None:
    found = answer("dial", "--trials", "28:stiff")
    assert found["stopped"] is True
    assert not {"next_clicks", "baseline_clicks"} & set(found)
    assert "never force the crank" in text("dial", "--trials", "28:stiff")


def test_one_click_is_not_clicks(text: Callable[..., str]) -> None:
    assert text("dial", "--start", "1").startswith("Next: 1 click, 1/4 turn below zero.")


def test_where_a_search_starts(answer: Callable[..., dict[str, Any]]) -> None:
    assert answer("dial", "--start", "7 turns")["next_clicks"] == 28
    assert answer("dial", "--start", "64", "--clicks-per-turn", "8", "--trials", "64:drop")["next_clicks"] == 60


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (["knit"], "There is no verb “knit”. The verbs are gauge, sock"),
        (["--json", "gauge"], "There is no verb “--json”"),
        (["\x1b[31mred"], "“?[31mred”"),
        (["gauge", "--rows", "50"], "Still missing: --length, --flat-width, --slots."),
        (["gauge", *GAUGE[1:-2], "--slots", "many"], "does not start with a number"),
        (["gauge", *GAUGE[1:], "--length", "4 kg"], "“4 kg” has a unit that does not fit"),
        (["gauge", *GAUGE[1:], "--length", "-4 in"], "must be more than zero"),
        (["gauge", *GAUGE[1:], "--length", "x" * 10_000], "10000 characters long"),
        (["gauge", *GAUGE[1:], "--state", "damp"], "dry, wet or full, not “damp”"),
        (["gauge", *GAUGE[1:], "--lenght", "4 in"], "There is no option “--lenght” here. Did you mean --length?"),
        (SOCK, "Type --tube-length"),
        ([*SOCK, "--foot-length", "3 in"], "The heel and toe alone take 40 rows"),
        (
            [*SOCK, "--foot-length", "25"],
            "A foot of 635 mm is longer than any (400 mm): type its unit, such as 25 cm, or a size: EU 42.",
        ),
        ([*TUBE, "--lowering", "near", "--left-in-work", "13"], "needs an even number of needles lifted"),
        ([*TUBE, "--hem-rows", "7"], "its rows must be even"),
        (["feet", "--size", "9"], "names no scale known here"),
        (["feet", "--size", "EU 43 H"], "has the width “H” after it, and no widths are known for EU"),
        (["feet", "--size", "US women 8 W"], "There is no width “W”: use one of AAA"),
        (["yarn"], "Type the yarn's count once"),
        (["yarn", "Nm 4", "--tex", "250"], "Type the yarn's count once"),
        (["yarn", "420"], "does not say in what system"),
        (["feet"], "Type --foot-length, --size, or --left and --right"),
        (["feet", "--foot-length", "2 mm"], "A foot is from 8 to 40 cm long"),
        (["yarn", "--tex", "1", "--nm", "2"], "do not go together"),
        (["yarn", "--tex", "nan"], "does not start with a number"),
        (["dial"], "Type --trials"),
        (["dial", "--trials", ""], "No trial was given: type clicks"),
        (["dial", "--trials", "28:drop", "--pitch", "1 in"], "between 0.1 mm and 10 mm a turn"),
        (["dial", "--trials", "32"], "type clicks, a colon and one of drop, stay"),
        (["dial", "--trials", "32:sank"], "type clicks, a colon and one of drop, stay"),
        (["dial", "--trials", "500:drop"], "from 0 to 400 clicks"),
        (["dial", "--trials", "32:stiff,30:drop"], "the search has stopped"),
        (["practice", "first", "now"], "“now” is too much here."),
    ],
)
def test_slips_get_one_sentence(capsys: pytest.CaptureFixture[str], argv: list[str], said: str) -> None:
    assert main(argv) == 2
    heard = capsys.readouterr()
    assert heard.out == ""
    assert said.lower() in heard.err.lower()
    assert heard.err.count("\n") == 1
    assert "Traceback" not in heard.err
    assert "\x1b" not in heard.err


@pytest.mark.parametrize(
    "verb", ["gauge", "sock", "feet", "yarn", "dial", "response", "cylinders", "sizes", "crank", "practice"]
)
def test_every_verb_has_help_with_an_example(capsys: pytest.CaptureFixture[str], verb: str) -> None:
    assert main([verb, "--help"]) == 0
    said = capsys.readouterr().out
    assert f"Example:\n  hosewright {verb}" in said


def test_help_names_every_verb(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    said = capsys.readouterr().out
    for verb in (
        "gauge",
        "sock",
        "feet",
        "yarn",
        "dial",
        "response",
        "cylinders",
        "sizes",
        "logbook",
        "crank",
        "practice",
    ):
        assert f"\n  {verb} " in said
