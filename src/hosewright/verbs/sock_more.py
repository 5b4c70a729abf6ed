"""``hosewright sock`` beyond a plain tube: cuff, leg, deeper heel, a leg shaped by the dial, sharing a ball."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hosewright.craft.cuffs import MOST_CUFF_ROWS, hung_hem, mock_rib, picot_edge, ribber_rib, rolled_edge
from hosewright.craft.dial import show_position
from hosewright.craft.errors import LEAST_SLOTS, MOST_SLOTS
from hosewright.craft.feet import calf_estimate, girth_estimate
from hosewright.craft.leg import leg_fits, leg_length, leg_schedule
from hosewright.craft.measured import measured, nominal
from hosewright.craft.response import TubeReading, fit_response
from hosewright.craft.supply import leg_of_ball, wind_off
from hosewright.craft.turning import MOST_NEEDLES, Turning, default_left_in_work, depth_rows
from hosewright.craft.units import read_length, read_whole, show_length
from hosewright.verbs.dial import dial_of, read_clicks
from hosewright.verbs.parsing import Parser, UsageError, aligned

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.cuffs import Cuff
    from hosewright.craft.leg import LegStep
    from hosewright.craft.measured import Measured
    from hosewright.craft.sock import SockPlan
    from hosewright.craft.supply import YarnNeed

CUFFS = ("none", "hem", "picot", "rolled", "mock-rib", "ribber")
USUAL_CUFF_ROWS = "16"
USUAL_RIB = {"mock-rib": "3x1", "ribber": "1x1"}


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked for beyond the foot."""

    slots: int
    heel: Turning
    toe_left_in_work: int
    cuff: Cuff | None
    leg_mm: float
    extra_heel_rows: int
    part_row: int
    notes: tuple[str, ...]


def add_more(parser: Parser) -> None:
    """The options."""
    parser.add_argument("--cuff", choices=CUFFS, default="none", help="the top of the sock (none)")
    parser.add_argument("--cuff-rows", metavar="N", default=USUAL_CUFF_ROWS, help="rows cranked for it (16)")
    parser.add_argument("--rib", metavar="PATTERN", help="needles in and out such as 3x1, or the ribber's (3x1, 1x1)")
    parser.add_argument("--single", action="store_true", help="a mock rib that is not hung double")
    parser.add_argument("--selvedge", action="store_true", help="a ribber's rib that begins with a finished edge")
    parser.add_argument("--uneven", action="store_true", help="keep a mock rib that does not go round evenly")
    parser.add_argument("--hem-rows", metavar="N", default="0", help="short for a hung hem of so many rows (0)")
    parser.add_argument("--leg", metavar="LEG", help="its length, or ankle, crew, mid-calf or knee (no leg)")
    parser.add_argument("--for", dest="sex", choices=("men", "women"), help="whose legs to estimate a named leg from")
    parser.add_argument("--ankle", metavar="LENGTH", help="ankle girth, held against the leg")
    parser.add_argument("--calf", metavar="LENGTH", help="calf girth, held against a knee leg")
    parser.add_argument(
        "--dial", metavar="POSITION", help="where it stood for this gauge (“27 clicks”): the leg is shaped by it"
    )
    parser.add_argument("--pitch", metavar="LENGTH", help="how far a turn moves the V-cam: a shaped leg needs it")
    parser.add_argument("--clicks-per-turn", default="4", metavar="N", help="clicks in a turn of the dial (4)")
    parser.add_argument(
        "--part-row",
        metavar="N",
        default="0",
        help="stitches from where your rows begin to the heel half (0, the best)",
    )
    parser.add_argument(
        "--extra-heel-rows",
        metavar="N",
        default="0",
        help="rows before the heel for a high instep; the heel stays as deep (0)",
    )
    parser.add_argument(
        "--extra-heel-passes",
        metavar="N",
        default="0",
        help="plain passes before narrowing for a deeper heel, even; they open a slit at each corner (0)",
    )


