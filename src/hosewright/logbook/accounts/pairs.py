"""How far each promised pair is, from the sessions cranked for it. Nothing of it is stored a second time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.workload import OwnPace, Work, own_pace
from hosewright.logbook.accounts.pair_socks import Sock, SpoiltSock, cranked_for, start_of_session
from hosewright.logbook.find.sessions import ask
from hosewright.logbook.records.shelf import Plan, Wearer, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.session.fold import apply
from hosewright.session.pace import Paces
from hosewright.session.state import State
from hosewright.session.steps import CountPasses

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.book import Logbook

RECENT = 10  # sock sessions the pace is taken from; our choice


@dataclass(frozen=True, slots=True)
class Pair:
    """A promise with all it names, and how far its two socks are. ``more`` are socks cranked beyond the pair."""

    promise: Promise
    wearer: Wearer | None
    yarn: Yarn | None
    lot: Lot | None
    plan: Plan | None
    first: Sock
    twin: Sock
    spoilt: tuple[SpoiltSock, ...] = ()
    more: tuple[Sock, ...] = ()

    @property
    def socks(self) -> tuple[Sock, Sock]:
        """Both."""
        return self.first, self.twin

    @property
    def left(self) -> Work | None:
        """What is still to crank of the pair; None where nothing tells how much it is."""
        if self.promise.handed_over or self.promise.retired:
            return Work()
        first, twin = self.first.left, self.twin.left
        return None if first is None or twin is None else first + twin

    @property
    def next_sock(self) -> Sock | None:
        """The sock to crank next: one on the machine, else one not begun; None when both are cranked."""
        for stage in ("on the machine", "not begun"):
            found = next((sock for sock in self.socks if sock.stage == stage), None)
            if found is not None:
                return found
        return None


def pairs(book: Logbook, *, old: bool = False) -> tuple[Pair, ...]:
    """Every pair promised, the one due first on top, those without a day last.

    Without ``old``, only those neither handed over nor called off. Raises LogbookError.
    """
    promises = [one for one in book.shelf(Promise, retired=old) if old or one.handed_over is None]
    promises.sort(key=lambda one: (one.handed_over is not None or one.retired, one.by or "9999", one.made))
    return _pairs_of(book, promises)


def pair_of(book: Logbook, promise: Promise) -> Pair:
    """How far this one is. Raises LogbookError."""
    return _pairs_of(book, [promise])[0]


def open_for(book: Logbook, plan_id: str) -> tuple[Promise, ...]:
    """Promises on this plan with a sock still to begin, the one due first on top. Raises LogbookError."""
    return tuple(promise for promise, _ in to_begin(book, plan_id))


def to_begin(book: Logbook, plan_id: str = "") -> tuple[tuple[Promise, int], ...]:
    """Promises with a sock still to begin, on one plan or any, and how many, the one due first on top.

    Raises LogbookError.
    """
    promises = [
        one for one in book.shelf(Promise) if one.plan and plan_id in ("", one.plan) and one.handed_over is None
    ]
    promises.sort(key=lambda one: (one.by or "9999", one.made))
    found = ((pair.promise, sum(map(_is_to_begin, pair.socks))) for pair in _pairs_of(book, promises))
    return tuple((promise, socks) for promise, socks in found if socks)


def recent_pace(book: Logbook) -> OwnPace:
    """The knitter's own pace over their last sock sessions, pauses taken out. Raises LogbookError."""
    rows = ask(
        book.store,
        "SELECT n FROM sessions WHERE kind IN ('sock', 'string') ORDER BY changed_ms DESC LIMIT ?",
        (RECENT,),
    )
    found = []
    for (n,) in rows:
        state, paces = State(start_of_session(book, n)[1]), Paces()
        for entry in book.store.entries(n):
            paces.take(entry, passes=isinstance(state.step, CountPasses))
            apply(state, entry)
        found.append((paces.rows.per_minute, paces.passes.per_minute))
    return own_pace(found)


def _is_to_begin(sock: Sock) -> bool:
    return sock.stage == "not begun" and not sock.session


def _pairs_of(book: Logbook, promises: Sequence[Promise]) -> tuple[Pair, ...]:
    if not promises:
        return ()
    wearers = {item.id: item for item in book.shelf(Wearer, retired=True)}
    yarns = {item.id: item for item in book.shelf(Yarn, retired=True)}
    lots = {item.id: item for item in book.shelf(Lot, retired=True)}
    plans = {item.id: item for item in book.shelf(Plan, retired=True)}
    found = cranked_for(book, {one.id for one in promises})
    made = []
    for one in promises:
        plan = plans.get(one.plan or "")
        first, twin, more = _as_pair(found[one.id].socks, _whole(plan) if plan else None)
        made.append(
            Pair(
                promise=one,
                wearer=wearers.get(one.wearer or ""),
                yarn=yarns.get(one.yarn),
                lot=lots.get(one.lot or ""),
                plan=plan,
                first=first,
                twin=twin,
                spoilt=tuple(found[one.id].spoilt),
                more=more,
            )
        )
    return tuple(made)


def _whole(plan: Plan) -> Work:
    """One sock of a plan."""
    return Work(
        sum(part.count for part in plan.parts if part.kind == "rows"),
        sum(part.count for part in plan.parts if part.kind == "passes"),
    )


def _as_pair(socks: Iterable[tuple[Sock, bool]], planned: Work | None) -> tuple[Sock, Sock, tuple[Sock, ...]]:
    """First sock, twin, and what is beyond; a twin not begun yet is as long as its first really is."""
    first: Sock | None = None
    twin: Sock | None = None
    more = []
    for sock, is_twin in socks:
        if first is None and not (is_twin and twin is None):
            first = sock
        elif twin is None:
            twin = sock
        else:
            more.append(sock)
    whole = next((sock.whole for sock in (first, twin) if sock is not None), planned)
    return first or Sock(whole=whole), twin or Sock(whole=whole), tuple(more)
