"""``hosewright sizes``: one gauge in, every size from child to large adult out, to pin to the wall."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.size_table import size_table
from hosewright.craft.units import read_length, read_whole
from hosewright.paper.html_page import sheet_of
from hosewright.paper.size_sheet import size_sheet, table_lines
from hosewright.session.steps.hazards import FEET_AT_RISK
from hosewright.verbs.parsing import Parser, put, sentences, usual, write_or_print
from hosewright.verbs.tube import add_tube, read_share, read_tube

if TYPE_CHECKING:
    from hosewright.craft.size_table import SizeRow


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError, LogbookError or UsageError with a sentence."""
    parser = Parser(
        "sizes",
        "rows, heel, toe and cylinder for every size from child to large adult",
        'hosewright sizes --slots 64 --rows-per-in 10.3 --stitches-per-in 8 --cylinders "54, 80"',
    )
    add_tube(parser)
    parser.add_argument("--ease", metavar="PERCENT", default="10", help="ease round, in %% (10)")
    parser.add_argument("--length-ease", metavar="LENGTH", default="0.5 in", help="how much shorter (0.5 in)")
    parser.add_argument("--step", metavar="MM", default="10", help="mm of foot length between lines (10)")
    parser.add_argument("--page", action="store_true", help="print it as a Markdown page")
    parser.add_argument("--html", action="store_true", help="as one page to print, A4 or Letter")
    parser.add_argument("--output", metavar="FILE", help="write the page into a new file")
    parser.add_json()
    args = parser.parse_args(argv)
    tube = read_tube(args)

    unit = usual().length_unit
    ease = read_share(args.ease, "ease round")
    length_ease_mm = read_length(args.length_ease, unit, what="ease in length")
    rows = size_table(
        rows_per_mm=tube.rows,
        tube=tube.tube,
        circumference=tube.circumference,
        loop_mm=tube.loop_mm,
        cylinders=tube.owned,
        ease=ease,
        length_ease_mm=length_ease_mm,
        step_mm=read_whole(args.step, what="step", least=5, most=40),
    )
    if args.page or args.html or args.output:
        page = size_sheet(
            rows,
            title=tube.title,
            rows_per_mm=tube.rows,
            stitches_per_mm=tube.stitches,
            tube=tube.tube,
            ease=ease,
            length_ease_mm=length_ease_mm,
            dial=tube.dial,
            unit=unit,
        )
        if args.html:
            page = sheet_of(f"Sizes: {tube.title}", page)
        return write_or_print(page, args.output, {"title": tube.title}, as_json=args.json)
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
