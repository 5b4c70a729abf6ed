"""``hosewright slip``: the small paper that goes with a pair."""

from __future__ import annotations

from hosewright.verbs.parsing import Parser, write_or_print


def run(argv: list[str]) -> int:
    """Run the verb. Raises CraftError, LogbookError or UsageError with a sentence."""
    parser = Parser(
        "slip",
        "the slip that goes with a pair: fibre, size by the scales, care as text, the wash its gauge tube was given",
        "hosewright slip coxswain-grey --output slip.html",
    )
    parser.add_argument(
        "id",
        metavar="ID",
        help="a promised pair (`hosewright pairs`), by its id or what it is called, or the session of a sock",
    )
    parser.add_argument("--output", metavar="FILE", help="write it into a new file: .html, .md or .txt")
    parser.add_json()
    args = parser.parse_args(argv)

    from hosewright.logbook.accounts.handed_over import handed
    from hosewright.paper.care_card import slip, slip_as, slip_text
    from hosewright.verbs.opening import open_book

    with open_book() as book:
        pair = handed(book, args.id)
    found = slip(pair)
    text = slip_as(found, args.output) if args.output else slip_text(found)
    about = {"id": pair.id, "slip": {name.lower(): "; ".join(told) for name, told in found.lines}}
    return write_or_print(
        text,
        args.output,
        about | {"not_noted": list(found.unknown), "caution": found.caution or None},
        as_json=args.json,
    )
