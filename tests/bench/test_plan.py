"""Planning: typed text to craft calls without Textual, and the screen whose numbers follow the typing."""

from __future__ import annotations

from dataclasses import replace
from statistics import fmean, variance
from typing import TYPE_CHECKING, Any

import pytest
from textual.widgets import Input, Select, Static

from hosewright.bench.app import Bench
from hosewright.bench.plan.screen import PlanScreen
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.sock import SockSheet
from hosewright.craft import CraftError
from hosewright.craft.dial import Dial
from hosewright.craft.units import read_length
from hosewright.logbook.find.gauges import Place, Tube
from hosewright.logbook.records.planned import sections, steps, turnings
from hosewright.logbook.records.shelf import Cylinder, GaugeRecord, Plan, Wearer
from hosewright.paper.crank_sheet import asked
from hosewright.phrases.times import DAY_MS
from hosewright.planning.choices import LOWERING, PLAIN_PASSES
from hosewright.planning.gauges import TOGETHER, Knit
from hosewright.planning.plan_lines import read_foot
from hosewright.planning.sock import CAUTION, to_plan, usual_name, work_out
from hosewright.planning.typed import Typed, read_values
from hosewright.settings.table import Settings
from tests.bench.stage import CYLINDER, WEARER, YARN, Host, measure_tube, new_book, stock

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.craft.turning import PlainPasses

pytestmark = pytest.mark.usefixtures("home_left_alone")

SIZE = (80, 24)
FITS = WEARER.model_copy(update={"fitting_tube_mm": 150.0, "heel_ankle_mm": 330.0})


def gauge(**changes: object) -> GaugeRecord:
    """60 rows over 148 mm on 64 slots, 204 mm round."""
    told = {
        "session": "20260101-abcdef",
        "machine": "attic",
        "cylinder": CYLINDER.id,
        "yarn": YARN.id,
        "slots": 64,
        "dial": 27,
        "rows": 60,
        "at_ms": 1,
        "rows_per_mm": 60 / 148,
        "rows_per_mm_error": 0.0016,
        "stitches_per_mm": 64 / 204,
        "stitches_per_mm_error": 0.0018,
    }
    return GaugeRecord.model_validate(told | changes)


def tubes_of(*seen: tuple[int, float]) -> tuple[Tube, ...]:
    """One a day, each by its dial and its rows per mm."""
    place = Place("yarn", "machine", "cylinder", 64)
    return tuple(
        Tube(f"tube-{n}", place, n * DAY_MS, 0, clicks, rate, 0.0016, 0.31, 0.0018)
        for n, (clicks, rate) in enumerate(seen, 1)
    )


def knit(**changes: object) -> Knit:
    return Knit(gauge(**changes), YARN, CYLINDER, dial=Dial(1.25))


# --- without Textual ------------------------------------------------------------------------------------------


def test_a_sock_that_fits_gives_61_rows() -> None:
    # By hand: 15 cm at 4.054 rows/cm are 60.8 rows; 32 needles down to 10 are 22 + 22 passes.
    worked = work_out(Typed(tube="15 cm", leg="14 cm"), knit(), None)
    assert worked.sock is not None
    assert worked.parts[2:4] == (("Foot", "61 ± 1 rows"), ("", "± 0.2 from the tape"))
    assert dict(worked.parts)["Heel"] == "44 passes, 32 to 10"
    assert [(s.name, s.count) for s in worked.sock.sections] == [("leg", 57), ("heel", 44), ("foot", 61), ("toe", 44)]
    assert dict(worked.rest)["Round"].startswith("8.03 ")


def test_the_rows_are_as_unsure_as_tubes_differ_and_another_tube_narrows_that() -> None:
    """Tape 60 / 148 * 0.4 % of 61 rows; one tube and the sock itself depart by 1.5 % each, our assumption."""
    worked = work_out(Typed(tube="15 cm"), knit(), None)
    assert worked.sock is not None
    own, tape = 0.015 * 60.81, 0.0016 * 150
    assert worked.sock.foot_rows_tape_error == pytest.approx(tape)
    assert worked.sock.foot_rows_error == pytest.approx((tape**2 + 2 * own**2) ** 0.5, rel=1e-3)
    two = (tape**2 / 2 + 1.5 * own**2) ** 0.5
    assert (
        "The foot is sure to ± 1.3 rows: tubes differ by 1.5 ± 0.4 %, our assumption until 3 tubes at one setting "
        f"show it. Another tube would bring that to ± {two:.1f} rows; another reading, at best, to ± 1.3."
    ) in worked.notes
    plan = to_plan("plan", Typed(tube="15 cm"), knit(), None, worked)
    assert (plan.foot_rows_error, plan.foot_rows_tape_error) == (
        worked.sock.foot_rows_error,
        worked.sock.foot_rows_tape_error,
    )
    assert "61 ± 1 rows in the foot, ± 0.2 of it from the tape" in asked(plan, "in")


