"""Reports as files to print, and sessions as files to give away, beside the logbook."""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING

from hosewright.logbook.travel.session_files import write
from hosewright.logbook.upkeep.forgetting import PRINTS, SHARED
from hosewright.paper.crank_sheet import sheet_page
from hosewright.paper.html_page import report_page
from hosewright.paper.report import sections
from hosewright.places import closed_to_others, data_folder, make_private, write_private

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Plan
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
    folder = data_folder() / PRINTS
    pages = {
        folder / f"{record.id}.html": report_page(
            record.title, sections(record, entries, unit, plans, settings.tape_error_mm)
        )
    }
    if record.plan is not None:
        pages[folder / f"{record.id}-sheet.html"] = sheet_page(
            record.plan,
            record.machine,
            length_unit=unit,
            caution=record.wearer is not None and record.wearer.caution,
        )
    for path, text in pages.items():
        write_private(path, text)
    return list(pages)


def write_session(record: SessionRecord, entries: Sequence[Entry]) -> Path:
    """Write a session file that any logbook takes in, and return it. One written before it went on is kept.

    Raises OSError.
    """
    folder = data_folder() / SHARED
    make_private(folder)  # it tells of other people's feet
    text = write(record, entries)
    for number in count(1):
        path = folder / (f"{record.id}.json" if number == 1 else f"{record.id}-{number}.json")
        try:
            with open(path, "x", encoding="utf-8", newline="\n", opener=closed_to_others) as file:
                file.write(text)
            break
        except FileExistsError:
            if path.read_bytes() == text.encode():
                break
    return path
