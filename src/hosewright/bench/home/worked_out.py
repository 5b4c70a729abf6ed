"""What only the engine can tell of home's panels: the socks filled so far, minutes left, rows since the oil, yarn left.

It brings in the engine and the records, half a bare first frame, so home imports it once its panels stand.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.count.sock_panel import sock_of_session, sock_rows
from hosewright.bench.home.open_list import SOCK_CELLS, Told
from hosewright.bench.home.panels import YarnLeft
from hosewright.bench.widgets.sock import LEAST_COLUMNS, LEAST_LINES
from hosewright.craft import CraftError
from hosewright.logbook.accounts.care import last_oiled
from hosewright.logbook.accounts.cranked import Cranked, rows_and_passes
from hosewright.logbook.accounts.pairs import pairs, recent_pace
from hosewright.logbook.accounts.stock import stocks
from hosewright.phrases.times import minutes_words
from hosewright.picture.cells import Filling, draw, in_a_line
from hosewright.words.pairs import left_words
from hosewright.words.stock import makes

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.bench.widgets.line import Row
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.overview import Oiling
    from hosewright.settings.table import Settings

MG = 1000


def told_of(book: Logbook, session_id: str) -> Told:
    """The sock of a session filled so far, and the minutes left by its own pace. Raises LogbookError."""
    live = book.take_up(session_id)
    rows, passes = live.state.ahead
    minutes = live.paces.minutes_for(rows, passes) if rows or passes else None
    left = "" if minutes is None else "under 1 min left" if minutes < 1 else f"{minutes_words(minutes)} left"
    try:
        found = sock_of_session(live)
    except (CraftError, ValueError):  # of a file from elsewhere that makes no sock
        found = None
    if found is None:
        return Told((), left)
    runs = in_a_line(*found, SOCK_CELLS)
    line = tuple((run.text, run.fore is not None and run.fore.standing != "ahead") for run in runs)
    shape, done = found

    def picture(width: int, height: int) -> Sequence[Row]:
        if width - 2 < LEAST_COLUMNS or height - 2 < LEAST_LINES:
            return ()
        return sock_rows(Filling(draw(shape, width - 2, height - 2)), done, live.state)

    return Told(line, left, picture)


def oil_of(book: Logbook, machines: Iterable[Oiling]) -> dict[str, int]:
    """Rows each machine has cranked since its oil, a pass counting half. Raises LogbookError."""
    found = {}
    for machine in machines:
        oiled = last_oiled(book.store, machine.id)
        cranked = rows_and_passes(book.store, machine.id, oiled.at_ms if oiled else 0)
        found[machine.id] = Cranked(*cranked, 0).as_rows
    return found


def yarns_of(book: Logbook) -> list[YarnLeft]:
    """Every yarn of which something is noted, the most left first. Raises LogbookError."""
    found = []
    for stock in stocks(book):
        if stock.lots or stock.claims:
            account = stock.account
            free, promised = max(0, account.left) / MG, max(0, account.promised) / MG
            found.append(YarnLeft(stock.yarn.name, free, promised, makes(stock.socks_left)))
    return sorted(found, key=lambda one: -(one.free_g + one.promised_g))


def pairs_of(book: Logbook, settings: Settings) -> dict[str, str]:
    """What each promised pair still takes, in words. Raises LogbookError."""
    pace = recent_pace(book)
    return {pair.promise.id: left_words(pair, pace, settings.off_crank_min) for pair in pairs(book)}
