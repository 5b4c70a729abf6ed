"""``hosewright click``: measured tubes in, what a click does and which click gives a gauge out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.response import TubeReading, click_for, fit_response
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, quoted, read_number
from hosewright.verbs.dial import dial_of, read_clicks
from hosewright.verbs.parsing import Parser, UsageError, put
from hosewright.words.machine import answer_lines

if TYPE_CHECKING:
    from hosewright.craft.response import ClickAnswer, Response


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError or UsageError with a sentence."""
    parser = Parser(
        "click",
        "which click of the dial gives the rows wanted, from measured tubes of the yarn",
        'hosewright click --tubes "27:9.8,25:10.3" --rows-per-in 10',
    )
    parser.add_argument(
        "--tubes",
        metavar="LIST",
        required=True,
        help="CLICKS:ROWS,... clicks below zero and rows per inch (or cm); ± and their error after them where known",
    )
    wanted = parser.add_mutually_exclusive_group(required=True)
    wanted.add_argument("--rows-per-in", metavar="N", help="the rows wanted, per inch")
    wanted.add_argument("--rows-per-cm", metavar="N", help="the same per cm, as the tubes' then are too")
    parser.add_argument("--pitch", metavar="LENGTH", help="how far a turn moves the V-cam; one tube alone needs it")
    parser.add_argument("--clicks-per-turn", default="4", metavar="N", help="clicks in a turn of the dial (4)")
    parser.add_argument("--state", default="full", help="how far the tubes had relaxed: dry, wet or full (full)")
    parser.add_json()
    args = parser.parse_args(argv)

    per, per_mm = ("in", MM_PER_INCH) if args.rows_per_in is not None else ("cm", MM_PER_CM)
    dial = dial_of(args)
    response = fit_response(_tubes(args.tubes, per_mm, args.state, dial.clicks_per_turn), dial)
    rows = read_number(args.rows_per_in or args.rows_per_cm, what="number of rows", least=0.1, most=100)
    found = click_for(response, rows / per_mm, args.state)
    return put(_answer(found, response), _lines(found, response, per, per_mm), as_json=args.json)


def _tubes(text: str, per_mm: float, state: str, per_turn: int) -> tuple[TubeReading, ...]:
    tubes = []
    for item in re.split(r"[;\n]" if ";" in text else r"[,\n]", text):
        if not item.strip():
            continue
        place, colon, rate = item.partition(":")
        value, _, error = rate.partition("±" if "±" in rate else "+-")
        if not colon or not value.strip():
            raise UsageError(
                f"The tube {quoted(item)} is not one: type clicks, a colon and rows, such as 27:9.8 or 27:9.8+-0.1 "
                f"(with decimal commas, put ; between the tubes)."
            )
        rows = read_number(value, what="tube's rows", least=0.1, most=100)
        sure = read_number(error, what="rows' error", least=0, most=rows) if error.strip() else 0.0
        loop = loop_length_mm(measured(rows / per_mm, sure / per_mm), state)
        tubes.append(TubeReading(read_clicks(place, per_turn), loop))
    return tuple(tubes)


def _answer(found: ClickAnswer, response: Response) -> dict[str, Any]:
    rows, dial = found.rows_per_mm, response.dial
    return {
        "clicks": found.clicks,
        "turns": found.clicks / dial.clicks_per_turn,
        "exact_clicks": nominal(found.exact),
        "exact_clicks_error": error(found.exact),
        "rows_per_in": nominal(rows) * MM_PER_INCH,
        "rows_per_in_error": error(rows) * MM_PER_INCH,
        "rows_per_cm": nominal(rows) * MM_PER_CM,
        "rows_per_cm_error": error(rows) * MM_PER_CM,
        "chance": found.chance,
        "chance_within_one": found.chance_within_one,
        "loop_per_click_mm": nominal(response.rise_mm),
        "loop_per_click_mm_error": error(response.rise_mm),
        "far_from_tubes": response.far_from_tubes(found.clicks),
        "notes": [*found.notes, *response.notes],
    }


def _lines(found: ClickAnswer, response: Response, per: str, per_mm: float) -> list[str]:
    return [*answer_lines(found, per_mm, per, response.dial.clicks_per_turn), *response.notes]
