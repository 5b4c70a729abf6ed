"""A session in words: what happened in it, gathered from its events in one walk, what was measured, what came of it."""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.dial import show_position
from hosewright.craft.fit import trial_words
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM, Readings
from hosewright.craft.measured import measured, show_rows, shown_error, tape_part
from hosewright.craft.units import length_plus_minus, plus_minus, show_length, show_mass
from hosewright.logbook.find.evidence import tube_doubts
from hosewright.logbook.records.planned import name_of
from hosewright.phrases.harmless import in_cell, typed
from hosewright.phrases.lists import many
from hosewright.phrases.times import clock_time
from hosewright.session import events as ev
from hosewright.session.event_words import event_words
from hosewright.session.fold import apply
from hosewright.session.observations import FAULT_WORDS, place_in
from hosewright.session.pace import Pace
from hosewright.session.results import choice, tube_gauge, verdict_words, wash_change
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, Measure, id_in
from hosewright.session.words import done_words, label_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.craft.gauge import Gauge
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Plan
    from hosewright.session.events import Entry
    from hosewright.session.state import Reading
    from hosewright.session.steps import Head, MeasureField, Step


@dataclass(frozen=True, slots=True)
class Pause:
    """Hands off the crank: where, from when, and for how long (None while it lasts)."""

    where: str
    at: str
    ms: int | None


@dataclass(frozen=True, slots=True)
class Happening:
    """Something at a place in the cranking: after so many beats, and of what sort (see SIGNS)."""

    at: int
    sign: str
    words: str


SIGNS = (("!", "observation"), ("p", "pause"), ("c", "correction"))

_CORRECTIONS = (ev.Recounted, ev.Rehung, ev.Voided, ev.DialMoved, ev.Spoilt, ev.SteppedBack, ev.Abandoned, ev.Reopened)
_AFTERWARDS = (
    ev.Restated,
    ev.Reread,
    ev.LeftOut,
    ev.TakenIn,
)  # of the whole session, at no place


@dataclass(slots=True)
class Story:
    """The walk's findings. ``taken_back`` counts presses by the index of their step, ``undone`` the things that were
    undone, of which nothing else tells.

    ``beats`` are the counted presses in the order they came: the index of their step, and rows or passes a minute by
    the gap before them (None where there was none to judge by).
    """

    state: State
    paces: dict[int, Pace] = field(default_factory=dict)
    pauses: list[Pause] = field(default_factory=list)
    corrections: list[str] = field(default_factory=list)
    taken_back: dict[int, int] = field(default_factory=dict)
    sittings: int = 0
    beats: list[tuple[int, float | None]] = field(default_factory=list)
    happenings: list[Happening] = field(default_factory=list)
    undone: int = 0


def tell(head: Head, entries: Iterable[Entry]) -> Story:
    """Walk through the events of a session that stand, first to last."""
    stands = standing(head, entries)
    story = Story(State(head), undone=stands.undone)
    paused: Entry | None = None
    for entry in stands.entries:
        state = story.state
        told = len(story.corrections)
        _note(story, entry)
        _beat(story, entry)
        for words in story.corrections[told:]:
            story.happenings.append(Happening(len(story.beats), "c", words))
        where, was_paused = place(state.step, state.count), state.paused
        apply(state, entry)
        if state.paused and not was_paused:
            paused = entry
            story.happenings.append(Happening(len(story.beats), "p", where))
        elif paused is not None and not state.paused:
            story.pauses.append(Pause(where, _time(paused), entry.at_ms - paused.at_ms))
            paused = None
    if paused is not None:
        story.pauses.append(Pause(place(story.state.step, story.state.count), _time(paused), None))
    story.state = stands.state
    return story


