"""A machine's care: what was done to it, what it cranked since, whether oil is due, and needles that keep faulting."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from hosewright.craft.chance import Suspect, suspects
from hosewright.logbook.accounts.cranked import Cranked, cranked_on, rows_and_passes
from hosewright.logbook.file.errors import unreadable
from hosewright.logbook.glance import told_of
from hosewright.phrases.times import day_began, local
from hosewright.session.pace import STILL_MS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import Store
    from hosewright.logbook.records.shelf import Machine
    from hosewright.logbook.records.year import Care
    from hosewright.phrases.times import Moment

# Home asks for the oil before its panels are full, and nothing brings pydantic in before that: care is read as plain
# JSON, and its record is imported where one is made or shown.
TOUCHES_RIBBER = ("part", "ribber", "needle")  # after which height, needles and timing are asked about again


@dataclass(frozen=True, slots=True)
class Oiled:
    """When a machine was oiled: UTC in ms since 1970, and the local offset in minutes."""

    at_ms: int
    zone_min: int


@dataclass(frozen=True, slots=True)
class Figures:
    """What a machine has cranked since it was last ``oiled`` (None: that was never noted), this month, and ever."""

    oiled: Oiled | None
    since_oiled: Cranked | None
    month: Cranked
    ever: Cranked


@dataclass(frozen=True, slots=True)
class OilDue:
    """A machine past its manual's figure of ``every`` so many rows. ``rows``: two passes count as one."""

    machine: str
    rows: int
    every: int
    oiled: Oiled | None


@dataclass(frozen=True, slots=True)
class Change:
    """A needle changed, and when the one it replaced had come (0: as far back as the logbook goes)."""

    needle: int
    at_ms: int
    zone_min: int
    came_ms: int


def still_ms(pause_after_s: int) -> int:
    """The longest gap between presses that is time at the crank: the auto-pause, or the usual one when it is off."""
    return pause_after_s * 1000 or STILL_MS


def blank(machine: Machine, what: str, now: Moment, cylinder: str | None = None) -> Care:
    """A thing done to ``machine`` now, to be filled in and kept. ``cylinder``: the one its needles are in."""
    from hosewright.logbook.records.fields import shelf_id
    from hosewright.logbook.records.year import Care

    return Care.model_validate(
        {"id": shelf_id(f"{what} {machine.name}"), "machine": machine.id, "what": what, "cylinder": cylinder}
        | {"at_ms": now.at_ms, "zone_min": now.zone_min}
    )


def history(book: Logbook, machine_id: str) -> list[Care]:
    """Everything ever noted of a machine's care, struck out or not, newest first. Raises LogbookError."""
    from hosewright.logbook.records.year import Care

    own = [item for item in book.shelf(Care, retired=True) if item.machine == machine_id]
    return sorted(own, key=lambda item: (item.at_ms, item.id), reverse=True)


def last_oiled(store: Store, machine_id: str) -> Oiled | None:
    """When a machine was last oiled, as far as it was noted and not struck out. Raises LogbookError."""
    oiled = [item for item in _standing(store, machine_id) if item["what"] == "oiled"]
    newest = max(oiled, key=lambda item: int(item["at_ms"]), default=None)
    return Oiled(newest["at_ms"], newest["zone_min"]) if newest else None


def figures(store: Store, machine_id: str, now: Oiled, still: int = STILL_MS) -> Figures:
    """What a machine has cranked; ``now`` tells which month it is, ``still`` is from ``still_ms``.

    Raises LogbookError.
    """
    oiled = last_oiled(store, machine_id)
    return Figures(
        oiled,
        cranked_on(store, machine_id, oiled.at_ms, still) if oiled else None,
        cranked_on(store, machine_id, month_began(now.at_ms, now.zone_min), still),
        cranked_on(store, machine_id, 0, still),
    )


def month_began(at_ms: int, zone_min: int) -> int:
    """When the month of a moment began by the clock on the wall, UTC in ms since 1970."""
    return day_began(local(at_ms, zone_min).date().replace(day=1), zone_min)


def oil_due(store: Store, machine_id: str | None = None) -> list[OilDue]:
    """The machines (or the one) past their manual's figure; nothing for those whose figure nobody gave.

    Raises LogbookError.
    """
    found = []
    for machine in told_of(store, "machine", id=str, name=str):
        every = machine.get("oil_every_rows")  # older logbooks have none
        if not isinstance(every, int | None):
            raise unreadable("machine")
        if not every or machine_id not in (None, machine["id"]):
            continue
        oiled = last_oiled(store, machine["id"])
        rows = Cranked(*rows_and_passes(store, machine["id"], oiled.at_ms if oiled else 0), 0).as_rows
        if rows >= every:
            found.append(OilDue(machine["name"], rows, every, oiled))
    return found


