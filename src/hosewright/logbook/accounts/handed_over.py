"""What is known of a pair that is handed over, gathered for its care card."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.logbook.accounts.pairs import pair_of
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.shelf import Plan, Wearer, Yarn
from hosewright.logbook.records.year import Promise

if TYPE_CHECKING:
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord


@dataclass(frozen=True, slots=True)
class Handed:
    """A pair as its care card needs it. ``tube_wash`` is how its gauge tube was washed; empty: that is not noted."""

    id: str
    yarn: Yarn
    wearer: Wearer | None
    plan: Plan | None
    tube_wash: str


def handed(book: Logbook, asked: str) -> Handed:
    """The promise whose id begins with ``asked`` or that is called so, or the sock session. Raises LogbookError."""
    promises = book.shelf(Promise, retired=True)
    found = [one for one in promises if asked and one.id.startswith(asked)]
    found = found or [one for one in promises if one.name.casefold() == asked.strip().casefold()]
    exact = [one for one in found if one.id == asked]
    if len(exact or found) == 1:
        return of_promise(book, (exact or found)[0])
    if found:
        names = ", ".join(one.id for one in found[:5])
        raise LogbookError(f"Several promised pairs are like {asked[:40]!r} ({names}); type more of the id.")
    try:
        line = book.store.find(asked)
    except LogbookError as error:
        if book.store.line(asked) is None and not _begins(book, asked):
            raise LogbookError(
                f"There is no promised pair and no session {asked[:40]!r} in this logbook; `hosewright pairs` lists "
                "the pairs, `hosewright logbook list` the sessions."
            ) from error
        raise
    return of_session(book, book.record(line))


def of_promise(book: Logbook, promise: Promise) -> Handed:
    """A promised pair. Raises LogbookError when its yarn is nowhere."""
    pair = pair_of(book, promise)
    record = _record_of(book, pair.first.session or pair.twin.session)
    yarn = pair.yarn or (record.yarn if record else None)
    if yarn is None:
        raise LogbookError(f"The yarn of {promise.name} is not in this logbook any more: choose one for it first.")
    plan = pair.plan or (record.plan if record else None)
    return Handed(promise.id, yarn, pair.wearer, plan, _tube_wash(book, plan))


def of_session(book: Logbook, record: SessionRecord) -> Handed:
    """The pair of a sock that was cranked. Raises LogbookError for a session of anything else."""
    if record.kind != "sock":
        what = "a string of several socks" if record.kind == "string" else "no sock"
        raise LogbookError(f"Session {record.id} is {what}: a care card goes with a promised pair or a sock.")
    # What was put right on the shelf since is truer than the copy the sock was begun with.
    yarn = book.get(Yarn, record.yarn.id) or record.yarn
    wearer = (book.get(Wearer, record.wearer.id) or record.wearer) if record.wearer else None
    return Handed(record.id, yarn, wearer, record.plan, _tube_wash(book, record.plan))


def _begins(book: Logbook, asked: str) -> bool:
    return bool(asked) and any(line.id.startswith(asked) for line in book.lines())


def _record_of(book: Logbook, session: str) -> SessionRecord | None:
    line = book.store.line(session) if session else None
    return book.record(line) if line else None


def _tube_wash(book: Logbook, plan: Plan | None) -> str:
    """The wash frozen into the session of the gauge tube that the plan was made from."""
    record = _record_of(book, plan.gauge_session or "") if plan else None
    return record.yarn.wash if record else ""
