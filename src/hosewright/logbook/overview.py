"""What home's panels show beside what is open: pairs promised, the year's rows by day, yarn, care, needles, drying.

Read by SQL and from the few keys needed of what stands on the shelf, without the engine and without the records. What
only the engine can tell (grams left, rows since the oil) is worked out behind the panels, when they stand.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from hosewright.logbook.glance import told_of
from hosewright.phrases.days import NO_DAY
from hosewright.phrases.times import DAY_MS

if TYPE_CHECKING:
    from hosewright.logbook.file.store import Store

Stage = Literal["not begun", "under way", "cranked"]
YEAR_DAYS = 371  # 53 weeks
TIMES_TO_WATCH = 3  # faults of a needle from which it is named; ours
LEAST_DRYING_MS = DAY_MS // 4  # a shorter gap is no drying; ours
_LATEST_TUBES = 4


class Promised(NamedTuple):
    """A pair promised and not handed over. ``by`` is a day as ISO 8601 has it."""

    id: str
    name: str
    by: str | None
    socks: tuple[Stage, Stage]
    unpaid: bool
    planned: bool


class Bought(NamedTuple):
    """A yarn and what was bought of it in all, in g; 0 where nothing was noted."""

    id: str
    name: str
    grams: float


class Oiling(NamedTuple):
    """A machine, its manual's figure in rows where it is known, and when it was last oiled (0: that is not noted)."""

    id: str
    name: str
    every: int | None
    oiled_ms: int


class Watched(NamedTuple):
    """A needle that dropped, tucked or split so many ``times`` in a year, since it was last changed."""

    needle: int
    cylinder: str
    times: int


class Way(NamedTuple):
    """How far a new logbook is on the way from shelf to sock: the stage it stands at, and what the shelf lacks."""

    at: int
    missing: tuple[str, ...]


class Overview(NamedTuple):
    """All of it. ``days`` are rows and passes by local day since 1970, ``dried`` days the last tubes took.

    ``put_right``: what of ``days`` is of sessions where something was undone or taken back, by their number. Only the
    engine can tell which row that was.
    """

    promised: tuple[Promised, ...]
    days: dict[int, int]
    put_right: dict[int, dict[int, int]]
    yarns: tuple[Bought, ...]
    oiling: tuple[Oiling, ...]
    watched: tuple[Watched, ...]
    dried: tuple[int, ...]


def overview(store: Store, now_ms: int) -> Overview:
    """Read the logbook. Raises LogbookError."""
    since_ms = now_ms - YEAR_DAYS * DAY_MS
    care = told_of(store, "care", machine=str, what=str, at_ms=int, needles=list[int])
    return Overview(
        _promised(store),
        *_days(store, since_ms),
        _yarns(store),
        tuple(
            Oiling(one["id"], one["name"], _whole(one.get("oil_every_rows")), _oiled(care, one["id"]))
            for one in told_of(store, "machine", id=str, name=str)
        ),
        _watched(store, since_ms, care),
        _dried(store),
    )


# Until it is off the machine it is being cranked.
_TUBE_OFF = """SELECT count(*) FROM catalogue c JOIN standing s USING (session)
    WHERE kind = 'tube' AND status <> 'abandoned' AND place <> 'on the machine'"""


def way(store: Store) -> Way | None:
    """Where a logbook without a sock stands on the way to one; None once one was begun, or a pair or yarn noted.

    Raises LogbookError.
    """
    begun = "SELECT count(*) FROM (SELECT 1 FROM catalogue WHERE kind IN ('sock', 'string') LIMIT 1)"
    kept = "SELECT count(*) FROM (SELECT 1 FROM shelf WHERE kind IN ('promise', 'lot') LIMIT 1)"
    if store.ask(begun)[0][0] or store.ask(kept)[0][0]:
        return None
    kinds = {kind for (kind,) in store.ask("SELECT DISTINCT kind FROM shelf")}
    missing = tuple(kind for kind in ("machine", "cylinder", "yarn") if kind not in kinds)
    stages = (
        ("SELECT count(*) FROM catalogue WHERE kind = 'search' AND status = 'finished'", 2),
        (_TUBE_OFF, 3),
        ("SELECT (SELECT count(*) FROM gauges) + (SELECT count(*) FROM shelf WHERE kind = 'noted')", 4),
        ("SELECT count(*) FROM shelf WHERE kind = 'plan'", 5),
    )
    reached = [stage for sql, stage in stages if store.ask(sql)[0][0]]
    return Way(0 if missing else max(reached, default=1), missing)


