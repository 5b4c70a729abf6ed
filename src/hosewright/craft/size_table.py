"""Every size from child to large adult on one page: for one gauge and the cylinders there are.

One row for each foot length and group: the sizes in each scale, the ball girth such feet have (an estimate), the
cylinder to use and the rows to crank. Adults' girths are regressions on measured feet; no children were measured,
so theirs is an assumption of our own, and says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from hosewright.craft import CraftError
from hosewright.craft.feet import Estimate, girth_estimate, heel_ankle_estimate
from hosewright.craft.fit import PLAIN_EASE, CylinderFit, CylinderSize, choose_cylinder
from hosewright.craft.measured import Measured, as_measured, measured, nominal
from hosewright.craft.shoes import SCALES, nearest_half, sizes
from hosewright.craft.sock import LENGTH_EASE_MM, SockPlan, plan_sock

Group = Literal["child", "women", "men"]

FEET_MM: dict[Group, tuple[int, int]] = {"child": (120, 190), "women": (200, 280), "men": (220, 320)}
STEP_MM = 10
CHILD_GIRTH_SHARE = 0.95
CHILD_GIRTH_SPREAD = 0.05
HEADINGS = ("For", "Foot", "EU", "UK", "US", "Girth mm", "95 of 100", "Cylinder", "Fit", "Rows", "Heel", "Toe")


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One line of the table. ``sizes`` are the scales' own numbers, unrounded; ``fit`` and ``plan`` the sock.

    ``plan`` is None, and ``note`` says why, when no cylinder here can make it.
    """

    group: Group
    foot_mm: float
    sizes: dict[str, float]
    girth: Estimate
    fit: CylinderFit
    plan: SockPlan | None
    note: str

    def cells(self) -> tuple[str, ...]:
        """The line as short words under HEADINGS; sizes to the nearest half, as shops mark them."""
        low, high = self.girth.within(95)
        rows = ("-", "-", "-")
        if self.plan is not None:
            plan = self.plan
            turned = [f"{part.needles}-{part.left_in_work}, {part.count}" for part in (plan.heel, plan.toe)]
            rows = (str(plan.foot_rows), turned[0], turned[1])
        return (
            self.group,
            f"{self.foot_mm:.0f}",
            *(f"{nearest_half(self.sizes[name]):g}" if name in self.sizes else "-" for name in _scales(self.group)),
            f"{self.girth.mm:.0f} ± {self.girth.error_mm:.0f}",
            f"{low:.0f}-{high:.0f}",
            self.fit.cylinder.label + ("" if self.fit.measured else " *"),
            self.fit.verdict,
            *rows,
        )


def size_table(
    *,
    rows_per_mm: Measured | float,
    tube: CylinderSize,
    circumference: Measured,
    loop_mm: Measured,
    cylinders: tuple[CylinderSize, ...],
    ease: float = PLAIN_EASE,
    length_ease_mm: float = LENGTH_EASE_MM,
    step_mm: int = STEP_MM,
) -> tuple[SizeRow, ...]:
    """A row for every foot length from 120 mm to 320 mm in each group, ``step_mm`` apart (5 to 40).

    ``rows_per_mm``, ``circumference`` and ``loop_mm`` are the washed tube's on the cylinder ``tube``; other
    cylinders are predictions, whose rows grow taller as their loops do. The best cylinder is the nearest to
    girth x (1 - ease) on which the sock can be knitted. Raises CraftError.
    """
    if not 5 <= step_mm <= 40:
        raise CraftError("The table's steps are from 5 to 40 mm of foot length; 10 mm is usual.")
    rows = []
    for group, (shortest, longest) in FEET_MM.items():
        for foot_mm in range(shortest, longest + 1, step_mm):
            girth = _girth(foot_mm, group)
            heel = None if group == "child" else heel_ankle_estimate(foot_mm, group)
            choice = choose_cylinder(
                tube=tube, circumference=circumference, loop_mm=loop_mm, owned=cylinders, girth_mm=girth.value,
                heel_ankle_mm=None if heel is None else heel.value, ease=ease,
            )  # fmt: skip
            in_order = sorted(choice.fits, key=lambda fit: abs(nominal(fit.circumference) - choice.wanted_mm))
            in_order.sort(key=lambda fit: fit.verdict == "will not go on")
            owned = [fit for fit in in_order if fit.cylinder in cylinders] or in_order
            fit, plan, note = _knittable(owned, as_measured(rows_per_mm), tube, circumference, foot_mm, length_ease_mm)
            known = sizes(foot_mm)
            marked = {name: SCALES[name].size(foot_mm) for name in _scales(group) if name in known}
            rows.append(SizeRow(group, float(foot_mm), marked, girth, fit, plan, note))
    return tuple(rows)


def _girth(foot_mm: float, group: Group) -> Estimate:
    if group == "child":
        value = measured(CHILD_GIRTH_SHARE * foot_mm, CHILD_GIRTH_SPREAD * foot_mm)
        return Estimate(value, "No children were measured: their girth is our assumption.")
    found = girth_estimate(foot_mm, group)
    if found is None:
        raise CraftError(f"No {group} with feet of {foot_mm:.0f} mm were measured.")
    return found


def _scales(group: Group) -> tuple[str, str, str]:
    return "eu", "uk_child" if group == "child" else "uk", f"us_{group}"


def _knittable(
    fits: list[CylinderFit],
    rate: Measured,
    tube: CylinderSize,
    circumference: Measured,
    foot_mm: float,
    ease_mm: float,
) -> tuple[CylinderFit, SockPlan | None, str]:
    """The first of ``fits`` on which the sock can be knitted, or the first with why none can."""
    refused = ""
    for fit in fits:
        # A loop drawn longer on another pitch makes taller rows as it makes a wider tube.
        taller = nominal(fit.circumference) * tube.slots / (nominal(circumference) * fit.cylinder.slots)
        try:
            plan = plan_sock(
                slots=fit.cylinder.slots,
                rows_per_mm=rate / taller,
                stitches_per_mm=fit.cylinder.slots / fit.circumference,
                foot_length_mm=foot_mm,
                length_ease_mm=ease_mm,
            )
        except CraftError as why:
            refused = refused or str(why)
            continue
        return fit, plan, "" if fit is fits[0] else f"{fits[0].cylinder.label} would fit better, but: {refused}"
    return fits[0], None, refused
