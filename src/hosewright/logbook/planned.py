"""From a kept plan back to what the craft and the session need: its cuff, its turnings, its steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.cuffs import Cuff, hung_hem, mock_rib, picot_edge, ribber_rib, rolled_edge
from hosewright.craft.turning import Turning
from hosewright.session.procedures import SEPARATOR_ROWS, sock_steps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.sock import Section
    from hosewright.logbook.records import Plan
    from hosewright.session.steps import Step


def cuff(plan: Plan) -> Cuff | None:
    """The cuff of a plan; None for none, or for a plan kept before there were any but hung hems.

    Raises CraftError when it cannot be knitted on these slots.
    """
    kept = plan.cuff
    if kept is None:
        return None
    if kept.kind == "hem":
        return hung_hem(plan.slots, kept.rows)
    if kept.kind == "picot":
        return picot_edge(plan.slots, kept.rows)
    if kept.kind == "rolled":
        return rolled_edge(plan.slots, kept.rows)
    if kept.kind == "ribber":
        return ribber_rib(plan.slots, kept.pattern, kept.rows)
    return mock_rib(plan.slots, kept.pattern, kept.rows, hung=kept.hung, allow_uneven=True)


def turnings(plan: Plan) -> tuple[Turning, Turning]:
    """Heel and toe of a plan. Raises CraftError."""
    needles = plan.slots // 2
    return (
        Turning(needles, plan.heel_left_in_work, plan.lowering, plan.plain_passes, extra_passes=plan.extra_heel_passes),
        Turning(needles, plan.toe_left_in_work, plan.lowering, plan.plain_passes),
    )


def steps(plan: Plan, sections: Sequence[Section], separator_rows: int = SEPARATOR_ROWS) -> tuple[Step, ...]:
    """The steps of a sock of this plan with ``sections`` (a twin's are those its first sock really has).

    Raises CraftError.
    """
    return sock_steps(sections, *turnings(plan), separator_rows, cuff=cuff(plan), dial_changes=plan.dial_changes)
