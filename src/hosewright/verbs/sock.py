"""``hosewright sock``: a gauge and typed lines in, the parts of the sock and its yarn out, as the bench plans it."""

from __future__ import annotations

import argparse
import math
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from hosewright.craft.colours import show_colour
from hosewright.craft.dial import show_position
from hosewright.craft.fit import CylinderSize
from hosewright.craft.measured import error, nominal, shown_error, tape_part
from hosewright.craft.sock import SockPlan
from hosewright.craft.spread import ASSUMED, ASSUMED_SHARE, Spread
from hosewright.craft.units import MM_PER_INCH, length_plus_minus, read_mass, read_number, read_whole, show_length
from hosewright.planning.choices import CUFF, END, HEEL, USUAL_PATTERN
from hosewright.planning.fabric import Fabric
from hosewright.planning.fit import leg_round
from hosewright.planning.gauges import PlanShelf, gauge_words
from hosewright.planning.plan_lines import USUAL_CUFF_ROWS, LegTyped
from hosewright.planning.sock import heels_for, make_sock, ruled_out, yarn_of
from hosewright.planning.sock_lines import WORKED_OUT, narrowing_note, stripe_lines, striped_metres, table
from hosewright.planning.typed import Typed, read_values
from hosewright.session.steps.said import FEET_AT_RISK
from hosewright.verbs.book import open_book
from hosewright.verbs.options import add_rates, add_yarn, dial_of, read_clicks, read_rates, read_slots, read_yarn
from hosewright.verbs.parsing import Parser, UsageError, aligned, named, put, sentences, usual

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.leg import LegFit, LegStep
    from hosewright.craft.sock import TubePlan
    from hosewright.craft.supply import LegOfBall, WindOff, YarnNeed
    from hosewright.craft.turning import Turning
    from hosewright.planning.gauges import Knit
    from hosewright.planning.typed import Values


MOST_TUBES = 1000
MOST_SPREAD = 20.0  # in %
# Each option, the line of the sock it is typed for, how its value is called, and its help.
_LINES = (
    ("--tube-length", "tube", "LENGTH", "straight part of a sock that fits, gore to gore"),
    ("--foot-length", "foot", "LENGTH", "heel to longest toe, standing, or a shoe size such as “EU 42”"),
    ("--length-ease", "ease", "LENGTH", "how much shorter than the foot, or none (1/2 in)"),
    (
        "--cuff",
        "cuff",
        "CUFF",
        f"{CUFF.help}: {', '.join(name for _, name in CUFF.choices or ())} (none)",
    ),
    ("--cuff-rows", "rows", "N", f"rows cranked for it ({USUAL_CUFF_ROWS})"),
    (
        "--rib",
        "pattern",
        "PATTERN",
        "needles in and out such as 3x1, or the ribber's (3x1, 1x1); “3x1 uneven” need not go round evenly",
    ),
    ("--leg", "leg", "LEG", "its length, or crew, “ankle women”, “mid-calf men”, “knee women” (no leg)"),
    (
        "--leg-rib",
        "leg_rib",
        "RIB",
        "ribs of the leg: 1x1, 2x1, 3x1 with the ribber, “3x1 latched” without (plain)",
    ),
    ("--instep-rib", "instep_rib", "RIB", "the same ribs over the instep, along the foot (plain)"),
    ("--stripes", "stripes", "STRIPES", "rows and colours down leg and foot: “8 navy, 4 tan”, or with “, once” (none)"),
    ("--ankle", "ankle", "LENGTH", "ankle girth, held against the leg"),
    ("--calf", "calf", "LENGTH", "calf girth, held against a knee leg"),
    ("--heel", "heel", "HEEL", f"{HEEL.help}: {', '.join(name for _, name in HEEL.choices or ())} (short-row)"),
    ("--end", "end", "END", f"{END.help}: {', '.join(name for _, name in END.choices or ())} (toe)"),
    ("--heel-needles", "heel_needles", "N", "of a short-row heel: more than half, by twos (half)"),
    ("--gusset", "gusset", "N", "of a mini-gusset: instep needles that join on each side (5 on 45 slots to 8 on 84)"),
    ("--left-in-work", "left", "N", "needles the heel is narrowed to (a third)"),
    ("--toe-left-in-work", "toe", "N", "the same for the toe (as the heel)"),
    ("--deepen", "deepen", "WAY", "for a high instep: rows before the heel, plain passes, or fewer needles (none)"),
    ("--deeper", "deeper", "ROWS", "by how many rows"),
    (
        "--lowering",
        "lowering",
        "WAY",
        "needles come down far or near, which leaves small holes along the gores, or two-and-one, which closes them "
        "(far)",
    ),
    ("--part-row", "part", "N", "stitches from where your rows begin to the heel half (0, the best)"),
)