def test_three_tubes_at_one_dial_say_themselves_how_far_they_differ() -> None:
    rows = (0.400, 0.405, 0.412)
    alike = replace(knit(), repeats=(tubes_of(*((27, rate) for rate in rows)), tubes_of((29, 0.38))))
    mean, tape = fmean(rows), 0.0016
    share = (variance(rows) - tape**2) ** 0.5 / mean
    assert alike.spread.share == pytest.approx(share, rel=0.01)
    worked = work_out(Typed(tube="15 cm"), alike, None)
    assert worked.sock is not None
    assert worked.sock.foot_rows_error == pytest.approx(60.81 * (2 * share**2 + (tape / 0.4054) ** 2) ** 0.5, rel=0.01)
    assert "as 3 of them show. Another tube" in " ".join(worked.notes)


def test_a_plan_of_before_the_tape_was_told_apart_says_its_error_alone() -> None:
    worked = work_out(Typed(tube="15 cm"), knit(), None)
    told = to_plan("plan", Typed(tube="15 cm"), knit(), None, worked).model_dump()
    del told["foot_rows_tape_error"]
    old = Plan.model_validate(told)
    assert "61 ± 1 rows in the foot" in asked(old, "in")


@pytest.mark.parametrize(
    ("inches", "metric"),
    [("5 1/4 in", "13,3350 cm"), ("5 1/2", "139.7 mm")],
)
def test_inches_and_metric_give_the_same_rows(inches: str, metric: str) -> None:
    assert work_out(Typed(tube=inches), knit(), None).parts == work_out(Typed(tube=metric), knit(), None).parts


def test_both_routes_stand_side_by_side() -> None:
    parts = dict(work_out(Typed(tube="15 cm", foot="10 3/4 in"), knit(), None).parts)
    assert parts["By a sock"] == "61 ± 1 rows, followed"
    # (10.75 - 0.5) in x 10.297 rows/in - 44 rows = 61.5
    assert parts["By the foot"].startswith("62")


def test_more_ease_is_never_a_longer_foot() -> None:
    rows = []
    for ease in ("0", "1/4 in", "1/2 in", "1 in"):
        sock = work_out(Typed(foot="10 in", ease=ease), knit(), None).sock
        assert sock is not None
        rows.append(sock.foot_rows)
    assert rows == sorted(rows, reverse=True)
    assert rows[0] > rows[-1]


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("tube", "six", "does not start with a number"),
        ("foot", "4 kg", "unit"),
        ("foot", "XX 42", "scale"),
        ("ease", "-1 in", "more than zero"),
        ("leg", "long", "ankle, crew, mid-calf or knee"),
        ("rows", "7", "hung hem folds in two"),
        ("left", "31", "Leave from 2 to 30"),
    ],
)
def test_a_bad_line_has_its_sentence_and_leaves_no_number(field: str, text: str, says: str) -> None:
    changed: dict[str, Any] = {field: text}
    worked = work_out(replace(Typed(tube="15 cm", cuff="hem", rows="16"), **changed), knit(), None)
    assert says in worked.problems[field]
    assert worked.sock is None
    assert (worked.parts, worked.rest, worked.notes) == ((), (), ())
    assert worked.missing.startswith("Correct “")


def test_every_bad_line_is_reported_at_once() -> None:
    _, problems = read_values(Typed(tube="x", foot="y", leg="z", cuff="hem", rows="3", left="1"), 64)
    assert sorted(problems) == ["foot", "left", "leg", "rows", "tube"]


def test_what_is_missing_is_said() -> None:
    assert "gauge" in work_out(Typed(tube="15 cm"), None, None).missing
    assert "tube of a sock that fits" in work_out(Typed(), knit(), None).missing


def test_a_sock_that_cannot_be_knitted_says_the_nearest_that_can() -> None:
    worked = work_out(Typed(foot="4 in"), knit(), None)
    assert worked.sock is None
    assert "shortest foot" in worked.missing


