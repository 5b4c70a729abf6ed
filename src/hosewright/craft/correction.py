"""Learning from worn socks: what a wearer's verdicts change in the next plan.

Each verdict says how far the right sock lay from the one worn, in length and round. They are combined by inverse
variance with one more observation, "no change at all", whose spread is how far our first estimates are commonly out;
so one sock never moves the plan the whole way, and several that agree move it nearly so (normal prior, from memory; the
spreads are our assumptions). A ceiling for each sock stands beside that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from hosewright.craft import CraftError
from hosewright.craft.fit import MOST_EASE, check_girth
from hosewright.craft.measured import Measured, combine, error, measured, nominal
from hosewright.craft.units import quoted

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Length = Literal["too short", "right", "too long"]
Round = Literal["loose", "right", "tight"]

LENGTH_PRIOR_MM = 8.0
ROUND_PRIOR_MM = 8.0
SAID_MM = 6.0
SAID_SPREAD_MM = 5.0
MEASURED_SPREAD_MM = 3.0
MOST_OFF_MM = 60.0
MOST_PER_SOCK_MM = 12.0
WORTH_CHANGING_MM = 1.0
DISAGREE_SIGMAS = 2.0


@dataclass(frozen=True, slots=True)
class SockVerdict:
    """What a worn sock was, each part only where the wearer said something.

    ``length_mm`` and ``round_mm`` say by how much it was too long, short, loose or tight, mm, where that was
    measured. ``planned_length_mm`` and ``planned_round_mm`` are the corrections that sock was already planned with.
    """

    length: Length | None = None
    length_mm: float | None = None
    round: Round | None = None
    round_mm: float | None = None
    planned_length_mm: float = 0.0
    planned_round_mm: float = 0.0

    def __post_init__(self) -> None:
        _check(self.length, self.length_mm, get_args(Length), "long")
        _check(self.round, self.round_mm, get_args(Round), "wide")


def _check(said: str | None, mm: float | None, choices: tuple[str, ...], what: str) -> None:
    if said is not None and said not in choices:
        raise CraftError(f"The worn sock was {', '.join(choices[:-1])} or {choices[-1]}, not {quoted(str(said))}.")
    if mm is not None and said in (None, "right"):
        raise CraftError(f"Say first which way the sock was off, {choices[0]} or {choices[-1]}, then by how many mm.")
    if mm is not None and not 0 < mm <= MOST_OFF_MM:
        most = f"{MOST_OFF_MM / 10:.0f} cm"
        raise CraftError(f"No worn sock is more than {most} off how {what} it should be: measure again.")


@dataclass(frozen=True, slots=True)
class Correction:
    """What to add to the next plan for this wearer, mm: ``length_mm`` to the foot, ``round_mm`` to the circumference.

    ``socks`` is how many verdicts it rests on. Errors are one standard error.
    """

    length_mm: Measured
    round_mm: Measured
    socks: int
    words: str
    notes: tuple[str, ...]


def learn(verdicts: Sequence[SockVerdict]) -> Correction:
    """The correction for the next plan, from every verdict this wearer has given, oldest first or in any order.

    With none, no change. A length or girth said but not measured counts as 6 mm, give or take 5 (our assumption).
    """
    lengths = _seen((one.length, one.length_mm, one.planned_length_mm) for one in verdicts)
    rounds = _seen((one.round, one.round_mm, one.planned_round_mm) for one in verdicts)
    length, round_ = _pooled(lengths, LENGTH_PRIOR_MM), _pooled(rounds, ROUND_PRIOR_MM)
    notes = [
        f"This wearer's socks disagree about {what}: the middle value is taken, so ask how they were worn and washed."
        for seen, what in ((lengths, "length"), (rounds, "width"))
        if _disagree(seen)
    ]
    return Correction(length, round_, len(verdicts), _words(length, round_, len(verdicts)), tuple(notes))


def _seen(verdicts: Iterable[tuple[Length | Round | None, float | None, float]]) -> list[Measured]:
    """The whole correction that each sock asks for: what it was ``planned`` with, and what it was still off, mm."""
    found = []
    for said, mm, planned in verdicts:
        if said == "right":
            found.append(measured(planned, MEASURED_SPREAD_MM))
        elif said is not None:
            off, spread = (SAID_MM, SAID_SPREAD_MM) if mm is None else (mm, MEASURED_SPREAD_MM)
            found.append(measured(planned + (off if said in ("too short", "tight") else -off), spread))
    return found


def _pooled(seen: list[Measured], prior_mm: float) -> Measured:
    """All of them and the prior at zero, held to what that many socks warrant."""
    if not seen:
        return measured(0.0)
    pooled = combine([measured(0.0, prior_mm), *seen])
    most = MOST_PER_SOCK_MM * len(seen)
    return measured(min(max(nominal(pooled), -most), most), error(pooled))


def _disagree(seen: list[Measured]) -> bool:
    """Whether two of them lie further apart than twice their error together."""
    return any(
        abs(nominal(a) - nominal(b)) > DISAGREE_SIGMAS * math.hypot(error(a), error(b)) for a in seen for b in seen
    )


def _words(length: Measured, round_: Measured, socks: int) -> str:
    if not socks:
        return "No worn sock has taught anything yet."
    changes = []
    for value, more, less in ((length, "longer", "shorter"), (round_, "wider", "narrower")):
        if abs(nominal(value)) >= WORTH_CHANGING_MM:
            changes.append(f"{abs(nominal(value)):.0f} ± {error(value):.0f} mm {more if nominal(value) > 0 else less}")
    heard = "one worn sock" if socks == 1 else f"{socks} worn socks"
    if not changes:
        return f"From {heard}, this wearer's plan stays as it is."
    part = ", part of the way, since one sock is only one" if socks == 1 else ""
    return f"From {heard}, this wearer's plan is {' and '.join(changes)}{part}."


def corrected_ease(girth_mm: float, ease: float, correction: Correction) -> float:
    """The ease round that widens the wanted circumference by what was learnt; a share, from 0 to 0.5.

    girth x (1 - ease) grows by the correction. CraftError when the girth itself must be wrong.
    """
    check_girth(girth_mm)
    changed = ease - nominal(correction.round_mm) / girth_mm
    if not 0 <= changed <= MOST_EASE:
        raise CraftError(
            f"What was learnt would leave {100 * changed:.0f} % of ease round: measure the girth again, for the "
            f"sock's width is hardly at fault."
        )
    return changed
