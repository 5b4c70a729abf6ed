"""Reports as files to print, and sessions as files to give away, beside the logbook."""

from __future__ import annotations

from hashlib import sha256
from itertools import count
from typing import TYPE_CHECKING

from hosewright.logbook.travel.folders import document
from hosewright.logbook.travel.sharing import shared_file
from hosewright.logbook.upkeep.forgetting import PRINTS, SHARED
from hosewright.paper.crank_sheet import sheet_page
from hosewright.paper.html_page import report_page
from hosewright.paper.report import sections
from hosewright.places import closed_to_others, data_folder, make_private, write_private

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Cylinder, Plan, Yarn
    from hosewright.session.events import Entry
    from hosewright.settings.table import Settings


def write_pages(
    record: SessionRecord, entries: Sequence[Entry], settings: Settings, plans: Sequence[Plan] = ()
) -> list[Path]:
    """Write the report of a session, and its plan's crank sheet when it has one, and return the files.

    ``plans`` are those made from its gauge. A page written before is written anew.
    Raises OSError, and CraftError for a plan whose heel cannot be turned.
    """
    unit = settings.length_unit
    pages = {
        f"{record.id}.html": report_page(record.title, sections(record, entries, unit, plans, settings.tape_error_mm))
    }
    if record.plan is not None:
        pages[f"{record.id}-sheet.html"] = sheet_page(
            record.plan,
            record.machine,
            length_unit=unit,
            wearer=record.wearer,
        )
    return [write_print(name, text) for name, text in pages.items()]


def write_print(name: str, text: str) -> Path:
    """Write a page to print, anew where there was one of this name, and return the file. Raises OSError."""
    path = data_folder() / PRINTS / name
    write_private(path, text)
    return path


def write_session(book: Logbook, session_id: str) -> Path:
    """Write a session file that any logbook takes in, and return it. One written before it went on is kept.

    A string goes without the people its socks are for. Raises OSError, and LogbookError.
    """
    line = book.store.find(session_id)
    return _write_shared(line.id, document(book, line, people=line.kind != "string"))


def write_shared(book: Logbook, thing: Plan | Yarn | Cylinder) -> Path:
    """Write a plan, or the gauges of a yarn or a cylinder, into a file that any logbook takes in, and return it.

    It goes without people. Raises OSError, and LogbookError.
    """
    text = shared_file(book, thing, people=False)
    # Of a plan the id may be made of a name.
    return _write_shared(f"{type(thing).__name__.lower()}-{sha256(text.encode()).hexdigest()[:8]}", text)


def _write_shared(name: str, text: str) -> Path:
    folder = data_folder() / SHARED
    make_private(folder)  # it tells of other people's feet
    for number in count(1):
        path = folder / (f"{name}.json" if number == 1 else f"{name}-{number}.json")
        try:
            with open(path, "x", encoding="utf-8", newline="\n", opener=closed_to_others) as file:
                file.write(text)
            break
        except FileExistsError:
            if path.read_bytes() == text.encode():
                break
    return path
