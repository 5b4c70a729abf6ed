"""``hosewright shelf``: machines, cylinders, yarns, lots of yarn and wearers, listed, added, changed and retired.

And what ``hosewright logbook`` tells of them: shelf, yarn, needles and sheet.
"""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from hosewright.craft.units import quoted
from hosewright.logbook.accounts.care import beds, faults_by_needle
from hosewright.logbook.entered_twice import merge_into, part_again
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.find.wanted import has_words
from hosewright.logbook.find.yarns import yarn_card, yarns_cranked
from hosewright.logbook.records.shelf import SHELF, Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.paper.crank_sheet import crank_sheet, sheet_page
from hosewright.paper.html_page import report_page
from hosewright.paper.yarn_page import needles_page, yarn_page, yarn_sections
from hosewright.phrases.days import local_day
from hosewright.phrases.lists import nearest
from hosewright.phrases.times import WallClock
from hosewright.planning.shelf_lines import lines_of, lot_lines
from hosewright.verbs.asking import Form, add_options, typed
from hosewright.verbs.book import open_book, the_one, the_session
from hosewright.verbs.logbook import run as logbook
from hosewright.verbs.parsing import (
    Parser,
    UsageError,
    add_output,
    aligned,
    named,
    put,
    put_each,
    put_overview,
    safe,
    usual,
    write_or_print,
)
from hosewright.words.gauges import yarn_facts
from hosewright.words.shelf import item_facts, item_words

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.accounts.care import Bed, ByNeedle
    from hosewright.logbook.book import Logbook
    from hosewright.planning.shelf_lines import Lines
    from hosewright.settings.table import Settings

    Thing = Machine | Cylinder | Yarn | Wearer | Plan


KINDS: dict[str, type[Any]] = {"machine": Machine, "cylinder": Cylinder, "yarn": Yarn, "wearer": Wearer, "lot": Lot}
EXAMPLES = {
    "machine": '"the attic one" --clicks-per-turn 4',
    "cylinder": '"the sixty" --slots 60',
    "yarn": '"Moss" --m-per-100g 420',
    "wearer": '"the baker" --foot-length "252 mm"',
    "lot": '"17 B" --of Moss --pieces 3 --grams "300 g" --price 24',
}
DOUBLED = ("machine", "cylinder", "yarn", "wearer")
_MERGED = {"merge": '"Twine" "Fjord"', "part": '"Twine"'}
_ANY = Yarn(id="any-yarn", name="any")  # whose lot's lines the options are named by
_WAYS = {
    "list": "what is on the shelf",
    "add": "put something on the shelf",
    "change": "change something on it; how it was can still be read",
    "retire": "put something out of use; its sessions stay as they are",
    "reuse": "take something retired back into use",
    "merge": "make two one that were entered twice; both ids go on working",
    "part": "part what was made one",
}


def run(argv: list[str]) -> int:
    way, rest = argv[0] if argv else "list", argv[1:]
    if way in ("-h", "--help"):
        return put_overview(
            "hosewright shelf WAY KIND NAME; `hosewright shelf add machine --help` shows the options of a kind.",
            _WAYS,
            f"Kinds: {', '.join(KINDS)}.\n\nExample:\n  hosewright shelf add cylinder {EXAMPLES['cylinder']}",
        )
    if way not in _WAYS:
        raise UsageError(f"There is no way {quoted(way)}.{nearest(way, _WAYS)} The ways are {', '.join(_WAYS)}.")
    if way == "list":
        return logbook(["shelf", *rest])
    kind = rest[0] if rest and not rest[0].startswith("-") else ""
    if kind not in KINDS:
        raise UsageError(f"Say what to {way}: {', '.join(KINDS)}.{nearest(kind, KINDS) if kind else ''}")
    if way in ("merge", "part"):
        return _merge(way, kind, rest[1:])
    return _fill_in(way, kind, rest[1:]) if way in ("add", "change") else _retire(way, kind, rest[1:])