def read_asked(args: Namespace, rows: Measured, unit: str) -> Asked:
    """What was typed. Raises CraftError or UsageError."""

    def needles(text: str | None) -> int | None:
        return None if text is None else read_whole(text, what="number left in work", least=1, most=MOST_NEEDLES)

    slots = read_whole(args.slots, what="number of slots", least=LEAST_SLOTS, most=MOST_SLOTS)
    usual = default_left_in_work(slots // 2)
    left, toe = needles(args.left_in_work), needles(args.toe_left_in_work)
    left = usual if left is None else left
    passes = read_whole(args.extra_heel_passes, what="number of extra passes", least=0, most=100)
    plain = True if args.plain_passes == "both" else args.plain_passes or False
    heel = Turning(slots // 2, left, args.lowering, plain, extra_passes=passes)
    leg_mm, notes = _leg(args, heel, rows, unit)
    return Asked(
        slots,
        heel,
        left if toe is None else toe,
        _cuff(args, slots),
        leg_mm,
        read_whole(args.extra_heel_rows, what="number of extra rows", least=0, most=50),
        read_whole(args.part_row, what="number of stitches in the part row", least=0, most=slots - 1),
        notes,
    )


def _cuff(args: Namespace, slots: int) -> Cuff | None:
    hem = read_whole(args.hem_rows, what="number of hem rows", least=0, most=MOST_CUFF_ROWS)
    if hem and args.cuff != "none":
        raise UsageError("Type --hem-rows or --cuff, not both: --cuff hem with --cuff-rows is the same as --hem-rows.")
    if args.cuff == "none":
        return hung_hem(slots, hem) if hem else None
    rows = read_whole(args.cuff_rows, what="number of cuff rows", least=1, most=MOST_CUFF_ROWS)
    if args.cuff == "hem":
        return hung_hem(slots, rows)
    if args.cuff == "picot":
        return picot_edge(slots, rows)
    if args.cuff == "rolled":
        return rolled_edge(slots, rows)
    pattern = args.rib or USUAL_RIB[args.cuff]
    if args.cuff == "ribber":
        return ribber_rib(slots, pattern, rows, selvedge=args.selvedge)
    return mock_rib(slots, pattern, rows, hung=not args.single, allow_uneven=args.uneven)


def _leg(args: Namespace, heel: Turning, rows: Measured, unit: str) -> tuple[float, tuple[str, ...]]:
    """The leg in mm, and how a named one was come by."""
    if args.leg is None or is_nought(args.leg):
        return 0.0, ()
    name = args.leg.strip().lower()
    if name in ("ankle", "crew", "mid-calf", "knee"):
        if args.sex is None and name != "crew":
            raise UsageError(f"Type --for men or --for women to estimate a leg to the {name}, or type its length.")
        found = leg_length(name, depth_rows(heel) / nominal(rows), args.sex, unit=unit)
        return found.mm, (found.words,)
    return read_length(args.leg, unit, what="leg"), ()


def is_nought(text: str) -> bool:
    """Whether a length was typed as none at all, which is no mistake for an ease or a leg."""
    return re.fullmatch(r"\s*0+([.,]0*)?\s*(in|cm|mm|\")?\s*", text) is not None


def read_schedule(
    args: Namespace, plan: SockPlan, loop_mm: Measured, unit: str
) -> tuple[tuple[LegStep, ...], tuple[str, ...]]:
    """The leg's dial changes and what to be told, when they were asked for. Raises CraftError or UsageError."""
    if args.dial is None:
        return (), ()
    if args.ankle is None or args.calf is None:
        raise UsageError("A leg shaped by the dial needs --ankle, --calf and --dial, all three.")

    leg = next((section.count for section in plan.sections if section.name == "leg"), 0)
    if not leg:
        raise UsageError("A leg shaped by the dial needs a --leg.")
    dial = dial_of(args)
    clicks = read_clicks(args.dial, dial.clicks_per_turn)
    response = fit_response((TubeReading(clicks, loop_mm),), dial)
    steps, told = leg_schedule(
        response,
        baseline_clicks=clicks,
        leg_rows=leg,
        ankle_mm=read_length(args.ankle, unit, what="ankle girth"),
        calf_mm=read_length(args.calf, unit, what="calf girth"),
    )
    return steps, (*told, *response.notes)


def read_leg_fit(
    args: Namespace, plan: SockPlan, asked: Asked, schedule: tuple[LegStep, ...], unit: str
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The leg round ankle and calf for the JSON, and what to be told. Raises CraftError or UsageError.

    A knee leg without --calf is held against the calf to expect of such feet, where --for and --foot-length are typed.
    """
    if not asked.leg_mm and (args.ankle or args.calf):
        raise UsageError("An ankle and a calf are held against the leg: type its --leg, too.")
    ankle, calf = (
        None if text is None else read_length(text, unit, what=f"{place} girth", most_mm=1000.0)
        for text, place in ((args.ankle, "ankle"), (args.calf, "calf"))
    )
    expected: Measured | float | None = calf
    if calf is None and args.sex and args.foot_length:
        ball = girth_estimate(read_length(args.foot_length, unit, what="foot"), args.sex)
        guess = calf_estimate(ball.value, args.sex) if ball else None
        expected = guess.value if guess else None
    fits, told = leg_fits(
        measured(plan.circumference_mm, plan.circumference_error_mm),
        asked.leg_mm,
        knee=(args.leg or "").strip().lower() == "knee",
        ankle_mm=ankle,
        calf_mm=expected,
        shaped=schedule,
        unit=unit,
        ask="type --calf",
    )
    answer = [
        {
            "place": fit.place,
            "girth_mm": nominal(fit.girth_mm),
            "round_mm": nominal(fit.round_mm),
            "ease": fit.ease,
            "verdict": fit.verdict,
        }
        for fit in fits
    ]
    return {"leg_fit": answer}, told


def schedule_lines(schedule: tuple[LegStep, ...], args: Namespace, unit: str) -> list[str]:
    """The dial changes as lines, set off by an empty line."""
    if not schedule:
        return []

    turn = dial_of(args).clicks_per_turn
    rows = [
        (
            f"Leg from row {step.from_row}",
            show_position(step.clicks, turn),
            f"fits {show_length(nominal(girth), unit)} round",
        )
        for step in schedule
        if (girth := step.girth_mm) is not None
    ]
    return ["", *aligned(rows)]


def ball_share(
    plan: SockPlan,
    loop_mm: Measured,
    rows: Measured,
    m_per_100g: float | None,
    ball_g: float | None,
    unit: str,
    schedule: tuple[LegStep, ...] = (),
) -> tuple[dict[str, Any], list[str]]:
    """The longest leg one ball gives and what to wind off; nothing when yarn or ball is not known."""
    if m_per_100g is None or ball_g is None:
        return {}, []

    longest = leg_of_ball(plan, loop_mm, rows, m_per_100g, ball_g, unit=unit, shaped=schedule)
    wound = wind_off(plan, loop_mm, m_per_100g, ball_g, leg=schedule)
    answer = {
        "leg_rows_of_ball": longest.rows,
        "leg_rows_of_ball_error": longest.rows_error,
        "leg_rows_of_ball_safe": longest.safe_rows,
        "wind_off_grams": wound.grams_each,
        "wind_off_metres": wound.metres_each,
    }
    return answer, [longest.words, wound.words]


def more_answer(plan: SockPlan, need: YarnNeed, schedule: tuple[LegStep, ...]) -> dict[str, Any]:
    """What the JSON has beyond the plain sock."""
    cuff = plan.cuff
    return {
        "circumference_mm_error": plan.circumference_error_mm,
        "leg_rows_error": plan.leg_rows_error,
        "cuff": None
        if cuff is None
        else {
            "kind": cuff.kind,
            "rows": cuff.rows,
            "pattern": cuff.pattern,
            "hung": cuff.hung,
            "out_of_work": list(cuff.out_of_work),
            "cylinder_needles": cuff.cylinder_needles,
            "ribber_needles": cuff.ribber_needles,
        },
        "leg_by_dial": [
            {
                "from_row": step.from_row,
                "rows": step.rows,
                "clicks": step.clicks,
                "girth_mm": None if step.girth_mm is None else nominal(step.girth_mm),
            }
            for step in schedule
        ],
        "safe_metres": need.safe_metres,
        "safe_grams": need.safe_grams,
        "chance_enough": need.chance_enough,
    }
