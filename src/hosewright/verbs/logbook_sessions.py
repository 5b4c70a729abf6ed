"""``hosewright logbook``: its sessions.

Looked at and written down: list, show, report, find, compare, csv and pace; put right: correct, leave-out and take-in.
"""

from __future__ import annotations

from argparse import SUPPRESS
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from hosewright.counting.put_right import (
    CHOSEN,
    left_out,
    put_right,
    start_events,
    start_lines,
    work_events,
    work_lines,
)
from hosewright.craft.dial import show_position
from hosewright.craft.units import quoted
from hosewright.logbook.accounts.pace import months
from hosewright.logbook.entered_twice import was_words
from hosewright.logbook.find.sessions import ORDERS, find, names_of
from hosewright.logbook.find.wanted import EVERY_PLACE, OLD_NAMES, narrowed, read_wanted, wanted_words
from hosewright.logbook.records.planned import record_kind
from hosewright.logbook.records.shelf import Cylinder, Machine, Noted, Plan, Wearer, Yarn
from hosewright.logbook.records.year import Promise
from hosewright.paper.compare import against, compare, comparison_page, rest_of, side
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.paper.csv_files import events_csv, notebook_csv, pace_csv
from hosewright.paper.html_page import report_page
from hosewright.paper.report import sections, session_report
from hosewright.phrases.days import clock_day, local_day
from hosewright.phrases.field import FieldError
from hosewright.phrases.lists import in_columns
from hosewright.phrases.times import clock_time, utc_text
from hosewright.places import logbook_path
from hosewright.session.event_words import event_words, reading_words
from hosewright.session.events import Event, TakenIn
from hosewright.session.kinds import KINDS, STATUS_WORDS
from hosewright.session.steps.tubes import called
from hosewright.session.words import now_words
from hosewright.verbs.book import open_book, the_one, the_session
from hosewright.verbs.parsing import (
    Parser,
    UsageError,
    add_output,
    aligned,
    named,
    one_session,
    put,
    put_each,
    safe,
    usual,
    write_or_print,
)
from hosewright.words.pace import NO_PACE_YET, PACE_COLUMNS, PACE_RULE, pace_facts

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.counting.put_right import Lines
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import SessionLine
    from hosewright.logbook.find.sessions import Found
    from hosewright.logbook.find.wanted import Wanted
    from hosewright.logbook.live import Live
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.paper.compare import Side
    from hosewright.session.state import State


# --- one, or all -----------------------------------------------------------------------------------------------------


def run_list(parser: Parser, argv: list[str]) -> int:
    args = parser.parse_args(argv)
    if not logbook_path().exists():
        return put_each((), ["There is no logbook yet, so no sessions."], as_json=args.json)
    with open_book() as book:
        lines = book.lines()
        if args.json:
            return put_each(_line_facts(one.id, one.kind, one.title, one.status, one.started_ms) for one in lines)
        zone = book.clock.now().zone_min
        names = names_of(book.store, [line.n for line in lines if line.kind in ("sock", "string")])
        kinds = [called(KINDS[line.kind], names.get(line.n, "sock")) for line in lines]
        rows = [
            (line.id, clock_time(line.started_ms, zone), kind, STATUS_WORDS[line.status], safe(line.title))
            for line, kind in zip(lines, kinds, strict=True)
        ]
    print("\n".join(aligned(rows)) if rows else "The logbook has no sessions yet.")
    return 0


def _line_facts(session: str, kind: str, title: str, status: str, started_ms: int) -> dict[str, object]:
    facts: dict[str, object] = {"id": session, "kind": kind, "title": title, "status": status}
    return facts | {"status_words": STATUS_WORDS[status], "started": utc_text(started_ms)}


def run_show(parser: Parser, argv: list[str]) -> int:
    one_session(parser)
    args = parser.parse_args(argv)
    with open_book() as book:
        line = the_session(book, args.session)
        record, state = book.record(line), book.state(line)
    facts = _line_facts(record.id, record.kind, record.title, state.status, record.started_ms)
    return put(facts | _standing(record, state), _standing_lines(record, state), as_json=args.json)