def _beat(story: Story, entry: Entry) -> None:
    """Take the pace of one entry, before it is folded in."""
    state = story.state
    pace = story.paces.setdefault(state.index, Pace(deque()))
    known = len(pace.gaps_ms)
    if entry.seq != state.last_seq + 1:
        pace.last_tick = None  # something was undone between the two
    pace.take(entry)
    if isinstance(entry.event, ev.Pressed) and not entry.event.doubtful:
        gap = pace.gaps_ms[-1] if len(pace.gaps_ms) > known else None
        story.beats.append((state.index, 60_000 / gap if gap else None))
    elif isinstance(entry.event, ev.Observed):
        story.happenings.append(Happening(len(story.beats), "!", FAULT_WORDS[entry.event.fault]))
    elif isinstance(entry.event, ev.TookBack):
        del story.beats[-1:]  # it was no row, and its gap no pace
        story.happenings.append(Happening(len(story.beats), "c", "a press taken back"))


def place(step: Step | None, count: int) -> str:
    """A step, and the row or pass cranked last in it, made plain for Markdown: "Leg, row 34"."""
    return typed(place_in(step, count))


def stands(state: State) -> str:
    """Where a session stands: its step, and what is done of it."""
    step = state.step
    if step is None:
        return "finished"
    done = f", {done_words(step, state.count)}" if isinstance(step, CountRows | CountPasses) else ""
    return f"{typed(step.title)}{done}"


def _note(story: Story, entry: Entry) -> None:
    """Add what ``entry`` corrects, before it is folded in."""
    state, event = story.state, entry.event
    here = place(state.step, state.count)
    if isinstance(event, ev.Opened):
        story.sittings += 1
    elif isinstance(event, ev.TookBack):
        story.taken_back[state.index] = story.taken_back.get(state.index, 0) + 1
    elif isinstance(event, _AFTERWARDS) or (isinstance(event, ev.Recounted) and event.step):
        told = event_words(event, state)
        words = in_cell(told.words)
        said = f"{words[:1].upper()}{words[1:]}, put right on {_time(entry)}"
        story.corrections.append(f"{said}{_why(told.reason)}")
    elif isinstance(event, _CORRECTIONS) or (
        isinstance(event, ev.Confirmed) and state.target is not None and state.count < state.target
    ):
        told = event_words(event, state)
        when = f" on {_time(entry)}" if isinstance(event, ev.Abandoned | ev.Reopened) else ""
        story.corrections.append(f"{here}: {in_cell(told.words)}{when}{_why(told.reason)}")


def _time(entry: Entry) -> str:
    return clock_time(entry.at_ms, entry.zone_min)


def _why(reason: str) -> str:
    said = typed(reason)
    return f" ({said})." if said else "."


# --- what was measured, and what the session came to ------------------------------------------------------------------


def measured_lines(state: State, unit: str, tape_error_mm: float = TAPE_HALF_WIDTH_MM) -> list[str]:
    """Every field with readings, one line each; readings struck out stay readable.

    ``tape_error_mm`` is the half-width of the tape's error.
    """
    lines = []
    names = reading_names(state.head)
    for item in state.head.fields:
        readings = [reading for reading in state.readings if reading.field == item.id]
        if readings:
            shown = ", ".join(_shown(reading, item, unit) for reading in readings)
            lines.append(f"- {typed(names[item.id])}: {shown}{_mean(state, item, unit, tape_error_mm)}")
    return lines


def reading_names(head: Head) -> dict[str, str]:
    """What each field is called, by its id; of two called alike also when: "Flat width, before the wash"."""
    labels = Counter(label_of(field) for field in head.fields)
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
        return _fits(None, state, 0)
    lines = []
    for number, sock in record.each_sock.items():
        found = [*_fits(sock.plan, state, number), *_planned(sock.plan, state, number)]
        if record.kind == "string":
            whose = f", for {typed(sock.wearer.name)}" if sock.wearer else ""
            lines.append(f"- {name_of(sock.plan).capitalize()} {number}{whose}:")
            found = [f"  {line}" for line in found]
        lines += found
    return lines


def _fits(plan: Plan | None, state: State, number: int) -> list[str]:
    said = (
        (choice(state, id_in(number, "fit")), "Round" if plan and plan.end == "chained off" else "Round the foot"),
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
        lines.append(
            f"- This {name_of(plan)} weighs {show_mass(masses[-1])}; {plan.grams_per_pair / 2:.1f} g was planned."
        )
    return lines
