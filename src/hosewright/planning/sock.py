"""The sock itself: from what was typed to its parts, leg, fit and yarn, and to the lines that say them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError
from hosewright.craft.correction import Correction, learn
from hosewright.craft.deeper_heel import deeper_heel
from hosewright.craft.feet import ankle_estimate, calf_estimate
from hosewright.craft.heels import turn_heel
from hosewright.craft.leg import dial_changes, leg_length, leg_schedule
from hosewright.craft.measured import measured, nominal
from hosewright.craft.ribs import leg_rate, rib_notes
from hosewright.craft.sock import SockPlan, plan_sock
from hosewright.craft.supply import leg_of_ball, wind_off, yarn_for
from hosewright.craft.tubes import plan_tube, tube_name
from hosewright.craft.turning import Turning, default_left_in_work, depth_rows
from hosewright.logbook.records.shelf import Plan, PlannedCuff, PlannedPart, PlannedRib
from hosewright.picture.of_sock import Knitted, ribbed_parts, sock_shape
from hosewright.planning.choices import FORWARDS, cannot_be_chosen, has_no_ribber, without_ribber
from hosewright.planning.fit import Fit, feet_of, fit_round, leg_round, leg_round_lines, where_tight
from hosewright.planning.plan_lines import sock_fields
from hosewright.planning.sock_lines import (
    WORKED_OUT,
    HeelBeside,
    ball_lines,
    heels_beside,
    leg_lines,
    narrowing_note,
    part_lines,
    route_lines,
    stripe_lines,
    table,
    thread_lines,
    yarn_lines,
)
from hosewright.planning.typed import read_values
from hosewright.session.steps.tubes import called as named
from hosewright.words.tight import Tightness

if TYPE_CHECKING:
    from collections.abc import Collection

    from hosewright.craft.deeper_heel import DeeperHeel
    from hosewright.craft.leg import LegStep
    from hosewright.craft.measured import Measured
    from hosewright.craft.ribs import Rib
    from hosewright.craft.sock import TubePlan
    from hosewright.craft.supply import LegOfBall, WindOff, YarnNeed
    from hosewright.craft.tubes import TubeName
    from hosewright.logbook.find.evidence import Worn
    from hosewright.logbook.records.shelf import Machine, Wearer
    from hosewright.picture.shape import Shape
    from hosewright.planning.fabric import Fabric
    from hosewright.planning.gauges import Knit
    from hosewright.planning.sock_lines import Labelled
    from hosewright.planning.typed import Typed, Values


CAUTION = (
    "Take care: for this foot no ease is called safe, round or in length, and a sock that feels fine may still be too "
    "tight. Measure, make it loose, and ask a podiatrist or nurse."
)
NO_FOOT = "Type the tube of a sock that fits, or the length of the foot (or a shoe size)."
HIGH_INSTEP_ROWS = 4


@dataclass(frozen=True, slots=True)
class Made:
    """A sock that can be knitted. ``schedule`` is empty for a leg that stays at the baseline."""

    sock: TubePlan
    leg_mm: float
    extra_heel_rows: int
    schedule: tuple[LegStep, ...]
    notes: tuple[str, ...]

    @property
    def dial_changes(self) -> tuple[tuple[int, int], ...]:
        """(rows of the leg cranked, clicks below zero); none for a leg all at one position."""
        return dial_changes(self.schedule) if len(self.schedule) > 1 else ()


def make_sock(
    values: Values, fabric: Fabric, wearer: Wearer | None = None, correction: Correction | None = None, unit: str = "in"
) -> Made:
    """The sock, or CraftError with why it cannot be and what can."""
    if values.heel.kind == "none":
        return _make_tube(values, fabric, wearer, unit)
    usual = turn_heel(
        values.heel,
        fabric.slots,
        values.left,
        values.lowering,
        values.plain_passes,
        extra_passes=values.extra_passes,
    )
    left = default_left_in_work(fabric.slots // 2) if values.left is None else values.left
    deeper, notes = _deeper(values, fabric, usual, wearer, unit)
    heel = deeper.turning if deeper else usual
    leg_mm, said = _leg(values, fabric, wearer, heel, unit)
    extra_rows = values.extra_rows + (deeper.extra_rows if deeper else 0)
    rib = values.rib
    own = fabric.ribs.get(rib.words) if rib else None
    sock = plan_sock(
        slots=fabric.slots,
        rows_per_mm=fabric.rows,
        stitches_per_mm=fabric.stitches,
        tube_length_mm=values.tube_mm,
        foot_length_mm=_foot(values),
        length_ease_mm=values.ease_mm,
        leg_mm=leg_mm,
        left_in_work=heel.left_in_work,
        toe_left_in_work=left if values.toe_left is None else values.toe_left,
        lowering=values.lowering,
        plain_passes=values.plain_passes,
        unit=unit,
        cuff=values.cuff,
        extra_heel_rows=extra_rows,
        extra_heel_passes=heel.extra_passes,
        part_row=values.part_row,
        correction=correction,
        departs=fabric.spread.departs(fabric.tubes_measured),
        heel_as=values.heel,
        rib=rib,
        rib_rows_per_mm=leg_rate(fabric.rows, own) if rib else None,
    )
    if rib is not None:
        notes += rib_notes(rib, own, (fabric.rows, fabric.stitches), leg_mm, unit)
    schedule, told = _schedule(values, fabric, wearer, sock) if values.shaped else ((), ())
    return Made(sock, leg_mm, extra_rows, schedule, (*said, *notes, *told))


def _make_tube(values: Values, fabric: Fabric, wearer: Wearer | None, unit: str) -> Made:
    """A tube without a heel. Raises CraftError."""
    leg_mm, said = _leg(values, fabric, wearer, None, unit)
    foot = _foot(values)
    long_mm: Measured | float = leg_mm
    if values.end != "chained off":
        if foot is None:
            raise CraftError("Type the length of the foot (or a shoe size): a tube that is closed goes over it.")
        long_mm = leg_mm + foot - values.ease_mm
    elif not leg_mm:
        raise CraftError("Type how long the tube is, on the line of the leg.")
    if values.shaped:
        raise CraftError("A tube is cranked all at one position of the dial: leave the leg at the baseline.")
    sock = plan_tube(
        slots=fabric.slots,
        rows_per_mm=fabric.rows,
        stitches_per_mm=fabric.stitches,
        long_mm=long_mm,
        end=values.end,
        cuff=values.cuff,
        toe_left_in_work=values.toe_left,
        lowering=values.lowering,
        plain_passes=values.plain_passes,
        departs=fabric.spread.departs(fabric.tubes_measured),
    )
    return Made(sock, leg_mm, 0, (), tuple(said))


def _foot(values: Values) -> Measured | float | None:
    """The foot's length in mm; from a shoe size it is as unsure as the conventions of that scale lie apart.

    Any length within their reach is as likely as any other: a rectangular error, a / sqrt(3), as for a tape.
    """
    mm, size = values.foot_mm, values.foot_size
    if mm is None or size is None:
        return mm
    return measured(mm, max(abs(end - mm) for end in size.foot_mm_range) / math.sqrt(3))


def _deeper(
    values: Values, fabric: Fabric, heel: Turning, wearer: Wearer | None, unit: str
) -> tuple[DeeperHeel | None, list[str]]:
    """The deeper heel asked for; for a high instep with none asked for, what each way would do."""
    rows = values.deeper
    by: Literal["tube", "foot"] = "foot" if values.tube_mm is None else "tube"
    if not rows:
        if wearer is None or not wearer.high_instep:
            return None, []
        ways = deeper_heel(heel, fabric.slots, fabric.rows, HIGH_INSTEP_ROWS, unit, by)
        return None, [f"For the high instep: {way.words[0].lower()}{way.words[1:]}" for way in ways]
    ways = deeper_heel(heel, fabric.slots, fabric.rows, rows, unit, by)
    chosen = next((way for way in ways if way.way == values.deepen), None)
    if chosen is None:
        raise CraftError(
            f"Narrowing from {heel.needles} to {heel.left_in_work} needles leaves too few to narrow {rows} rows "
            f"further: choose plain passes, or rows before the heel."
        )
    return chosen, [chosen.words] if chosen.way == "needles" else []


def _leg(
    values: Values, fabric: Fabric, wearer: Wearer | None, heel: Turning | None, unit: str
) -> tuple[float, list[str]]:
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
    found = leg_length(leg.name, (depth_rows(heel) if heel else 0) / nominal(fabric.rows), sex, unit=unit)
    return found.mm, [found.words]


def _schedule(
    values: Values, fabric: Fabric, wearer: Wearer | None, sock: SockPlan
) -> tuple[tuple[LegStep, ...], tuple[str, ...]]:
    """The leg's dial changes. Girths that were not typed are estimated from a taped ball girth, and say so."""
    rows = next((section.count for section in sock.sections if section.name == "leg"), 0)
    if not rows:
        raise CraftError("A leg shaped by the dial needs a leg: type its length, or leave it unshaped.")
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
    if fabric.clicks is None:
        raise CraftError("Say where the dial stood for this gauge: the leg is shaped from there.")
    response = fabric.response
    steps, said = leg_schedule(response, baseline_clicks=fabric.clicks, leg_rows=rows, ankle_mm=ankle, calf_mm=calf)
    return steps, (*told, *said, *response.notes)