def _standing(record: SessionRecord, state: State) -> dict[str, object]:
    return {
        "machine": record.machine.name,
        "cylinder": record.cylinder.name,
        "slots": record.cylinder.slots,
        "yarn": record.yarn.name,
        "wearer": record.wearer.name if record.wearer else None,
        "step": state.step.id if state.step else None,
        "count": state.count,
        "target": state.target,
        "dial_clicks": state.dial,
        "baseline_clicks": state.baseline,
        "hands": now_words(state),
        "left_out": state.out.reason if state.out else None,
        "readings": [
            {"number": read.seq, "what": reading_words(state, read)} for read in state.readings if not read.struck
        ],
        "steps": [
            {"id": step.id, "title": step.title, "count": count}
            for step, count in zip(state.head.steps, state.counts, strict=True)
        ],
    }


def _standing_lines(record: SessionRecord, state: State) -> list[str]:
    yarn, cylinder = safe(record.yarn.name), safe(record.cylinder.name)
    lines = [
        f"{safe(record.title)} ({record.id})",
        f"{record_kind(record)}, {STATUS_WORDS[state.status]}, begun {clock_time(record.started_ms, record.zone_min)}.",
        f"{yarn} on {cylinder}, {safe(record.machine.name)}.",
        f"Dial {show_position(state.dial, record.machine.turn)}.",
    ]
    if state.step is not None:
        lines.append(f"Next: {safe(now_words(state))}.")
    counted = [
        (safe(step.title), str(count), f"of {target}" if target else "")
        for step, count in zip(state.head.steps, state.counts, strict=True)
        for target in [getattr(step, "target", None)]
        if count or target
    ]
    if state.out is not None:
        lines.append(f"Left out of gauges, pace and statistics: {safe(state.out.reason)}.")
    read = [(str(one.seq), safe(reading_words(state, one))) for one in state.readings if not one.struck]
    return [*lines, "", *aligned(counted), *(["", "Readings, by number:", *aligned(read)] if read else [])]


# --- finding ---------------------------------------------------------------------------------------------------------


def run_find(parser: Parser, argv: list[str]) -> int:
    parser.words_with_hyphens = True
    parser.takes(
        "word",
        "WORD",
        "words to look for, or how they begin; yarn:grey looks among the yarns, -dropped leaves out",
        nargs="*",
    )
    helps = {
        "kind": "stitch-size, gauge-tube, sock or string",
        "status": "under-way, drying, finished, given-up or left-out",
        "since": "a day, month or year: 31.1.2025, July 2025, 2025",
        "until": "the same, that day included",
        "began": "on that day, or in that month or year",
        "verdict": "what was said of the fit: tight, too long and so on; right is right round and in length",
        "notes": "words in notes",
        "fault": "one that was noted: dropped, tuck, broke and so on",
        "needle": "something was noted at it, such as 17",
        "dial": "clicks below zero where it stood last: 30, 28-32 or '>30'",
        "gauge": "a tube's rows per inch (cm, by the settings): 10.5, 10.4-10.8",
        "pace": "usual rows a minute: '>25', 20-30",
        "lot": "words of a lot that was knitted, from the start or joined on",
        "for": "words of a promise, or of whom it was made to",
    }
    for place in EVERY_PLACE:
        parser.takes(f"--{place}", "WORD", helps.get(place, f"words of the {place}"))
    for old, place in OLD_NAMES.items():
        parser.add_argument(f"--{old}", dest=place, help=SUPPRESS)
    parser.add_argument("--by", choices=ORDERS, default="began", help="what to sort by (began)")
    parser.flag("--rising", "the other way round: oldest first, or a to z")
    parser.takes("--most", "N", "print at most this many", type=int)
    args = parser.parse_args(argv)
    if args.most is not None and args.most < 1:
        raise UsageError("--most is how many sessions to list, 1 or more.")
    with open_book() as book:
        wanted = _wanted(args, book)
        most = args.most or 1_000_000_000
        found = find(book.store, wanted, args.by, falling=not args.rising, most=most)
    said, lines = safe(wanted_words(wanted)), aligned(map(_row, found))
    if not found:
        lines = ["The logbook has no sessions yet." if wanted.anything else f"No session matches: looked for {said}."]
    elif not wanted.anything:
        lines.insert(0, f"{len(found):,} found: {said}.")
    return put_each(map(_facts, found), lines, as_json=args.json)


