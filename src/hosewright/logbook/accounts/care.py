"""A machine's care: what was done to it and when, what it has cranked since, and whether its oil is due."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hosewright.logbook.accounts.cranked import STILL_MS, Cranked, cranked_on, rows_and_passes
from hosewright.logbook.file.coding import has
from hosewright.logbook.file.errors import unreadable
from hosewright.phrases.times import local

if TYPE_CHECKING:
    from types import UnionType

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import Store
    from hosewright.logbook.records.shelf import Machine
    from hosewright.logbook.records.year import Care
    from hosewright.phrases.times import Moment

# Home asks for the oil before its panels are full, and nothing brings pydantic in before that: care is read as plain
# JSON, and its record is imported where one is made or shown.
_OF_CARE: dict[str, type | UnionType] = {"machine": str, "what": str, "at_ms": int, "zone_min": int}
_OF_CARE |= {"needles": list, "cylinder": str | None}


@dataclass(frozen=True, slots=True)
class Oiled:
    """When a machine was oiled: UTC in ms since 1970, and the local offset in minutes."""

    at_ms: int
    zone_min: int


@dataclass(frozen=True, slots=True)
class Figures:
    """What a machine has cranked since it was last ``oiled`` (None: that was never noted), this month, and ever."""

    oiled: Oiled | None
    since_oiled: Cranked | None
    month: Cranked
    ever: Cranked


@dataclass(frozen=True, slots=True)
class OilDue:
    """A machine past its manual's figure of ``every`` so many rows. ``rows``: two passes count as one."""

    machine: str
    rows: int
    every: int
    oiled: Oiled | None


@dataclass(frozen=True, slots=True)
class Change:
    """A needle changed, and when the one it replaced had come (0: as far back as the logbook goes)."""

    needle: int
    at_ms: int
    zone_min: int
    came_ms: int


def still_ms(pause_after_s: int) -> int:
    """The longest gap between presses that is time at the crank: the auto-pause, or the usual one when it is off."""
    return pause_after_s * 1000 or STILL_MS


def blank(machine: Machine, what: str, now: Moment, cylinder: str | None = None) -> Care:
    """A thing done to ``machine`` now, to be filled in and kept. ``cylinder``: the one its needles are in."""
    from hosewright.logbook.records.fields import shelf_id
    from hosewright.logbook.records.year import Care

    return Care.model_validate(
        {"id": shelf_id(f"{what} {machine.name}"), "machine": machine.id, "what": what, "cylinder": cylinder}
        | {"at_ms": now.at_ms, "zone_min": now.zone_min}
    )


def history(book: Logbook, machine_id: str) -> list[Care]:
    """Everything ever noted of a machine's care, struck out or not, newest first. Raises LogbookError."""
    from hosewright.logbook.records.year import Care

    own = [item for item in book.shelf(Care, retired=True) if item.machine == machine_id]
    return sorted(own, key=lambda item: (item.at_ms, item.id), reverse=True)


def last_oiled(store: Store, machine_id: str) -> Oiled | None:
    """When a machine was last oiled, as far as it was noted and not struck out. Raises LogbookError."""
    oiled = [item for item in _standing(store, machine_id) if item["what"] == "oiled"]
    newest = max(oiled, key=lambda item: int(item["at_ms"]), default=None)
    return Oiled(newest["at_ms"], newest["zone_min"]) if newest else None


def figures(store: Store, machine_id: str, now: Oiled, still: int = STILL_MS) -> Figures:
    """What a machine has cranked; ``now`` tells which month it is, ``still`` is from ``still_ms``.

    Raises LogbookError.
    """
    oiled = last_oiled(store, machine_id)
    return Figures(
        oiled,
        cranked_on(store, machine_id, oiled.at_ms, still) if oiled else None,
        cranked_on(store, machine_id, month_began(now.at_ms, now.zone_min), still),
        cranked_on(store, machine_id, 0, still),
    )


def month_began(at_ms: int, zone_min: int) -> int:
    """When the month of a moment began by the clock on the wall, UTC in ms since 1970."""
    first = local(at_ms, zone_min).replace(day=1, hour=0, minute=0, second=0, microsecond=0)
    return max(0, int(first.timestamp() * 1000))


def oil_due(store: Store, machine_id: str | None = None) -> list[OilDue]:
    """The machines (or the one) past their manual's figure; nothing for those whose figure nobody gave.

    Raises LogbookError.
    """
    found = []
    for machine in _told(store, "machine", id=str, name=str):
        every = machine.get("oil_every_rows")  # older logbooks have none
        if not isinstance(every, int | None):
            raise unreadable("machine")
        if not every or machine["retired"] or machine_id not in (None, machine["id"]):
            continue
        oiled = last_oiled(store, machine["id"])
        rows = Cranked(*rows_and_passes(store, machine["id"], oiled.at_ms if oiled else 0), 0).as_rows
        if rows >= every:
            found.append(OilDue(machine["name"], rows, every, oiled))
    return found


def due_of(machine: Machine, found: Figures) -> OilDue | None:
    """The same of a machine whose figures are at hand."""
    every, rows = machine.oil_every_rows, (found.since_oiled or found.ever).as_rows
    return OilDue(machine.name, rows, every, found.oiled) if every and rows >= every else None


def needle_changes(store: Store, machine_id: str, cylinder_id: str) -> dict[int, Change]:
    """The last change of each needle of a machine's cylinder that was ever changed. Raises LogbookError.

    An entry that names no cylinder holds for every one of the machine.
    """
    found: dict[int, Change] = {}
    noted = [item for item in _standing(store, machine_id) if item["what"] == "needle"]
    for item in sorted(noted, key=lambda item: int(item["at_ms"])):
        if item["cylinder"] not in (None, cylinder_id):
            continue
        for needle in item["needles"]:
            came = found[needle].at_ms if needle in found else 0
            found[needle] = Change(needle, item["at_ms"], item["zone_min"], came)
    return found


def cylinder_in_use(store: Store, machine_id: str) -> str | None:
    """The id of the cylinder last cranked on a machine. Raises LogbookError."""
    sql = "SELECT cylinder_id FROM catalogue WHERE machine_id = ? ORDER BY began DESC, session DESC LIMIT 1"
    return next((str(cylinder) for (cylinder,) in store.ask(sql, machine_id)), None)


def _standing(store: Store, machine_id: str) -> list[dict[str, Any]]:
    """A machine's care that is not struck out, as plain JSON: the bench opens without the models."""
    noted = _told(store, "care", **_OF_CARE)
    return [item for item in noted if item["machine"] == machine_id and not item["retired"]]


def _told(store: Store, kind: str, **needed: type | UnionType) -> list[dict[str, Any]]:
    """Everything of a kind on the shelf as plain JSON. Raises LogbookError for what no record of that kind is."""
    try:
        found = [json.loads(text) for text in store.shelf_texts(kind)]
    except ValueError as error:
        raise unreadable(kind) from error
    if not all(has(item, retired=bool, **needed) for item in found):
        raise unreadable(kind)
    return found