def yarn_of(
    made: Made, fabric: Fabric, m_per_100g: float | None, ball_g: float | None, unit: str
) -> tuple[YarnNeed, LegOfBall | None, WindOff | None]:
    """The yarn it takes; with count and ball known, the longest leg one ball gives and what to wind off for each sock.

    Raises CraftError.
    """
    stitch = fabric.per_stitch
    need = yarn_for(made.sock, stitch, m_per_100g, ball_g, leg=made.schedule)
    if m_per_100g is None or ball_g is None or not isinstance(made.sock, SockPlan):
        return need, None, None
    longest = leg_of_ball(made.sock, stitch, fabric.rows, m_per_100g, ball_g, unit=unit, shaped=made.schedule)
    return need, longest, wind_off(made.sock, stitch, m_per_100g, ball_g, leg=made.schedule)


def heels_for(
    values: Values, fabric: Fabric, wearer: Wearer | None = None, learnt: Correction | None = None, unit: str = "in"
) -> tuple[HeelBeside, ...]:
    """What every kind of heel would do to this sock; nothing for a tube without one."""
    if values.heel.kind == "none":
        return ()

    def made(other: Values) -> tuple[SockPlan, float]:
        one = make_sock(other, fabric, wearer, learnt, unit)
        assert isinstance(one.sock, SockPlan)  # none of these heels is none
        return one.sock, yarn_of(one, fabric, None, None, unit)[0].metres_per_pair

    return heels_beside(values, fabric, made)


