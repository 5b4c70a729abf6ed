"""Large logbooks to measure on, made by the engine's own store."""

from __future__ import annotations

from random import Random
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.projections import standing_of
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.year import Lot, Promise
from hosewright.logbook.ways import prepare, take_in
from hosewright.phrases.times import DAY_MS
from hosewright.session.events import Confirmed, Entry, Opened, Pressed
from hosewright.session.fold import fold
from tests.helpers import START_MS, cylinder, machine, past_tube, sock_plan_steps, steps_of, yarn

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.events import Event
    from hosewright.session.steps import Step

MINUTE = 60_000
UNFINISHED_EVENTS = 2000


def long_sock() -> tuple[Step, ...]:
    """A sock whose leg holds every press a benchmark makes."""
    return sock_plan_steps(leg_mm=1400.0)


def fill(path: Path, sessions: int, events: int, began_ms: int = START_MS, days: float = 400.0) -> None:
    """A logbook with so many sessions and, in all, so many events, over so many days.

    Two sessions are unfinished, one of them long; both yarns were weighed in and a pair is promised of each.
    """
    book = Logbook(path)
    for item in (machine().model_copy(update={"oil_every_rows": 600}), cylinder(), cylinder(60)):
        book.keep(item)
    for wool in (yarn(), yarn("Navy")):
        of = {"yarn": wool.id, "id": f"{wool.id}-kept"}
        lot = Lot.model_validate(of | {"name": "41", "grams": 900, "pieces": 9, "bought": "2024-01-01"})
        promise = {"name": f"A pair in {wool.name}", "made": "2024-01-01", "by": "2030-12-01"}
        book.keep(wool, lot, Promise.model_validate(of | promise))
    each = max(3, (events - UNFINISHED_EVENTS) // (sessions - 1))
    with book.store.one_commit():
        for number in range(sessions):
            record = _record(number, began_ms + int(number * days * 24 * 60 / sessions) * MINUTE)
            n = book.store.add_session(record)
            many = UNFINISHED_EVENTS if number == sessions - 1 else each
            entries = _entries(record, many)
            book.store.add_entries(n, entries)
            book.store.set_standing(n, standing_of(fold(record.head, entries)))
            unfinished = number >= sessions - 2
            book.store.set_status(n, "open" if unfinished else "finished", record.started_ms + MINUTE)
    book.store.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    book.close()


def fill_one_yarn(path: Path, sessions: int) -> None:
    """A logbook with so many sessions of one yarn in four years on two machines; from the third on it is looser."""
    book = Logbook(path)
    chance = Random(1)
    other = machine().model_copy(update={"id": "other-machine", "name": "Other machine"})
    made = []
    for number in range(sessions):
        at = START_MS + number * 4 * 365 * DAY_MS // sessions
        on = other if number % 2 else machine()
        rate = 10.3 - 0.35 * (number > sessions // 2) + chance.gauss(0, 0.06)
        made.append(prepare(*past_tube(f"20231114-{number:05d}", at, rate, on=on)))
    take_in(book.store, made)
    book.store.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    book.close()


def _record(number: int, started_ms: int) -> SessionRecord:
    kind = ("search", "tube", "sock")[number % 3]
    return SessionRecord(
        id=f"20240101-{number:06d}",
        kind=kind,  # type: ignore[arg-type]  # one of the three
        title=f"{('Launcher', 'Cook', 'Mechanic', 'Coxswain')[number % 4]} {kind} number {number}",
        started_ms=started_ms,
        zone_min=60,
        machine=machine(),
        cylinder=cylinder(),
        yarn=yarn("Navy" if number % 2 else "Grey"),
        dial=32,
        steps=long_sock() if kind == "sock" else steps_of(kind),  # type: ignore[arg-type]
    )


def _entries(record: SessionRecord, many: int) -> list[Entry]:
    """Presses with the confirmations between them that bring a sock into its leg."""
    kinds: list[Event] = [Opened(), *[Confirmed()] * 4, *[Pressed()] * 10, Confirmed(), Confirmed()]
    kinds += [Pressed()] * max(0, many - len(kinds))
    start = record.started_ms
    return [Entry(i, start + i * 1000, 60, i * 1000, event) for i, event in enumerate(kinds[:many], 1)]
