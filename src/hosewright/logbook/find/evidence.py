"""What earlier sessions tell when they are read in full: of a wearer's socks, of a tube, and of what is looked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import fmean
from typing import TYPE_CHECKING, NamedTuple, cast, get_args
from weakref import WeakSet

from hosewright.craft import CraftError
from hosewright.craft.correction import MOST_OFF_MM, Length, Round, SockVerdict
from hosewright.craft.doubts import doubts
from hosewright.craft.fit import CylinderSize
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM
from hosewright.craft.units import show_length
from hosewright.logbook.accounts.pace import walked
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.wanted import has_words
from hosewright.logbook.records.shelf import Noted
from hosewright.session.results import choice, tube_gauge, wash_change
from hosewright.session.steps import id_in

if TYPE_CHECKING:
    from hosewright.craft.gauge import Gauge
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import Store
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Cylinder, Plan
    from hosewright.session.state import State


@dataclass(frozen=True, slots=True)
class Worn:
    """The verdicts of every sock a wearer tried on, and amounts that were left out, in words."""

    verdicts: tuple[SockVerdict, ...] = ()
    notes: tuple[str, ...] = ()


def worn_by(book: Logbook, wearer_id: str) -> Worn:
    """Every try-on of socks cranked for this wearer, those of the notebook first, then the oldest.

    Raises LogbookError when one cannot be read.
    """
    theirs_noted = [one for one in book.shelf(Noted) if one.wearer == wearer_id and one.worn]
    theirs_noted.sort(key=lambda one: one.at_ms)
    verdicts = [SockVerdict(length=one.fit_length or None, round=one.fit or None) for one in theirs_noted]
    notes: list[str] = []
    for line in sorted(book.lines(), key=lambda line: (line.started_ms, line.n)):
        if line.kind not in ("sock", "string"):
            continue
        record = book.record(line)
        theirs = {at: sock for at, sock in record.each_sock.items() if sock.wearer and sock.wearer.id == wearer_id}
        if not theirs:
            continue
        state = book.state(line)
        if state.out is not None:
            continue
        for number, sock in theirs.items():
            found, told = verdict_of(record.title, sock.plan, state, number)
            verdicts += [found] if found else []
            notes += told
    return Worn(tuple(verdicts), tuple(notes))


def verdict_of(title: str, plan: Plan, state: State, number: int = 0) -> tuple[SockVerdict | None, tuple[str, ...]]:
    """What was said when a sock of ``plan`` was tried on; None when nothing was.

    ``number`` is its place in a string (see ``SessionRecord.each_sock``). An amount beside "right",
    or larger than a sock can be off, is left out, which the second part says.
    """
    length, round_ = choice(state, id_in(number, "fit-length")), choice(state, id_in(number, "fit"))
    length = length if length in get_args(Length) else None
    round_ = round_ if round_ in get_args(Round) else None
    if length is None and round_ is None:
        return None, ()
    notes: list[str] = []
    return (
        SockVerdict(
            length=cast("Length | None", length),
            length_mm=_amount(state, id_in(number, "fit-length-by"), length, title, notes),
            round=cast("Round | None", round_),
            round_mm=_amount(state, id_in(number, "fit-by"), round_, title, notes),
            planned_length_mm=plan.learnt_length_mm,
            planned_round_mm=plan.learnt_round_mm,
        ),
        tuple(notes),
    )


def _amount(state: State, field: str, said: str | None, title: str, notes: list[str]) -> float | None:
    values = state.values(field)
    if not values:
        return None
    if said in (None, "right") or not 0 < values[-1] <= MOST_OFF_MM:
        how = f"off by {show_length(values[-1], 'mm')} though {said or 'nothing'} was said"
        if said not in (None, "right"):
            how = f"{said} by {show_length(values[-1], 'mm')}, more than a worn sock can be"
        notes.append(f"{title} is noted as {how}: that amount is left out.")
        return None
    return values[-1]


# --- tubes, where the gauge's own numbers are not enough --------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class MeasuredTube:
    """A tube's gauge with its readings, its flat width pulled wide in mm where measured, and what looks wrong."""

    gauge: Gauge
    stretched_width_mm: float | None
    doubts: tuple[str, ...]


def measured_tube(book: Logbook, session_id: str, tape_error_mm: float = TAPE_HALF_WIDTH_MM) -> MeasuredTube | None:
    """The tube of this session; None when it was struck out, left out or given up meanwhile.

    Raises LogbookError when it cannot be read.
    """
    line = book.store.line(session_id)
    if line is None:
        return None
    state = book.state(line)
    if state.abandoned or state.out is not None:
        return None
    try:
        gauge = tube_gauge(state, tape_error_mm)
    except CraftError:
        return None  # its readings cannot be a tube's, so it has no gauge on any list either
    if gauge is None:
        return None
    stretched = state.values("stretched")
    return MeasuredTube(gauge, fmean(stretched) if stretched else None, tube_doubts(book.record(line), state, gauge))


def tube_doubts(record: SessionRecord, state: State, gauge: Gauge) -> tuple[str, ...]:
    """What looks wrong with the gauge of a tube, beside its yarn's count and what the wash did."""
    changes = wash_change(state, "length"), wash_change(state, "width")
    return doubts(gauge, record.yarn.tex, *changes, ribbed=bool(record.rib))


def as_fitted(cylinder: Cylinder | None, slots: int) -> CylinderSize:
    """A cylinder as the arithmetic wants it."""
    return CylinderSize(slots, cylinder.diameter_mm, cylinder.name) if cylinder else CylinderSize(slots)


# --- what only events tell of what is looked for: where the dial stood, the pace, the lots joined on ------------------


_HAVE: WeakSet[Store] = WeakSet()


class Folded(NamedTuple):
    """What a session tells: clicks of the dial as it stood last, usual rows a minute by hand, ids of lots."""

    dial: int | None = None
    pace: float | None = None
    lots: tuple[str, ...] = ()


def add_functions(store: Store) -> None:
    """Let SQL ask for ``dial_of``, ``pace_of`` and ``joined_lots`` of a session, by its number and last event.

    What was folded once is kept as long as the logbook is open, until the session goes on. One that cannot be read
    tells nothing.
    """
    if store in _HAVE:
        return
    _HAVE.add(store)

    @cache
    def told(n: int, last_seq: int) -> Folded:  # noqa: ARG001  # a session that went on is folded again
        try:
            state, paces = walked(store, n)
        except (LogbookError, ValueError):
            return Folded()
        lots = tuple(seen.lot for seen in state.observations if seen.lot and not seen.struck)
        return Folded(state.dial, paces.rows.per_minute if paces.by_hand else None, lots)

    store.db.create_function("has_words", 2, has_words, deterministic=True)
    store.db.create_function("dial_of", 2, lambda n, last_seq: told(n, last_seq).dial)
    store.db.create_function("pace_of", 2, lambda n, last_seq: told(n, last_seq).pace)
    store.db.create_function("joined_lots", 2, lambda n, last_seq: f" {' '.join(told(n, last_seq).lots)} ")
