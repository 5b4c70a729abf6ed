"""Where a sock is tight on its wearer, in lines and marks: of one that is being planned and of a kept plan alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.leg import reaches_calf
from hosewright.craft.measured import half_up, measured
from hosewright.craft.tight import BALL_ALONG, INSTEP_ALONG, girths, lie, loosest, tightest
from hosewright.craft.turning import depth_rows
from hosewright.logbook.records.planned import name_of, rib_gauge, turned
from hosewright.logbook.records.planned import rib as rib_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.craft.measured import Measured
    from hosewright.craft.tight import Where
    from hosewright.craft.tubes import TubeName
    from hosewright.logbook.records.shelf import Plan, Wearer

Taped = tuple[float | None, ...]  # of both, and of left and right, as far as it was measured, mm
_WEARERS = {"ball": "girth"}  # what a wearer's record calls a place otherwise
MarkAt = tuple[str, str, int, str]


@dataclass(frozen=True, slots=True)
class Tightness:
    """Where the sock is stretched most and least, as lines, notes and marks.

    A mark is (sign, part, row, words): in the row of that part of the sock the sign stands on its picture.
    """

    lines: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    marks: tuple[MarkAt, ...] = ()

    @property
    def told(self) -> tuple[str, ...]:
        """What is read beside the picture on paper: the two places, then every place."""
        return (*(f"{label}: {words}" for label, words in self.lines), *self.notes)


NOT_TIGHT = Tightness()


@dataclass(frozen=True, slots=True, kw_only=True)
class Lain:
    """How far round a sock is where it was worked out, in mm, and how many rows lie along foot and leg.

    None for ``foot``, ``leg`` and ``calf`` where it is not known, or where it does not reach. ``rows`` are those of
    its parts, ``leg_rows`` those of the leg of a tube without a heel, ``heel`` and ``toe`` what these add to the sole.
    """

    called: TubeName
    rows: Mapping[str, int]
    foot: Measured | None
    leg: Measured | None = None
    calf: Measured | None = None
    leg_rows: int = 0
    heel: int = 0
    toe: int = 0

    @property
    def around(self) -> dict[Where, Measured | None]:
        """How far round it is at each place it covers."""
        if self.called == "wrister":
            return {"wrist": self.leg, "hand": self.leg}
        leg: dict[Where, Measured | None] = {"ankle": self.leg, "calf": self.calf}
        return leg if self.called == "leg warmer" else {"ball": self.foot, "instep": self.foot, **leg}

    def row_at(self, where: Where) -> tuple[str, int]:
        """The part and the row of it that lie there: the foot by shares of its length, of the leg its ends.

        A wrister is taken to be worn with its top up the arm and its end over the hand (ours).
        """
        part = "tube" if "tube" in self.rows else "foot" if where in ("ball", "instep") else "leg"
        rows = self.rows[part]
        if where == "calf":
            return part, 1
        if where == "wrist":
            return part, max(rows // 2, 1)
        if where in ("hand", "ankle"):
            return part, self.leg_rows if where == "ankle" and 0 < self.leg_rows < rows else rows
        before = self.leg_rows if part == "tube" else -self.heel
        sole = rows - self.leg_rows + self.toe if part == "tube" else rows + self.heel + self.toe
        along = half_up((BALL_ALONG if where == "ball" else INSTEP_ALONG) * sole)
        return part, min(max(before + along, 1), rows)


def taped_of(wearer: Wearer | None, typed: Mapping[Where, float | None] | None = None) -> dict[Where, Taped]:
    """What a tape said of each place, mm; what was ``typed`` comes before the wearer's own."""
    found: dict[Where, Taped] = {}
    every: tuple[Where, ...] = ("ball", "instep", "ankle", "calf", "wrist", "hand")
    for where in every:
        mm = typed.get(where) if typed else None
        if mm:
            found[where] = (mm,)
        elif wearer is not None:
            found[where] = wearer.taped(_WEARERS.get(where, where))
    return found


def tightness(lain: Lain, taped: Mapping[Where, Taped]) -> Tightness:
    """The sock on this foot, leg or arm, each place that a tape was laid round; figures, and no verdict.

    With fewer than two such places there is nothing to compare. Raises CraftError.
    """
    lies = [
        lie(girth, round_mm)
        for where, round_mm in lain.around.items()
        for girth in girths(where, *taped.get(where, (None,)))
        if round_mm is not None
    ]
    if not lies:
        return NOT_TIGHT
    listed = f"Where it goes round: {'; '.join(one.words for one in lies)}."
    if len(lies) < 2:  # of a ball alone the ease says it
        return NOT_TIGHT if lies[0].girth.where == "ball" else Tightness(notes=(listed,))
    named = [("Tightest, T", tightest(lies)), ("Loosest, L", loosest(lies))]
    marks = [
        (label[-1], *lain.row_at(one.girth.where), f"{label[-1]} {one.girth.place.removeprefix('the ')}")
        for label, one in named
    ]
    return Tightness(tuple((label, one.words) for label, one in named), (listed,), tuple(marks))


def of_plan(plan: Plan, wearer: Wearer | None) -> Tightness:
    """Where the sock of a kept plan is tight on its wearer, and by girths typed for it. Raises CraftError."""
    taped = taped_of(wearer, {"ankle": plan.ankle_mm, "calf": plan.calf_mm})
    if not taped:
        return NOT_TIGHT
    plain = measured(plan.slots / plan.stitches_per_mm)
    foot: Measured | None = plain
    leg: Measured | None = plain
    if plan.rib is not None:
        own = rib_gauge(plan)
        leg = own.worn_round(plan.slots) if own else None
        ribbed = rib_of(plan)
        if ribbed is not None and ribbed.instep:
            share = ribbed.foot_share
            foot = None if leg is None else plain * (1 - share) + leg * share
    heel, toe = turned(plan)
    shaped = 1 + (plan.loop_a_click or 0.0) * (plan.dial_changes[0][1] - (plan.dial or 0)) if plan.dial_changes else 1.0
    reaches = reaches_calf(plan.leg_mm, knee=False, shaped=bool(plan.dial_changes))
    lain = Lain(
        called=name_of(plan),
        rows={part.name: part.count for part in plan.parts if part.kind == "rows"},
        foot=foot,
        leg=leg if plan.leg_mm > 0 else None,
        calf=leg * shaped if reaches and leg is not None else None,
        leg_rows=half_up(plan.leg_mm * plan.rows_per_mm),
        heel=depth_rows(heel) if heel else 0,
        toe=depth_rows(toe) if toe else 0,
    )
    return tightness(lain, taped)
