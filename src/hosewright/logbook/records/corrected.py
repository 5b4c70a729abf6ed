"""A session's start as it really was: the frozen one, with all that was put right of it since laid over it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from hosewright.logbook.file.called import KINDS, LONGEST_TITLE, renamed
from hosewright.logbook.records.fields import Kept, named
from hosewright.logbook.records.sessions import CorrectedRecord, SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.phrases.times import DAY_MS, local
from hosewright.session.events import Restatable, Restated

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.file.called import Names
    from hosewright.logbook.records.shelf import Plan

COPIED: dict[str, type[Any]] = {"yarn": Yarn, "machine": Machine, "cylinder": Cylinder, "wearer": Wearer}


def restated(what: Restatable, value: Kept | tuple[str, str] | str | None, sock: int = 0, was: str = "") -> Restated:
    """What ``what`` really is, as an event: a record is copied whole, a pair is the id and the name of one."""
    if isinstance(value, Kept):
        return Restated(what, value.model_dump(mode="json"), sock, was)
    if isinstance(value, tuple):
        return Restated(what, dict(zip(("id", "name"), value, strict=True)), sock, was)
    return Restated(what, value, sock, was)


def sound(event: Restated) -> Restated:
    """The same event, from elsewhere, with its value as it would be kept. Raises ValueError where it could not be."""
    value = event.value
    if value is None:
        return event
    if event.what in COPIED:
        return replace(event, value=COPIED[event.what].model_validate(value).model_dump(mode="json"))
    if isinstance(value, dict):
        return replace(event, value=_Named.model_validate(value).model_dump())
    return replace(
        event, value=date.fromisoformat(value).isoformat() if event.what == "day" else named(value)[:LONGEST_TITLE]
    )


class _Named(Kept):
    """The id and the name of something that is not copied whole."""

    id: str
    name: str


def as_it_stands(begun: SessionRecord, corrections: Sequence[Restated]) -> SessionRecord:
    """The start of a session as it really was; its title follows what it names.

    A correction that cannot be read, in a damaged logbook, changes nothing.
    """
    if not corrections:
        return begun
    told: dict[str, Any] = {}
    socks = list(begun.socks)
    names: list[tuple[str, str]] = []
    for event in corrections:
        try:
            one = sound(event)
        except ValueError:
            continue
        value = one.value
        if one.what in COPIED:
            thing = None if value is None else COPIED[one.what].model_validate(value)
            if one.sock:
                socks[one.sock - 1] = socks[one.sock - 1].model_copy(update={"wearer": thing})
                continue
            was = getattr(begun, one.what)
            names += [(was.name, thing.name)] if was and thing else []
            told[one.what] = thing
        elif one.what in ("lot", "promise"):
            chosen = value["id"] if isinstance(value, dict) else None
            if one.sock:
                socks[one.sock - 1] = socks[one.sock - 1].model_copy(update={"promise": chosen})
                continue
            told[one.what] = chosen
            if one.what == "lot":
                told["dye_lot"] = value["name"] if isinstance(value, dict) else ""
        elif one.what == "day":
            told["started_ms"] = _on_day(begun, str(value))
        else:
            told["title"] = str(value)
    if "yarn" in told and told["yarn"].id != begun.yarn.id and "lot" not in told:
        told |= {"lot": None, "dye_lot": ""}  # it was a lot of the other yarn
    told["title"] = told.get("title") or renamed(begun.title, names)
    head = begun.head
    told |= {"begun_slots": head.slots, "begun_clicks_per_turn": head.clicks_per_turn}
    told |= {"socks": tuple(socks), "begun_ms": begun.started_ms - begun.moved_ms}
    return CorrectedRecord.model_construct(**(dict(begun) | told))


def by_names_now(record: SessionRecord, names: Names) -> SessionRecord:
    """A start with the ids and names that all it names goes by now."""
    if not names:
        return record

    def now(kind: str, thing: Any) -> Any:
        told = names.get((kind, thing.id)) if thing is not None else None
        return thing if told is None else thing.model_copy(update={"id": told.now, "name": told.name})

    def plan_now(plan: Plan | None) -> Plan | None:
        if plan is None:
            return None
        of = {kind: names[kind, item].now for kind in KINDS if (kind, item := getattr(plan, kind)) in names}
        return plan.model_copy(update=of) if of else plan

    told: dict[str, Any] = {kind: now(kind, getattr(record, kind)) for kind in KINDS}
    pairs = [(getattr(record, kind), told[kind]) for kind in KINDS]
    told["title"] = renamed(record.title, [(was.name, new.name) for was, new in pairs if was is not new])
    told["plan"] = plan_now(record.plan)
    told["socks"] = tuple(
        sock.model_copy(update={"wearer": now("wearer", sock.wearer), "plan": plan_now(sock.plan)})
        for sock in record.socks
    )
    return type(record).model_construct(**(dict(record) | told))


def _on_day(begun: SessionRecord, day: str) -> int:
    """The same time of that day where the knitter is."""
    began = local(begun.started_ms, begun.zone_min).date()
    return max(0, begun.started_ms + (date.fromisoformat(day) - began).days * DAY_MS)
