"""Faults by needle on one machine's cylinder, and which needle keeps faulting."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.chance import Suspect, suspects
from hosewright.logbook.find import ask

if TYPE_CHECKING:
    from hosewright.logbook.store import Store

NeedleFault = Literal["dropped", "tuck", "split"]
NEEDLE_FAULTS: tuple[NeedleFault, ...] = ("dropped", "tuck", "split")  # what one bad needle does
NEWEST = 20  # older faults say nothing of today's latches; our line


@dataclass(frozen=True, slots=True)
class Bed:
    """A cylinder on a machine, and how many sessions were cranked on it."""

    machine_id: str
    machine: str
    cylinder_id: str
    cylinder: str
    slots: int
    sessions: int


@dataclass(frozen=True, slots=True)
class ByNeedle:
    """The newest faults of one kind whose needle is known, by needle, and those that cannot be chance.

    ``unplaced`` more of the kind name no needle. Times in ms since 1970.
    """

    fault: NeedleFault
    counts: tuple[tuple[int, int], ...]
    of: int
    unplaced: int
    first_ms: int
    last_ms: int
    suspects: tuple[Suspect, ...]


def beds(store: Store) -> list[Bed]:
    """Every cylinder that was cranked on, the most used first. Raises LogbookError."""
    sql = """SELECT machine_id, max(machine), cylinder_id, max(cylinder), max(slots), count(*) FROM catalogue
        GROUP BY machine_id, cylinder_id ORDER BY count(*) DESC, machine_id, cylinder_id"""
    return [Bed(*row) for row in ask(store, sql)]


def faults_by_needle(store: Store, bed: Bed, newest: int = NEWEST) -> list[ByNeedle]:
    """What each needle did, one for each kind of fault that was seen at all. Raises LogbookError."""
    found = []
    for fault in NEEDLE_FAULTS:
        sql = """SELECT seen.needle, seen.at_ms FROM catalogue c JOIN seen ON seen.session = c.session
            WHERE c.machine_id = ? AND c.cylinder_id = ? AND seen.fault = ? AND NOT seen.struck
            ORDER BY seen.at_ms DESC, seen.session DESC, seen.seq DESC"""
        rows = ask(store, sql, (bed.machine_id, bed.cylinder_id, fault))
        placed = [(needle, at_ms) for needle, at_ms in rows if needle is not None and 1 <= needle <= bed.slots][:newest]
        if not rows:
            continue
        needles = [needle for needle, _ in placed]
        times = [at_ms for _, at_ms in placed or rows]
        found.append(
            ByNeedle(
                fault,
                tuple(sorted(Counter(needles).items(), key=lambda item: (-item[1], item[0]))),
                len(needles),
                sum(needle is None for needle, _ in rows),
                min(times),
                max(times),
                suspects(needles, bed.slots, lists=len(NEEDLE_FAULTS)),
            )
        )
    return found
