"""One thing has one letter: what a key does on the bench, the same letter does in the line mode, at every step."""

from __future__ import annotations

import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.widgets.ask import AskLine
from hosewright.counting.key_choice import clashes
from hosewright.counting.keymap import commands_for
from hosewright.session.commands import typed_as
from hosewright.session.events import (
    Abandoned,
    Confirmed,
    Doubted,
    Judged,
    Observed,
    Opened,
    Paused,
    Pressed,
    ReadOff,
    Spoilt,
)
from hosewright.session.keys import USUAL_KEYS
from hosewright.session.observations import first_aid
from hosewright.settings.table import Settings
from hosewright.verbs.crank import LineMode
from tests.helpers import crank_to, drive, record, rows

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.events import Entry, Event, Fault
    from hosewright.session.keys import Command
    from hosewright.session.steps import SessionKind

FAST = Settings(press_gap_ms=0, foot="all")
FOUND: list[Event] = [Pressed(), Judged("drop", 26), Pressed(), Judged("stay", 24)]
# A session at every kind of step, and in every plight that has other commands: its kind, a step, what happened there.
REFUSED = {"finished": ("take_back",)}  # and it says so
PLIGHTS: dict[str, tuple[SessionKind, str, list[Event]]] = {
    "confirm": ("tube", "join", []),
    "rows": ("tube", "tube", [*rows(5), Observed("knot"), Pressed()]),
    "all rows": ("tube", "tube", rows(30)),
    "paused": ("tube", "tube", [*rows(5), Paused()]),
    "doubtful": ("tube", "tube", [*rows(5), Pressed(doubtful=True), Doubted()]),
    "passes": ("sock", "heel", rows(5)),
    "string": ("string", "s2-leg", rows(2)),
    "string spoilt": ("string", "s1-leg", [*rows(2), Spoilt("mice")]),
    "measure": ("tube", "after-wash", [ReadOff("width", 94.0, "94 mm"), ReadOff("length", 73.025, "2.875")]),
    "wait": ("tube", "dry", []),
    "finished": ("tube", "after-wash", [ReadOff("length", 73.0), ReadOff("width", 94.0), Confirmed()]),
    "given up": ("tube", "tube", [*rows(5), Abandoned()]),
    "trial": ("search", "trial", [Pressed(), Judged("drop", 26), Pressed()]),
    "trial judged": ("search", "trial", [Pressed(), Judged("drop", 26)]),
    "trial stopped": ("search", "trial", [Pressed(), Judged("stiff", 26)]),
    "trial found": ("search", "trial", FOUND),
    "proof": ("search", "trial", [*FOUND, Confirmed(), Confirmed(), *rows(3)]),
    "faulty proof": ("search", "trial", [*FOUND, Confirmed(), Confirmed(), *rows(10), Observed("dropped")]),
}
ANSWERS = {
    "spoil": "mice",
    "leave_out": "mice",
    "note": "wool",
    "recount": "10 lost",
    "rehang": "1",
    "dial": "9 turns",
    "void_at": "9 turns",
}
READING = ("length", "2.75")
# They show, or lead elsewhere, and store nothing.
LOOKS = ("why", "home", "help", "other", "seen", "far", "view", "acknowledge", "explain", "say_where", "quiet")


def stored(book: Logbook, live: Live, after: int) -> list[Event]:
    entries = book.store.entries(live.n, after=after)
    return [entry.event for entry in entries if not isinstance(entry.event, Opened)]


def begin(book: Logbook, plight: str) -> Live:
    kind, step, events = PLIGHTS[plight]
    live = book.start(record(kind, book.new_id()))
    crank_to(live, step)
    drive(live, events)
    return live


def again(book: Logbook, live: Live, log: list[Entry]) -> Live:
    """Another session that stands where ``live`` stood after ``log``: in one commit, not cranked anew."""
    copied = live.record.model_copy(update={"id": book.new_id()})
    assert book.take_in(copied, log)
    return book.take_up(copied.id)


async def by_key(pilot: Pilot[int], book: Logbook, live: Live, command: Command) -> list[Event]:
    """What the bench stores for the key of ``command``, every question answered."""
    app, before = pilot.app, live.state.last_seq
    assert isinstance(app, Bench)
    app.open_session(live.record.id)
    await pilot.pause()
    screen = app.screen
    assert isinstance(screen, SessionScreen)
    if command.does == "take_reading":
        await pilot.press(*("full_stop" if c == "." else c for c in READING[1]))
    await pilot.press(command.key)
    if command.does in ANSWERS:
        await pilot.press(*("space" if c == " " else c for c in ANSWERS[command.does]), "enter")
    elif screen.query_one(AskLine).display:
        await pilot.press("y")
    await pilot.pause()  # the next session is put up over this one: home need not be shown between them
    return stored(book, live, before)