def _merge(way: str, kind: str, argv: list[str]) -> int:
    parser = Parser(f"shelf {way} {kind}", _WAYS[way], _MERGED[way])
    parser.takes("name", "NAME", "the one that was entered twice, by its name or id")
    if way == "merge":
        parser.takes("into", "INTO", "the one it is, by its name or id")
    args = parser.parse_args(argv)
    if kind not in DOUBLED:
        raise UsageError(f"Only these can be made one: {', '.join(DOUBLED)}.")
    with open_book("shelf") as book:
        item = _found(book, kind, args.name)
        if way == "part":
            made = part_again(book, kind, item.id)
            said = f"{made.name} is a {kind} of its own again."
        else:
            made = the_one(book.shelf(KINDS[kind]), args.into, kind, names=book.store.names_now())
            merge_into(book, item, made)
            said = (
                f"{item.name} and {made.name} are one {kind} now, {made.name}. All that was done with either follows."
            )
    return put(_facts(made), [said], as_json=args.json)


def _fill_in(way: str, kind: str, argv: list[str]) -> int:
    usually = usual()
    parser = Parser(f"shelf {way} {kind}", _WAYS[way], EXAMPLES[kind])
    parser.takes("name", "NAME", "what you call it; without it, you are asked", nargs="?")
    bare = _lines(kind, None, _ANY, usually)
    add_options(parser, [field for field in bare.fields if way == "change" or field.name != "name"])
    if kind == "yarn":
        parser.takes("--m-per-100g", "N", "the count as metres in 100 g")
    if kind == "lot":
        parser.takes("--of", "YARN", "which yarn it is a lot of", required=way == "add")
    parser.flag("--ask", "ask for every line that was not given")
    args = parser.parse_args(argv)
    with open_book("shelf", make=True) as book:
        item = None if way == "add" else _found(book, kind, args.name)
        yarn = _yarn(book, args, item) if kind == "lot" else None
        lines = _lines(kind, item, yarn, usually, book)
        form = Form(lines.title, lines.fields, lines.first, _given(args, lines, way))
        made = lines.build(form.filled_in(ask=args.ask or (way == "add" and not args.json and form.lacks)))
        if item is None and any(one.name == made.name for one in book.shelf(KINDS[kind])):
            raise UsageError(
                f"There is a {kind} called {made.name} already: `hosewright shelf change {kind}` changes it."
            )
        book.keep(made)
    said = _said(made, usually.length_unit)
    return put(_facts(made), [f"{'Added' if way == 'add' else 'Changed'}: {said}."], as_json=args.json)


def _lines(kind: str, item: Any, yarn: Yarn | None, usually: Settings, book: Logbook | None = None) -> Lines:
    if kind == "lot":
        assert yarn is not None
        today = local_day(book.clock if book else WallClock())
        return lot_lines(yarn, item, usually.mass_unit, today, usually.money)
    return lines_of(KINDS[kind], item, usually.length_unit, usually.mass_unit)


def _given(args: Namespace, lines: Lines, way: str) -> dict[str, str]:
    given = typed(args, lines.fields)
    if way == "add" and args.name is not None:
        given["name"] = args.name
    if getattr(args, "m_per_100g", None) is not None:
        if "count" in given:
            raise UsageError("--count and --m-per-100g say the same: type one of them.")
        given["count"] = f"{args.m_per_100g} m/100g"
    return given


def _found(book: Logbook, kind: str, said: str | None) -> Any:
    if said is None:
        raise UsageError(f"Say which {kind}, by its name or id.")
    return the_one(book.shelf(KINDS[kind], retired=True), said, kind, names=book.store.names_now())


def _yarn(book: Logbook, args: Namespace, lot: Lot | None) -> Yarn:
    if args.of is None and lot is not None:
        yarn = book.get(Yarn, lot.yarn)
        if yarn is not None:
            return yarn
    return the_one(book.shelf(Yarn), args.of or "", "yarn", names=book.store.names_now())


