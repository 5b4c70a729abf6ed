"""What each session took of its yarn: weighed where it was weighed, else by the stitches really cranked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.colours import show_colour
from hosewright.craft.gauge import SCALE_HALF_WIDTH_G, tube_mass
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured, nominal
from hosewright.craft.stock import Basis, LedgerEntry, prorated, split, to_mg
from hosewright.craft.yarn import MM_G_PER_TEX, YarnPerStitch, tex_from, yarn_per_stitch
from hosewright.logbook.records.planned import record_name, stripes
from hosewright.session.events import Amended, Pressed, Recounted, Vouched
from hosewright.session.fold import apply, fold
from hosewright.session.observations import joined
from hosewright.session.results import pieces_of, present_piece
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.session.steps import id_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import GaugeRecord, Plan, Yarn
    from hosewright.session.events import Entry
    from hosewright.session.results import Piece, PieceId


@dataclass(frozen=True, slots=True)
class YarnTaken:
    """A piece a session cranked, and the yarn it took from a lot.

    ``entries`` is empty where nothing tells how much (``unknown``). ``rest_mg`` is what it still takes while it is on
    the machine, ``last_ms`` when it was last cranked. ``taken_on``: it is, or will be, one of its promise's socks.
    ``split``: a ball of another lot was joined on in it. What came off each lot is then told apart, and the last one
    stands for the piece.
    """

    session: str
    title: str
    yarn: str
    lot: str | None
    entries: tuple[LedgerEntry, ...]
    last_ms: int
    unknown: bool
    promise: str | None = None
    twin_of: str | None = None
    plan: Plan | None = None
    rest_mg: int = 0
    taken_on: bool = False
    split: bool = False

    @property
    def mg(self) -> int:
        """What it took, as far as that is known."""
        return sum(entry.mg for entry in self.entries)

    @property
    def weighed(self) -> bool:
        return any(entry.basis == "weighed" for entry in self.entries)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A session up to where one of its lots was put on the scale (``weighed_ms``), or a ball joined on, or to its end.

    ``lot`` is the one the yarn came off, ``stitches`` those of each piece by the end of it.
    """

    lot: str | None
    stitches: dict[PieceId, int]
    weighed_ms: int | None = None


@dataclass(frozen=True, slots=True)
class _Session:
    """A session from its first event to its last.

    ``last_ms`` is when each piece was last cranked off each lot. The yarn is as the shelf has it now; ``gauge`` is a
    tube's own.
    """

    record: SessionRecord
    yarn: Yarn
    gauge: GaugeRecord | None
    state: State
    stretches: Sequence[_Stretch]
    last_ms: dict[tuple[PieceId, str | None], int]

    def last_of(self, piece: PieceId) -> int:
        return max((at_ms for (its, _), at_ms in self.last_ms.items() if its == piece), default=self.state.last_ms)

    def done(self, piece: PieceId) -> int:
        return self.stretches[-1].stitches[piece]


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
    tex = yarn.tex if yarn else None
    if gauge.mass_g is None or gauge.rows is None:
        return yarn_per_stitch(loop, tex)
    grams = tube_mass(gauge.mass_g) / (gauge.rows * gauge.slots)
    return yarn_per_stitch(loop, tex, grams, SCALE_HALF_WIDTH_G / gauge.mass_g)


def yarn_taken(
    record: SessionRecord,
    entries: Iterable[Entry],
    weighed: Mapping[str, Iterable[int]] | None = None,
    yarn: Yarn | None = None,
    gauge: GaugeRecord | None = None,
) -> list[YarnTaken]:
    """Everything a session cranked of its yarn.

    ``weighed`` are the times each lot was put on the scale; ``yarn`` is it as the shelf has it now, and ``gauge`` what
    a tube came to.
    """
    stands = standing(record.head, entries)
    if stands.state.out is not None and not stands.state.out.cranked:
        return []
    # A row undone took no yarn.
    session = _walked(record, stands.entries, weighed or {}, yarn or record.yarn, gauge)
    pieces = pieces_of(session.state)
    thread = [taken for piece in pieces for taken in _of_thread(session, piece)]
    thread += [taken for piece in pieces for taken in _of_colours(session, piece)]
    return [*(taken for piece in pieces for taken in _of_piece(session, piece)), *thread]


def thread_metres(plan: Plan, stitches: int) -> float:
    """Metres of a yarn that goes along in so many stitches: as long as the yarn of the sock in them."""
    return plan.metres_per_pair / 2 * stitches / max(1, sum(part.stitches for part in plan.parts))


