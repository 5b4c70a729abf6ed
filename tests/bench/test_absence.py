"""While nobody listened: the keyboard went elsewhere, or the program stood still."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import pytest
from textual import events

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.widgets.bigtext import drawn
from hosewright.bench.widgets.panel import Panel
from hosewright.counting.hands import Hands
from hosewright.counting.keymap import commands_for, key_called
from hosewright.counting.presses import ELSEWHERE, Ticks, away_words, missing_count
from hosewright.logbook.book import Logbook
from hosewright.session.events import Recounted
from hosewright.session.keys import Keymap
from hosewright.settings.table import Settings
from tests.helpers import FakeClock, crank_to, drive, record, rows

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.logbook.live import Live


class Voice:
    def __init__(self) -> None:
        self.said: list[str] = []

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        self.said.append(sentence)

    def ask(self, about: str, words: str = "", hint: str = "") -> None: ...

    def ring(self) -> None: ...


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    made = Logbook(tmp_path / "logbook.sqlite", FakeClock(step_ms=2000))
    yield made
    made.close()


WENT = "Keys went elsewhere for 10 s"


def cranking(book: Logbook, presses: int = 8, step: str = "tube") -> Live:
    """A tube of 30 rows, cranked at 30 rows a minute."""
    live = book.start(record("sock" if step == "heel" else "tube"))
    crank_to(live, step)
    drive(live, rows(presses))
    return live


# --- how long, and how many -----------------------------------------------------------------------------------------


def test_a_tick_that_comes_late_by_either_clock_means_that_it_stood_still() -> None:
    ticks = Ticks()
    assert [ticks.stood_still_s(*at) for at in ((10, 1000), (11, 1001), (15, 1005), (21, 1011))] == [0, 0, 0, 6]
    assert ticks.stood_still_s(22, 4612) == 3601, "the machine slept, and its steady clock with it"
    assert ticks.stood_still_s(23, 1013) == 0, "the clock was set back"


@pytest.mark.parametrize(
    ("away_s", "pace", "left", "missing"),
    [(14, 30, 22, 7), (3600, 30, 22, 22), (3600, 30, 0, 1800), (1.5, 30, 22, 0), (14, None, 22, None)],
)
def test_rows_missing_go_by_the_pace_and_no_further_than_the_part(
    away_s: float, pace: float | None, left: int, missing: int | None
) -> None:
    assert missing_count(away_s, pace, left) == missing


@pytest.mark.parametrize(
    ("away_s", "missing", "unit", "words"),
    [
        (14, 7, "row", "Gone for 14 s. At your pace 7 rows may be missing: m counts them."),
        (3, 1, "pass", "Gone for 3 s. At your pace 1 pass may be missing: m counts it."),
        (1, 0, "row", "Gone for 1 s: less than one row at your pace."),
        (180, None, "pass", "Gone for 3 min. If passes were cranked, = puts the count right."),
    ],
)
def test_what_is_said_on_return(away_s: float, missing: int | None, unit: str, words: str) -> None:
    assert away_words("Gone", away_s, missing, unit, "= puts the count right", "m") == words


def test_hollow_digits_have_the_same_form_and_other_cells() -> None:
    full, hollow = drawn("40", 2), drawn("40", 2, hollow=True)
    assert [len(line) for line in full] == [len(line) for line in hollow]
    assert [[cell == " " for cell in line] for line in full] == [[cell == " " for cell in line] for line in hollow]
    assert not set("".join(full)) & set("".join(hollow)) - {" "}


# --- the hands ------------------------------------------------------------------------------------------------------


def test_what_was_missed_is_one_recount(book: Logbook) -> None:
    live, voice = cranking(book), Voice()
    hands = Hands(live, Settings(pause_after_s=5), voice)
    hands.do_count(1_000)
    assert hands.keys_gone(2_000)
    assert not hands.tick(60_000), "silence says nothing while the keys go elsewhere"
    hands.keys_back(12_000)
    assert voice.said[-1] == "Keys went elsewhere for 10 s. At your pace 5 rows may be missing: m counts them."
    hands.do_count(14_000)
    assert (live.state.count, hands.offered) == (10, 5), "a row cranked since does not take the offer away"
    seq = live.state.last_seq
    hands.do_missing()
    assert (live.state.count, live.state.last_seq, hands.offered) == (15, seq + 1, None)
    assert list(book.store.entries(live.n))[-1].event == Recounted(15, "Keys went elsewhere for 10 s", settles=True)


def test_an_offer_lapses_with_another_correction(book: Logbook) -> None:
    live = cranking(book)
    hands = Hands(live, Settings(), Voice())
    hands.keys_gone(0)
    hands.keys_back(10_000)
    assert hands.offered == 5
    hands.do(Recounted(12, "counted the stitches"))
    assert hands.offered is None
    hands.do_missing()
    assert live.state.count == 12


def test_rows_missing_in_a_dial_trial_are_offered_too(book: Logbook) -> None:
    live, voice = book.start(record("search")), Voice()
    crank_to(live, "trial")
    hands = Hands(live, Settings(), voice)
    drive(live, rows(2))
    hands.keys_gone(0)
    hands.keys_back(9_000)
    assert voice.said[-1] == "Keys went elsewhere for 9 s. At your pace 4 rows may be missing: m counts them."
    assert "missing" in [command.does for command in commands_for(live.state, missing=hands.offered)]
    hands.do_missing()
    assert (live.state.count, live.state.ignored) == (6, 0)
    hands.do_judge("drop")
    assert live.state.trials[-1].rows == 6
    hands.do_take_back()
    hands.do_take_back()
    assert live.state.count == 2


def test_the_rows_missing_settle_presses_in_doubt(book: Logbook) -> None:
    live = cranking(book)
    hands = Hands(live, Settings(press_gap_ms=120), Voice())
    for at in (1_000, 1_030):
        hands.do_count(at)
    assert live.state.doubted == 1
    hands.keys_gone(2_000)
    hands.keys_back(12_000)
    hands.do_missing()
    assert (live.state.count, live.state.doubted) == (14, 0)


def test_a_key_that_was_moved_is_named_by_its_present_name_everywhere(book: Logbook) -> None:
    live, voice = cranking(book), Voice()
    names = ("take_back", "rehang", "vouch", "missing", "recount", "strike")
    keymap = Keymap(moved=tuple((name, f"f{n}") for n, name in enumerate(names, 2)))
    hands = Hands(live, Settings(press_gap_ms=120), voice, key_of=partial(key_called, keymap))
    for at in (1_000, 1_030):
        hands.do_count(at)
    assert "F4 counts it." in voice.said[-1]
    hands.do_take_back()
    assert "use F3." in voice.said[-1]
    hands.do_observe("fell-off")
    assert "then F3." in voice.said[-1]
    assert "(F2 takes it back)" in voice.said[-1]
    hands.keys_gone(0)
    hands.keys_back(10_000)
    assert voice.said[-1].endswith("F5 counts them.")
    live.paces.rows.gaps_ms.clear()
    hands.keys_gone(0)
    hands.keys_back(10_000)
    assert voice.said[-1].endswith("F6 puts the count right.")


def test_passes_are_called_passes(book: Logbook) -> None:
    live, voice = cranking(book, step="heel"), Voice()
    hands = Hands(live, Settings(), voice)
    hands.keys_gone(0)
    hands.keys_back(4_000)
    assert voice.said[-1].endswith("At your pace 2 passes may be missing: m counts them.")


@pytest.mark.parametrize("how", ["paused", "looking", "no count"])
def test_nothing_is_said_where_nothing_is_counted(book: Logbook, how: str) -> None:
    live, voice = cranking(book) if how != "no count" else book.start(record("tube")), Voice()
    hands = Hands(live, Settings(), voice)
    if how == "paused":
        hands.do_pause()
    elif how == "looking":
        book.store.make_read_only("Looking.")
    said = list(voice.said)
    assert not hands.keys_gone(0)
    hands.keys_back(10_000)
    hands.stood_still(20, 30_000)
    assert voice.said == said


def test_presses_in_one_lump_after_a_stop_are_offered_as_rows_and_not_twice(book: Logbook) -> None:
    live, voice = cranking(book), Voice()
    hands = Hands(live, Settings(), voice)
    hands.do_count(1_000)
    hands.woke(13_000)
    for at in (13_001, 13_002, 13_003):
        hands.do_count(at)
    hands.stood_still(12, 13_000)
    assert voice.said[-1] == (
        "The program stood still for 12 s; then 2 presses came at once. If they were rows: v counts."
    )
    assert hands.offered is None
    hands.do_vouch()
    assert live.state.count == 12


def test_a_long_stop_is_no_pause(book: Logbook) -> None:
    live, voice = cranking(book), Voice()
    hands = Hands(live, Settings(pause_after_s=60), voice)
    hands.do_count(1_000)
    hands.woke(601_000)
    assert not hands.tick(601_000)
    hands.stood_still(600, 601_000)
    assert voice.said[-1].startswith("The program stood still for 10 min. At your pace 21 rows may be missing")
    assert not live.state.paused


# --- the screen -----------------------------------------------------------------------------------------------------


async def settled(pilot: Pilot[int]) -> None:
    for _ in range(3):
        await pilot.pause()


def on_screen(app: Bench) -> str:
    return "\n".join(strip.text for strip in app.screen._compositor.render_strips())


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 12)])
async def test_the_count_changes_shape_and_says_where_the_keys_go(book: Logbook, size: tuple[int, int]) -> None:
    cranking(book)
    app = Bench(book, Settings())
    rung = []
    async with app.run_test(size=size) as pilot:
        await pilot.press("enter")
        await settled(pilot)
        app.bell = lambda: rung.append(1)  # type: ignore[method-assign]
        count = app.screen.query_one("#count", Panel)
        before = on_screen(app)
        assert "█" in count.plain
        assert ELSEWHERE not in before
        app.post_message(events.AppBlur())
        await settled(pilot)
        gone = on_screen(app)
        assert ELSEWHERE in gone
        assert "█" not in count.plain
        assert rung == [1]
        app.post_message(events.AppFocus())
        await settled(pilot)
        back = on_screen(app)
        assert ELSEWHERE not in back
        assert "█" in count.plain
        assert "Keys went elsewhere for 1 s: less than one row" in " ".join(back.split())


async def test_one_key_takes_the_offer_and_the_foot_says_so(book: Logbook) -> None:
    cranking(book)
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await settled(pilot)
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        screen.hands.keys_gone(0)
        screen.hands.keys_back(14_000)
        await pilot.press("space")
        await settled(pilot)
        assert "m count 7 missing" in on_screen(app)
        await pilot.press("m")
        await settled(pilot)
        assert screen.live.state.count == 16
        assert "missing" not in on_screen(app)


async def test_a_key_while_the_focus_is_believed_lost_shows_that_it_is_not(book: Logbook) -> None:
    cranking(book)
    app = Bench(book, Settings())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await settled(pilot)
        app.post_message(events.AppBlur())
        await settled(pilot)
        await pilot.press("space")
        await settled(pilot)
        assert ELSEWHERE not in on_screen(app)
        assert isinstance(app.screen, SessionScreen)
        assert app.screen.live.state.count == 9
        assert "KEYS GO ELSEWHERE" not in app.screen.query_one("#count", Panel).plain
