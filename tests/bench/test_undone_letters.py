"""Each letter pressed by mistake at every kind of step, then undone: all is as it was, and done again it is back."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pytest
from textual import events

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.widgets.ask import AskLine
from hosewright.counting.keymap import commands_for
from hosewright.session.commands import typed_as
from hosewright.session.events import Abandoned
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from hosewright.settings.table import Settings
from hosewright.verbs.crank import LineMode
from tests.cli.test_crank_letters import ANSWERS, FAST, LOOKS, PLIGHTS, READING, begin
from tests.helpers import content, crank_to, drive, record, rows

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.keys import Command

pytestmark = pytest.mark.usefixtures("home_left_alone")

UNDOING = ("take_back", "redo", "undo_measuring", "redo_measuring")


@pytest.fixture(autouse=True)
def _never_late(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a busy machine a tick can come so late that "The program stood still" takes the line judged here."""
    monkeypatch.setattr("hosewright.counting.presses.LATE_S", math.inf)


def mistakes(live: Live) -> list[Command]:
    """Every command that can be run by mistake where a session stands."""
    return [command for command in commands_for(live.state) if command.does not in (*LOOKS, *UNDOING)]


async def press(pilot: Pilot[int], *keys: str) -> None:
    """Keys all at once: each is there before the first is looked at."""
    for key in keys:
        char = " " if key == "space" else "." if key == "full_stop" else key if len(key) == 1 else None
        pilot.app.post_message(events.Key(key, char))
    await pilot.pause()


async def by_mistake(pilot: Pilot[int], screen: SessionScreen, command: Command) -> None:
    """Run a command by its key, every question answered with yes or an example."""
    if command.does == "take_reading":
        await press(pilot, *("full_stop" if c == "." else c for c in READING[1]))
    await press(pilot, command.key)
    if command.does in ANSWERS:
        await press(pilot, *("space" if c == " " else c for c in ANSWERS[command.does]), "enter")
    while screen.query_one(AskLine).display:
        await press(pilot, "y")


@pytest.mark.parametrize("plight", PLIGHTS)
async def test_on_the_bench(book: Logbook, plight: str) -> None:
    live = begin(book, plight)
    app = Bench(book, FAST)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        state, tried = screen.live.state, 0
        for command in mistakes(screen.live):
            before, seq = content(state), state.last_seq
            await by_mistake(pilot, screen, command)
            if state.last_seq == seq:
                continue  # refused, with a sentence
            tried += 1
            after = content(state)
            if state.step is None and before["index"] < state.index:  # what is finished stays so: b goes back
                await press(pilot, "backspace")
                assert content(state) == after
                assert "b" in said(screen)
                await press(pilot, "b")
                assert {**content(state), "since_ms": 0} == {**before, "since_ms": 0}
                continue
            await press(pilot, "backspace")
            assert content(state) == before, command.name
            assert "Undone: " in said(screen), command.name
            await press(pilot, "ctrl+y" if isinstance(state.step, Measure) and not state.abandoned else "i")
            assert content(state) == after, command.name
            assert "Done again: " in said(screen), command.name
            await press(pilot, "backspace")
            assert content(state) == before, command.name
        assert tried


def said(screen: SessionScreen) -> str:
    return str(screen.query_one("#message").render())


@pytest.mark.parametrize("plight", PLIGHTS)
def test_in_the_line_mode(book: Logbook, plight: str) -> None:
    live = begin(book, plight)
    lines = LineMode(live, book, Settings())
    for command in mistakes(live):
        before, seq, letter = content(live.state), live.state.last_seq, typed_as(command)
        behind = ANSWERS.get(command.does, " ".join(READING) if command.does == "take_reading" else "")
        answered = lines.answer(f"{letter} {behind}".strip())
        while answered.endswith("y or n."):
            answered = lines.answer("y")
        if f"{letter} short to go on" in answered:
            lines.answer(f"{letter} short")
        after = content(live.state)
        if live.state.last_seq == seq:
            continue
        if live.state.step is None and before["index"] < live.state.index:
            assert "finished, and that cannot be undone" in lines.answer("undo")
            lines.answer("b")
            assert {**content(live.state), "since_ms": 0} == {**before, "since_ms": 0}
            continue
        assert lines.answer("-").startswith("Undone: "), command.name
        assert content(live.state) == before, command.name
        assert lines.answer("redo").startswith("Done again: "), command.name
        assert content(live.state) == after, command.name
        lines.answer("undo")
        assert content(live.state) == before, command.name


