"""The washed knitting everything is worked out from, whether it is a tube of the logbook or typed out in full."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.craft.dial import Dial
from hosewright.craft.fit import choose_cylinder
from hosewright.craft.loops import DEFAULT_STATE, loop_length_mm
from hosewright.craft.response import TubeReading, fit_response
from hosewright.craft.size_table import size_table
from hosewright.craft.spread import ASSUMED, ASSUMED_SHARE
from hosewright.craft.yarn import yarn_per_stitch

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.craft.fit import CylinderChoice, CylinderSize, OnFoot
    from hosewright.craft.measured import Measured
    from hosewright.craft.response import Response
    from hosewright.craft.ribs import Rib, RibGauge
    from hosewright.craft.size_table import SizeRow
    from hosewright.craft.spread import Spread
    from hosewright.craft.yarn import YarnPerStitch

USUAL_DIAL = Dial()


@dataclass(frozen=True, slots=True, kw_only=True)
class Fabric:
    """Rows and stitches per mm on one cylinder, and what else is known of the tube they were measured on.

    ``rows`` and ``stitches`` have the tape's error, and are the mean of ``tubes_measured``, which differ by ``spread``.
    ``others`` are the other cylinders owned. ``clicks`` is where the dial stood, None when nobody said; ``tubes`` are
    all the tubes of this yarn here, to tell what a click does. ``weighed``: grams in a stitch and the scale's share of
    error, with the yarn's ``tex``; ``on_foot`` how the tube was to try on. ``ribs`` are ribbed tubes of the same yarn,
    machine and cylinder, by their rib as it is typed.
    """

    rows: Measured
    stitches: Measured
    cylinder: CylinderSize
    spread: Spread = ASSUMED
    tubes_measured: int = 1
    others: tuple[CylinderSize, ...] = ()
    state: str = DEFAULT_STATE
    dial: Dial = USUAL_DIAL
    clicks: int | None = None
    tubes: tuple[TubeReading, ...] = ()
    tex: float | None = None
    weighed: tuple[Measured, float] | None = None
    on_foot: OnFoot | None = None
    stretched_width_mm: float | None = None
    ribs: Mapping[str, RibGauge] = field(default_factory=dict)

    @property
    def slots(self) -> int:
        """Needles in work on the tube's cylinder."""
        return self.cylinder.slots

    @property
    def owned(self) -> tuple[CylinderSize, ...]:
        """The tube's own cylinder, then the others."""
        return (self.cylinder, *self.others)

    @property
    def circumference(self) -> Measured:
        """Round the tube, mm."""
        return self.slots / self.stitches

    def leg_round(self, rib: Rib | None) -> Measured | None:
        """Round the leg, mm; of a ribbed one when worn, None where no such tube was measured."""
        if rib is None:
            return self.circumference
        own = self.ribs.get(rib.words)
        return None if own is None else own.worn_round(self.slots)

    def foot_round(self, rib: Rib | None) -> Measured | None:
        """Round the foot, mm; where its instep is ribbed in part as a ribbed tube, None where none was measured."""
        if rib is None or not rib.instep:
            return self.circumference
        leg = self.leg_round(rib)
        return None if leg is None else self.circumference * (1 - rib.foot_share) + leg * rib.foot_share

    @property
    def loop_mm(self) -> Measured:
        """Yarn in a loop, mm, from the rows. Raises CraftError."""
        return loop_length_mm(self.rows, self.state)

    @property
    def response(self) -> Response:
        """What a click does to the loop of this yarn here. Raises CraftError.

        Tubes that lie further apart than is assumed of one yarn contradict each other: no spread of theirs excuses it.
        """
        own = self.tubes or (TubeReading(self.clicks or 0, self.loop_mm),)
        return fit_response(own, self.dial, min(self.spread.share, ASSUMED_SHARE))

    @property
    def per_stitch(self) -> YarnPerStitch:
        """Yarn in a stitch; by weighing, too, where tube and yarn's count are known. Raises CraftError."""
        mass, share = self.weighed or (None, None)
        return yarn_per_stitch(self.loop_mm, self.tex, mass, share)

    def choose(
        self,
        girth_mm: Measured | float,
        heel_ankle_mm: Measured | float | None = None,
        *,
        ease: float,
        unit: str = "in",
        rib: Rib | None = None,
    ) -> CylinderChoice:
        """Every cylinder owned for this girth; over an instep in ``rib`` by its own tube, which nobody tried on.

        Raises CraftError.
        """
        own = self.ribs.get(rib.words) if rib and rib.instep else None
        wide, share = self.stretched_width_mm, rib.foot_share if rib and own else 0.0
        if own:
            wide = None if wide is None or own.stretched_mm is None else wide * (1 - share) + own.stretched_mm * share
        return choose_cylinder(
            tube=self.cylinder,
            circumference=self.foot_round(rib) or self.circumference,
            loop_mm=self.loop_mm,
            owned=self.owned,
            girth_mm=girth_mm,
            heel_ankle_mm=heel_ankle_mm,
            ease=ease,
            trial=None if own else self.on_foot,
            unit=unit,
            stretched_width_mm=wide,
        )

    def sizes(self, *, ease: float, length_ease_mm: float, step_mm: int) -> tuple[SizeRow, ...]:
        """Every size from child to large adult on the cylinders owned. Raises CraftError."""
        return size_table(
            rows_per_mm=self.rows,
            tube=self.cylinder,
            circumference=self.circumference,
            loop_mm=self.loop_mm,
            cylinders=self.owned,
            ease=ease,
            length_ease_mm=length_ease_mm,
            step_mm=step_mm,
        )
