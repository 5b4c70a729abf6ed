"""``hosewright dial``: what the stitches did in, the next position out; ``response``: which click gives a gauge."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, cast, get_args

from hosewright.craft.dial import show_position
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import error, in_numbers, measured, nominal
from hosewright.craft.response import TubeReading, click_for, fit_response
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, quoted, read_number, show_length
from hosewright.phrases.days import local_day
from hosewright.phrases.lists import many
from hosewright.session.events import Verdict
from hosewright.session.search import search_through
from hosewright.verbs.options import dial_of, read_clicks
from hosewright.verbs.parsing import Parser, UsageError, named, put, safe, usual
from hosewright.words.machine import answer_lines

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Sequence

    from hosewright.craft.response import ClickAnswer, Response
    from hosewright.logbook.file.called import Names
    from hosewright.session.search import Search
    from hosewright.verbs.book import Thing


def run(argv: list[str]) -> int:
    parser = Parser(
        "dial",
        "the next dial position after what the stitches did",
        '--trials "28:drop,26:drop,24:stay"',
    )
    parser.takes(
        "--trials",
        "LIST",
        "what you saw, first to last: clicks below zero, a colon, and drop, stay, unsure, stiff or broke",
    )
    parser.takes("--start", "POSITION", "where the search starts: “28 clicks” or “7 turns”")
    parser.takes("--yarn", "NAME", "say where to start with this yarn, by the logbook's searches")
    parser.takes("--machine", "NAME", "on which machine (the one used last)")
    parser.takes("--cylinder", "NAME", "on which cylinder (the one used last on it)")
    parser.takes("--pitch", "LENGTH", "how far a turn moves the V-cam, for its travel in mm")
    parser.takes("--clicks-per-turn", "N", "clicks in a turn of the dial (4)", default="4")
    args = parser.parse_args(argv)
    if args.yarn is not None and args.trials is None and args.start is None:
        return _start(args)
    if args.trials is None and args.start is None:
        raise UsageError(
            "Type --trials with what the stitches did, --start with where the dial stands, or --yarn with a yarn to "
            "start with."
        )

    dial = dial_of(args)
    per_turn = dial.clicks_per_turn
    start = None if args.start is None else read_clicks(args.start, per_turn)
    search = search_through(_trials(args.trials or "", per_turn), start, per_turn)
    answer, lines = _answer(search, dial.travel_mm(search.position))
    return put(answer, lines, as_json=args.json)


def _start(args: Namespace) -> int:
    """Where the search for a yarn begins, as the bench proposes it."""
    from hosewright.planning.starting import (
        known,  # the logbook brings pydantic, and no trial needs it
        starting_dial,
    )
    from hosewright.verbs.book import open_book, the_one

    with open_book() as book:
        have = known(book)
        names = book.store.names_now()
        yarn = the_one(have.yarns, args.yarn, "yarn", names=names)
        machine = _chosen(have.machines, args.machine, "machine", None, names)
        cylinder = _chosen(have.cylinders, args.cylinder, "cylinder", have.last_on.get(machine.id), names)
        start = starting_dial(book, "search", machine, cylinder, yarn)
    if start is None:
        raise UsageError(
            f"No search on {safe(cylinder.name)} tells where to start, and no start is noted for {safe(machine.name)}: "
            "begin with a stitch that is surely too large, so that it drops back."
        )
    answer: dict[str, Any] = {
        "start_clicks": start.clicks,
        "start_turns": start.clicks / machine.turn,
        "from": start.source,
        "expected_turns": None if start.expected is None else nominal(start.expected),
        "expected_turns_error": None if start.expected is None else error(start.expected),
        "searches": start.searches,
        "machine": machine.id,
        "cylinder": cylinder.id,
        "yarn": yarn.id,
    }
    where = f"{show_position(start.clicks, machine.turn)} ({many(start.clicks, 'click')})"
    on = f"On {safe(machine.name)} with {safe(cylinder.name)}"
    return put(answer, [f"{on}, start {safe(yarn.name)} {where}: {safe(start.source)}."], as_json=args.json)


def _chosen(things: Sequence[Thing], said: str | None, kind: str, last: str | None, names: Names) -> Thing:
    if said is not None:
        from hosewright.verbs.book import the_one  # as above

        return the_one(things, said, kind, names=names)
    if not things:
        raise UsageError(f"There is no {kind} on the shelf yet: add one with `hosewright shelf add {kind}`.")
    return next((thing for thing in things if thing.id == last), things[0])


def _answer(search: Search, travel_mm: float | None) -> tuple[dict[str, Any], list[str]]:
    turns = search.position / search.clicks_per_turn
    where = f"{many(search.position, 'click')}, {show_position(search.position, search.clicks_per_turn)}"
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
                f"{quoted(item)} is not a trial: type clicks, a colon and one of "
                f"{', '.join(get_args(Verdict))}, such as 28:drop."
            )
        trials.append((read_clicks(position, per_turn), cast("Verdict", word)))
    return trials


def response(argv: list[str]) -> int:
    parser = Parser(
        "response",
        "the dial response: which click gives the rows wanted, from measured tubes of the yarn",
        '--tubes "27:9.8,25:10.3" --rows-per-in 10',
    )
    parser.takes(
        "--tubes",
        "LIST",
        "each tube: clicks below zero, a colon, rows per inch (or cm), then ± and the error if you know it",
    )
    parser.takes(
        "--gauge", "NAME", "or of the logbook, the tubes since its last change: words of its yarn, cylinder and machine"
    )
    parser.takes("--days", "DAYS", "those of these days instead: “2025”, “Mar 2025 to May 2026”")
    wanted = parser.add_mutually_exclusive_group(required=True)
    wanted.add_argument("--rows-per-in", metavar="N", help="the rows wanted, per inch")
    wanted.add_argument("--rows-per-cm", metavar="N", help="or per cm; the tubes are then per cm, too")
    parser.takes("--pitch", "LENGTH", "how far a turn moves the V-cam; one tube alone needs it")
    parser.takes("--clicks-per-turn", "N", "clicks in a turn of the dial (4)", default="4")
    parser.add_argument("--state", default="full", help="how far the tubes had relaxed: dry, wet or full (full)")
    args = parser.parse_args(argv)

    per, per_mm = ("in", MM_PER_INCH) if args.rows_per_in is not None else ("cm", MM_PER_CM)
    dial = dial_of(args)
    if args.tubes is not None:
        fitted = fit_response(_tubes(args.tubes, per_mm, args.state, dial.clicks_per_turn), dial)
    elif args.gauge is not None:
        fitted = _of_logbook(args)
        dial = fitted.dial
    else:
        raise UsageError("Type --tubes with what each tube gave, or --gauge with words of one in the logbook.")
    rows = read_number(args.rows_per_in or args.rows_per_cm, what="number of rows", least=0.1, most=100)
    found = click_for(fitted, rows / per_mm, args.state)
    return put(
        _response_answer(found, fitted),
        [*answer_lines(found, per_mm, per, dial.clicks_per_turn), *fitted.notes],
        as_json=args.json,
    )


def _of_logbook(args: Namespace) -> Response:
    """Fitted to tubes of the logbook, since its last change or of some days."""
    from hosewright.planning.gauges import PlanShelf  # as above
    from hosewright.planning.plan_lines import days_between
    from hosewright.verbs.book import open_book
    from hosewright.verbs.sock import gauge_named

    with open_book() as book:
        shelf = PlanShelf(book, usual().tape_error_mm)
        shelf.read_gauges()
        knit = shelf.knit(gauge_named(shelf, args.gauge, usual().length_unit))
        today = local_day(book.clock)
    if knit is None or not knit.since:
        raise UsageError("Where the dial stood for this gauge is not known: type it out with --tubes.")
    return knit.of_days(days_between(today).read(args.days) if args.days else None).fabric.response


def _tubes(text: str, per_mm: float, state: str, per_turn: int) -> tuple[TubeReading, ...]:
    tubes = []
    for item in re.split(r"[;\n]" if ";" in text else r"[,\n]", text):
        if not item.strip():
            continue
        place, colon, rate = item.partition(":")
        value, _, error = rate.partition("±" if "±" in rate else "+-")
        if not colon or not value.strip():
            raise UsageError(
                f"{quoted(item)} is not a tube: type clicks, a colon and rows, such as 27:9.8 or 27:9.8+-0.1 "
                f"(with decimal commas, put ; between the tubes)."
            )
        rows = read_number(value, what="tube's rows", least=0.1, most=100)
        sure = read_number(error, what="rows' error", least=0, most=rows) if error.strip() else 0.0
        loop = loop_length_mm(measured(rows / per_mm, sure / per_mm), state)
        tubes.append(TubeReading(read_clicks(place, per_turn), loop))
    return tuple(tubes)


def _response_answer(found: ClickAnswer, response: Response) -> dict[str, Any]:
    rows, dial = found.rows_per_mm, response.dial
    return {
        "clicks": found.clicks,
        "turns": found.clicks / dial.clicks_per_turn,
        **in_numbers("exact_clicks", found.exact),
        **in_numbers("rows_per_in", rows, MM_PER_INCH),
        **in_numbers("rows_per_cm", rows, MM_PER_CM),
        **named(found, "chance", "chance_within_one"),
        **in_numbers("loop_per_click_mm", response.rise_mm),
        "far_from_tubes": response.far_from_tubes(found.clicks),
        "notes": [*found.notes, *response.notes],
    }
