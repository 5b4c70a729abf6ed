"""What only the engine can tell of home's panels: the socks filled so far, minutes left, rows since the oil, yarn left.

It brings in the engine and the records, half a bare first frame, so home imports it once its panels stand. A large
logbook takes it seconds, so what reads every session does so bit by bit.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from textual.color import Color

from hosewright.bench.count.sock_panel import sock_of_session, sock_rows, yarn_of
from hosewright.bench.home.open_list import SOCK_CELLS, SoFar
from hosewright.bench.home.panels import YarnLeft
from hosewright.bench.widgets.line import in_colours
from hosewright.bench.widgets.sock import LEAST_COLUMNS, LEAST_LINES, colours_on, one_line
from hosewright.craft import CraftError
from hosewright.logbook.accounts.care import OilDue, last_oiled
from hosewright.logbook.accounts.cranked import Cranked, rows_and_passes_so_far
from hosewright.logbook.accounts.pace import recent_pace
from hosewright.logbook.accounts.pairs import pairs
from hosewright.logbook.accounts.stock import stocks_bit_by_bit
from hosewright.logbook.overview import YEAR_DAYS
from hosewright.logbook.projections import start_of_session
from hosewright.phrases.times import DAY_MS, minutes_words
from hosewright.picture.cells import Filling, draw
from hosewright.session.events import Doubted, Pressed, Recounted, TookBack, Vouched
from hosewright.session.fold import apply
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.words.care import reminder
from hosewright.words.pairs import left_words
from hosewright.words.stock import makes

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from hosewright.bench.app import Bench
    from hosewright.bench.home.panels import Known
    from hosewright.bench.widgets.line import Row
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.overview import Overview
    from hosewright.settings.table import Settings

MG = 1000
_COUNTED = (Pressed, Doubted, Vouched, TookBack, Recounted)  # the other events that change a count crank nothing


def told_of(app: Bench, session_id: str) -> SoFar:
    """The sock of a session filled so far, and the minutes left by its own pace. Raises LogbookError."""
    live = app.book.take_up(session_id)
    rows, passes = live.state.ahead
    minutes = live.paces.minutes_for(rows, passes) if rows or passes else None
    left = "" if minutes is None else "under 1 min left" if minutes < 1 else f"{minutes_words(minutes)} left"
    try:
        found = sock_of_session(live)
    except (CraftError, ValueError):  # of a file from elsewhere that makes no sock
        found = None
    if found is None:
        return SoFar((), left)
    shape, done = found
    colours = colours_on(app, yarn_of(live, shape), shape)
    line = tuple((text, _on_ground(app, look)) for text, look in one_line(shape, done, SOCK_CELLS, colours))

    def picture(width: int, height: int) -> Sequence[Row]:
        if width - 2 < LEAST_COLUMNS or height - 2 < LEAST_LINES:
            return ()
        return sock_rows(Filling(draw(shape, width - 2, height - 2), colours), done, live.state, width)

    return SoFar(line, left, picture)


def _on_ground(app: Bench, look: str) -> str:
    """A look as Rich takes it, on the ground its colours are told from: also where the bar lies on the line."""
    if app.no_color:
        return "dim" if look == "muted" else ""
    shown = app.theme_variables
    front = in_colours(look, shown) or Color.parse(shown["foreground"]).hex6
    return front if " on " in front else f"{front} on {Color.parse(shown['background']).hex6}"


def due_words(book: Logbook, told: Overview, known: Known) -> list[str]:
    """A sentence for each machine past its manual's figure for oil. Raises LogbookError."""
    return [
        reminder(OilDue(one.name, known.oil[one.id], one.every, last_oiled(book.store, one.id)))
        for one in told.oiling
        if one.every and known.oil[one.id] >= one.every
    ]


def _rows_by_day(book: Logbook, session: int, since_ms: int) -> dict[int, int]:
    """What a session counted on each local day (since 1970), without what was undone. Raises LogbookError."""
    _, head = start_of_session(book.store, session)
    state, found = State(head), dict[int, int]()
    for entry in standing(head, book.store.entries(session)).entries:
        before = sum(state.counts)
        apply(state, entry)
        if entry.at_ms >= since_ms and isinstance(entry.event, _COUNTED):
            day = (entry.at_ms + entry.zone_min * 60_000) // DAY_MS
            found[day] = found.get(day, 0) + sum(state.counts) - before
    return found


def bit_by_bit(book: Logbook, told: Overview, settings: Settings, known: Known) -> Iterator[Known]:
    """What is ``known`` after each bit of work: another one as soon as something is found out. Raises LogbookError."""
    oil: dict[str, int] = {}
    for machine in told.oiling:
        oiled = last_oiled(book.store, machine.id)
        oil[machine.id] = 0
        for cranked in rows_and_passes_so_far(book.store, machine.id, oiled.at_ms if oiled else 0):
            oil[machine.id] = Cranked(*cranked, 0).as_rows
            yield known
    known = replace(known, oil=oil)
    yield known
    days, since_ms = dict(told.days), book.clock.now().at_ms - YEAR_DAYS * DAY_MS
    for session, counted in told.put_right.items():
        yield known
        really = Counter(_rows_by_day(book, session, since_ms))
        really.subtract(counted)
        for day, more in really.items():
            days[day] = days.get(day, 0) + more
    known = replace(known, days={day: many for day, many in days.items() if many > 0})
    yield known
    yarns: list[YarnLeft] = []
    for stock in stocks_bit_by_bit(book):
        yield known
        if stock is not None and (stock.lots or stock.claims):
            account = stock.account
            free, promised = max(0, account.left) / MG, max(0, account.promised) / MG
            yarns.append(YarnLeft(stock.yarn.name, free, promised, makes(stock.socks_left)))
    known = replace(known, yarns=sorted(yarns, key=lambda one: -(one.free_g + one.promised_g)))
    yield known
    if told.promised:
        pace = recent_pace(book)
        yield known
        words = {pair.promise.id: left_words(pair, pace, settings.off_crank_min) for pair in pairs(book)}
        yield replace(known, pairs=words)