def test_near_lowering_with_unequal_gores_stands_beside_its_line() -> None:
    worked = work_out(Typed(tube="15 cm", left="13", lowering="near"), knit(), None)
    assert "even number of needles lifted" in worked.problems["left"]


def test_a_shoe_size_is_a_foot_with_a_range() -> None:
    mm, size = read_foot("EU 42")
    assert size is not None
    assert mm == pytest.approx(266.7, abs=0.1)  # (42 - 2) / 1.5 cm
    notes = " ".join(work_out(Typed(foot="EU 42"), knit(), None).notes)
    assert "conventions differ" in notes


def test_the_width_behind_a_shoe_size_counts_round_the_ball() -> None:
    guest = Wearer(id="guest", name="A guest", sized_as="men")
    usual, wide = (dict(work_out(Typed(foot=f"US men 9{width}"), knit(), guest).rest) for width in ("", " EE"))
    (usual_mm, wide_mm) = (read_length(one["Ball girth"].split(" ±")[0]) for one in (usual, wide))
    assert wide_mm - usual_mm == pytest.approx(13.0, abs=0.3)  # two letters of 6.5 mm from the usual D


def test_a_foot_from_a_shoe_size_is_less_sure_than_one_by_tape() -> None:
    size, tape = (work_out(Typed(foot=text), knit(), None).sock for text in ("UK 10", "279.4 mm"))
    assert size is not None
    assert tape is not None
    assert size.foot_rows == tape.foot_rows
    # UK 10 is 279.4 to 284 mm by the conventions of the facts: its reach over the root of 3, in rows.
    reach = read_foot("UK 10")[1]
    assert reach is not None
    spread = (reach.foot_mm_range[1] - 279.4) / 3**0.5 * 60 / 148
    assert size.foot_rows_error == pytest.approx((tape.foot_rows_error**2 + spread**2) ** 0.5, rel=0.01)


def test_yarn_and_whether_one_ball_is_enough() -> None:
    rest = dict(work_out(Typed(tube="15 cm", leg="14 cm"), knit(), None).rest)
    assert "enough" in rest["One ball"]
    assert " m, " in rest["Yarn a pair"]
    bare = Knit(gauge(), None, None)
    assert "not known" in dict(work_out(Typed(tube="15 cm"), bare, None).rest)["One ball"]
    long = dict(work_out(Typed(tube="15 cm", leg="20 in"), knit(), None).rest)
    assert long["One ball"] == "100 g, not enough"


def test_a_weighed_tube_counts_in_the_yarn() -> None:
    heavy = work_out(Typed(tube="15 cm"), knit(mass_g=20.0), None)
    plain = work_out(Typed(tube="15 cm"), knit(), None)
    assert heavy.yarn is not None
    assert plain.yarn is not None
    assert heavy.yarn.metres_per_pair > plain.yarn.metres_per_pair
    assert any("by weighing" in note for note in heavy.notes)


def test_the_girth_and_the_heel_are_judged_in_words() -> None:
    worked = work_out(Typed(tube="15 cm"), knit(), FITS)
    # 1 - 204 / 232 = 12.1 %
    assert dict(worked.rest)["Ease round"] == "12 %, right"
    small = Cylinder(id="c54", name="Fifty-four", slots=54, diameter_mm=108.0)
    thin = FITS.model_copy(update={"girth_mm": 180.0, "heel_ankle_mm": None})
    notes = work_out(Typed(tube="15 cm"), Knit(gauge(), YARN, CYLINDER, (small,)), thin).notes
    assert any(note.startswith("Nearer the girth: Fifty-four, predicted") for note in notes)


def test_the_trial_on_the_foot_outranks_the_arithmetic() -> None:
    worked = work_out(Typed(tube="15 cm"), knit(on_foot="tight"), FITS)
    assert dict(worked.rest)["Ease round"].endswith("tight")


def test_without_a_tape_the_girth_is_an_estimate_and_says_so() -> None:
    bare = Wearer(id="guest", name="A guest")
    rest = dict(work_out(Typed(foot="10 1/2 in"), knit(), bare).rest)
    assert rest["Girth, men"].endswith("estimate")
    assert rest["Girth, women"].endswith("estimate")
    assert "Ease round" not in rest


