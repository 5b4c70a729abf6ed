"""The kinds of heel side by side, for the foot that is planned: passes, depth, length, girth, yarn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.heels import HeelAs, on_needles, round_the_heel_mm, usual_gusset, wide_heel
from hosewright.craft.measured import nominal
from hosewright.craft.sock import turned_rows
from hosewright.craft.turning import depth_rows
from hosewright.craft.units import length_number
from hosewright.phrases.lists import aligned

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.craft.sock import SockPlan
    from hosewright.planning.fabric import Fabric
    from hosewright.planning.typed import Values

CANNOT = ("cannot", "be")
HEADINGS = ("", "passes", "deep", "foot", "sole", "round", "yarn")
_LENGTHS = {"in": "inches", "cm": "cm", "mm": "mm"}
WORKED_OUT = (
    "Round is over the instep, down both gores and across the needles left at the tip, relaxed: worked out "
    "from the stitches, ours. The heels are common practice, no source; the size of a gusset is as published for hand "
    "knitting (knotions.com), where the instep gets its rounds, too, and here it does not."
)


@dataclass(frozen=True, slots=True)
class HeelBeside:
    """What one kind of heel does to this sock; ``why_not`` says why it cannot be, and then there are no numbers.

    ``sole_mm`` is heel, foot and toe together, as long as the foot less its ease where it is planned from the foot.
    """

    heel: HeelAs
    needles: int
    chosen: bool
    passes: int = 0
    depth_rows: int = 0
    foot_rows: int = 0
    sole_mm: float = 0.0
    round_mm: float = 0.0
    stitches_per_sock: int = 0
    metres_per_pair: float = 0.0
    why_not: str = ""

    @property
    def words(self) -> str:
        """The heel in a few words, with its needles, or with those of a gusset: "short-row 38", "mini-gusset 6"."""
        if self.heel.kind == "short-row":
            return f"short-row {self.needles}"
        return f"mini-gusset {self.heel.gusset}" if self.heel.gusset else self.heel.kind

    def cells(self, rows_per_mm: float, unit: str) -> tuple[str, ...]:
        """It as a line of a table under ``HEADINGS``."""
        named = f"{'*' if self.chosen else ' '} {self.words}"
        if self.why_not:
            return (named, *CANNOT)
        deep = self.depth_rows / rows_per_mm
        lengths = [length_number(mm, unit) for mm in (deep, self.sole_mm, self.round_mm)]
        return (
            named,
            str(self.passes),
            lengths[0],
            str(self.foot_rows),
            *lengths[1:],
            f"{self.metres_per_pair:.0f}",
        )


def heels_beside(
    values: Values, fabric: Fabric, make: Callable[[Values], tuple[SockPlan, float]]
) -> tuple[HeelBeside, ...]:
    """Every kind of heel for this foot; ``make`` works a sock out, and the metres of yarn that a pair takes."""
    found = []
    for heel in _kinds(values.heel, fabric.slots):
        chosen = heel == values.heel
        other = values if chosen else replace(values, heel=heel, left=None, deepen="none", deeper=0, extra_passes=0)
        try:
            found.append(_of(*make(other), heel, fabric, chosen=chosen))
        except CraftError as wrong:
            found.append(HeelBeside(heel, heel.needles or fabric.slots // 2, chosen, why_not=str(wrong)))
    return tuple(found)


def table(beside: tuple[HeelBeside, ...], fabric: Fabric, unit: str) -> tuple[str, ...]:
    """The lines of a table of them, at most 56 cells wide, what it is of first; nothing where there are none."""
    if not beside:
        return ()
    rows = [HEADINGS, *(one.cells(nominal(fabric.rows), unit) for one in beside)]
    said = f"Heels for this foot, * planned; {_LENGTHS[unit]}, rows, m a pair"
    return (said, *aligned(rows, right=range(1, len(HEADINGS))))


def _kinds(chosen: HeelAs, slots: int) -> list[HeelAs]:
    """Those that are usual on this cylinder, with the one chosen in place of its like."""
    usual = [HeelAs(), HeelAs(needles=wide_heel(slots)), HeelAs("mini-gusset", gusset=usual_gusset(slots))]
    usual.append(HeelAs("afterthought"))
    if chosen in usual:
        return usual
    if chosen.kind == "short-row":
        return [usual[0], chosen, *usual[2:]]
    return [chosen if one.kind == chosen.kind else one for one in usual]


def _of(sock: SockPlan, metres: float, heel: HeelAs, fabric: Fabric, *, chosen: bool) -> HeelBeside:
    rows, stitches = nominal(fabric.rows), nominal(fabric.stitches)
    deep = depth_rows(sock.heel)
    return HeelBeside(
        heel,
        on_needles(heel, fabric.slots),
        chosen,
        sock.heel.count,
        deep,
        sock.foot_rows,
        (sock.foot_rows + turned_rows(sock)) / rows,
        round_the_heel_mm(sock.heel, fabric.slots, rows, stitches),
        sock.stitches_per_sock,
        metres,
    )
