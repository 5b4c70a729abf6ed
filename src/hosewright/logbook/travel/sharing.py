"""What is given away: a plan, the gauges of a yarn or of a cylinder as a shelf file, and people left out of any file.

Each gauge goes along as one from the notebook, with the id of its tube, since the tube itself stays here: wherever it
is taken in it serves cards, plans and dial responses, and a tube that is there says more than its copy.
"""

from __future__ import annotations

import json
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel

from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import (
    OF_NOBODYS_FEET,
    SHELF,
    Cylinder,
    Machine,
    Noted,
    Plan,
    Wearer,
    Yarn,
    as_noted,
)
from hosewright.logbook.travel import session_files, shelf_file
from hosewright.phrases.names import Names

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import SessionLine
    from hosewright.logbook.records.shelf import GaugeRecord, OnShelf

NOT_TOLD = "not told"  # where a reason must stand
_NEEDS_REASON = ("left-out", "spoilt")
_LEFT_OUT: dict[str, Any] = {"note": "", "why": "", "zero_note": "", "wearer": None, "promise": None, "price": None}
_PEOPLE = ("wearer", "promise")


def shared_file(book: Logbook, thing: Plan | Yarn | Cylinder, *, people: bool = True, by: str = "") -> str:
    """A shelf file with ``thing`` and all that is needed to use it elsewhere. Raises LogbookError.

    A plan has the gauges it is made from with it, a yarn all of its own, a cylinder all that were cranked on it.
    ``by``: who shares it, as those who take it in read it; what was shared before says by whom it was first.
    """
    gauges = [gauge for gauge in book.gauges() if _is_of(gauge, thing)]
    here = {one.id: one for one in book.shelf(Noted)}
    things: dict[str, Sequence[OnShelf]] = {
        "noted": [here.get(gauge.session) or as_noted(gauge) for gauge in gauges],
    }
    named: list[Any] = [thing] if isinstance(thing, Plan) else []
    kinds: dict[str, type[Any]] = {"machine": Machine, "cylinder": Cylinder, "yarn": Yarn}
    for kind, cls in kinds.items():
        wanted = {getattr(one, kind) for one in (*named, *gauges)} | {thing.id}
        things[kind] = [one for one in book.shelf(cls, retired=True) if one.id in wanted]
    if isinstance(thing, Plan):
        things["plan"] = [thing]
        things["wearer"] = [one for one in book.shelf(Wearer, retired=True) if one.id == thing.wearer]
    text = shelf_file.written({kind: things.get(kind, ()) for kind in SHELF})
    told = json.loads(text if people else shelf_without_people(book, text))
    for one in told["noted"]:
        one["shared"] = one["shared"] or (f"{shelf_file.SHARED} by {by}" if by else shelf_file.SHARED)
    return json.dumps(told, ensure_ascii=False, indent=2) + "\n"


def _is_of(gauge: GaugeRecord, thing: Plan | Yarn | Cylinder) -> bool:
    if isinstance(thing, Plan):
        return gauge.session in thing.made_from
    return thing.id == (gauge.yarn if isinstance(thing, Yarn) else gauge.cylinder)


# --- without people -----------------------------------------------------------------------------------------------


def shelf_without_people(book: Logbook, text: str) -> str:
    """A shelf file without wearers, promises, prices and notes; a name in what stays becomes "someone".

    A plan says what is cranked, and nothing of the feet it was made for. Raises LogbookError.
    """
    # What only a later version knows is left out, for nobody here knows whom it tells of.
    filed = shelf_file.parse(text)
    known: dict[str, Any] = {kind: [_known(one) for one in filed.things(kind)] for kind in filed.lists if kind in SHELF}
    known |= {"format": filed.format, "version": filed.version, "earlier": [_known(one) for one in filed.earlier]}
    told = _bare(known, _names(book))
    gone: dict[str, list[Any]] = {kind: [] for kind in _PEOPLE}
    things = shelf_file.parse(json.dumps(told | gone))
    earlier = [one for one in things.earlier if one.kind not in _PEOPLE]
    return shelf_file.written({kind: things.things(kind) for kind in SHELF}, earlier)


def session_without_people(book: Logbook, line: SessionLine) -> str:
    """A session file without wearers, promises and notes; a name in what stays becomes "someone".

    Its events keep their places, so that every count stays as it was. Raises LogbookError.
    """
    record = book.begun(line)
    known = SessionRecord.model_validate(_known(record))
    found = json.loads(session_files.write(known, book.store.entries(line.n)))
    wearers = (record.wearer, *(sock.wearer for sock in record.socks))
    names = _names(book, [one.name for one in wearers if one is not None])
    told = found | {"session": _bare(found["session"], names)}
    told["events"] = [entry | {"event": _bare_event(entry["event"], names)} for entry in found["events"]]
    filed = session_files.parse(json.dumps(told))
    return session_files.write(filed.session, filed.entries())


def _known(thing: BaseModel) -> dict[str, Any]:
    """A record as JSON without what only a later version knows of it."""
    found: dict[str, Any] = thing.model_dump(mode="json", include=_fields(thing))
    return found


def _fields(value: object) -> Any:
    if isinstance(value, BaseModel):
        return {name: _fields(getattr(value, name)) for name in type(value).model_fields}
    if isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
        return dict(enumerate(map(_fields, value)))
    return True


def _names(book: Logbook, more: Iterable[str] = ()) -> Names:
    """Every name that a wearer or a promise has or had."""
    sql = """SELECT DISTINCT json_extract(body, '$.name') FROM shelf
        WHERE kind IN ('wearer', 'promise') AND json_valid(body)"""
    restated = "SELECT body FROM events WHERE kind = 'restated' AND json_valid(body)"
    values = [event.get("value") for (body,) in book.store.ask(restated) for event in (json.loads(body),)
              if event.get("what") in _PEOPLE]  # fmt: skip
    put_right = [value["name"] for value in values if isinstance(value, dict) and "name" in value]
    return Names([*(name for (name,) in book.store.ask(sql) if name), *put_right, *more])


def _bare(thing: Any, names: Names) -> Any:
    """``thing`` as JSON has it, without what is of people."""
    if isinstance(thing, list):
        return [_bare(one, names) for one in thing]
    if isinstance(thing, dict):
        told = {name: _LEFT_OUT[name] if name in _LEFT_OUT else _bare(value, names) for name, value in thing.items()}
        if told.get("shared"):  # by whom
            told["shared"] = shelf_file.SHARED
        if "foot_rows" in thing:  # a plan, whose id is made of its name
            told |= {"id": f"plan-{sha256(thing['id'].encode()).hexdigest()[:8]}"} | OF_NOBODYS_FEET
        return told
    return names.taken_out(thing) if isinstance(thing, str) else thing


def _bare_event(event: dict[str, Any], names: Names) -> Any:
    told = _bare(event, names)
    if "reason" in event:
        told["reason"] = NOT_TOLD if event["kind"] in _NEEDS_REASON else ""
    if event.get("what") in _PEOPLE:
        told |= {"value": None, "was": ""}
    return told