def _retire(way: str, kind: str, argv: list[str]) -> int:
    parser = Parser(f"shelf {way} {kind}", _WAYS[way], "NAME")
    parser.takes("name", "NAME", "its name, or part of it, or its id")
    args = parser.parse_args(argv)
    with open_book("shelf") as book:
        item = _found(book, kind, args.name)
        made = item.model_copy(update={"retired": way == "retire"})
        if made != item:
            book.keep(made)
    done = "is retired. Its sessions stay as they are" if made.retired else "is in use"
    return put(_facts(made), [f"{made.name} {done}."], as_json=args.json)


def _facts(made: Any) -> dict[str, Any]:
    """All that is kept, but not what is noted of a person: a list is piped about, and that is for the bench alone."""
    facts: dict[str, Any] = made.model_dump(mode="json", exclude={"note"} if isinstance(made, Wearer) else None)
    if isinstance(made, Lot) and made.price is not None:
        facts["price"] = made.price / 100
    return facts


def _said(made: Any, unit: str) -> str:
    return made.name if isinstance(made, Lot) else item_words(made, unit)


# --- as verbs of the logbook: shelf, yarn, needles and sheet ----------------------------------------------------------


NEWEST_PRINTED = 12  # so that a page to print is two at most
SHELVES = ("machines", "cylinders", "yarns", "wearers", "plans")


# --- the shelf -------------------------------------------------------------------------------------------------------


def run_shelf(parser: Parser, argv: list[str]) -> int:
    parser.takes("kind", "KIND", f"{', '.join(SHELVES)}; without it, all", nargs="?", choices=SHELVES)
    parser.flag("--old", "retired ones, too")
    args = parser.parse_args(argv)
    kinds: dict[str, type[Any]] = {kind: SHELF[kind.removesuffix("s")] for kind in SHELVES if args.kind in (None, kind)}
    with open_book() as book:
        found = [(kind, book.shelf(cls, retired=args.old)) for kind, cls in kinds.items()]
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


# --- one yarn, one machine -------------------------------------------------------------------------------------------


def run_yarn(parser: Parser, argv: list[str]) -> int:
    parser.takes("yarn", "YARN", "its name or part of it, or its id; without it, all of them", nargs="?")
    parser.flag("--all", f"every session, not only the newest {NEWEST_PRINTED}")
    add_output(parser, html=True)
    args = parser.parse_args(argv)
    usually = usual()
    with open_book() as book:
        yarns = yarns_cranked(book)
        if args.yarn is None:
            rows = [(one.id, safe(one.name)) for one in yarns]
            lines = aligned(rows) if rows else ["No yarn was cranked yet."]
            return put_each((named(one, "id", "name", "m_per_100g") for one in yarns), lines, as_json=args.json)
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


def run_needles(parser: Parser, argv: list[str]) -> int:
    args = parser.parse_args(argv)
    with open_book() as book:
        found = [(bed, faults_by_needle(book.store, bed)) for bed in beds(book.store)]
        zone = book.clock.now().zone_min
    facts = (_facts_of(bed, one) for bed, faults in found for one in faults)
    return put_each(facts, [needles_page(found, zone).rstrip("\n")], as_json=args.json)


def _facts_of(bed: Bed, one: ByNeedle) -> dict[str, object]:
    about = {"machine": bed.machine, "cylinder": bed.cylinder, "slots": bed.slots, "fault": one.fault, "of": one.of}
    changed = [{"needle": c.needle, "before": c.before, "since": c.since} for c in one.changed]
    return about | {"by_needle": dict(one.counts), "suspects": list(map(asdict, one.suspects)), "changed": changed}


# --- a plan on paper -------------------------------------------------------------------------------------------------


def run_sheet(parser: Parser, argv: list[str]) -> int:
    parser.takes("plan", "PLAN", "a plan's name or part of it, its id, or a session started from it")
    add_output(parser, html=True)
    args = parser.parse_args(argv)
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
