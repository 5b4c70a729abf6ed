"""Measuring at the bench: one rule for Enter, the readings so far, and what a finished sock came to."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from textual.widgets import Input, Static

from hosewright.bench.app import Bench
from hosewright.bench.count.measure_panel import MeasurePanel
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.widgets.ask import AskLine
from hosewright.bench.widgets.panel import Panel
from hosewright.counting.measuring import far_off_words, gauge_words
from hosewright.logbook.records.shelf import Wearer
from hosewright.session import events as ev
from hosewright.session.steps import Measure
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, record, rows

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.steps import SessionKind


class Measured:
    """The bench at the last step of a session, 80 columns wide."""

    def __init__(self, pilot: Pilot[int]) -> None:
        self.pilot, self.app = pilot, pilot.app

    async def open(self, book: Logbook, kind: SessionKind, at: str) -> Live:
        assert isinstance(self.app, Bench)
        live = book.start(record(kind))
        crank_to(live, at)
        self.app.open_session(live.record.id)
        await self.pilot.pause()
        return live

    async def type(self, text: str = "") -> None:
        await self.pilot.press(*("space" if letter == " " else letter for letter in text), "enter")
        await self.pilot.pause()

    @property
    def line(self) -> str:
        assert isinstance(self.app.focused, Input)
        return (self.app.focused.id or "").removeprefix("in-")

    def said(self, selector: str) -> str:
        return str(self.app.screen.query_one(selector, Static).render())


@pytest.fixture
async def bench(book: Logbook) -> AsyncIterator[Measured]:
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        yield Measured(pilot)


async def test_a_line_for_several_readings_stays_and_an_empty_one_goes_on(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "after-wash")
    await bench.type("2.8")
    assert bench.line == "length"
    assert bench.said("#message") == "Saved. Type it again for a mean, or Enter for the next line."
    await bench.type("2.9")
    assert bench.line == "length"
    await bench.type()
    assert bench.line == "width"
    assert bench.said("#message") == ""


async def test_a_refused_reading_puts_away_what_was_said_of_the_one_before(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "after-wash")
    await bench.type("2.8")
    await bench.type("4 kg")
    assert "has a unit that does not fit" in bench.said("#wrong-length")
    assert bench.said("#message") == ""


async def test_a_mean_is_whole_at_80_columns(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "after-wash")
    for reading in ("10 15/16", "10 7/8", "11", "10 15/16", "10 15/16", "10 7/8", "11", "10 15/16", "10 15/16", "11"):
        await bench.type(reading)
    got = bench.app.screen.query_one("#got-length", Static)
    assert bench.said("#got-length").endswith("in, mean of 10")
    assert got.content_size.width >= len(bench.said("#got-length"))
    assert got.region.right <= 80
    typed = bench.app.screen.query_one("#in-length", Input)
    assert typed.content_size.width > len(typed.placeholder)


async def test_a_line_for_one_reading_moves_on_and_the_last_one_says_how(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "sock", "try-on")
    assert bench.line == "fit"
    await bench.type("tight")
    assert bench.line == "fit-by"
    await bench.type("5 mm")
    assert bench.line == "fit-length"
    await bench.type("right")
    assert bench.line == "mass"  # a length that was right is off by nothing
    await bench.type("40 g")
    assert bench.line == "mass"
    assert bench.said("#message") == "Saved. That was the last line: Enter goes on."
    await bench.type()
    screen = bench.app.screen
    assert isinstance(screen, SessionScreen)
    assert screen.live.state.values("fit-by") == [5.0]
    assert screen.live.state.step is None


async def test_going_on_leads_to_the_line_that_cannot_be_read(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "sock", "try-on")
    await bench.type("tight")
    await bench.pilot.press(*"tight", "down", "down", "ctrl+s")
    await bench.pilot.pause()
    assert bench.line == "fit-by"
    assert bench.said("#wrong-fit-by").startswith("The difference “tight” does not start with a number")


async def test_a_reading_far_off_stays_where_it_can_be_struck(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "after-wash")
    await bench.type("2.8")
    await bench.type("28")
    assert bench.line == "length"
    assert "10.0 times larger" in bench.said("#message")


async def test_a_finished_sock_says_what_it_came_to(book: Logbook, bench: Measured) -> None:
    live = book.start(record("sock"))
    crank_to(live, "foot")
    foot = next(step for step in live.record.steps if step.id == "foot")
    drive(live, rows(foot.target + 2))  # type: ignore[union-attr]
    crank_to(live, "try-on")
    assert isinstance(bench.app, Bench)
    bench.app.open_session(live.record.id)
    await bench.pilot.pause()
    await bench.type("tight")
    await bench.pilot.press("ctrl+s")
    await bench.pilot.pause()
    told = " ".join(bench.app.screen.query_one("#told", Panel).plain.replace("║", " ").split())
    assert "Leg 9, Heel 40, Foot 24 (22 planned), Toe 40" in told
    assert "On the foot: round tight." in told


def test_a_reading_in_the_wrong_unit_is_named_as_one(book: Logbook) -> None:
    live = book.start(record("tube"))
    crank_to(live, "after-wash")
    drive(live, *(ev.ReadOff("length", mm) for mm in (148.0, 149.0, 58.4)))
    assert "as if inches had been taken for cm" in far_off_words(live.state, "length")
    drive(live, ev.Struck(live.state.readings[-1].seq), ev.ReadOff("length", 377.0))
    assert "as if cm had been taken for inches" in far_off_words(live.state, "length")


async def test_a_gauge_that_cannot_be_is_asked_about_before_it_is_kept(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "after-wash")
    screen = bench.app.screen
    assert isinstance(screen, SessionScreen)
    live = screen.live
    await bench.pilot.press(*"74mm", "enter", "down", *"610mm", "enter")
    await bench.pilot.press("down", "down", *"11g", "ctrl+s")
    assert "stitches an inch cannot be" in bench.said("AskLine Static")
    await bench.pilot.press("n")
    await bench.pilot.pause()
    assert live.state.step is not None, "it is not kept yet"
    await bench.pilot.press("ctrl+s")
    await bench.pilot.pause()
    await bench.pilot.press("y")
    await bench.pilot.pause()
    assert live.state.step is None


def test_how_the_tube_sat_on_the_foot_is_held_against_the_tape(book: Logbook) -> None:
    foot = Wearer(id="miller", name="The miller", girth_mm=240.0)
    live = book.start(record("tube").model_copy(update={"wearer": foot}))
    crank_to(live, "after-wash")
    drive(live, ev.ReadOff("length", 74.0), ev.ReadOff("width", 108.0), ev.ReadOff("on-foot", 2.0, "tight"))
    assert "On the foot: tight, though by the tape it would be right" in gauge_words(live, Settings())


async def test_a_quick_second_enter_saves_nothing_twice(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "after-wash")
    await bench.pilot.press(*"148mm")
    line = bench.app.focused
    assert isinstance(line, Input)
    for _ in range(2):  # both were pressed before the first was taken
        line.post_message(Input.Submitted(line, "148mm"))
    await bench.pilot.pause()
    assert isinstance(bench.app.screen, SessionScreen)
    assert bench.app.screen.live.state.values("length") == [148.0]
    assert bench.line == "width"


async def test_what_was_typed_after_enter_is_not_lost(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "after-wash")
    await bench.pilot.press(*"148mm")
    line = bench.app.focused
    assert isinstance(line, Input)
    line.post_message(Input.Submitted(line, "148mm"))
    line.value = "148mm1"  # the next reading is begun already
    await bench.pilot.pause()
    assert isinstance(bench.app.screen, SessionScreen)
    assert bench.app.screen.live.state.values("length") == [148.0]
    assert line.value == "1"


@pytest.mark.parametrize(("lines", "shown"), [(40, True), (24, False)])
async def test_a_tall_terminal_shows_what_is_measured(lines: int, shown: bool, practice: Logbook) -> None:
    line = next(line for line in practice.lines("open") if practice.record(line).kind == "sock")
    live = practice.take_up(line.id)
    if live.state.paused:
        drive(live, ev.Resumed())
    crank_to(live, "try-on")
    tube = practice.start(record("tube"))
    crank_to(tube, "after-wash")
    async with Bench(practice, Settings()).run_test(size=(120, lines)) as pilot:
        measured = Measured(pilot)
        assert isinstance(measured.app, Bench)
        measured.app.open_session(live.record.id)
        await pilot.pause()
        await pilot.pause()
        assert measured.app.screen.query_one("#worn", Panel).display is shown
        assert ("100 %" in measured.app.screen.query_one("#worn", Panel).plain) is shown
        await pilot.press("escape")
        measured.app.open_session(tube.record.id)
        await pilot.pause()
        await pilot.pause()
        where = measured.app.screen.query_one("#gauge-now", Panel)
        assert where.display is shown
        assert ("flat width, edge to edge" in where.plain) is shown
        await measured.type("2.8")
        await measured.type()
        await measured.type("3.7")
        assert ("GAUGE SO FAR" in where.plain) is shown


async def test_fields_that_come_when_the_bench_is_left_are_not_put_up(book: Logbook, bench: Measured) -> None:
    live = await bench.open(book, "tube", "after-wash")
    panel = bench.app.screen.query_one(MeasurePanel)
    (once,) = (step for step in live.state.head.steps if step.id == "after-wash")
    assert isinstance(once, Measure)
    await panel.remove()
    await panel.lay_out(replace(once, fields=once.fields[:1]))
    assert bench.app._exception is None


async def test_whoever_goes_back_to_a_line_has_left_the_question(book: Logbook, bench: Measured) -> None:
    await bench.open(book, "tube", "before-wash")
    screen = bench.app.screen
    assert isinstance(screen, SessionScreen)
    await bench.pilot.press("ctrl+s")
    ask = screen.query_one(AskLine)
    assert ask.yes_or_no
    await bench.pilot.press("tab")
    assert not ask.display
    assert bench.said("#message") == ""
    await bench.type("15.2 cm")
    assert bench.line == "raw-length"
    assert screen.live.state.values("raw-length") == [152.0]
    await bench.pilot.press("ctrl+s")
    assert screen.live.state.step is not None
    assert screen.live.state.step.id == "wash"
