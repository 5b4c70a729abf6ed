"""What the yarn of a promised pair cost: its share of what its lots cost, gram by gram."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.stock import to_mg
from hosewright.logbook.accounts.pairs import is_to_begin
from hosewright.logbook.accounts.use import sock_mg, yarn_taken
from hosewright.logbook.records.year import Lot

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.logbook.accounts.pairs import Pair
    from hosewright.logbook.accounts.use import YarnTaken
    from hosewright.logbook.book import Logbook


@dataclass(frozen=True, slots=True)
class YarnCost:
    """In hundredths: ``so_far`` of what was cranked, spoilt socks too, ``to_come`` of what is still to crank.

    ``in_part``: some of its yarn has no price, or nothing tells how much it is.
    """

    so_far: int
    to_come: int
    in_part: bool

    @property
    def whole(self) -> int:
        return self.so_far + self.to_come


def yarn_cost(book: Logbook, pair: Pair) -> YarnCost | None:
    """What the yarn of ``pair`` cost; None where no lot of it has a price. Raises LogbookError."""
    lots = {lot.id: lot for lot in book.shelf(Lot, retired=True) if lot.price is not None}
    if not lots:
        return None
    so_far = to_come = 0.0
    in_part = any(sock.stage != "not begun" and not sock.session for sock in pair.socks)  # those of the notebook
    over = pair.promise.handed_over is not None or pair.promise.retired
    for taken in _taken_for(book, pair):
        each = _per_mg(lots, taken.lot)
        rest_mg = 0 if over else taken.rest_mg
        in_part |= taken.unknown or (each is None and bool(taken.mg or rest_mg))
        so_far += (each or 0.0) * taken.mg
        to_come += (each or 0.0) * rest_mg
    to_begin = 0 if over else sum(map(is_to_begin, pair.socks))
    if to_begin:
        one_mg = sock_mg(pair.plan, pair.yarn) if pair.plan else None
        each = _per_mg(lots, pair.promise.lot)
        in_part |= one_mg is None or each is None
        to_come += to_begin * (one_mg or 0) * (each or 0.0)
    cost = YarnCost(round(so_far), round(so_far + to_come) - round(so_far), in_part)
    return cost if cost.whole else None


def _per_mg(lots: Mapping[str, Lot], lot_id: str | None) -> float | None:
    lot = lots.get(lot_id or "")
    return lot.price / to_mg(lot.grams) if lot and lot.price is not None else None


def _taken_for(book: Logbook, pair: Pair) -> list[YarnTaken]:
    """What the sessions of a pair took for it, spoilt socks too; the first of a twin may name no promise."""
    sessions = [*(one.session for one in (*pair.socks, *pair.more)), *(one.session for one in pair.spoilt)]
    found = []
    for session in dict.fromkeys(filter(None, sessions)):
        line = book.store.find(session)
        every = yarn_taken(book.record(line), book.store.entries(line.n), yarn=pair.yarn)
        found += [one for one in every if (one.promise or pair.promise.id) == pair.promise.id]
    return found
