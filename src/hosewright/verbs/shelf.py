"""``hosewright shelf``: machines, cylinders, yarns, lots of yarn and wearers, listed, added, changed and retired."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.units import quoted
from hosewright.logbook.merging import merge_into, part_again
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.phrases.days import local_day
from hosewright.phrases.lists import nearest
from hosewright.phrases.times import WallClock
from hosewright.planning.shelf_lines import lines_of, lot_lines
from hosewright.verbs.asking import Form, add_options, typed
from hosewright.verbs.book import open_book, the_one
from hosewright.verbs.logbook import run as logbook
from hosewright.verbs.parsing import Parser, UsageError, put, put_overview, usual
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.book import Logbook
    from hosewright.planning.shelf_lines import Lines
    from hosewright.settings.table import Settings

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
    """List, add, change, retire, take back into use. Raises LogbookError, FieldError or UsageError with a sentence."""
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
    parser = Parser(f"shelf {way} {kind}", _WAYS[way], f"hosewright shelf {way} {kind} {_MERGED[way]}")
    parser.add_argument("name", metavar="NAME", help="the one that was entered twice, by its name or id")
    if way == "merge":
        parser.add_argument("into", metavar="INTO", help="the one it is, by its name or id")
    parser.add_json()
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
    parser = Parser(f"shelf {way} {kind}", _WAYS[way], f"hosewright shelf {way} {kind} {EXAMPLES[kind]}")
    parser.add_argument("name", metavar="NAME", nargs="?", help="what you call it; without it, you are asked")
    bare = _lines(kind, None, _ANY, usually)
    add_options(parser, [field for field in bare.fields if way == "change" or field.name != "name"])
    if kind == "yarn":
        parser.add_argument("--m-per-100g", metavar="N", help="the count as metres in 100 g")
    if kind == "lot":
        parser.add_argument("--of", metavar="YARN", required=way == "add", help="which yarn it is a lot of")
    parser.add_argument("--ask", action="store_true", help="ask for every line that was not given")
    parser.add_json()
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
    parser = Parser(f"shelf {way} {kind}", _WAYS[way], f"hosewright shelf {way} {kind} NAME")
    parser.add_argument("name", metavar="NAME", help="its name, or part of it, or its id")
    parser.add_json()
    args = parser.parse_args(argv)
    with open_book("shelf") as book:
        item = _found(book, kind, args.name)
        made = item.model_copy(update={"retired": way == "retire"})
        if made != item:
            book.keep(made)
    done = "is retired. Its sessions stay as they are" if made.retired else "is in use"
    return put(_facts(made), [f"{made.name} {done}."], as_json=args.json)


def _facts(made: Any) -> dict[str, Any]:
    facts: dict[str, Any] = made.model_dump(mode="json", exclude={"note"} if isinstance(made, Wearer) else None)
    if isinstance(made, Lot) and made.price is not None:
        facts["price"] = made.price / 100
    return facts


def _said(made: Any, unit: str) -> str:
    return made.name if isinstance(made, Lot) else item_words(made, unit)
