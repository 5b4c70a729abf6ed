"""The socks cranked for promised pairs, one by one, as the sessions tell them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from hosewright.craft.workload import Work
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.find.sessions import ask
from hosewright.logbook.records.plain import head_of, start_of
from hosewright.session.events import Abandoned
from hosewright.session.fold import fold
from hosewright.session.pieces import pieces_of
from hosewright.session.results import worn_words
from hosewright.session.standing import standing
from hosewright.session.steps import CountPasses, CountRows, Wait, in_working_yarn, sock_of
from hosewright.session.words import done_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.session.events import Entry
    from hosewright.session.pieces import Piece
    from hosewright.session.state import State
    from hosewright.session.steps import Head

Stage = Literal["not begun", "on the machine", "cranked", "washed", "tried on"]
NOTHING = Work()


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
    for n, kind, promise in ask(book.store, sql):
        if kind == "sock" and promise not in wanted:
            continue
        start, head = start_of_session(book, n)
        if kind == "string" and not wanted.intersection(sock["promise"] for sock in start["socks"]):
            continue
        entries = list(book.store.entries(n))
        state = fold(head, entries)
        gone = _given_up(standing(state.head, entries).entries) if state.abandoned else ""
        _take(found, start, state, gone)
        if kind == "sock" and start["twin_of"] and not state.abandoned:
            firsts[promise, start["twin_of"]] = None
    for promise, session in firsts:
        _take_first_of_twin(book, found[promise], session)
    return found


def _take_first_of_twin(book: Logbook, found: CrankedFor, session: str) -> None:
    """The first sock of a twin is of its pair, though it was cranked before anyone promised it."""
    line = book.store.line(session)
    if line is None or line.kind != "sock":
        return
    start, head = start_of_session(book, line.n)
    if start.get("promise"):
        return
    state = fold(head, book.store.entries(line.n))
    if not state.abandoned:
        found.socks.insert(0, (how_far(state, pieces_of(state)[0]), False))


def start_of_session(book: Logbook, n: int) -> tuple[dict[str, Any], Head]:
    """The start of session ``n`` as plain values, and what the engine needs of it. Raises LogbookError."""
    try:
        start = start_of(book.store.record_text(n))
        return start, head_of(start)
    except ValueError as error:
        raise LogbookError(f"The start of a session cannot be read ({error}).") from error


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
    last = piece.span.start
    for at, step, count in zip(piece.span, piece.steps, piece.counts, strict=True):
        if isinstance(step, CountRows | CountPasses) and in_working_yarn(step):
            last = at
            due = count if at < state.index else max(step.target, count)
            whole += Work(passes=due) if isinstance(step, CountPasses) else Work(due)
    stage, part = _stage(state, piece.span.start, last)
    fit = worn_words(state, piece.number)
    return Sock("tried on" if fit else stage, state.head.id, piece.number, "" if fit else part, done, whole, fit)


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
