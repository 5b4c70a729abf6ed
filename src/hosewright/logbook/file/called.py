"""What things on the shelf are called by now: those that were renamed, and those entered twice that are one.

A session keeps the names it was begun with. Everything that lists, finds or gathers goes by the present ones, and by
the id that stands for both. Nothing is rewritten for it: the table ``called`` and the lists are worked out from the
revisions of the shelf, and come out otherwise when two things are parted again.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any, NamedTuple

from hosewright.logbook.file.lists import TURNS_OUT

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterable, Mapping

KINDS = ("machine", "cylinder", "yarn", "wearer")
LONGEST_TITLE = 80  # characters
EVERY_NAME = """SELECT kind, id, json_extract(body, '$.name') FROM shelf
    WHERE kind IN ('machine', 'cylinder', 'yarn', 'wearer') AND json_valid(body) ORDER BY kind, id, revision"""


def kind_of(cls: type) -> str:
    """The name the shelf keeps a record by."""
    return cls.__name__.lower()


class Called(NamedTuple):
    """By which id something goes now, its name, and what else it was called, with commas between."""

    now: str
    name: str
    was: str


Names = dict[tuple[str, str], Called]


def names_now(db: sqlite3.Connection) -> Names:
    """All that is called otherwise now than it once was, by kind and id."""
    return {(kind, item): Called(*told) for kind, item, *told in db.execute("SELECT * FROM called")}


def work_out_names(db: sqlite3.Connection) -> None:
    """Let the lists go by the names things have by now. Call inside a commit that changed the shelf."""
    before, after = names_now(db), _by_shelf(db)
    if before == after:
        return
    db.execute("DELETE FROM called")
    db.executemany("INSERT INTO called VALUES (?, ?, ?, ?, ?)", [(*key, *told) for key, told in after.items()])
    touched: set[int] = set()
    for kind, item in {key for key in before.keys() | after.keys() if before.get(key) != after.get(key)}:
        ids = {item, *(names[kind, item].now for names in (before, after) if (kind, item) in names)}
        more = " OR kind = 'string'" if kind == "wearer" else ""  # each of its socks has a wearer
        marks = ", ".join("?" * len(ids))
        touched |= {
            n for (n,) in db.execute(f"SELECT session FROM catalogue WHERE {kind}_id IN ({marks}){more}", (*ids,))
        }
    show_by_name(db, touched)


def show_by_name(db: sqlite3.Connection, sessions: Iterable[int]) -> None:
    """Let the lists show these sessions by the names things have now. Call inside a commit."""
    names = names_now(db)
    for n in sessions:
        (text,) = db.execute("SELECT record FROM sessions WHERE n = ?", (n,)).fetchone()
        try:
            start = json.loads(text)
        except ValueError:
            continue
        db.execute("UPDATE sessions SET title = ? WHERE n = ?", (title_now(start, names), n))
        for statement in TURNS_OUT:
            db.execute(statement, {"session": n})
        _show_gauge(db, n, start, names)


def _show_gauge(db: sqlite3.Connection, n: int, start: Mapping[str, Any], names: Names) -> None:
    ids = {}
    for kind in ("machine", "cylinder", "yarn"):
        item = start[kind]["id"]
        ids[kind] = names[kind, item].now if (kind, item) in names else item
    db.execute(
        "UPDATE gauges SET yarn = :yarn, cylinder = :cylinder, body = json_set(body, '$.yarn', :yarn,"
        " '$.cylinder', :cylinder, '$.machine', :machine) WHERE session = :session",
        {**ids, "session": n},
    )


def title_now(start: Mapping[str, Any], names: Names) -> str:
    """The title of a stored start with the names of now."""
    pairs = []
    for kind in KINDS:
        thing = start.get(kind)
        told = names.get((kind, thing["id"])) if thing else None
        if thing and told:
            pairs.append((thing["name"], told.name))
    return renamed(str(start["title"]), pairs)


def renamed(title: str, pairs: Iterable[tuple[str, str]]) -> str:
    """A title with each old name in it, whole, replaced by its new one."""
    for old, new in pairs:
        title = re.sub(rf"(?<!\w){re.escape(old)}(?!\w)", new.replace("\\", r"\\"), title)
    return title[:LONGEST_TITLE]


def with_ids_now(text: str, names: Names) -> str:
    """A thing of the shelf as JSON, naming others by the ids they go by now."""
    told = json.loads(text)
    for kind in KINDS:
        item = told.get(kind)
        if isinstance(item, str) and (kind, item) in names:
            told[kind] = names[kind, item].now
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


def names_in(rows: Iterable[tuple[str, str, Any]]) -> dict[tuple[str, str], list[str]]:
    """The names each thing had one after the other, by kind and id, out of the rows of ``EVERY_NAME``."""
    names: dict[tuple[str, str], list[str]] = {}
    for kind, item, name in rows:
        own = names.setdefault((kind, item), [])
        if str(name) not in own[-1:]:
            own.append(str(name))
    return names


def _by_shelf(db: sqlite3.Connection) -> Names:
    """The same, worked out from every revision of the shelf."""
    names = names_in(db.execute(EVERY_NAME))
    into = _merged(db)
    found = {}
    for (kind, item), own in names.items():
        now = item
        seen = {item}
        while (kind, now) in into and into[kind, now] not in seen and (kind, into[kind, now]) in names:
            now = into[kind, now]
            seen.add(now)
        name = names[kind, now][-1]
        was = dict.fromkeys(one for one in reversed(own) if one != name)
        if was or now != item:
            found[kind, item] = Called(now, name, ", ".join(was))
    return found


def _merged(db: sqlite3.Connection) -> dict[tuple[str, str], str]:
    """What each thing that was entered twice really is."""
    rows = db.execute("""
        SELECT json_extract(body, '$.what'), json_extract(body, '$.thing'), json_extract(body, '$.into') FROM shelf s
        WHERE kind = 'same' AND json_valid(body) AND NOT coalesce(json_extract(body, '$.retired'), 0)
            AND revision = (SELECT max(revision) FROM shelf l WHERE l.kind = s.kind AND l.id = s.id) ORDER BY id""")
    return {(what, thing): into for what, thing, into in rows}
