"""Faults by needle on one machine's cylinder, and which needle keeps faulting."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.craft.chance import Suspect, suspects
from hosewright.logbook.accounts.care import needle_changes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.accounts.care import Change
    from hosewright.logbook.file.store import Store

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
class Changed:
    """A needle that was changed at ``at_ms``: the faults of the old one and of the new one, as far as noted.

    ``listed`` of the old one's are among the newest faults, and count against nobody.
    """

    needle: int
    at_ms: int
    zone_min: int
    before: int
    since: int
    listed: int


@dataclass(frozen=True, slots=True)
class ByNeedle:
    """The newest faults of one kind whose needle is known, by needle, and those that cannot be chance.

    ``unplaced`` more of the kind name no needle. Of a needle in ``changed`` only the new one's faults count, and its
    odds are taken among the faults since it came. Times in ms since 1970.
    """

    fault: NeedleFault
    counts: tuple[tuple[int, int], ...]
    of: int
    unplaced: int
    first_ms: int
    last_ms: int
    suspects: tuple[Suspect, ...]
    changed: tuple[Changed, ...] = ()


def beds(store: Store) -> list[Bed]:
    """Every cylinder that was cranked on, the most used first. Raises LogbookError."""
    sql = """SELECT machine_id, max(machine), cylinder_id, max(cylinder), max(slots), count(*) FROM catalogue
        GROUP BY machine_id, cylinder_id ORDER BY count(*) DESC, machine_id, cylinder_id"""
    return [Bed(*row) for row in store.ask(sql)]


def faults_by_needle(store: Store, bed: Bed, newest: int = NEWEST) -> list[ByNeedle]:
    """What each needle did, one for each kind of fault that was seen at all. Raises LogbookError."""
    found = []
    changes = needle_changes(store, bed.machine_id, bed.cylinder_id)
    for fault in NEEDLE_FAULTS:
        sql = """SELECT seen.needle, seen.at_ms FROM catalogue c JOIN seen ON seen.session = c.session
            WHERE c.machine_id = ? AND c.cylinder_id = ? AND seen.fault = ? AND NOT seen.struck
            ORDER BY seen.at_ms DESC, seen.session DESC, seen.seq DESC"""
        rows = store.ask(sql, bed.machine_id, bed.cylinder_id, fault)
        placed = [(needle, at_ms) for needle, at_ms in rows if needle is not None and 1 <= needle <= bed.slots]
        if not rows:
            continue
        newest_placed = placed[:newest]
        standing = Counter(needle for needle, at_ms in newest_placed if _since(changes, needle, at_ms))
        times = [at_ms for _, at_ms in newest_placed or rows]
        found.append(
            ByNeedle(
                fault,
                tuple(sorted(standing.items(), key=lambda item: (-item[1], item[0]))),
                len(newest_placed),
                sum(needle is None for needle, _ in rows),
                min(times),
                max(times),
                _suspects(newest_placed, changes, bed.slots),
                tuple(_changed(placed, newest, change) for change in _faulty(placed, changes)),
            )
        )
    return found


_Placed = tuple[int, int]  # a needle, and when it faulted


def _since(changes: dict[int, Change], needle: int, at_ms: int) -> bool:
    """Whether a fault is the present needle's own."""
    return needle not in changes or at_ms >= changes[needle].at_ms


def _suspects(placed: Sequence[_Placed], changes: dict[int, Change], slots: int) -> tuple[Suspect, ...]:
    """Those that keep faulting. One test a needle: a new one is judged among the faults since it came."""
    lists = len(NEEDLE_FAULTS)
    kept = [s for s in suspects([needle for needle, _ in placed], slots, lists) if s.needle not in changes]
    for change in changes.values():
        since = [needle for needle, at_ms in placed if at_ms >= change.at_ms]
        kept += [s for s in suspects(since, slots, lists) if s.needle == change.needle]
    return tuple(sorted(kept, key=lambda s: (s.odds, s.needle)))


def _faulty(placed: Sequence[_Placed], changes: dict[int, Change]) -> list[Change]:
    """The changed needles that ever did this, in order of number."""
    return [changes[needle] for needle in sorted({needle for needle, _ in placed} & set(changes))]


def _changed(placed: Sequence[_Placed], newest: int, change: Change) -> Changed:
    own = [(at_ms, at < newest) for at, (needle, at_ms) in enumerate(placed) if needle == change.needle]
    before = [listed for at_ms, listed in own if change.came_ms <= at_ms < change.at_ms]
    since = sum(at_ms >= change.at_ms for at_ms, _ in own)
    listed = sum(listed for at_ms, listed in own if at_ms < change.at_ms)
    return Changed(change.needle, change.at_ms, change.zone_min, len(before), since, listed)