def _wanted(args: Namespace, book: Logbook) -> Wanted:
    today, unit = local_day(book.clock), usual().length_unit
    wanted = read_wanted(" ".join(args.word), book.clock.now().zone_min, today, unit)
    for place in EVERY_PLACE:
        said = getattr(args, place)
        if said is not None:
            wanted = narrowed(wanted, place, said, today, unit)
    return wanted


def _facts(one: Found) -> dict[str, object]:
    return {
        **_line_facts(one.id, one.kind, one.title, one.status, one.began),
        "changed": utc_text(one.changed),
        **named(one, "yarn", "machine", "cylinder", "slots"),
        "wearer": one.wearer or None,
        "verdict": one.verdict or None,
        "twin_of": one.twin_of,
    }


def _row(one: Found) -> tuple[str, ...]:
    status = STATUS_WORDS[one.status]
    said = f"{status}: {safe(one.verdict)}" if one.verdict else status
    return (one.id, clock_day(one.began, one.zone_min), one.kind_words, safe(one.title), said)  # the longest comes last


# --- some of them -----------------------------------------------------------------------------------------------------


def run_compare(parser: Parser, argv: list[str]) -> int:
    parser.takes("session", "ID", "two sessions or more, by id or words of the title", nargs="+")
    parser.flag("--rest", "what was different about one, beside all others like it")
    parser.takes("--sock", "N", "with --rest, of a string: which of its socks, from 1", type=int)
    args = parser.parse_args(argv)
    usually = usual()
    if len(args.session) < 2 and not args.rest:
        raise UsageError("Type two sessions or more, or --rest to hold one against all others like it.")
    if len(args.session) > 1 and args.rest:
        raise UsageError("--rest holds one session against the others: type one alone.")
    if args.sock is not None and not args.rest:
        raise UsageError("--sock goes with --rest.")

    with open_book() as book:

        def beside(line: SessionLine, sock: int = 0) -> Side:
            return side(book.record(line), book.store.entries(line.n), usually.tape_error_mm, sock)

        lines = [the_session(book, one) for one in args.session]
        if args.rest:
            one = beside(lines[0], _sock_asked_for(book, lines[0], args.sock))
            rest, others = rest_of(book, one)
            if not rest:
                raise UsageError("There is no other finished session of its kind to hold it against.")
            found = against(one, rest, others, usually.length_unit)
        else:
            found = compare(*map(beside, lines), unit=usually.length_unit)
    facts = (asdict(line) | {"differs": line.differs} for line in found.lines)
    return put_each(facts, [comparison_page(found).rstrip("\n")], as_json=args.json)


def _sock_asked_for(book: Logbook, line: SessionLine, sock: int | None) -> int:
    """The place of the sock of a string that is held against others, 0 for the whole of any other session."""
    many = len(book.record(line).socks)
    if many and sock is None:
        raise UsageError(f"This is a string of {many} socks: type which with --sock, from 1 to {many}.")
    if sock is not None and not 1 <= sock <= many:
        of = f"this one has 1 to {many}" if many else "this session is none"
        raise UsageError(f"--sock is for a string of socks, and {of}.")
    return sock or 0


# --- on paper --------------------------------------------------------------------------------------------------------


