"""How far each promised pair is, sock by sock, from the sessions cranked for it. Nothing of it is kept twice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from hosewright.craft.stock import to_mg
from hosewright.craft.workload import Work
from hosewright.logbook.accounts.use import sock_mg, yarn_taken
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.projections import start_of_session
from hosewright.logbook.records.shelf import FROM_NOTEBOOK, Noted, Plan, Wearer, Yarn
from hosewright.logbook.records.year import Lot, Promise
from hosewright.phrases.days import NO_DAY
from hosewright.session.events import Abandoned
from hosewright.session.fold import fold
from hosewright.session.results import pieces_of, worn_words
from hosewright.session.standing import standing
from hosewright.session.steps import CountPasses, CountRows, Wait, in_working_yarn, sock_of
from hosewright.session.steps.tubes import plain_title
from hosewright.session.words import done_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from hosewright.logbook.accounts.use import YarnTaken
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Part
    from hosewright.session.events import Entry
    from hosewright.session.results import Piece
    from hosewright.session.state import State


Stage = Literal["not begun", "on the machine", "cranked", "washed", "tried on"]
NOTHING = Work()


@dataclass(frozen=True, slots=True)
class Sock:
    """One sock of a promised pair.

    ``part`` says what is on the machine, that it dries, or that it is from the notebook; ``fit`` what was said when it
    was tried on. ``done`` and ``whole`` are rows and passes of working yarn. ``session`` is the one it is cranked in,
    ``number`` its place in a string (0: it is none of a string).
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


@dataclass(slots=True)
class CrankedFor:
    """What the sessions hold for one promise, in the order it was begun."""

    socks: list[tuple[Sock, bool]]  # each with whether it is a twin
    spoilt: list[SpoiltSock]


def cranked_for(book: Logbook, wanted: set[str]) -> dict[str, CrankedFor]:
    """What was cranked for each of these promises, by their ids. Raises LogbookError."""
    found = {promise: CrankedFor([], []) for promise in wanted}
    firsts: dict[tuple[str, str], None] = {}
    sql = """SELECT n, kind, json_extract(record, '$.promise') FROM sessions
        WHERE kind = 'string' OR (kind = 'sock' AND instr(record, '"promise":"')) ORDER BY started_ms, n"""
    for n, kind, promise in book.store.ask(sql):
        if kind == "sock" and promise not in wanted:
            continue
        start, head = start_of_session(book.store, n)
        if kind == "string" and not wanted.intersection(sock["promise"] for sock in start["socks"]):
            continue
        entries = list(book.store.entries(n))
        state = fold(head, entries)
        if state.out is not None and not state.out.cranked:
            continue
        gone = _given_up(standing(state.head, entries).entries) if state.abandoned else ""
        _take(found, start, state, gone)
        if kind == "sock" and start["twin_of"] and not state.abandoned:
            firsts[promise, start["twin_of"]] = None
    for promise, session in firsts:
        _take_first_of_twin(book, found[promise], session)
    for noted in reversed(book.shelf(Noted)):
        if noted.promise in found:
            found[noted.promise].socks.insert(0, (_noted_sock(noted), False))
    return found


def _noted_sock(noted: Noted) -> Sock:
    """A sock that was cranked before there was this logbook, and washed since then."""
    whole = _whole(noted.parts) if noted.parts else None
    stage: Stage = "tried on" if noted.worn else "washed"
    return Sock(stage, part=FROM_NOTEBOOK, done=whole or NOTHING, whole=whole, fit=noted.worn)


def _take_first_of_twin(book: Logbook, found: CrankedFor, session: str) -> None:
    """The first sock of a twin is of its pair, though it was cranked before anyone promised it."""
    line = book.store.line(session)
    if line is None or line.kind != "sock":
        return
    start, head = start_of_session(book.store, line.n)
    if start.get("promise"):
        return
    state = fold(head, book.store.entries(line.n))
    if not state.abandoned:
        found.socks.insert(0, (how_far(state, pieces_of(state)[0]), False))


def _given_up(entries: Sequence[Entry]) -> str:
    reasons = [entry.event.reason for entry in entries if isinstance(entry.event, Abandoned)]
    return (reasons[-1] if reasons else "") or "given up"


def _take(found: dict[str, CrankedFor], start: dict[str, Any], state: State, gone: str) -> None:
    """Each sock of a session to the promise it names; what was not begun of a session given up is none."""
    for piece in pieces_of(state):
        named = start["socks"][piece.number - 1] if piece.number else start
        if named["promise"] not in found or piece.standing == "never begun":
            continue
        mine = found[named["promise"]]
        if piece.standing in ("spoilt", "given up"):
            work = Work(piece.rows, piece.passes)
            mine.spoilt.append(SpoiltSock(state.head.id, piece.number, piece.reason or gone, work))
        else:
            is_twin = named["twin"] if piece.number else named["twin_of"]
            mine.socks.append((how_far(state, piece), bool(is_twin)))


