"""Whether a lot of yarn holds what is to be cranked, said before the first row."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.measured import Measured, error, measured, nominal
from hosewright.craft.stock import MG_PER_G, Enough, held, is_enough, on_scale, show_mass_error
from hosewright.craft.units import show_mass
from hosewright.craft.yarn import LOOP_MODEL_SHARE
from hosewright.logbook.accounts.stock import LotStock, YarnStock, lot_words, stock_of
from hosewright.logbook.accounts.stock import stocks as stocks  # where whoever needs the figures looks for them
from hosewright.logbook.accounts.use import per_stitch, sock_mg
from hosewright.logbook.records.planned import name_of_all, stripes
from hosewright.logbook.records.year import Lot
from hosewright.phrases.lists import listed

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from hosewright.logbook.accounts.stock import Claim
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import Plan

NO_COLOURS: Mapping[str, str | None] = {}
_PROMISED = "promised or on the machine"


@dataclass(frozen=True, slots=True)
class Need:
    """What is to be cranked, in g. ``words`` begin the sentence; ``promises`` and ``plans`` say whose claim it is."""

    grams: Measured
    words: str
    promises: frozenset[str] = frozenset()
    plans: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a lot reaches: what it holds and what others have a claim on, in g, and what is over after the need."""

    lot: LotStock
    held: Measured
    others: float
    over: Measured

    @property
    def verdict(self) -> Enough:
        return is_enough(self.over)

    @property
    def free(self) -> float:
        """What nobody else has a claim on, in g."""
        return nominal(self.held) - self.others


def before_first_row(
    book: Logbook,
    plans: Sequence[Plan],
    lot_id: str | None,
    *,
    promises: Iterable[str] = (),
    unit: str = "g",
    colours: Mapping[str, str | None] = NO_COLOURS,
) -> tuple[str, ...]:
    """What to know of the yarn before socks of these plans are begun, one each, in sentences; none when all is well.

    They are of the first one's yarn. ``promises`` are the pairs they are for (without one, a promise of the very plan
    is taken for it). ``unit`` is that of masses, ``colours`` are the lots of stripes that have their own. Raises
    LogbookError.
    """
    wanted, own = list(promises), {colour: lot for colour, lot in colours.items() if lot}
    rest = [part for plan in plans if (part := _share_of(plan, 1 - sum(_shares(plan, own).values())))]
    said = list(_of_lot(book, rest, lot_id, wanted, unit)) if rest else []
    for colour, lot in own.items():
        kept = book.get(Lot, lot)
        parts = [_share_of(plan, _shares(plan, own).get(colour, 0.0), kept.yarn if kept else "") for plan in plans]
        if kept is not None and any(parts):
            said += _of_lot(book, list(filter(None, parts)), lot, wanted, unit)
    return tuple(said)


def _shares(plan: Plan, colours: Iterable[str]) -> dict[str, float]:
    """What share of a sock of a plan is of each of its stripes' ``colours``."""
    own = stripes(plan)
    if own is None:
        return {}
    found = own.shared((part.name, part.count, part.stitches) for part in plan.parts)
    whole = sum(found.values()) or 1.0
    return {colour: found[colour] / whole for colour in colours if colour in found}


def _share_of(plan: Plan, share: float, yarn: str = "") -> Plan | None:
    """The plan with so much of its yarn, of another ``yarn`` where one is named; None for none of it."""
    if share >= 1:
        return plan
    if share < 1e-9:
        return None
    grams = plan.grams_per_pair
    less = {"metres_per_pair": plan.metres_per_pair * share, "grams_per_pair": None if grams is None else grams * share}
    return plan.model_copy(update=less | ({"yarn": yarn} if yarn else {}))


