"""How far each promised pair is, from the sessions cranked for it. Nothing of it is stored a second time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from hosewright.craft.workload import Pace, Work, own_pace
from hosewright.logbook.find import ask
from hosewright.logbook.plain import head_of, start_of
from hosewright.logbook.records import Plan, Wearer, Yarn
from hosewright.logbook.store import LogbookError
from hosewright.logbook.year_records import Lot, Promise
from hosewright.session.events import Abandoned
from hosewright.session.fold import apply, fold
from hosewright.session.pace import Paces
from hosewright.session.results import choice
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, Wait, sock_of
from hosewright.session.strings import socks_of
from hosewright.session.words import done_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.session.events import Entry

Stage = Literal["not begun", "on the machine", "cranked", "washed", "tried on"]
NOTHING = Work()
RECENT = 10  # sock sessions the pace is taken from; our choice


@dataclass(frozen=True, slots=True)
class Sock:
    """One sock of a promised pair.

    ``part`` says what is on the machine, or that it dries; ``fit`` what was said when it was tried on. ``done`` and
    ``whole`` are rows and passes of working yarn. ``session`` is the one it is cranked in, ``number`` its place in a
    string (0: it is none of a string).
    """

    stage: Stage = "not begun"
    session: str = ""
    number: int = 0
    part: str = ""
    done: Work = NOTHING
    whole: Work | None = None
    fit: str = ""

    @property
    def left(self) -> Work | None:
        """What is still to crank; None where nothing tells how much a whole sock is."""
        if self.whole is None:
            return None
        if self.stage not in ("not begun", "on the machine"):
            return Work(socks=int(self.stage == "cranked"))
        return Work(max(0, self.whole.rows - self.done.rows), max(0, self.whole.passes - self.done.passes), 1)


@dataclass(frozen=True, slots=True)
class SpoiltSock:
    """What was cranked for a pair and is no sock of it: given up, or spoilt in a string, for this ``reason``."""

    session: str
    number: int
    reason: str
    done: Work


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
    promises = [one for one in book.shelf(Promise) if one.plan == plan_id and one.handed_over is None]
    promises.sort(key=lambda one: (one.by or "9999", one.made))
    found = _pairs_of(book, promises)
    return tuple(pair.promise for pair in found if any(_is_to_begin(sock) for sock in pair.socks))


def recent_pace(book: Logbook) -> Pace:
    """The knitter's own pace over their last sock sessions, pauses taken out. Raises LogbookError."""
    rows = ask(
        book.store,
        "SELECT n FROM sessions WHERE kind IN ('sock', 'string') ORDER BY changed_ms DESC LIMIT ?",
        (RECENT,),
    )
    found = []
    for (n,) in rows:
        state, paces = State(head_of(_start(book, n))), Paces()
        for entry in book.store.entries(n):
            paces.take(entry, passes=isinstance(state.step, CountPasses))
            apply(state, entry)
        found.append((paces.rows.per_minute, paces.passes.per_minute))
    return own_pace(found)


def _is_to_begin(sock: Sock) -> bool:
    return sock.stage == "not begun" and not sock.session


# --- from the sessions ------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Cranked:
    """What the sessions hold for one promise, in the order it was begun."""

    socks: list[tuple[Sock, bool]]  # each with whether it is a twin
    spoilt: list[SpoiltSock]


def _pairs_of(book: Logbook, promises: Sequence[Promise]) -> tuple[Pair, ...]:
    if not promises:
        return ()
    wearers = {item.id: item for item in book.shelf(Wearer, retired=True)}
    yarns = {item.id: item for item in book.shelf(Yarn, retired=True)}
    lots = {item.id: item for item in book.shelf(Lot, retired=True)}
    plans = {item.id: item for item in book.shelf(Plan, retired=True)}
    found = _cranked_for(book, {one.id for one in promises})
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