def run(argv: list[str]) -> int:
    args = _parser().parse_args(argv)
    if not args.tube and not args.foot and HEEL.read(args.heel) != "none":
        raise UsageError("Type --tube-length (the straight part of a sock that fits), --foot-length, or both.")
    unit = usual().length_unit
    knit, tubes = _kept(args, unit) if args.gauge is not None else (None, [])
    fabric = knit.fabric if knit else _fabric(args)
    values = _values(args, fabric.slots, unit)
    if knit and (why := ruled_out(values, knit.cranked_on)):
        raise UsageError(why)
    made = make_sock(values, fabric, unit=unit)
    of = knit.yarn if knit else None
    metres = read_yarn(args) or (of.m_per_100g if of else None)
    ball = of.ball_g if of else None
    if args.ball_mass is not None:
        ball = read_mass(args.ball_mass, usual().mass_unit, what="ball's mass")
    need, longest, wound = yarn_of(made, fabric, metres, ball, unit)
    fits, leg_told = leg_round(fabric, None, values, made.leg_mm, made.schedule, unit, "type --calf")
    plan, schedule = made.sock, made.schedule
    heels = heels_for(values, fabric, unit=unit)
    whole = plan if isinstance(plan, SockPlan) else None
    notes = [*made.notes, *plan.notes, *leg_told, *need.notes, *([WORKED_OUT] if heels else [])]
    if values.foot_size is not None:
        notes.append(values.foot_size.words)
    if args.wind_off:
        notes += [*(one.words for one in (longest, wound) if one is not None), need.safe_words]
    if ball is not None and metres is None:
        notes.append("To know whether a ball is enough, type --yarn as its label has it.")
    notes += narrowing_note(None, whole, fabric.spread, fabric.tubes_measured) if whole else []
    if values.heel.kind != "none" or values.end != "chained off":
        notes.append("No girth was given, so the fit round the foot is not shown; `hosewright cylinders` shows it.")
    told_apart = knit is not None or args.rows_error is not None
    if not told_apart:
        notes.append("The gauge's own error was not typed (--rows-error), so the rows are less sure than shown.")
    notes += [f"Of the yarn: {said}." for _, said in stripe_lines(values.stripes, plan, need)]
    notes.append(FEET_AT_RISK)
    answer = (
        _sock_answer(plan, values.part_row)
        | _yarn_answer(need, longest, wound)
        | _rib_answer(plan)
        | _stripes_answer(values, plan, need)
        | _leg_answer(schedule, fits)
        | ({"gauge": _gauge_answer(knit)} if knit else {})
        | {"heels": [asdict(one) for one in heels], "notes": notes}
    )
    lines = [
        *_lines(plan, need, unit, whole.foot_rows_tape_error if whole and told_apart else None),
        *_schedule_lines(schedule, fabric, unit),
        *(["", *table(heels, fabric, unit)] if heels else []),
        *sentences(tubes),
        *sentences(notes),
    ]
    return put(answer, lines, as_json=args.json)


def add_lines(parser: Parser) -> None:
    """The lines of a sock as options, each with the text of its line under its name; empty when it is not given."""
    for option, line, called, words in _LINES:
        parser.takes(option, called, words, dest=line, default="")
    parser.takes(
        "--plain-passes",
        "WHEN",
        "a plain pass over all the needles before heel and toe narrow, after they widen, or both (none)",
        dest="plain",
        nargs="?",
        const="both",
        default="",
    )


