"""One step at a time at the machine: everything there is to say fits, the count stays large, no key is lost."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.count.panels import ReasonPanel
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.settings import SettingsScreen
from hosewright.bench.widgets.bigtext import drawn, large
from hosewright.bench.widgets.keybar import KeyBar
from hosewright.bench.widgets.line import Sheet, Steady
from hosewright.bench.widgets.panel import Panel
from hosewright.counting.step_by_step import next_words, reason_parts
from hosewright.places import settings_path
from hosewright.session.events import Confirmed, Judged, Pressed
from hosewright.session.reasons import caution_now
from hosewright.session.state import State
from hosewright.session.steps import Confirm, CountPasses, CountRows, Head, Measure
from hosewright.session.words import next_pass_words
from hosewright.settings.loading import load
from hosewright.settings.table import Settings
from tests.bench.test_snapshots import hold_at, picture
from tests.helpers import crank_to, drive, folded, record, rows
from tests.session.test_reasons import PROCEDURES

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.events import Verdict
    from tests.helpers import FakeClock

STEP_BY_STEP = Settings(press_gap_ms=0, step_by_step=True)
SIZES = [(80, 24), (120, 40)]


def flat(text: str) -> str:
    return " ".join(text.split())


async def on_screen(pilot: Pilot[int], live: Live) -> SessionScreen:
    app = pilot.app
    assert isinstance(app, Bench)
    app.open_session(live.record.id)
    await pilot.pause()
    await pilot.pause()
    assert isinstance(app.screen, SessionScreen)
    return app.screen


def said_anew() -> dict[str, list[int]]:
    """The steps of each procedure at which something is said that no procedure before it says."""
    heard: set[object] = set()
    found: dict[str, list[int]] = {name: [] for name in PROCEDURES}
    for name, (kind, steps) in PROCEDURES.items():
        for index, step in enumerate(steps):
            state = State(Head("all", kind, steps, 26, 60), index=index)
            said = (step, *reason_parts(state), next_words(state, "Enter"))
            if said not in heard:
                heard.add(said)
                found[name].append(index)
    return found


SAID_ANEW = said_anew()


def test_every_step_is_looked_at_in_some_procedure() -> None:
    looked_at = {PROCEDURES[name][1][index] for name, places in SAID_ANEW.items() for index in places}
    assert looked_at == {step for _, steps in PROCEDURES.values() for step in steps}


@pytest.mark.parametrize("name", PROCEDURES)
async def test_every_step_of_every_procedure_fits_whole(name: str, book: Logbook) -> None:
    """All of why, what to look for, what if not, and the caution can be read at each step, and a count is large.

    Procedures share most of their steps: what is said alike is looked at in the first of them.
    """
    kind, steps = PROCEDURES[name]
    begun = book.start(record("sock" if kind == "string" else kind, book.new_id(), steps=steps))
    app = Bench(book, STEP_BY_STEP)
    async with app.run_test(size=SIZES[0]) as pilot:
        screen = await on_screen(pilot, begun)
        for size in SIZES:
            await pilot.resize_terminal(*size)
            for index in SAID_ANEW[name]:
                screen.live.state.index = index
                await screen.show()
                await pilot.pause()
                fits_whole(screen)


def fits_whole(screen: SessionScreen) -> None:
    state, step, seen = screen.live.state, screen.live.state.step, flat(picture(screen.app))
    assert step is not None
    for label, said in reason_parts(state):
        assert f"{label} " in seen
        assert said in seen, f"{step.id}: {label} does not fit"
    if isinstance(step, Confirm):
        assert re.search(r"Enter, (then|and that)", seen), step.id
    if isinstance(step, CountRows | CountPasses):
        shown = screen.query_one("#count", Panel).plain
        sizes = range(1, 6)
        assert any(drawn("0", size)[2 * size] in shown for size in sizes), f"{step.id}: the count is small"
        if isinstance(step, CountPasses):
            assert next_pass_words(step, 0) in flat(seen.replace("│", " "))
    if isinstance(step, Measure):
        assert screen.query_one("#measuring").size.height >= len(step.fields) + 2


async def test_confirming_goes_from_step_to_step(book: Logbook) -> None:
    live = book.start(record("tube", book.new_id()))
    app = Bench(book, STEP_BY_STEP)
    async with app.run_test(size=(80, 24)) as pilot:
        live = (await on_screen(pilot, live)).live
        shown = picture(app)
        assert "SET THE DIAL" in shown
        assert "Separator before  " not in shown  # no list of steps
        assert "Enter, then: Hang the cast-on bonnet." in shown
        await pilot.press(*["enter"] * 4)
        shown = flat(picture(app))
        assert "These rows take the uneven beginning" in shown
        assert "Set the dial to" not in shown
        await pilot.press(*["space"] * 10, "enter")
        assert "JOIN THE WORKING YARN" in picture(app)
        assert live.state.count_of("separator-in") == 10


async def test_every_other_key_still_works_and_the_help_lists_it(book: Logbook) -> None:
    live = book.start(record("tube", book.new_id()))
    crank_to(live, "tube")
    app = Bench(book, STEP_BY_STEP)
    async with app.run_test(size=(80, 24)) as pilot:
        live = (await on_screen(pilot, live)).live
        assert "tuck" not in picture(app).splitlines()[-1]
        await pilot.press("space", "t", "4", "enter")
        assert [(s.fault, s.needle) for s in live.state.observations] == [("tuck", 4)]
        await pilot.press("question_mark")
        await pilot.pause()
        assert "Observation at this row: tuck." in picture(app)


async def test_h_turns_it_on_and_off_at_the_machine(book: Logbook) -> None:
    live = book.start(record("tube", book.new_id()))
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await on_screen(pilot, live)
        assert not screen.query_one(ReasonPanel).display
        before = picture(app)
        await pilot.press("h")
        await pilot.pause()
        assert "Why  " in picture(app)
        assert "h all steps" in picture(app).splitlines()[-1]
        assert "One step at a time until you quit. To keep it: e on the bench" in picture(app)
        await pilot.press("question_mark")
        await pilot.pause()
        assert "Below it stands why it is" in picture(app)
        assert "On the right are all steps" not in picture(app)
        await pilot.press("escape")
        await pilot.press("h")
        await pilot.pause()
        assert picture(app) == before
        assert load(settings_path())[0] == Settings()  # nothing is stored by the key
        assert screen.live.state.presses == 0


@pytest.mark.parametrize("foot", ["few", "all"])
async def test_the_keys_that_rescue_are_seen(foot: Literal["few", "all"], book: Logbook) -> None:
    live = book.start(record("sock", book.new_id()))
    crank_to(live, "heel")
    app = Bench(book, replace(STEP_BY_STEP, foot=foot))
    async with app.run_test(size=(80, 24)) as pilot:
        await on_screen(pilot, live)
        seen = app.screen.query_one(KeyBar).plain
        for key in ("Bksp undo", "= put right" if foot == "few" else "= recount", "p pause", "Esc bench", "? help"):
            assert key in seen


@pytest.mark.parametrize(("seen", "word"), [(("drop", "drop", "stay"), "FOUND"), (("stiff",), "DO NOT CRANK")])
@pytest.mark.parametrize("one_step", [True, False])
async def test_an_answer_at_the_foot_leaves_the_caution_whole(
    seen: tuple[Verdict, ...], word: str, one_step: bool, book: Logbook
) -> None:
    """A press where no row is cranked is answered in one line, for the panel says it all, and the caution is whole."""
    live = book.start(record("search", book.new_id()))
    crank_to(live, "trial")
    for verdict in seen:
        for event in (Pressed(), Judged(verdict, live.state.search.position)):
            assert live.do(event) is None
    async with Bench(book, Settings(press_gap_ms=0, step_by_step=one_step)).run_test(size=(80, 24)) as pilot:
        screen = await on_screen(pilot, live)
        await pilot.press("space")
        await pilot.pause()
        lines = [strip.text for strip in screen._compositor.render_strips()]
        assert any(word in line for line in lines)
        assert str(screen.query_one("#message", Steady).render()).startswith("! Nothing is cranked here")
        left = [re.split("[║┃]│", line)[0].strip("║┃ ") for line in lines]  # without the steps beside
        assert caution_now(live.state)
        assert flat(caution_now(live.state)) in flat(" ".join(left))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
@pytest.mark.parametrize("view", ["h", "tab"])
async def test_a_cue_that_is_near_is_said_where_the_panels_are_not(
    size: tuple[int, int], view: str, book: Logbook
) -> None:
    live = book.start(record("sock", book.new_id()))
    crank_to(live, "heel")
    drive(live, rows(37))
    async with Bench(book, Settings(press_gap_ms=0)).run_test(size=size) as pilot:
        screen = await on_screen(pilot, live)
        await pilot.press(view)
        await pilot.pause()
        line = screen.query_one("#sockline", Sheet)
        assert screen.region.contains_region(line.region)
        assert "In 3 passes: close the heel.  . seen" in line.plain


async def test_the_count_alone_stays_alone(book: Logbook) -> None:
    live = book.start(record("tube", book.new_id()))
    crank_to(live, "tube")
    app = Bench(book, STEP_BY_STEP)
    async with app.run_test(size=(80, 24)) as pilot:
        live = (await on_screen(pilot, live)).live
        await pilot.press("l", "space")
        assert "Why" not in picture(app)
        assert live.state.count == 1


async def test_a_tiny_terminal_keeps_the_count(book: Logbook) -> None:
    live = book.start(record("sock", book.new_id()))
    crank_to(live, "heel")
    app = Bench(book, STEP_BY_STEP)
    async with app.run_test(size=(40, 12)) as pilot:
        live = (await on_screen(pilot, live)).live
        await pilot.press(*["space"] * 5)
        assert live.state.count == 5
        assert "Why" not in picture(app)


async def test_the_setting_is_chosen_on_its_screen_and_kept(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("e")
        await pilot.pause()
        assert isinstance(app.screen, SettingsScreen)
        app.screen.query_one("#field-step_by_step").focus()
        await pilot.press("enter", "down", "enter", "ctrl+s")
        await pilot.pause()
        assert app.settings.step_by_step
    assert load(settings_path()) == (Settings(step_by_step=True), [])


def test_the_end_is_said_as_an_end() -> None:
    steps = (Confirm("wash", "Wash it"),)
    assert next_words(folded(Head("w", "tube", steps, 26, 60)), "Enter") == "Enter, and that is the end."
    finished = folded(Head("w", "tube", steps, 26, 60), Confirmed())
    assert next_words(finished, "Enter") == ""
    assert reason_parts(finished) == []


SCREENS = {
    "step-by-step-confirm": ("sock", "heel-pull", 0),
    "step-by-step-heel": ("sock", "heel", 30),
    "step-by-step-rows": ("tube", "tube", 7),
    "step-by-step-search": ("search", "trial", 1),
    "step-by-step-measure": ("tube", "after-wash", 0),
}


@pytest.mark.parametrize("name", SCREENS)
async def test_screen(name: str, book: Logbook, clock: FakeClock) -> None:
    kind, step, count = SCREENS[name]
    live = book.start(record(kind, "20231114-by-step"))  # type: ignore[arg-type]  # one of the kinds
    crank_to(live, step)
    drive(live, rows(count))
    if kind == "search":
        drive(live, Judged("drop", 32), Pressed())
    clock.step_ms = 0
    app = Bench(book, STEP_BY_STEP)
    async with app.run_test(size=SIZES[0]) as pilot:
        await on_screen(pilot, live)
        await hold_at(pilot, name, ("80x24", "120x40"))


# --- large words --------------------------------------------------------------------------------------------------


def test_every_title_can_be_drawn_large_on_a_wide_screen() -> None:
    for name, (_, steps) in PROCEDURES.items():
        for step in steps:
            drawn = large(step.title, 116)
            assert len(drawn) in (4, 9, 14), f"{name}: {step.title}"  # up to three lines of letters, and gaps
            assert max(map(len, drawn)) <= 116


def test_letters_are_told_apart_and_keep_their_place() -> None:
    drawn = {char: large(f"{char}{char}", 20) for char in "ABCDEFGHIJKLMNOPQRSTUVWXYZ123456789"}  # 0 is drawn like O
    assert len(set(drawn.values())) == len(drawn)
    first, second = zip(*((line.ljust(11)[:5], line.ljust(11)[6:]) for line in drawn["H"]), strict=True)
    assert first == second
    assert large("il", 20)[0] == " ▀█▀  █"


@pytest.mark.parametrize(("words", "width"), [("Wash", 22), ("Ärmel", 200), ("", 200)])
def test_what_cannot_be_drawn_is_left_to_plain_letters(words: str, width: int) -> None:
    assert "".join(large(words, width)) == ""


async def test_a_large_screen_names_the_step_in_large_letters(book: Logbook) -> None:
    live = book.start(record("tube", book.new_id()))
    app = Bench(book, STEP_BY_STEP)
    async with app.run_test(size=(120, 40)) as pilot:
        await on_screen(pilot, live)
        shown = picture(app)
        assert all(f"│ {line}" in shown for line in large("Set the dial", 116))
        assert "Set the dial to 6 1/2 turns below zero" in shown
        await pilot.press("h")
        await pilot.pause()
        assert large("Set the dial", 116)[0] not in picture(app)


async def test_the_first_session_ever_goes_step_by_step_and_says_how_to_leave_that(book: Logbook) -> None:
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.start_session(record("tube", book.new_id()))
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)
        assert app.screen.step_by_step
        assert "h shows all at once." in flat(picture(app))
        await pilot.press("h", "escape")
        await pilot.pause()
        app.start_session(record("tube", book.new_id()))
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SessionScreen)
        assert not app.screen.step_by_step
        assert "Step by step" not in picture(app)
