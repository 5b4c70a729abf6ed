"""A plan as the logbook keeps it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.errors import CraftError
from hosewright.craft.measured import nominal
from hosewright.logbook.records.shelf import Plan, PlannedCuff, PlannedPart

if TYPE_CHECKING:
    from collections.abc import Collection

    from hosewright.craft.cuffs import Cuff
    from hosewright.logbook.records.shelf import Wearer
    from hosewright.planning.gauges import Knit
    from hosewright.planning.sock import Working
    from hosewright.planning.typed import Typed


def to_plan(plan_id: str, typed: Typed, knit: Knit, wearer: Wearer | None, working: Working) -> Plan:
    """The record to keep of a sock that came out. Raises ValueError when none did."""
    made, values, need = working.made, working.values, working.yarn
    if made is None or values is None or need is None:
        raise CraftError(working.missing or "There is no sock to keep yet.")
    sock = made.sock
    parts = [PlannedPart(name=s.name, kind=s.kind, count=s.count, stitches=s.stitches) for s in sock.sections]
    gauge, learnt = knit.gauge, working.learnt
    return Plan(
        id=plan_id,
        name=typed.name.strip() or usual_name(knit, wearer),
        machine=gauge.machine,
        cylinder=gauge.cylinder,
        yarn=gauge.yarn,
        wearer=wearer.id if wearer else None,
        gauge_session=gauge.session,
        slots=gauge.slots,
        dial=gauge.dial,
        rows_per_mm=gauge.rows_per_mm,
        stitches_per_mm=gauge.stitches_per_mm,
        tube_length_mm=values.tube_mm,
        foot_length_mm=values.foot_mm,
        length_ease_mm=values.ease_mm,
        leg_mm=made.leg_mm,
        hem_rows=values.cuff.rows if values.cuff and values.cuff.kind == "hem" else 0,
        heel_left_in_work=sock.heel.left_in_work,
        toe_left_in_work=sock.toe.left_in_work,
        lowering=values.lowering,
        plain_passes=values.plain_passes,
        reinforced=values.reinforced,
        part_row=values.part_row,
        cuff=_kept(values.cuff),
        extra_heel_rows=made.extra_heel_rows,
        extra_heel_passes=sock.heel.extra_passes,
        dial_changes=made.dial_changes,
        learnt_length_mm=nominal(learnt.length_mm) if learnt else 0.0,
        learnt_round_mm=nominal(learnt.round_mm) if learnt else 0.0,
        parts=tuple(parts),
        foot_rows=sock.foot_rows,
        foot_rows_error=sock.foot_rows_error,
        metres_per_pair=need.metres_per_pair,
        grams_per_pair=need.grams_per_pair,
    )


def _kept(cuff: Cuff | None) -> PlannedCuff | None:
    if cuff is None:
        return None
    return PlannedCuff(kind=cuff.kind, rows=cuff.rows, pattern=cuff.pattern, hung=cuff.hung, selvedge=cuff.selvedge)


def usual_name(knit: Knit | None, wearer: Wearer | None, taken: Collection[str] = ()) -> str:
    """What a plan is called when nobody names it: a pair of socks, for whom, and of which yarn.

    Numbered from the second on, where that name is ``taken``.
    """
    what = f"{knit.yarn.name} socks" if knit and knit.yarn else "Socks"
    name = f"{what} for {wearer.name}"[:64] if wearer else what[:64]
    numbered = (f"{name[:58].rstrip()}, {number}" for number in range(2, len(taken) + 3))
    return next(one for one in (name, *numbered) if one not in taken)
