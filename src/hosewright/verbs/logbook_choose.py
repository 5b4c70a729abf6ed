"""``hosewright logbook choose``: what was changed in two places, shown side by side, and one of them chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.phrases.lists import many
from hosewright.verbs.book import open_book, the_session
from hosewright.verbs.parsing import Parser, UsageError, aligned, put, put_each, safe
from hosewright.words.choices import of_session, questions

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable

    from hosewright.logbook.book import Logbook
    from hosewright.words.choices import Question


def _choose(args: Namespace) -> int:
    with open_book("logbook choose" if args.which is not None else "") as book:
        if args.id is None:
            return _list(questions(book), as_json=args.json)
        asked = _asked(book, args.id)
        lines = _lines(asked)
        chosen = None
        if args.which is not None:
            if not 1 <= args.which <= len(asked.ways):
                raise UsageError(f"There is no {args.which} to choose; type one of 1 to {len(asked.ways)}.")
            chosen = asked.ways[args.which - 1]
            asked.keep(args.which - 1)
            lines = [f"{asked.heading}: the one from {safe(chosen)} is in its place now. The other is kept."]
            if len(asked.ways) > 2:
                lines = [lines[0].replace("The other is kept", "The others are kept")]
        else:
            lines.append(f"`hosewright logbook choose {asked.id} 1` puts the first in its place; the others stay.")
    facts = {"id": asked.id, "kind": asked.kind, "title": asked.title, "ways": _facts(asked), "chosen": chosen}
    return put(facts, lines, as_json=args.json)


def _asked(book: Logbook, said: str) -> Question:
    every = questions(book)
    found = [one for one in every if said in (one.id, one.title)]
    return found[0] if found else of_session(book, the_session(book, said).id)


def _list(every: list[Question], *, as_json: bool) -> int:
    if as_json:
        return put_each({"id": one.id, "kind": one.kind, "title": one.title, "ways": _facts(one)} for one in every)
    if not every:
        print("Nothing was changed in two places.")
        return 0
    for one in every:
        print("\n".join([*_lines(one), f"`hosewright logbook choose {one.id} 1` puts the first in its place.", ""]))
    print(f"{many(len(every), 'thing')} to choose. Whichever you take, the others are kept.")
    return 0


def _lines(one: Question) -> list[str]:
    numbers = ("", *(str(at) for at in range(1, len(one.ways) + 1)))
    return [safe(f"{one.heading} ({one.id})"), *(f"  {line}" for line in aligned([numbers, *one.rows]))]


def _facts(one: Question) -> list[dict[str, str]]:
    return [{row[0]: row[at] for row in one.rows} for at in range(1, len(one.ways) + 1)]


def _choose_options(parser: Parser) -> None:
    parser.add_argument("id", metavar="ID", nargs="?", help="a session, or something on the shelf; without, all")
    parser.add_argument("which", metavar="NUMBER", nargs="?", type=int, help="the one to put in its place")


VERBS: dict[str, tuple[Callable[[Parser], None], Callable[[Namespace], int]]] = {"choose": (_choose_options, _choose)}