def by_line(book: Logbook, live: Live, command: Command) -> list[Event]:
    """What the line mode stores for the letter of ``command``, every question answered."""
    before, letter = live.state.last_seq, typed_as(command)
    lines = LineMode(live, book, Settings())
    behind = ANSWERS.get(command.does, " ".join(READING) if command.does == "take_reading" else "")
    said = lines.answer(f"{letter} {behind}".strip())
    if said.endswith("y or n."):
        lines.answer("y")
    elif f"{letter} short to go on" in said:
        lines.answer(f"{letter} short")
    return stored(book, live, before)


@pytest.mark.parametrize("plight", PLIGHTS)
async def test_each_letter_does_the_same_on_the_bench_and_in_line_mode(book: Logbook, plight: str) -> None:
    app = Bench(book, FAST)
    async with app.run_test(size=(80, 24)) as pilot:
        first = begin(book, plight)
        log = list(book.store.entries(first.n))
        commands = [c for c in commands_for(first.state) if c.does not in LOOKS]
        if plight not in ("rows", "proof"):  # elsewhere one fault stands for all
            commands = [c for c in commands if c.does != "observe" or c.argument == "dropped"]
        if plight.startswith("string"):  # the rest is what it is in any rows
            commands = [c for c in commands if c.does in ("spoil", "leave_out", "strike", "count", "go_on")]
        for command in commands:
            there = await by_key(pilot, book, again(book, first, log), command)
            here = by_line(book, again(book, first, log), command)
            assert here == there, f"{command.name} ({typed_as(command)})"
            assert there or command.does in ("strike", "judge", "go_on", *REFUSED.get(plight, ())), (
                f"{command.name} did nothing on the bench"
            )


def test_the_usual_keys_do_not_clash() -> None:
    assert clashes(USUAL_KEYS) == []


@pytest.mark.parametrize("plight", PLIGHTS)
def test_a_letter_is_the_key_of_the_bench(book: Logbook, plight: str) -> None:
    commands = commands_for(begin(book, plight).state)
    for command in commands:
        if len(command.key) == 1:
            assert typed_as(command) == command.key
    assert len({typed_as(command) for command in commands}) == len(commands)


@pytest.mark.parametrize("plight", PLIGHTS)
def test_what_has_no_key_on_the_bench_does_nothing_in_line_mode(book: Logbook, plight: str) -> None:
    live = begin(book, plight)
    before = live.state.last_seq
    lines = LineMode(live, book, Settings())
    known = {typed_as(command) for command in lines._commands()}
    for letter in sorted({*"abcdefghijklmnopqrstuvwxyz=-", "del", "ok"} - known):
        assert "does nothing in this step" in lines.answer(letter)
    assert live.state.last_seq == before


@pytest.mark.parametrize("plight", PLIGHTS)
def test_the_letters_that_store_nothing_say_something(book: Logbook, plight: str) -> None:
    live = begin(book, plight)
    before = live.state.last_seq
    for command in commands_for(live.state):
        if command.does in LOOKS:
            lines = LineMode(live, book, Settings())
            assert lines.answer(typed_as(command)) or lines.left
    assert live.state.last_seq == before


def test_the_letters_of_a_sock_begin_with_where_the_heel_half_is(book: Logbook) -> None:
    lines = LineMode(begin(book, "passes"), book, Settings())
    assert lines.answer("?").startswith("The heel half is the half towards you: needle 1 is at its left end as you sit")


@pytest.mark.parametrize("plight", PLIGHTS)
def test_what_looks_at_a_session_is_at_hand_at_every_step(book: Logbook, plight: str) -> None:
    live = begin(book, plight)
    before = live.state.last_seq
    for word in ("seen", "others", "help"):
        assert "does nothing" not in LineMode(live, book, Settings()).answer(word)
    assert live.state.last_seq == before


def test_words_do_what_signs_do(book: Logbook) -> None:
    live = begin(book, "rows")
    lines = LineMode(live, book, Settings())
    assert "3" in lines.answer("recount 3 lost count")
    assert live.state.count == 3
    lines.answer("undo")
    assert live.state.count == 6
    assert "Noted: tuck" in lines.answer("tuck 4")
    assert lines.answer("strike")
    assert live.state.observations[-1].struck
    assert "undo: Undo the last thing done" in lines.answer("help")


