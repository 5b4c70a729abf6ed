"""The account of every lot of yarn and of every yarn, from sessions, weighings and promises. Nothing is typed twice."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from hosewright.craft.stock import Account, LedgerEntry, LedgerLine, account, ledger, socks_in, to_mg, together
from hosewright.logbook.accounts.use import YarnTaken, sock_mg, yarn_taken
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.planned import name_of
from hosewright.logbook.records.shelf import Noted, Plan, Yarn
from hosewright.logbook.records.year import Lot, Promise, Weighing
from hosewright.phrases.lists import many
from hosewright.phrases.times import day_began

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from hosewright.logbook.book import Logbook

PAIR = 2  # socks
LATER_MS = 2**53  # no session began then


@dataclass(frozen=True, slots=True)
class Claim:
    """Yarn with somebody's name on it: a promise (its id and its plan's), or what a sock on the machine still takes.

    ``mg`` is None where nothing tells how much.
    """

    words: str
    mg: int | None
    promise: str = ""
    plan: str = ""


@dataclass(frozen=True, slots=True)
class LotStock:
    """A lot and everything that happened to it. ``not_weighed``: what it went into since, nobody knows how much.

    ``names`` says what each entry is about. ``knots``, of a lot below zero: in what a ball was joined on, and nobody
    said of which lot.
    """

    lot: Lot
    entries: tuple[LedgerEntry, ...]
    names: Mapping[str, str]
    claims: tuple[Claim, ...]
    not_weighed: tuple[str, ...]
    knots: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[LedgerLine, ...]:
        return ledger(self.entries)

    @property
    def account(self) -> Account:
        return account(self.entries, _known(self.claims))


@dataclass(frozen=True, slots=True)
class YarnStock:
    """A yarn and its lots.

    ``claims`` are promises that name no lot yet, ``no_lot`` what was cranked since the first lot was bought and named
    none. ``taken`` is everything cranked that is in the figures. ``sock_mg`` is a sock of its newest ``plan``.
    """

    yarn: Yarn
    lots: tuple[LotStock, ...]
    claims: tuple[Claim, ...] = ()
    no_lot: tuple[str, ...] = ()
    taken: tuple[YarnTaken, ...] = ()
    plan: Plan | None = None
    sock_mg: int | None = None
    unread: tuple[str, ...] = ()

    @property
    def account(self) -> Account:
        """Its lots together, less what is promised of no lot yet."""
        whole = together(lot.account for lot in self.lots)
        return replace(whole, promised=whole.promised + _known(self.claims))

    def socks(self, left_mg: int) -> int | None:
        """How many socks of its newest plan that still makes; None without a plan that tells what a sock takes."""
        return socks_in(left_mg, self.sock_mg) if self.sock_mg else None

    @property
    def socks_left(self) -> int | None:
        """How many socks the yarn still makes: pairs within one lot each, and one sock more where a lot is over."""
        all_of_it = self.socks(self.account.left)
        if all_of_it is None:
            return None
        by_lot = [self.socks(lot.account.left) or 0 for lot in self.lots]
        return min(all_of_it, sum(socks // PAIR * PAIR for socks in by_lot) + any(socks % PAIR for socks in by_lot))


def _known(claims: Iterable[Claim]) -> int:
    return sum(claim.mg or 0 for claim in claims)


@dataclass(frozen=True, slots=True)
class _Shelf:
    """What the accounts are made from."""

    yarns: Mapping[str, Yarn]
    plans: Mapping[str, Plan]
    lots: Sequence[Lot]
    promises: Sequence[Promise]
    weighings: Sequence[Weighing]
    noted: Sequence[Noted]
    zone_min: int


def stocks(book: Logbook, *, retired: bool = False) -> list[YarnStock]:
    """Every yarn in use with its lots (``retired``: those no longer in use, too). Raises LogbookError."""
    return [found for found in stocks_bit_by_bit(book, retired=retired) if found is not None]


def stocks_bit_by_bit(book: Logbook, *, retired: bool = False) -> Iterator[YarnStock | None]:
    """The same, and None after each session read for it, for who cannot be held up by all of them.

    Raises LogbookError.
    """
    shelf = _read(book, retired=retired)
    with_lots = {lot.yarn for lot in shelf.lots}
    for yarn in shelf.yarns.values():
        if not yarn.retired or yarn.id in with_lots:
            yield from _of_yarn(book, shelf, yarn)


def stock_of(book: Logbook, yarn_id: str) -> YarnStock | None:
    """The stock of one yarn; None when it is not on the shelf. Raises LogbookError."""
    shelf = _read(book, retired=False)
    yarn = shelf.yarns.get(yarn_id)
    return next((found for found in _of_yarn(book, shelf, yarn) if found is not None), None) if yarn else None


def _read(book: Logbook, *, retired: bool) -> _Shelf:
    return _Shelf(
        {yarn.id: yarn for yarn in book.shelf(Yarn, retired=True)},
        {plan.id: plan for plan in book.shelf(Plan, retired=True)},
        book.shelf(Lot, retired=retired),
        [promise for promise in book.shelf(Promise) if promise.handed_over is None],
        book.shelf(Weighing),
        book.shelf(Noted),
        book.clock.now().zone_min,
    )


def _of_yarn(book: Logbook, shelf: _Shelf, yarn: Yarn) -> Iterator[YarnStock | None]:
    lots = [lot for lot in shelf.lots if lot.yarn == yarn.id]
    promises = [promise for promise in shelf.promises if promise.yarn == yarn.id]
    plan = next((p for p in reversed(list(shelf.plans.values())) if p.yarn == yarn.id and not p.retired), None)
    one_mg = sock_mg(plan, yarn) if plan else None
    if not lots and not promises:
        yield YarnStock(yarn, (), plan=plan, sock_mg=one_mg)
        return
    weighings = {lot.id: [one for one in shelf.weighings if one.lot == lot.id] for lot in lots}
    done: list[YarnTaken] = []
    unread: list[str] = []
    for found in _all_taken(book, shelf, yarn, lots, promises, weighings):
        if isinstance(found, str):
            unread.append(found)
        else:
            done += found
        yield None
    free = [taken for taken in done if not taken.promise and taken.taken_on and taken.plan]
    claims = [(promise.lot, claim) for promise in promises if (claim := _claim(promise, done, shelf, yarn, free))]
    known = {lot.id for lot in lots}
    first = min((day_began(date.fromisoformat(lot.bought), shelf.zone_min) for lot in lots), default=None)
    astray = [
        taken
        for taken in done
        if taken.yarn == yarn.id and taken.lot not in known and first is not None and taken.last_ms >= first
    ]
    held = [_of_lot(lot, done, weighings[lot.id], claims, shelf.zone_min) for lot in lots]
    yield YarnStock(
        yarn,
        tuple(lot if lot.account.held >= 0 else replace(lot, knots=_knots(book, lot, done)) for lot in held),
        tuple(claim for lot_id, claim in claims if lot_id not in known),
        tuple(taken.title for taken in astray if taken.entries or taken.unknown),
        tuple(done),
        plan,
        one_mg,
        tuple(unread),
    )


# Where it went along as a thread, or made a stripe. Of the yarn: since its first lot was bought, or of a lot, or with a
# ball joined on, or a string. Of any: for a promise of it, and the first sock of a twin, which may be older than both
# lot and promise.
_SESSIONS = """SELECT s.id FROM catalogue c JOIN sessions s ON s.n = c.session
    WHERE CASE WHEN json_valid(s.record) THEN json_extract(s.record, '$.thread.id') = :yarn END
    OR CASE WHEN instr(s.record, '"colour_lots":[{') AND json_valid(s.record) THEN EXISTS (
        SELECT 1 FROM json_each(s.record, '$.colour_lots') l WHERE json_extract(l.value, '$.yarn.id') = :yarn) END
    OR c.yarn_id = :yarn AND (c.began >= :first OR s.kind = 'string' OR s.id IN (SELECT twin_of FROM catalogue)
        OR CASE WHEN json_valid(s.record) THEN json_extract(s.record, '$.lot') END IS NOT NULL
        OR s.n IN (SELECT session FROM seen WHERE fault = 'knot'))
    OR EXISTS (SELECT 1 FROM json_each(:promises) p WHERE instr(s.record, '"promise":"' || p.value || '"'))
    ORDER BY c.began, s.n"""


def _all_taken(
    book: Logbook,
    shelf: _Shelf,
    yarn: Yarn,
    lots: Sequence[Lot],
    promises: Sequence[Promise],
    weighings: Mapping[str, Sequence[Weighing]],
) -> Iterator[list[YarnTaken] | str]:
    """What each session cranked that matters to a yarn's lots and promises, oldest first, or why it cannot be read."""
    first = min((day_began(date.fromisoformat(lot.bought), shelf.zone_min) for lot in lots), default=LATER_MS)
    wanted = json.dumps([promise.id for promise in promises])
    gauges = {gauge.session: gauge for gauge in book.gauges()}
    weighed = {lot: [one.at_ms for one in of_lot if one.what == "left"] for lot, of_lot in weighings.items()}
    for (session_id,) in book.store.ask(_SESSIONS, yarn=yarn.id, first=first, promises=wanted):
        try:
            line = book.store.find(session_id)
            record = book.record(line)
            own = shelf.yarns.get(record.yarn.id)
            yield yarn_taken(record, book.store.entries(line.n), weighed, own, gauges.get(record.id))
        except LogbookError as error:
            yield f"{session_id}: {error}"


