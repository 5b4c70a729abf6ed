"""The yarn in stock, in words: a line a lot, what its figures are made of, and its ledger line by line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.measured import nominal
from hosewright.craft.stock import MG_PER_G, to_mg
from hosewright.craft.units import show_mass
from hosewright.logbook.accounts.stock import lot_words, put_up
from hosewright.phrases.days import clock_day

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.craft.stock import Account, LedgerLine
    from hosewright.logbook.accounts.enough import Reach
    from hosewright.logbook.accounts.stock import Claim, LotStock, YarnStock

HEADINGS = ("bought", "used", "weighed", "promised", "left", "makes")
LEDGER_HEADINGS = ("Day", "What", "Changes", "Holds", "How it is known")
Row = tuple[str, ...]

_WHAT = {
    "bought": "bought",
    "used": "used",
    "gone": "gone",
    "left": "put on the scale",
    "unaccounted": "unaccounted for",
}
_MOST_NAMED = 4


def amount(mg: int, unit: str) -> str:
    """A number of grams, ounces and so on without its unit: "38.5", "-3"."""
    text = show_mass(mg / MG_PER_G, unit).split(" ")[0]
    return text.removeprefix("-") if not float(text) else text


def mass(mg: int, unit: str) -> str:
    """The same with its unit."""
    return f"{amount(mg, unit)} {unit}"


def makes(socks: int | None) -> str:
    """How many pairs it still makes; nothing without a plan to go by."""
    if socks is None:
        return ""
    pairs, odd = divmod(socks, 2)
    if not pairs:
        return "one sock" if odd else "no sock"
    return f"{pairs}{' 1/2' if odd else ''} pair{'s' if socks > 2 else ''}"


def figures(account: Account, socks: int | None, unit: str) -> Row:
    """One account under the HEADINGS."""
    parts = (account.bought, account.used, account.weighed, account.promised, account.left)
    return (*(amount(part, unit) for part in parts), makes(socks))


def lot_line(lot: LotStock) -> str:
    """How a list names a lot."""
    return f"{lot_words(lot.lot)}, {'retired' if lot.lot.retired else put_up(lot.lot)}"


def used_words(account: Account, unit: str) -> str:
    """What the figure of used yarn is made of: "Used: 38.5 g weighed, 39 g worked out."; empty where nothing was."""
    shares = (
        (account.weighed, "weighed"),
        (account.worked_out, "worked out"),
        (account.unaccounted, "unaccounted for"),
        (account.gone, "gone another way"),
    )
    parts = [f"{mass(mg, unit)} {words}" for mg, words in shares if mg > 0]
    found = f"the scale found {mass(-account.unaccounted, unit)} more than the books" if account.unaccounted < 0 else ""
    if not parts:
        return f"{found[:1].upper()}{found[1:]}." if found else ""
    return f"Used: {', '.join(parts)}{'; ' if found else ''}{found}."


def claim_words(claims: Iterable[Claim], unit: str) -> list[str]:
    """Who has a claim on it, a sentence each."""
    return [
        f"Promised: {claim.words}, {'nobody knows how much' if claim.mg is None else mass(claim.mg, unit)}."
        for claim in claims
    ]


def lot_says(lot: LotStock, unit: str) -> list[str]:
    """What to know of a lot beside its figures."""
    account = lot.account
    said = [words for words in (used_words(account, unit),) if words]
    said += claim_words(lot.claims, unit)
    if account.left < 0:
        said.append(f"More is promised than the lot holds: {mass(-account.left, unit)} short.")
    if lot.not_weighed:
        said.append(f"Never weighed and not in the figures: {_several(lot.not_weighed)}.")
    return said


def yarn_says(stock: YarnStock, unit: str) -> list[str]:
    """What to know of a yarn beside its lots."""
    if not stock.lots and not stock.claims:
        return ["No lot noted yet: a lot is yarn bought together, of one dye lot."]
    said = claim_words(stock.claims, unit)
    if said:
        said.append("No lot is named for that yet.")
    if stock.no_lot:
        said.append(f"Cranked since the first lot was bought, and put down to none: {_several(stock.no_lot)}.")
    if stock.plan and stock.sock_mg:
        said.append(f"Pairs are of plan {stock.plan.name}, {mass(2 * stock.sock_mg, unit)} each.")
    return said + [f"Cannot be read, and not in the figures: {one}" for one in stock.unread]


def reach_lines(reaches: Iterable[Reach], unit: str) -> list[tuple[str, str]]:
    """How far each lot reaches for a planned pair, as labelled lines: ("Lot 41", "62 g free, 16 g short")."""
    lines = []
    for one in reaches:
        name = lot_words(one.lot.lot)
        said: str = one.verdict
        if said == "short":
            said = f"{mass(to_mg(round(max(0.0, -nominal(one.over)), 1)), unit)} short"
        free = mass(to_mg(round(max(0.0, one.free), 1)), unit)
        lines.append((name[0].upper() + name[1:], f"{free} free, {said}"))
    return lines


def ledger_row(lot: LotStock, line: LedgerLine, zone_min: int, unit: str) -> Row:
    """A line of the ledger under the LEDGER_HEADINGS."""
    sign = "+" if line.change_mg > 0 else ""
    change = "" if line.what == "left" else f"{sign}{amount(line.change_mg, unit)}"
    return (
        clock_day(line.at_ms, zone_min),
        _WHAT[line.what],
        change,
        amount(line.level_mg, unit),
        _known(lot, line),
    )


def _known(lot: LotStock, line: LedgerLine) -> str:
    name = lot.names.get(line.about, "")
    if line.what == "unaccounted":
        return "the scale against the books"
    if line.what in ("left", "gone"):
        return name or "weighed"
    return f"{line.basis}: {name}"


def _several(names: tuple[str, ...]) -> str:
    more = len(names) - _MOST_NAMED
    return "; ".join(names[:_MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")


def in_columns(rows: Iterable[Row], *, right: Iterable[int]) -> list[str]:
    """Rows as lines, the columns of numbers (``right``) flush on their right."""
    rows, flush = list(rows), set(right)
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))] if rows else []
    return [
        "  ".join(
            cell.rjust(wide) if at in flush else cell.ljust(wide)
            for at, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
