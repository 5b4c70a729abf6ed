"""Events and gauges as CSV (RFC 4180, UTF-8), for a spreadsheet. A typed cell can never run as a formula in one."""

from __future__ import annotations

import csv
import io
from dataclasses import fields
from typing import TYPE_CHECKING

from hosewright.craft.units import MM_PER_CM
from hosewright.logbook.records.shelf import NOTED_COLUMNS, as_noted, harmless
from hosewright.phrases.times import local
from hosewright.session.events import EVENT_TYPES, Redone, Undone
from hosewright.session.fold import apply
from hosewright.session.rules import refusal
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.words.pace import PACE_NAMES, pace_facts

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hosewright.logbook.accounts.pace import MonthPace
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import GaugeRecord, Noted
    from hosewright.session.events import Entry

# Spreadsheets take a cell for a formula by its first sign, the wide forms of the East too, and skip white space.
_FORMULA_SIGNS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_SAID = tuple(dict.fromkeys(f.name for cls in EVENT_TYPES for f in fields(cls) if f.name not in ("kind", "seq")))
EVENT_COLUMNS = ("session", "event", "at", "at_step", "counted", "dial_clicks", "kind", *_SAID, "of_event", "undone")


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
                "at": local(entry.at_ms, entry.zone_min).isoformat(timespec="seconds"),
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


def notebook_csv(gauges: Iterable[GaugeRecord], noted: Iterable[Noted], names: Mapping[str, str]) -> str:
    """Every gauge measured, and all that is from the notebook, the newest first, as ``hosewright enter csv`` takes it.

    Rates are per cm with standard errors; ``names`` are those of yarns, machines, cylinders and people by id.
    """
    rows = [(gauge.at_ms, _noted_row(as_noted(gauge), names)) for gauge in gauges if not gauge.noted]
    rows += [(one.at_ms, _noted_row(one, names)) for one in noted]
    rows.sort(key=lambda row: row[0], reverse=True)
    return _written(NOTED_COLUMNS, [row for _, row in rows])


def pace_csv(found: Iterable[MonthPace]) -> str:
    """How fast each month was, the first on top: rows and passes a minute with their spreads."""
    return _written(PACE_NAMES, [pace_facts(one) for one in found])


def _noted_row(one: Noted, names: Mapping[str, str]) -> dict[str, object]:
    told = {kind: names.get(item, item) for kind in ("yarn", "machine", "cylinder") if (item := getattr(one, kind))}
    told |= {
        "slots": one.slots,
        "id": one.id,
        "what": one.what,
        "day": one.day,
        "dial": one.dial,
        "verdict": one.worn or one.fit,
        "wearer": names.get(one.wearer or "", one.wearer),
        "promise": names.get(one.promise or "", one.promise),
        "parts": one.parts_typed,
        "note": one.note,
    }
    return _rates(one) | told


def _rates(one: Noted) -> dict[str, object]:
    told: dict[str, object] = {"rows": one.rows, "mass": f"{one.mass_g:.10g} g" if one.mass_g else ""}
    for what in ("rows", "stitches"):
        rate, error = getattr(one, f"{what}_per_mm"), getattr(one, f"{what}_per_mm_error")
        if rate is not None:
            told |= {f"{what}_per_cm": f"{rate * MM_PER_CM:.6f}", f"{what}_error": f"{error * MM_PER_CM:.6f}"}
    return told


def _written(columns: tuple[str, ...], rows: Iterable[Mapping[str, object]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([cell(row.get(name)) for name in columns])
    return text.getvalue()
