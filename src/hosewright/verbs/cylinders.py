"""``hosewright cylinders``: one tube and a girth in, every cylinder out; ``sizes``: every size from child to adult."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from hosewright.craft.dial import show_position
from hosewright.craft.measured import error, nominal
from hosewright.paper.html_page import sheet_of
from hosewright.paper.size_sheet import size_sheet, table_lines
from hosewright.phrases.field import length
from hosewright.planning.typed import EASE_ROUND, SIZE_STEP, ball_girth, heel_ankle_girth, length_ease
from hosewright.session.steps.hazards import FEET_AT_RISK
from hosewright.verbs.parsing import Parser, aligned, put, sentences, usual, write_or_print
from hosewright.verbs.tube import add_tube, read_tube
from hosewright.words.machine import HEADINGS, cylinder_rows, wanted_words

if TYPE_CHECKING:
    from hosewright.craft.fit import CylinderFit
    from hosewright.craft.size_table import SizeRow


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError, LogbookError or UsageError with a sentence."""
    parser = Parser(
        "cylinders",
        "all your cylinders side by side for one girth, and which to use",
        "hosewright cylinders --slots 64 --rows-per-in 10.3 --stitches-per-in 8 --cylinders 54,80 --girth 24.6cm",
    )
    add_tube(parser)
    parser.add_argument("--girth", metavar="LENGTH", required=True, help="round the ball of the foot")
    parser.add_argument("--heel-ankle", metavar="LENGTH", default="", help="round the heel and the bend of the ankle")
    parser.add_argument("--ease", metavar="PERCENT", default="", help="ease round, in %% (10)")
    parser.add_argument("--trial", metavar="WORD", help="how the tube felt on the foot: loose, right or tight")
    parser.add_argument("--stretched-width", metavar="LENGTH", default="", help="the tube's flat width pulled wide")
    parser.add_json()
    args = parser.parse_args(argv)
    (fabric, _), unit = read_tube(args), usual().length_unit
    girth_mm = ball_girth(unit).read(args.girth)
    stretched = length("stretched", "Width pulled wide", "of the tube, laid flat", unit).read(args.stretched_width)
    fabric = replace(
        fabric,
        on_foot=args.trial or fabric.on_foot,
        stretched_width_mm=fabric.stretched_width_mm if stretched is None else stretched,
    )
    heel_mm = heel_ankle_girth(unit).read(args.heel_ankle)
    choice = fabric.choose(girth_mm, heel_mm, ease=EASE_ROUND.read(args.ease), unit=unit)
    notes = [*(fit.words for fit in choice.fits), *choice.notes, FEET_AT_RISK]
    answer = {
        "wanted_mm": choice.wanted_mm,
        "best_slots": None if choice.none_goes_on else choice.best.cylinder.slots,
        "cylinders": [_fit(fit, best=fit is choice.best and not choice.none_goes_on) for fit in choice.fits],
        "notes": notes,
    }
    lines = [wanted_words(choice, unit), "", *aligned([HEADINGS, *cylinder_rows(choice, unit)]), *sentences(notes)]
    return put(answer, lines, as_json=args.json)


def _fit(fit: CylinderFit, *, best: bool) -> dict[str, Any]:
    return {
        "slots": fit.cylinder.slots,
        "name": fit.cylinder.label,
        "best": best,
        "measured": fit.measured,
        "circumference_mm": nominal(fit.circumference),
        "circumference_mm_error": error(fit.circumference),
        "circumference_mm_range": [fit.low_mm, fit.high_mm],
        "ease": fit.ease,
        "ball_stretch": fit.ball_stretch,
        "heel_stretch": fit.heel_stretch,
        "heel_passes": fit.heel_passes,
        "verdict": fit.verdict,
    }


def sizes(argv: list[str]) -> int:
    """Run ``hosewright sizes``. Raises CraftError, LogbookError or UsageError with a sentence."""
    parser = Parser(
        "sizes",
        "rows, heel, toe and cylinder for every size from child to large adult",
        'hosewright sizes --slots 64 --rows-per-in 10.3 --stitches-per-in 8 --cylinders "54, 80"',
    )
    add_tube(parser)
    parser.add_argument("--ease", metavar="PERCENT", default="", help="ease round, in %% (10)")
    parser.add_argument("--length-ease", metavar="LENGTH", default="", help="how much shorter than the foot (1/2 in)")
    parser.add_argument("--step", metavar="MM", default="", help="mm of foot length between lines (10)")
    parser.add_argument("--page", action="store_true", help="print it as a Markdown page")
    parser.add_argument("--html", action="store_true", help="as one page to print, A4 or Letter")
    parser.add_argument("--output", metavar="FILE", help="write the page into a new file")
    parser.add_json()
    args = parser.parse_args(argv)
    (fabric, title), unit = read_tube(args), usual().length_unit
    ease = EASE_ROUND.read(args.ease)
    length_ease_mm = length_ease("shorter", unit).read(args.length_ease)
    rows = fabric.sizes(ease=ease, length_ease_mm=length_ease_mm, step_mm=SIZE_STEP.read(args.step))
    if args.page or args.html or args.output:
        dial = "" if fabric.clicks is None else show_position(fabric.clicks, fabric.dial.clicks_per_turn)
        page = size_sheet(
            rows,
            title=title,
            rows_per_mm=fabric.rows,
            stitches_per_mm=fabric.stitches,
            tube=fabric.cylinder,
            ease=ease,
            length_ease_mm=length_ease_mm,
            dial=dial,
            unit=unit,
        )
        if args.html:
            page = sheet_of(f"Sizes: {title}", page)
        return write_or_print(page, args.output, {"title": title}, as_json=args.json)
    answer = {"sizes": [_row(row) for row in rows], "notes": [FEET_AT_RISK]}
    return put(answer, [*table_lines(rows), *sentences([FEET_AT_RISK])], as_json=args.json)


def _row(row: SizeRow) -> dict[str, Any]:
    plan = row.plan
    return {
        "group": row.group,
        "foot_length_mm": row.foot_mm,
        **row.sizes,
        "girth_estimate_mm": row.girth.mm,
        "girth_error_mm": row.girth.error_mm,
        "slots": row.fit.cylinder.slots,
        "measured": row.fit.measured,
        "verdict": row.fit.verdict,
        "foot_rows": plan.foot_rows if plan else None,
        "heel": {"needles": plan.heel.needles, "left_in_work": plan.heel.left_in_work} if plan else None,
        "note": row.note,
    }
