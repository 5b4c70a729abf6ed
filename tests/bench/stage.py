"""A tiny app to try the screens on, and a logbook with an invented knitter's things."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.app import App

from hosewright.bench.shielded import Shielded
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.phrases.times import Moment
from hosewright.session import events as ev
from hosewright.session.procedures import search_steps, tube_steps
from hosewright.settings.table import Settings

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from textual.screen import Screen

    from hosewright.logbook.live import Live

DAY_MS = 86_400_000
START_MS = 1_760_000_000_000


class Ticking:
    """A clock that moves a second at every look."""

    def __init__(self) -> None:
        self.at_ms = START_MS

    def now(self) -> Moment:
        self.at_ms += 1000
        return Moment(self.at_ms, 60, self.at_ms)


class Host(Shielded, App[None]):
    """Shows one screen, catches what the logbook raises as the bench does, remembers what it dismissed with."""

    def __init__(self, book: Logbook, settings: Settings | None = None) -> None:
        super().__init__()
        self.book = book
        self.settings = settings or Settings()
        self.results: list[object] = []

    def _handle_exception(self, error: Exception) -> None:  # of a call put off, as the bench's own app does
        if not self.shrugs_off(error, None):
            super()._handle_exception(error)

    def show(self, screen: Screen[Any]) -> None:
        self.push_screen(screen, self.results.append)


_OPEN: list[Logbook] = []


def new_book(folder: Path) -> Logbook:
    """An empty logbook, closed by ``close_books`` when the test is over."""
    _OPEN.append(Logbook(folder / "logbook.db", Ticking()))
    return _OPEN[-1]


def close_books() -> None:
    while _OPEN:
        _OPEN.pop().close()


MACHINE = Machine(
    id="attic",
    name="The attic machine",
    thread_pitch_mm=1.25,
    clicks_per_turn=4,
    starting_dial=34,
    weights="both plates",
)
CYLINDER = Cylinder(id="c64", name="Sixty-four", slots=64, diameter_mm=108.0)
YARN = Yarn(id="moss", name="Moss", count="420 m/100g", m_per_100g=420.0, ball_g=100.0, colour="green")
WEARER = Wearer(id="ferryman", name="The ferryman", foot_length_mm=266.7, girth_mm=232.0)


def stock(book: Logbook) -> None:
    for item in (MACHINE, CYLINDER, YARN, WEARER):
        book.keep(item)


def begin_search(book: Logbook, *, dial: int = 29) -> Live:
    record = SessionRecord(
        id=book.new_id(),
        kind="search",
        title="Stitch size: Moss",
        started_ms=book.clock.now().at_ms,
        machine=MACHINE,
        cylinder=CYLINDER,
        yarn=YARN,
        dial=dial,
        steps=search_steps(),
    )
    return book.start(record)


def begin_tube(book: Logbook, *, rows: int = 60, title: str = "Gauge tube: Moss") -> Live:
    record = SessionRecord(
        id=book.new_id(),
        kind="tube",
        title=title,
        started_ms=book.clock.now().at_ms,
        machine=MACHINE,
        cylinder=CYLINDER,
        yarn=YARN,
        dial=27,
        steps=tube_steps(rows),
    )
    return book.start(record)


def do(live: Live, events: Iterable[ev.Event]) -> None:
    for event in events:
        why = live.do(event)
        assert why is None, why


def find_stitch_size(book: Logbook) -> Live:
    """A finished search: 29 drops, 27 drops, 25 drops, 23 stays up, so 27 clicks."""
    live = begin_search(book)
    do(live, [*[ev.Confirmed()] * 4, *[ev.Pressed()] * 3, ev.Confirmed(), ev.Confirmed()])
    for clicks, verdict in ((29, "drop"), (27, "drop"), (25, "drop"), (23, "stay")):
        do(live, [ev.Pressed(), ev.Judged(verdict, clicks)])  # type: ignore[arg-type]
    do(live, [ev.Confirmed(), ev.Confirmed(), *[ev.Pressed()] * 10, ev.Confirmed()])
    assert live.state.status == "finished"
    return live


def measure_tube(book: Logbook, *, length_mm: float = 148.0, width_mm: float = 102.0) -> Live:
    """A finished tube of 60 rows over 148 mm, 102 mm wide when flat."""
    live = begin_tube(book)
    done = ev.Confirmed()
    do(live, [*[done] * 4, *[ev.Pressed()] * 8, done, done, *[ev.Pressed()] * 60, done, done, *[ev.Pressed()] * 8])
    do(live, [done] * 6)
    do(live, [ev.ReadOff("length", length_mm), ev.ReadOff("width", width_mm), done])
    assert live.state.status == "finished"
    return live
