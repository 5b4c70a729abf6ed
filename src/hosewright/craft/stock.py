"""Yarn in hand: an exact ledger in whole milligrams, and whether what is left is enough.

Bought = used + promised + left, always, to the milligram: grams neither appear nor vanish. Used is what was weighed,
what was worked out from a plan or a gauge, what went another way, and what the scale found missing (or over) that no
entry accounts for. Left is what nobody has a claim on, and below zero when more is promised than there is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from hosewright.craft import CraftError
from hosewright.craft.gauge import SCALE_HALF_WIDTH_G
from hosewright.craft.measured import Measured, error, measured, nominal
from hosewright.craft.supply import SURE_REACH
from hosewright.craft.units import show_mass

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

MG_PER_G = 1000
MOST_MG = 10**12
LABEL_SHARE = 0.02

What = Literal["bought", "used", "gone", "left"]
Basis = Literal["by the label", "weighed", "from the plan", "from the gauge"]
Enough = Literal["enough", "probably enough", "about even odds", "short"]

_ORDER: dict[str, int] = {"bought": 0, "used": 1, "gone": 2, "left": 3}


@dataclass(frozen=True, slots=True)
class LedgerEntry:
    """One thing that happened to a lot of yarn.

    "left" is what the scale reads: all there is of the lot. ``at_ms`` is when, in ms since 1970; ``about`` the id of
    what it is taken from.
    """

    at_ms: int
    what: What
    mg: int
    basis: Basis = "weighed"
    about: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.mg <= MOST_MG:
            raise CraftError("Yarn is counted from 0 mg up to a thousand tonnes.")


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """A line of the ledger. ``change_mg`` is what it does to the lot, ``level_mg`` what the lot holds after it.

    "unaccounted" stands before a weighing: what the scale found missing, or over.
    """

    at_ms: int
    what: Literal["bought", "used", "gone", "left", "unaccounted"]
    change_mg: int
    level_mg: int
    basis: Basis
    about: str


@dataclass(frozen=True, slots=True)
class Account:
    """What became of the yarn, in mg. ``unaccounted`` is below zero when the scale found more than the books had.

    ``held`` is what lies on the shelf, promised or not.
    """

    bought: int = 0
    weighed: int = 0
    worked_out: int = 0
    unaccounted: int = 0
    gone: int = 0
    held: int = 0
    promised: int = 0

    @property
    def used(self) -> int:
        """All that is no longer there."""
        return self.weighed + self.worked_out + self.unaccounted + self.gone

    @property
    def left(self) -> int:
        """What is there and nobody's."""
        return self.held - self.promised


def to_mg(grams: float) -> int:
    """Grams as whole milligrams, halves up. Raises CraftError for what is no mass."""
    if not (math.isfinite(grams) and 0 <= grams * MG_PER_G <= MOST_MG):
        raise CraftError("A mass must be a number of grams from 0 up.")
    return math.floor(grams * MG_PER_G + 0.5)


def prorated(mg: int, done: int, of: int) -> int:
    """The share of ``mg`` that ``done`` of ``of`` stitches take, to the nearest mg; more when more were cranked.

    Raises CraftError.
    """
    if of <= 0 or done < 0:
        raise CraftError("A share of the yarn needs the stitches cranked, and those of the whole.")
    return (2 * mg * done + of) // (2 * of)


def split(mg: int, marks: Sequence[int], of: int) -> tuple[int, ...]:
    """``mg`` of ``of`` stitches cut at the ``marks``, stitches cranked by then. The pieces add up to the last share.

    Raises CraftError.
    """
    shares = [0, *(prorated(mg, done, of) for done in marks)]
    return tuple(after - before for before, after in pairwise(shares))


def _in_order(entries: Iterable[LedgerEntry]) -> list[LedgerEntry]:
    """By time; what was bought first of all, since a lot holds it from the start, whatever day was typed later."""
    return sorted(
        entries, key=lambda one: (one.what != "bought", one.at_ms, _ORDER[one.what], one.about, one.basis, one.mg)
    )