def _of_lot(
    book: Logbook, plans: Sequence[Plan], lot_id: str | None, promises: Sequence[str], unit: str
) -> tuple[str, ...]:
    stock = stock_of(book, plans[0].yarn)
    if stock is None or not stock.lots:
        return ()
    if lot_id is None:
        return _no_lot(stock, unit)
    factor = measured(1.0, _share(book, stock, plans[0]))
    need = _need(stock, plans, factor, frozenset(promises))
    if need is None:
        return ("The plan does not say how many grams a pair takes, so it cannot say whether the yarn is enough.",)
    reaches = [reach(lot, need, factor) for lot in stock.lots]
    chosen = next((one for one in reaches if one.lot.lot.id == lot_id), None)
    if chosen is None:
        return ("The dye lot chosen is not in the yarn stock any more: choose another.",)
    others = [one for one in reaches if one is not chosen]
    return (*_lot_says(chosen, others, need, unit), *_yarn_says(stock, chosen, need, unit), *_missing(chosen.lot))


def reaches_for(stock: YarnStock, pair: Measured) -> list[Reach]:
    """How far each lot that holds anything reaches for a pair of so many g that is only being planned."""
    factor = measured(1.0, error(pair) / nominal(pair))
    need = Need(nominal(pair) * factor, "the pair takes")
    return [reach(lot, need, factor) for lot in stock.lots if lot.account.held > 0]


def reach(lot: LotStock, need: Need, factor: Measured) -> Reach:
    """How far this lot reaches; ``factor`` is 1 with the error that every figure from a plan shares."""
    others = sum(claim.mg or 0 for claim in _of_others(lot.claims, need)) / MG_PER_G
    in_hand = held(lot.entries, factor)
    return Reach(lot, in_hand, others, in_hand - others * factor - need.grams)


def _of_others(claims: Sequence[Claim], need: Need) -> list[Claim]:
    """Every claim but those this need is itself: of its promises, else the first promise of its plan."""
    if need.promises:
        return [claim for claim in claims if claim.promise not in need.promises]
    own = next((claim for claim in claims if claim.promise and claim.plan in need.plans), None)
    return [claim for claim in claims if claim is not own]


def _share(book: Logbook, stock: YarnStock, plan: Plan) -> float:
    """The relative standard error of the yarn a plan takes: its gauge's, or the loop model's where that is gone."""
    gauge = next((one for one in book.gauges() if one.session == plan.gauge_session), None)
    if gauge is None:
        return LOOP_MODEL_SHARE
    try:
        stitch = per_stitch(gauge, stock.yarn).combined_mm
    except CraftError:
        return LOOP_MODEL_SHARE
    return error(stitch) / nominal(stitch)


def _need(stock: YarnStock, plans: Sequence[Plan], factor: Measured, promises: frozenset[str]) -> Need | None:
    """What the socks take: as those of their plan did that were weighed, else as the plan says."""
    total: Measured = measured(0.0)
    weighed = 0
    for plan, socks in Counter(plans).items():
        weighed_socks = [one for one in stock.taken if one.weighed and not one.split and one.plan]
        known = [one.mg / MG_PER_G for one in weighed_socks if one.plan and one.plan.id == plan.id]
        weighed += len(known)
        one_mg = sock_mg(plan, stock.yarn)
        if known:
            total = total + socks * _as_weighed(known)
        elif one_mg is not None:
            total = total + one_mg / MG_PER_G * socks * factor
        else:
            return None
    name = name_of_all(plans)
    what = {1: f"the {name} takes", 2: "the pair takes"}.get(len(plans), f"the {len(plans)} {name}s take")
    if weighed:
        what = f"by the {name if weighed == 1 else f'{weighed} {name}s'} weighed {what}"
    return Need(total, what, promises, frozenset(plan.id for plan in plans))


def _as_weighed(grams: Sequence[float]) -> Measured:
    """What the next sock takes, by those that were weighed: their mean, with their scatter and the scale's error."""
    spread = stdev(grams) * math.sqrt(1 + 1 / len(grams)) if len(grams) > 1 else 0.0
    return measured(fmean(grams), math.hypot(error(on_scale(0.0)), spread))


