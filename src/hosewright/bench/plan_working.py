"""From what is typed on the planning screen to the sock it comes to. Pure functions, no Textual.

Every figure comes from `craft`; here typed text is read, what is missing is said, and results become lines.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, cast, get_args

from hosewright.bench.plan_lines import Line, part_lines, route_lines, yarn_lines
from hosewright.bench.plan_reading import Typed, Values, read_values
from hosewright.craft.errors import CraftError
from hosewright.craft.feet import best_girth, heel_ankle_estimate
from hosewright.craft.fit import CYLINDER_DIAMETER_MM, Trial, choose_cylinder
from hosewright.craft.fit import Cylinder as FitCylinder
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import Measured, error, measured, nominal
from hosewright.craft.sock import SockPlan, YarnNeed, plan_sock, yarn_for
from hosewright.craft.units import show_length
from hosewright.craft.yarn import YarnPerStitch, tex_from, yarn_per_stitch
from hosewright.logbook.records import Cylinder, GaugeRecord, Plan, PlannedPart, Wearer, Yarn

if TYPE_CHECKING:
    from hosewright.craft.feet import Estimate
    from hosewright.craft.turning import Lowering

LOWERING_WORDS: dict[Lowering, str] = {
    "far": "one at a time, away from the carrier",
    "near": "one at a time, on the carrier's side",
    "two-and-one": "two down and one up",
}
SCALE_G = 1.0
CAUTION = (
    "Take care: for this foot no ease is called safe, round or in length, and a sock that feels fine may still be too "
    "tight. Measure, make it loose, and ask a podiatrist or nurse."
)


@dataclass(frozen=True, slots=True)
class Knit:
    """What the sock is knitted on and of, from the gauge chosen; ``others`` are the other cylinders owned."""

    gauge: GaugeRecord
    yarn: Yarn | None
    cylinder: Cylinder | None
    others: tuple[Cylinder, ...] = ()

    @property
    def rows(self) -> Measured:
        """Rows per mm with their error."""
        return measured(self.gauge.rows_per_mm, self.gauge.rows_per_mm_error)

    @property
    def stitches(self) -> Measured:
        """Stitches per mm with their error."""
        return measured(self.gauge.stitches_per_mm, self.gauge.stitches_per_mm_error)

    @property
    def circumference(self) -> Measured:
        """The tube's own circumference in mm."""
        return self.gauge.slots / self.stitches


@dataclass(frozen=True, slots=True)
class Working:
    """What it all comes to. With ``problems`` or ``missing`` there is no sock, and so no numbers."""

    problems: dict[str, str] = field(default_factory=dict)
    missing: str = ""
    values: Values | None = None
    sock: SockPlan | None = None
    yarn: YarnNeed | None = None
    parts: tuple[Line, ...] = ()
    rest: tuple[Line, ...] = ()
    caution: str = ""
    notes: tuple[str, ...] = ()


def work_out(typed: Typed, knit: Knit | None, wearer: Wearer | None, unit: str = "in") -> Working:
    """The sock that what is typed comes to, or what is wrong, or what is missing. Never raises for bad text."""
    slots = knit.gauge.slots if knit else None
    values, problems = read_values(typed, slots, unit)
    if values is None:
        wrong = "these lines" if len(problems) > 1 else "the line"
        return Working(problems, f"No numbers until {wrong} marked ! can be read.")
    if knit is None:
        return Working(missing="Choose a gauge: its rows and stitches are what the sock is made of.")
    if values.tube_mm is None and values.foot_mm is None:
        return Working(missing="Type the tube of a sock that fits, or the length of the foot (or a shoe size).")
    try:
        sock = _sock(typed, values, knit, unit)
        stitch = _yarn_per_stitch(knit)
        need = _need(sock, stitch, knit)
        fit_lines, fit_notes = _fit(knit, wearer, values, unit)
    except CraftError as error_:
        return Working(missing=str(error_))
    ball = knit.yarn.ball_g if knit.yarn else None
    parts = (*part_lines(sock), *route_lines(sock))
    rest = (*fit_lines, *yarn_lines(need, ball))
    caution = CAUTION if wearer is not None and wearer.caution else ""
    notes = [*sock.notes, *fit_notes]
    if values.foot_size is not None:
        notes.append(values.foot_size.words)
    notes += [*need.notes[1:], *stitch.notes]
    return Working({}, "", values, sock, need, parts, rest, caution, tuple(notes))


# --- working out ---------------------------------------------------------------------------------------------


def _sock(typed: Typed, values: Values, knit: Knit, unit: str) -> SockPlan:
    return plan_sock(
        slots=knit.gauge.slots,
        rows_per_mm=knit.rows,
        stitches_per_mm=knit.stitches,
        tube_length_mm=values.tube_mm,
        foot_length_mm=values.foot_mm,
        length_ease_mm=values.ease_mm,
        leg_mm=values.leg_mm,
        hem_rows=values.hem_rows,
        left_in_work=values.left,
        lowering=typed.lowering,
        plain_passes=typed.plain_passes,
        unit=unit,
    )


