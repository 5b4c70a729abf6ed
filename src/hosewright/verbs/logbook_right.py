"""``hosewright logbook``: what was wrong put right. correct, leave-out and take-in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.counting.put_right import (
    COPIED,
    left_out,
    put_right,
    start_events,
    start_lines,
    work_events,
    work_lines,
)
from hosewright.craft.units import quoted
from hosewright.logbook.records.year import Lot, Promise
from hosewright.phrases.field import FieldError
from hosewright.session.event_words import event_words
from hosewright.session.events import Event, TakenIn
from hosewright.verbs.book import open_book, the_one, the_session
from hosewright.verbs.parsing import Parser, UsageError, put, safe, usual

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable

    from hosewright.counting.put_right import Lines
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live

_NONE = "none"
_MAY_BE_NONE = ("wearer", "lot", "promise")
_CHOSEN = (*COPIED, "lot", "promise")


def _correct(args: Namespace) -> int:
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
    given = {name: getattr(args, name) for name in ("title", "day", *_CHOSEN) if getattr(args, name) is not None}
    lines = {field.name: field for field in start_lines(book, live.record).fields}
    values: dict[str, Any] = {}
    if args.sock is not None and not live.record.socks:
        raise UsageError("--sock is for a string of socks, and this session is none.")
    for what, said in given.items():
        line = what if what in lines else f"{what}-{args.sock or 0}"
        if line not in lines:
            which = f"--sock, from 1 to {len(live.record.socks)}" if live.record.socks else "a sock for that"
            raise UsageError(f"This session needs {which}.")
        if what in _CHOSEN:
            values[line] = _named(book, what, said)
        else:
            values[line] = lines[line].read(said)
    return values


def _named(book: Logbook, what: str, said: str) -> str | None:
    if what in _MAY_BE_NONE and said.casefold() == _NONE:
        return None
    kinds: dict[str, type[Any]] = {**COPIED, "lot": Lot, "promise": Promise}
    return str(the_one(book.shelf(kinds[what]), said, what, names=book.store.names_now()).id)


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


def _leave_out(args: Namespace) -> int:
    with open_book("logbook leave-out") as book:
        live = book.take_up(the_session(book, args.session).id)
        return _do(live, [left_out({"reason": args.reason, "cranked": not args.no_yarn})], as_json=args.json)


def _take_in(args: Namespace) -> int:
    with open_book("logbook take-in") as book:
        live = book.take_up(the_session(book, args.session).id)
        return _do(live, [TakenIn()], as_json=args.json)


def _one_session(parser: Parser) -> None:
    parser.add_argument("session", metavar="ID", help="the session's id, or enough of it to tell it from the others")


def _correct_options(parser: Parser) -> None:
    _one_session(parser)
    for what in _CHOSEN:
        none = f", or {_NONE}" if what in _MAY_BE_NONE else ""
        parser.add_argument(f"--{what}", metavar="NAME", help=f"the {what} it really was, by name or id{none}")
    parser.add_argument("--sock", metavar="N", type=int, help="of a string: the sock that --wearer and --promise mean")
    parser.add_argument("--day", metavar="DAY", help="the day it was really begun, such as 24 Dec 2025")
    parser.add_argument("--title", metavar="TEXT", help="what lists call it")
    parser.add_argument("--rows", metavar="PART=COUNT", action="append", help="rows or passes a part really had")
    parser.add_argument(
        "--reading", metavar="N=READING", action="append", help="a reading, by its number; nothing behind = strikes it"
    )
    parser.add_argument(
        "--joined", metavar="N=LOT", action="append", help="the lot of a ball joined on, by the number of the knot"
    )
    parser.add_argument("--reason", metavar="WHY", default="", help="why a count was wrong")


def _leave_out_options(parser: Parser) -> None:
    _one_session(parser)
    parser.add_argument("--reason", metavar="WHY", required=True, help="such as felted, cranked by a guest")
    parser.add_argument("--no-yarn", action="store_true", help="the keys were only tried: no yarn went in either")


VERBS: dict[str, tuple[Callable[[Parser], None], Callable[[Namespace], int]]] = {
    "correct": (_correct_options, _correct),
    "leave-out": (_leave_out_options, _leave_out),
    "take-in": (_one_session, _take_in),
}
