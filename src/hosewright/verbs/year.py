"""The year's accounts: ``hosewright stock``, ``pairs``, ``care-card`` and ``care``; their options are in `options`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from hosewright.craft.workload import need_for
from hosewright.logbook.accounts.care import Oiled, blank, figures, history, still_ms
from hosewright.logbook.accounts.pace import recent_pace
from hosewright.logbook.accounts.pairs import loose_socks, loose_words, pair_given, pairs, yarn_cost
from hosewright.logbook.accounts.stock import stocks
from hosewright.logbook.records.shelf import Cylinder, Machine
from hosewright.paper.care_card import card_as, card_text, care_card
from hosewright.phrases.days import clock_day, days_to, local_day
from hosewright.phrases.lists import Column, in_columns
from hosewright.phrases.times import utc_text
from hosewright.verbs.book import keep_beside_a_bench, open_book, the_one
from hosewright.verbs.parsing import aligned, named, put_each, safe, usual, write_or_print
from hosewright.words.care import entry_words, figure_lines, oil_words
from hosewright.words.pairs import (
    all_words,
    cost_words,
    is_this_week,
    pair_columns,
    time_for,
    week_days,
    week_words,
)
from hosewright.words.stock import LEDGER_COLUMNS, holdings, ledger, lot_line, lot_says, stock_columns, yarn_says

if TYPE_CHECKING:
    from argparse import Namespace
    from datetime import date

    from hosewright.craft.workload import OwnPace
    from hosewright.logbook.accounts.care import Figures
    from hosewright.logbook.accounts.cranked import Cranked
    from hosewright.logbook.accounts.pairs import Pair, Sock, YarnCost
    from hosewright.logbook.accounts.stock import LotStock, YarnStock
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.year import Care
    from hosewright.settings.table import Settings


def put_stock(args: Namespace) -> int:
    with open_book() as book:
        found = stocks(book, retired=args.old)
        zone, names = book.clock.now().zone_min, book.store.names_now()
    if args.yarn is not None:
        yarn = the_one([stock.yarn for stock in found], args.yarn, "yarn", names=names)
        found = [stock for stock in found if stock.yarn.id == yarn.id]
    if args.json:
        return put_each(_lot_facts(stock, lot) for stock in found for lot in stock.lots)
    unit = usual().mass_unit
    shown = found if args.yarn is not None else [stock for stock in found if stock.lots or stock.claims]
    if not shown:
        print("No lot of yarn is noted yet; the bench takes one under yarn stock.")
        return 0
    lines = _table(shown, unit)
    if args.yarn is not None:
        lines += _ledgers(shown[0], zone, unit)
    print("\n".join(" " * (len(line) - len(line.lstrip())) + safe(line) for line in lines))
    return 0


def _table(stocks: list[YarnStock], unit: str) -> list[str]:
    lines = in_columns(stock_columns(unit), holdings(stocks))
    for stock in stocks:
        said = yarn_says(stock, unit)
        said += [f"{lot_line(lot)}: {one[0].lower()}{one[1:]}" for lot in stock.lots for one in lot_says(lot, unit)]
        if said:
            lines += ["", stock.yarn.name, *(f"- {one}" for one in said)]
    return lines


def _ledgers(stock: YarnStock, zone_min: int, unit: str) -> list[str]:
    lines = []
    for lot in stock.lots:
        lines += ["", f"{lot_line(lot)}, in {unit}", *in_columns(LEDGER_COLUMNS, ledger(lot, zone_min, unit))]
    return lines


def _lot_facts(stock: YarnStock, lot: LotStock) -> dict[str, object]:
    account = lot.account
    grams = ("bought", "used", "weighed", "worked_out", "unaccounted", "gone", "promised", "left", "held")
    return {
        "lot": lot.lot.id,
        "name": lot.lot.name,
        "yarn": stock.yarn.id,
        "yarn_name": stock.yarn.name,
        **named(lot.lot, "bought", "put_up", "pieces"),
        "price": lot.lot.price / 100 if lot.lot.price is not None else None,
        **{f"{name}_g": getattr(account, name) / 1000 for name in grams},
        "socks": stock.socks(account.left),
        "not_weighed": list(lot.not_weighed),
        "retired": lot.lot.retired,
    }


# --- pairs promised, and the card that goes with one ------------------------------------------------------------------


def put_pairs(args: Namespace) -> int:
    settings = usual()
    with open_book() as book:
        found, pace, today = pairs(book, old=args.old), recent_pace(book), local_day(book.clock)
        loose = {pair.promise.id: loose_socks(book, pair) for pair in found}
        shown = [pair for pair in found if not args.week or is_this_week(pair, today)]
        costs = {pair.promise.id: cost for pair in shown if (cost := yarn_cost(book, pair))}
    if args.json:
        return put_each(
            _pair_facts(pair, costs.get(pair.promise.id), pace, settings, today)
            | {"may_be_of_it": [one.session for one in loose[pair.promise.id]]}
            for pair in shown
        )
    held, every = time_for(found, pace, settings, today)
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
        lines += filter(None, [all_words(every, held, settings, today)])
    else:
        lines += ["", *week_days(held, today), week_words(held, settings, today)]
    print("\n".join(lines).lstrip("\n"))
    return 0


def _pair_facts(pair: Pair, cost: YarnCost | None, pace: OwnPace, settings: Settings, today: date) -> dict[str, object]:
    """All of a promise but its note, which may be of a person; times in minutes, money as typed."""
    promise, left = pair.promise, pair.left
    need = need_for(left, pace, settings.off_crank_min) if left is not None else None
    return {
        **named(promise, "id", "name", "wearer", "yarn", "lot", "plan", "made", "by"),
        "days": days_to(promise.by, today) if promise.by else None,
        "first": _sock_facts(pair.first),
        "twin": _sock_facts(pair.twin),
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


def _sock_facts(sock: Sock) -> dict[str, object]:
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


def put_care_card(args: Namespace) -> int:
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


# --- machines: cranked since they were oiled, and what was done to them -----------------------------------------------


FEW = 5  # entries shown of each machine when all are


def put_care(args: Namespace) -> int:
    if args.oiled:
        _note_oiled(args.machine)
    with open_book() as book:
        machines = book.shelf(Machine)
        if args.machine is not None:
            machines = [the_one(machines, args.machine, "machine")]
        names = {one.id: one.name for one in book.shelf(Cylinder, retired=True)}
        told = [(machine, *_told(book, machine)) for machine in machines]
    most = FEW if args.machine is None else None
    parts = ["\n".join(_care_lines(*one, names, most)) for one in told]
    lines = ["\n\n".join(parts) or "No machine is on the shelf."]
    return put_each((_care_facts(*one) for one in told), lines, as_json=args.json)


def _note_oiled(called: str) -> None:
    """Keep that a machine was oiled just now, by the bench that has the logbook open where one has."""
    with open_book() as book:
        path, now = book.path, book.clock.now()
        item = blank(the_one(book.shelf(Machine), called, "machine"), "oiled", now)
    keep_beside_a_bench(path, "care", "care", item)


def _told(book: Logbook, machine: Machine) -> tuple[Figures, list[Care]]:
    at_ms, zone_min, _ = book.clock.now()
    still = still_ms(usual().pause_after_s)  # the longest gap that is time at the crank
    return figures(book.store, machine.id, Oiled(at_ms, zone_min), still), history(book, machine.id)


def _care_lines(
    machine: Machine, found: Figures, done: list[Care], names: dict[str, str], most: int | None
) -> list[str]:
    shown = [(clock_day(item.at_ms, item.zone_min), safe(entry_words(item, names))) for item in done[:most]]
    lines = [safe(machine.name), *(f"  {line}" for line in figure_lines(found)), f"  {safe(oil_words(machine, found))}"]
    lines += [f"  {line}" for line in aligned(shown)]
    if len(done) > len(shown):
        lines.append(f"  and {len(done) - len(shown)} more: `hosewright care {safe(machine.id)}`")
    return lines


def _care_facts(machine: Machine, found: Figures, done: list[Care]) -> dict[str, object]:
    return {
        "machine": machine.id,
        "name": machine.name,
        "oil_every_rows": machine.oil_every_rows,
        "oiled": utc_text(found.oiled.at_ms) if found.oiled else None,
        "since_oiled": _cranked(found.since_oiled) if found.since_oiled else None,
        "this_month": _cranked(found.month),
        "ever": _cranked(found.ever),
        "done": [_entry_facts(item) for item in done],
    }


def _cranked(what: Cranked) -> dict[str, float]:
    return {"rows": what.rows, "passes": what.passes, "hours": what.ms / 3_600_000, "as_rows": what.as_rows}


def _entry_facts(item: Care) -> dict[str, object]:
    return {
        "id": item.id,
        "at": utc_text(item.at_ms),
        "what": item.name,
        **named(item, "needles", "cylinder"),
        "fault": item.fault or None,
        **named(item, "why", "note"),
        "struck_out": item.retired,
    }
