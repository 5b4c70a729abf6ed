"""The sock itself from what was typed: its heel, its leg, the leg's dial changes. Pure functions, no Textual."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.deeper_heel import deeper_heel
from hosewright.craft.errors import CraftError
from hosewright.craft.feet import ankle_estimate, calf_estimate
from hosewright.craft.leg import dial_changes, leg_length, leg_schedule
from hosewright.craft.measured import measured, nominal
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.turning import Turning, default_left_in_work, depth_rows

if TYPE_CHECKING:
    from hosewright.craft.correction import Correction
    from hosewright.craft.deeper_heel import DeeperHeel
    from hosewright.craft.leg import LegStep
    from hosewright.craft.measured import Measured
    from hosewright.logbook.records.shelf import Wearer
    from hosewright.planning.knit import Knit
    from hosewright.planning.reading import Typed, Values

HIGH_INSTEP_ROWS = 4


@dataclass(frozen=True, slots=True)
class Made:
    """A sock that can be knitted. ``schedule`` is empty for a leg that stays at the baseline."""

    sock: SockPlan
    leg_mm: float
    extra_heel_rows: int
    schedule: tuple[LegStep, ...]
    notes: tuple[str, ...]

    @property
    def dial_changes(self) -> tuple[tuple[int, int], ...]:
        """(rows of the leg cranked, clicks below zero); none for a leg all at one position."""
        return dial_changes(self.schedule) if len(self.schedule) > 1 else ()


def make_sock(
    typed: Typed, values: Values, knit: Knit, wearer: Wearer | None, correction: Correction | None, unit: str
) -> Made:
    """The sock, or CraftError with why it cannot be and what can."""
    needles = knit.gauge.slots // 2
    left = default_left_in_work(needles) if values.left is None else values.left
    usual = Turning(needles, left, typed.lowering, typed.plain_passes)
    deeper, notes = _deeper(typed, values, knit, usual, wearer, unit)
    heel = deeper.turning if deeper else usual
    leg_mm, said = _leg(values, knit, wearer, heel, unit)
    extra_rows = deeper.extra_rows if deeper else 0
    sock = plan_sock(
        slots=knit.gauge.slots,
        rows_per_mm=knit.rows,
        stitches_per_mm=knit.stitches,
        tube_length_mm=values.tube_mm,
        foot_length_mm=_foot(values),
        length_ease_mm=values.ease_mm,
        leg_mm=leg_mm,
        left_in_work=heel.left_in_work,
        toe_left_in_work=left if values.toe_left is None else values.toe_left,
        lowering=typed.lowering,
        plain_passes=typed.plain_passes,
        unit=unit,
        cuff=values.cuff,
        extra_heel_rows=extra_rows,
        extra_heel_passes=heel.extra_passes,
        part_row=values.part_row,
        correction=correction,
    )
    schedule, told = _schedule(values, knit, wearer, sock) if typed.shaped else ((), ())
    return Made(sock, leg_mm, extra_rows, schedule, (*said, *notes, *told))


def _foot(values: Values) -> Measured | float | None:
    """The foot's length in mm; from a shoe size it is as unsure as the conventions of that scale lie apart.

    Any length within their reach is as likely as any other: a rectangular error, a / sqrt(3), as for a tape.
    """
    mm, size = values.foot_mm, values.foot_size
    if mm is None or size is None:
        return mm
    return measured(mm, max(abs(end - mm) for end in size.foot_mm_range) / math.sqrt(3))


def _deeper(
    typed: Typed, values: Values, knit: Knit, heel: Turning, wearer: Wearer | None, unit: str
) -> tuple[DeeperHeel | None, list[str]]:
    """The deeper heel asked for; for a high instep with none asked for, what each way would do."""
    slots, rows = knit.gauge.slots, values.deeper
    by: Literal["tube", "foot"] = "foot" if values.tube_mm is None else "tube"
    if not rows:
        if wearer is None or not wearer.high_instep:
            return None, []
        ways = deeper_heel(heel, slots, knit.rows, HIGH_INSTEP_ROWS, unit, by)
        return None, [f"For the high instep: {way.words[0].lower()}{way.words[1:]}" for way in ways]
    chosen = next((w for w in deeper_heel(heel, slots, knit.rows, rows, unit, by) if w.way == typed.deepen), None)
    if chosen is None:
        raise CraftError(
            f"Narrowing from {heel.needles} to {heel.left_in_work} needles leaves too few to narrow {rows} rows "
            f"further: choose plain passes, or rows before the heel."
        )
    return chosen, [chosen.words] if chosen.way == "needles" else []


def _leg(values: Values, knit: Knit, wearer: Wearer | None, heel: Turning, unit: str) -> tuple[float, list[str]]:
    """The leg in mm, and how it was come by when it was named."""
    leg = values.leg
    if leg.name is None:
        return leg.mm, []
    sex = leg.sex or ((wearer.sized_as or None) if wearer else None)
    if sex is None and leg.name != "crew":
        raise CraftError(
            f"How long a leg to the {leg.name} is depends on the wearer: type {leg.name} men or {leg.name} women for "
            f"an estimate, or the leg's length."
        )
    found = leg_length(leg.name, depth_rows(heel) / nominal(knit.rows), sex, unit=unit)
    return found.mm, [found.words]


def _schedule(
    values: Values, knit: Knit, wearer: Wearer | None, sock: SockPlan
) -> tuple[tuple[LegStep, ...], tuple[str, ...]]:
    """The leg's dial changes. Girths that were not typed are estimated from a taped ball girth, and say so."""
    rows = next((section.count for section in sock.sections if section.name == "leg"), 0)
    if not rows:
        raise CraftError("A leg shaped by the dial needs a leg: type its length, or shape it not at all.")
    ankle, calf, told = values.ankle_mm, values.calf_mm, []
    sex = (wearer.sized_as or None) if wearer else None
    if (ankle is None or calf is None) and wearer and wearer.ball_girth_mm and sex:
        guesses = ankle_estimate(wearer.ball_girth_mm, sex), calf_estimate(wearer.ball_girth_mm, sex)
        if ankle is None and guesses[0]:
            ankle, told = guesses[0].mm, [guesses[0].words]
        if calf is None and guesses[1]:
            calf, told = guesses[1].mm, [*told, guesses[1].words]
    if ankle is None or calf is None:
        raise CraftError("Type the ankle girth and the calf girth: the leg is shaped from one to the other.")
    steps, said = leg_schedule(
        knit.response, baseline_clicks=knit.gauge.dial, leg_rows=rows, ankle_mm=ankle, calf_mm=calf
    )
    return steps, (*told, *said, *knit.response.notes)