@dataclass(frozen=True, slots=True)
class Working:
    """What it all comes to. With ``problems`` or ``missing`` there is no sock, and so no numbers."""

    problems: dict[str, str] = field(default_factory=dict)
    missing: str = ""
    values: Values | None = None
    made: Made | None = None
    yarn: YarnNeed | None = None
    learnt: Correction | None = None
    parts: tuple[Labelled, ...] = ()
    rest: tuple[Labelled, ...] = ()
    leg: tuple[Labelled, ...] = ()
    heels: tuple[str, ...] = ()
    cylinders: tuple[tuple[str, ...], ...] = ()
    tight: Tightness = field(default_factory=Tightness)
    caution: str = ""
    notes: tuple[str, ...] = ()

    @property
    def sock(self) -> SockPlan | None:
        """The sock, when it can be knitted; None of a tube without a heel."""
        return self.made.sock if self.made and isinstance(self.made.sock, SockPlan) else None

    @property
    def called(self) -> TubeName:
        """What a knitter calls it; a sock while there is none."""
        if self.made is None or self.values is None:
            return "sock"
        return tube_name(self.values.heel.kind, self.values.end, self.made.leg_mm)


def work_out(
    typed: Typed, knit: Knit | None, wearer: Wearer | None, unit: str = "in", worn: Worn | None = None
) -> Working:
    """The sock that what is typed comes to, or what is wrong, or what is missing. Never raises for bad text."""
    slots = knit.gauge.slots if knit else None
    values, problems = read_values(typed, slots, unit)
    if values is None:
        lines = sock_fields(unit)
        wrong = " and ".join(f"“{lines[name].label}”" for name in problems)
        return Working(problems, f"Correct {wrong} to see the numbers.")
    if knit is None:
        return Working(missing="Choose a gauge first: the sock is worked out from it.")
    if values.heel.kind != "none" and values.tube_mm is None and values.foot_mm is None:
        return Working(missing=NO_FOOT)
    if why := ruled_out(values, knit.cranked_on):
        return Working(missing=why)
    learnt = learn(worn.verdicts) if worn and worn.verdicts else None
    try:
        fabric = knit.fabric
        made = make_sock(values, fabric, wearer, learnt, unit)
        return _in_full(values, knit, fabric, wearer, unit, made, learnt, worn)
    except CraftError as wrong:
        return Working(missing=str(wrong))