def _of_thread(session: _Session, piece: Piece) -> list[YarnTaken]:
    """What the reinforcing yarn of a piece took of its own lot; nothing where none was named.

    A weighing of that lot in the middle of a piece has the whole piece after it.
    """
    record, stitches = session.record, piece.reinforced
    plan = _plan_of(record, piece)
    if record.thread is None or plan is None or not stitches:
        return []
    metres = record.thread.m_per_100g
    mg = None if metres is None else to_mg(thread_metres(plan, stitches) * 100 / metres)
    when = session.last_of(piece.id)
    return [
        YarnTaken(
            session=record.id,
            title=f"heel and toe of {_title(record, piece)}",
            yarn=record.thread.id,
            lot=record.thread_lot,
            entries=(LedgerEntry(when, "used", mg, "from the plan", record.id),) if mg else (),
            last_ms=when,
            unknown=mg is None,
        )
    ]


def coloured(record: SessionRecord, piece: Piece, *, planned: bool = False) -> dict[str, float]:
    """What share of a piece is of each stripe that has a lot of its own, by colour; nothing without any."""
    plan = _plan_of(record, piece)
    own = stripes(plan) if plan and record.colour_lots else None
    if own is None:
        return {}
    stitches = piece.by_colour(own.at(0), planned=planned)
    whole = max(1, sum(stitches.values()))
    return {one.colour: stitches.get(one.colour, 0) / whole for one in record.colour_lots}


def _of_colours(session: _Session, piece: Piece) -> list[YarnTaken]:
    """What a piece took of the lots of its stripes: their share of it, by their stitches, as of yarns of one weight.

    A weighing of such a lot in the middle of a piece has the whole piece after it.
    """
    record = session.record
    shares = coloured(record, piece)
    one_mg = _one_mg(session, piece)
    mg, basis = _mass(session, piece, one_mg)
    coming = piece.standing in ("ahead", "on the machine")
    whole_shares = coloured(record, piece, planned=True)
    when, title = session.last_of(piece.id), _title(record, piece)
    found = []
    for one in record.colour_lots:
        share, planned = shares.get(one.colour, 0.0), whole_shares.get(one.colour, 0.0)
        if not planned and not share:
            continue
        took = round((mg or 0) * share)
        found.append(
            YarnTaken(
                session=record.id,
                title=f"{show_colour(one.colour)} of {title}",
                yarn=one.yarn.id,
                lot=one.lot,
                entries=(LedgerEntry(when, "used", took, basis, record.id),) if took else (),
                last_ms=when,
                unknown=(mg is None and share > 0) or (coming and one_mg is None),
                rest_mg=max(0, round(one_mg * planned) - took) if coming and one_mg is not None else 0,
            )
        )
    return found


def _plan_of(record: SessionRecord, piece: Piece) -> Plan | None:
    return record.socks[piece.number - 1].plan if piece.number else record.plan


def _one_mg(session: _Session, piece: Piece) -> int | None:
    """What one whole sock of the piece's plan takes, mg; None where that is not known, and for a tube."""
    plan = _plan_of(session.record, piece)
    return sock_mg(plan, session.yarn) if plan and session.record.kind in ("sock", "string") else None


def _title(record: SessionRecord, piece: Piece) -> str:
    name = record_name(record, piece.number)
    return f"{name} {piece.number} of {record.title}" if piece.number else record.title


def _walked(
    record: SessionRecord,
    entries: Sequence[Entry],
    weighed: Mapping[str, Iterable[int]],
    yarn: Yarn,
    gauge: GaugeRecord | None,
) -> _Session:
    lots = _joined_lots(record, entries)
    cuts = sorted({at_ms for lot in {record.lot, *lots.values()} for at_ms in weighed.get(lot or "", ())})
    state, lot = State(record.head), record.lot
    last_ms: dict[tuple[PieceId, str | None], int] = {}
    stretches: list[_Stretch] = []
    for entry in entries:
        while cuts and entry.at_ms > cuts[0]:
            stretches.append(_Stretch(lot, _stitches(state), cuts.pop(0)))
        if entry.seq in lots:
            stretches.append(_Stretch(lot, _stitches(state)))
            lot = lots[entry.seq]
        apply(state, entry)
        if isinstance(entry.event, Pressed | Vouched) or (isinstance(entry.event, Recounted) and not entry.event.step):
            last_ms[present_piece(state), lot] = entry.at_ms
    stretches += [_Stretch(lot, _stitches(state), at_ms) for at_ms in cuts]
    stretches.append(_Stretch(lot, _stitches(state)))
    return _Session(record, yarn, gauge, state, stretches, last_ms)