def _parser() -> Parser:
    parser = Parser(
        "sock",
        "a sock's rows and passes, its yarn, and whether one ball is enough",
        '--slots 64 --rows-per-in 10.3 --stitches-per-in 8 --tube-length "15 cm" --leg "14 cm"',
    )
    add_gauge(parser)
    parser.add_argument("--slots", help="or typed: slots with a needle in work")
    add_rates(parser, required=False)
    parser.takes("--tubes", "N", "tubes that gauge is the mean of (1)", default="1")
    parser.takes(
        "--spread", "PERCENT", f"how far tubes of this yarn differ ({ASSUMED_SHARE * 100:g} %%, our assumption)"
    )
    add_lines(parser)
    parser.takes("--dial", "POSITION", "where it stood for this gauge (“27 clicks”): the leg is shaped by it")
    parser.takes("--pitch", "LENGTH", "how far a turn moves the V-cam: a shaped leg needs it")
    parser.takes("--clicks-per-turn", "N", "clicks in a turn of the dial (4)", default="4")
    add_yarn(parser)
    parser.takes("--ball-mass", "MASS", "what one ball weighs, such as “100 g”")
    parser.flag("--wind-off", "also the longest leg from one ball, and what to wind off")
    parser.add_argument("--state", default="full", help="how far the tube had relaxed: dry, wet or full (full)")
    # Taken without a word: other ways to ask for what the options above say.
    silent = argparse.SUPPRESS
    parser.add_argument("--for", dest="sex", choices=("men", "women"), help=silent)
    parser.flag("--single", silent)
    parser.flag("--selvedge", silent)
    parser.flag("--uneven", silent)
    parser.add_argument("--hem-rows", default="0", help=silent)
    parser.add_argument("--extra-heel-rows", dest="extra_rows", default="", help=silent)
    parser.add_argument("--extra-heel-passes", dest="extra_passes", default="", help=silent)
    return parser


def _kept(args: Namespace, unit: str) -> tuple[Knit, list[str]]:
    """The gauge of the logbook asked for, and its tubes as lines. Raises LogbookError, CraftError or UsageError."""
    typed = ("slots", "rows_per_in", "rows_per_cm", "stitches_per_in", "stitches_per_cm", "dial")
    if any(getattr(args, name) is not None for name in typed):
        raise UsageError("Type --gauge or the gauge itself, not both; hosewright plan shapes a leg by the dial.")
    with open_book() as book:
        shelf = PlanShelf(book, usual().tape_error_mm)
        shelf.read_gauges()
        return without(shelf, gauge_named(shelf, args.gauge, unit), args, unit)


def _gauge_answer(knit: Knit) -> dict[str, Any]:
    rows, stitches = knit.rates
    return {
        "tubes": [tube.session for tube in knit.pool] or [knit.gauge.session],
        "slots": knit.gauge.slots,
        "dial": knit.gauge.dial,
        "rows_per_in": nominal(rows) * MM_PER_INCH,
        "rows_per_in_tape_error": error(rows) * MM_PER_INCH,
        "stitches_per_in": nominal(stitches) * MM_PER_INCH,
        "stitches_per_in_tape_error": error(stitches) * MM_PER_INCH,
    }


def _fabric(args: Namespace) -> Fabric:
    if args.slots is None or not (args.rows_per_in or args.rows_per_cm):
        raise UsageError(
            "Type --gauge with words of one in the logbook, or --slots, --rows-per-in and --stitches-per-in."
        )
    if not (args.stitches_per_in or args.stitches_per_cm):
        raise UsageError("Type --stitches-per-in (or --stitches-per-cm), too.")
    rows, stitches = read_rates(args)
    dial = dial_of(args)
    clicks = None if args.dial is None else read_clicks(args.dial, dial.clicks_per_turn)
    cylinder = CylinderSize(read_slots(args.slots))
    return Fabric(
        rows=rows,
        stitches=stitches,
        cylinder=cylinder,
        spread=_spread(args),
        tubes_measured=read_whole(args.tubes, what="number of tubes", least=1, most=MOST_TUBES),
        state=args.state,
        dial=dial,
        clicks=clicks,
    )


def _spread(args: Namespace) -> Spread:
    """How far tubes differ, as typed in %, else our assumption."""
    if args.spread is None:
        return ASSUMED
    text = args.spread.strip().removesuffix("%")
    return Spread(read_number(text, what="spread of tubes in %", least=0, most=MOST_SPREAD) / 100, 0.0, math.inf)


def _values(args: Namespace, slots: int, unit: str) -> Values:
    """What was typed, read as the bench reads it. Raises CraftError or UsageError."""
    lines = (*(line for _, line, _, _ in _LINES), "plain", "extra_rows", "extra_passes")
    typed = Typed(**{line: getattr(args, line) for line in lines}, shaped="no" if args.dial is None else "yes")
    values, problems = read_values(_with_cuff(typed, args), slots, unit)
    if values is None:
        raise UsageError(next(iter(problems.values())))
    if args.dial is not None and not (args.ankle and args.calf):
        raise UsageError("A leg shaped by the dial needs --ankle, --calf and --dial, all three.")
    if values.leg == LegTyped() and (args.ankle or args.calf):
        raise UsageError("An ankle and a calf are held against the leg: type its --leg, too.")
    leg = replace(values.leg, sex=values.leg.sex or args.sex)
    if leg.name not in (None, "crew") and leg.sex is None:
        raise UsageError(
            f"Type --leg “{leg.name} men” or “{leg.name} women” (or --for men or --for women) to estimate a leg to the "
            f"{leg.name}, or type its length."
        )
    return replace(values, leg=leg)


