"""``hosewright stock``: what is left of every yarn, lot by lot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.accounts.stock import stocks
from hosewright.phrases.lists import in_columns
from hosewright.verbs.book import open_book, the_one
from hosewright.verbs.parsing import Parser, put_each, safe, usual
from hosewright.words.stock import LEDGER_COLUMNS, holdings, ledger, lot_line, lot_says, stock_columns, yarn_says

if TYPE_CHECKING:
    from hosewright.logbook.accounts.stock import LotStock, YarnStock


def run(argv: list[str]) -> int:
    parser = Parser("stock", "yarn bought, used, promised and left, by dye lot", 'hosewright stock "Slack Water"')
    parser.add_argument("yarn", metavar="YARN", nargs="?", help="its name or part of it, or its id: its ledger, too")
    parser.add_argument("--old", action="store_true", help="retired lots, too")
    parser.add_json()
    args = parser.parse_args(argv)

    with open_book() as book:
        found = stocks(book, retired=args.old)
        zone, names = book.clock.now().zone_min, book.store.names_now()
    if args.yarn is not None:
        yarn = the_one([stock.yarn for stock in found], args.yarn, "yarn", names=names)
        found = [stock for stock in found if stock.yarn.id == yarn.id]
    if args.json:
        return put_each(_facts(stock, lot) for stock in found for lot in stock.lots)
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


def _facts(stock: YarnStock, lot: LotStock) -> dict[str, object]:
    account = lot.account
    grams = ("bought", "used", "weighed", "worked_out", "unaccounted", "gone", "promised", "left", "held")
    return {
        "lot": lot.lot.id,
        "name": lot.lot.name,
        "yarn": stock.yarn.id,
        "yarn_name": stock.yarn.name,
        "bought": lot.lot.bought,
        "put_up": lot.lot.put_up,
        "pieces": lot.lot.pieces,
        "price": lot.lot.price / 100 if lot.lot.price is not None else None,
        **{f"{name}_g": getattr(account, name) / 1000 for name in grams},
        "socks": stock.socks(account.left),
        "not_weighed": list(lot.not_weighed),
        "retired": lot.lot.retired,
    }
