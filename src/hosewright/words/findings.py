"""The end of a session report: what was measured, and what the session came to."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.dial import show_position
from hosewright.craft.fit import trial_words
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM, Readings
from hosewright.craft.measured import measured, show_rows, shown_error, tape_part
from hosewright.craft.units import length_plus_minus, plus_minus, show_length, show_mass
from hosewright.logbook.find.evidence import tube_doubts
from hosewright.phrases.harmless import typed
from hosewright.phrases.lists import many
from hosewright.session.results import choice, tube_gauge, verdict_words, wash_change
from hosewright.session.steps import Measure, id_in
from hosewright.session.words import label_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.craft.gauge import Gauge
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Plan
    from hosewright.session.state import Reading, State
    from hosewright.session.steps import Head, MeasureField


def measured_lines(state: State, unit: str, tape_error_mm: float = TAPE_HALF_WIDTH_MM) -> list[str]:
    """Every field with readings, one line each; readings struck out stay readable.

    ``tape_error_mm`` is the half-width of the tape's error.
    """
    lines = []
    names = reading_names(state.head)
    for field in fields_of(state.head):
        readings = [reading for reading in state.readings if reading.field == field.id]
        if readings:
            shown = ", ".join(_shown(reading, field, unit) for reading in readings)
            lines.append(f"- {typed(names[field.id])}: {shown}{_mean(state, field, unit, tape_error_mm)}")
    return lines


def fields_of(head: Head) -> Iterator[MeasureField]:
    """Everything there is to measure in a session, in order."""
    for step in head.steps:
        if isinstance(step, Measure):
            yield from step.fields


def reading_names(head: Head) -> dict[str, str]:
    """What each field is called, by its id; of two called alike also when: "Flat width, before the wash"."""
    labels = Counter(label_of(field) for field in fields_of(head))
    names = {}
    for step in head.steps:
        if isinstance(step, Measure):
            title = step.title.rpartition(", ")[2].removeprefix("Measure ")  # of "Try on, sock 3" the sock
            when = title[0].lower() + title[1:]
            for field in step.fields:
                label = label_of(field)
                names[field.id] = f"{label}, {when}" if labels[label] > 1 else label
    return names


def _shown(reading: Reading, field: MeasureField, unit: str) -> str:
    if field.quantity == "choice":
        at = int(reading.value)
        said = typed(field.choices[at]) if at < len(field.choices) else str(at)
    elif field.quantity == "mass":
        said = show_mass(reading.value)
    else:
        said = show_length(reading.value, unit)
    return f"~~{said}~~ (struck out)" if reading.struck else said


def _mean(state: State, field: MeasureField, unit: str, tape_error_mm: float) -> str:
    values = state.values(field.id)
    if field.quantity != "length" or not field.repeats or not values:
        return ""
    try:
        readings = Readings(tuple(values), tape_error_mm)
    except CraftError:
        return ""  # too short or too long for a tape: the readings stand beside this and speak for themselves
    return f"; mean {length_plus_minus(readings.mean, readings.error, unit)}"


def result_lines(
    record: SessionRecord, state: State, unit: str, tape_error_mm: float = TAPE_HALF_WIDTH_MM
) -> list[str]:
    """What the session came to: a stitch size, a gauge, or how the sock fits."""
    if record.kind == "search":
        return _stitch_size(state)
    if record.kind == "ribber":
        return [f"- {verdict_words(state).capitalize()}."] if verdict_words(state) else []
    if record.kind == "tube":
        return _tube(record, state, unit, tape_error_mm)
    return _socks(record, state)


def _stitch_size(state: State) -> list[str]:
    if state.baseline is None:
        return [state.search.advice] if state.search.stopped else []
    where = show_position(state.baseline, state.head.clicks_per_turn)
    proven = "proven" if state.status == "finished" else "not yet proven"
    return [f"The stitch size for this yarn is {where} ({many(state.baseline, 'click')}), {proven}."]


def _tube(record: SessionRecord, state: State, unit: str, tape_error_mm: float) -> list[str]:
    lines, round_mm = [], None
    try:
        gauge = tube_gauge(state, tape_error_mm)
        if gauge is not None:
            lines = _gauge_lines(gauge, record, state, unit)
            round_mm = gauge.as_numbers()["circumference_mm"]
    except CraftError as error:
        lines = [f"- The gauge cannot be worked out: {error}"]
    on_foot = on_foot_words(record, state, round_mm, unit)
    return [*lines, f"- {on_foot}"] if on_foot else lines


def on_foot_words(record: SessionRecord, state: State, round_mm: float | None, unit: str) -> str:
    """How a tube of this round sat on the foot, beside that foot's tape; empty when it was not tried on."""
    on_foot = choice(state, "on-foot")
    if on_foot is None:
        return ""
    if round_mm is None:
        return f"On the foot: {on_foot}."

    girth = record.wearer.ball_girth_mm if record.wearer else None
    return trial_words(on_foot, round_mm, girth, unit, verdicts=not (record.wearer and record.wearer.caution))


