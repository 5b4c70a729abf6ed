"""What lists and plans ask for of a session, worked out from its events and stored beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.results import choice, tube_gauge

if TYPE_CHECKING:
    from hosewright.logbook.file.store import Store
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import GaugeRecord
    from hosewright.session.state import State


def project_gauge(store: Store, n: int, record: SessionRecord, state: State, at_ms: int) -> None:
    """Write the gauge session ``n`` comes to in ``state``, if any. Call inside ``one_commit``."""
    if record.kind == "tube":
        gauge = gauge_of(record, state, at_ms)
        store.set_gauge(n, record.yarn.id, record.cylinder.id, at_ms, gauge.model_dump_json() if gauge else None)


def gauge_of(record: SessionRecord, state: State, at_ms: int) -> GaugeRecord | None:
    """What the washed tube says in ``state``, for the shelf of gauges.

    None while it is not measured, and while its readings cannot be those of a tube.
    """
    try:
        return _gauge(record, state, at_ms)
    except ValueError:
        return None  # the reading stays in the session, where it is shown and can be struck out


def _gauge(record: SessionRecord, state: State, at_ms: int) -> GaugeRecord | None:
    found = tube_gauge(state)
    if found is None:
        return None
    masses = state.values("mass")
    from hosewright.logbook.records.shelf import GaugeRecord  # on first use: the bench opens faster without the models

    return GaugeRecord(
        session=record.id,
        machine=record.machine.id,
        cylinder=record.cylinder.id,
        yarn=record.yarn.id,
        slots=record.cylinder.slots,
        dial=state.dial,
        rows=state.count_of("tube"),
        at_ms=at_ms,
        rows_per_mm=found.rows_per_mm.nominal_value,
        rows_per_mm_error=found.rows_per_mm.std_dev,
        stitches_per_mm=found.stitches_per_mm.nominal_value,
        stitches_per_mm_error=found.stitches_per_mm.std_dev,
        mass_g=masses[-1] if masses else None,
        on_foot=choice(state, "on-foot") or "",
    )