def _in_full(
    values: Values,
    knit: Knit,
    fabric: Fabric,
    wearer: Wearer | None,
    unit: str,
    made: Made,
    learnt: Correction | None,
    worn: Worn | None,
) -> Working:
    """A sock that can be knitted, with its fit and its yarn. Raises CraftError."""
    sock, yarn = made.sock, knit.yarn
    whole = sock if isinstance(sock, SockPlan) else None
    ball = yarn.ball_g if yarn else None
    need, longest, wound = yarn_of(made, fabric, yarn.m_per_100g if yarn else None, ball, unit)
    called = tube_name(values.heel.kind, values.end, made.leg_mm)
    on_a_foot = called not in ("wrister", "leg warmer")
    size = values.foot_size
    fit = fit_round(fabric, wearer, values.foot_mm, learnt, unit, size, values.rib) if on_a_foot else Fit(())
    feet = feet_of(wearer) if on_a_foot else None
    tight = where_tight(fabric, wearer, values, sock, made.leg_mm, made.schedule, unit)
    on_a_leg = 0.0 if called == "wrister" else made.leg_mm
    leg_lies, leg_told = leg_round(fabric, wearer, values, on_a_leg, made.schedule, unit, "type it with the wearer")
    if called == "wrister":
        wearer = None  # it is for no foot, and no leg
    caution = wearer is not None and wearer.caution
    around = (*leg_round_lines(leg_lies, verdicts=not caution), *tight.lines)
    rest = [*fit.lines, *around, *yarn_lines(need, ball), *stripe_lines(values.stripes, sock, need)]
    rest += thread_lines(need) if values.reinforced else []
    notes = [*(feet.notes if feet else ()), *made.notes, *sock.notes, knit.from_notebook]
    if learnt:
        notes += [*learnt.notes, *(worn.notes if worn else ())]
    one = None if knit.pool else knit.tube  # how its own tube was measured tells nothing of a mean
    surer = narrowing_note(one, whole, fabric.spread, fabric.tubes_measured) if whole else ()
    notes += [*surer, *fit.notes, *leg_told, *tight.notes]
    if values.foot_size is not None:
        notes.append(values.foot_size.words)
    notes += [named(need.part_words, called), *need.notes[1:], *fabric.per_stitch.notes]
    if longest is not None and wound is not None:
        rest += ball_lines(longest, wound)
        notes += [longest.words, wound.words]
    notes += [need.safe_words, WORKED_OUT if whole else ""]
    if knit.tube:
        notes += [f"The tube's gauge: {doubt}" for doubt in knit.tube.doubts]
    return Working(
        values=values,
        made=made,
        yarn=need,
        learnt=learnt,
        parts=(*part_lines(sock), *(route_lines(whole) if whole else ())),
        rest=tuple(rest),
        leg=leg_lines(made.schedule, knit.dial.clicks_per_turn, unit),
        heels=table(heels_for(values, fabric, wearer, learnt, unit), fabric, unit),
        cylinders=fit.cylinders,
        tight=tight,
        caution=CAUTION if caution else "",
        notes=tuple(dict.fromkeys(filter(None, notes))),
    )


def loop_a_click(made: Made, fabric: Fabric) -> float | None:
    """By which share of the loop at the gauge's dial position a click further down makes it larger.

    By what the tubes of this yarn say, else the machine's pitch; None for a leg that stays at that position.
    """
    if not made.dial_changes or fabric.clicks is None:
        return None
    response = fabric.response
    return nominal(response.rise_mm) / nominal(response.loop_at(fabric.clicks))


