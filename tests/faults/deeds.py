"""What a person does in an evening, as a process of its own: run under strace, which records it or makes the disk fail.

After each deed it says on standard output what is now shown: "shown SESSION SEQ", the number of the last event.
"""

from __future__ import annotations

import os
import signal
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file import backups
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.travel.folders import document, write_new
from hosewright.logbook.travel.shelf_file import write as shelf_text
from hosewright.session.events import Confirmed, Observed, Pressed, ReadOff
from hosewright.session.steps import CountRows, Measure
from hosewright.settings.file import save
from hosewright.settings.table import Settings
from tests.helpers import machine, record

if TYPE_CHECKING:
    from hosewright.logbook.live import Live


def say(words: str) -> None:
    os.write(1, f"{words}\n".encode())


def shown(live: Live) -> None:
    say(f"shown {live.record.id} {live.state.last_seq}")


def crank(folder: Path) -> None:
    """Open the logbook and crank its tube on, or a new one, with an observation now and then."""
    book = Logbook.for_counting(folder / "logbook.sqlite")
    if os.environ.get("LESS_SYNC"):  # the control: a logbook that does not wait for the disk at each row
        book.store.db.execute("PRAGMA synchronous = NORMAL")
    known = book.store.line(record().id)
    live = book.take_up(record().id) if known else book.start(record("tube"))
    shown(live)
    for number in range(30):
        step = live.state.step
        if step is None:
            break
        counting = isinstance(step, CountRows) and live.state.count < step.target
        live.do(Observed("dropped", 7) if number % 11 == 5 else Pressed() if counting else Confirmed())
        shown(live)
    book.close()


def checkpoint(folder: Path) -> None:
    """Crank, with the log carried into the file in every pause."""
    book = Logbook.for_counting(folder / "logbook.sqlite")
    book.break_seal(book.held_against_seal())
    live = book.take_up(record().id)
    for _ in range(8):
        live.do(Pressed())
        shown(live)
        book.store.fold_log_in()
    book.close()


def migrate(folder: Path) -> None:
    """Open a logbook of an earlier version."""
    with_sessions = Logbook.for_counting(folder / "logbook.sqlite")
    for line in with_sessions.lines():
        say(f"shown {line.id} {with_sessions.state(line).last_seq}")
    with_sessions.close()


def backup(folder: Path) -> None:
    """Keep the day's backup; once it is said to be there, it is whole."""
    book = Logbook.for_counting(folder / "logbook.sqlite")
    shown(book.take_up(record().id))
    if not backups.daily(folder / "logbook.sqlite", "20260103"):
        say("whole backups/logbook-20260103.sqlite")
    book.close()


def export(folder: Path) -> None:
    """Write a session's file and the shelf's."""
    book = Logbook.for_counting(folder / "logbook.sqlite")
    line = book.store.find(record().id)
    for name, text in ((f"{line.id}.json", document(book, line)), ("shelf.json", shelf_text(book))):
        write_new(folder / name, text)
        say(f"whole {name}")
    shown(book.take_up(line.id))
    book.close()


def settings(folder: Path) -> None:
    """Change the settings twice."""
    for gap in (130, 140):
        save(folder / "settings.toml", Settings(press_gap_ms=gap))
        say(f"gap {gap}")


def evening(folder: Path) -> None:
    """All of it, whatever fails on the way; killed in the end."""
    with suppress(LogbookError, OSError):
        save(folder / "settings.toml", Settings(press_gap_ms=140))
    book = _opened(folder)
    if book is None:
        return
    with suppress(LogbookError, OSError):
        book.keep(machine())
    live: Live | None = None
    while live is None:
        try:
            live = book.start(record("tube"))
        except LogbookError as error:
            say(f"denied {error}")
    shown(live)
    tried = 0
    while live.state.step is not None and live.state.step.id != "wash" and (tried := tried + 1) < 400:
        _go_on(live)
        if tried == 20:
            with suppress(LogbookError):
                backups.daily(book.path, "20260103")
        if tried == 30:
            with suppress(LogbookError, OSError):
                write_new(folder / "kept.json", document(book, book.store.find(live.record.id)))
        shown(live)
    os.kill(os.getpid(), signal.SIGKILL)


def _opened(folder: Path) -> Logbook | None:
    for _ in range(3):
        try:
            return Logbook.for_counting(folder / "logbook.sqlite")
        except LogbookError as error:
            say(f"denied {error}")
    return None


def _go_on(live: Live) -> None:
    step = live.state.step
    event = Confirmed() if not isinstance(step, CountRows) or live.state.count >= step.target else Pressed()
    try:
        if isinstance(step, Measure):
            live.do(ReadOff("raw-length", 148.0, "148 mm"))
        live.do(event)
    except LogbookError as error:
        say(f"denied {error}")


def denied(folder: Path) -> None:
    """Press until one press is denied and as many more as the environment says; then die at once."""
    more, seen = int(os.environ["MORE"]), 0
    live = Logbook.for_counting(folder / "logbook.sqlite").take_up(record().id)
    for _ in range(60):
        try:
            live.do(Pressed())
        except LogbookError as error:
            seen += 1
            say(f"denied {error}")
        if seen and not (more := more - 1) + 1:
            break
    shown(live)
    os.kill(os.getpid(), signal.SIGKILL)


DEEDS = {one.__name__: one for one in (crank, checkpoint, migrate, backup, export, settings, evening, denied)}

if __name__ == "__main__":
    DEEDS[sys.argv[1]](Path(sys.argv[2]))
