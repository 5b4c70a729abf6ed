"""Whatever the size of the terminal, the panels at the crank show their words whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.count.sock_panel import SockPanel
from hosewright.bench.widgets.line import Sheet
from hosewright.bench.widgets.panel import Panel, row_width
from hosewright.session.reasons import caution_now
from hosewright.settings.table import Settings
from tests.helpers import crank_to, drive, record, rows

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    from textual.screen import Screen

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live

# Each step in which the places change, from both sides.
SIZES = [
    *((80, 24), (80, 33), (80, 34), (90, 39), (99, 40), (105, 29), (105, 48), (106, 29), (106, 30), (106, 34)),
    *((110, 34), (119, 39), (120, 33), (120, 40), (140, 47), (159, 48), (160, 30), (200, 36), (200, 55)),
]


def cut_in(screen: Screen[Any]) -> list[str]:
    """What of the panels that are seen does not fit into them, or hangs over the screen."""
    found = []
    for panel in screen.query(Panel):
        if not panel.is_on_screen or not all(one.display for one in (panel, *panel.ancestors_with_self)):
            continue
        width, height = panel.size
        shown = panel._fill(width - 2, height - 2)
        name = f"{panel.id} of {width}x{height}"
        if not screen.region.contains_region(panel.region) or (height < 3 and panel.id != "sock"):
            found.append(f"{name} hangs over")
        if len(shown) > height - 2:
            found.append(f"{name}: {len(shown)} lines")
        found += [f"{name}: {''.join(text for text, _ in row)}" for row in shown if row_width(row) > width - 2]
        if panel._title not in panel.plain.splitlines()[0]:
            found.append(f"{name}: {panel._title}")
    return found


def words_of(screen: Screen[Any]) -> str:
    sheets = [sheet for sheet in screen.query(Sheet) if sheet.is_on_screen and not isinstance(sheet, SockPanel)]
    return " ".join(" ".join(word for word in sheet.plain.split() if word not in "│║┃╎?┆") for sheet in sheets)


def in_the_heel(book: Logbook) -> Live:
    """The sock on which practice opens."""
    return next(live for line in book.lines("open") if (live := book.take_up(line.id)).state.index == 11)


def near_a_cue(book: Logbook) -> Live:
    live = book.start(record("sock"))
    crank_to(live, "leg")
    drive(live, rows(7))
    return live


def in_the_search(book: Logbook) -> Live:
    live = book.start(record("search"))
    crank_to(live, "trial")
    return live


@pytest.mark.usefixtures("home_left_alone")
@pytest.mark.parametrize("begin", [in_the_heel, near_a_cue, in_the_search])
@pytest.mark.parametrize("keys", [("p",), ("d", "equals_sign"), ("l",)], ids="-".join)
async def test_nothing_is_cut(begin: Callable[[Logbook], Live], keys: tuple[str, ...], practice: Logbook) -> None:
    live = begin(practice)
    app = Bench(practice, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        await pilot.press(*keys)
        wrong = []
        for width, height in SIZES:
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            wrong += [f"{width}x{height} {words}" for words in cut_in(app.screen)]
            if keys != ("l",):
                caution = caution_now(live.state)
                if caution not in words_of(app.screen):
                    wrong.append(f"{width}x{height} without its caution")
        assert not wrong, "\n".join(wrong)
