"""What each session took of its yarn: weighed where it was weighed, else by the stitches really cranked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.errors import CraftError
from hosewright.craft.gauge import SCALE_HALF_WIDTH_G, tube_mass
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured, nominal
from hosewright.craft.stock import Basis, LedgerEntry, prorated, split, to_mg
from hosewright.craft.yarn import MM_G_PER_TEX, YarnPerStitch, tex_from, yarn_per_stitch
from hosewright.session.events import Pressed, Recounted, Vouched
from hosewright.session.fold import apply
from hosewright.session.pieces import pieces_of, present_piece
from hosewright.session.state import State
from hosewright.session.steps import id_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.records import GaugeRecord, Plan, Yarn
    from hosewright.logbook.session_record import SessionRecord
    from hosewright.session.events import Entry
    from hosewright.session.pieces import Piece, PieceId


@dataclass(frozen=True, slots=True)
class YarnTaken:
    """A piece a session cranked, and the yarn it took.

    ``entries`` is empty where nothing tells how much (``unknown``). ``rest_mg`` is what it still takes while it is on
    the machine, ``last_ms`` when it was last cranked. ``taken_on``: it is, or will be, one of its promise's socks.
    """

    session: str
    title: str
    yarn: str
    lot: str | None
    promise: str | None
    twin_of: str | None
    plan: Plan | None
    entries: tuple[LedgerEntry, ...]
    rest_mg: int
    last_ms: int
    unknown: bool
    taken_on: bool

    @property
    def mg(self) -> int:
        """What it took, as far as that is known."""
        return sum(entry.mg for entry in self.entries)

    @property
    def weighed(self) -> bool:
        """Whether a scale says so."""
        return any(entry.basis == "weighed" for entry in self.entries)


@dataclass(frozen=True, slots=True)
class _Session:
    """A session from its first event to its last.

    ``cuts`` are the times its lot was put on the scale, ``marks`` the stitches by piece at each of them and at the end,
    ``last_ms`` when each piece was last cranked. The yarn is as the shelf has it now; ``gauge`` is a tube's own.
    """

    record: SessionRecord
    yarn: Yarn
    gauge: GaugeRecord | None
    state: State
    cuts: Sequence[int]
    marks: list[dict[PieceId, int]]
    last_ms: dict[PieceId, int]


def sock_mg(plan: Plan, yarn: Yarn | None) -> int | None:
    """What one sock of a plan takes; None where neither plan nor yarn tells what a metre weighs."""
    if plan.grams_per_pair is not None:
        return to_mg(plan.grams_per_pair / 2)
    if yarn is None or yarn.m_per_100g is None:
        return None
    return to_mg(plan.metres_per_pair / 2 * 100 / yarn.m_per_100g)


def per_stitch(gauge: GaugeRecord, yarn: Yarn | None) -> YarnPerStitch:
    """Yarn in a stitch of this gauge, by both ways where the tube was weighed. Raises CraftError."""
    loop = loop_length_mm(measured(gauge.rows_per_mm, gauge.rows_per_mm_error))
    tex = tex_from("m_per_100g", yarn.m_per_100g) if yarn and yarn.m_per_100g else None
    if gauge.mass_g is None:
        return yarn_per_stitch(loop, tex)
    grams = tube_mass(gauge.mass_g) / (gauge.rows * gauge.slots)
    return yarn_per_stitch(loop, tex, grams, SCALE_HALF_WIDTH_G / gauge.mass_g)


def yarn_taken(
    record: SessionRecord,
    entries: Iterable[Entry],
    cuts: Sequence[int] = (),
    yarn: Yarn | None = None,
    gauge: GaugeRecord | None = None,
) -> list[YarnTaken]:
    """Everything a session cranked of its yarn.

    ``cuts`` are the times its lot was put on the scale, in order; ``yarn`` is it as the shelf has it now, and
    ``gauge`` what a tube came to.
    """
    session = _walked(record, entries, cuts, yarn or record.yarn, gauge)
    return [_of_piece(session, piece) for piece in pieces_of(session.state)]


def _walked(
    record: SessionRecord, entries: Iterable[Entry], cuts: Sequence[int], yarn: Yarn, gauge: GaugeRecord | None
) -> _Session:
    state = State(record.head)
    last_ms: dict[PieceId, int] = {}
    marks: list[dict[PieceId, int]] = []
    for entry in entries:
        while len(marks) < len(cuts) and entry.at_ms > cuts[len(marks)]:
            marks.append(_stitches(state))
        apply(state, entry)
        if isinstance(entry.event, Pressed | Vouched | Recounted):
            last_ms[present_piece(state)] = entry.at_ms
    marks += [_stitches(state)] * (len(cuts) + 1 - len(marks))
    return _Session(record, yarn, gauge, state, cuts, marks, last_ms)


def _stitches(state: State) -> dict[PieceId, int]:
    return {piece.id: piece.stitches for piece in pieces_of(state)}


def _of_piece(session: _Session, piece: Piece) -> YarnTaken:
    record, state, place = session.record, session.state, piece.number
    mine = record.socks[place - 1] if place else None
    plan = mine.plan if mine else record.plan
    is_sock = record.kind in ("sock", "string")
    one_mg = sock_mg(plan, session.yarn) if plan and is_sock else None
    mg, basis = _mass(session, piece, one_mg)
    coming = is_sock and piece.standing in ("ahead", "on the machine")
    title = f"sock {place} of {record.title}" if place else record.title
    if piece.standing == "spoilt":
        title = f"spoilt {title}" + (f": {piece.reason}" if piece.reason else "")
    return YarnTaken(
        record.id,
        title,
        record.yarn.id,
        record.lot,
        mine.promise if mine else record.promise,
        record.twin_of,
        plan,
        _cut_up(session, piece.id, mg, basis) if mg else (),
        max(0, one_mg - (mg or 0)) if coming and one_mg is not None else 0,
        session.last_ms.get(piece.id, state.last_ms),
        (mg is None and session.marks[-1][piece.id] > 0) or (coming and one_mg is None),
        piece.standing in ("ahead", "on the machine", "cranked"),
    )


def _mass(session: _Session, piece: Piece, one_mg: int | None) -> tuple[int | None, Basis]:
    """The mass of a piece in mg and where it is from; None where nothing tells. What was spoilt is not weighed."""
    place, done = piece.number, session.marks[-1][piece.id]
    masses = [] if piece.standing == "spoilt" else session.state.values(id_in(place, "mass"))
    if masses:
        return to_mg(masses[-1]), "weighed"
    if session.record.kind == "tube":
        return _by_gauge(session, done), "from the gauge"
    whole = piece.stitches_planned
    return (prorated(one_mg, done, whole) if one_mg is not None and whole else None), "from the plan"


def _by_gauge(session: _Session, done: int) -> int | None:
    metres = session.yarn.m_per_100g
    if session.gauge is None or metres is None:
        return None
    try:
        mm = nominal(per_stitch(session.gauge, session.yarn).combined_mm)
        return to_mg(mm * tex_from("m_per_100g", metres) * MM_G_PER_TEX * done)
    except CraftError:
        return None  # a count that no yarn has tells nothing


def _cut_up(session: _Session, piece: PieceId, mg: int, basis: Basis) -> tuple[LedgerEntry, ...]:
    """The mass cut at each weighing of the lot, by the stitches cranked by then."""
    total, cuts, about = session.marks[-1][piece], session.cuts, session.record.id
    when = session.last_ms.get(piece, session.state.last_ms)
    if not total:
        return (LedgerEntry(when, "used", mg, basis, about),)
    marks: list[int] = []
    for mark in session.marks[:-1]:  # what was pulled back later, and cranked again, was off the ball by then
        marks.append(max([*marks[-1:], min(mark.get(piece, 0), total)]))
    found = []
    for n, share in enumerate(split(mg, [*marks, total], total)):
        at_ms = min(when, cuts[n]) if n < len(cuts) else when
        if share:
            found.append(LedgerEntry(max(at_ms, cuts[n - 1] + 1) if n else at_ms, "used", share, basis, about))
    return tuple(found)