def how_far(state: State, piece: Piece) -> Sock:
    """How far this sock of a session is."""
    done, whole = Work(piece.rows, piece.passes), Work()
    last = piece.span[0]
    for at, step, count in zip(piece.span, piece.steps, piece.counts, strict=True):
        if isinstance(step, CountRows | CountPasses) and in_working_yarn(step):
            last = at
            due = count if at < state.index else max(step.target, count)
            whole += Work(passes=due) if isinstance(step, CountPasses) else Work(due)
    stage, part = _stage(state, piece, last)
    fit = worn_words(state, piece.number)
    return Sock("tried on" if fit else stage, state.head.id, piece.number, "" if fit else part, done, whole, fit)


def _stage(state: State, piece: Piece, last: int) -> tuple[Stage, str]:
    step = state.step
    if state.index < piece.span[0]:
        return "not begun", ""
    if state.index <= last:
        assert step is not None
        if piece.number and sock_of(step.id) != piece.number:  # its heel is opened once the string is off
            return "on the machine", "its heel to come"
        name = plain_title(step.title)
        said = f", {done_words(step, state.count)}" if isinstance(step, CountRows | CountPasses) else ""
        return "on the machine", name[0].lower() + name[1:] + said
    dries = next((at for at, one in enumerate(state.head.steps) if isinstance(one, Wait)), len(state.head.steps))
    if state.index < dries:
        own = step is None or sock_of(step.id)  # in a string the next sock may be on the machine
        return "cranked", "" if own or step is None else f"{step.title[0].lower()}{step.title[1:]}"
    return "washed", "drying" if state.index == dries else ""


# --- the pairs --------------------------------------------------------------------------------------------------------


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
    promises.sort(key=lambda one: (one.handed_over is not None or one.retired, one.by or NO_DAY, one.made))
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
    promises.sort(key=lambda one: (one.by or NO_DAY, one.made))
    found = ((pair.promise, sum(map(is_to_begin, pair.socks))) for pair in _pairs_of(book, promises))
    return tuple((promise, socks) for promise, socks in found if socks)


class Loose(NamedTuple):
    """A sock that was cranked for nobody named, on the plan of a pair that still lacks one."""

    session: str
    title: str


_LOOSE = """SELECT s.id, c.title FROM catalogue c JOIN sessions s ON s.n = c.session
    WHERE c.kind = 'sock' AND c.status <> 'abandoned' AND c.left_out = '' AND json_valid(s.record)
        AND json_extract(s.record, '$.plan.id') = ? AND json_extract(s.record, '$.promise') IS NULL
        AND NOT EXISTS (SELECT 1 FROM catalogue t JOIN sessions w ON w.n = t.session
            WHERE t.twin_of = s.id AND json_valid(w.record) AND json_extract(w.record, '$.promise') IS NOT NULL)
    ORDER BY c.began, s.n"""


def loose_socks(book: Logbook, pair: Pair) -> tuple[Loose, ...]:
    """Socks that may be of this pair, as many as it lacks, the first begun first. Raises LogbookError."""
    lacking = sum(map(is_to_begin, pair.socks))
    if pair.plan is None or not lacking:
        return ()
    return tuple(Loose(*row) for row in book.store.ask(_LOOSE, pair.plan.id)[:lacking])


def loose_words(pair: Pair, loose: Loose) -> str:
    """The offer, in a sentence."""
    return f"{loose.title} ({loose.session}) was cranked on the plan of {pair.promise.name} and is of no pair yet."


def is_to_begin(sock: Sock) -> bool:
    """Whether nobody began it, and it hangs in no string."""
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
        first, twin, more = _as_pair(found[one.id].socks, _whole(plan.parts) if plan else None)
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


def _whole(parts: Sequence[Part]) -> Work:
    rows, passes = (sum(part.count for part in parts if part.kind == kind) for kind in ("rows", "passes"))
    return Work(rows, passes)


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
    whole = next((sock.whole for sock in (first, twin) if sock is not None and sock.whole), planned)
    return first or Sock(whole=whole), twin or Sock(whole=whole), tuple(more)


# --- a pair given away, for its care card -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PairGiven:
    """A pair as its care card needs it. ``tube_wash`` is how its gauge tube was washed; empty: that is not noted."""

    id: str
    yarn: Yarn
    wearer: Wearer | None
    plan: Plan | None
    tube_wash: str


