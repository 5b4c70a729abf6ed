"""What a session found out: the gauge of a washed tube, the sock that was really cranked, where the work is now."""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING, Literal

from hosewright.session.steps import Measure, Wait, id_in, in_working_yarn, plain_id, sock_of

if TYPE_CHECKING:
    from hosewright.craft.gauge import Gauge
    from hosewright.session.state import State

Where = Literal["on the machine", "drying", "off the machine"]


def tube_gauge(state: State, tape_mm: float = 1.0) -> Gauge | None:
    """The gauge from the readings after the wash; None until length and width are measured.

    ``tape_mm`` is the half-width of the tape's error in mm. The rows are those really cranked.
    Raises CraftError when the readings cannot be those of a tube.
    """
    lengths, widths = tuple(state.values("length")), tuple(state.values("width"))
    rows = state.count_of("tube")
    if not lengths or not widths or not rows:
        return None
    from hosewright.craft.gauge import measure_gauge

    masses = state.values("mass")
    return measure_gauge(
        rows=rows,
        lengths_mm=lengths,
        slots=state.head.slots,
        flat_widths_mm=widths,
        tape_mm=tape_mm,
        mass_g=masses[-1] if masses else None,
    )


def wash_change(state: State, what: Literal["length", "width"]) -> float | None:
    """What the wash did to a tube's length or width, in % of the means; None until both are measured."""
    before, after = state.values(f"raw-{what}"), state.values(what)
    if not before or not after:
        return None
    from hosewright.craft.gauge import relaxation_percent

    return relaxation_percent(fmean(before), fmean(after))


def choice(state: State, field_id: str) -> str | None:
    """The last choice that stands for a field, in words."""
    standing = [r for r in state.readings if r.field == field_id and not r.struck]
    if not standing:
        return None
    for step in state.head.steps:
        for item in getattr(step, "fields", ()):
            if item.id == field_id and item.choices:
                return str(item.choices[int(standing[-1].value)])
    return None


def worn_words(state: State, sock: int = 0) -> str:
    """What was said when a sock (of a string, by its place) was tried on: "round tight, length right", or nothing."""
    said = (("round", choice(state, id_in(sock, "fit"))), ("length", choice(state, id_in(sock, "fit-length"))))
    return ", ".join(f"{what} {how}" for what, how in said if how)


def verdict_words(state: State) -> str:
    """All that was chosen in the readings: "round right, length too long", of a string "sock 2 round tight"."""
    said = []
    for item in (item for step in state.head.steps if isinstance(step, Measure) for item in step.fields):
        if item.quantity == "choice" and (how := choice(state, item.id)):
            which = f"sock {sock_of(item.id)} " if sock_of(item.id) else ""
            what = {"fit": "round ", "fit-length": "length "}.get(plain_id(item.id), "")
            said.append(f"{which}{what}{how}")
    return ", ".join(said)


def cranked(state: State) -> dict[str, int]:
    """Rows and passes of working yarn really cranked, by step, in order of the sock."""
    return {step.id: count for step, count in zip(state.head.steps, state.counts, strict=True) if in_working_yarn(step)}


def where_work_is(state: State) -> Where:
    """Where the work of an unfinished session is: it is off the machine from the step after it was taken off."""
    if isinstance(state.step, Wait):
        return "drying"
    off = next((i for i, step in enumerate(state.head.steps) if step.id == "take-off"), None)
    away = isinstance(state.step, Measure) or (off is not None and state.index > off)
    return "off the machine" if away else "on the machine"
