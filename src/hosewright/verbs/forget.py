"""``hosewright logbook forget WEARER``: says what would go, and removes it only with --yes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.verbs.parsing import put, safe

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.upkeep.forgetting import Forgotten
    from hosewright.verbs.parsing import Parser


_MOST_NEAR = 20


def forget_options(parser: Parser) -> None:
    """Who, and whether it is meant."""
    parser.add_argument("wearer", metavar="WEARER", help="the wearer's name, or the id")
    parser.add_argument("--yes", action="store_true", help="do it; it cannot be undone")


def forget_wearer(args: Namespace) -> int:
    """Run the verb. Raises LogbookError."""
    from hosewright.logbook.upkeep.forgetting import find_wearer, forget
    from hosewright.verbs.opening import open_book

    with open_book("logbook forget" if args.yes else "") as book:
        wearer = find_wearer(book, args.wearer)
        found = forget(book, wearer.id, really=args.yes)
    answer = {
        "wearer": wearer.id,
        "removed": args.yes,
        "socks": found.socks,
        "plans": found.plans,
        "promises": found.promises,
        "kept_without_name": found.kept,
        "mentions": found.mentions,
        "named_alike": found.named_alike,
        "near": [{"word": word, "text": text} for word, text in found.near],
        "pages": found.pages,
        "left": found.left,
    }
    return put(answer, _lines(found, done=args.yes), as_json=args.json)


def _lines(found: Forgotten, *, done: bool) -> list[str]:
    goes = "is removed" if done else "would be removed"
    socks, plans = _number(len(found.socks), "sock"), _number(len(found.plans), "plan")
    promised = _number(len(found.promises), "promised pair")
    taken = f"{socks}, {plans} and {promised}" if found.promises else f"{socks} and {plans}"
    lines = [
        f"{found.name} {goes}, with {taken}.",
        *(f"  {session}" for session in found.socks),
    ]
    if found.kept:
        stays = "stay" if done else "would stay"
        lines.append(f"{_number(len(found.kept), 'other session')} {stays} without the name.")
    if found.mentions:
        lines.append(
            f"The name {'is' if done else 'would be'} taken out of {_number(found.mentions, 'note')} elsewhere."
        )
    lines += [f"Left as it is: {name}, whose own name holds the same word." for name in found.named_alike]
    if found.pages:
        pages = _number(len(found.pages), "page or file", "pages and files")
        gone = "that told of them are" if done else "that tell of them would be"
        lines.append(f"{pages} beside the logbook {gone} removed:")
        lines += [f"  {safe(page)}" for page in found.pages]
    if found.near:
        lines.append("These may mean the same person. They stay as they are; correct them first if they do:")
        lines += [f"  {safe(word)}: {safe(text[:70])}" for word, text in found.near[:_MOST_NEAR]]
        if len(found.near) > _MOST_NEAR:
            lines.append(f"  and {len(found.near) - _MOST_NEAR} more; --json lists them all")
    if found.left:
        lines.append("These files hold the name, and are yours to remove:")
        lines += [f"  {safe(path)}" for path in found.left]
    if done:
        lines.append(
            "Older backups held them and are removed; one of today is made. What you exported, copied or printed "
            "elsewhere is yours to remove."
        )
    else:
        lines.append("Nothing was changed. Gauges always stay. Add --yes to do it: it cannot be undone.")
    return lines


def _number(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"
