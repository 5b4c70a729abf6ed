"""A mistake at the machine: another layout, a key that does nothing, leaving by accident, a count that cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual import events
from textual.widgets import Static

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.counting.keymap import commands_for
from hosewright.craft.turning import looks_after
from hosewright.session.events import Pressed, Rehung, Undone
from hosewright.session.observations import first_aid
from hosewright.session.steps import CountPasses
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, record, rows

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.events import Fault
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind


FOUND = ("space", "d", "space", "d", "space", "s")  # what finds the stitch size in a search


SIGNS = {"space": " ", "comma": ",", "minus": "-"}


class Played:
    """The bench with one session on it."""

    def __init__(self, pilot: Pilot[int], book: Logbook) -> None:
        assert isinstance(pilot.app, Bench)
        self.pilot, self.book, self.app = pilot, book, pilot.app

    async def start(self, kind: SessionKind, at: str, counted: int = 0, session_id: str = "20231114-test") -> Live:
        live = self.book.start(record(kind, session_id))
        crank_to(live, at)
        drive(live, rows(counted))
        self.app.open_session(live.record.id)
        await self.pilot.pause()
        return live

    @property
    def state(self) -> State:
        assert isinstance(self.app.screen, SessionScreen)
        return self.app.screen.live.state

    async def press(self, *keys: str) -> None:
        """Keys as a terminal sends them; a letter of any script is its own name."""
        for key in keys:
            name = "space" if key == " " else key
            self.app.post_message(events.Key(name, SIGNS.get(name, key if len(key) == 1 else None)))
            await self.pilot.pause()

    async def type(self, text: str) -> None:
        await self.pilot.press(*("space" if letter == " " else letter for letter in text))

    def text(self, selector: str) -> str:
        return " ".join(str(self.app.screen.query_one(selector, Static).render()).split())

    @property
    def said(self) -> str:
        return self.text("#message")

    def lines(self) -> list[str]:
        """What the terminal shows, line by line."""
        return [
            "".join(segment.text for segment in strip).rstrip() for strip in self.app.screen._compositor.render_strips()
        ]


@pytest.fixture
async def played(book: Logbook) -> AsyncIterator[Played]:
    app = Bench(book, Settings(press_gap_ms=0, foot="all"))
    async with app.run_test(size=(80, 24)) as pilot:
        yield Played(pilot, book)


# --- Caps Lock and other layouts -------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["D", "в", "В", "δ"])
async def test_a_dropped_stitch_is_noted_on_any_layout(played: Played, key: str) -> None:
    await played.start("tube", "tube", 3)
    await played.press(key)
    assert [seen.fault for seen in played.state.observations] == ["dropped"]
    await played.press("7", "enter")
    assert played.state.observations[0].needle == 7


async def test_a_note_and_a_dial_position_say_what_was_noted_and_what_undoes_it(played: Played) -> None:
    await played.start("tube", "tube", 3)
    await played.press("n", *"slub", "enter")
    assert played.said == "Noted: note at row 3: slub (Backspace takes it back)."
    await played.press("g", "6", "enter")
    assert played.said == "Noted: the dial stands at 6 turns below zero (Backspace takes it back)."


async def test_a_question_is_answered_on_any_layout_and_what_is_typed_stays_as_typed(played: Played) -> None:
    await played.start("tube", "tube", 3)
    await played.press("enter", "т")  # n
    assert played.state.step is not None
    assert played.state.step.id == "tube"
    await played.press("т")  # a note
    await played.type("Вяз D")
    await played.press("enter")
    assert played.state.observations[0].note == "Вяз D"
    await played.press("enter", "Y")
    assert played.state.step.id == "part"


async def test_the_bench_and_its_other_screens_take_their_letters_on_any_layout(played: Played) -> None:
    await played.press("Д")  # l: look back
    await played.pilot.pause()
    assert not isinstance(played.app.screen, HomeScreen)


# --- keys that do nothing here -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("step", "key", "said"),
    [
        ("join", "d", "d does nothing in this step: it is “dropped” while rows or passes are counted"),
        ("join", "в", "d does nothing in this step"),
        ("join", "v", "v does nothing in this step. There are no doubtful presses to count."),
        ("tube", "v", "v does nothing in this step. There are no doubtful presses to count."),
        ("tube", "u", "it is “spoilt” in a string of socks."),
        ("tube", "q", "q does nothing in this step, so nothing was changed; ? says what does."),
        ("tube", "ж", "ж does nothing in this step, so nothing was changed; ? says what does."),
        ("tube", "7", "a needle's number is typed straight after what was seen at it."),
        ("wash", "=", "= does nothing in this step: it is “recount” while rows or passes are counted."),
        ("tube", "pageup", "PgUp does nothing in this step, so nothing was changed; ? says what does."),
    ],
)
async def test_a_key_that_does_nothing_says_what_it_is_for(played: Played, step: str, key: str, said: str) -> None:
    await played.start("tube", step)
    before = played.state.last_seq
    await played.press("equals_sign" if key == "=" else key)
    assert said in played.said
    assert played.state.last_seq == before


async def test_enter_in_the_search_says_why_it_does_not_go_on(played: Played) -> None:
    await played.start("search", "trial")
    await played.press("enter")
    assert (
        played.said
        == "Enter does nothing in this step. The stitch size is not found yet: first say what the stitches did."
    )


async def test_a_key_of_a_field_or_of_the_terminal_says_nothing(played: Played) -> None:
    await played.start("tube", "before-wash")
    await played.press("a", "pageup")
    assert "does nothing" not in played.said


# --- the next thing to do at once --------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "step"), [("tube", "tube"), ("sock", "heel")])
@pytest.mark.parametrize(("key", "fault"), [("f", "fell-off"), ("x", "yarn-broke"), ("z", "stiff"), ("d", "dropped")])
async def test_what_to_do_next_is_seen_whole_on_a_small_terminal(
    played: Played, kind: SessionKind, step: str, key: str, fault: Fault
) -> None:
    await played.start(kind, step, 17)
    await played.press(key)
    await played.pilot.pause()
    shown = " ".join(" ".join(played.lines()).split())
    assert first_aid(fault, "r") in shown
    assert len(played.lines()) == 24
    assert played.app.screen.query_one("#counting").size.height >= 3  # the count stays to be read


@pytest.mark.parametrize(("key", "words"), [("z", "never force it."), ("x", "needles that pass without")])
async def test_in_the_search_and_the_proof_it_is_said_too(played: Played, key: str, words: str) -> None:
    await played.start("search", "trial")
    await played.press("space", key)
    assert words in played.said
    await played.press("enter", *FOUND, "enter", "enter", "space", key)  # found in a new search, and being proven
    assert [trial.verdict for trial in played.state.trials].count("stiff" if key == "z" else "broke") == 2
    assert words in played.said


# --- hang again, recount, count doubtful presses ---------------------------------------------------------------------


async def test_what_is_typed_is_seen_with_its_example_on_a_small_terminal(played: Played) -> None:
    await played.start("sock", "heel", 12)
    await played.press("r")
    await played.type("10 leg the weights fell")
    shown = "\n".join(" ".join(line.split()) for line in played.lines())
    assert "Hung again at row or pass: 10 leg the weights fell" in shown
    assert "Such as 31, leg 31, or 31 leg." in shown


@pytest.mark.parametrize(
    ("typed", "count", "reason"),
    [
        ("10", 10, ""),
        ("10 heel", 10, ""),
        ("heel 10", 10, ""),
        ("pass 10 of the heel, yarn cut", 10, "yarn cut"),
        ("10 yarn cut", 10, "yarn cut"),
    ],
)
async def test_heel_before_or_behind_its_pass_means_the_heel(
    played: Played, typed: str, count: int, reason: str
) -> None:
    live = await played.start("sock", "heel", 12)
    await played.press("r")
    await played.type(typed)
    await played.press("enter")
    assert played.state.step is not None
    assert (played.state.step.id, played.state.count) == ("heel", count)
    assert list(played.book.store.entries(live.n))[-1].event == Rehung("heel", count, reason, settles=True)


@pytest.mark.parametrize("typed", ["leg 4", "4 leg", "row 4 of the leg"])
async def test_going_back_over_a_finished_part_asks_once_and_says_what_is_lost(played: Played, typed: str) -> None:
    await played.start("sock", "heel", 12)
    legs = played.state.count_of("leg")
    await played.press("r")
    await played.type(typed)
    await played.press("enter")
    asked = played.text("#ask Static")
    assert asked == f"That takes off {legs - 4} rows of leg and 12 passes of heel. Hang again there? y yes, n no"
    await played.press("n")
    assert played.state.count == 12
    await played.press("r")
    await played.type(typed)
    await played.press("enter", "y")
    assert played.state.step is not None
    assert (played.state.step.id, played.state.count, played.said) == ("leg", 4, "Hung again at row 4 of “Leg”.")
    assert not played.app.screen.query_one("#ask").display


async def test_a_part_that_is_not_there_is_named_with_those_that_are(played: Played) -> None:
    await played.start("tube", "tube", 12)
    for typed in ("10 o'clock", "sleeve 10", "leg"):
        await played.press("r")
        await played.type(typed)
        await played.press("enter")
        if typed != "10 o'clock":  # a reason
            assert "The parts: separator before, gauge tube." in played.said
            await played.press("escape")
    assert played.state.count == 10


@pytest.mark.parametrize(
    ("kind", "step", "typed"), [("sock", "heel", "999"), ("sock", "heel", "97"), ("tube", "tube", "501")]
)
async def test_a_recount_that_cannot_be_is_refused(played: Played, kind: SessionKind, step: str, typed: str) -> None:
    await played.start(kind, step, 3)
    await played.press("equals_sign")
    await played.type(typed)
    await played.press("enter")
    assert f"so {typed} cannot be. Type how many are cranked" in played.said
    await played.press("escape")
    assert played.state.count == 3


@pytest.mark.parametrize(
    ("kind", "step", "typed", "asked"),
    [
        ("sock", "heel", "42", "42 is 2 more than the 40 passes planned. Right?"),
        ("sock", "heel", "40", "40 is 37 passes more than the counter says. Right?"),
        ("tube", "tube", "31", "31 is 1 more than the 30 rows planned. Right?"),
    ],
)
async def test_an_unlikely_recount_is_asked_about_once(
    played: Played, kind: SessionKind, step: str, typed: str, asked: str
) -> None:
    await played.start(kind, step, 3)
    await played.press("equals_sign")
    await played.type(typed)
    await played.press("enter")
    assert played.text("#ask Static") == f"{asked} y yes, n no"
    assert played.state.count == 3
    await played.press("y")
    assert (played.state.count, played.said) == (int(typed), f"The count is corrected to {typed}.")


async def test_a_likely_recount_is_taken_at_once_and_settles_doubtful_presses(played: Played) -> None:
    await played.start("tube", "tube", 3)
    assert isinstance(played.app.screen, SessionScreen)
    for _ in range(12):
        played.app.screen.hands.do(Pressed(doubtful=True))
    await played.press("equals_sign")
    await played.type("7 lost count")
    await played.press("enter")
    assert (played.state.count, played.state.doubted) == (7, 0)
    await played.press("v")
    assert played.state.count == 7


async def test_many_doubtful_presses_are_asked_about_and_are_one_undo(played: Played) -> None:
    await played.start("tube", "tube", 20)
    assert isinstance(played.app.screen, SessionScreen)
    for _ in range(11):
        played.app.screen.hands.do(Pressed(doubtful=True))
    await played.press("v")
    assert played.text("#ask Static").startswith(
        "11 presses came too close together. Count them all? The count will be 31 of 30."
    )
    await played.press("n")
    assert (played.state.count, played.state.doubted) == (20, 11)
    await played.press("v", "y")
    assert (played.state.count, played.said) == (31, "Counted after all: the count is 31.")
    played.app.screen.hands.do(Undone())
    assert (played.state.count, played.state.doubted) == (20, 11)


async def test_a_few_doubtful_presses_are_counted_at_once(played: Played) -> None:
    await played.start("tube", "tube", 20)
    assert isinstance(played.app.screen, SessionScreen)
    for _ in range(10):
        played.app.screen.hands.do(Pressed(doubtful=True))
    await played.press("v")
    assert played.state.count == 30


# --- lost in the heel --------------------------------------------------------------------------------------------


async def answered(played: Played, *answers: str) -> None:
    for answer in answers:
        await played.press("ctrl+u")  # what was typed wrongly stays to be put right
        await played.type(answer)
        await played.press("enter")


async def test_lost_in_the_heel_the_work_says_which_pass_it_is(played: Played) -> None:
    live = await played.start("sock", "heel", 5)
    step = live.state.step
    assert isinstance(step, CountPasses)
    left, right, carrier = looks_after(step.turning, 31)[0]
    await played.press("equals_sign")
    assert "Lost in the heel? Type ? and Enter." in played.said
    await answered(played, "?")
    assert "Stitches in the column of needle 15:" in played.text("#ask Static")
    assert "Follow the row that hangs on the instep needles" in " ".join(" ".join(played.lines()).split())
    await answered(played, "31", str(left), str(right), carrier)
    asked = played.text("#ask Static")
    assert asked.startswith("31 of 40 passes are cranked, next is pass 32: carrier on the ")
    assert asked.endswith("Set the counter to 31? y yes, n no")
    await played.press("y")
    assert (played.state.count, played.said) == (31, "The count is corrected to 31.")


async def test_a_stitch_counted_wrong_is_put_right_or_the_two_counts_are_named(played: Played) -> None:
    live = await played.start("sock", "heel", 5)
    step = live.state.step
    assert isinstance(step, CountPasses)
    left, right, carrier = looks_after(step.turning, 14)[0]
    await played.press("equals_sign")
    await answered(played, "?", "15", str(left), str(right), carrier)
    assert played.said.startswith("It is 14 (needles going up) or 26 (needles coming down).")
    await answered(played, "20")
    assert "Type 14 or 26." in played.said
    await answered(played, "14")
    assert played.text("#ask Static").startswith("By the needles 14, not 15. 14 of 40 passes are cranked")
    await played.press("y")
    assert played.state.count == 14


async def test_what_cannot_be_is_asked_again_and_escape_leaves_all_as_it_was(played: Played) -> None:
    await played.start("sock", "heel", 5)
    await played.press("equals_sign")
    await answered(played, "?", "3", "30", "1", "left")
    assert "No pass looks like that: look again." in played.said
    await answered(played, "many")
    assert "many" in played.said
    await answered(played, "-", "-", "-", "-")
    assert "With nothing to go by, there is no telling the pass." in played.said
    await played.press("escape")
    assert played.state.count == 5
    await played.press("space")
    assert played.state.count == 6


# --- left by accident --------------------------------------------------------------------------------------------


async def test_escape_is_one_press_back_and_the_bench_says_which(played: Played) -> None:
    await played.start("tube", "tube", 4, "20231114-tube")
    await played.press("escape")
    live = await played.start("sock", "heel", 22)
    await played.press("escape")
    await played.pilot.pause()
    assert isinstance(played.app.screen, HomeScreen)
    assert played.said == "Left as it stands. Enter goes back to A sock."
    await played.press("enter")
    await played.pilot.pause()
    assert isinstance(played.app.screen, SessionScreen)
    assert played.app.screen.live.record.id == live.record.id


async def test_space_on_the_bench_says_that_nothing_is_counted_and_how_to_go_back(played: Played) -> None:
    await played.press("space")
    assert played.said == "Nothing is counted here. Press t, c or f to begin something to count."
    live = await played.start("sock", "heel", 22)
    await played.press("escape")
    await played.press("space")
    await played.pilot.pause()
    assert played.said == "Nothing is counted here. Enter goes back to A sock."
    await played.press("j")
    assert played.said == "j does nothing here; ? says what each key does."
    assert live.state.count == 22


async def test_another_session_by_accident_is_one_press_back(played: Played) -> None:
    for name in ("20231114-a", "20231114-b", "20231114-c"):
        await played.start("tube", "tube", 4, name)
        await played.press("escape")
    await played.pilot.press("enter")
    await played.pilot.pause()
    assert isinstance(played.app.screen, SessionScreen)
    here = played.app.screen.live.record.id
    await played.press("o")
    await played.pilot.pause()
    assert played.app.screen.live.record.id != here
    assert played.said.endswith("Backspace goes straight back to A tube.")
    counts = list(played.state.counts)
    await played.press("backspace")
    await played.pilot.pause()
    assert isinstance(played.app.screen, SessionScreen)
    assert (played.app.screen.live.record.id, played.state.counts) == (here, counts)
    await played.press("o", "space", "backspace")  # there something was done, so that is undone
    await played.pilot.pause()
    assert played.app.screen.live.record.id != here
    assert played.state.count == 4


async def test_a_step_back_and_giving_up_by_accident_are_one_press_back(played: Played) -> None:
    await played.start("sock", "heel", 22)
    await played.press("b")
    assert played.said == "Back to the step before; its count is as it was. Backspace takes that back."
    await played.press("backspace")
    assert (played.state.count, played.state.step and played.state.step.id) == (22, "heel")
    await played.press("a", "n")
    assert (played.state.abandoned, played.said) == (False, "Left as it was.")
    await played.press("a", "y")
    assert "Given up. Backspace takes that back." in played.said
    await played.press("backspace")
    assert (played.state.count, played.state.abandoned) == (22, False)


# --- every key ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "step"), [("tube", "join"), ("tube", "tube"), ("sock", "heel"), ("search", "trial"), ("tube", "dry")]
)
async def test_every_key_of_the_foot_acts_or_says_why_not(played: Played, kind: SessionKind, step: str) -> None:
    await played.start(kind, step, 2 if step in ("tube", "heel", "trial") else 0)
    assert isinstance(played.app.screen, SessionScreen)
    screen = played.app.screen
    for command in commands_for(played.state):
        screen.say("")
        before, seq = played.lines(), screen.live.state.last_seq
        await played.press(command.key)
        await played.pilot.pause()
        acted = played.app.screen is not screen or played.lines() != before or screen.live.state.last_seq != seq
        assert acted, command.name
        while played.app.screen is not screen and not isinstance(played.app.screen, HomeScreen):
            await played.press("escape")
            await played.pilot.pause()
        if isinstance(played.app.screen, HomeScreen):
            return  # Esc stands last but for the help
        if screen.query_one("#ask").display:
            await played.press("escape")
        while screen.live.state.last_seq != seq:
            assert screen.live.do(Undone()) is None
            seq = screen.live.state.last_seq
        await screen.show()
