"""The yarn in stock, in words: a line a lot, what its figures are made of, and its ledger line by line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.measured import nominal
from hosewright.craft.stock import to_mg
from hosewright.logbook.accounts.stock import lot_words, put_up
from hosewright.phrases.days import clock_day
from hosewright.phrases.figures import amount_of_mg, mass_of_mg
from hosewright.phrases.lists import Column

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.craft.stock import Account, LedgerLine
    from hosewright.logbook.accounts.enough import Reach
    from hosewright.logbook.accounts.stock import Claim, LotStock, YarnStock
    from hosewright.logbook.records.year import Weighing

_WHAT = {
    "bought": "bought",
    "used": "used",
    "gone": "gone",
    "left": "put on the scale",
    "unaccounted": "unaccounted for",
}
_MOST_NAMED = 4
TOO_LITTLE = ("no sock", "one sock")  # for a pair


def makes(socks: int | None) -> str:
    """How many pairs it still makes; nothing without a plan to go by."""
    if socks is None:
        return ""
    pairs, odd = divmod(socks, 2)
    if not pairs:
        return "one sock" if odd else "no sock"
    return f"{pairs}{' 1/2' if odd else ''} pair{'s' if socks > 2 else ''}"


@dataclass(frozen=True, slots=True)
class Holding:
    """A line of the stock: a yarn, or one of its lots."""

    stock: YarnStock
    lot: LotStock | None = None

    @property
    def id(self) -> str:
        """That of the lot, or of the yarn: no two things on the shelf have one."""
        return self.lot.lot.id if self.lot else self.stock.yarn.id

    @property
    def name(self) -> str:
        return f"  {lot_line(self.lot)}" if self.lot else self.stock.yarn.name

    @property
    def account(self) -> Account | None:
        """Its figures; None of a yarn of which nothing is noted."""
        if self.lot:
            return self.lot.account
        return self.stock.account if self.stock.lots or self.stock.claims else None

    @property
    def makes(self) -> str:
        """How many pairs it makes still."""
        left = self.stock.socks(self.lot.account.left) if self.lot else self.stock.socks_left
        return makes(left) if self.account else ""


def holdings(stocks: Iterable[YarnStock]) -> list[Holding]:
    """Every yarn, its lots below it."""
    return [one for stock in stocks for one in (Holding(stock), *(Holding(stock, lot) for lot in stock.lots))]


def stock_columns(unit: str) -> tuple[Column[Holding], ...]:
    """The stock's columns."""

    def grams(heading: str) -> Column[Holding]:
        def read(one: Holding) -> str:
            return amount_of_mg(getattr(one.account, heading), unit) if one.account else ""

        return Column(heading, read, number=True, style=lambda one: _figure_role(one, heading))

    figures = (grams(part) for part in ("bought", "used", "weighed", "promised", "left"))
    name = Column[Holding](f"In {unit}", lambda one: one.name, share=1, least=12)
    pairs = Column[Holding]("makes", lambda one: one.makes, style=lambda one: "due" * (one.makes in TOO_LITTLE))
    return name, *figures, pairs


def _figure_role(one: Holding, heading: str) -> str:
    """What is promised, and what is missing, which its minus says too."""
    figure = getattr(one.account, heading) if one.account else 0
    return "promised" if heading == "promised" and figure else "fault" if figure < 0 else ""


def lot_line(lot: LotStock) -> str:
    """How a list names a lot."""
    return f"{lot_words(lot.lot)}, {'retired' if lot.lot.retired else put_up(lot.lot)}"


def used_words(account: Account, unit: str) -> str:
    """What the figure of used yarn is made of: "Used: 38.5 g weighed, 39 g worked out."; empty where nothing was."""
    shares = (
        (account.weighed, "weighed"),
        (account.worked_out, "worked out"),
        (account.unaccounted, "unaccounted for"),
        (account.gone, "used for something else"),
    )
    parts = [f"{mass_of_mg(mg, unit)} {words}" for mg, words in shares if mg > 0]
    found = (
        f"the scale found {mass_of_mg(-account.unaccounted, unit)} more than the books"
        if account.unaccounted < 0
        else ""
    )
    if not parts:
        return f"{found[:1].upper()}{found[1:]}." if found else ""
    return f"Used: {', '.join(parts)}{'; ' if found else ''}{found}."