_KNOTS = """SELECT DISTINCT s.id FROM seen k JOIN sessions s ON s.n = k.session
    WHERE k.fault = 'knot' AND NOT k.struck AND NOT EXISTS (
        SELECT 1 FROM events e WHERE e.session = k.session AND e.kind = 'amended' AND json_valid(e.body)
        AND json_extract(e.body, '$.seq') = k.seq AND json_extract(e.body, '$.lot') <> '')"""


def _knots(book: Logbook, lot: LotStock, done: Sequence[YarnTaken]) -> tuple[str, ...]:
    """Of what came off a lot, that with a ball joined on of which nobody said the lot."""
    joined = {session for (session,) in book.store.ask(_KNOTS)}
    return tuple(taken.title for taken in done if taken.lot == lot.lot.id and taken.session in joined)


def _of_lot(
    lot: Lot,
    done: Sequence[YarnTaken],
    weighings: Sequence[Weighing],
    claims: Sequence[tuple[str | None, Claim]],
    zone_min: int,
) -> LotStock:
    bought = LedgerEntry(
        day_began(date.fromisoformat(lot.bought), zone_min), "bought", to_mg(lot.grams), "by the label", lot.id
    )
    mine = [taken for taken in done if taken.lot == lot.id]
    weighed = [LedgerEntry(one.at_ms, one.what, to_mg(one.grams), "weighed", one.id) for one in weighings]
    level_ms = max((one.at_ms for one in weighings if one.what == "left"), default=0)
    pieces, names = [], {}
    for n, taken in enumerate(mine):  # a string has several pieces, so the session alone does not name one
        names[f"{taken.session}/{n}"] = taken.title
        pieces += [replace(entry, about=f"{taken.session}/{n}") for entry in taken.entries]
    names |= {one.id: one.why for one in weighings} | {lot.id: put_up(lot)}
    on_machine = [Claim(f"{taken.title}, on the machine", taken.rest_mg) for taken in mine if taken.rest_mg]
    promised = [claim for lot_id, claim in claims if lot_id == lot.id]
    unknown = tuple(taken.title for taken in mine if taken.unknown and taken.last_ms > level_ms)
    return LotStock(lot, (bought, *pieces, *weighed), names, (*promised, *on_machine), unknown)


