"""On the bench: which keys say where one is and silence it, what a failing speaker says, and a second screen."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import COMES_BY_ITSELF, LOOKS_ONLY, Bench
from hosewright.bench.count.dashboard import count_title
from hosewright.bench.count.screen import FOLLOWED_S, SessionScreen
from hosewright.bench.widgets.keybar import KeyBar
from hosewright.logbook.book import Logbook
from hosewright.session.events import Abandoned, Confirmed, Opened, Pressed
from hosewright.settings.table import Settings
from tests.aloud.fake import FakeSpeaker
from tests.bench.test_at_the_crank import Played, at_tube, on_the_bench
from tests.helpers import crank_to, drive, record, rows

if TYPE_CHECKING:
    from pathlib import Path

if sys.platform == "win32":
    pytest.skip("the fake speaker is a shell script", allow_module_level=True)

SPEAKS = Settings(press_gap_ms=0, speech="rows")


@pytest.fixture
def fake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeSpeaker:
    fake = FakeSpeaker(tmp_path / "bin")
    fake.put_first(monkeypatch)
    return fake


async def test_a_row_is_spoken_and_keys_say_where_one_is_and_silence_it(book: Logbook, fake: FakeSpeaker) -> None:
    async with on_the_bench(book, SPEAKS, at_tube(book, 6)) as at:
        await at.press(" ")
        fake.wait_for("7.")
        await at.press("minus", " ")
        assert at.words("#message") == ""
        await at.press("comma")
        assert at.words("#message").startswith("Gauge tube, 8 of 30, ")
        fake.wait_for("gauge tube, 8 of 30, join the separator yarn in 22")
        await at.press("minus")
        assert at.words("#message") == "No longer quiet."
        await at.press("backspace")
        fake.wait_for("gauge tube, 7 of 30, join the separator yarn in 23")
        assert "8." not in fake.begun
        at.app.stop_hearing()


async def test_usually_nothing_is_spoken_and_the_keys_say_so(book: Logbook, fake: FakeSpeaker) -> None:
    async with on_the_bench(book, replace(SPEAKS, speech="off"), at_tube(book)) as at:
        await at.press(" ", "comma")
        assert at.words("#message").startswith("Gauge tube, 1 of 30, ")
        await at.press("minus")
        assert "e on the bench turns them on" in at.words("#message")
        assert at.app.ear is None
    assert fake.begun == []


async def test_the_foot_names_the_keys_of_speech_only_where_there_is_speech(book: Logbook, fake: FakeSpeaker) -> None:
    live = at_tube(book, 30)
    drive(live, [Confirmed()])
    for settings, there in ((SPEAKS, True), (Settings(), False)):
        async with on_the_bench(book, settings, live) as at:
            foot = at.app.screen.query_one(KeyBar).plain
            assert ("where am I" in foot, "quiet" in foot) == (there, there)
            await at.press(" ")
            if there:  # a press that is refused is heard, too
                fake.wait_for(at.words("#message").removeprefix("! "))
            at.app.stop_hearing()


async def test_the_foot_shows_how_to_be_quiet_while_cranking_where_that_takes_no_further_line(
    book: Logbook, fake: FakeSpeaker
) -> None:
    live = at_tube(book, 6)
    for settings, columns, there in ((SPEAKS, 80, True), (SPEAKS, 70, False), (Settings(), 80, False)):
        async with on_the_bench(book, settings, live, columns=columns) as at:
            bar = at.app.screen.query_one(KeyBar)
            assert ("quiet" in bar.plain, bar.size.height) == (there, 2)
            at.app.stop_hearing()


async def test_a_speaker_that_is_missing_is_said_once_and_rows_count(
    book: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    said: list[str] = []
    monkeypatch.setattr(Bench, "tell_once", lambda self, sentence: said.append(sentence))
    async with on_the_bench(book, SPEAKS, at_tube(book)) as at:
        await at.press(" ", " ", " ")
        assert at.state.count == 3
    assert len(said) == 1
    assert said[0].startswith("Nothing is spoken: there is no espeak-ng")


async def test_the_count_alone_gives_way_to_the_next_step(book: Logbook) -> None:
    async with on_the_bench(book, Settings(press_gap_ms=0), at_tube(book, 29)) as at:
        await at.press("l")
        assert not at.app.screen.query_one("#middle").display
        await at.press(" ", "enter")
        assert at.app.screen.query_one("#middle").display


async def test_a_second_screen_follows_and_writes_nothing(book: Logbook) -> None:
    live = at_tube(book, 3)
    looking = Logbook.for_reading(book.path, LOOKS_ONLY)
    app = Bench(looking, SPEAKS)
    app.follows = live.record.id
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        at = Played(pilot)
        assert screen.has_class("far")
        for count in (4, 5):
            drive(live, [Pressed()])
            await pilot.pause(2 * FOLLOWED_S)
            assert f"{count} of 30" in at.words("#count")
        await at.press(" ")
        assert at.words("#message") == f"! {LOOKS_ONLY}"
        await at.press("l")
        foot = screen.query_one(KeyBar).plain
        assert ("Space" in foot, "undo" in foot, "quiet" in foot, "alone" in foot) == (False, False, False, True)
        assert app.ear is None
    assert live.state.count == book.take_up(live.record.id).state.count == 5
    drive(live, rows(1))
    looking.close()


@pytest.mark.parametrize("any_session", [False, True])
async def test_a_second_screen_goes_along_to_the_next_session(book: Logbook, any_session: bool) -> None:
    first = at_tube(book, 3)
    looking = Logbook.for_reading(book.path, LOOKS_ONLY)
    app = Bench(looking, Settings())
    app.follows, app.follows_any = first.record.id, any_session
    async with app.run_test(size=(80, 24)) as pilot:
        at = Played(pilot)
        await pilot.pause(2 * FOLLOWED_S)
        second = book.start(record("sock", "20231115-next"))
        crank_to(second, "leg")
        await pilot.pause(3 * FOLLOWED_S)
        shown = app.screen
        assert isinstance(shown, SessionScreen)
        assert shown.live.record.id == (second if any_session else first).record.id
        if not any_session:
            drive(first, Abandoned())
            await pilot.pause(3 * FOLLOWED_S)
            assert COMES_BY_ITSELF in at.words("#message")
            drive(second, [Opened()])
            await pilot.pause(3 * FOLLOWED_S)
        shown = app.screen
        assert isinstance(shown, SessionScreen)
        assert (shown.live.record.id, shown.has_class("far")) == (second.record.id, True)
        drive(second, [Pressed()])
        await pilot.pause(2 * FOLLOWED_S)
        assert count_title(second.state) in at.words("#count")
    looking.close()
