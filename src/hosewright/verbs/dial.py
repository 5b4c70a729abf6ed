"""``hosewright dial``: what the stitches did at each dial position in, the next position or the baseline out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, cast, get_args

from hosewright.craft.dial import Dial, read_position, show_position
from hosewright.craft.units import quoted, read_length, read_whole, show_length
from hosewright.phrases.figures import clicks_words
from hosewright.session.events import Verdict
from hosewright.session.search import MOST_CLICKS, search_through
from hosewright.verbs.parsing import Parser, UsageError, put

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.session.search import Search

LONGEST_CLICKS = 6


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError or UsageError with a sentence."""
    parser = Parser(
        "dial",
        "the next dial position after what the stitches did",
        'hosewright dial --trials "28:drop,26:drop,24:stay"',
    )
    parser.add_argument(
        "--trials",
        metavar="LIST",
        help="CLICKS:WORD,... in the order they were made; clicks below zero, and drop, stay, unsure, stiff or broke",
    )
    parser.add_argument("--start", metavar="POSITION", help="where the search starts: “28 clicks” or “7 turns”")
    parser.add_argument("--pitch", metavar="LENGTH", help="how far a turn moves the V-cam, for its travel in mm")
    parser.add_argument("--clicks-per-turn", default="4", metavar="N", help="clicks in a turn of the dial (4)")
    parser.add_json()
    args = parser.parse_args(argv)
    if args.trials is None and args.start is None:
        raise UsageError("Type --trials with what the stitches did, or --start with where the dial stands.")

    dial = dial_of(args)
    per_turn = dial.clicks_per_turn
    start = None if args.start is None else read_clicks(args.start, per_turn)
    search = search_through(_trials(args.trials or "", per_turn), start, per_turn)
    answer, lines = _answer(search, dial.travel_mm(search.position))
    return put(answer, lines, as_json=args.json)


def _answer(search: Search, travel_mm: float | None) -> tuple[dict[str, Any], list[str]]:
    turns = search.position / search.clicks_per_turn
    where = f"{clicks_words(search.position)}, {show_position(search.position, search.clicks_per_turn)}"
    if search.found:
        answer = {"baseline_clicks": search.position, "baseline_turns": turns, "baseline_travel_mm": travel_mm}
        sits = ""
        if travel_mm is not None:
            sits = f"; the V-cam sits {travel_mm:.2f} mm ({show_length(travel_mm, 'in')}) below its zero mark"
        lines = [f"Baseline: {where}{sits}."]
    elif search.stopped:
        answer, lines = {}, ["No baseline."]
    else:
        answer, lines = {"next_clicks": search.position, "next_turns": turns}, [f"Next: {where}."]
    return answer | {"stopped": search.stopped, "advice": search.advice}, [*lines, search.advice]


def _trials(text: str, per_turn: int) -> list[tuple[int, Verdict]]:
    trials: list[tuple[int, Verdict]] = []
    for item in re.split(r"[,;\n]", text):
        if not item.strip():
            continue
        position, colon, word = item.partition(":")
        word = word.strip().lower()
        if not colon or word not in get_args(Verdict):
            raise UsageError(
                f"The trial {quoted(item)} is not one: type clicks, a colon and one of "
                f"{', '.join(get_args(Verdict))}, such as 28:drop."
            )
        trials.append((read_clicks(position, per_turn), cast("Verdict", word)))
    return trials


def dial_of(args: Namespace) -> Dial:
    """The dial that ``--pitch`` and ``--clicks-per-turn`` describe. Raises CraftError."""
    per_turn = read_whole(args.clicks_per_turn, what="clicks per turn", least=1, most=64)
    return Dial(None if args.pitch is None else read_length(args.pitch, "mm", what="pitch"), per_turn)


def read_clicks(text: str, per_turn: int) -> int:
    """Clicks below zero; a bare whole number is clicks here, turns must say so."""
    bare = text.strip()
    clicks = int(bare) if bare.isdecimal() and len(bare) < LONGEST_CLICKS else read_position(bare, per_turn)
    if clicks > MOST_CLICKS:
        raise UsageError(f"A dial position is from 0 to {MOST_CLICKS} clicks below zero, and {clicks} was typed.")
    return clicks