def run_report(parser: Parser, argv: list[str]) -> int:
    one_session(parser)
    parser.flag("--markdown", "as Markdown on the terminal (the default)")
    add_output(parser, html=True)
    parser.flag("--sheet", "the crank sheet of the session's plan instead")
    args = parser.parse_args(argv)
    usually = usual()
    unit = usually.length_unit
    with open_book() as book:
        line = the_session(book, args.session)
        record = book.record(line)
        if not args.sheet:
            plans = [plan for plan in book.shelf(Plan) if record.id in plan.made_from]
            told = (
                record,
                list(book.store.entries(line.n)),
                unit,
                plans,
                usually.tape_error_mm,
                was_words(book, record),
            )
            text = report_page(record.title, sections(*told)) if args.html else session_report(*told)
        elif record.plan is not None:
            text = crank_sheet(record.plan, record.machine, length_unit=unit, wearer=record.wearer)
        else:
            raise UsageError(f"Session {record.id} was not started from a plan, so it has no crank sheet.")
    if args.output is not None:
        return write_or_print(text, args.output, {"id": record.id}, as_json=args.json)
    form = "html" if args.html else "markdown"
    return put({"id": record.id, form: text}, [text.rstrip("\n")], as_json=args.json)


def run_csv(parser: Parser, argv: list[str]) -> int:
    parser.takes(
        "session", "ID", "every event of a session; without it, every gauge and what is from the notebook", nargs="?"
    )
    parser.flag("--pace", "rows a minute month by month instead, passes apart")
    add_output(parser)
    args = parser.parse_args(argv)
    if args.session is not None and args.pace:
        raise UsageError("--pace is of every session: leave out the ID.")
    with open_book() as book:
        if args.pace:
            text = pace_csv(months(book))
        elif args.session is not None:
            line = the_session(book, args.session)
            text = events_csv(book.record(line), book.store.entries(line.n))
        else:
            kinds: tuple[type[Any], ...] = (Yarn, Machine, Cylinder, Wearer, Promise)
            names = {one.id: one.name for kind in kinds for one in book.shelf(kind, retired=True)}
            text = notebook_csv(book.gauges(), book.shelf(Noted), names)
    about = {"session": args.session} if args.session else {}
    if args.output is None:
        text = text.replace("\r\n", "\n")  # a terminal and a pipe end lines their own way
    return write_or_print(text, args.output, dict(about), as_json=args.json)


def run_pace(parser: Parser, argv: list[str]) -> int:
    args = parser.parse_args(argv)
    with open_book() as book:
        found = months(book)
    lines = [*in_columns(PACE_COLUMNS, found), "", PACE_RULE] if found else [NO_PACE_YET]
    return put_each(map(pace_facts, found), lines, as_json=args.json)


# --- what was wrong put right -----------------------------------------------------------------------------------------


_NONE = "none"
_MAY_BE_NONE = ("wearer", "lot", "promise")


def run_correct(parser: Parser, argv: list[str]) -> int:
    one_session(parser)
    for what in CHOSEN:
        none = f", or {_NONE}" if what in _MAY_BE_NONE else ""
        parser.takes(f"--{what}", "NAME", f"the {what} it really was, by name or id{none}")
    parser.takes("--sock", "N", "of a string: the sock that --wearer and --promise mean", type=int)
    parser.takes("--day", "DAY", "the day it was really begun, such as 24 Dec 2025")
    parser.takes("--title", "TEXT", "what lists call it")
    parser.takes("--rows", "PART=COUNT", "rows or passes a part really had", action="append")
    parser.takes("--reading", "N=READING", "a reading, by its number; nothing behind = strikes it", action="append")
    parser.takes("--joined", "N=LOT", "the lot of a ball joined on, by the number of the knot", action="append")
    parser.takes("--reason", "WHY", "why a count was wrong", default="")
    args = parser.parse_args(argv)
    with open_book("logbook correct") as book:
        live = book.take_up(the_session(book, args.session).id)
        try:
            events: list[Event] = [*start_events(book, live.record, _start_values(book, live, args))]
            lines = work_lines(book, live, usual())
            values = _work_values(lines, args)
            events += work_events(values, lines, args.reason)
        except FieldError as error:
            raise UsageError(str(error)) from error
        return _do(live, events, as_json=args.json)


