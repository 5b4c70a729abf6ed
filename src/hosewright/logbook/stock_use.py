"""What each session took of its yarn: weighed where it was weighed, else by the stitches really cranked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.errors import CraftError
from hosewright.craft.gauge import SCALE_HALF_WIDTH_G, tube_mass
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured, nominal
from hosewright.craft.stock import Basis, Entry, prorated, split, to_mg
from hosewright.craft.yarn import MM_G_PER_TEX, YarnPerStitch, tex_from, yarn_per_stitch
from hosewright.session.events import Pressed, Recounted, Vouched
from hosewright.session.fold import apply
from hosewright.session.state import State
from hosewright.session.stitches import Sock, is_cranked, present_sock, stitches, stitches_planned

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.records import GaugeRecord, Plan, SessionRecord, Yarn
    from hosewright.session.events import Entry as Event


@dataclass(frozen=True, slots=True)
class Work:
    """One sock, tube or search, and the yarn it took.

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
    entries: tuple[Entry, ...]
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

    ``cuts`` are the times its lot was put on the scale, ``marks`` the stitches by sock at each of them and at the end,
    ``last_ms`` when each sock was last cranked. The yarn is as the shelf has it now; ``gauge`` is a tube's own.
    """

    record: SessionRecord
    yarn: Yarn
    gauge: GaugeRecord | None
    state: State
    cuts: Sequence[int]
    marks: list[dict[Sock, int]]
    last_ms: dict[Sock, int]


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


def works(
    record: SessionRecord,
    events: Iterable[Event],
    cuts: Sequence[int] = (),
    yarn: Yarn | None = None,
    gauge: GaugeRecord | None = None,
) -> list[Work]:
    """Everything a session cranked of its yarn.

    ``cuts`` are the times its lot was put on the scale, in order; ``yarn`` is it as the shelf has it now, and
    ``gauge`` what a tube came to.
    """
    session = _walked(record, events, cuts, yarn or record.yarn, gauge)
    return [_work(session, sock) for sock in session.marks[-1]]


def _walked(
    record: SessionRecord, events: Iterable[Event], cuts: Sequence[int], yarn: Yarn, gauge: GaugeRecord | None
) -> _Session:
    state, last_ms, several = State(record.head), dict[Sock, int](), record.kind == "string"
    marks: list[dict[Sock, int]] = []
    for event in events:
        while len(marks) < len(cuts) and event.at_ms > cuts[len(marks)]:
            marks.append(stitches(state))
        apply(state, event)
        if isinstance(event.event, Pressed | Vouched | Recounted):
            last_ms[present_sock(state) if several else (0, 1)] = event.at_ms
    marks += [stitches(state)] * (len(cuts) + 1 - len(marks))
    return _Session(record, yarn, gauge, state, cuts, marks, last_ms)


def _work(session: _Session, sock: Sock) -> Work:
    record, state = session.record, session.state
    place, attempt = sock
    mine = record.socks[place - 1] if record.kind == "string" else None
    spoils = [spoil for spoil in state.spoils if spoil.sock == place]
    spoil = spoils[attempt - 1] if attempt <= len(spoils) else None
    plan = mine.plan if mine else record.plan
    one_mg = sock_mg(plan, session.yarn) if plan and record.kind in ("sock", "string") else None
    mg, basis = _mass(session, sock, one_mg, spoilt=spoil is not None)
    cranked = is_cranked(state, place)
    coming = record.kind in ("sock", "string") and not (spoil or cranked or state.abandoned)
    title = f"sock {place} of {record.title}" if place else record.title
    if spoil:
        title = f"spoilt {title}" + (f": {spoil.reason}" if spoil.reason else "")
    return Work(
        record.id,
        title,
        record.yarn.id,
        record.lot,
        mine.promise if mine else record.promise,
        record.twin_of,
        plan,
        _pieces(session, sock, mg, basis) if mg else (),
        max(0, one_mg - (mg or 0)) if coming and one_mg is not None else 0,
        session.last_ms.get(sock, state.last_ms),
        (mg is None and session.marks[-1][sock] > 0) or (coming and one_mg is None),
        spoil is None and (not state.abandoned or (place > 0 and cranked)),
    )


def _mass(session: _Session, sock: Sock, one_mg: int | None, *, spoilt: bool) -> tuple[int | None, Basis]:
    """The mass of a work in mg and where it is from; None where nothing tells. What was spoilt is not weighed."""
    place, done = sock[0], session.marks[-1][sock]
    masses = [] if spoilt else session.state.values(f"s{place}-mass" if place else "mass")
    if masses:
        return to_mg(masses[-1]), "weighed"
    if session.record.kind == "tube":
        return _by_gauge(session, done), "from the gauge"
    whole = stitches_planned(session.state.head, place)
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


def _pieces(session: _Session, sock: Sock, mg: int, basis: Basis) -> tuple[Entry, ...]:
    """The mass cut at each weighing of the lot, by the stitches cranked by then."""
    total, cuts, about = session.marks[-1][sock], session.cuts, session.record.id
    when = session.last_ms.get(sock, session.state.last_ms)
    if not total:
        return (Entry(when, "used", mg, basis, about),)
    marks: list[int] = []
    for mark in session.marks[:-1]:  # what was pulled back later, and cranked again, was off the ball by then
        marks.append(max([*marks[-1:], min(mark.get(sock, 0), total)]))
    found = []
    for n, piece in enumerate(split(mg, [*marks, total], total)):
        at_ms = min(when, cuts[n]) if n < len(cuts) else when
        if piece:
            found.append(Entry(max(at_ms, cuts[n - 1] + 1) if n else at_ms, "used", piece, basis, about))
    return tuple(found)