def _joined_lots(record: SessionRecord, entries: Sequence[Entry]) -> dict[int, str]:
    """The lot of every ball joined on, by the number of the event it was seen with."""
    if not any(isinstance(entry.event, Amended) and entry.event.lot for entry in entries):
        return {}
    return {seen.seq: seen.lot for seen in joined(fold(record.head, entries))}


def _stitches(state: State) -> dict[PieceId, int]:
    return {piece.id: piece.stitches for piece in pieces_of(state)}


def _of_piece(session: _Session, piece: Piece) -> list[YarnTaken]:
    """What a piece took of each lot it came off; the last one stands for the piece."""
    record, place = session.record, piece.number
    mine = record.socks[place - 1] if place else None
    plan = _plan_of(record, piece)
    is_sock = record.kind in ("sock", "string")
    one_mg = _one_mg(session, piece)
    mg, basis = _mass(session, piece, one_mg)
    if mg is not None:  # what has a lot of its own is booked there
        mg -= sum(round(mg * share) for share in coloured(record, piece).values())
    if one_mg is not None:
        one_mg -= sum(round(one_mg * share) for share in coloured(record, piece, planned=True).values())
    coming = is_sock and piece.standing in ("ahead", "on the machine")
    title = _title(record, piece)
    if piece.standing == "spoilt":
        title = f"spoilt {title}" + (f": {piece.reason}" if piece.reason else "")
    lots = _lots_of(session, piece.id, to_the_end=coming)
    cut = _cut_up(session, piece.id, mg, basis) if mg else ()
    whole = YarnTaken(
        record.id,
        title,
        record.yarn.id,
        lots[-1],
        tuple(entry for lot, entry in cut if lot == lots[-1]),
        session.last_of(piece.id),
        (mg is None and session.done(piece.id) > 0) or (coming and one_mg is None),
        mine.promise if mine else record.promise,
        record.twin_of,
        plan,
        max(0, one_mg - (mg or 0)) if coming and one_mg is not None else 0,
        piece.standing in ("ahead", "on the machine", "cranked"),
        len(lots) > 1,
    )
    others = [
        replace(
            whole,
            lot=lot,
            entries=tuple(entry for its, entry in cut if its == lot),
            rest_mg=0,
            last_ms=session.last_ms.get((piece.id, lot), whole.last_ms),
            unknown=mg is None,
            taken_on=False,
        )
        for lot in lots[:-1]
    ]
    return [*others, whole]


def _lots_of(session: _Session, piece: PieceId, *, to_the_end: bool) -> list[str | None]:
    """The lots a piece came off, each once, the last one last; ``to_the_end``: it goes on with the present one."""
    done, found = 0, [] if to_the_end or session.done(piece) else [session.stretches[-1].lot]
    for stretch in session.stretches:
        stitches = min(stretch.stitches.get(piece, 0), session.done(piece))
        if stitches > done:
            done = stitches
            found.append(stretch.lot)
    if to_the_end:
        found.append(session.stretches[-1].lot)
    return list(dict.fromkeys(reversed(found)))[::-1]


def _mass(session: _Session, piece: Piece, one_mg: int | None) -> tuple[int | None, Basis]:
    """The mass of a piece in mg and where it is from; None where nothing tells. What was spoilt is not weighed."""
    place, done = piece.number, session.done(piece.id)
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


def _cut_up(session: _Session, piece: PieceId, mg: int, basis: Basis) -> tuple[tuple[str | None, LedgerEntry], ...]:
    """The mass cut at each weighing, and where a ball was joined on, by the stitches cranked by then; with its lot."""
    total, about = session.done(piece), session.record.id
    when = session.last_of(piece)
    if not total:
        return ((session.stretches[-1].lot, LedgerEntry(when, "used", mg, basis, about)),)
    marks: list[int] = []
    for stretch in session.stretches:  # what was pulled back later, and cranked again, was off the ball by then
        marks.append(max([*marks[-1:], min(stretch.stitches.get(piece, 0), total)]))
    found = []
    for n, share in enumerate(split(mg, marks, total)):
        before = [one.weighed_ms for one in session.stretches[:n] if one.weighed_ms is not None]
        next_ms = next((one.weighed_ms for one in session.stretches[n:] if one.weighed_ms is not None), when)
        at_ms = min(when, next_ms)
        if share:
            placed = max(at_ms, before[-1] + 1) if before else at_ms
            found.append((session.stretches[n].lot, LedgerEntry(placed, "used", share, basis, about)))
    return tuple(found)