@pytest.mark.parametrize(
    ("unit", "round_"), [("in", "8.03 ± 0.05 in"), ("cm", "20.40 ± 0.12 cm"), ("mm", "204.0 ± 1.2 mm")]
)
def test_an_error_stands_in_the_unit_of_its_length(unit: str, round_: str) -> None:
    guest = Wearer(id="guest", name="A guest", sized_as="women")
    rest = dict(work_out(Typed(foot="25 cm"), knit(), guest, unit).rest)
    assert rest["Round"] == round_
    value, _, spread = rest["Ball girth"].removesuffix(", estimate").partition(" ± ")
    assert value.replace(".", "").isdigit(), "one notation, and the unit once"
    assert spread.endswith(f" {unit}")


def test_a_foot_at_risk_gets_the_caution_and_no_verdict() -> None:
    worked = work_out(Typed(tube="15 cm"), knit(), FITS.model_copy(update={"caution": True}))
    assert worked.caution == CAUTION
    assert "Ease round" not in dict(worked.rest)
    assert not any("right for this foot" in note for note in worked.notes)


def test_a_plan_keeps_what_was_asked_and_what_it_came_to() -> None:
    typed = Typed(name="Ferry socks", tube="15 cm", leg="14 cm", cuff="hem", rows="12", left="12", plain="both")
    worked = work_out(typed, knit(), FITS)
    plan = to_plan("ferry-socks", typed, knit(), FITS, worked)
    assert Plan.model_validate_json(plan.model_dump_json()) == plan
    assert [(part.name, part.count) for part in plan.parts] == [
        ("hem", 12),
        ("leg", 57),
        ("heel", 42),
        ("foot", 61),
        ("toe", 42),
    ]
    assert plan.tube_length_mm == pytest.approx(150)
    assert plan.leg_mm == pytest.approx(140)
    assert plan.foot_length_mm is None
    with pytest.raises(CraftError):
        to_plan("nothing", Typed(), knit(), None, work_out(Typed(), knit(), None))


@pytest.mark.parametrize(
    ("said", "plain", "passes"),
    [("none", False, 40), ("before", "before", 41), ("one after", "after", 41), ("both", True, 42), ("yes", True, 42)],
)
def test_a_plan_keeps_which_plain_passes_there_are(said: str, plain: PlainPasses, passes: int) -> None:
    typed = Typed(tube="15 cm", left="12", plain=said)
    plan = to_plan("socks", typed, knit(), FITS, work_out(typed, knit(), FITS))
    assert Plan.model_validate_json(plan.model_dump_json()).plain_passes == plain
    heel, toe = turnings(plan)
    assert (heel.count, toe.count) == (passes, passes)
    assert toe.carrier == heel.ends == ("left" if passes % 2 == 0 else "right")


def test_a_plan_keeps_that_heel_and_toe_are_reinforced() -> None:
    typed = Typed(tube="15 cm", reinforced="yes")
    reinforced = to_plan("socks", typed, knit(), FITS, work_out(typed, knit(), FITS))
    plain = to_plan("socks", Typed(tube="15 cm"), knit(), FITS, work_out(Typed(tube="15 cm"), knit(), FITS))
    assert (reinforced.reinforced, plain.reinforced) == (True, False)
    assert reinforced.parts == plain.parts
    added = {step.id for step in steps(reinforced, sections(reinforced))} - {
        step.id for step in steps(plain, sections(plain))
    }
    assert added == {"heel-reinforce", "heel-reinforced", "toe-reinforce", "toe-reinforced"}


def test_a_part_row_is_typed_kept_and_made_into_steps() -> None:
    typed = Typed(tube="15 cm", part="12")
    worked = work_out(typed, knit(), FITS)
    assert any(note.startswith("12 stitches lead into the heel and 52 complete it afterwards") for note in worked.notes)
    plan = to_plan("socks", typed, knit(), FITS, worked)
    assert Plan.model_validate_json(plan.model_dump_json()).part_row == 12
    assert (
        plan.parts
        == to_plan("socks", Typed(tube="15 cm"), knit(), FITS, work_out(Typed(tube="15 cm"), knit(), FITS)).parts
    )
    named = {step.id: step for step in steps(plan, sections(plan))}
    assert [named[name].stitches for name in ("heel-in", "heel-out", "toe-in", "toe-out")] == [12, 52, 12, 52]  # type: ignore[union-attr]
    assert "part" in work_out(Typed(tube="15 cm", part="64"), knit(), None).problems


