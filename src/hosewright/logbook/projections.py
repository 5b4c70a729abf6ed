"""What lists and plans ask for of a session, worked out from its events and stored beside them."""

from __future__ import annotations

from contextlib import suppress
from statistics import fmean
from typing import TYPE_CHECKING, Any

from hosewright.craft.dial import show_position
from hosewright.logbook.file.coding import Standing, encode, head_of, start_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.lists import FOLLOWS, follow
from hosewright.session.fold import fold
from hosewright.session.results import choice, tube_gauge, verdict_words, where_work_is
from hosewright.session.standing import standing
from hosewright.session.words import now_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.logbook.file.store import Store
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import GaugeRecord
    from hosewright.session.events import Entry, Event
    from hosewright.session.state import State
    from hosewright.session.steps import Head


_TRIED_ON = ("fit", "fit-length")


def standing_of(state: State) -> Standing:
    """What home says of a session in ``state``."""
    place = where_work_is(state)
    since_ms = state.since_ms if place == "drying" else state.last_ms
    return Standing(state.last_seq, place, now_words(state), since_ms, state.paused, _found(state))


def _found(state: State) -> str:
    if state.head.kind == "search":
        where = state.baseline
        return "" if where is None else f" at {show_position(where, state.head.clicks_per_turn)}"
    wrong = [said for name in _TRIED_ON if (said := choice(state, name)) not in (None, "right")]
    return (
        f" (tried on: {' and '.join(str(said) for said in wrong)}; make a new plan if it should fit differently)"
        if wrong
        else ""
    )


def start_of_session(store: Store, n: int) -> tuple[dict[str, Any], Head]:
    """The start of session ``n`` as plain values, and what the engine needs of it. Raises LogbookError."""
    try:
        start = start_of(store.record_text(n))
        return start, head_of(start)
    except ValueError as error:
        raise LogbookError(f"The start of a session cannot be read ({error}).") from error


def work_out_standing(store: Store, sessions: Iterable[tuple[int, str]]) -> dict[int, Standing]:
    """Where ``sessions``, by number and id, stand by their events, kept for the next time where anything can be kept.

    Raises LogbookError when one of them cannot be read.
    """
    found = {}
    for n, name in sessions:
        try:
            head = head_of(start_of(store.begun_text(n)))
        except ValueError as error:
            raise LogbookError(f"The start of session {name} cannot be read.") from error
        found[n] = standing_of(fold(head, store.entries(n)))
    if not store.why_read_only:
        with suppress(LogbookError), store.one_commit():
            for n, standing in found.items():
                store.set_standing(n, standing)
    return found


def project_gauge(store: Store, n: int, record: SessionRecord, state: State) -> None:
    """Write the gauge session ``n`` comes to in ``state``, if any. Call inside ``one_commit``."""
    if record.kind == "tube":
        gauge = gauge_of(record, state)
        text = gauge.model_dump_json() if gauge else None
        store.set_gauge(n, record.yarn.id, record.cylinder.id, gauge.at_ms if gauge else 0, text)


def project_start(store: Store, n: int, record: SessionRecord, state: State) -> None:
    """Let all that reads session ``n`` find its start as it stands in ``state``. Call inside ``one_commit``."""
    text = record.model_dump_json() if state.restated else None
    store.set_start(n, record.title, record.started_ms, text)


def project_left_out(store: Store, n: int, state: State) -> None:
    """Let the lists tell whether session ``n`` is left out in ``state``. Call inside ``one_commit``."""
    out = state.out
    store.set_left_out(n, out.reason if out else "", cranked=out is None or out.cranked)


def gauge_of(record: SessionRecord, state: State) -> GaugeRecord | None:
    """What the washed tube says in ``state``, for the shelf of gauges; ``record`` is its start as it stands.

    None while it is not measured, while its readings cannot be those of a tube, and when it was given up or left out.
    """
    if state.abandoned or state.out is not None:
        return None
    from hosewright.logbook.records.shelf import GaugeRecord  # on first use: the bench opens faster without the models

    masses = state.values("mass")
    try:
        if (found := tube_gauge(state)) is None:
            return None
        return GaugeRecord(
            session=record.id,
            machine=record.machine.id,
            cylinder=record.cylinder.id,
            yarn=record.yarn.id,
            slots=record.cylinder.slots,
            dial=state.dial,
            rows=state.count_of("tube"),
            at_ms=state.last_ms + record.moved_ms,
            rows_per_mm=found.rows_per_mm.nominal_value,
            rows_per_mm_error=found.rows_per_mm.std_dev,
            stitches_per_mm=found.stitches_per_mm.nominal_value,
            stitches_per_mm_error=found.stitches_per_mm.std_dev,
            mass_g=masses[-1] if masses else None,
            on_foot=choice(state, "on-foot") or "",
            rib=record.rib,
            stretched_mm=fmean(wide) if (wide := state.values("stretched")) and record.rib else None,
        )
    except ValueError:
        return None  # the reading stays in the session, where it is shown and can be struck out


# --- the lists, once something was undone -----------------------------------------------------------------------------


def is_listed(event: Event) -> bool:
    """Whether any list tells of such an event, so that undoing it must be told there."""
    return event.kind in FOLLOWS or event.kind == "measured"


def put_lists_right(store: Store, n: int, head: Head, entries: Iterable[Entry]) -> None:
    """Let faults, words, readings and verdict of session ``n`` tell what stands. Call inside ``one_commit``."""
    stands = standing(head, entries)
    db = store.db
    db.execute("DELETE FROM seen WHERE session = ?", (n,))
    db.execute("DELETE FROM words WHERE session = ? AND rowid <> ?", (n, -n))  # every row but that of its start
    db.execute("DELETE FROM measurements WHERE session = ?", (n,))
    store.add_measurements(n, [(one.seq, one.field, one.value, one.typed) for one in stands.state.readings])
    for entry in stands.entries:
        kind, body = encode(entry.event)
        if body is not None:
            follow(db, n, entry.seq, entry.at_ms, kind, body)
    store.set_verdict(n, verdict_words(stands.state))
    project_left_out(store, n, stands.state)