def _whole(told: object) -> int | None:
    return told if isinstance(told, int) and told > 0 else None


# --- pairs promised ---------------------------------------------------------------------------------------------------

# Of a string only the whole is known here: until it is off the machine each sock of it is under way.
_CRANKED_FOR = """
    SELECT json_extract(record, '$.promise'), s.id, json_extract(record, '$.twin_of'), status, place
    FROM (SELECT n, id, status, CASE WHEN json_valid(record) THEN record ELSE '{}' END AS record, started_ms
        FROM sessions WHERE kind = 'sock' AND status <> 'abandoned' AND instr(record, '"promise":"')) s
    LEFT JOIN standing ON standing.session = s.n ORDER BY started_ms"""
_IN_STRINGS = """
    SELECT json_extract(value, '$.promise'), '', NULL, status, place
    FROM sessions s, json_each(CASE WHEN json_valid(record) THEN record ELSE '{}' END, '$.socks')
    LEFT JOIN standing ON standing.session = s.n WHERE kind = 'string' AND status <> 'abandoned'"""


def _promised(store: Store) -> tuple[Promised, ...]:
    promises = [one for one in told_of(store, "promise", id=str, name=str) if not one.get("handed_over")]
    if not promises:
        return ()
    socks: dict[str, list[Stage]] = {one["id"]: [] for one in promises}
    own = list(store.ask(_CRANKED_FOR))
    named = {session for _, session, *_ in own}
    for promise, _, first, status, place in own + list(store.ask(_IN_STRINGS)):
        if promise in socks:
            if first and first not in named:  # of this pair, though it was cranked before anyone promised it
                socks[promise].insert(0, "cranked")
            on_it = status == "open" and place == "on the machine"
            socks[promise].append("under way" if on_it else "cranked")
    found = []
    for one in promises:
        first_sock, twin = (sorted(socks[one["id"]]) + ["not begun"] * 2)[:2]
        price, paid = one.get("price"), one.get("paid")
        unpaid = isinstance(price, int) and isinstance(paid, int) and paid < price
        day = one.get("by")
        by = day if isinstance(day, str) and _is_day(day) else None
        found.append(Promised(one["id"], one["name"], by, (first_sock, twin), unpaid, bool(one.get("plan"))))
    return tuple(sorted(found, key=lambda one: one.by or NO_DAY))


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


# --- the year's rows --------------------------------------------------------------------------------------------------

_LOCAL_DAY = f"(at_ms + zone_min * 60000) / {DAY_MS}"
_PRESSES = "sum(kind = 'pressed' AND body IS NULL)"  # with a body it is doubtful
# With so much for each correction: in one sum it takes a third of the time that two take.
_CORRECTION = 1_000_000  # more than a session has presses
_WITH_CORRECTIONS = f"""sum(CASE WHEN kind = 'pressed' THEN body IS NULL
    WHEN kind IN ('undone', 'redone', 'took-back', 'doubted', 'vouched', 'recounted') THEN {_CORRECTION} ELSE 0 END)"""
# Most sessions lie within one day, and counting is all they need: by day it would be sorted, at three times the cost.
_BY_SESSION = f"""
    WITH mine AS (
        SELECT session FROM catalogue WHERE on_top = 1 AND left_out = ''
        UNION ALL SELECT session FROM catalogue WHERE on_top = 0 AND changed >= ? AND left_out = '')
    SELECT m.session, (SELECT {_LOCAL_DAY} FROM events WHERE session = m.session ORDER BY seq LIMIT 1),
        (SELECT {_LOCAL_DAY} FROM events WHERE session = m.session ORDER BY seq DESC LIMIT 1),
        (SELECT {_WITH_CORRECTIONS} FROM events WHERE session = m.session)
    FROM mine m"""