def _yarn_per_stitch(knit: Knit) -> YarnPerStitch:
    gauge, count = knit.gauge, knit.yarn.m_per_100g if knit.yarn else None
    tex = tex_from("m_per_100g", count) if count else None
    if gauge.mass_g is None:
        return yarn_per_stitch(loop_length_mm(knit.rows), tex)
    per_stitch = measured(gauge.mass_g, SCALE_G / 3**0.5) / (gauge.rows * gauge.slots)
    return yarn_per_stitch(loop_length_mm(knit.rows), tex, per_stitch, SCALE_G / gauge.mass_g)


def _need(sock: SockPlan, stitch: YarnPerStitch, knit: Knit) -> YarnNeed:
    yarn = knit.yarn
    return yarn_for(sock, stitch, yarn.m_per_100g if yarn else None, yarn.ball_g if yarn else None)


def _fit(knit: Knit, wearer: Wearer | None, values: Values, unit: str) -> tuple[list[Line], list[str]]:
    """How the sock lies round the foot: lines and notes."""
    round_ = knit.circumference
    lines = [("Round", f"{show_length(nominal(round_), unit)} ± {show_length(error(round_), 'mm')}")]
    if wearer is None:
        return lines, []
    if wearer.girth_mm is None:
        return _estimated_girths(lines, values, unit)
    lines.append(("Ball girth", f"{show_length(wearer.girth_mm, unit)} by tape"))
    if wearer.caution:
        return lines, []  # any verdict in words would read as "safe"
    own = _fit_cylinder(knit.cylinder, knit.gauge.slots)
    trial = knit.gauge.on_foot
    choice = choose_cylinder(
        tube=own,
        circumference=round_,
        loop_mm=loop_length_mm(knit.rows),
        owned=(own, *(_fit_cylinder(other, other.slots) for other in knit.others)),
        girth_mm=wearer.girth_mm,
        heel_ankle_mm=wearer.heel_ankle_mm,
        trial=cast("Trial", trial) if trial in get_args(Trial) else None,
        unit=unit,
    )
    here = next(fit for fit in choice.fits if fit.cylinder == own)
    lines.append(("Ease round", f"{here.ease * 100:.0f} %, {here.verdict}"))
    nearer = [] if choice.best is here else [f"Nearer the girth: {choice.best.words}"]
    return lines, [here.words, *nearer, *choice.notes]


def _fit_cylinder(cylinder: Cylinder | None, slots: int) -> FitCylinder:
    if cylinder is None:
        return FitCylinder(slots)
    return FitCylinder(slots, cylinder.diameter_mm or CYLINDER_DIAMETER_MM, cylinder.name)


def _estimated_girths(lines: list[Line], values: Values, unit: str) -> tuple[list[Line], list[str]]:
    """Without a tape measure: what men's and women's feet of that length measure on average."""
    notes = []
    for sex in ("men", "women"):
        found: Estimate | None = best_girth(None, values.foot_mm, sex)
        if found is not None:
            said = f"{show_length(found.mm, unit)} ± {show_length(found.error_mm, 'mm')}, estimate"
            lines.append((f"Girth, {sex}", said))
            heel = heel_ankle_estimate(values.foot_mm or 0.0, sex)
            notes += [f"{sex.capitalize()}: {heel.words}"] if heel else []
    notes.append("Measure the ball girth: an estimate from the foot's length is never as good as a tape measure.")
    return lines, notes


# --- keeping -------------------------------------------------------------------------------------------------


def to_plan(plan_id: str, typed: Typed, knit: Knit, wearer: Wearer | None, working: Working) -> Plan:
    """The record to keep of a sock that came out. Raises ValueError when none did."""
    sock, values, need = working.sock, working.values, working.yarn
    if sock is None or values is None or need is None:
        raise CraftError(working.missing or "There is no sock to keep yet.")
    parts = [PlannedPart(name=s.name, kind=s.kind, count=s.count, stitches=s.stitches) for s in sock.sections]
    gauge = knit.gauge
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
        leg_mm=values.leg_mm,
        hem_rows=values.hem_rows,
        heel_left_in_work=sock.heel.left_in_work,
        toe_left_in_work=sock.toe.left_in_work,
        lowering=typed.lowering,
        plain_passes=typed.plain_passes,
        parts=tuple(parts),
        foot_rows=sock.foot_rows,
        foot_rows_error=sock.foot_rows_error,
        metres_per_pair=need.metres_per_pair,
        grams_per_pair=need.grams_per_pair,
    )


def usual_name(knit: Knit | None, wearer: Wearer | None) -> str:
    """What a plan is called when nobody names it."""
    yarn = knit.yarn.name if knit and knit.yarn else "Socks"
    return f"{yarn} for {wearer.name}"[:64] if wearer else yarn[:64]