async def test_a_mistaken_verdict_in_the_proof_is_one_press_back_into_the_proof_with_its_count(book: Logbook) -> None:
    live = begin(book, "proof")
    app = Bench(book, FAST)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        state = screen.live.state
        assert (state.step and state.step.id, state.count, state.dial) == ("prove", 3, 28)
        await press(pilot, "s")
        assert state.step is not None
        await press(pilot, "backspace")
        assert (state.step and state.step.id, state.count, state.dial) == ("prove", 3, 28)
        assert "Undone: verdict “stayed up” at 7 turns below zero." in said(screen)


@pytest.mark.parametrize(
    ("kind", "step", "presses", "told"),
    [
        ("tube", "tube", 18, "Undone: row 18. The row is still on the machine; if you pulled it back, use rehang."),
        ("sock", "heel", 27, "Undone: pass 27. The carrier belongs on the left, needle 7 up again."),
        ("sock", "heel", 5, "Undone: pass 5. The carrier belongs on the left, needle 28 down again."),
    ],
)
def test_what_the_hands_put_back_is_said(book: Logbook, kind: str, step: str, presses: int, told: str) -> None:
    live = book.start(record(kind, book.new_id()))  # type: ignore[arg-type]  # one of the kinds
    crank_to(live, step)
    drive(live, rows(presses))
    assert LineMode(live, book, Settings()).answer("-").splitlines()[0] == told


def test_the_dial_is_turned_back_and_an_undone_step_is_said(book: Logbook) -> None:
    live = book.start(record("tube", book.new_id()))
    crank_to(live, "tube")
    lines = LineMode(live, book, Settings())
    lines.answer("g 7 1/2 turns")
    assert "Turn the dial back to 6 1/2 turns below zero." in lines.answer("-")
    assert "Turn the dial to 7 1/2 turns below zero." in lines.answer("i")
    lines.answer("-")
    assert lines.answer("-").splitlines()[0] == "Undone: going on from “Join the working yarn”."
    assert "Nothing was done here yet" in [lines.answer("-") for _ in range(40)][-1]
    assert (live.state.index, live.state.count) == (0, 0)


def test_a_letter_that_only_notes_says_what_and_what_undoes_it(book: Logbook) -> None:
    live = book.start(record("tube", book.new_id()))
    crank_to(live, "tube")
    drive(live, rows(12))
    lines = LineMode(live, book, Settings())
    assert lines.answer("n wool smells") == "Noted: note at row 12: wool smells (undo takes it back)."
    assert lines.answer("d 23").startswith("Noted: dropped stitch, needle 23, row 12 (undo takes it back).")
    drive(live, rows(3))
    assert lines.answer("del") == "Struck out: dropped stitch at row 12, needle 23. undo takes that back."
    assert lines.answer("-").splitlines()[0] == "Undone: striking out dropped stitch at row 12, needle 23."
    assert [seen.struck for seen in live.state.observations] == [False, False]
    live.do(Abandoned())
    assert lines.answer("-").splitlines()[0] == "Undone: giving up."
    assert live.state.status == "open"


async def test_a_whole_evening_undone_and_done_again_at_the_bench(book: Logbook) -> None:
    """Counted, noted, confirmed and measured across steps: back to the first, and forward to the last."""
    live = begin(book, "measure")
    app = Bench(book, FAST)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        state = screen.live.state
        last = content(state)
        kinds = set()
        while state.done or state.run:
            await press(pilot, "backspace")
            kinds.add(type(state.step))
        assert (state.index, set(state.counts), state.readings, state.observations) == (0, {0}, [], [])
        assert {CountRows, Measure} <= kinds
        assert not kinds & {CountPasses, DialTrial}
        while state.undone:
            await press(pilot, "ctrl+y" if isinstance(state.step, Measure) else "i")
        assert content(state) == last