# --- in words ---------------------------------------------------------------------------------------------------


def without_a_lot(book: Logbook, yarn_id: str, unit: str = "g") -> tuple[str, ...]:
    """What to know when no dye lot of a yarn is chosen, though the stock has some. Raises LogbookError."""
    stock = stock_of(book, yarn_id)
    return _no_lot(stock, unit) if stock is not None else ()


def _no_lot(stock: YarnStock, unit: str) -> tuple[str, ...]:
    there = [lot for lot in stock.lots if lot.account.held > 0]
    if not there:
        return ()
    named = listed([f"{lot_words(lot.lot)} ({show_mass(lot.account.left / MG_PER_G, unit)} left)" for lot in there])
    return (f"No dye lot is chosen, and the yarn stock has {named}: without one no grams are kept.",)


def _lot_says(chosen: Reach, others: Sequence[Reach], need: Need, unit: str) -> list[str]:
    if chosen.verdict == "enough":
        return []
    said = [_reach_words(chosen, need, unit)]
    if chosen.verdict == "probably enough":
        return said
    alone = [one for one in others if one.verdict in ("enough", "probably enough")]
    some = [one for one in others if one.free > 0]
    if alone:
        names = listed([_with_grams(one, unit) for one in alone], "or")
        said.append(_capital(f"{names} alone would be {alone[0].verdict}."))
    if some:
        names = listed([_with_grams(one, unit) for one in some], "or")
        said.append(f"Finishing it from {names} would mix dye lots.")
    return said


def _reach_words(one: Reach, need: Need, unit: str) -> str:
    """ "Lot 41 holds 62 g: the pair takes 78 ± 5 g, 16 g short." """
    has = f"{_capital(lot_words(one.lot.lot))} holds {_grams(nominal(one.held), unit)}"
    if one.others:
        named = listed([claim.words for claim in _of_others(one.lot.claims, need) if claim.mg])
        has += f", {_grams(one.others, unit)} of it {_PROMISED} ({named})"
    takes = f"{need.words} {show_mass_error(need.grams, unit)}"
    if one.verdict == "short":
        return f"{has}; {takes}: {_grams(-nominal(one.over), unit)} short."
    odds = "about even odds that it is enough" if one.verdict == "about even odds" else one.verdict
    return f"{has}; {takes}: {odds}."


def _yarn_says(stock: YarnStock, chosen: Reach, need: Need, unit: str) -> list[str]:
    """Promises that name no lot yet, where all the lots together do not hold them and this, too."""
    loose = [claim for claim in _of_others(stock.claims, need) if claim.mg]
    if not loose or chosen.verdict == "short":
        return []
    wanted = sum(claim.mg or 0 for claim in loose) / MG_PER_G
    free = sum(lot.account.held for lot in stock.lots) / MG_PER_G - nominal(need.grams)
    free -= sum(claim.mg or 0 for lot in stock.lots for claim in _of_others(lot.claims, need)) / MG_PER_G
    if free >= wanted:
        return []
    named, after = listed([claim.words for claim in loose]), _grams(max(free, 0.0), unit)
    return [f"Promised of this yarn, too: {named}, {_grams(wanted, unit)}; after this {after} is left for it."]


def _missing(lot: LotStock) -> tuple[str, ...]:
    if not lot.not_weighed:
        return ()
    named = listed(list(lot.not_weighed[:3]))
    more = f" and {len(lot.not_weighed) - 3} more" if len(lot.not_weighed) > 3 else ""
    return (
        f"Never weighed, so not in these figures: {named}{more}. Put {lot_words(lot.lot)} on the scale to be sure.",
    )


def _with_grams(one: Reach, unit: str) -> str:
    return f"{lot_words(one.lot.lot)} ({_grams(one.free, unit)})"


def _capital(sentence: str) -> str:
    return sentence[0].upper() + sentence[1:]


def _grams(grams: float, unit: str) -> str:
    return show_mass(round(grams) if unit == "g" else grams, unit)
