"""What the bench shows in one glance, and how it was left: the first frame needs no engine to work it out."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Literal, NamedTuple

from hosewright import __version__
from hosewright.logbook.file.store import LogbookError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.file.store import Store
    from hosewright.session.results import Where

LATELY = 60  # sessions and gauges looked through for what to do next
Doing = Literal["shelf", "search", "tube", "plan", "sock", "open"]


class Unfinished(NamedTuple):
    """An unfinished session: where its work is, and what the hands do next.

    ``since_ms``: since when it dries, or when it was last touched. ``machine`` is that machine's name.
    """

    id: str
    title: str
    machine: str
    where: Where
    hands: str
    since_ms: int
    paused: bool


class Suggestion(NamedTuple):
    """Something to do next; ``session`` when it is to go on with one, ``chosen`` the ids of what it is done with."""

    doing: Doing
    words: str
    session: str = ""
    chosen: tuple[tuple[str, str], ...] = ()


class Glance(NamedTuple):
    """All of it."""

    standing: tuple[Unfinished, ...]
    next: tuple[Suggestion, ...]

    def at(self, where: Where) -> tuple[Unfinished, ...]:
        """The sessions whose work is there."""
        return tuple(item for item in self.standing if item.where == where)


def kept(store: Store) -> Glance | None:
    """The glance as it was when a bench was left; None when anything was stored since, or none was kept."""
    try:
        stood, told = _row(store)
        if stood != mark_of(store):
            return None
        standing, following = json.loads(told)
        return Glance(_standing(standing), tuple(_suggestion(*one) for one in following))
    except (LogbookError, ValueError, TypeError):  # it is worked out anew
        return None


def mark_of(store: Store) -> str:
    """How far all stands that a glance is worked out from: unfinished and newest sessions, gauges, the shelf."""
    far = "n, status, changed_ms, (SELECT max(seq) FROM events WHERE session = n) FROM sessions"
    rows = [
        *store.ask(f"SELECT {far} WHERE status IN ('open', 'waiting') ORDER BY n"),
        *store.ask(f"SELECT {far} ORDER BY changed_ms DESC, n DESC LIMIT ?", LATELY),
        *store.ask("SELECT session, at_ms FROM gauges ORDER BY at_ms DESC, session DESC LIMIT ?", LATELY),
        *store.ask("SELECT count(*) FROM shelf"),
    ]
    return ";".join([__version__, *(",".join(map(str, row)) for row in rows)])


def keep(store: Store, mark: str, glance: Glance) -> None:
    """Keep a glance, if ``mark``, taken before it was worked out, still holds. Raises LogbookError."""
    told = json.dumps(glance, ensure_ascii=False, separators=(",", ":"))
    with store.one_commit() as db:
        if mark == mark_of(store):
            db.execute("INSERT OR REPLACE INTO glance (one, stood, told) VALUES (1, ?, ?)", (mark, told))


def _row(store: Store) -> tuple[str, str]:
    return next(((str(stood), str(told)) for stood, told in store.ask("SELECT stood, told FROM glance")), ("", ""))


def _standing(told: Iterable[Sequence[object]]) -> tuple[Unfinished, ...]:
    """Raises ValueError or TypeError for what a screen could not show."""
    kinds = (str, str, str, str, str, int, bool)
    found = tuple(Unfinished(*one) for one in told)  # type: ignore[arg-type]  # looked over right here
    if any(tuple(map(type, one)) != kinds for one in found) or len({one.id for one in found}) != len(found):
        raise ValueError("no sessions as they were kept")
    return found


def _suggestion(doing: Doing, words: str, session: str, chosen: Iterable[Sequence[str]]) -> Suggestion:
    pairs = tuple((kind, item_id) for kind, item_id in chosen)
    if not all(isinstance(said, str) for said in (doing, words, session, *(part for pair in pairs for part in pair))):
        raise TypeError("no words to show")
    return Suggestion(doing, words, session, pairs)
