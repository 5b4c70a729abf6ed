"""The session at the machine, driven by real keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual.widgets import Static

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.line import Sheet
from hosewright.counting.keymap import commands_for
from hosewright.logbook.file.errors import LogbookError
from hosewright.places import data_folder
from hosewright.session.events import Confirmed, Judged
from hosewright.session.fold import fold
from hosewright.session.state import State
from hosewright.session.steps import Confirm, Wait
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, head, record, rows

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.steps import SessionKind


class Played:
    """The bench with one session on it, and what is stored of it."""

    def __init__(self, pilot: Pilot[int], book: Logbook) -> None:
        self.pilot, self.book = pilot, book
        assert isinstance(pilot.app, Bench)
        self.app: Bench = pilot.app

    async def open(self, live: Live) -> None:
        self.n, self.head = live.n, live.record.head
        self.app.open_session(live.record.id)
        await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        await self.pilot.press(*keys)
        await self.pilot.pause()

    @property
    def state(self) -> State:
        """The state folded from what is stored, which must be what the screen has."""
        state = fold(self.head, self.book.store.entries(self.n))
        if isinstance(self.app.screen, SessionScreen):
            assert self.app.screen.live.state == state
        return state

    def text(self, selector: str) -> str:
        place = self.app.screen.query_one(selector)
        return place.plain if isinstance(place, Sheet) else str(place.render())


@pytest.fixture
async def played(book: Logbook) -> AsyncIterator[Played]:
    app = Bench(book, Settings(press_gap_ms=0, foot="all"))
    async with app.run_test(size=(80, 24)) as pilot:
        yield Played(pilot, book)


def start(book: Logbook, kind: SessionKind, at: str) -> Live:
    live = book.start(record(kind))
    crank_to(live, at)
    return live


async def test_space_counts_and_backspace_takes_back(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press(*["space"] * 5, "backspace")
    assert played.state.count == 4
    assert "TUBE · 4 of 30 rows" in played.text("#count")
    assert "26 to go" in played.text("#count")


async def test_a_press_in_a_confirm_step_counts_nothing_and_says_so(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "join"))
    before = played.state
    await played.press("space")
    assert played.state.counts == before.counts
    assert played.state.index == before.index
    assert "There is nothing to count in this step." in played.text("#message")


async def test_enter_short_of_the_target_asks_first(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("space", "enter", "n")
    assert played.state.step is not None
    assert played.state.step.id == "tube"
    await played.press("enter", "y")
    assert played.state.step.id == "part"
    assert played.state.count_of("tube") == 1


async def test_keys_typed_ahead_of_the_target_do_not_skip_a_step(book: Logbook, played: Played) -> None:
    live = start(book, "tube", "tube")
    drive(live, rows(29))
    await played.open(live)
    await played.press("space", "space", "enter", "space", "space")
    assert played.state.count_of("tube") == 31
    assert played.state.step is not None
    assert played.state.step.id == "part"


async def test_count_keys_type_text_while_a_question_is_open(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("space", "n", "d", "space", "p", "enter")
    assert played.state.count == 1
    assert not played.state.paused
    assert [(s.fault, s.note, s.count) for s in played.state.observations] == [("note", "d p", 1)]


async def test_an_observation_takes_one_key_and_knows_its_row(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("space", "space", "d", "2", "3", "enter", "space", "t", "space", "delete")
    seen = played.state.observations
    assert [(s.fault, s.count, s.needle, s.struck) for s in seen] == [
        ("dropped", 2, 23, False),
        ("tuck", 3, None, True),
    ]
    assert played.state.count == 4
    await played.press("d", "9", "9", "enter")
    assert "numbered 1 to 60" in played.text("#message")


async def test_pause_and_a_press_goes_on(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("space", "p")
    assert played.state.paused
    assert "PAUSED" in played.text("#count")
    await played.press("space")
    assert not played.state.paused
    assert played.state.count == 2


async def test_the_counter_is_really_elsewhere(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("space", "equals_sign", *"x", "enter")
    assert played.state.count == 1
    assert "whole number" in played.text("#message")
    await played.press("backspace", *"17", "space", *"phone", "enter")
    assert played.state.count == 17


async def test_hung_again_in_an_earlier_part(book: Logbook, played: Played) -> None:
    await played.open(start(book, "sock", "foot"))
    await played.press("space", "r", *"leg", "space", "5", "enter", "y")
    assert played.state.step is not None
    assert (played.state.step.id, played.state.count) == ("leg", 5)
    assert played.state.count_of("heel") == 0


async def test_a_search_by_keys(book: Logbook, played: Played) -> None:
    # 6 1/2, 6 and 5 1/2 turns drop back, 5 stays up, so it is a turn below that: 6
    await played.open(start(book, "search", "trial"))
    await played.press("d")
    assert "at least one full row" in played.text("#message")
    for verdict in "ddds":
        await played.press("space", verdict)
    assert played.state.baseline == 24
    assert "6 turns below zero" in played.text("#search")
    await played.pilot.resize_terminal(120, 40)  # where the ladder has room for every rung
    await played.pilot.pause()
    told = [line.strip("║ ") for line in played.text("#search").splitlines()]
    ladder = told[told.index("turns below zero") + 1 :][:4]
    assert [line.split()[0] for line in ladder] == ["5", "5", "6", "6"]
    assert any("baseline" in line for line in ladder)
    await played.press("enter", "enter", *["space"] * 10, "enter")
    assert played.state.status == "finished"


async def test_a_stiff_crank_stops_the_search(book: Logbook, played: Played) -> None:
    await played.open(start(book, "search", "trial"))
    await played.press("space", "z", "space")
    assert played.state.search.stopped
    assert "never force" in played.text("#search")
    await played.press("enter")
    assert not played.state.search.stopped
    assert played.state.trials[0].void


async def test_weights_changed_and_starting_elsewhere(book: Logbook, played: Played) -> None:
    await played.open(start(book, "search", "trial"))
    await played.press("space", "d", "w", "n")
    assert (played.state.dial, played.state.trials[0].void) == (24, False)  # a slip of the finger loses nothing
    await played.press("w", "y")
    assert (played.state.dial, played.state.trials[0].void) == (24, True)
    await played.press("w")
    assert played.text("#message") == "The trials so far no longer count; the search starts again here."  # none to lose
    await played.press("g", *"9", "space", *"turns", "enter")
    assert played.state.search.position == 36


async def test_the_proof_can_overturn_the_stitch_size(book: Logbook, played: Played) -> None:
    live = start(book, "search", "trial")
    for clicks, verdict in ((26, "drop"), (24, "stay")):
        drive(live, rows(1), Judged(verdict, clicks))  # type: ignore[arg-type]
    drive(live, Confirmed(), Confirmed())
    await played.open(live)
    await played.press("space", "s")
    assert played.state.step is not None
    assert played.state.step.id == "trial"


async def test_the_heel_says_which_needle_comes_down(book: Logbook, played: Played) -> None:
    live = start(book, "sock", "heel")
    drive(live, rows(30))
    await played.open(live)
    assert "carrier on the left, needle 26 comes down on the right" in " ".join(played.text("#cylinder").split())


async def test_measuring_after_the_wash(book: Logbook, played: Played) -> None:
    live = start(book, "tube", "after-wash")
    await played.open(live)
    await played.press(*"abc", "enter")
    assert "5 7/8 in" in played.text("#wrong-length")
    assert not played.state.readings
    await played.press(*["backspace"] * 3, *"2", "space", *"3/4", "enter", *"72", "space", *"mm", "enter", "down")
    await played.press(*"94mm", "enter", "ctrl+x", *"3.75", "enter")
    assert played.state.values("length") == [69.85, 72.0]
    assert played.state.values("width") == pytest.approx([95.25])
    # 30 rows over the mean of 2 3/4 in and 72 mm
    assert f"{30 / ((69.85 + 72.0) / 2 / 25.4):.2f}" in played.text("#gauge")
    await played.press("down", "down", "down", *"ri", "enter", "enter")
    assert played.state.status == "finished"
    assert [g.on_foot for g in book.gauges()] == ["right"]


async def test_step_back_abandon_and_take_up_again(book: Logbook, played: Played) -> None:
    live = start(book, "tube", "tube")
    await played.open(live)
    await played.press("space", "b")
    assert played.state.step is not None
    assert played.state.step.id == "join"
    await played.press("enter")
    assert played.state.count == 1
    await played.press("a", "y")
    assert played.state.status == "abandoned"
    await played.press("enter", "space")
    assert (played.state.status, played.state.count) == ("open", 2)


async def test_one_key_goes_between_open_sessions(book: Logbook, played: Played) -> None:
    book.start(record("search", "20231114-other"))
    await played.open(start(book, "tube", "tube"))
    await played.press("o")
    assert isinstance(played.app.screen, SessionScreen)
    assert played.app.screen.live.record.id == "20231114-other"
    await played.press("o")
    assert played.app.screen.live.record.id != "20231114-other"
    await played.press("escape")
    assert isinstance(played.app.screen, HomeScreen)


async def test_the_help_of_a_sock_says_where_the_heel_half_is(book: Logbook, played: Played) -> None:
    await played.open(start(book, "sock", "leg"))
    await played.press("question_mark")
    said = " ".join(str(part.content) for part in played.app.screen.query(Static))
    assert "The heel half is the half towards you: needle 1 is at its left end as you sit" in said


async def test_every_key_of_the_foot_is_in_the_help(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("question_mark")
    assert isinstance(played.app.screen, HelpScreen)
    await played.press("space", "escape")
    assert played.state.count == 0


async def test_a_press_that_cannot_be_stored_is_not_counted(
    book: Logbook, played: Played, monkeypatch: pytest.MonkeyPatch
) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("space")

    def full(*_args: object) -> None:
        raise LogbookError("Not saved: the disk is full.")

    with monkeypatch.context() as patch:
        patch.setattr(book.store, "add_entries", full)
        await played.press("space")
        assert "disk is full" in played.text("#message")
        assert played.state.count == 1
    await played.press("space")
    assert played.state.count == 2


@pytest.mark.parametrize("kind", ["search", "tube", "sock"])
def test_no_two_commands_share_a_key(kind: SessionKind) -> None:
    what = head(kind)
    for index in range(len(what.steps) + 1):
        state = State(what, index=index)
        keys = [command.key for command in commands_for(state)]
        assert len(keys) == len(set(keys)), state.step


async def test_a_wrong_verdict_is_taken_back(book: Logbook, played: Played) -> None:
    await played.open(start(book, "search", "trial"))
    await played.press("space", "d", "space", "space", "s")
    assert played.state.baseline == 28
    await played.press("backspace")
    taken_back = played.state
    assert taken_back.baseline is None
    assert (taken_back.dial, taken_back.count) == (24, 2)
    assert "Undone: verdict “stayed up” at 6 turns below zero." in played.text("#message")
    await played.press("d")
    assert played.state.dial == 22


async def test_a_row_cranked_while_a_question_is_open_counts(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press("space", "enter", "space")
    assert played.state.count == 2
    assert played.state.step is not None
    assert played.state.step.id == "tube"


async def test_what_is_typed_is_stored_by_going_on_and_never_dropped(book: Logbook, played: Played) -> None:
    live = start(book, "tube", "after-wash")
    await played.open(live)
    await played.press(*"2.8", "down", *"wide", "ctrl+s")
    assert played.state.step is not None
    assert not played.state.readings
    await played.press(*["backspace"] * 4, *"3.75", "ctrl+s")
    assert played.state.status == "finished"
    assert played.state.values("length") == pytest.approx([71.12])
    assert played.state.values("width") == pytest.approx([95.25])


async def test_a_reading_far_from_the_others_is_asked_about(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "after-wash"))
    await played.press(*"2.8", "enter", *"28", "enter")
    assert "10.0 times larger" in played.text("#message")


async def test_faults_in_the_proof_are_asked_about(book: Logbook, played: Played) -> None:
    live = start(book, "search", "trial")
    for clicks, verdict in ((26, "drop"), (24, "stay")):
        drive(live, rows(1), Judged(verdict, clicks))  # type: ignore[arg-type]
    drive(live, Confirmed(), Confirmed())
    await played.open(live)
    await played.press(*["space"] * 5, "d", *["space"] * 5, "enter")
    assert played.state.step is not None
    await played.press("y")
    assert played.state.step is None


async def test_a_tiny_terminal_still_shows_the_count(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.pilot.resize_terminal(40, 12)
    await played.press("space")
    assert played.app.screen.query_one("#counting").size.height >= 4
    assert "1 of 30 rows" in played.text("#count")


async def test_a_failing_input_thread_leaves_a_sentence_and_code_1(book: Logbook) -> None:
    app = Bench(book, Settings())
    async with app.run_test() as pilot:
        await pilot.pause()
        app.panic("Traceback: some key no terminal should send")
    assert app.return_code == 1
    assert "some key no terminal" in (data_folder() / "trouble.txt").read_text(encoding="utf-8")


async def test_a_row_too_many_of_a_sock_says_what_to_do(book: Logbook, played: Played) -> None:
    await played.open(start(book, "sock", "leg"))
    await played.press(*["space"] * 10)
    assert "LEG · 10 of 9 rows" in played.text("#count")
    assert "Backspace takes it back. Cranked: pull back to row 9 and use r" in " ".join(
        played.text("#cylinder").replace("│", "").split()
    )


async def test_a_tube_may_be_longer(book: Logbook, played: Played) -> None:
    await played.open(start(book, "tube", "tube"))
    await played.press(*["space"] * 31)
    assert "A longer tube is just as good" in played.text("#cylinder")


@pytest.mark.parametrize("kind", ["search", "tube", "sock"])
async def test_a_step_without_a_count_says_what_to_look_for_and_what_comes_next(
    kind: SessionKind, book: Logbook, played: Played
) -> None:
    """Whole, or where an instruction takes the lines not at all."""
    await played.open(book.start(record(kind)))
    screen = played.app.screen
    assert isinstance(screen, SessionScreen)
    shown = {}
    while isinstance(step := screen.live.state.step, Confirm | Wait):
        shown[step.id] = screen.query_one("#ahead").display
        if shown[step.id]:
            assert screen.query_one("#ahead").region.bottom <= screen.query_one("#panels").region.bottom
            after = screen.live.record.steps[screen.live.state.index + 1].title
            assert f"Enter, then: {after}." in " ".join(played.text("#ahead").split())
        await played.press("enter")
    assert all(shown.values())
    if kind == "sock":
        crank_to(screen.live, "graft")
        await screen.show()
        await played.pilot.pause()
        await played.pilot.pause()
        assert not screen.query_one("#ahead").display
