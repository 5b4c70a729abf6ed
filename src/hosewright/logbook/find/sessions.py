"""Finding sessions, in any order, by what is wanted of them (``wanted``), and all that is called up by its name.

A list comes a page at a time, each page beginning where the last one ended, so that ten thousand sessions cost
what ten do. Unfinished and waiting sessions stand on top whatever the order.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, get_args

from hosewright.craft.tubes import tube_name
from hosewright.logbook.file.errors import LogbookError
from hosewright.session.kinds import KINDS, kind_of
from hosewright.session.steps.tubes import MIXED, called

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from hosewright.logbook.file.store import Store
    from hosewright.logbook.find.wanted import Wanted

Order = Literal["began", "changed", "title", "yarn", "machine", "cylinder", "wearer", "kind", "status", "verdict"]
ORDERS: tuple[Order, ...] = get_args(Order)
PAGE = 50
_AT_ONCE = 500
_MADE = """SELECT n, json_extract(record, '$.plan'), json_extract(record, '$.socks') FROM sessions
    WHERE json_valid(record)"""
_SOCK_OF_STRING = re.compile(r"\bsock ([1-9][0-9]?)\b")


@dataclass(frozen=True, slots=True)
class Found:
    """A session as a list shows it. ``on_top``: unfinished or waiting; ``left_out``: why it is left out of gauges.

    Times in ms since 1970, UTC.
    """

    n: int
    id: str
    on_top: int
    began: int
    changed: int
    title: str
    yarn: str
    machine: str
    cylinder: str
    wearer: str
    kind: str
    status: str
    verdict: str
    yarn_id: str
    slots: int
    zone_min: int
    twin_of: str | None
    left_out: str
    called: str = "sock"  # what a sock is; read beside the catalogue, of those on a page alone

    @property
    def kind_words(self) -> str:
        """Its kind as lists name it: what is cranked to a plan is called what it is."""
        return called(kind_of(self.kind, self.twin_of), self.called)

    def at(self, order: Order) -> int | str:
        """What stands in the column a list is ordered by."""
        return getattr(self, order)  # type: ignore[no-any-return]  # every order is a column of int or str


_READ = tuple(field.name for field in fields(Found) if field.name != "called")
_COLUMNS = ", ".join({"n": "c.session", "id": "s.id"}.get(name, f"c.{name}") for name in _READ)
_LISTED = f"SELECT {_COLUMNS} FROM catalogue c JOIN sessions s ON s.n = c.session"


def find(
    store: Store,
    wanted: Wanted,
    order: Order = "began",
    *,
    falling: bool = True,
    after: Found | None = None,
    most: int = PAGE,
) -> list[Found]:
    """The next ``most`` sessions that are ``wanted``, those on top first; ``after`` is the last one had already.

    Raises LogbookError.
    """
    found: list[Found] = []
    _add_functions(store, wanted)
    for on_top in (1, 0):
        if after is not None and after.on_top < on_top:
            continue  # those on top are all had already
        begin = after if after is not None and after.on_top == on_top else None
        sql, values = page_query(wanted, order, falling=falling, on_top=on_top, after=begin)
        found += [Found(*row) for row in store.ask(f"{sql} LIMIT ?", *values, most - len(found))]
        if len(found) >= most:
            break
    each = _names_of_each(store, [one.n for one in found if one.kind in ("sock", "string")])
    return [_with_names(one, each[one.n]) if one.n in each else one for one in found]


def _with_names(one: Found, names: Sequence[str]) -> Found:
    """``one`` with what all in it are called, and each in the words of how those of a string fit."""

    def name(found: re.Match[str]) -> str:
        at = int(found[1])
        return f"{names[at - 1] if at <= len(names) else 'sock'} {at}"

    verdict = _SOCK_OF_STRING.sub(name, one.verdict) if one.kind == "string" else one.verdict
    return replace(one, called=one_name(names), verdict=verdict)


def one_name(names: Sequence[str]) -> str:
    """What all of these are called together; without any a sock."""
    every = {*names} or {"sock"}
    return every.pop() if len(every) == 1 else MIXED


def names_of(store: Store, which: Sequence[int]) -> dict[int, str]:
    """What a knitter calls what is cranked in the sessions of these numbers, by their plans. Raises LogbookError."""
    return {n: one_name(names) for n, names in _names_of_each(store, which).items()}


def names_made(plan: dict[str, Any] | None, socks: Sequence[dict[str, Any]] | None) -> list[str]:
    """What each that is cranked by a session's plan, or as the socks of a string, is called; read from its JSON."""
    names: list[str] = []
    for one in [plan] if plan else [sock["plan"] for sock in socks or ()]:
        parts = (part["name"] for part in one.get("parts", ()))
        names.append(tube_name(one.get("heel", "short-row"), one.get("end", "toe"), one.get("leg_mm") or 0.0, parts))
    return names