@dataclass(frozen=True, slots=True)
class RibberSet:
    """When a ribber was last set up and what was said of its rows; ``since``: what was done to the machine after."""

    at_ms: int
    zone_min: int
    verdict: str
    since: tuple[tuple[str, int, int], ...]


def ribber_set(store: Store, machine_id: str) -> RibberSet | None:
    """The last time a machine's ribber was set up and proven to the end, None for never. Raises LogbookError."""
    sql = """SELECT began, zone_min, verdict FROM catalogue
        WHERE machine_id = ? AND kind = 'ribber' AND status = 'finished' AND left_out = ''
        ORDER BY began DESC, session DESC LIMIT 1"""
    for began, zone, verdict in store.ask(sql, machine_id):
        done = [one for one in _standing(store, machine_id) if one["what"] in TOUCHES_RIBBER and one["at_ms"] > began]
        since = tuple((str(one["what"]), int(one["at_ms"]), int(one["zone_min"])) for one in done)
        return RibberSet(began, zone, verdict, since)
    return None


def due_of(machine: Machine, found: Figures) -> OilDue | None:
    """The same of a machine whose figures are at hand."""
    every, rows = machine.oil_every_rows, (found.since_oiled or found.ever).as_rows
    return OilDue(machine.name, rows, every, found.oiled) if every and rows >= every else None


def needle_changes(store: Store, machine_id: str, cylinder_id: str) -> dict[int, Change]:
    """The last change of each needle of a machine's cylinder that was ever changed. Raises LogbookError.

    An entry that names no cylinder holds for every one of the machine.
    """
    found: dict[int, Change] = {}
    noted = [item for item in _standing(store, machine_id) if item["what"] == "needle"]
    for item in sorted(noted, key=lambda item: int(item["at_ms"])):
        if item["cylinder"] not in (None, cylinder_id):
            continue
        for needle in item["needles"]:
            came = found[needle].at_ms if needle in found else 0
            found[needle] = Change(needle, item["at_ms"], item["zone_min"], came)
    return found


def cylinder_in_use(store: Store, machine_id: str) -> str | None:
    """The id of the cylinder last cranked on a machine. Raises LogbookError."""
    sql = "SELECT cylinder_id FROM catalogue WHERE machine_id = ? ORDER BY began DESC, session DESC LIMIT 1"
    return next((str(cylinder) for (cylinder,) in store.ask(sql, machine_id)), None)


def _standing(store: Store, machine_id: str) -> list[dict[str, Any]]:
    """A machine's care that is not struck out, as plain JSON: the bench opens without the models."""
    care = told_of(
        store, "care", machine=str, what=str, at_ms=int, zone_min=int, needles=list[int], cylinder=str | None
    )
    return [item for item in care if item["machine"] == machine_id]


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


def beds(store: Store, *, of_late: bool = False) -> list[Bed]:
    """Every cylinder that was cranked on, the most used first, or (``of_late``) the last used. Raises LogbookError."""
    first = "max(began)" if of_late else "count(*)"
    sql = f"""SELECT machine_id, max(machine), cylinder_id, max(cylinder), max(slots), count(*) FROM catalogue
        GROUP BY machine_id, cylinder_id ORDER BY {first} DESC, machine_id, cylinder_id"""
    return [Bed(*row) for row in store.ask(sql)]


def faults_by_needle(store: Store, bed: Bed) -> list[ByNeedle]:
    """What each needle did, one for each kind of fault that was seen at all. Raises LogbookError."""
    found = []
    changes = needle_changes(store, bed.machine_id, bed.cylinder_id)
    for fault in NEEDLE_FAULTS:
        sql = """SELECT seen.needle, seen.at_ms FROM catalogue c JOIN seen ON seen.session = c.session
            WHERE c.machine_id = ? AND c.cylinder_id = ? AND seen.fault = ? AND NOT seen.struck AND c.left_out = ''
            ORDER BY seen.at_ms DESC, seen.session DESC, seen.seq DESC"""
        rows = store.ask(sql, bed.machine_id, bed.cylinder_id, fault)
        placed = [(needle, at_ms) for needle, at_ms in rows if needle is not None and 1 <= needle <= bed.slots]
        if not rows:
            continue
        newest_placed = placed[:NEWEST]
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
                tuple(_changed(placed, changes[one]) for one in sorted({one for one, _ in placed} & changes.keys())),
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


def _changed(placed: Sequence[_Placed], change: Change) -> Changed:
    own = [(at_ms, at < NEWEST) for at, (needle, at_ms) in enumerate(placed) if needle == change.needle]
    before = [listed for at_ms, listed in own if change.came_ms <= at_ms < change.at_ms]
    since = sum(at_ms >= change.at_ms for at_ms, _ in own)
    listed = sum(listed for at_ms, listed in own if at_ms < change.at_ms)
    return Changed(change.needle, change.at_ms, change.zone_min, len(before), since, listed)
