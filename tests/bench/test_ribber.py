"""Setting the ribber up on the bench: from the machine's care to ten rows, and what is asked of it afterwards."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.bench.start.screen import FreshStartScreen
from hosewright.bench.year.care_screen import CareScreen
from hosewright.logbook.accounts.care import blank
from hosewright.planning import starting
from hosewright.session.events import Confirmed, ReadOff
from hosewright.session.procedures import RIB_CHOICES
from hosewright.session.words import instruction
from hosewright.words.care import ribber_words
from tests.bench.stage import CYLINDER, MACHINE, YARN, Host, new_book, stock
from tests.helpers import crank_to, drive

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook


@pytest.fixture
def app(tmp_path: Path) -> Host:
    host = Host(new_book(tmp_path))
    stock(host.book)
    return host


def set_up(book: Logbook, choice: int) -> None:
    things = MACHINE, CYLINDER, YARN
    live = book.start(starting.fresh(book, "ribber", *things, dial=26, rows=60, separator_rows=8, rib="3x1"))
    crank_to(live, "ribber-seen")
    drive(live, ReadOff("ribber", choice), Confirmed())
    assert live.state.status == "finished"
    assert RIB_CHOICES[choice] in instruction(live.state, live.record.given)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_from_the_care_of_the_machine_to_a_session(app: Host, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        app.show(CareScreen())
        await pilot.pause()
        await pilot.press("b")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, FreshStartScreen)
        screen.rows["rib"].propose("3x1")
        await pilot.press("ctrl+s")
        await pilot.pause()
        (line,) = app.book.lines()
        assert (line.kind, app.results) == ("ribber", [line.id])
        steps = [step.id for step in app.book.record(line).steps]
        assert steps[steps.index("join") + 1 :] == [
            *("ribber-plain", "ribber-height", "ribber-align", "ribber-timing"),
            *("rib-on", "ribber-first", "ribber-rows", "ribber-seen"),
        ]


def test_what_is_kept_of_a_ribber_and_asked_again_after_care(app: Host) -> None:
    store = app.book.store
    assert "Nothing is noted" in ribber_words(store, MACHINE.id, at_start=True)
    set_up(app.book, 1)
    assert ribber_words(store, MACHINE.id, at_start=True).endswith("it was not right yet: ribber tucks.")
    set_up(app.book, 0)
    assert ribber_words(store, MACHINE.id, at_start=True) == ""
    assert ribber_words(store, MACHINE.id, at_start=False).endswith("its rows were clean.")
    app.book.keep(blank(MACHINE, "oiled", app.book.clock.now()))
    assert ribber_words(store, MACHINE.id, at_start=True) == ""
    part = blank(MACHINE, "part", app.book.clock.now())
    app.book.keep(part)
    assert "a part was changed: look at height, needles and timing again" in ribber_words(
        store, MACHINE.id, at_start=True
    )
    app.book.keep(part.model_copy(update={"retired": True}))
    assert ribber_words(store, MACHINE.id, at_start=True) == ""
    set_up(app.book, 0)
    assert ribber_words(store, MACHINE.id, at_start=True) == ""


def test_the_knitters_own_words_stand_at_height_and_timing(app: Host) -> None:
    own = MACHINE.model_copy(update={"ribber_set": "post at the second ring"})
    live = app.book.start(
        starting.fresh(app.book, "ribber", own, CYLINDER, YARN, dial=26, rows=60, separator_rows=8, rib="1x1")
    )
    for name in ("ribber-height", "ribber-timing"):
        crank_to(live, name)
        assert "Yours: post at the second ring." in instruction(live.state, live.record.given)
    with pytest.raises(ValueError, match="rib of the ribber"):
        starting.fresh(app.book, "ribber", own, CYLINDER, YARN, dial=26, rows=60, separator_rows=8, rib="3x1 latched")