def _names_of_each(store: Store, which: Sequence[int]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for at in range(0, len(which), _AT_ONCE):
        some = which[at : at + _AT_ONCE]
        for n, plan, socks in store.ask(f"{_MADE} AND n IN ({', '.join('?' * len(some))})", *some):
            names = names_made(json.loads(plan) if plan else None, json.loads(socks) if socks else None)
            if names:
                found[n] = names
    return found


def look_through(store: Store, wanted: Wanted, order: Order = "began", *, falling: bool = True) -> Iterator[int]:
    """Fold what must be folded to tell, a session at a time, until a page is found; each time how many are read.

    What is folded is kept, so that ``find`` is quick then. Raises LogbookError.
    """
    found = 0
    _add_functions(store, wanted)
    for on_top in (1, 0):
        sql, values = page_query(wanted.at_once, order, falling=falling, on_top=on_top, after=None)
        conditions, of = wanted.conditions()
        fits = f"SELECT 1 FROM catalogue c WHERE c.session = ? AND {' AND '.join(conditions)}"
        for read, row in enumerate(store.ask(sql, *values), 1):
            found += len(store.ask(fits, row[0], *of))
            if found >= PAGE:
                return
            yield read


def page_query(
    wanted: Wanted, order: Order, *, falling: bool, on_top: int, after: Found | None
) -> tuple[str, tuple[Any, ...]]:
    """The SQL of one page and its values."""
    if order not in ORDERS:
        raise LogbookError(f"Sessions cannot be ordered by {order}; there are {', '.join(ORDERS)}.")
    conditions, values = wanted.conditions()
    conditions.insert(0, "c.on_top = ?")
    values.insert(0, on_top)
    if after is not None:
        conditions.append(f"(c.{order}, c.session) {'<' if falling else '>'} (?, ?)")
        values += [after.at(order), after.n]
    way = "DESC" if falling else "ASC"
    return f"{_LISTED} WHERE {' AND '.join(conditions)} ORDER BY c.{order} {way}, c.session {way}", tuple(values)


def count(store: Store, wanted: Wanted) -> int:
    """How many sessions are wanted. Raises LogbookError."""
    _add_functions(store, wanted)
    conditions, values = wanted.conditions()
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    return int(store.ask(f"SELECT count(*) FROM catalogue c{where}", *values)[0][0])


def _add_functions(store: Store, wanted: Wanted) -> None:
    if wanted.terms:
        from hosewright.logbook.find.evidence import add_functions  # the engine, a sixth of a bare first frame

        add_functions(store)


LEAST_ALIKE = 3  # with fewer, sessions that are less alike say more; ours
MOST_ALIKE = 30  # the newest; each is read in full; ours
MOST_STRINGS = 200  # the newest; each start must be read to know whose its socks are; ours
SockOf = tuple[str, int]  # a session's id, and of a string the place of the sock in it, else 0

# Every finished session that is not left out, a string sock by sock; whose, by the ids of now.
_DONE = "c.status = 'finished' AND c.on_top = 0 AND c.left_out = ''"
_WHOSE = "json_extract(sock.value, '$.wearer.id')"
_EACH = f"""
    SELECT s.id, 0 AS sock, c.kind, c.wearer_id, c.yarn_id, c.slots, c.began FROM catalogue c
    JOIN sessions s ON s.n = c.session WHERE {_DONE}
    UNION ALL SELECT c.id, sock.key + 1, 'sock', coalesce(
        (SELECT now FROM called WHERE kind = 'wearer' AND id = {_WHOSE}), {_WHOSE}), c.yarn_id, c.slots, c.began
    FROM (SELECT s.id, s.record, c.yarn_id, c.slots, c.began FROM catalogue c JOIN sessions s ON s.n = c.session
        WHERE {_DONE} AND c.kind = 'string' AND json_valid(s.record) ORDER BY c.began DESC LIMIT {MOST_STRINGS}) c,
        json_each(c.record, '$.socks') sock"""


def others_like(store: Store, session_id: str, whose: tuple[str, str] | None = None) -> tuple[list[SockOf], str]:
    """The newest finished sessions to hold one against, and what they have in common, in words.

    Tubes of its yarn, or socks for its wearer, those of strings among them; where these are too few, on as many slots,
    else any of its kind. None that is left out, and nothing of the session itself. ``whose``: the id and name of the
    wearer of the sock of a string that is held against others, empty for nobody. Raises LogbookError.
    """
    ((kind, wearer_id, wearer, yarn_id, yarn, slots),) = store.ask(
        "SELECT c.kind, c.wearer_id, c.wearer, c.yarn_id, c.yarn, c.slots FROM catalogue c"
        " JOIN sessions s ON s.n = c.session WHERE s.id = ?",
        session_id,
    )
    if whose is not None:
        kind, (wearer_id, wearer) = "sock", whose
    named = f"{KINDS[kind].lower()}s"
    narrower = [("slots = ?", slots, f"{named} on {slots} slots"), ("kind = ?", kind, named)]
    if kind in ("tube", "search"):
        narrower.insert(0, ("yarn_id = ?", yarn_id, f"{named} of {yarn}"))
    elif wearer_id:
        narrower.insert(0, ("wearer_id = ?", wearer_id, f"{named} for {wearer}"))
    found, words = list[SockOf](), named
    for condition, value, words in narrower:  # noqa: B007 - the last of them
        sql = f"SELECT id, sock FROM ({_EACH}) WHERE kind = ? AND id <> ? AND {condition} ORDER BY began DESC, sock"
        found = store.ask(f"{sql} LIMIT ?", kind, session_id, value, MOST_ALIKE)
        if len(found) >= LEAST_ALIKE:
            break
    return found, words.replace("s ", " ", 1).removesuffix("s") if len(found) == 1 else words


# --- what is called up by its name: in tuples, ten thousand sessions are read in 30 ms whenever someone looks ---------


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