def _start_values(book: Logbook, live: Live, args: Namespace) -> dict[str, Any]:
    """What was named, by the names of the lines of the form."""
    given = {name: getattr(args, name) for name in ("title", "day", *CHOSEN) if getattr(args, name) is not None}
    lines = {field.name: field for field in start_lines(book, live.record).fields}
    values: dict[str, Any] = {}
    if args.sock is not None and not live.record.socks:
        raise UsageError("--sock is for a string of socks, and this session is none.")
    for what, said in given.items():
        line = what if what in lines else f"{what}-{args.sock or 0}"
        if line not in lines:
            which = f"--sock, from 1 to {len(live.record.socks)}" if live.record.socks else "a sock for that"
            raise UsageError(f"This session needs {which}.")
        if what in CHOSEN:
            values[line] = _named(book, what, said)
        else:
            values[line] = lines[line].read(said)
    return values


def _named(book: Logbook, what: str, said: str) -> str | None:
    if what in _MAY_BE_NONE and said.casefold() == _NONE:
        return None
    return str(the_one(book.shelf(CHOSEN[what]), said, what, names=book.store.names_now()).id)


_WORK = {
    "count": ("rows", "part that is done"),
    "reading": ("reading", "reading that stands"),
    "joined": ("joined", "ball joined on whose lot could be said"),
}


def _work_values(lines: Lines, args: Namespace) -> dict[str, Any]:
    """What stands behind the options, "leg=58", "214=148 mm" or "120=41", by the names of their lines."""
    values: dict[str, Any] = {}
    for kind, (option, what) in _WORK.items():
        known = {
            field.name.removeprefix(f"{kind}-"): field for field in lines.fields if field.name.startswith(f"{kind}-")
        }
        for one in getattr(args, option) or ():
            of, _, said = one.partition("=")
            field = known.get(of.strip())
            if field is None:
                there = ", ".join(f"{name} ({one.label})" for name, one in known.items())
                raise UsageError(f"{quoted(of)} is not a {what}. There is {there or 'none'}.")
            values[field.name] = field.read(said)
    return values


def _do(live: Live, events: list[Event], *, as_json: bool) -> int:
    """Store them and say what follows."""
    if not events:
        raise UsageError("It is all as you typed it already, so nothing was changed.")
    state = live.state.copy()
    why, follows = put_right(live, events)
    if why:
        raise UsageError(why)
    said = [event_words(event, state).whole for event in events]
    facts = {"id": live.record.id, "title": live.record.title, "put_right": said, "follows": follows}
    shown = [f"{safe(live.record.title)} ({live.record.id})", *(f"- {safe(one)}" for one in said)]
    return put(facts, [*shown, *map(safe, follows)], as_json=as_json)


def run_leave_out(parser: Parser, argv: list[str]) -> int:
    one_session(parser)
    parser.takes("--reason", "WHY", "such as felted, cranked by a guest", required=True)
    parser.flag("--no-yarn", "the keys were only tried: no yarn went in either")
    args = parser.parse_args(argv)
    with open_book("logbook leave-out") as book:
        live = book.take_up(the_session(book, args.session).id)
        return _do(live, [left_out({"reason": args.reason, "cranked": not args.no_yarn})], as_json=args.json)


def run_take_in(parser: Parser, argv: list[str]) -> int:
    one_session(parser)
    args = parser.parse_args(argv)
    with open_book("logbook take-in") as book:
        live = book.take_up(the_session(book, args.session).id)
        return _do(live, [TakenIn()], as_json=args.json)
