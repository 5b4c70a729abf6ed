"""Hands busy, eyes two metres away: cues, doubtful presses, pauses, the twin, the count alone."""

from __future__ import annotations

import re
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

import pytest
from textual import events

from hosewright.bench.app import Bench
from hosewright.bench.count import screen as session_screen
from hosewright.bench.count.observations_screen import ObservationsScreen, read_addition
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.count.view import CountView
from hosewright.bench.widgets.bigtext import drawn
from hosewright.bench.widgets.line import Sheet, changed_cells
from hosewright.bench.widgets.panel import DUE, LIVE, Panel
from hosewright.counting.hands import Hands
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, record, rows, sock_plan_steps

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind


class Rung:
    """A voice that remembers."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.rings = 0

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        self.said.append(sentence)

    def ask(self, about: str, words: str = "", hint: str = "") -> None:
        self.said.append(about)

    def ring(self) -> None:
        self.rings += 1


def at_tube(book: Logbook, counted: int = 0) -> Live:
    live = book.start(record("tube"))
    crank_to(live, "tube")
    drive(live, rows(counted))
    return live


class Played:
    """The bench with one session on it."""

    def __init__(self, pilot: Pilot[int]) -> None:
        assert isinstance(pilot.app, Bench)
        assert isinstance(pilot.app.screen, SessionScreen)
        self.pilot, self.app, self.screen = pilot, pilot.app, pilot.app.screen

    @property
    def state(self) -> State:
        return self.screen.live.state

    @property
    def cue(self) -> str:
        """What is said of the next cue: at 80x24 beside the sock in one line."""
        return re.sub(r"^[^A-Z]*", "", self.words("#sockline"))

    def words(self, selector: str) -> str:
        place = self.app.screen.query_one(selector)
        return place.plain if isinstance(place, Sheet) else str(place.render())

    async def press(self, *keys: str) -> None:
        """Keys posted at once, far faster than the pilot's own press."""
        for key in keys:
            name = "space" if key == " " else key
            self.app.post_message(events.Key(name, " " if name == "space" else key if len(key) == 1 else None))
        await self.pilot.pause()
        await self.pilot.pause()


