"""``hosewright logbook``: looking back. find, compare, yarn, needles, shelf, sheet and csv."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from hosewright.verbs.logbook_shelf import list_shelf, shelf_options
from hosewright.verbs.naming import the_one
from hosewright.verbs.parsing import Parser, UsageError, aligned, no_options, safe, usual, write_or_print

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.find.queries import Wanted
    from hosewright.logbook.find.sessions import Found
    from hosewright.logbook.records.shelf import Plan, Yarn


# --- finding ---------------------------------------------------------------------------------------------------


def _find(args: Namespace) -> int:
    from hosewright.logbook.find.sessions import find
    from hosewright.verbs.opening import open_book

    if args.most is not None and args.most < 1:
        raise UsageError("--most is how many sessions to list, 1 or more.")
    with open_book() as book:
        zone = book.clock.now().zone_min
        wanted = _wanted(args, zone)
        most = args.most or 1_000_000_000
        found = find(book.store, wanted, args.by, falling=not args.rising, most=most)
    if args.json:
        for one in found:
            print(json.dumps(_facts(one)))
        return 0
    print("\n".join(aligned([_row(one) for one in found])) if found else "No session is like that.")
    return 0


def _wanted(args: Namespace, zone_min: int) -> Wanted:
    from hosewright.logbook.find.queries import narrowed, read_wanted

    wanted = read_wanted(" ".join(args.word), zone_min)
    for place in _places():
        said = getattr(args, place)
        if said is not None:
            wanted = narrowed(wanted, place, said, zone_min)
    return wanted


def _facts(one: Found) -> dict[str, object]:
    from hosewright.phrases.clock import utc_text
    from hosewright.session.kinds import STANDS

    return {
        "id": one.id,
        "kind": one.kind,
        "title": one.title,
        "status": one.status,
        "stands": STANDS[one.status],
        "started": utc_text(one.began),
        "changed": utc_text(one.changed),
        "yarn": one.yarn,
        "machine": one.machine,
        "cylinder": one.cylinder,
        "slots": one.slots,
        "wearer": one.wearer or None,
        "verdict": one.verdict or None,
        "twin_of": one.twin_of,
    }


def _row(one: Found) -> tuple[str, ...]:
    from hosewright.phrases.days import clock_day
    from hosewright.session.kinds import STANDS, kind_of

    stands = STANDS[one.status]
    said = f"{stands}: {safe(one.verdict)}" if one.verdict else stands
    return (one.id, clock_day(one.began, one.zone_min), kind_of(one), safe(one.title), said)  # the longest stands last


def _places() -> tuple[str, ...]:
    """What a word or a day can be asked of, each with an option of its own."""
    from hosewright.logbook.find.queries import PLACES, SEEN

    return (*PLACES, SEEN, "kind", "status", "since", "until")


def _find_options(parser: Parser) -> None:
    from hosewright.logbook.find.sessions import ORDERS

    parser.add_argument(
        "word", metavar="WORD", nargs="*", help="the beginning of a word anywhere, or yarn:grey and so on"
    )
    helps = {
        "kind": "stitch-size, gauge-tube, sock or string",
        "status": "under-way, drying, finished or given-up",
        "since": "a day, month or year: 2025-01-31, 2025-01, 2025",
        "until": "the same; that day counts",
        "verdict": "what was said of the fit: tight, too long and so on",
        "notes": "words in notes",
        "seen": "a fault that was noted: dropped, tuck, broke and so on",
    }
    for place in _places():
        parser.add_argument(f"--{place}", metavar="WORD", help=helps.get(place, f"words of the {place}"))
    parser.add_argument("--by", choices=ORDERS, default="began", help="in what order (began)")
    parser.add_argument("--rising", action="store_true", help="the other way round: oldest, or a to z")
    parser.add_argument("--most", metavar="N", type=int, help="at most so many")


# --- two sessions ----------------------------------------------------------------------------------------------


def _compare(args: Namespace) -> int:
    from hosewright.paper.compare import compare, comparison_page, side
    from hosewright.verbs.opening import open_book

    usually = usual()
    with open_book() as book:
        lines = [book.store.find(one) for one in (args.first, args.second)]
        first, second = (side(book.record(one), book.store.entries(one.n), usually.tape_error_mm) for one in lines)
    found = compare(first, second, usually.length_unit)
    if args.json:
        for line in found.lines:
            print(json.dumps({"what": line.what, "first": line.first, "second": line.second, "differs": line.differs}))
        return 0
    print(comparison_page(found).rstrip("\n"))
    return 0


def _compare_options(parser: Parser) -> None:
    parser.add_argument("first", metavar="ID", help="a session")
    parser.add_argument("second", metavar="ID", help="another")


# --- one yarn, one machine -------------------------------------------------------------------------------------


def _yarn(args: Namespace) -> int:
    from hosewright.logbook.find.yarns import yarn_card, yarns_cranked
    from hosewright.paper.yarn_page import yarn_page
    from hosewright.verbs.opening import open_book

    usually = usual()
    with open_book() as book:
        yarns = yarns_cranked(book)
        if args.yarn is None:
            return _yarn_list(yarns, as_json=args.json)
        yarn = the_one(yarns, args.yarn, "yarn", "that was cranked")
        card = yarn_card(book, yarn, usually.tape_error_mm)
    if args.html:
        from hosewright.paper.html_page import report_page
        from hosewright.paper.yarn_page import yarn_sections

        text = report_page(card.yarn.name, yarn_sections(card, usually.length_unit))
    else:
        text = yarn_page(card, usually.length_unit)
    return write_or_print(text, args.output, {"id": card.yarn.id}, as_json=args.json)


def _yarn_list(yarns: list[Yarn], *, as_json: bool) -> int:
    if as_json:
        for yarn in yarns:
            print(json.dumps({"id": yarn.id, "name": yarn.name, "m_per_100g": yarn.m_per_100g}))
        return 0
    print("\n".join(aligned([(one.id, safe(one.name)) for one in yarns])) if yarns else "No yarn was cranked yet.")
    return 0


def _yarn_options(parser: Parser) -> None:
    parser.add_argument("yarn", metavar="YARN", nargs="?", help="its id, or part of its name; without it, all of them")
    parser.add_argument("--html", action="store_true", help="as one page to print, A4 or Letter (else Markdown)")
    parser.add_argument("--output", metavar="FILE", help="write it into a new file")


def _needles(args: Namespace) -> int:
    from hosewright.logbook.accounts.needles import beds, faults_by_needle
    from hosewright.paper.needles import needles_page
    from hosewright.verbs.opening import open_book

    with open_book() as book:
        found = [(bed, faults_by_needle(book.store, bed)) for bed in beds(book.store)]
        zone = book.clock.now().zone_min
    if not args.json:
        print(needles_page(found, zone).rstrip("\n"))
        return 0
    for bed, faults in found:
        for one in faults:
            about = {"machine": bed.machine, "cylinder": bed.cylinder, "slots": bed.slots, "fault": one.fault}
            suspects = [{"needle": s.needle, "hits": s.hits, "of": s.of, "odds": s.odds} for s in one.suspects]
            changed = [{"needle": c.needle, "before": c.before, "since": c.since} for c in one.changed]
            told = {"of": one.of, "by_needle": dict(one.counts), "suspects": suspects, "changed": changed}
            print(json.dumps(about | told))
    return 0


# --- on paper --------------------------------------------------------------------------------------------------


def _sheet(args: Namespace) -> int:
    from hosewright.logbook.records.shelf import Machine, Wearer
    from hosewright.paper.crank_sheet import crank_sheet
    from hosewright.paper.sheet_page import sheet_page
    from hosewright.verbs.opening import open_book

    with open_book() as book:
        plan = _plan(book, args.plan)
        machine = book.get(Machine, plan.machine)
        wearer = book.get(Wearer, plan.wearer) if plan.wearer else None
    write = sheet_page if args.html else crank_sheet
    caution = wearer is not None and wearer.caution
    text = write(plan, machine, length_unit=usual().length_unit, caution=caution)
    return write_or_print(text, args.output, {"plan": plan.id}, as_json=args.json)


def _plan(book: Logbook, said: str) -> Plan:
    """A plan by its id or name, or the plan a session was started from."""
    from hosewright.logbook.records.shelf import Plan

    plans = book.shelf(Plan, retired=True)
    found = [plan for plan in plans if said in (plan.id, plan.name)]
    if found:
        return found[-1]
    record = book.record(book.store.find(said))
    if record.plan is None:
        raise UsageError(f"Session {record.id} was not started from a plan, so it has no crank sheet.")
    return record.plan


def _sheet_options(parser: Parser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan's id or name, or the id of a session started from one")
    parser.add_argument("--html", action="store_true", help="as one page to print, A4 or Letter (else Markdown)")
    parser.add_argument("--output", metavar="FILE", help="write it into a new file")


def _csv(args: Namespace) -> int:
    from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn
    from hosewright.paper.csv_files import events_csv, gauges_csv
    from hosewright.verbs.opening import open_book

    with open_book() as book:
        if args.session is not None:
            line = book.store.find(args.session)
            text = events_csv(book.record(line), book.store.entries(line.n))
        else:
            names = {yarn.id: yarn.name for yarn in book.shelf(Yarn, retired=True)}
            names |= {machine.id: machine.name for machine in book.shelf(Machine, retired=True)}
            names |= {cylinder.id: cylinder.name for cylinder in book.shelf(Cylinder, retired=True)}
            text = gauges_csv(book.gauges(), names)
    about = {"session": args.session} if args.session else {}
    if args.output is None:
        text = text.replace("\r\n", "\n")  # a terminal and a pipe end lines their own way
    return write_or_print(text, args.output, dict(about), as_json=args.json)


def _csv_options(parser: Parser) -> None:
    parser.add_argument("session", metavar="ID", nargs="?", help="every event of a session; without it, every gauge")
    parser.add_argument("--output", metavar="FILE", help="write it into a new file")


BACK: dict[str, tuple[str, str, Callable[[Parser], None], Callable[[Namespace], int]]] = {
    "find": (
        "sessions by any word in them, in any order",
        "find grey --kind tube --since 2024-10",
        _find_options,
        _find,
    ),
    "compare": (
        "two sessions side by side, differences first",
        "compare 20241006 20251011",
        _compare_options,
        _compare,
    ),
    "yarn": ("what a yarn did, and whether its gauge still holds", 'yarn "Slack Water"', _yarn_options, _yarn),
    "needles": ("needles that keep faulting, by machine and cylinder", "needles", no_options, _needles),
    "shelf": ("machines, cylinders, yarns, wearers and plans", "shelf yarns", shelf_options, list_shelf),
    "sheet": ("the crank sheet of a plan", "sheet 20241012 --html --output sheet.html", _sheet_options, _sheet),
    "csv": ("events of a session, or every gauge, for a spreadsheet", "csv --output gauges.csv", _csv_options, _csv),
}