def _with_cuff(typed: Typed, args: Namespace) -> Typed:
    """The lines with the cuff asked for by any option, and its usual rows and rib where none were typed."""
    name = CUFF.read(typed.cuff)
    rows = typed.rows
    if args.hem_rows.strip() != "0":
        if name != "none":
            raise UsageError(
                "Type --hem-rows or --cuff, not both: --cuff hem with --cuff-rows is the same as --hem-rows."
            )
        name, rows = "hem", args.hem_rows
    name += " single" if name == "mock rib" and args.single else ""
    name += " selvedge" if name == "ribber" and args.selvedge else ""
    pattern = typed.pattern or USUAL_PATTERN.get(name, "")
    return replace(
        typed,
        cuff=name,
        rows=rows or str(USUAL_CUFF_ROWS),
        pattern=f"{pattern} uneven" if args.uneven else pattern,
    )


# --- the answer as JSON ------------------------------------------------------------------------------------------


def _sock_answer(plan: TubePlan, part_row: int) -> dict[str, Any]:
    cuff = plan.cuff
    whole = plan if isinstance(plan, SockPlan) else None
    foot = ("foot_rows", "foot_rows_error", "foot_rows_tape_error")
    of_cuff = ("kind", "rows", "pattern", "hung", "out_of_work", "cylinder_needles", "ribber_needles")
    return {
        "sections": [asdict(part) for part in plan.sections],
        "heel": _turning(whole.heel) if whole else None,
        "toe": _turning(plan.toe) if plan.toe else None,
        **(named(whole, *foot) if whole else dict(zip(foot, (0, 0.0, 0.0), strict=True))),
        "leg_rows_error": plan.leg_rows_error,
        "part_row": part_row,
        "routes": [
            {"by": route.by, "rows": route.rows, "rows_error": route.error, "tube_mm": route.tube_mm}
            for route in (whole.routes if whole else ())
        ],
        "circumference_mm": plan.circumference_mm,
        "circumference_mm_error": plan.circumference_error_mm,
        "stitches_per_sock": plan.stitches_per_sock,
        "cuff": named(cuff, *of_cuff) if cuff else None,
    }


def _turning(turning: Turning) -> dict[str, int]:
    return {"needles": turning.needles, "left_in_work": turning.left_in_work, "passes": turning.count}


def _stripes_answer(values: Values, plan: TubePlan, need: YarnNeed) -> dict[str, Any]:
    if values.stripes is None:
        return {}
    metres = striped_metres(values.stripes, plan, need)
    each = {show_colour(colour): length for colour, length in metres.items()}
    return {"stripes": values.stripes.words, "stripe_metres_per_pair": each}


def _rib_answer(plan: TubePlan) -> dict[str, Any]:
    rib = plan.rib
    return {} if rib is None else {"rib": rib.words, "leg_rib": list(rib.leg), "instep_rib": list(rib.instep)}


def _yarn_answer(need: YarnNeed, longest: LegOfBall | None, wound: WindOff | None) -> dict[str, Any]:
    """The yarn; what a ball holds only where yarn and ball are known."""
    answer: dict[str, Any] = {
        "section_metres": dict(need.sections),
        "section_grams": dict(need.section_grams),
        "metres_per_pair": need.metres_per_pair,
        "metres_per_pair_error": need.metres_error,
        **named(need, "grams_per_pair", "enough", "safe_metres", "safe_grams", "chance_enough"),
    }
    if longest is not None and wound is not None:
        answer |= {
            "leg_rows_of_ball": longest.rows,
            "leg_rows_of_ball_error": longest.rows_error,
            "leg_rows_of_ball_safe": longest.safe_rows,
            "wind_off_grams": wound.grams_each,
            "wind_off_metres": wound.metres_each,
        }
    return answer