def to_plan(plan_id: str, typed: Typed, knit: Knit, wearer: Wearer | None, working: Working) -> Plan:
    """The record to keep of a sock that came out. Raises ValueError when none did."""
    made, values, need = working.made, working.values, working.yarn
    if made is None or values is None or need is None:
        raise CraftError(working.missing or "There is no sock to keep yet.")
    sock = made.sock
    whole = sock if isinstance(sock, SockPlan) else None
    gauge, learnt = knit.gauge, working.learnt
    return Plan(
        id=plan_id,
        name=typed.name.strip() or usual_name(knit, wearer, of=working.called),
        machine=gauge.machine,
        cylinder=gauge.cylinder,
        yarn=gauge.yarn,
        wearer=wearer.id if wearer else None,
        gauge_session=gauge.session,
        gauge_sessions=tuple(tube.session for tube in knit.pool),
        slots=gauge.slots,
        dial=gauge.dial,
        rows_per_mm=nominal(knit.rates[0]),
        stitches_per_mm=nominal(knit.rates[1]),
        tube_length_mm=values.tube_mm,
        foot_length_mm=values.foot_mm,
        length_ease_mm=values.ease_mm,
        ankle_mm=values.ankle_mm,
        calf_mm=values.calf_mm,
        leg_mm=made.leg_mm,
        hem_rows=values.cuff.rows if values.cuff and values.cuff.kind == "hem" else 0,
        heel_left_in_work=whole.heel.left_in_work if whole else 1,
        toe_left_in_work=sock.toe.left_in_work if sock.toe else 1,
        lowering=values.lowering,
        plain_passes=values.plain_passes,
        reinforced=values.reinforced,
        part_row=values.part_row,
        cuff=PlannedCuff.model_validate(values.cuff, from_attributes=True) if values.cuff else None,
        stripes=values.stripes.words if values.stripes else "",
        rib=_kept_rib(values.rib, knit.fabric),
        extra_heel_rows=made.extra_heel_rows,
        extra_heel_passes=whole.heel.extra_passes if whole else 0,
        heel=values.heel.kind,
        heel_needles=values.heel.needles,
        gusset=values.heel.gusset,
        end="toe" if whole else values.end,
        dial_changes=made.dial_changes,
        loop_a_click=loop_a_click(made, knit.fabric),
        learnt_length_mm=nominal(learnt.length_mm) if learnt else 0.0,
        learnt_round_mm=nominal(learnt.round_mm) if learnt else 0.0,
        parts=tuple(PlannedPart.model_validate(part, from_attributes=True) for part in sock.sections),
        foot_rows=whole.foot_rows if whole else 0,
        foot_rows_error=whole.foot_rows_error if whole else 0.0,
        foot_rows_tape_error=whole.foot_rows_tape_error if whole else None,
        metres_per_pair=need.metres_per_pair,
        grams_per_pair=need.grams_per_pair,
    )


def _kept_rib(rib: Rib | None, fabric: Fabric) -> PlannedRib | None:
    if rib is None:
        return None
    own = fabric.ribs.get(rib.words)
    return PlannedRib(
        pattern=rib.pattern,
        way=rib.way,
        instep=bool(rib.instep),
        rows_per_mm=nominal(own.rows) if own else None,
        stitches_per_mm=nominal(own.stitches) if own else None,
        stretched_mm=own.stretched_mm if own else None,
    )


def usual_name(knit: Knit | None, wearer: Wearer | None, taken: Collection[str] = (), *, of: TubeName = "sock") -> str:
    """What a plan is called when nobody names it: a pair of what it is ``of``, for whom, and of which yarn.

    Numbered from the second on, where that name is ``taken``.
    """
    what = f"{knit.yarn.name} {of}s" if knit and knit.yarn else f"{of.capitalize()}s"
    name = f"{what} for {wearer.name}"[:64] if wearer else what[:64]
    numbered = (f"{name[:58].rstrip()}, {number}" for number in range(2, len(taken) + 3))
    return next(one for one in (name, *numbered) if one not in taken)


def ruled_out(values: Values, machine: Machine | None) -> str:
    """Why this cannot be cranked on ``machine`` by what its record says, and what can; empty where it can."""
    if machine is None:
        return ""
    cannot = cannot_be_chosen(machine)
    heel, end = values.heel.kind in cannot.get("heel", ()), values.end in cannot.get("end", ())
    if heel or (end and values.heel.kind == "none"):
        what = "heel and toe are turned" if heel else "a toe is turned"
        return (
            f"Ruled out on {machine.name}: its record says that {FORWARDS}, and {what} to and fro. "
            "Choose a tube without a heel, drawn up or open at its end."
        )
    ribbed = (values.cuff is not None and values.cuff.kind == "ribber") or (
        values.rib is not None and values.rib.way == "ribber"
    )
    return without_ribber(machine) if ribbed and has_no_ribber(machine) else ""


def shape_of(made: Made, fabric: Fabric) -> Shape:
    """The shape of the sock worked out."""
    a_click = loop_a_click(made, fabric) or 0.0
    at = fabric.clicks or 0
    leg = tuple((row, 1 + a_click * (clicks - at)) for row, clicks in made.dial_changes)
    rib, cuff = made.sock.rib, made.sock.cuff
    own = fabric.ribs.get(rib.words) if rib else None
    above = ribbed_parts(rib.pattern, cuff.pattern if cuff and cuff.kind == "ribber" else "") if rib else ()
    rates = (nominal(own.rows), nominal(own.stitches)) if own else None
    by = Knitted(nominal(fabric.rows), nominal(fabric.stitches), fabric.slots, leg, above, rates)
    heel = made.sock.heel if isinstance(made.sock, SockPlan) else None
    return sock_shape(made.sock.sections, heel, made.sock.toe, by)