def _claim(
    promise: Promise, done: Sequence[YarnTaken], shelf: _Shelf, yarn: Yarn, free: list[YarnTaken]
) -> Claim | None:
    """What a promise still takes: a sock that is begun is used, or on the machine, and no longer claimed here.

    So is one on its plan since it was made that nobody joined to it, which is taken out of ``free``: until it is known
    whose it is, its grams are used, and are not promised as well.
    """
    named = [taken for taken in done if taken.promise == promise.id and taken.taken_on]
    firsts = {taken.twin_of for taken in named}  # cranked before anyone promised it, and of the pair all the same
    begun = named + [taken for taken in done if taken.session in firsts and not taken.promise and taken.taken_on]
    to_do = PAIR - len(begun) - sum(sock.promise == promise.id for sock in shelf.noted)
    made_ms = day_began(date.fromisoformat(promise.made), shelf.zone_min)
    for taken in [one for one in free if one.plan and one.plan.id == promise.plan and one.last_ms >= made_ms]:
        if to_do > 0 and taken not in begun:
            free.remove(taken)
            to_do -= 1
    if to_do <= 0:
        return None
    plan = shelf.plans.get(promise.plan or "") or next((taken.plan for taken in begun if taken.plan), None)
    one_mg = sock_mg(plan, yarn) if plan else None
    name = name_of(plan) if plan else "sock"
    words = f"{promise.name}, {f'both {name}s' if to_do == PAIR else f'one {name}'}"
    return Claim(words, None if one_mg is None else to_do * one_mg, promise.id, plan.id if plan else "")


def lot_words(lot: Lot) -> str:
    """A lot in a sentence: "lot 41", and not "lot Lot 41"."""
    return lot.name if re.match(r"(dye )?lot\b", lot.name, re.IGNORECASE) else f"lot {lot.name}"


def lots_of(book: Logbook, yarn_id: str) -> list[tuple[str, str]]:
    """The lots of a yarn, the last bought first: ids and words. Raises LogbookError."""
    lots = sorted((lot for lot in book.shelf(Lot) if lot.yarn == yarn_id), key=lambda lot: lot.bought, reverse=True)
    return [(lot.id, lot_words(lot)) for lot in lots]


def put_up(lot: Lot) -> str:
    """How a lot was bought: "3 balls"."""
    return many(lot.pieces, lot.put_up)
