"""``hosewright sock``: a gauge and a length in, the parts of the sock and its yarn out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.loops import loop_length_mm
from hosewright.craft.sock import plan_sock
from hosewright.craft.supply import yarn_for
from hosewright.craft.units import read_length, read_mass, read_number, show_length
from hosewright.phrases.figures import error_words
from hosewright.session.steps.hazards import FEET_AT_RISK
from hosewright.verbs.parsing import Parser, UsageError, aligned, put, sentences, usual
from hosewright.verbs.sock_more import (
    add_more,
    ball_share,
    is_nought,
    more_answer,
    read_asked,
    read_leg_fit,
    read_schedule,
    schedule_lines,
)
from hosewright.verbs.tube import add_rates, read_rate

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.measured import Measured
    from hosewright.craft.sock import SockPlan
    from hosewright.craft.supply import YarnNeed
    from hosewright.verbs.sock_more import Asked


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError or UsageError with a sentence."""
    args = _parser().parse_args(argv)
    if args.tube_length is None and args.foot_length is None:
        raise UsageError("Type --tube-length (the straight part of a sock that fits), --foot-length, or both.")
    unit = usual().length_unit
    rows = read_rate(args.rows_per_in, args.rows_per_cm, args.rows_error, "rows")
    stitches = read_rate(args.stitches_per_in, args.stitches_per_cm, args.stitches_error, "stitches")

    asked = read_asked(args, rows, unit)
    plan = _plan(args, rows, stitches, asked, unit)
    per_100g = args.m_per_100g
    metres = None if per_100g is None else read_number(per_100g, what="metres per 100 g", least=1, most=100_000)
    ball = None if args.ball_mass is None else read_mass(args.ball_mass, usual().mass_unit, what="ball's mass")
    loop = loop_length_mm(rows, args.state)
    schedule, told = read_schedule(args, plan, loop, unit)
    need = yarn_for(plan, loop, metres, ball, leg=schedule)
    share, shared = ball_share(plan, loop, rows, metres, ball, unit, schedule)
    lies, leg_told = read_leg_fit(args, plan, asked, schedule, unit)
    notes = [*asked.notes, *plan.notes, *told, *leg_told, *need.notes]
    if args.wind_off:
        notes += [*shared, need.safe_words]
    if ball is not None and metres is None:
        notes.append("Whether a ball is enough is not known without the yarn: type --m-per-100g as its label has it.")
    notes.append("No girth was asked for: how it fits round is not said here, hosewright cylinders says it.")
    if args.rows_error is None:
        notes.append("The gauge's error was not typed (--rows-error), so the rows are shown without one.")
    notes.append(FEET_AT_RISK)
    answer = (
        _answer(plan, need)
        | {"part_row": asked.part_row}
        | more_answer(plan, need, schedule)
        | lies
        | share
        | {"notes": notes}
    )
    return put(
        answer, [*_lines(plan, need, unit), *schedule_lines(schedule, args, unit), *sentences(notes)], as_json=args.json
    )


def _parser() -> Parser:
    parser = Parser(
        "sock",
        "a sock's rows and passes, its yarn, and whether one ball is enough",
        'hosewright sock --slots 64 --rows-per-in 10.3 --stitches-per-in 8 --tube-length "15 cm" --leg "14 cm"',
    )
    parser.add_argument("--slots", required=True, help="slots with a needle in work")
    add_rates(parser, required=True)
    parser.add_argument("--tube-length", metavar="LENGTH", help="straight part of a sock that fits, gore to gore")
    parser.add_argument("--foot-length", metavar="LENGTH", help="heel to longest toe, standing")
    parser.add_argument("--length-ease", metavar="LENGTH", default="0.5 in", help="how much shorter (0.5 in)")
    parser.add_argument("--left-in-work", metavar="N", help="needles the heel is narrowed to (a third)")
    parser.add_argument("--toe-left-in-work", metavar="N", help="the same for the toe (as the heel)")
    parser.add_argument(
        "--lowering",
        default="far",
        help="needles come down far or near, which leaves small holes along the gores, or two-and-one, which closes "
        "them (far)",
    )
    parser.add_argument(
        "--plain-passes",
        nargs="?",
        const="both",
        choices=("before", "after", "both"),
        help="a plain pass over all the needles before heel and toe narrow, after they widen, or both (none)",
    )
    add_more(parser)
    parser.add_argument("--m-per-100g", metavar="METRES", help="the yarn, to weigh the pair")
    parser.add_argument("--ball-mass", metavar="MASS", help="what one ball weighs, such as “100 g”")
    parser.add_argument("--wind-off", action="store_true", help="also the longest leg of a ball, and what to wind off")
    parser.add_argument("--state", default="full", help="how far the tube had relaxed: dry, wet or full (full)")
    parser.add_json()
    return parser


def _plan(args: Namespace, rows: Measured, stitches: Measured, asked: Asked, unit: str) -> SockPlan:
    def length(text: str | None, what: str) -> float | None:
        return None if text is None else read_length(text, unit, what=what)

    return plan_sock(
        slots=asked.slots,
        rows_per_mm=rows,
        stitches_per_mm=stitches,
        tube_length_mm=length(args.tube_length, "tube"),
        foot_length_mm=length(args.foot_length, "foot"),
        length_ease_mm=0.0 if is_nought(args.length_ease) else length(args.length_ease, "ease") or 0.0,
        leg_mm=asked.leg_mm,
        left_in_work=asked.heel.left_in_work,
        toe_left_in_work=asked.toe_left_in_work,
        lowering=args.lowering,
        plain_passes=asked.heel.plain_passes,
        unit=unit,
        cuff=asked.cuff,
        extra_heel_rows=asked.extra_heel_rows,
        extra_heel_passes=asked.heel.extra_passes,
        part_row=asked.part_row,
    )


def _answer(plan: SockPlan, need: YarnNeed) -> dict[str, Any]:
    return {
        "sections": [
            {"name": part.name, "kind": part.kind, "count": part.count, "stitches": part.stitches}
            for part in plan.sections
        ],
        "section_metres": dict(need.sections),
        "section_grams": dict(need.section_grams),
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


def _lines(plan: SockPlan, need: YarnNeed, unit: str) -> list[str]:
    turned = {"heel": plan.heel, "toe": plan.toe}
    rows = []
    grams = dict(need.section_grams)
    for part, (_, metres) in zip(plan.sections, need.sections, strict=True):
        how = ""
        if part.name in turned:
            how = f"{turned[part.name].needles} needles down to {turned[part.name].left_in_work} and back"
        elif part.name == "foot" and round(plan.foot_rows_error):
            how = f"± {plan.foot_rows_error:.0f}"
        weighs = (f"{grams[part.name]:>4.1f} g",) if grams else ()
        rows.append((part.name.capitalize(), f"{part.count:>4} {part.kind}", f"{metres:>5.1f} m", *weighs, how))
    sure = f" {error_words(plan.circumference_error_mm, unit)}" if plan.circumference_error_mm else ""
    whole = [
        f"Stitches in a sock: {plan.stitches_per_sock}.",
        f"Circumference: {show_length(plan.circumference_mm, unit)}{sure}.",
    ]
    if need.grams_per_pair is not None and need.ball is None:
        whole.append(f"A pair weighs about {need.grams_per_pair:.0f} g.")
    return [*aligned(rows), "", *whole]
