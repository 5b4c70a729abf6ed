"""``hosewright sock``: a gauge and a length in, the parts of the sock and its yarn out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from hosewright.verbs.parsing import Parser, UsageError, aligned, put, sentences, usual

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.measured import Measured
    from hosewright.craft.sock import SockPlan, YarnNeed

MM_PER_CM = 10.0


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError or UsageError with a sentence."""
    args = _parser().parse_args(argv)
    if args.tube_length is None and args.foot_length is None:
        raise UsageError("Type --tube-length (the straight part of a sock that fits), --foot-length, or both.")
    unit = usual().length_unit
    rows = _rate(args.rows_per_in, args.rows_per_cm, args.rows_error, "rows")
    stitches = _rate(args.stitches_per_in, args.stitches_per_cm, args.stitches_error, "stitches")

    from hosewright.craft.loops import loop_length_mm
    from hosewright.craft.sock import yarn_for
    from hosewright.craft.units import read_mass, read_number

    plan = _plan(args, rows, stitches, unit)
    per_100g = args.m_per_100g
    need = yarn_for(
        plan,
        loop_length_mm(rows, args.state),
        None if per_100g is None else read_number(per_100g, what="metres per 100 g", least=1, most=100_000),
        None if args.ball_mass is None else read_mass(args.ball_mass, usual().mass_unit, what="ball's mass"),
    )
    notes = [*plan.notes, *need.notes]
    if args.rows_error is None:
        notes.append("The gauge's error was not typed (--rows-error), so the rows are shown without one.")
    return put(_answer(plan, need) | {"notes": notes}, [*_lines(plan, need), *sentences(notes)], as_json=args.json)


def _parser() -> Parser:
    parser = Parser(
        "sock",
        "a sock's rows and passes, its yarn, and whether one ball is enough",
        'hosewright sock --slots 72 --rows-per-in 11.11 --stitches-per-in 8.5 --tube-length "6 in" --leg "6 in"',
    )
    parser.add_argument("--slots", required=True, help="slots with a needle in work")
    for name in ("rows", "stitches"):
        rate = parser.add_mutually_exclusive_group(required=True)
        rate.add_argument(f"--{name}-per-in", metavar="N", help=f"{name} per inch, washed")
        rate.add_argument(f"--{name}-per-cm", metavar="N", help="the same per cm")
        parser.add_argument(f"--{name}-error", metavar="N", help="its standard error, in the same unit")
    parser.add_argument("--tube-length", metavar="LENGTH", help="straight part of a sock that fits, gore to gore")
    parser.add_argument("--foot-length", metavar="LENGTH", help="heel to longest toe, standing")
    parser.add_argument("--length-ease", metavar="LENGTH", default="0.5 in", help="how much shorter (0.5 in)")
    parser.add_argument("--leg", metavar="LENGTH", help="length of the leg (no leg)")
    parser.add_argument("--hem-rows", metavar="N", default="0", help="rows of hung hem, an even number (0)")
    parser.add_argument("--left-in-work", metavar="N", help="needles the heel is narrowed to (a third)")
    parser.add_argument("--toe-left-in-work", metavar="N", help="the same for the toe (as the heel)")
    parser.add_argument("--lowering", default="far", help="needles come down far, near or two-and-one (far)")
    parser.add_argument("--plain-passes", action="store_true", help="a plain pass before and after heel and toe")
    parser.add_argument("--m-per-100g", metavar="METRES", help="the yarn, to weigh the pair")
    parser.add_argument("--ball-mass", metavar="MASS", help="what one ball weighs, such as “100 g”")
    parser.add_argument("--state", default="full", help="how far the tube had relaxed: dry, wet or full (full)")
    parser.add_json()
    return parser