def claim_words(claims: Iterable[Claim], unit: str) -> list[str]:
    """Who has a claim on it, a sentence each."""
    return [
        f"Promised: {claim.words}, {'how much is not known' if claim.mg is None else mass_of_mg(claim.mg, unit)}."
        for claim in claims
    ]


def lot_says(lot: LotStock, unit: str) -> list[str]:
    """What to know of a lot beside its figures."""
    account = lot.account
    said = [words for words in (used_words(account, unit),) if words]
    said += claim_words(lot.claims, unit)
    if account.held < 0:
        said.append(_below_zero(lot, unit))
    elif account.left < 0:
        said.append(f"More is promised than the lot holds: {mass_of_mg(-account.left, unit)} short.")
    if lot.not_weighed:
        said.append(f"Never weighed and not in the figures: {_several(lot.not_weighed)}.")
    return said


def _below_zero(lot: LotStock, unit: str) -> str:
    """Why a lot holds less than nothing by the books, and what to do about it."""
    less = mass_of_mg(-lot.account.held, unit)
    said = f"By the books {less} more came off it than it held."
    if lot.knots:
        joined = _several(lot.knots)
        said += f" A ball was joined on in {joined}: if it was of another lot, say so there (g on its page)."
    return f"{said} {'Else w' if lot.knots else 'W'}eigh what is left of it, or note the ball that is missing."


def yarn_says(stock: YarnStock, unit: str) -> list[str]:
    """What to know of a yarn beside its lots."""
    if not stock.lots and not stock.claims:
        return ["No lot noted yet: a lot is yarn bought together, of one dye lot."]
    said = claim_words(stock.claims, unit)
    if said:
        said.append("No lot is named for that yet.")
    if stock.no_lot:
        said.append(f"Cranked since the first lot was bought, and not charged to any lot: {_several(stock.no_lot)}.")
    if stock.plan and stock.sock_mg:
        said.append(f"Pairs are of plan {stock.plan.name}, {mass_of_mg(2 * stock.sock_mg, unit)} each.")
    return said + [f"Cannot be read, and not in the figures: {one}" for one in stock.unread]


def reach_lines(reaches: Iterable[Reach], unit: str) -> list[tuple[str, str]]:
    """How far each lot reaches for a planned pair, as labelled lines: ("Lot 41", "62 g free, 16 g short")."""
    lines = []
    for one in reaches:
        name = lot_words(one.lot.lot)
        said: str = one.verdict
        if said == "short":
            said = f"{mass_of_mg(to_mg(round(max(0.0, -nominal(one.over)), 1)), unit)} short"
        free = mass_of_mg(to_mg(round(max(0.0, one.free), 1)), unit)
        lines.append((name[0].upper() + name[1:], f"{free} free, {said}"))
    return lines


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """A line of a lot's ledger. ``about``: the weighing or piece of work it is of; ``struck``: it counts no more."""

    id: str
    about: str
    day: str
    what: str
    change: str
    level: str
    source: str
    struck: bool = False


LEDGER_COLUMNS: tuple[Column[LedgerRow], ...] = (
    Column("Day", lambda row: row.day),
    Column("What", lambda row: row.what),
    Column("Changes", lambda row: row.change, number=True),
    Column("Holds", lambda row: row.level, number=True),
    Column("Source", lambda row: row.source, share=1, least=12),
)


def ledger(lot: LotStock, zone_min: int, unit: str, struck: Iterable[Weighing] = ()) -> list[LedgerRow]:
    """The ledger of a lot line by line, weighings ``struck`` out below it."""
    rows = []
    for number, line in enumerate(lot.lines):
        sign = "+" if line.change_mg > 0 else ""
        change = "" if line.what == "left" else f"{sign}{amount_of_mg(line.change_mg, unit)}"
        day, level = clock_day(line.at_ms, zone_min), amount_of_mg(line.level_mg, unit)
        about = f"{line.about}:{number}"
        rows.append(LedgerRow(about, line.about, day, _WHAT[line.what], change, level, _known(lot, line)))
    for one in struck:
        day, said = clock_day(one.at_ms, one.zone_min), f"{one.name}  {one.why}".rstrip()
        rows.append(LedgerRow(one.id, one.id, day, "struck out", "", "", said, struck=True))
    return rows


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
