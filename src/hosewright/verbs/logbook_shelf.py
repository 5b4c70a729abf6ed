"""``hosewright logbook``: what sessions are made with. shelf, yarn, needles and sheet."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from hosewright.logbook.accounts.care import beds, faults_by_needle
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.wanted import has_words
from hosewright.logbook.find.yarns import yarn_card, yarns_cranked
from hosewright.logbook.records.shelf import SHELF, Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.paper.crank_sheet import crank_sheet, sheet_page
from hosewright.paper.html_page import report_page
from hosewright.paper.yarn_page import needles_page, yarn_page, yarn_sections
from hosewright.verbs.book import open_book, the_one, the_session
from hosewright.verbs.parsing import (
    Parser,
    UsageError,
    add_output,
    aligned,
    no_options,
    put,
    put_each,
    safe,
    usual,
    write_or_print,
)
from hosewright.words.gauges import yarn_facts
from hosewright.words.shelf import item_facts

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.accounts.care import Bed, ByNeedle
    from hosewright.logbook.book import Logbook
    from hosewright.verbs.parsing import Parser

    Thing = Machine | Cylinder | Yarn | Wearer | Plan
    from collections.abc import Callable


NEWEST_PRINTED = 12  # so that a page to print is two at most
KINDS = ("machines", "cylinders", "yarns", "wearers", "plans")


# --- the shelf -------------------------------------------------------------------------------------------------------


def _shelf(args: Namespace) -> int:
    kinds = KINDS if args.kind is None else (args.kind,)
    with open_book() as book:
        found = [(kind, _things(book, kind, old=args.old)) for kind in kinds]
    if args.json:
        return put_each({"shelf": kind.removesuffix("s"), **_facts(item)} for kind, items in found for item in items)
    unit = usual().length_unit
    lines: list[str] = []
    for kind, items in found:
        rows = [(item.id, safe(item.name), safe(item_facts(item, unit, full=True))) for item in items]
        if args.kind is None:
            lines += ["", f"{kind.capitalize()}:"]
        lines += aligned(rows) if rows else [f"No {kind} on the shelf."]
    print("\n".join(lines).lstrip("\n"))
    return 0


def _facts(item: Thing) -> dict[str, object]:
    """All that is kept, but not what is noted of a person: a list is piped about, and that is for the bench alone."""
    return item.model_dump(mode="json", exclude={"note"} if isinstance(item, Wearer) else None)


def _things(book: Logbook, kind: str, *, old: bool) -> list[Thing]:
    """Everything of a kind, in order of first coming. Raises LogbookError."""
    cls: type[Any] = SHELF[kind.removesuffix("s")]
    return list(book.shelf(cls, retired=old))


def _shelf_options(parser: Parser) -> None:
    parser.add_argument("kind", metavar="KIND", nargs="?", choices=KINDS, help=f"{', '.join(KINDS)}; without it, all")
    parser.add_argument("--old", action="store_true", help="retired ones, too")


# --- one yarn, one machine -------------------------------------------------------------------------------------------


def _yarn(args: Namespace) -> int:
    usually = usual()
    with open_book() as book:
        yarns = yarns_cranked(book)
        if args.yarn is None:
            return _yarn_list(yarns, as_json=args.json)
        yarn = the_one(yarns, args.yarn, "yarn", "that was cranked", book.store.names_now())
        as_data = args.json and not args.output
        newest = None if args.all or as_data else NEWEST_PRINTED
        card = yarn_card(book, yarn, usually.tape_error_mm, newest, tubes_alone=not as_data)
    if as_data:
        return put(yarn_facts(card), [], as_json=True)
    if args.html:
        text = report_page(card.yarn.name, yarn_sections(card, usually.length_unit))
    else:
        text = yarn_page(card, usually.length_unit)
    return write_or_print(text, args.output, {"id": card.yarn.id}, as_json=args.json)


def _yarn_list(yarns: list[Yarn], *, as_json: bool) -> int:
    if as_json:
        return put_each({"id": yarn.id, "name": yarn.name, "m_per_100g": yarn.m_per_100g} for yarn in yarns)
    print("\n".join(aligned([(one.id, safe(one.name)) for one in yarns])) if yarns else "No yarn was cranked yet.")
    return 0


def _yarn_options(parser: Parser) -> None:
    parser.add_argument(
        "yarn", metavar="YARN", nargs="?", help="its name or part of it, or its id; without it, all of them"
    )
    parser.add_argument("--all", action="store_true", help=f"every session, not only the newest {NEWEST_PRINTED}")
    add_output(parser, html=True)


def _needles(args: Namespace) -> int:
    with open_book() as book:
        found = [(bed, faults_by_needle(book.store, bed)) for bed in beds(book.store)]
        zone = book.clock.now().zone_min
    if not args.json:
        print(needles_page(found, zone).rstrip("\n"))
        return 0
    return put_each(_facts_of(bed, one) for bed, faults in found for one in faults)


def _facts_of(bed: Bed, one: ByNeedle) -> dict[str, object]:
    about = {"machine": bed.machine, "cylinder": bed.cylinder, "slots": bed.slots, "fault": one.fault, "of": one.of}
    changed = [{"needle": c.needle, "before": c.before, "since": c.since} for c in one.changed]
    return about | {"by_needle": dict(one.counts), "suspects": list(map(asdict, one.suspects)), "changed": changed}


# --- a plan on paper -------------------------------------------------------------------------------------------------


def _sheet(args: Namespace) -> int:
    with open_book() as book:
        plan = _plan(book, args.plan)
        machine = book.get(Machine, plan.machine)
        wearer = book.get(Wearer, plan.wearer) if plan.wearer else None
    write = sheet_page if args.html else crank_sheet
    text = write(plan, machine, length_unit=usual().length_unit, wearer=wearer)
    return write_or_print(text, args.output, {"plan": plan.id}, as_json=args.json)


def _plan(book: Logbook, said: str) -> Plan:
    """A plan by its id or its name, or part of it, or the plan a session was started from."""
    plans = book.shelf(Plan, retired=True)
    exact = [plan for plan in plans if said in (plan.id, plan.name)]
    if exact:
        return exact[-1]
    if any(has_words(plan.name, said) for plan in plans):
        return the_one(plans, said, "plan")
    try:
        record = book.record(the_session(book, said))
    except LogbookError:
        return the_one(plans, said, "plan or session", "here")
    if record.plan is None:
        raise UsageError(f"Session {record.id} was not started from a plan, so it has no crank sheet.")
    return record.plan


def _sheet_options(parser: Parser) -> None:
    parser.add_argument(
        "plan", metavar="PLAN", help="a plan's name or part of it, its id, or a session started from it"
    )
    add_output(parser, html=True)


VERBS: dict[str, tuple[Callable[[Parser], None], Callable[[Namespace], int]]] = {
    "shelf": (_shelf_options, _shelf),
    "yarn": (_yarn_options, _yarn),
    "needles": (no_options, _needles),
    "sheet": (_sheet_options, _sheet),
}