def ledger(entries: Iterable[LedgerEntry]) -> tuple[LedgerLine, ...]:
    """Every entry in order of time, with what the scale found unaccounted for as a line of its own."""
    lines: list[LedgerLine] = []
    level = 0
    for entry in _in_order(entries):
        change = {"bought": entry.mg, "left": 0}.get(entry.what, -entry.mg)
        if entry.what == "left" and entry.mg != level:
            lines.append(LedgerLine(entry.at_ms, "unaccounted", entry.mg - level, entry.mg, "weighed", entry.about))
            level = entry.mg
        level += change
        lines.append(LedgerLine(entry.at_ms, entry.what, change, level, entry.basis, entry.about))
    return tuple(lines)


def account(entries: Iterable[LedgerEntry], promised_mg: int = 0) -> Account:
    """What became of a lot's yarn; ``promised_mg`` of it has somebody's name on it."""
    sums = dict.fromkeys(("bought", "weighed", "worked_out", "unaccounted", "gone"), 0)
    level = 0
    for line in ledger(entries):
        level = line.level_mg
        if line.what == "bought":
            sums["bought"] += line.change_mg
        elif line.what == "used":
            sums["weighed" if line.basis == "weighed" else "worked_out"] -= line.change_mg
        elif line.what in ("gone", "unaccounted"):
            sums[line.what] -= line.change_mg
    return Account(**sums, held=level, promised=promised_mg)


def together(accounts: Iterable[Account]) -> Account:
    """Several accounts as one."""
    every = list(accounts)
    return Account(*(sum(getattr(one, field.name) for one in every) for field in fields(Account)))


# --- is it enough? ----------------------------------------------------------------------------------------------


def on_scale(grams: float) -> Measured:
    """A mass in g with its scale's error, a rectangle of half-width SCALE_HALF_WIDTH_G."""
    return measured(grams, SCALE_HALF_WIDTH_G / math.sqrt(3))


def held(entries: Iterable[LedgerEntry], per_planned: Measured | float) -> Measured:
    """What a lot holds in g, with its error: from the last weighing on, or from its labels.

    ``per_planned`` is 1 with the error of every figure worked out from a plan or a gauge. They share it, as one yarn
    knitted one way does: so it is not averaged away.
    """
    level: Measured = measured(0.0)
    for entry in _in_order(entries):
        grams = entry.mg / MG_PER_G
        if entry.what == "bought":
            level = level + grams * measured(1.0, LABEL_SHARE)
        elif entry.what == "left":
            level = on_scale(grams)
        elif entry.basis == "weighed":
            level = level - on_scale(grams)
        else:
            level = level - grams * per_planned
    return level


def is_enough(margin_g: Measured) -> Enough:
    """Whether what is over, in g, is surely above zero: within one error of it the odds are about even."""
    over, spread = nominal(margin_g), error(margin_g)
    if over > SURE_REACH * spread:
        return "enough"
    if over < -spread:
        return "short"
    return "probably enough" if over > spread else "about even odds"


def socks_in(left_mg: int, sock_mg: int) -> int:
    """How many whole socks of ``sock_mg`` each the yarn left still makes. Raises CraftError."""
    if sock_mg <= 0:
        raise CraftError("A sock takes more than 0 mg of yarn.")
    return max(0, left_mg) // sock_mg


def show_mass_error(grams: Measured, unit: str = "g") -> str:
    """A mass with its standard error in ``unit``: "78 ± 5 g", "2.75 ± 0.18 oz"; an error is shown as 1 g at least."""
    value, spread = nominal(grams), error(grams)
    if not spread:
        return show_mass(value, unit)
    if unit == "g":
        return f"{value:.0f} ± {max(1.0, spread):.0f} g"
    number, word = show_mass(value, unit).split(" ")
    return f"{number} ± {show_mass(spread, unit).split(' ')[0]} {word}"
