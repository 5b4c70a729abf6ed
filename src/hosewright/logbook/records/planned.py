"""From a kept plan back to what the craft and the session need: its cuff, its turnings, its steps."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hosewright.craft import heels
from hosewright.craft.cuffs import Cuff, make_cuff
from hosewright.craft.heels import HeelAs, PartRow, turn_heel
from hosewright.craft.measured import measured
from hosewright.craft.ribs import Rib, RibGauge, make_rib
from hosewright.craft.sock import Section
from hosewright.craft.stripes import Stripes, read_stripes
from hosewright.craft.tubes import TubeName, tube_name
from hosewright.craft.turning import Side, Turning
from hosewright.session.kinds import SEPARATOR_ROWS, kind_of
from hosewright.session.procedures import PIECES, SockParts, steps_of
from hosewright.session.results import cranked
from hosewright.session.steps.tubes import MIXED, called

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Plan
    from hosewright.session.state import State
    from hosewright.session.steps import Step


def cuff(plan: Plan) -> Cuff | None:
    """The cuff of a plan; None for none, or for a plan kept before there were any but hung hems.

    Raises CraftError when it cannot be knitted on these slots.
    """
    kept = plan.cuff
    if kept is None:
        return None
    return make_cuff(
        kept.kind, plan.slots, kept.rows, kept.pattern, hung=kept.hung, selvedge=kept.selvedge, allow_uneven=True
    )


def rib(plan: Plan) -> Rib | None:
    """The ribs of a plan's leg and instep; None for a plain one. Raises CraftError."""
    kept = plan.rib
    if kept is None:
        return None
    return make_rib(plan.slots, kept.pattern, kept.way, instep=kept.instep, heel_needles=turnings(plan)[0].needles)


def rib_gauge(plan: Plan) -> RibGauge | None:
    """What the ribbed tube said that a plan's ribs were planned by; None for a plain sock, or without such a tube."""
    kept = plan.rib
    if kept is None or kept.rows_per_mm is None or kept.stitches_per_mm is None:
        return None
    return RibGauge(kept.pattern, measured(kept.rows_per_mm), measured(kept.stitches_per_mm), kept.stretched_mm)


def stripes(plan: Plan) -> Stripes | None:
    """The stripes of a plan, None for none. Raises CraftError."""
    return read_stripes(plan.stripes) if plan.stripes else None


def needs_ribber(plan: Plan) -> bool:
    """Whether any part of it is knitted with a ribber."""
    return (plan.cuff is not None and plan.cuff.kind == "ribber") or (plan.rib is not None and plan.rib.way == "ribber")


def name_of(plan: Plan) -> TubeName:
    """What a knitter calls it."""
    return tube_name(plan.heel, plan.end, plan.leg_mm or 0.0, (part.name for part in plan.parts))


def record_kind(record: SessionRecord, sock: int = 0) -> str:
    """The kind of a session in words, or of a ``sock`` of a string; what is cranked to a plan is called what it is."""
    if sock:
        return record_name(record, sock).capitalize()
    return called(kind_of(record.kind, record.twin_of), record_name(record))


def record_name(record: SessionRecord, sock: int = 0) -> str:
    """What a knitter calls what is cranked, or one ``sock`` of a string; of all of a string what each is called."""
    return name_of_all([one.plan for number, one in record.each_sock.items() if sock in (0, number)])


def name_of_all(plans: Iterable[Plan]) -> str:
    """What all that is made by these plans is called; without any a sock."""
    names = {name_of(plan) for plan in plans} or {"sock"}
    return names.pop() if len(names) == 1 else MIXED


def turned(plan: Plan, carrier: Side = "left") -> tuple[Turning | None, Turning | None]:
    """Heel and toe of a plan, None for what it has not. Raises CraftError."""
    if plan.heel != "none":
        return turnings(plan, carrier)
    return None, _toe(plan, carrier) if plan.end == "toe" else None


def turnings(plan: Plan, carrier: Side = "left") -> tuple[Turning, Turning]:
    """Heel and toe of a plan; ``carrier`` is the end of the heel half where it comes in. Raises CraftError."""
    heel = turn_heel(
        HeelAs(plan.heel, plan.heel_needles, plan.gusset),
        plan.slots,
        plan.heel_left_in_work,
        plan.lowering,
        plan.plain_passes,
        carrier,
        plan.extra_heel_passes,
    )
    # Rows go on from where the heel left the carrier; waste yarn leaves it where it was.
    ends = heel.carrier if plan.heel == "afterthought" else heel.ends
    return heel, _toe(plan, ends)


def _toe(plan: Plan, carrier: Side) -> Turning:
    return Turning(plan.slots // 2, plan.toe_left_in_work, plan.lowering, plan.plain_passes, carrier)


def sections(plan: Plan, cranked_in: State | None = None) -> tuple[Section, ...]:
    """The parts of a plan; with a state, the rows of every part that is behind it are those really cranked."""
    counts: dict[str, int] = {}
    if cranked_in is not None:
        done = {step.id for step in cranked_in.head.steps[: cranked_in.index]}
        every = cranked(cranked_in)
        for part in plan.parts:
            pieces = [name for name in (part.name, *(part.name + piece for piece in PIECES)) if name in every]
            if pieces and done.issuperset(pieces):  # a hem or cuff in pieces is behind it only when all of them are
                split = sum(into > 0 for into, _ in part_rows(plan)) if part.name == "foot" else 0
                counts[part.name] = sum(every[name] for name in pieces) + split
    found = []
    for part in plan.parts:
        count = counts.get(part.name, part.count) if part.kind == "rows" else part.count
        if count:
            found.append(Section(part.name, part.kind, count, part.stitches * count // part.count))
    return tuple(found)


def steps(
    plan: Plan, sections: Sequence[Section], separator_rows: int = SEPARATOR_ROWS, carrier: Side = "left"
) -> tuple[Step, ...]:
    """The steps of a sock of this plan with ``sections`` (a twin's are those its first sock really has).

    ``carrier`` is the end of the heel half where it comes in. Raises CraftError.
    """
    return steps_of(sock_parts(plan, sections, carrier), separator_rows)


def sock_parts(plan: Plan, sections: Sequence[Section], carrier: Side = "left") -> SockParts:
    """What a sock of this plan with ``sections`` is made of. Raises CraftError."""
    heel, toe = turned(plan, carrier)
    parts = SockParts(
        tuple(sections),
        heel,
        toe,
        cuff(plan),
        reinforced=plan.reinforced,
        stripes=stripes(plan),
        called=name_of(plan),
    )
    if heel is None:
        return replace(parts, end=plan.end)
    return replace(
        parts,
        dial_changes=plan.dial_changes,
        part_rows=part_rows(plan),
        rib=rib(plan),
        afterthought=plan.heel == "afterthought",
    )


def part_rows(plan: Plan) -> tuple[PartRow, PartRow]:
    """The stitches that lead into heel and toe, and those that complete the row after each (see ``heels.part_rows``).

    Raises CraftError for more than a row has.
    """
    return heels.part_rows(plan.part_row, *turnings(plan), plan.slots)