def test_each_way_of_lowering_says_what_it_does_to_the_holes() -> None:
    ways = {value: words for words, value in LOWERING.choices or ()}
    assert all("holes" in words for words in ways.values())
    assert "closed" in ways["two-and-one"]
    assert [words for words, _ in PLAIN_PASSES.choices or ()] == [
        "none",
        "one before",
        "one after",
        "one before and one after",
    ]


# --- the screen -----------------------------------------------------------------------------------------------


def said(app: Host, name: str) -> str:
    shown = app.screen.query_one(f"#{name}", Static)
    return str(shown.content) if shown.display else ""


async def test_the_numbers_follow_the_typing_and_go_when_a_line_is_bad(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        assert "Type the tube" in said(app, "plan-missing")
        await pilot.press(*"5.9")
        await pilot.pause()
        assert "Foot          61 ± 1 rows\n              ± 0.2 from the tape" in said(app, "plan-parts")
        await pilot.press("x")
        await pilot.pause()
        assert said(app, "plan-parts") == said(app, "plan-rest") == said(app, "plan-notes") == ""
        problem = app.screen.query_one("#row-tube .form-problem", Static)
        assert not problem.content, "nobody is told off while typing"
        await pilot.press("down")
        await pilot.pause()
        assert "unit" in str(problem.content)
        await pilot.press("up", "end", "backspace")
        await pilot.pause()
        assert "Foot          61 ± 1 rows\n              ± 0.2 from the tape" in said(app, "plan-parts")
        await pilot.press("ctrl+s")
        await pilot.pause()
    (plan,) = app.results
    assert isinstance(plan, Plan)
    assert plan.foot_rows == 61
    assert plan.name == "Moss socks"
    assert app.book.shelf(Plan) == [plan]


@pytest.mark.parametrize(("size", "lines"), [((80, 24), 1), ((120, 40), 10), ((200, 55), 10)])
async def test_the_sock_is_drawn_as_one_types(tmp_path: Path, size: tuple[int, int], lines: int) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=size) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        sheet = app.screen.query_one(SockSheet)
        assert not sheet.display
        await pilot.press(*"5.9")
        await pilot.pause()
        assert sheet.display
        before = sheet.plain
        assert len(before.splitlines()) >= lines
        assert "round " in before
        said = ("leg 5.", "foot 5.") if lines == 1 else ("leg 57 rows, 5.", "foot 61 rows, 5.", " in deep", "toe ")
        assert [words for words in said if words not in before] == [], before
        await pilot.press("backspace", "1")
        await pilot.pause()
        assert sheet.plain != before
        await pilot.press("x")
        await pilot.pause()
        assert not sheet.display


async def test_a_wearer_fills_the_lines_nobody_typed_on(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    app.book.keep(FITS)
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen(FITS.id))
        await pilot.pause()
        assert app.screen.query_one("#field-tube", Input).value == "5.91 in"
        assert app.screen.query_one("#field-foot", Input).value == "10 1/2 in"
        assert "By the foot" in said(app, "plan-parts")
        assert "9.13 in by tape" in said(app, "plan-rest")
        app.screen.query_one("#field-foot", Input).value = "11 in"
        app.screen.query_one("#field-wearer", Select).clear()
        await pilot.pause()
        assert app.screen.query_one("#field-tube", Input).value == ""
        assert app.screen.query_one("#field-foot", Input).value == "11 in"
        await pilot.press("escape")
        assert isinstance(app.screen, Ask)
        await pilot.press("y")
        await pilot.pause()
    assert app.results == [None]