def test_a_refused_needle_is_asked_for_again(book: Logbook) -> None:
    live = begin(book, "rows")
    lines = LineMode(live, book, Settings())
    lines.answer("d")
    assert lines.answer("99") == "Needles here are numbered 1 to 60; none is noted yet. Which one?"
    assert lines.answer("9") == "Needle 9 noted."
    assert live.state.observations[-1].needle == 9


@pytest.mark.parametrize(("typed", "noted"), [("D 7", 7), ("в 7", 7), ("δ", None)])
def test_letters_work_with_caps_lock_and_on_other_layouts(book: Logbook, typed: str, noted: int | None) -> None:
    live = begin(book, "rows")
    assert "Noted: dropped stitch" in LineMode(live, book, Settings()).answer(typed)
    assert [(seen.fault, seen.needle) for seen in live.state.observations][1:] == [("dropped", noted)]


def test_a_letter_that_does_nothing_says_what_it_is_for(book: Logbook) -> None:
    lines = LineMode(begin(book, "confirm"), book, Settings())
    assert "it is “dropped” while rows or passes are counted" in lines.answer("d")
    assert "“в” does nothing in this step: it is “dropped” while" in lines.answer("в")


@pytest.mark.parametrize(("letter", "fault"), [("f", "fell-off"), ("x 23 frayed", "yarn-broke"), ("z", "stiff")])
def test_the_next_thing_to_do_is_said_at_once(book: Logbook, letter: str, fault: Fault) -> None:
    assert first_aid(fault, "rehang") in LineMode(begin(book, "rows"), book, Settings()).answer(letter)
    assert first_aid("dropped") in LineMode(begin(book, "passes"), book, Settings()).answer("d 7")


def test_a_note_and_a_dial_position_say_what_was_noted_and_what_undoes_it(book: Logbook) -> None:
    lines = LineMode(begin(book, "rows"), book, Settings())
    assert re.fullmatch(r"Noted: note at row \d+: a slub \(undo takes it back\)\.", lines.answer("n a slub"))
    assert lines.answer("g 6 1/4") == "Noted: the dial stands at 6 1/4 turns below zero (undo takes it back)."


def test_lost_in_a_heel_the_line_mode_guides_back_to_the_count(book: Logbook) -> None:
    live = begin(book, "passes")
    lines = LineMode(live, book, Settings())
    assert lines.answer("=").endswith("recount 37 lost count, or recount ? when you are lost")
    assert lines.answer("= ?").startswith("Stitches in the column of needle 15: Follow the row")
    assert "Needles up on the left:" in lines.answer("26")
    assert "Needles up on the right:" in lines.answer("7")
    assert "Left or right" in lines.answer("7")
    assert "Type left or right" in lines.answer("middle")
    assert "26 of 40 passes are cranked, next is pass 27" in lines.answer("left")
    assert "The count is corrected to 26." in lines.answer("y")
    assert live.state.count == 26


def test_the_guide_is_left_by_a_word_or_by_cranking_on(book: Logbook) -> None:
    live = begin(book, "passes")
    lines = LineMode(live, book, Settings())
    lines.answer("= ?")
    lines.answer("")
    assert live.state.count == 6
    lines.answer("= ?")
    assert lines.answer("q") == "Left as it was."
    assert (live.state.count, lines.left) == (6, False)


def test_hang_again_recount_and_many_doubtful_presses_ask_first(book: Logbook) -> None:
    live = begin(book, "passes")
    lines = LineMode(live, book, Settings())
    assert "so 999 cannot be" in lines.answer("= 999")
    assert "42 is 2 more than the 40 passes planned. Right? y or n." in lines.answer("= 42 lost")
    assert "Left as it was." in lines.answer("n")
    assert "That takes off 5 rows of leg and 5 passes of heel. Hang again there? y or n." in lines.answer("r 4 leg")
    lines.answer("y")
    assert live.state.count_of("leg") == live.state.count == 4
    for _ in range(11):
        lines.hands.do(Pressed(doubtful=True))
    assert "The count will be 15 of 9. y or n." in lines.answer("v")
    assert "Counted after all: the count is 15." in lines.answer("y")


def test_line_mode_loads_no_screen() -> None:
    code = "import sys, hosewright.verbs.crank; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert not {"textual", "rich"} & set(loaded.stdout.split())