_BY_DAY = f"SELECT {_LOCAL_DAY}, {_PRESSES} FROM events WHERE session = ? GROUP BY 1"


def _days(store: Store, since_ms: int) -> tuple[dict[int, int], dict[int, dict[int, int]]]:
    """Rows and passes pressed by day, and what of it only the engine can tell."""
    found: dict[int, int] = {}
    put_right = {}
    for session, first, last, told in store.ask(_BY_SESSION, since_ms):
        corrections, presses = divmod(told or 0, _CORRECTION)
        by_day = dict([(first, presses)] if first == last else store.ask(_BY_DAY, session))
        lately = {day: many for day, many in by_day.items() if isinstance(day, int) and day >= since_ms // DAY_MS}
        for day, many in lately.items():
            found[day] = found.get(day, 0) + many
        if corrections:
            put_right[session] = lately
    return found, put_right


# --- yarn, care, needles, drying --------------------------------------------------------------------------------------


def _yarns(store: Store) -> tuple[Bought, ...]:
    grams: dict[str, float] = {}
    for lot in told_of(store, "lot", yarn=str):
        if isinstance(lot.get("grams"), int | float):
            grams[lot["yarn"]] = grams.get(lot["yarn"], 0.0) + lot["grams"]
    return tuple(
        Bought(one["id"], one["name"], grams.get(one["id"], 0.0)) for one in told_of(store, "yarn", id=str, name=str)
    )


def _oiled(care: list[dict[str, Any]], machine: str) -> int:
    return max((one["at_ms"] for one in care if one["machine"] == machine and one["what"] == "oiled"), default=0)


_FAULTS = """
    SELECT c.machine_id, c.cylinder_id, c.cylinder, s.needle, s.at_ms
    FROM catalogue c JOIN seen s ON s.session = c.session
    WHERE c.began >= ? AND s.struck = 0 AND s.needle IS NOT NULL AND s.fault IN ('dropped', 'tuck', 'split')
        AND c.left_out = ''"""


def _watched(store: Store, since_ms: int, care: list[dict[str, Any]]) -> tuple[Watched, ...]:
    changes = [one for one in care if one["what"] == "needle"]
    times: dict[tuple[str, str, str, int], int] = {}
    for machine, cylinder, name, needle, at_ms in store.ask(_FAULTS, since_ms):
        newer = (
            one["at_ms"] > at_ms
            for one in changes
            if one["machine"] == machine and one.get("cylinder") in (None, cylinder) and needle in one["needles"]
        )
        if not any(newer):
            times[machine, cylinder, name, needle] = times.get((machine, cylinder, name, needle), 0) + 1
    found = [Watched(needle, name, many) for (_, _, name, needle), many in times.items() if many >= TIMES_TO_WATCH]
    return tuple(sorted(found, key=lambda one: (-one.times, one.needle)))


# From the last row on, the longest gap is the drying; what was put right later is no part of it.
_DRYING = """
    SELECT max(gap) FROM (
        SELECT e.session, e.at_ms - lag(e.at_ms) OVER (PARTITION BY e.session ORDER BY e.seq) AS gap
        FROM events e WHERE e.session IN (
            SELECT n FROM sessions WHERE kind = 'tube' AND status = 'finished' ORDER BY changed_ms DESC LIMIT ?)
        AND e.kind IN ('pressed', 'confirmed', 'measured')
        AND e.seq >= (SELECT max(seq) FROM events p WHERE p.session = e.session AND p.kind = 'pressed'))
    GROUP BY session ORDER BY session DESC"""


def _dried(store: Store) -> tuple[int, ...]:
    gaps = [gap for (gap,) in store.ask(_DRYING, _LATEST_TUBES) if isinstance(gap, int)]
    return tuple(max(1, round(gap / DAY_MS)) for gap in gaps if gap >= LEAST_DRYING_MS)
