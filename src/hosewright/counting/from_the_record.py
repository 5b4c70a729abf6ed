"""What the logbook knows that helps at the crank: needles to watch, yarn still to come. Read when it is opened."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate
from math import ceil
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.stock import MG_PER_G, prorated, to_mg
from hosewright.logbook.accounts.care import faults_by_needle
from hosewright.logbook.accounts.troubles import bed_of
from hosewright.logbook.accounts.use import sock_mg
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.records.year import Lot
from hosewright.session.results import pieces_of, present_piece
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, in_working_yarn
from hosewright.words.troubles import times

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord

MOST_WATCHED = 4  # needles in one line; ours


@dataclass(frozen=True, slots=True)
class Watched:
    """A needle that faulted before on this cylinder, and what it did in words."""

    needle: int
    words: str


class YarnAhead:
    """How much of its yarn the present sock has taken and still takes, and how much those after it.

    Stitches are looked up once a step; from row to row it is one multiplication. Masses in mg.
    """

    def __init__(
        self,
        socks: Mapping[int, int | None],
        later: Mapping[int, int],
        core_g: float | None,
        basis: str = "by the plan",
    ) -> None:
        """By a sock's place in the string (0 outside one) what it takes, and what the socks after it take.

        ``basis`` says what that is known by.
        """
        self._socks, self._later, self.core_g, self.basis = socks, later, core_g, basis
        self._step: tuple[int, int] = (-1, 0)
        self._before, self._planned = 0, 0
        self._each: Sequence[int] = ()  # stitches by passes done; of rows those of one

    def taken_of(self, state: State) -> tuple[int, int] | None:
        """What the sock on the machine has taken so far, and takes in all; None where nothing tells."""
        whole = self._socks.get(state.sock)
        if whole is None:
            return None
        if self._step != (state.index, len(state.spoils)):
            self._look_up(state)
        if not self._planned:
            return None
        n = state.count
        here = self._each[min(n, len(self._each) - 1)] if len(self._each) > 1 else sum(self._each) * n
        try:
            return prorated(whole, self._before + here, self._planned), whole
        except CraftError:
            return None

    def later(self, state: State) -> int:
        return self._later.get(state.sock, 0)

    def stop_at_g(self, state: State) -> int | None:
        """What a ball must still read when this sock comes off, in whole g, for the socks after it; its core included.

        None where no sock comes after it.
        """
        later = self.later(state)
        return ceil(later / MG_PER_G + (self.core_g or 0.0)) if later else None

    def _look_up(self, state: State) -> None:
        self._step = (state.index, len(state.spoils))
        piece = next((one for one in pieces_of(state) if one.id == present_piece(state)), None)
        if piece is None:
            self._planned = 0
            return
        if state.index not in piece.span:  # past all that is cranked of it
            self._before, self._planned, self._each = piece.stitches, piece.stitches_planned, ()
            return
        at, step = piece.span.index(state.index), state.step
        none, one = (piece.with_count(at, n).stitches for n in (0, 1))
        self._before, self._planned = none, piece.stitches_planned
        self._each = (one - none,)
        if isinstance(step, CountPasses) and in_working_yarn(step):
            self._each = (0, *accumulate(len(done.in_work) for done in step.turning.passes()))


@dataclass(frozen=True, slots=True)
class FromTheRecord:
    """What was read when a session was opened."""

    watched: tuple[Watched, ...] = ()
    yarn: YarnAhead | None = None


def read_record(book: Logbook, record: SessionRecord) -> FromTheRecord:
    """Read what the crank can use of the logbook; what cannot be read is left out, since a count needs none of it."""
    try:
        return FromTheRecord(watched(book, record), yarn_ahead(book, record))
    except LogbookError:
        return FromTheRecord()


def watched(book: Logbook, record: SessionRecord) -> tuple[Watched, ...]:
    """The needles that faulted most on this machine's cylinder, those surely bad first. Raises LogbookError."""
    hits: dict[int, int] = {}
    words: dict[int, list[str]] = {}
    surely: set[int] = set()
    for kind in faults_by_needle(book.store, bed_of(record)):
        surely |= {suspect.needle for suspect in kind.suspects}
        for needle, count in kind.counts:
            hits[needle] = hits.get(needle, 0) + count
            words.setdefault(needle, []).append(f"{kind.fault} {times(count)}")
    order = sorted(hits, key=lambda needle: (needle not in surely, -hits[needle], needle))
    return tuple(Watched(needle, ", ".join(words[needle])) for needle in sorted(order[:MOST_WATCHED]))


def yarn_ahead(book: Logbook, record: SessionRecord) -> YarnAhead | None:
    """The yarn of the socks of this session, by their plans; None where there is no sock. Raises LogbookError."""
    socks = {place: sock_mg(sock.plan, record.yarn) for place, sock in record.each_sock.items()}
    if not socks:
        return None
    basis = "by the plan"
    if (weighed := _as_first(book, record)) is not None:
        socks, basis = {0: weighed}, "as the first took"
    if 0 in socks:
        later = {0: 0 if record.twin_of else socks[0] or 0}
    else:
        later = {place: sum(mg or 0 for other, mg in socks.items() if other > place) for place in socks}
    lot = book.get(Lot, record.lot) if record.lot else None
    balls = lot, book.get(Yarn, record.yarn.id)
    core_g = next((one.core_g for one in balls if one is not None and one.core_g is not None), None)
    return YarnAhead(socks, later, core_g, basis)


def _as_first(book: Logbook, record: SessionRecord) -> int | None:
    """What a twin takes by its first sock, in mg; None where that was not weighed, or there is none."""
    line = book.store.line(record.twin_of) if record.twin_of else None
    if line is None:
        return None
    first = book.state(line)
    masses = first.values("mass")
    (was,), (planned,) = pieces_of(first), pieces_of(State(record.head))
    if not masses or not was.stitches:
        return None
    return prorated(to_mg(masses[-1]), planned.stitches_planned, was.stitches)