def pair_given(book: Logbook, asked: str) -> PairGiven:
    """The promise whose id begins with ``asked`` or that is called so, or the sock session. Raises LogbookError."""
    promises = book.shelf(Promise, retired=True)
    found = [one for one in promises if asked and one.id.startswith(asked)]
    found = found or [one for one in promises if one.name.casefold() == asked.strip().casefold()]
    exact = [one for one in found if one.id == asked]
    if len(exact or found) == 1:
        return given_of_promise(book, (exact or found)[0])
    if found:
        names = ", ".join(one.id for one in found[:5])
        raise LogbookError(f"Several promised pairs match {asked[:40]!r} ({names}); type more of the id.")
    try:
        line = book.store.find(asked)
    except LogbookError as error:
        if not asked or not any(line.id.startswith(asked) for line in book.lines()):
            raise LogbookError(
                f"There is no promised pair and no session {asked[:40]!r} in this logbook; `hosewright pairs` lists "
                "the pairs, `hosewright logbook list` the sessions."
            ) from error
        raise
    return given_of_session(book, book.record(line))


def given_of_promise(book: Logbook, promise: Promise) -> PairGiven:
    """A promised pair. Raises LogbookError when its yarn is nowhere."""
    pair = pair_of(book, promise)
    record = _record_of(book, pair.first.session or pair.twin.session)
    yarn = pair.yarn or (record.yarn if record else None)
    if yarn is None:
        raise LogbookError(f"The yarn of {promise.name} is not in this logbook any more: choose one for it first.")
    plan = pair.plan or (record.plan if record else None)
    return PairGiven(promise.id, yarn, pair.wearer, plan, _tube_wash(book, plan))


def given_of_session(book: Logbook, record: SessionRecord) -> PairGiven:
    """The pair of a sock that was cranked. Raises LogbookError for a session of anything else."""
    if record.kind != "sock":
        what = "a string of several socks" if record.kind == "string" else "no sock"
        raise LogbookError(f"Session {record.id} is {what}: a care card goes with a promised pair or a sock.")
    # What was put right on the shelf since is truer than the copy the sock was begun with.
    yarn = book.get(Yarn, record.yarn.id) or record.yarn
    wearer = (book.get(Wearer, record.wearer.id) or record.wearer) if record.wearer else None
    return PairGiven(record.id, yarn, wearer, record.plan, _tube_wash(book, record.plan))


def _record_of(book: Logbook, session: str) -> SessionRecord | None:
    line = book.store.line(session) if session else None
    return book.record(line) if line else None


def _tube_wash(book: Logbook, plan: Plan | None) -> str:
    """The wash frozen into the session of the gauge tube that the plan was made from."""
    record = _record_of(book, plan.gauge_session or "") if plan else None
    return record.yarn.wash if record else ""


# --- what the yarn of a pair cost: its share of what its lots cost, gram by gram --------------------------------------


@dataclass(frozen=True, slots=True)
class YarnCost:
    """In hundredths: ``so_far`` of what was cranked, spoilt socks too, ``to_come`` of what is still to crank.

    ``in_part``: some of its yarn has no price, or nothing tells how much it is.
    """

    so_far: int
    to_come: int
    in_part: bool

    @property
    def whole(self) -> int:
        return self.so_far + self.to_come


def yarn_cost(book: Logbook, pair: Pair) -> YarnCost | None:
    """What the yarn of ``pair`` cost; None where no lot of it has a price. Raises LogbookError."""
    lots = {lot.id: lot for lot in book.shelf(Lot, retired=True) if lot.price is not None}
    if not lots:
        return None
    so_far = to_come = 0.0
    in_part = any(sock.stage != "not begun" and not sock.session for sock in pair.socks)  # those of the notebook
    over = pair.promise.handed_over is not None or pair.promise.retired
    for taken in _taken_for(book, pair):
        each = _per_mg(lots, taken.lot)
        rest_mg = 0 if over else taken.rest_mg
        in_part |= taken.unknown or (each is None and bool(taken.mg or rest_mg))
        so_far += (each or 0.0) * taken.mg
        to_come += (each or 0.0) * rest_mg
    to_begin = 0 if over else sum(map(is_to_begin, pair.socks))
    if to_begin:
        one_mg = sock_mg(pair.plan, pair.yarn) if pair.plan else None
        each = _per_mg(lots, pair.promise.lot)
        in_part |= one_mg is None or each is None
        to_come += to_begin * (one_mg or 0) * (each or 0.0)
    cost = YarnCost(round(so_far), round(so_far + to_come) - round(so_far), in_part)
    return cost if cost.whole else None


def _per_mg(lots: Mapping[str, Lot], lot_id: str | None) -> float | None:
    lot = lots.get(lot_id or "")
    return lot.price / to_mg(lot.grams) if lot and lot.price is not None else None


def _taken_for(book: Logbook, pair: Pair) -> list[YarnTaken]:
    """What the sessions of a pair took for it, spoilt socks too; the first of a twin may name no promise."""
    sessions = [*(one.session for one in (*pair.socks, *pair.more)), *(one.session for one in pair.spoilt)]
    found = []
    for session in dict.fromkeys(filter(None, sessions)):
        line = book.store.find(session)
        every = yarn_taken(book.record(line), book.store.entries(line.n), yarn=pair.yarn)
        found += [one for one in every if (one.promise or pair.promise.id) == pair.promise.id]
    return found