def _gauge_lines(gauge: Gauge, record: SessionRecord, state: State, unit: str) -> list[str]:
    numbers = gauge.as_numbers()

    def both(name: str, decimals: int = 0) -> str:
        return plus_minus(numbers[name], numbers[f"{name}_error"], decimals)

    circumference = length_plus_minus(numbers["circumference_mm"], numbers["circumference_mm_error"], unit)
    lines = [
        f"- Rows: {both('rows_per_in', 2)} per in, {both('rows_per_cm', 3)} per cm",
        f"- Stitches: {both('stitches_per_in', 2)} per in, {both('stitches_per_cm', 3)} per cm",
        f"- Circumference: {circumference}",
        *([] if record.rib else [f"- Loop length: {both('loop_length_mm')} mm"]),  # plain knitting's rule
        f"- Rows to stitches: {both('ratio')}",
    ]
    lines += [f"- {said}" for said in wash_words(state)]
    return lines + [f"- To check: {doubt}" for doubt in tube_doubts(record, state, gauge)]


def wash_words(state: State) -> list[str]:
    """What the wash changed of a tube, as far as both were measured, a sentence each."""
    changes = ((what, wash_change(state, what)) for what in ("length", "width"))
    return [f"The wash changed the {what} by {change:+.1f} %." for what, change in changes if change is not None]


def _socks(record: SessionRecord, state: State) -> list[str]:
    """How each sock fits, and what was planned of it; the socks of a string are named one by one."""
    if not record.each_sock:
        return _fits(state, 0)
    lines = []
    for number, sock in record.each_sock.items():
        found = [*_fits(state, number), *_planned(sock.plan, state, number)]
        if record.kind == "string":
            lines.append(f"- Sock {number}{f', for {typed(sock.wearer.name)}' if sock.wearer else ''}:")
            found = [f"  {line}" for line in found]
        lines += found
    return lines


def _fits(state: State, number: int) -> list[str]:
    said = (
        (choice(state, id_in(number, "fit")), "Round the foot"),
        (choice(state, id_in(number, "fit-length")), "In length"),
    )
    return [f"- {where} it was {how}." for how, where in said if how is not None]


def planned_rows(plan: Plan) -> str:
    """The rows of the foot with how sure they are: "61 ± 2 rows in the foot, ± 1 of it from the tape"."""
    rows = measured(plan.foot_rows, plan.foot_rows_error)
    tape = tape_part(plan.foot_rows_tape_error) if shown_error(rows) else ""
    return f"{show_rows(rows)} in the foot{tape}"


def _planned(plan: Plan, state: State, number: int) -> list[str]:
    grams = "" if plan.grams_per_pair is None else f", about {plan.grams_per_pair:.0f} g"
    lines = [f"- Planned: {planned_rows(plan)}; a pair from {plan.metres_per_pair:.0f} m of yarn{grams}."]
    masses = state.values(id_in(number, "mass"))
    if masses and plan.grams_per_pair is not None:
        lines.append(f"- This sock weighs {show_mass(masses[-1])}; {plan.grams_per_pair / 2:.1f} g was planned.")
    return lines
