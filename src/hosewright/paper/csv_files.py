"""Events and gauges as CSV (RFC 4180, UTF-8), for a spreadsheet. A typed cell can never run as a formula in one."""

from __future__ import annotations

import csv
import io
from dataclasses import fields
from typing import TYPE_CHECKING

from hosewright.craft.units import MM_PER_CM
from hosewright.logbook.records.shelf import harmless
from hosewright.phrases.times import local
from hosewright.session.events import EVENT_TYPES, Redone, Undone
from hosewright.session.fold import apply
from hosewright.session.rules import refusal
from hosewright.session.standing import standing
from hosewright.session.state import State

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import GaugeRecord
    from hosewright.session.events import Entry

# Spreadsheets take a cell for a formula by its first sign, the wide forms of the East too, and skip white space.
_FORMULA_SIGNS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_SAID = tuple(dict.fromkeys(f.name for cls in EVENT_TYPES for f in fields(cls) if f.name not in ("kind", "seq")))
EVENT_COLUMNS = ("session", "event", "at", "at_step", "counted", "dial_clicks", "kind", *_SAID, "of_event", "undone")
GAUGE_COLUMNS = (
    "session",
    "at",
    "yarn",
    "machine",
    "cylinder",
    "slots",
    "dial_clicks",
    "rows",
    "rows_per_cm",
    "rows_per_cm_error",
    "stitches_per_cm",
    "stitches_per_cm_error",
    "mass_g",
    "on_foot",
)


def cell(value: object) -> object:
    """A value as it may stand in a file: numbers as they are, text without control characters.

    Text that a spreadsheet would run as a formula gets an apostrophe before it, which the spreadsheet does not show.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else ""
    if not isinstance(value, str):
        return value
    plain = harmless(value)
    return f"'{plain}" if plain.lstrip().startswith(_FORMULA_SIGNS) else plain


def events_csv(record: SessionRecord, entries: Iterable[Entry]) -> str:
    """Every event of a session with where it stood when it came: step, rows or passes counted, dial.

    What was undone, and stays so, is a line like any other, and says so in the last column.
    """
    entries = list(entries)
    stands = {entry.seq for entry in standing(record.head, entries).entries}
    state = State(record.head)
    rows = []
    for entry in entries:
        happened = refusal(state, entry.event) is None and not isinstance(entry.event, Undone | Redone)
        step = state.step
        said = {name: getattr(entry.event, name, None) for name in _SAID}
        rows.append(
            {
                "session": record.id,
                "event": entry.seq,
                "at": _local(entry.at_ms, entry.zone_min),
                "at_step": step.id if step else "",
                "counted": state.count,
                "dial_clicks": state.dial,
                "kind": entry.event.kind,
                **said,
                "of_event": getattr(entry.event, "seq", None),
                "undone": happened and entry.seq not in stands,
            }
        )
        apply(state, entry)
    return _written(EVENT_COLUMNS, rows)


def gauges_csv(gauges: Iterable[GaugeRecord], names: Mapping[str, str]) -> str:
    """Every gauge measured, per cm with standard errors; ``names`` are those of yarns, machines and cylinders by id."""
    rows = [
        {
            "session": gauge.session,
            "at": _local(gauge.at_ms, 0),
            "yarn": names.get(gauge.yarn, gauge.yarn),
            "machine": names.get(gauge.machine, gauge.machine),
            "cylinder": names.get(gauge.cylinder, gauge.cylinder),
            "slots": gauge.slots,
            "dial_clicks": gauge.dial,
            "rows": gauge.rows,
            "rows_per_cm": round(gauge.rows_per_mm * MM_PER_CM, 6),
            "rows_per_cm_error": round(gauge.rows_per_mm_error * MM_PER_CM, 6),
            "stitches_per_cm": round(gauge.stitches_per_mm * MM_PER_CM, 6),
            "stitches_per_cm_error": round(gauge.stitches_per_mm_error * MM_PER_CM, 6),
            "mass_g": gauge.mass_g,
            "on_foot": gauge.on_foot,
        }
        for gauge in gauges
    ]
    return _written(GAUGE_COLUMNS, rows)


def _written(columns: tuple[str, ...], rows: Iterable[Mapping[str, object]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([cell(row[name]) for name in columns])
    return text.getvalue()


def _local(at_ms: int, zone_min: int) -> str:
    return local(at_ms, zone_min).isoformat(timespec="seconds")