def _cranked_for(book: Logbook, wanted: set[str]) -> dict[str, _Cranked]:
    found = {promise: _Cranked([], []) for promise in wanted}
    sql = """SELECT n, kind, json_extract(record, '$.promise') FROM sessions
        WHERE kind = 'string' OR (kind = 'sock' AND instr(record, '"promise":"')) ORDER BY started_ms, n"""
    for n, kind, promise in ask(book.store, sql):
        if kind == "sock" and promise not in wanted:
            continue
        start = _start(book, n)
        if kind == "string" and not wanted.intersection(sock["promise"] for sock in start["socks"]):
            continue
        entries = list(book.store.entries(n))
        state = fold(head_of(start), entries)
        gone = _given_up(entries) if state.abandoned else ""
        if kind == "sock":
            _take_sock(found[promise], start, state, gone)
        else:
            _take_string(found, start, state, gone)
    return found


def _start(book: Logbook, n: int) -> dict[str, Any]:
    try:
        return start_of(book.store.record_text(n))
    except ValueError as error:
        raise LogbookError(f"The start of a session cannot be read ({error}).") from error


def _given_up(entries: Sequence[Entry]) -> str:
    reasons = [entry.event.reason for entry in entries if isinstance(entry.event, Abandoned)]
    return (reasons[-1] if reasons else "") or "given up"


def _take_sock(found: _Cranked, start: dict[str, Any], state: State, gone: str) -> None:
    sock = _standing(state, range(len(state.head.steps)))
    if state.abandoned:
        found.spoilt.append(SpoiltSock(sock.session, 0, gone, sock.done))
    else:
        found.socks.append((sock, bool(start["twin_of"])))


def _take_string(found: dict[str, _Cranked], start: dict[str, Any], state: State, gone: str) -> None:
    """Each sock of a string; of one given up, what was cranked whole stays a sock and what was not begun is none."""
    for one in socks_of(state):
        named = start["socks"][one.number - 1]
        if named["promise"] not in found:
            continue
        mine = found[named["promise"]]
        work = Work(one.rows, one.passes)
        if one.standing == "spoilt":
            mine.spoilt.append(SpoiltSock(state.head.id, one.number, one.reason, work))
        elif state.abandoned and one.standing == "on the machine":
            mine.spoilt.append(SpoiltSock(state.head.id, one.number, gone, work))
        elif not (state.abandoned and one.standing == "ahead"):
            mine.socks.append((_standing(state, state.span_of(one.number), one.number), bool(named["twin"])))


def _standing(state: State, span: range, number: int = 0) -> Sock:
    """How far the sock cranked in the steps of ``span`` is."""
    steps = state.head.steps
    done, whole = Work(), Work()
    last = span.start
    for at in span:
        step, count = steps[at], state.counts[at]
        if isinstance(step, CountPasses) or (isinstance(step, CountRows) and step.yarn == "working"):
            last = at
            due = count if at < state.index else max(step.target, count)
            done += Work(passes=count) if isinstance(step, CountPasses) else Work(count)
            whole += Work(passes=due) if isinstance(step, CountPasses) else Work(due)
    stage, part = _stage(state, span.start, last)
    prefix = f"s{number}-" if number else ""
    fit = ", ".join(
        f"{said} {where}"
        for name, where in (("fit", "round the foot"), ("fit-length", "in length"))
        if (said := choice(state, prefix + name)) is not None
    )
    return Sock("tried on" if fit else stage, state.head.id, number, "" if fit else part, done, whole, fit)


def _stage(state: State, start: int, last: int) -> tuple[Stage, str]:
    step = state.step
    if state.index < start:
        return "not begun", ""
    if state.index <= last:
        assert step is not None
        name = step.title.partition(", sock ")[0]
        said = f", {done_words(step, state.count)}" if isinstance(step, CountRows | CountPasses) else ""
        return "on the machine", name[0].lower() + name[1:] + said
    dries = next((at for at, one in enumerate(state.head.steps) if isinstance(one, Wait)), len(state.head.steps))
    if state.index < dries:
        own = step is None or sock_of(step.id)  # in a string the next sock may be on the machine
        return "cranked", "" if own or step is None else f"{step.title[0].lower()}{step.title[1:]}"
    return "washed", "drying" if state.index == dries else ""
