"""Finding sessions: by words in anything they say, by machine, yarn, wearer, kind, fault and day, in any order.

A list comes a page at a time, each page beginning where the last one ended, so that ten thousand sessions cost
what ten do. Unfinished and waiting sessions stand on top whatever the order.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any, Literal, get_args

from hosewright.logbook.file.errors import LogbookError
from hosewright.session.kinds import KINDS, STATUS_WORDS
from hosewright.session.observations import FAULT_WORDS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.logbook.file.store import Store
    from hosewright.session.events import Fault

PLACES = ("title", "yarn", "machine", "cylinder", "wearer", "verdict", "notes")
FAULT = "fault"  # a place, too, but not of words; "seen" is an older name of it
OLD_NAMES = {"seen": FAULT}
DAYS = ("since", "until", "began")
_PART = re.compile(r'(?:(\w+):)?("[^"]*"?|\S+)')
_DAY = re.compile(r"(\d{4})(?:-(\d{1,2})(?:-(\d{1,2}))?)?")


class FindError(ValueError):
    """What was typed cannot be looked for; the text is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class Sought:
    """One word: an SQLite FTS5 expression (none for ``fault:``), and the faults noted that will do as well."""

    match: str
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to look for: words that must all be found, kinds, standings, and a span of days."""

    words: tuple[Sought, ...] = ()
    kinds: tuple[str, ...] = ()
    statuses: tuple[str, ...] = ()
    since_ms: int | None = None
    before_ms: int | None = None

    @property
    def anything(self) -> bool:
        return self == Wanted()


def read_wanted(text: str, zone_min: int = 0) -> Wanted:
    """What ``text`` asks for; days are those of a place ``zone_min`` minutes ahead of UTC. Raises FindError."""
    wanted = Wanted()
    for place, said in _PART.findall(text):
        place = place.lower()
        wanted = narrowed(wanted, OLD_NAMES.get(place, place), said.strip('"'), zone_min)
    return wanted


def narrowed(wanted: Wanted, place: str, said: str, zone_min: int = 0) -> Wanted:
    """``wanted`` with one more thing asked for; ``place`` is empty for a word anywhere. Raises FindError."""
    if not said.strip():
        return wanted
    if place == "kind":
        return replace(wanted, kinds=(*wanted.kinds, _one_of(KINDS, said, "kind")))
    if place == "status":
        return replace(wanted, statuses=(*wanted.statuses, _one_of(STATUS_WORDS, said, "status")))
    if place in DAYS:
        first, after = _days(said, zone_min)
        since = wanted.since_ms if place == "until" else max(first, wanted.since_ms or first)
        before = wanted.before_ms if place == "since" else min(after, wanted.before_ms or after)
        return replace(wanted, since_ms=since, before_ms=before)
    if place == FAULT:
        return replace(wanted, words=(*wanted.words, *(Sought("", _noted_as(word)) for word in _tokens(said))))
    if place and place not in PLACES:
        said = f"{place}:{said}"  # "10:15" or any other word with a colon in it
    words = tuple(_sought(word, place if place in PLACES else "") for word in _tokens(said))
    return replace(wanted, words=(*wanted.words, *words))


def _tokens(said: str) -> list[str]:
    """The words of ``said`` as the index has them: letters and figures only."""
    return re.findall(r"[^\W_]+", said)


def _sought(word: str, place: str) -> Sought:
    return Sought(f'{f"{place} : " if place else ""}"{word}" *', () if place else faults_called(word))


def faults_called(word: str) -> tuple[Fault, ...]:
    """The faults with a word that begins like this in what the screen calls them; "drops" is "drop" here."""
    begins = word.casefold()
    if len(begins) > 3:
        begins = begins.removesuffix("s")
    return tuple(fault for fault, words in FAULT_WORDS.items() if any(one.startswith(begins) for one in words.split()))


def _noted_as(word: str) -> tuple[Fault, ...]:
    found = faults_called(word)
    if not found:
        raise FindError(f"{FAULT}: is one of {', '.join(FAULT_WORDS.values())}.")
    return found


def _one_of(called: Mapping[str, str], said: str, what: str) -> str:
    """What ``said`` begins the name of: as the lists show it ("given up", also "given-up"), or as it is stored."""
    begins = said.lower().replace("-", " ")
    found = [
        stored for stored, shown in called.items() if shown.lower().startswith(begins) or stored.startswith(begins)
    ]
    if len(found) != 1:
        typed = [shown.lower().replace(" ", "-") for shown in called.values()]
        raise FindError(f"{what}: is one of {', '.join(typed)}.")
    return found[0]


def _days(said: str, zone_min: int) -> tuple[int, int]:
    """The first moment of a day, month or year and the first after it, in ms."""
    fits = _DAY.fullmatch(said)
    year, month, day = (int(part) if part else None for part in fits.groups()) if fits else (0, None, None)
    try:
        first = date(year or 0, 1 if month is None else month, 1 if day is None else day)
        if day:
            after = first + timedelta(days=1)
        elif month:
            after = (first.replace(day=28) + timedelta(days=4)).replace(day=1)
        else:
            after = first.replace(year=first.year + 1)
    except (ValueError, OverflowError):
        raise FindError(f"A day is typed as 2025, 2025-01 or 2025-01-31, not {said[:20]!r}.") from None
    begin, end = ((_midnight(one) - timedelta(minutes=zone_min)).timestamp() for one in (first, after))
    return int(begin * 1000), int(end * 1000)


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


Order = Literal["began", "changed", "title", "yarn", "machine", "cylinder", "wearer", "kind", "status", "verdict"]
ORDERS: tuple[Order, ...] = get_args(Order)
PAGE = 50


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

    def at(self, order: Order) -> int | str:
        """What stands in the column a list is ordered by."""
        return getattr(self, order)  # type: ignore[no-any-return]  # every order is a column of int or str


_COLUMNS = ", ".join({"n": "c.session", "id": "s.id"}.get(field.name, f"c.{field.name}") for field in fields(Found))
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
    for on_top in (1, 0):
        if after is not None and after.on_top < on_top:
            continue  # those on top are all had already
        begin = after if after is not None and after.on_top == on_top else None
        sql, values = page_query(wanted, order, falling=falling, on_top=on_top, after=begin)
        found += [Found(*row) for row in store.ask(f"{sql} LIMIT ?", *values, most - len(found))]
        if len(found) >= most:
            break
    return found


def page_query(
    wanted: Wanted, order: Order, *, falling: bool, on_top: int, after: Found | None
) -> tuple[str, tuple[Any, ...]]:
    """The SQL of one page and its values."""
    if order not in ORDERS:
        raise LogbookError(f"Sessions are not ordered by {order}; there are {', '.join(ORDERS)}.")
    conditions, values = _conditions(wanted)
    conditions.insert(0, "c.on_top = ?")
    values.insert(0, on_top)
    if after is not None:
        conditions.append(f"(c.{order}, c.session) {'<' if falling else '>'} (?, ?)")
        values += [after.at(order), after.n]
    way = "DESC" if falling else "ASC"
    return f"{_LISTED} WHERE {' AND '.join(conditions)} ORDER BY c.{order} {way}, c.session {way}", tuple(values)


def count(store: Store, wanted: Wanted) -> int:
    """How many sessions are wanted. Raises LogbookError."""
    conditions, values = _conditions(wanted)
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    return int(store.ask(f"SELECT count(*) FROM catalogue c{where}", *values)[0][0])


def _conditions(wanted: Wanted) -> tuple[list[str], list[Any]]:
    conditions: list[str] = []
    values: list[Any] = []
    for word in wanted.words:
        ways = []
        if word.match:
            ways.append("c.session IN (SELECT session FROM words WHERE words MATCH ?)")
            values.append(word.match)
        if word.faults:
            marks = ", ".join("?" * len(word.faults))
            ways.append(f"c.session IN (SELECT session FROM seen WHERE fault IN ({marks}) AND NOT struck)")
            values += word.faults
        conditions.append(f"({' OR '.join(ways)})")
    for column, choices in (("kind", wanted.kinds), ("status", wanted.statuses)):
        if choices:
            conditions.append(f"c.{column} IN ({', '.join('?' * len(choices))})")
            values += choices
    if wanted.since_ms is not None:
        conditions.append("c.began >= ?")
        values.append(wanted.since_ms)
    if wanted.before_ms is not None:
        conditions.append("c.began < ?")
        values.append(wanted.before_ms)
    return conditions, values