@asynccontextmanager
async def on_the_bench(book: Logbook, settings: Settings, live: Live, *, columns: int = 80) -> AsyncIterator[Played]:
    app = Bench(book, settings)
    async with app.run_test(size=(columns, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        yield Played(pilot)


# --- a count that is true ----------------------------------------------------------------------------------


def test_presses_too_close_are_stored_not_counted_and_one_key_counts_them(book: Logbook) -> None:
    live, voice = at_tube(book), Rung()
    hands = Hands(live, Settings(), voice)
    for at in (0, 500, 530, 1000):
        hands.do_count(at)
    assert (live.state.count, live.state.doubted) == (3, 1)
    assert any("not counted" in said for said in voice.said)
    hands.do_vouch()
    assert (live.state.count, live.state.doubted) == (4, 0)


def test_a_held_key_counts_once(book: Logbook) -> None:
    live = at_tube(book)
    hands = Hands(live, Settings(), Rung())
    for at in (0, 600, *(1100 + 33 * n for n in range(30))):
        hands.do_count(at)
    # two rows by hand; the second was held down: its first repeat after the keyboard's wait is no row
    assert live.state.count == 2
    assert live.state.doubted == 30


def test_gap_zero_counts_every_press(book: Logbook) -> None:
    live = at_tube(book)
    hands = Hands(live, Settings(press_gap_ms=0), Rung())
    for _ in range(200):
        hands.do_count(7.0)
    assert live.state.count == 200


async def test_two_hundred_presses_in_one_write(book: Logbook) -> None:
    async with on_the_bench(book, Settings(), at_tube(book)) as played:
        await played.press(*["space"] * 200)
        assert played.state.count + played.state.doubted == 200
        assert played.state.count <= 2
        assert "DOUBTFUL" in played.words("#count")


# --- cues --------------------------------------------------------------------------------------------------


async def test_a_cue_is_seen_ahead_and_acknowledged(book: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(session_screen, "FLASH_S", 60)  # or a busy machine looks only when it is over
    async with on_the_bench(book, Settings(press_gap_ms=0), at_tube(book, 26)) as played:
        view = played.app.screen.query_one(CountView)
        assert played.cue.startswith("In 4 rows: join the separator yarn")
        assert not view.due
        await played.press("space")
        assert played.cue.startswith("In 3 rows")
        assert view.due
        assert played.screen.has_class("ringing")
        await played.press("full_stop")
        assert not view.due
        await played.press("space", "space", "space")
        assert played.cue.startswith("Now: join the separator yarn")


async def test_a_cue_seen_once_is_due_again_the_next_time_it_comes_up(book: Logbook) -> None:
    settings = Settings(press_gap_ms=0, weights_every=4, cue_rows_ahead=3)
    async with on_the_bench(book, settings, at_tube(book, 4)) as played:
        view = played.app.screen.query_one(CountView)
        assert played.cue.startswith("Now: move the weights.")
        assert played.cue.endswith(". seen")
        await played.press("full_stop")
        assert not view.due
        await played.press("space")
        assert played.cue.startswith("In 3 rows: move the weights.")  # not "due 1 row ago": it was seen
        assert view.due


async def test_weights_that_were_not_seen_stay_on_the_screen(book: Logbook) -> None:
    settings = Settings(press_gap_ms=0, weights_every=10, cue_rows_ahead=1)
    async with on_the_bench(book, settings, at_tube(book, 10)) as played:
        await played.press("space", "space")
        assert played.cue.startswith("Due 2 rows ago: move the weights.")
        assert played.app.screen.query_one(CountView).due
        await played.press("full_stop")
        assert played.cue.startswith("In 8 rows: move the weights.")


async def test_the_count_looks_due_from_when_the_settings_say(book: Logbook) -> None:
    settings = Settings(press_gap_ms=0, weights_every=10, cue_rows_ahead=1)
    async with on_the_bench(book, settings, at_tube(book, 8)) as played:
        count = played.app.screen.query_one("#count", Panel)
        assert count.plain.startswith(LIVE.corners[0])
        await played.press("space")
        assert played.cue.startswith("In 1 row: move the weights.")
        assert count.plain.startswith(DUE.corners[0])


@pytest.mark.parametrize(("answer", "left"), [("y", True), ("n", False)])
async def test_passes_past_the_plan_are_asked_about_once(book: Logbook, answer: str, *, left: bool) -> None:
    live = book.start(record("sock"))
    crank_to(live, "heel")
    drive(live, rows(42))
    async with on_the_bench(book, Settings(press_gap_ms=0), live) as played:
        heel = played.state.index
        await played.press("enter")
        assert played.state.index == heel
        assert "42 of 40 passes, 2 more than planned. Go on?" in played.words("#ask Static")
        assert "one more" not in played.words("#cylinder")
        await played.press(answer)
        assert (played.state.index > heel) is left


async def test_a_pass_too_many_says_where_the_carrier_belongs(book: Logbook) -> None:
    live = book.start(record("sock"))
    crank_to(live, "heel")
    drive(live, rows(49))
    async with on_the_bench(book, Settings(press_gap_ms=0), live) as played:
        told = " ".join(played.words("#cylinder").split())
        assert "one more brings the carrier back to the left." in told
        assert "all pass" not in told.lower()


async def test_a_cue_is_shown_beside_the_count_alone(book: Logbook) -> None:
    async with on_the_bench(book, Settings(press_gap_ms=0), at_tube(book, 26)) as played:
        await played.press("l")
        assert "join" not in played.words("#message")
        await played.press("space")
        assert played.words("#message").startswith("In 3 rows: join the separator yarn.")


def test_bell_and_flash_at_the_cue_and_at_the_target(book: Logbook) -> None:
    live, voice = at_tube(book, 20), Rung()
    hands = Hands(live, Settings(press_gap_ms=0, cue_rows_ahead=3, weights_every=0), voice)
    rung = []
    for n in range(12):
        before = voice.rings
        hands.do_count(n)
        if voice.rings > before:
            rung.append(live.state.count)
    assert rung == [27, 30]


def test_a_rest_is_called_for_and_silence_pauses(book: Logbook) -> None:
    live, voice = at_tube(book), Rung()
    hands = Hands(live, Settings(rest_after_min=1, pause_after_s=90), voice)
    minute = 60_000.0
    hands.do_count(0)
    assert not hands.tick(30_000)
    hands.do_count(40_000)
    assert hands.tick(minute)
    assert "rest your hands" in voice.said[-1]
    assert not hands.tick(minute + 1000)
    assert hands.tick(40_000 + 90_000)
    assert live.state.paused
    assert not hands.tick(1e9)
    hands.do_count(1e9)
    assert (live.state.paused, live.state.count) == (False, 3)


def test_settings_turn_pause_and_rest_off(book: Logbook) -> None:
    live = at_tube(book)
    hands = Hands(live, Settings(rest_after_min=0, pause_after_s=0), Rung())
    hands.do_count(0)
    assert not hands.tick(1e12)


# --- what is shown -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("shows", "number"), [("up", "12"), ("down", "18"), ("sock", "12")])
async def test_counting_up_down_or_in_all(book: Logbook, shows: str, number: str) -> None:
    async with on_the_bench(book, Settings(count_shows=shows), at_tube(book, 12)) as played:  # type: ignore[arg-type]
        assert drawn(number)[0] in played.words("#count")


async def test_the_count_alone_and_back(book: Logbook) -> None:
    async with on_the_bench(book, Settings(press_gap_ms=0), at_tube(book, 5)) as played:
        small = played.screen.query_one("#counting").size
        await played.press("l")
        assert played.screen.query_one("#counting").size.height > small.height
        assert not played.screen.query_one("#keys").display or played.screen.query_one("#keys").size.height == 0
        await played.press("space")
        assert played.state.count == 6
        await played.press("l")
        assert played.screen.query_one("#counting").size == small


@pytest.mark.parametrize(
    ("kind", "part", "told"),
    [
        ("sock", "leg", "Pressed too often? Backspace. Cranked: pull back and press r, or leave it."),
        ("sock", "heel", "Backspace undoes a false press; one more pass ends at the left."),
        ("tube", "tube", "A longer tube is just as good: its gauge is worked out from all 31 rows."),
    ],
)
async def test_alone_past_the_plan_says_what_to_do_in_one_line(
    kind: SessionKind, part: str, told: str, book: Logbook
) -> None:
    live = book.start(record(kind))
    crank_to(live, part)
    drive(live, rows(live.state.target or 0))
    async with on_the_bench(book, Settings(press_gap_ms=0), live) as played:
        await played.press("l", " ")
        message = played.screen.query_one("#message")
        assert "MORE THAN PLANNED" in played.words("#count")
        assert (played.words("#message"), message.size.height) == (told, 1)
        await played.press("backspace")
        assert played.words("#message") != told


async def test_the_list_of_steps_stands_as_it_did_after_the_count_was_alone(book: Logbook) -> None:
    live = book.start(record("sock"))
    crank_to(live, "toe")
    async with on_the_bench(book, Settings(press_gap_ms=0), live) as played:
        steps = played.screen.query_one("#steps", Panel)
        await played.press("tab", "space")
        before = steps._rows
        assert len(before) <= steps.size.height  # as many as there is room for, or the last would not be seen
        await played.press("l")
        await played.press("l")
        assert steps._rows == before
        await played.press("tab")
        assert not played.screen.query_one("#middle").display


async def test_a_pedal_that_sends_another_key(book: Logbook) -> None:
    settings = Settings(press_gap_ms=0, count_keys=("pagedown", "f13"))

    async with on_the_bench(book, settings, at_tube(book)) as played:
        await played.press("pagedown", "f13", "space")
        assert played.state.count == 2
        assert "PgDn/F13" in played.words("#keys")


async def test_every_observation_can_be_added_to_and_struck(book: Logbook) -> None:
    async with on_the_bench(book, Settings(press_gap_ms=0), at_tube(book)) as played:
        await played.press("space", "d", "space", "k", "e")
        assert isinstance(played.app.screen, ObservationsScreen)
        await played.press("up", "enter")
        await played.press(*"17 latch", "enter")
        await played.press("down", "delete", "escape")
        seen = played.state.observations
        assert [(s.fault, s.needle, s.note, s.struck) for s in seen] == [
            ("dropped", 17, "latch", False),
            ("knot", None, "", True),
        ]


async def test_the_welcome_back_says_in_one_line_where_the_work_stands(book: Logbook) -> None:
    live = book.start(record("sock"))
    crank_to(live, "heel")
    drive(live, rows(30))

    async with on_the_bench(book, Settings(), live) as played:
        told = " ".join(played.words("#message").split())
        assert told.startswith("Welcome back")
        assert told.endswith("heel, pass 31 of 40.")
        assert "carrier on the left, needle 26 comes down" in played.app.screen.query_one("#cylinder", Panel).plain


# --- the twin ----------------------------------------------------------------------------------------------


async def test_the_twin_shows_the_first_beside_it_and_where_they_differ(book: Logbook) -> None:
    first = book.start(record("sock", "20231114-first"))
    crank_to(first, "foot")
    foot = next(step for step in first.record.steps if step.id == "foot")
    drive(first, rows(foot.target + 2))  # type: ignore[union-attr]
    crank_to(first, "graft")
    start = record("sock", "20231114-twin", steps=sock_plan_steps()).model_copy(update={"twin_of": "20231114-first"})
    twin = book.start(start)
    crank_to(twin, "foot")

    async with on_the_bench(book, Settings(), twin) as played:
        assert f"the first had {foot.target + 2}" in played.words("#count")  # type: ignore[union-attr]
        drive(played.screen.live, rows(foot.target))  # type: ignore[union-attr]
        crank_to(played.screen.live, "part")
        await played.screen.show()
        await played.pilot.pause()
        assert "2 fewer than the first" in played.words("#told")


# --- drawing -----------------------------------------------------------------------------------------------


def test_state_is_only_changed_by_events(book: Logbook) -> None:
    live = at_tube(book, 3)
    before: State = live.state.copy()
    Hands(live, Settings(), Rung()).tick(5)
    assert live.state == before


def test_what_is_added_to_an_observation_is_read() -> None:
    assert read_addition("23 latch bent") == (23, "latch bent", None)
    assert read_addition("0") == (0, "", None)
    assert read_addition("is tuck") == (None, "", "tuck")
    assert read_addition("is dropped") == (None, "", "dropped")
    assert read_addition("is it the latch?") == (None, "is it the latch?", None)


def test_blanks_at_the_end_of_a_row_change_no_cell() -> None:
    assert changed_cells([("Leg  ", "")], [("Leg", "")]) == (0, 0)
    assert changed_cells([("Leg 1", "")], [("Leg 2", "")]) == (4, 5)
    assert changed_cells([("Leg", "")], [("Leg", "bold")]) == (0, 3)
