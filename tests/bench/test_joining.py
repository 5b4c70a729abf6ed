"""A knot, and the dye lot of the ball that was joined on there, by keys and in plain lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual.widgets import Static

from hosewright.bench.app import Bench
from hosewright.bench.start.sock_screen import SockStartScreen
from hosewright.session.events import Confirmed
from hosewright.settings.table import Settings
from hosewright.verbs.crank import LineMode
from tests.helpers import crank_to, cylinder, drive, machine, rows
from tests.logbook.test_stock import lot, shelve, sock, the_lot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live

ASKED = "Was a ball of another dye lot joined on? Then type 1 lot 43, 2 lot 42, and Enter."


@pytest.fixture
def live(book: Logbook) -> Live:
    """A sock of lot 41 with its heel turned; there are two other lots."""
    shelve(book, lot(), lot("42"), lot("43", bought="2023-11-05"))
    begun = sock(book)
    crank_to(begun, "foot")
    drive(begun, rows(3))
    return begun


async def pressed(book: Logbook, live: Live, keys: Sequence[str]) -> list[str]:
    """What is said after each key, at the machine."""
    app = Bench(book, Settings(press_gap_ms=0))
    said = []
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        for key in keys:
            await pilot.press(key)
            await pilot.pause()
            said.append(" ".join(str(one.render()) for one in app.screen.query("#message").results(Static)))
    return said


async def test_the_lot_of_a_ball_joined_on_is_asked_and_noted(book: Logbook, live: Live) -> None:
    said = await pressed(book, live, ("k", "2", "enter", "space"))
    assert said[0].split() == f"Noted: knot at row 3 (Backspace takes it back). {ASKED}".split()
    assert said[1] == "Lot 2, then Enter."
    assert said[2] == "From here on the yarn comes off lot 42."
    state = book.take_up(live.record.id).state
    (seen,) = state.observations
    assert (seen.lot, seen.note, seen.count) == ("lot-42", "a ball of lot 42 joined on", 3)
    assert state.count == 4
    assert [claim.words for claim in the_lot(book, "42").claims] == ["Sock 1, on the machine"]


async def test_cranking_on_leaves_it_a_knot(book: Logbook, live: Live) -> None:
    await pressed(book, live, ("k", "space", "2"))
    state = book.take_up(live.record.id).state
    assert (state.observations[0].lot, state.count) == ("", 4)


async def test_a_lot_typed_without_enter_is_noted_by_the_next_row(book: Logbook, live: Live) -> None:
    await pressed(book, live, ("k", "2", "space"))
    state = book.take_up(live.record.id).state
    assert (state.observations[0].lot, state.count) == ("lot-42", 4)


async def test_a_lot_may_be_typed_by_the_number_it_has(book: Logbook, live: Live) -> None:
    await pressed(book, live, ("k", "4", "2", "enter"))
    assert book.take_up(live.record.id).state.observations[0].lot == "lot-42"


async def test_no_such_lot_is_said_and_asked_again(book: Logbook, live: Live) -> None:
    said = await pressed(book, live, ("k", "7", "enter", "1", "enter"))
    assert said[2].split() == f"! There is no lot 7 here. {ASKED}".split()
    assert said[-1] == "From here on the yarn comes off lot 43."
    assert len(book.take_up(live.record.id).state.observations) == 1


async def test_the_one_in_use_is_not_offered(book: Logbook, live: Live) -> None:
    said = await pressed(book, live, ("k", "1", "enter", "space", "k"))
    assert "1 lot 41, 2 lot 42," in " ".join(said[-1].split())


@pytest.mark.parametrize("also", [(), ("41",)])
async def test_without_another_lot_nothing_is_asked(book: Logbook, also: tuple[str, ...]) -> None:
    shelve(book, *map(lot, also))
    begun = sock(book, lot="lot-41" if also else None)
    crank_to(begun, "leg")
    assert await pressed(book, begun, ("k",)) == ["Noted: knot at row 0 (Backspace takes it back)."]


def test_a_knot_with_words_asks_for_its_lot_in_plain_lines_too(book: Logbook, live: Live) -> None:
    lines = LineMode(live, book, Settings())
    assert lines.answer("k the old ball ended").endswith(ASKED)
    assert lines.answer("2") == "From here on the yarn comes off lot 42."
    assert live.state.observations[0].lot == "lot-42"


def test_in_plain_lines(book: Logbook, live: Live) -> None:
    lines = LineMode(live, book, Settings())
    assert lines.answer("k") == f"Noted: knot, row 3 (undo takes it back). {ASKED}"
    assert lines.answer("3") == f"There is no lot 3 here. {ASKED}"
    assert lines.answer("2") == "From here on the yarn comes off lot 42."
    assert live.state.observations[0].lot == "lot-42"
    assert "knot: a ball of lot 42 joined on" in lines.answer("e")


def test_a_stock_that_cannot_be_read_leaves_the_knot_noted(book: Logbook, live: Live) -> None:
    lines = LineMode(live, book, Settings())
    book.store.db.execute("INSERT INTO shelf VALUES ('lot', 'torn', 1, 0, '{')")
    said = lines.answer("k")
    assert said.startswith(
        "Noted: knot, row 3 (undo takes it back). Its dye lot cannot be asked: A lot in this logbook cannot be read"
    )
    assert len(live.state.observations) == 1


async def test_a_lot_typed_wrong_is_put_right_where_it_was_joined_on(book: Logbook, live: Live) -> None:
    await pressed(book, live, ("k", "2", "enter", "space", "space", "e", "enter", *"lot", "space", *"43", "enter"))
    (seen,) = book.take_up(live.record.id).state.observations
    assert (seen.lot, seen.note, seen.count) == ("lot-43", "a ball of lot 43 joined on", 3)


async def test_any_other_words_are_a_note_of_the_knot(book: Logbook, live: Live) -> None:
    await pressed(book, live, ("k", "2", "enter", "e", "enter", *"lot", "space", *"9", "enter"))
    (seen,) = book.take_up(live.record.id).state.observations
    assert (seen.lot, seen.note) == ("lot-42", "a ball of lot 42 joined on; lot 9")


async def test_the_twin_goes_on_with_the_ball_that_the_first_sock_ended_on(book: Logbook, live: Live) -> None:
    book.keep(machine(), cylinder())
    lines = LineMode(live, book, Settings())
    lines.answer("k")
    lines.answer("2")
    crank_to(live, "try-on")
    drive(live, Confirmed())
    app = Bench(book, Settings())
    async with app.run_test(size=(120, 40)) as pilot:
        app.go_to("sock", {"plan": "grey-pair"})
        await pilot.pause()
        await pilot.pause()
        assert isinstance(app.screen, SockStartScreen)
        assert app.screen.rows["which"].chosen == live.record.id
        assert app.screen.rows["lot"].chosen == "lot-42"
