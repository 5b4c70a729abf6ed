"""A footlet with an afterthought heel, wristers, a mini-gusset: planned and cranked by keys, and what is ruled out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, cast

import pytest
from textual.widgets import OptionList, Select, Static

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.plan.screen import PlanNumbers, PlanScreen
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.panel import Panel
from hosewright.craft import CraftError
from hosewright.logbook.records import planned
from hosewright.logbook.records.shelf import Machine, Plan
from hosewright.paper.crank_sheet import crank_sheet, sheet_page
from hosewright.picture.of_sock import of_plan
from hosewright.planning import starting
from hosewright.planning.sock import work_out
from hosewright.planning.typed import Typed
from hosewright.session.fold import fold
from hosewright.session.results import cranked, pieces_of
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, Measure
from hosewright.session.words import instruction
from hosewright.settings.table import Settings
from tests.bench.stage import CYLINDER, MACHINE, YARN, Host, measure_tube, new_book, stock
from tests.bench.test_plan import knit
from tests.bench.test_snapshots import picture
from tests.bench.test_whole_sock import keys, signs_in

if TYPE_CHECKING:
    from pathlib import Path

    from rich.text import Text
    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord


async def choose(pilot: Pilot[None], name: str, downs: int) -> None:
    pilot.app.screen.query_one(f"#field-{name}", Select).focus()
    await pilot.press("enter", *["down"] * downs, "enter")
    await pilot.pause()


async def plan_by_keys(
    tmp_path: Path, heel: int, end: int = 0, *, leg: str = "", cuff: int = 0
) -> tuple[Logbook, Plan]:
    """A plan kept from the screen: ``heel`` and ``end`` so many keys down from the usual choice."""
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        await pilot.press(*"5.9")
        await choose(pilot, "heel", heel)
        if end:
            await choose(pilot, "end", end)
        if leg:
            line = app.screen.query_one("#field-leg")
            line.focus()
            await pilot.press(*["backspace"] * 12, *leg)
        await pilot.press("ctrl+s")
        await pilot.pause()
    (plan,) = app.results
    assert isinstance(plan, Plan)
    app.book.keep(plan)
    return app.book, plan


async def crank_by_keys(book: Logbook, plan: Plan) -> SessionScreen:
    """The whole of it, every row and pass, to the end; the strip is looked at before each pass."""
    live = book.start(starting.first_sock(book, plan, 8))
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        state = screen.live.state
        while state.step is not None:
            step = state.step
            if isinstance(step, CountPasses):
                for number in range(1, step.target + 1):
                    line = app.screen.query_one("#cylinder", Panel).plain.splitlines()[1]
                    assert len(signs_in(line)) == step.needles
                    knits = signs_in(line).count("┃") + signs_in(line).count("▼")
                    assert knits == len(step.turning.at(number).in_work)
                    await keys(pilot, "space")
            elif isinstance(step, CountRows):
                await keys(pilot, *["space"] * step.target)
            if isinstance(step, Measure):
                await keys(pilot, "ctrl+s")
                await keys(pilot, "y")
            else:
                await keys(pilot, "enter")
            assert state.step is not step
    stored = fold(live.record.head, book.store.entries(live.n))
    assert (stored.status, stored.ignored) == ("finished", 0)
    assert pieces_of(stored)[0].stitches == sum(part.stitches for part in plan.parts)
    made = cranked(stored)
    assert {name: count for name, count in made.items() if name in ("tube", "heel", "toe")} == {
        part.name: part.count for part in plan.parts if part.name in ("tube", "heel", "toe")
    }
    return screen


async def test_a_footlet_with_an_afterthought_heel(tmp_path: Path) -> None:
    book, plan = await plan_by_keys(tmp_path, 2, leg="none")
    assert plan.heel == "afterthought"
    assert [part.name for part in plan.parts] == ["hem", "foot", "toe", "heel"]
    assert of_plan(plan).names == ("hem", "foot", "toe", "heel")
    await crank_by_keys(book, plan)
    sheet = crank_sheet(plan)
    assert "Waste yarn: instep needles up, 2 passes over the heel half" in sheet
    assert "32 loops below the waste yarn on the heel half, 32 or 31 above it on the other" in sheet
    assert "Waste yarn" in sheet_page(plan)


async def test_a_pair_of_wristers(tmp_path: Path) -> None:
    book, plan = await plan_by_keys(tmp_path, 3, 2, leg="15 cm")
    assert (plan.heel, plan.end, plan.foot_rows) == ("none", "chained off", 0)
    assert [part.name for part in plan.parts] == ["hem", "tube"]
    assert plan.parts[1].count == 61  # 15 cm at 60 rows over 148 mm
    await crank_by_keys(book, plan)
    (first,) = starting.firsts(book, plan)
    twin = starting.twin(book, first, 8)
    assert [(step.id, getattr(step, "target", 0)) for step in twin.steps] == [
        (step.id, getattr(step, "target", 0)) for step in first.record.steps
    ]
    sheet = crank_sheet(plan)
    assert "needle 1 is at" not in sheet  # nothing is turned
    assert "Tube, first: 10" in sheet
    assert of_plan(plan).names == ("hem", "tube")
    assert "<svg" in sheet_page(plan)


async def test_forms_are_headed_by_what_is_made(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        assert app.screen.query_one(Heading).title == "Plan a sock"
        await choose(pilot, "heel", 3)
        await choose(pilot, "end", 2)
        line = app.screen.query_one("#field-leg")
        line.focus()
        await pilot.press(*["backspace"] * 12, *"15 cm")
        await pilot.pause()
        assert app.screen.query_one(Heading).title == "Plan a wrister"
        assert "Yarn in one wrister:" in str(app.screen.query_one("#plan-notes", Static).content)
        await pilot.press("ctrl+s")
        await pilot.pause()
        (plan,) = app.results
        assert isinstance(plan, Plan)
        app.book.keep(plan)
        app.show(SockStartScreen(plan=plan.id))
        await pilot.pause()
        assert app.screen.query_one(Heading).title == "Crank a wrister"


async def test_a_heel_with_a_mini_gusset(tmp_path: Path) -> None:
    book, plan = await plan_by_keys(tmp_path, 1)
    assert (plan.heel, plan.gusset) == ("mini-gusset", 6)
    await crank_by_keys(book, plan)
    heel, toe = planned.turnings(plan)
    assert (heel.needles, heel.count, toe.needles) == (44, 84, 32)
    assert "6 needles of the instep on each side join it" in crank_sheet(plan)
    assert "The toe is turned on these alone, counted anew from 1 to 32." in crank_sheet(plan)
    steps = starting.first_sock(book, plan, 8).head
    at_toe = next(at for at, step in enumerate(steps.steps) if step.id == "toe-needles")
    assert "needle 1 is now the heel's 7" in instruction(State(steps, index=at_toe))


FORWARDS = MACHINE.model_copy(update={"crank_goes": "forwards only"})
BARE = MACHINE.model_copy(update={"ribber_set": "none"})


@pytest.mark.parametrize(
    ("machine", "typed", "why"),
    [
        (FORWARDS, Typed(tube="15 cm"), "the crank goes forwards only, and heel and toe are turned to and fro"),
        (FORWARDS, Typed(foot="26 cm", heel="none"), "the crank goes forwards only, and a toe is turned to and fro"),
        (FORWARDS, Typed(foot="26 cm", heel="none", end="drawn up"), ""),
        (FORWARDS, Typed(leg="15 cm", heel="none", end="chained off"), ""),
        (BARE, Typed(tube="15 cm", cuff="ribber", pattern="1x1", rows="16"), "there is no ribber"),
        (BARE, Typed(tube="15 cm", cuff="mock rib", pattern="3x1", rows="16"), ""),
        (MACHINE, Typed(tube="15 cm", cuff="ribber", pattern="1x1", rows="16"), ""),
    ],
)
def test_what_the_machines_record_rules_out_is_said_with_why(machine: Machine, typed: Typed, why: str) -> None:
    worked = work_out(typed, replace(knit(), cranked_on=machine), None)
    if why:
        assert worked.made is None
        assert worked.missing.startswith("Ruled out on The attic machine")
        assert why in worked.missing
    else:
        assert worked.made is not None, worked.missing


async def test_choices_that_are_ruled_out_are_struck_through_with_a_word_and_why(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    app.book.keep(MACHINE.model_copy(update={"ribber_set": "none", "crank_goes": "forwards only"}))
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, PlanScreen)
        # The list of cuffs, opened: those of the ribber are struck through, and said to be ruled out.
        screen.rows["cuff"].entry.focus()
        await pilot.press("enter")
        await pilot.pause()
        listed = screen.rows["cuff"].entry.query_one(OptionList)
        told = {str(one.prompt): cast("Text", one.prompt) for one in listed.options}
        struck = [words for words, prompt in told.items() if any("strike" in str(span.style) for span in prompt.spans)]
        assert struck == [f"{words} - ruled out: no ribber" for words in ("rib with the ribber", "rib with a selvedge")]
        assert "mock rib, hung" in told
        await pilot.press("escape")
        # F1 on the heel says which, and why; so does a line that is typed on.
        for name, said in (
            ("heel", "opened and turned last (the crank goes forwards only)"),
            ("leg_rib", "without “latched” (no ribber)"),
        ):
            screen.rows[name].entry.focus()
            await pilot.pause()
            screen.go_help()
            await pilot.pause()
            shown = " ".join(str(part.render()) for part in app.screen.query(Static))
            assert "Ruled out here:" in shown
            assert said in shown
            await pilot.press("escape")
        screen.rows["foot"].entry.value = "25 cm"
        await choose(pilot, "heel", 1)  # still to be chosen, and refused with why
        assert screen.working.missing.startswith("Ruled out on The attic machine")
        app.book.keep(MACHINE)  # as soon as the record says otherwise nothing is
        screen._shelf.read_gauges()
        screen.follow()
        screen.rows["cuff"].entry.focus()
        await pilot.press("enter")
        await pilot.pause()
        assert "rib with a selvedge" in picture(app)
        assert "ruled out" not in picture(app)
        assert "Ruled out" not in screen.rows["heel"].explained


@pytest.mark.parametrize(("kind", "rib"), [("ribber", "1x1"), ("tube", "3x1"), ("tube", "3x1 latched")])
def test_a_ribber_that_is_not_there_is_not_set_up(tmp_path: Path, kind: Literal["ribber", "tube"], rib: str) -> None:
    def begin(machine: Machine) -> SessionRecord:
        book = new_book(tmp_path / machine.ribber_set)
        return starting.fresh(book, kind, machine, CYLINDER, YARN, dial=27, rows=60, separator_rows=8, rib=rib)

    assert begin(MACHINE).rib == rib
    if "latched" in rib:
        assert begin(BARE).rib == rib
    else:
        with pytest.raises(CraftError, match="its record says that there is no ribber"):
            begin(BARE)


async def test_every_heel_stands_side_by_side_for_the_foot(tmp_path: Path) -> None:
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        await pilot.press(*"5.9")
        await pilot.pause()
        shown = app.screen.query_one(PlanNumbers).query_one("#plan-heels").render()
        for words in ("* short-row 32", "short-row 38", "mini-gusset 6", "afterthought"):
            assert words in str(shown)
        await choose(pilot, "heel", 3)
        assert not app.screen.query_one("#plan-heels").display
        assert app.screen.query_one("#plan-head-1").display
        await choose(pilot, "end", 2)
        assert not app.screen.query_one("#plan-head-1").display  # nothing of a foot is asked for a tube open at its end


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 55)])
@pytest.mark.parametrize("typed", [[*"5.9"], ["enter", *"6"]])
async def test_the_table_of_heels_is_whole_on_one_page_of_the_numbers(
    tmp_path: Path, size: tuple[int, int], typed: list[str]
) -> None:
    """A heel that a foot is too short for says so in no more room than the numbers take."""
    app = Host(new_book(tmp_path))
    stock(app.book)
    measure_tube(app.book)
    async with app.run_test(size=size) as pilot:
        screen = PlanScreen()
        app.show(screen)
        await pilot.pause()
        await pilot.press(*typed)
        await pilot.pause()
        lines = screen.working.heels
        for _ in range(4):
            shown = picture(app)
            if lines[0] in shown:
                break
            await pilot.press("pagedown")
            await pilot.pause()
        places = [next(at for at, row in enumerate(shown.splitlines()) if line in row) for line in lines]
        assert places == list(range(places[0], places[0] + 6))
