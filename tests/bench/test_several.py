"""Several things at once: all open, one key between them, and every press where it was meant."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual import events
from textual.widgets import Input

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.widgets.line import Steady
from hosewright.logbook.glance import next_open, on_machine
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Machine
from hosewright.session import events as ev
from hosewright.session.procedures import tube_steps
from hosewright.settings.table import Settings
from tests.bench.stage import CYLINDER, MACHINE, YARN, do, find_stitch_size, new_book, stock
from tests.bench.test_snapshots import picture
from tests.helpers import crank_to

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live

SECOND = Machine(id="cellar", name="The cellar machine", clicks_per_turn=4)
SIZES = [(80, 24), (120, 40)]


def begin(book: Logbook, title: str, machine: Machine = MACHINE) -> Live:
    record = SessionRecord(
        id=book.new_id(),
        kind="tube",
        title=title,
        started_ms=book.clock.now().at_ms,
        machine=machine,
        cylinder=CYLINDER,
        yarn=YARN,
        dial=30,
        steps=tube_steps(60),
    )
    return book.start(record)


def several(folder: Path, many: int) -> tuple[Bench, list[str]]:
    """A bench with so many tubes begun, on two machines, each in its working rows."""
    book = new_book(folder)
    stock(book)
    book.keep(SECOND)
    ids = []
    for number in range(many):
        live = begin(book, f"Tube {number + 1}", SECOND if number % 2 else MACHINE)
        crank_to(live, "tube")
        ids.append(live.record.id)
    return Bench(book, Settings(press_gap_ms=0)), ids


def here(app: Bench) -> str:
    screen = app.screen
    assert isinstance(screen, SessionScreen), screen
    return screen.live.record.id


def presses(book: Logbook, session_id: str) -> int:
    return book.state(book.store.find(session_id)).count_of("tube")


async def keys_at_once(pilot: Pilot[int], *keys: str) -> None:
    """Keys typed ahead: all of them are there before the first is looked at."""
    for key in keys:
        char = " " if key == "space" else key if len(key) == 1 else None
        pilot.app.post_message(events.Key(key, char))
    for _ in range(6):
        await pilot.pause()


@pytest.mark.parametrize("many", [2, 3, 5])
async def test_the_key_goes_round_all_that_are_open(many: int, tmp_path: Path) -> None:
    app, ids = several(tmp_path, many)
    async with app.run_test() as pilot:
        app.open_session(ids[0])
        await pilot.pause()
        seen = []
        for _ in range(2 * many):
            seen.append(here(app))
            await pilot.press("space", "o")
            await pilot.pause()
        assert sorted(seen[:many]) == sorted(ids)
        assert seen[many:] == seen[:many]
        assert len(app.screen_stack) == 2  # the bench and the one at hand: nothing piles up
    assert [presses(app.book, one) for one in ids] == [2] * many
    app.book.close()


async def test_going_on_to_the_next_step_leaves_none_out(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 3)
    async with app.run_test() as pilot:
        app.open_session(ids[0])
        await pilot.pause()
        seen = set()
        for _ in range(3):
            seen.add(here(app))
            await pilot.press(*["space"] * 60, "enter", "o")  # a step done moves a session to the top of every list
            await pilot.pause()
        assert seen == set(ids)
    app.book.close()


async def test_keys_typed_ahead_go_where_they_were_meant(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 2)
    async with app.run_test() as pilot:
        app.open_session(ids[0])
        await pilot.pause()
        await keys_at_once(pilot, "space", "space", "o", "space", "space", "space", "p")
        assert here(app) == ids[1]
    assert [presses(app.book, one) for one in ids] == [2, 3]
    assert app.book.state(app.book.store.find(ids[1])).paused
    app.book.close()


async def test_where_the_key_went_is_said(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 2)
    async with app.run_test() as pilot:
        app.open_session(ids[0])
        await pilot.pause()
        await pilot.press("o")
        await pilot.pause()
        said = str(app.screen.query_one("#message", Steady).render())
        now = "Now Tube 2, on The cellar machine: gauge tube, 0 of 60 rows done."
        assert said == f"{now} Backspace goes straight back to Tube 1."
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)
    app.book.close()


async def test_alone_there_is_nowhere_to_go(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 1)
    async with app.run_test() as pilot:
        app.open_session(ids[0])
        await pilot.pause()
        await pilot.press("o")
        assert here(app) == ids[0]
        assert "No other session is open" in picture(app)
    app.book.close()


def test_the_order_is_that_in_which_they_were_begun(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 4)
    store = app.book.store
    assert [next_open(store, one) for one in ids] == [*ids[1:], ids[0]]
    live = app.book.take_up(ids[1])
    live.do(ev.Abandoned())
    assert next_open(store, ids[0]) == ids[2]
    assert next_open(store, ids[1]) == ids[2]  # from one that is open no more, too
    assert next_open(store, "none-such") == ids[0]
    app.book.close()


# --- the bench --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("many", [2, 6])
async def test_the_bench_shows_each_with_its_machine_and_what_its_hands_do(
    many: int, size: tuple[int, int], tmp_path: Path
) -> None:
    app, ids = several(tmp_path, many)
    for number, one in enumerate(ids):
        live = app.book.take_up(one)
        for _ in range(number + 1):
            live.do(ev.Pressed())
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        seen = picture(app)
        for number in range(many):
            machine = "The cellar machine" if number % 2 else "The attic machine"
            assert f"Tube {number + 1}" in seen
            assert f"    {machine}: gauge tube, {number + 1} of 60 rows done" in seen
        assert "ENTER GOES ON WITH" in seen
    app.book.close()


async def test_enter_goes_on_with_what_was_begun_last(tmp_path: Path) -> None:
    app, (older,) = several(tmp_path, 1)
    async with app.run_test(size=SIZES[0]) as pilot:
        await pilot.pause()
        await pilot.press("enter")
        assert here(app) == older
        await pilot.press("escape")
        newer = begin(app.book, "Tube 2", SECOND).record.id
        app.open_session(newer)
        await pilot.pause()
        await pilot.press("escape", "enter")
        assert here(app) == newer
        await pilot.press("escape", "down", "enter")
        assert here(app) == older
        await pilot.press("escape", "enter")  # chosen by hand, the mark stays
        assert here(app) == older


async def test_what_else_there_is_to_do_is_not_pushed_out_by_what_is_open(tmp_path: Path) -> None:
    app, _ = several(tmp_path, 7)
    other = YARN.model_copy(update={"id": "heath", "name": "Heath"})
    book = app.book
    record = find_stitch_size(book).record
    live = book.start(record.model_copy(update={"id": book.new_id(), "yarn": other, "title": "Stitch size: Heath"}))
    crank_to(live, "trial")
    for clicks, verdict in ((30, "drop"), (28, "stay")):
        do(live, [ev.Pressed(), ev.Judged(verdict, clicks)])  # type: ignore[arg-type]
    do(live, [ev.Confirmed(), ev.Confirmed(), *[ev.Pressed()] * 10, ev.Confirmed()])
    async with app.run_test() as pilot:
        await pilot.press("end")
        await pilot.pause()
        assert "Heath on Sixty-four: crank a gauge tube" in picture(app)
    book.close()


# --- a second one on the same machine -----------------------------------------------------------------------------


def test_a_machine_with_work_on_it_is_asked_about(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 2)
    store = app.book.store
    assert on_machine(store, "no-such") == ""
    live = app.book.take_up(ids[0])
    for _ in range(12):
        live.do(ev.Pressed())
    assert on_machine(store, MACHINE.id) == (
        "Tube 1 (gauge tube, 12 of 60 rows done) is on this machine already. Start another beside it?"
    )
    begin(app.book, "Tube 3")
    assert on_machine(store, MACHINE.id) == (
        "Tube 3 (set the dial) and another are on this machine already. Start one more beside them?"
    )
    app.book.close()


def test_work_taken_off_leaves_the_machine_free(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 1)
    live = app.book.take_up(ids[0])
    crank_to(live, "take-off")
    assert on_machine(app.book.store, MACHINE.id) != ""
    live.do(ev.Confirmed())
    assert on_machine(app.book.store, MACHINE.id) == ""
    app.book.close()


async def test_keys_in_one_lump_go_to_the_lines_they_were_typed_for(tmp_path: Path) -> None:
    app, _ = several(tmp_path, 1)
    async with app.run_test(size=(100, 40)) as pilot:
        app.go_to("shelf")
        await pilot.pause()
        await pilot.press("y")
        await pilot.pause()
        await keys_at_once(pilot, *"abc", "tab", *"def", "enter", *"gh", "up", "up", "home", *"X")
        lines = [line.value for line in app.screen.query(Input)]
        assert lines[:3] == ["Xabc", "def", "gh"]
    app.book.close()


async def test_a_row_in_one_lump_with_a_note_is_a_row(tmp_path: Path) -> None:
    app, ids = several(tmp_path, 1)
    async with app.run_test() as pilot:
        app.open_session(ids[0])
        await pilot.pause()
        await pilot.press("space", "n", "n")
        await pilot.pause()
        assert isinstance(app.focused, Input)
        await keys_at_once(pilot, *"knot", "enter", "space", "space")
    assert presses(app.book, ids[0]) == 3
    app.book.close()
