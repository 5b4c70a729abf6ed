"""``hosewright pairs``: what is promised, how far it is, what this week holds; ``care-card``: what goes with a pair."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from hosewright.craft.workload import need_for
from hosewright.logbook.accounts.pace import recent_pace
from hosewright.logbook.accounts.pairs import loose_socks, loose_words, pair_given, pairs, yarn_cost
from hosewright.paper.care_card import card_as, card_text, care_card
from hosewright.phrases.days import days_to, local_day
from hosewright.phrases.lists import Column, in_columns
from hosewright.verbs.book import open_book
from hosewright.verbs.parsing import Parser, put_each, safe, usual, write_or_print
from hosewright.words.pairs import (
    all_promised,
    all_words,
    cost_words,
    is_this_week,
    pair_columns,
    this_week,
    week_days,
    week_words,
)

if TYPE_CHECKING:
    from datetime import date

    from hosewright.craft.workload import OwnPace
    from hosewright.logbook.accounts.pairs import Pair, Sock, YarnCost
    from hosewright.settings.table import Settings


def run(argv: list[str]) -> int:
    parser = Parser("pairs", "the pairs promised, how far each is, and its hours", "hosewright pairs --week")
    parser.add_argument("--week", action="store_true", help="only those due this week or overdue, and their hours")
    parser.add_argument("--old", action="store_true", help="those handed over or called off, too")
    parser.add_json()
    args = parser.parse_args(argv)

    settings = usual()
    with open_book() as book:
        found, pace, today = pairs(book, old=args.old), recent_pace(book), local_day(book.clock)
        loose = {pair.promise.id: loose_socks(book, pair) for pair in found}
        shown = [pair for pair in found if not args.week or is_this_week(pair, today)]
        costs = {pair.promise.id: cost for pair in shown if (cost := yarn_cost(book, pair))}
    if args.json:
        return put_each(
            _facts(pair, costs.get(pair.promise.id), pace, settings, today)
            | {"may_be_of_it": [one.session for one in loose[pair.promise.id]]}
            for pair in shown
        )
    held = this_week(found, pace, settings, today)
    by_id: Column[Pair] = Column("Id", lambda pair: pair.promise.id)
    columns = (by_id, *pair_columns(pace, settings, today, money=settings.money))
    if costs:

        def yarn_cost_of(pair: Pair) -> str:
            return cost_words(costs[pair.promise.id], settings.money) if pair.promise.id in costs else ""

        columns += (Column("Yarn cost", yarn_cost_of),)
    lines = [safe(line) for line in in_columns(columns, shown)] if shown else []
    for pair in shown:
        for one in loose[pair.promise.id]:
            join = f"hosewright logbook correct {one.session} --promise {pair.promise.id}"
            lines.append(f"{safe(loose_words(pair, one))} Join it with `{join}`.")
    if not found:
        lines = ["No pair is promised."]
    elif not args.week:
        lines += ["", week_words(held, settings, today)]
        lines += filter(None, [all_words(all_promised(found, pace, settings, today), held, settings, today)])
    else:
        lines += ["", *week_days(held, today), week_words(held, settings, today)]
    print("\n".join(lines).lstrip("\n"))
    return 0


def _facts(pair: Pair, cost: YarnCost | None, pace: OwnPace, settings: Settings, today: date) -> dict[str, object]:
    """All of a promise but its note, which may be of a person; times in minutes, money as typed."""
    promise, left = pair.promise, pair.left
    need = need_for(left, pace, settings.off_crank_min) if left is not None else None
    return {
        "id": promise.id,
        "name": promise.name,
        "wearer": promise.wearer,
        "yarn": promise.yarn,
        "lot": promise.lot,
        "plan": promise.plan,
        "made": promise.made,
        "by": promise.by,
        "days": days_to(promise.by, today) if promise.by else None,
        "first": _sock(pair.first),
        "twin": _sock(pair.twin),
        "spoilt": [
            {"session": one.session, "reason": one.reason, "rows": one.done.rows, "passes": one.done.passes}
            for one in pair.spoilt
        ],
        "rows_left": left.rows if left else None,
        "passes_left": left.passes if left else None,
        "cranking_min": need.cranking if need else None,
        "cranking_min_error": need.error if need else None,
        "off_crank_min": need.off_crank if need else None,
        "price": promise.price / 100 if promise.price is not None else None,
        "paid": promise.paid / 100,
        "yarn_cost_so_far": cost.so_far / 100 if cost else None,
        "yarn_cost": cost.whole / 100 if cost else None,
        "yarn_cost_in_part": cost.in_part if cost else None,
        "handed_over": promise.handed_over,
        "called_off": promise.retired,
    }


def _sock(sock: Sock) -> dict[str, object]:
    return {
        "stage": sock.stage,
        "part": sock.part or None,
        "fit": sock.fit or None,
        "session": sock.session or None,
        "sock_of_string": sock.number or None,
        "rows": sock.done.rows,
        "passes": sock.done.passes,
        "rows_of": sock.whole.rows if sock.whole else None,
        "passes_of": sock.whole.passes if sock.whole else None,
    }


def run_care_card(argv: list[str]) -> int:
    parser = Parser(
        "care-card",
        "the card that goes with a pair: fibre, size by the scales, care as text, the wash its gauge tube was given",
        "hosewright care-card coxswain-grey --output card.html",
    )
    parser.add_argument(
        "id",
        metavar="ID",
        help="a promised pair (`hosewright pairs`), by its id or what it is called, or the session of a sock",
    )
    parser.add_argument("--output", metavar="FILE", help="write it into a new file: .html, .md or .txt")
    parser.add_json()
    args = parser.parse_args(argv)

    with open_book() as book:
        pair = pair_given(book, args.id)
    found = care_card(pair)
    text = card_as(found, args.output) if args.output else card_text(found)
    if found.unknown and not args.json:
        print(f"{found.not_noted} None of that is on the card.", file=sys.stderr)
    about = {"id": pair.id, "care_card": {name.lower(): "; ".join(told) for name, told in found.lines}}
    return write_or_print(
        text,
        args.output,
        about | {"not_noted": list(found.unknown), "caution": found.caution or None},
        as_json=args.json,
    )