async def test_heel_and_toe_are_reinforced_where_that_is_chosen(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        await pilot.press(*"5.9")
        line = app.screen.query_one("#field-reinforced", Select)
        line.focus()
        await pilot.press("enter", "down", "enter")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
    (plan,) = app.results
    assert isinstance(plan, Plan)
    assert plan.reinforced


async def test_many_plain_passes_are_asked_about_before_the_plan_is_kept(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        await pilot.press(*"5.9")
        app.screen.query_one("#field-deepen", Select).value = "passes"
        await pilot.pause()
        assert app.screen.query_one("#field-deeper", Input).value == "4"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, Ask)
        question = str(app.screen.query_one("#ask-question", Static).content)
        assert "8 plain passes open a slit 8 passes high at each corner" in question
        await pilot.press("n")
        await pilot.pause()
        assert app.results == []
        app.screen.query_one("#field-deeper", Input).value = "3"
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
    (plan,) = app.results
    assert isinstance(plan, Plan)
    assert plan.extra_heel_passes == 6


async def test_plans_nobody_names_are_told_apart(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    app.book.keep(FITS)
    async with app.run_test(size=SIZE) as pilot:
        for _ in range(3):
            app.show(PlanScreen(FITS.id))
            await pilot.pause()
            await pilot.press("ctrl+s")
            await pilot.pause()
    first, second, third = sorted(plan.name for plan in app.book.shelf(Plan))
    assert (second, third) == (f"{first}, 2", f"{first}, 3")
    assert usual_name(None, None, {"Socks"}) == "Socks, 2"
    assert len(usual_name(None, FITS.model_copy(update={"name": "x" * 64}), {f"Socks for {'x' * 54}"})) <= 64


async def test_without_a_gauge_nothing_is_kept(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        assert "No gauge yet" in said(app, "plan-missing")
        await pilot.press("6", "ctrl+s")
        await pilot.pause()
        assert app.results == []
    assert app.book.shelf(Plan) == []


async def test_a_plan_gone_to_with_its_gauge_begins_from_that_one(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    stock(book)
    proven = measure_tube(book).record.id
    newer = measure_tube(book, length_mm=151.0).record.id
    app = Bench(book, Settings())
    async with app.run_test(size=SIZE) as pilot:
        await pilot.pause()
        both = f"{TOGETHER}{newer}"
        for chosen, expected in (({"gauge": proven}, both), (None, both), ({"gauge": "gone"}, both)):
            app.go_to("plan", chosen)
            await pilot.pause()
            assert isinstance(app.screen, PlanScreen)
            assert app.screen.rows["gauge"].chosen == expected
            await pilot.press("escape")
            await pilot.pause()


async def test_the_form_and_the_numbers_can_both_be_reached_in_a_small_terminal(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PlanScreen(WEARER.id))
        await pilot.pause()
        for name in ("row-gauge", "row-foot", "plan-parts"):
            region = app.screen.query_one(f"#{name}").region
            assert app.screen.region.contains_region(region), name
        numbers = app.screen.query_one("#plan-numbers")
        await pilot.press("pagedown")
        await pilot.pause()
        assert numbers.scroll_y > 0
        assert app.screen.query_one("#field-tube", Input).has_focus


async def test_the_mean_of_two_tubes_and_one_of_them_left_out(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    older = measure_tube(app.book, length_mm=148.0).record.id
    newer = measure_tube(app.book, length_mm=150.0).record.id
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        form = app.screen
        assert isinstance(form, PlanScreen)
        await pilot.press(*"15cm")
        await pilot.pause()
        assert form.knit is not None
        assert [tube.session for tube in form.knit.pool] == [older, newer]
        shown = str(form.query_one("#plan-tubes", Static).content)
        assert shown.startswith("The gauge is the mean of 2 tubes:\n 1  ")
        await pilot.press("shift+tab", "shift+tab")
        await pilot.pause()
        assert form.rows["without"].entry.has_focus
        await pilot.press("3")
        await pilot.pause()
        assert "There is no tube 3 here: type numbers from 1 to 2." in form.working.missing
        await pilot.press("backspace", "1")
        await pilot.pause()
        assert form.knit.gauge.session == older
        assert "left out" in str(form.query_one("#plan-tubes", Static).content).splitlines()[1]
        await pilot.press("ctrl+s")
        await pilot.pause()
    (plan,) = app.book.shelf(Plan)
    assert (plan.gauge_session, plan.gauge_sessions) == (older, (older,))


async def test_one_tube_alone_has_nothing_to_leave_out(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=SIZE) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        assert isinstance(app.screen, PlanScreen)
        assert not app.screen.rows["without"].display
        assert not app.screen.query_one("#plan-tubes", Static).display


async def test_the_tightest_and_the_loosest_place_stand_on_the_picture(tmp_path: Path) -> None:
    taped = WEARER.model_copy(update={"girth_mm": 200.0, "instep_mm": 240.0, "ankle_mm": 216.0})
    app = Host(new_book(tmp_path))
    stock(app.book)
    app.book.keep(taped)
    measure_tube(app.book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen(taped.id))
        await pilot.press(*"5.9")
        await pilot.pause()
        drawn = app.screen.query_one(SockSheet).plain
        assert "T instep" in drawn
        assert "L ball of the foot" in drawn
        signs = [line for line in drawn.splitlines() if "T" in line.replace("T instep", "")]
        assert len(signs) == 1
