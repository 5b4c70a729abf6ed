"""``hosewright logbook shelf``: machines, cylinders, yarns, wearers and plans, listed."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from hosewright.verbs.parsing import aligned, safe, usual

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
    from hosewright.verbs.parsing import Parser

    Thing = Machine | Cylinder | Yarn | Wearer | Plan

KINDS = ("machines", "cylinders", "yarns", "wearers", "plans")


def shelf_options(parser: Parser) -> None:
    """Which of them, and whether old ones, too."""
    parser.add_argument("kind", metavar="KIND", nargs="?", choices=KINDS, help=f"{', '.join(KINDS)}; without it, all")
    parser.add_argument("--old", action="store_true", help="those no longer in use, too")


def list_shelf(args: Namespace) -> int:
    """Run the verb. Raises LogbookError."""
    from hosewright.verbs.opening import open_book

    kinds = KINDS if args.kind is None else (args.kind,)
    with open_book() as book:
        found = [(kind, things(book, kind, old=args.old)) for kind in kinds]
    if args.json:
        for kind, items in found:
            for item in items:
                print(json.dumps({"shelf": kind.removesuffix("s"), **_facts(item)}))
        return 0
    unit = usual().length_unit
    lines: list[str] = []
    for kind, items in found:
        rows = [(item.id, *(safe(said) for said in words(item, unit))) for item in items]
        if args.kind is None:
            lines += ["", f"{kind.capitalize()}:"]
        lines += aligned(rows) if rows else [f"No {kind} on the shelf."]
    print("\n".join(lines).lstrip("\n"))
    return 0


def _facts(item: Thing) -> dict[str, object]:
    """All that is kept, but not what is noted of a person: a list is piped about, and that is for the bench alone."""
    from hosewright.logbook.records.shelf import Wearer

    return item.model_dump(mode="json", exclude={"note"} if isinstance(item, Wearer) else None)


def things(book: Logbook, kind: str, *, old: bool) -> list[Thing]:
    """Everything of a kind, in order of first coming. Raises LogbookError."""
    from hosewright.logbook.records.shelf import SHELF

    cls: type[Any] = SHELF[kind.removesuffix("s")]
    return list(book.shelf(cls, retired=old))


def words(item: Thing, unit: str) -> tuple[str, str]:
    """The name, and what tells it from its neighbours; a wearer's caution is a word, and no more is said of it."""
    from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Yarn

    if isinstance(item, Machine):
        said = _machine(item)
    elif isinstance(item, Cylinder):
        said = _cylinder(item, unit)
    elif isinstance(item, Yarn):
        said = _yarn(item)
    elif isinstance(item, Plan):
        said = [
            f"{item.slots} slots",
            f"{item.foot_rows} rows in the foot",
            f"{item.metres_per_pair:.0f} m for the pair",
        ]
    else:
        said = _wearer(item, unit)
    return item.name, ", ".join(part for part in (*said, "no longer in use" if item.retired else "") if part)


def _machine(item: Machine) -> list[str]:
    from hosewright.craft.dial import show_position

    start = item.starting_dial
    return [
        "" if start is None else f"starting dial {show_position(start, item.clicks_per_turn)}",
        f"weights {item.weights}" if item.weights else "",
    ]


def _cylinder(item: Cylinder, unit: str) -> list[str]:
    from hosewright.craft.units import show_length

    slots = "" if f"{item.slots} slots" in item.name else f"{item.slots} slots"
    return [slots, f"{show_length(item.diameter_mm, unit)} across" if item.diameter_mm else ""]


def _yarn(item: Yarn) -> list[str]:
    from hosewright.craft.units import show_mass, show_number

    thick = item.count or (f"{show_number(item.m_per_100g, 4)} m per 100 g" if item.m_per_100g else "")
    return [
        item.fibre,
        item.colour,
        "striped" if item.striped else "",
        thick,
        f"{show_mass(item.ball_g)} a ball" if item.ball_g else "",
    ]


def _wearer(item: Wearer, unit: str) -> list[str]:
    from hosewright.craft.units import show_length

    foot = f"foot {show_length(item.foot_length_mm, unit)}" if item.foot_length_mm else item.shoe_size
    girth = f"girth {show_length(item.ball_girth_mm, unit)}" if item.ball_girth_mm else ""
    return [foot, girth, "caution: foot at risk" if item.caution else ""]
