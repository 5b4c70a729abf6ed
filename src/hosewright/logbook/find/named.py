"""Everything in the logbook that is called up by its name: sessions, yarns, plans and wearers.

Read by SQL into tuples, since it is read each time someone begins to look for a name: ten thousand sessions take 30 ms.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from hosewright.logbook.file.store import Store


class NamedSession(NamedTuple):
    """A session; ``began`` in ms since 1970, UTC."""

    id: str
    title: str
    kind: str
    status: str
    began: int
    zone_min: int
    twin_of: str | None
    yarn_id: str


class NamedThing(NamedTuple):
    """A yarn, a plan or a wearer that is in use; ``kind`` says which."""

    kind: str
    id: str
    name: str


_SESSIONS = """SELECT s.id, c.title, c.kind, c.status, c.began, c.zone_min, c.twin_of, c.yarn_id
    FROM catalogue c JOIN sessions s ON s.n = c.session ORDER BY c.on_top DESC, c.changed DESC"""
# The latest revision of each. What cannot be read has no name to be called by.
_THINGS = """SELECT kind, id, json_extract(body, '$.name') AS name FROM shelf s
    WHERE kind IN ('yarn', 'plan', 'wearer') AND json_valid(body) AND NOT coalesce(json_extract(body, '$.retired'), 0)
        AND revision = (SELECT max(revision) FROM shelf l WHERE l.kind = s.kind AND l.id = s.id) AND name IS NOT NULL
    ORDER BY kind, name COLLATE NOCASE"""


def yarns_noted(store: Store) -> set[str]:
    """The yarns that the notebook tells of, by their ids, so that they have a card. Raises LogbookError."""
    sql = "SELECT DISTINCT json_extract(body, '$.yarn') FROM shelf WHERE kind = 'noted' AND json_valid(body)"
    return {yarn for (yarn,) in store.ask(sql)}


def sessions_named(store: Store) -> list[NamedSession]:
    """Every session, the unfinished first, then the one changed last. Raises LogbookError."""
    return [NamedSession(*row) for row in store.ask(_SESSIONS)]


def things_named(store: Store) -> list[NamedThing]:
    """Every yarn, plan and wearer in use. Raises LogbookError."""
    return [NamedThing(kind, item, str(name)) for kind, item, name in store.ask(_THINGS)]