def _leg_answer(schedule: tuple[LegStep, ...], fits: tuple[LegFit, ...]) -> dict[str, Any]:
    return {
        "leg_by_dial": [
            named(step, "from_row", "rows", "clicks")
            | {"girth_mm": None if step.girth_mm is None else nominal(step.girth_mm)}
            for step in schedule
        ],
        "leg_fit": [
            {"place": fit.place, "girth_mm": nominal(fit.girth_mm), "round_mm": nominal(fit.round_mm)}
            | named(fit, "ease", "verdict")
            for fit in fits
        ],
    }


# --- the answer in words -----------------------------------------------------------------------------------------


def _lines(plan: TubePlan, need: YarnNeed, unit: str, tape: float | None) -> list[str]:
    """``tape`` is the tape's part of the foot's error in rows, None where it was not typed."""
    whole = plan if isinstance(plan, SockPlan) else None
    turned = {"heel": whole.heel if whole else None, "toe": plan.toe}
    rows = []
    grams = dict(need.section_grams)
    for part, (_, metres) in zip(plan.sections, need.sections, strict=True):
        how = ""
        turning = turned.get(part.name)
        if turning is not None:
            how = f"{turning.needles} needles down to {turning.left_in_work} and back"
        elif part.name == "foot" and whole:
            within = shown_error(whole.routes[0].exact)
            how = f"± {within}{tape_part(tape)}" if within else ""
        weighs = (f"{grams[part.name]:>4.1f} g",) if grams else ()
        rows.append((part.name.capitalize(), f"{part.count:>4} {part.kind}", f"{metres:>5.1f} m", *weighs, how))
    said = [
        f"Stitches in {'a sock' if whole else 'each'}: {plan.stitches_per_sock}.",
        f"Circumference: {length_plus_minus(plan.circumference_mm, plan.circumference_error_mm, unit)}.",
    ]
    if need.grams_per_pair is not None and need.ball is None:
        said.append(f"A pair weighs about {need.grams_per_pair:.0f} g.")
    return [*aligned(rows), "", *said]


def _schedule_lines(schedule: tuple[LegStep, ...], fabric: Fabric, unit: str) -> list[str]:
    """The dial changes as lines, set off by an empty line."""
    if not schedule:
        return []
    rows = [
        (
            f"Leg from row {step.from_row}",
            show_position(step.clicks, fabric.dial.clicks_per_turn),
            f"fits {show_length(nominal(girth), unit)} round",
        )
        for step in schedule
        if (girth := step.girth_mm) is not None
    ]
    return ["", *aligned(rows)]


# --- a gauge of the logbook as options --------------------------------------------------------------------------------


_SOME = "1, 3"


def add_gauge(parser: Parser) -> None:
    """Options for a gauge of the logbook."""
    parser.takes(
        "--gauge",
        "NAME",
        "of the logbook: words of its yarn, cylinder and machine (the mean of its tubes since a change), or the "
        "session of one tube alone",
    )
    parser.takes("--leave-out", "N", f"tubes of that mean to leave out, by their numbers: “{_SOME}”", default="")


def gauge_named(shelf: PlanShelf, said: str, unit: str) -> str:
    """The first gauge with these words, or of this session. Raises UsageError."""
    if not shelf.gauges:
        raise UsageError("There is no gauge yet: crank a tube (`hosewright start tube`), wash it and measure it.")
    words = {name: gauge_words(knit, unit).casefold() for name, knit in shelf.gauges.items()}
    wanted = said.casefold().split()
    if said in words:
        return said
    before = {name: f"{has} {shelf.called_before(name).casefold()}" for name, has in words.items()}
    every = [*words.items(), *before.items()]  # by what it is called now, else by what it was called
    found = next((name for name, has in every if all(word in has for word in wanted)), None)
    if found is None:
        newest = next(iter(shelf.gauges.values()))
        raise UsageError(f"No gauge is like that; the newest is {gauge_words(newest, unit)}.")
    return found


def without(shelf: PlanShelf, name: str, args: Namespace, unit: str) -> tuple[Knit, list[str]]:
    """A gauge without the tubes left out, and its tubes as lines. Raises CraftError or UsageError."""
    gone = shelf.left_out(name, args.leave_out)
    if args.leave_out and not gone:
        raise UsageError("Only tubes of a mean can be left out, and this gauge is of one tube.")
    knit = shelf.knit(name, gone)
    assert knit is not None
    tubes = shelf.tube_lines(name, gone, unit)
    how = [f"To leave some of them out, type their numbers: --leave-out “{_SOME}”."] if tubes and not gone else []
    return knit, [*tubes, *how]