def _rate(per_in: str | None, per_cm: str | None, error_text: str | None, what: str) -> Measured:
    """Rows or stitches per mm."""
    from hosewright.craft.measured import measured
    from hosewright.craft.units import MM_PER_INCH, read_number

    typed, mm = (per_in, MM_PER_INCH) if per_in is not None else (per_cm or "", MM_PER_CM)
    value = read_number(typed, what=f"number of {what}", least=0.1, most=100)
    error = 0.0 if error_text is None else read_number(error_text, what=f"error of the {what}", least=0, most=value)
    return measured(value / mm, error / mm)


def _plan(args: Namespace, rows: Measured, stitches: Measured, unit: str) -> SockPlan:
    from hosewright.craft.sock import plan_sock
    from hosewright.craft.units import read_length, read_whole

    def length(text: str | None, what: str) -> float | None:
        return None if text is None else read_length(text, unit, what=what)

    def needles(text: str | None) -> int | None:
        return None if text is None else read_whole(text, what="number left in work", least=1, most=400)

    return plan_sock(
        slots=read_whole(args.slots, what="number of slots", least=8, most=400),
        rows_per_mm=rows,
        stitches_per_mm=stitches,
        tube_length_mm=length(args.tube_length, "tube"),
        foot_length_mm=length(args.foot_length, "foot"),
        length_ease_mm=0.0 if _is_nought(args.length_ease) else length(args.length_ease, "ease") or 0.0,
        leg_mm=0.0 if args.leg is None or _is_nought(args.leg) else length(args.leg, "leg") or 0.0,
        hem_rows=read_whole(args.hem_rows, what="number of hem rows", least=0, most=400),
        left_in_work=needles(args.left_in_work),
        toe_left_in_work=needles(args.toe_left_in_work),
        lowering=args.lowering,
        plain_passes=args.plain_passes,
        unit=unit,
    )


def _is_nought(text: str) -> bool:
    """Whether a length was typed as none at all, which is no slip for an ease or a leg."""
    return re.fullmatch(r"\s*0+([.,]0*)?\s*(in|cm|mm|\")?\s*", text) is not None


def _answer(plan: SockPlan, need: YarnNeed) -> dict[str, Any]:
    return {
        "sections": [
            {"name": part.name, "kind": part.kind, "count": part.count, "stitches": part.stitches}
            for part in plan.sections
        ],
        "heel": _turning(plan.heel.needles, plan.heel.left_in_work, plan.heel.count),
        "toe": _turning(plan.toe.needles, plan.toe.left_in_work, plan.toe.count),
        "foot_rows": plan.foot_rows,
        "foot_rows_error": plan.foot_rows_error,
        "routes": [
            {"by": route.by, "rows": route.rows, "rows_error": route.error, "tube_mm": route.tube_mm}
            for route in plan.routes
        ],
        "circumference_mm": plan.circumference_mm,
        "stitches_per_sock": plan.stitches_per_sock,
        "metres_per_pair": need.metres_per_pair,
        "metres_per_pair_error": need.metres_error,
        "grams_per_pair": need.grams_per_pair,
        "enough": need.enough,
    }


def _turning(needles: int, left_in_work: int, passes: int) -> dict[str, int]:
    return {"needles": needles, "left_in_work": left_in_work, "passes": passes}


def _lines(plan: SockPlan, need: YarnNeed) -> list[str]:
    turned = {"heel": plan.heel, "toe": plan.toe}
    rows = []
    for part, (_, metres) in zip(plan.sections, need.sections, strict=True):
        how = ""
        if part.name in turned:
            how = f"{turned[part.name].needles} needles down to {turned[part.name].left_in_work} and back"
        elif part.name == "foot" and round(plan.foot_rows_error):
            how = f"± {plan.foot_rows_error:.0f}"
        rows.append((part.name.capitalize(), f"{part.count:>4} {part.kind}", f"{metres:>5.1f} m", how))
    whole = [
        f"Stitches in a sock: {plan.stitches_per_sock}.",
        f"Circumference: {plan.circumference_mm:.0f} mm.",
    ]
    if need.grams_per_pair is not None and need.enough is None:
        whole.append(f"A pair weighs about {need.grams_per_pair:.0f} g.")
    return [*aligned(rows), "", *whole]
