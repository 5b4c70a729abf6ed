"""``hosewright cylinders``: one tube and a girth in, every cylinder out; ``sizes``: every size from child to adult."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from hosewright.craft.dial import show_position
from hosewright.craft.fit import CylinderSize
from hosewright.craft.measured import in_numbers
from hosewright.craft.units import quoted, read_length
from hosewright.paper.html_page import sheet_of
from hosewright.paper.size_sheet import size_sheet, table_lines
from hosewright.phrases.field import length
from hosewright.planning.fabric import Fabric
from hosewright.planning.plan_lines import EASE_ROUND, SIZE_STEP, ball_girth, heel_ankle_girth, length_ease
from hosewright.session.steps.said import FEET_AT_RISK
from hosewright.verbs.options import add_rates, read_rates, read_slots
from hosewright.verbs.parsing import Parser, UsageError, aligned, named, put, sentences, usual, write_or_print
from hosewright.words.machine import HEADINGS, cylinder_rows, wanted_words

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.fit import CylinderFit
    from hosewright.craft.size_table import SizeRow


_CYLINDER = re.compile(r"\s*(\d{1,3})\s*(?::(.*))?")


def run(argv: list[str]) -> int:
    parser = Parser(
        "cylinders",
        "all your cylinders side by side for one girth, and which to use",
        "--slots 64 --rows-per-in 10.3 --stitches-per-in 8 --cylinders 54,80 --girth 24.6cm",
    )
    add_tube(parser)
    parser.takes("--girth", "LENGTH", "round the ball of the foot", required=True)
    parser.takes("--heel-ankle", "LENGTH", "round the heel and the bend of the ankle", default="")
    parser.takes("--ease", "PERCENT", "how much less round than the foot, in %% (10)", default="")
    parser.takes("--trial", "WORD", "how the tube felt on the foot: loose, right or tight")
    parser.takes("--stretched-width", "LENGTH", "the tube's flat width pulled wide", default="")
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
        **in_numbers("circumference_mm", fit.circumference),
        "circumference_mm_range": [fit.low_mm, fit.high_mm],
        **named(fit, "ease", "ball_stretch", "heel_stretch", "heel_passes", "verdict"),
    }


def sizes(argv: list[str]) -> int:
    parser = Parser(
        "sizes",
        "rows, heel, toe and cylinder for every size from child to large adult",
        '--slots 64 --rows-per-in 10.3 --stitches-per-in 8 --cylinders "54, 80"',
    )
    add_tube(parser)
    parser.takes("--ease", "PERCENT", "how much less round than the foot, in %% (10)", default="")
    parser.takes("--length-ease", "LENGTH", "how much shorter than the foot (1/2 in)", default="")
    parser.takes("--step", "MM", "a line for every so many mm of foot (10)", default="")
    parser.flag("--page", "print it as a Markdown page")
    parser.flag("--html", "as one page to print, A4 or Letter")
    parser.takes("--output", "FILE", "write the page into a new file")
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


# --- the tube it all starts from ---------------------------------------------------------------------------------


def add_tube(parser: Parser) -> None:
    """Options for a tube: from the logbook, or typed out."""
    parser.takes("--tube", "ID", "a measured tube in the logbook, with the cylinders on the shelf")
    parser.add_argument("--slots", help="or: slots of the tube's cylinder")
    parser.takes(
        "--diameter", "LENGTH", "how far across its needles; if not measured, 11 cm is assumed, and the answer says so"
    )
    add_rates(parser, required=False)
    parser.takes("--cylinders", "LIST", "your other cylinders: slots, and how far across if you know: “54, 80:112 mm”")
    parser.add_argument("--state", default="full", help="how far the tube had relaxed: dry, wet or full (full)")


def read_tube(args: Namespace) -> tuple[Fabric, str]:
    """The tube meant, and what it is called. Raises UsageError, CraftError or LogbookError with a sentence."""
    rates = (args.rows_per_in or args.rows_per_cm, args.stitches_per_in or args.stitches_per_cm)
    if args.tube is not None:
        if args.slots or any(rates) or args.cylinders:
            raise UsageError("Type --tube alone, or the tube's slots, rows and stitches; not both.")
        return _from_logbook(args.tube)
    if not args.slots or not all(rates):
        raise UsageError("Type --tube with a session of the logbook, or --slots with rows and stitches per inch or cm.")
    unit = usual().length_unit
    across = None if args.diameter is None else read_length(args.diameter, unit, what="diameter")
    own = CylinderSize(read_slots(args.slots), across)
    others = tuple(one for one in _cylinders(args.cylinders or "", across, unit) if one != own)
    rows, stitches = read_rates(args)
    return Fabric(rows=rows, stitches=stitches, cylinder=own, others=others, state=args.state), f"{own.slots} slots"


def _cylinders(text: str, across_mm: float | None, unit: str) -> tuple[CylinderSize, ...]:
    found = []
    for item in re.split(r"[,;]", text):
        if not item.strip():
            continue
        typed = _CYLINDER.fullmatch(item)
        if typed is None:
            raise UsageError(
                f"{quoted(item)} is not a cylinder: type its slots, and a colon and its diameter where known."
            )
        mm = across_mm if typed[2] is None else read_length(typed[2], unit, what="diameter")
        found.append(CylinderSize(int(typed[1]), mm))
    return tuple(found)


def _from_logbook(beginning: str) -> tuple[Fabric, str]:
    # Only here: a tube that is typed out needs no logbook, and pydantic is a third of the time of such a verb.
    from hosewright.planning.gauges import read_knits, with_readings
    from hosewright.verbs.book import open_book, the_session

    with open_book() as book:
        line = the_session(book, beginning)
        knit = read_knits(book).get(line.id)
        if knit is None:
            raise UsageError(f"Session {line.id} has no measured tube: choose one with a gauge.")
        knit = with_readings(book, knit, usual().tape_error_mm)
    if knit.tube is None:
        raise UsageError(f"The readings of session {line.id} cannot be a tube's: choose another.")
    return knit.fabric, knit.yarn.name if knit.yarn else knit.gauge.yarn
