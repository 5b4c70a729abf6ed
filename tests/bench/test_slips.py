"""A slip at the machine: another layout, a key that does nothing here, leaving by accident, a count that cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual import events
from textual.widgets import Static

from hosewright.bench.app import Bench
from hosewright.bench.home import HomeScreen
from hosewright.bench.session_screen import SessionScreen
from hosewright.session.first_aid import first_aid
from hosewright.settings import Settings
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
            self.app.post_message(events.Key(name, " " if name == "space" else key if len(key) == 1 else None))
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
    app = Bench(book, Settings(press_gap_ms=0))
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
        ("tube", "q", "q does nothing in this step; ? says what does."),
        ("tube", "ж", "ж does nothing in this step; ? says what does."),
        ("tube", "7", "a needle's number is typed straight after what was seen at it."),
        ("wash", "=", "= does nothing in this step: it is “recount” while rows or passes are counted."),
        ("tube", "pageup", "PgUp does nothing in this step; ? says what does."),
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
    assert played.said == "Enter does nothing in this step. The stitch size is not found yet."


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
    assert first_aid(fault) in shown
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
