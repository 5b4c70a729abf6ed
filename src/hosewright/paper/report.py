"""The session report: what was done, on what, and what came of it, as Markdown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.dial import show_position, show_turns
from hosewright.craft.gauge import TAPE_HALF_WIDTH_MM
from hosewright.craft.units import show_length, show_number
from hosewright.logbook.records.planned import record_kind, record_name
from hosewright.paper.charts import Bars, Chart, DrawnSock, Mark, cranked_sock, draw
from hosewright.phrases.harmless import table, typed
from hosewright.phrases.lists import many
from hosewright.phrases.times import clock_time, span
from hosewright.session.kinds import STATUS_WORDS
from hosewright.session.observations import FAULT_WORDS, VERDICT_WORDS
from hosewright.session.steps import CountPasses, CountRows, sock_of
from hosewright.session.steps.tubes import called_in
from hosewright.words.story import SIGNS, measured_lines, place, planned_rows, result_lines, stands, tell
from hosewright.words.troubles import many_faults

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Plan
    from hosewright.session.events import Entry
    from hosewright.session.state import State
from hosewright.words.story import Story


@dataclass(frozen=True, slots=True)
class PageSection:
    """A part of a report: Markdown lines under a heading (none for the first), or a picture."""

    heading: str
    lines: tuple[str, ...] = ()
    chart: Chart | None = None


def session_report(
    record: SessionRecord,
    entries: Iterable[Entry],
    length_unit: str = "in",
    plans: Iterable[Plan] = (),
    tape_error_mm: float = TAPE_HALF_WIDTH_MM,
    was: Iterable[str] = (),
) -> str:
    """The report on a session as Markdown; lengths in ``length_unit`` ("in", "cm" or "mm").

    ``plans`` are those made from this session's gauge, ``tape_error_mm`` is the half-width of the tape's error;
    ``was`` says what is called otherwise now (``merging.was_words``).
    """
    return to_markdown(typed(record.title), sections(record, entries, length_unit, plans, tape_error_mm, was))


def sections(
    record: SessionRecord,
    entries: Iterable[Entry],
    length_unit: str = "in",
    plans: Iterable[Plan] = (),
    tape_error_mm: float = TAPE_HALF_WIDTH_MM,
    was: Iterable[str] = (),
) -> list[PageSection]:
    """The same report in parts, those with nothing in them left out."""
    story = tell(record.head, entries)
    told: tuple[tuple[str, Chart | Sequence[str] | None], ...] = (
        ("", [*_what(record, story)[:-1], *(f"- {typed(one)}" for one in was), ""]),
        *_socks(record, story.state),
        ("Result", result_lines(record, story.state, length_unit, tape_error_mm)),
        ("Stitch size", _ladder(story.state)),
        ("Parts", _parts(story)),
        ("Cadence", cadence(story)),
        ("Pauses", _pauses(story)),
        ("Observations", _observations(story.state)),
        ("Corrections", _corrections(story)),
        ("Measured", measured_lines(story.state, length_unit, tape_error_mm)),
        ("The plan it led to", [f"- {plan_words(plan)}" for plan in plans]),
    )
    return [
        PageSection(heading, (), body) if isinstance(body, Chart) else PageSection(heading, tuple(body))
        for heading, body in told
        if body
    ]


def _socks(record: SessionRecord, state: State) -> list[tuple[str, DrawnSock]]:
    """Each sock that was begun, drawn as far as it was cranked."""
    found = []
    for number in record.each_sock:
        drawn = cranked_sock(record, state, number)
        if drawn is not None and any(drawn.done):
            name = record_name(record, number)
            found.append((f"{name.capitalize()} {number}" if number else f"The {name}", drawn))
    return found


def to_markdown(title: str, parts: Iterable[PageSection]) -> str:
    """A report as Markdown: pictures as plain characters in a fence."""
    lines = [f"# {title}", ""]
    for part in parts:
        body = ["```text", *draw(part.chart), "```"] if part.chart else list(part.lines)
        if part.heading:
            lines += [f"## {part.heading}", ""]
        lines += [*body, *([] if body[-1] == "" else [""])]
    return "\n".join(lines).rstrip() + "\n"


def cadence(story: Story) -> Bars | None:
    """Rows and passes a minute, one place a press in the order they came; None before there is a pace to show."""
    if not any(speed for _, speed in story.beats):
        return None
    steps = story.state.head.steps
    socks = [sock_of(steps[index].id) for index, _ in story.beats]  # those of a string have too many parts for labels
    places = [(sock, not sock and index) for sock, (index, _) in zip(socks, story.beats, strict=True)]
    begins = [
        (at, f"{called_in(story.state.head, socks[at]).capitalize()} {socks[at]}" if socks[at] else steps[index].title)
        for at, (index, _) in enumerate(story.beats)
        if not at or places[at - 1] != places[at]
    ]
    marks = tuple(Mark(seen.at, seen.sign, seen.words) for seen in story.happenings)
    values = tuple(speed for _, speed in story.beats)
    return Bars("Rows and passes a minute, in the order they were cranked", values, tuple(begins), marks, SIGNS)


def plan_words(plan: Plan) -> str:
    """A plan in one line."""
    return f"{typed(plan.name)}: {planned_rows(plan)}, {plan.metres_per_pair:.0f} m of yarn for the pair"


def _what(record: SessionRecord, story: Story) -> list[str]:
    state = story.state
    machine, cylinder = record.machine, record.cylinder
    pitch = f"{machine.thread_pitch_mm:.4g} mm in " if machine.thread_pitch_mm else "in "
    across = f", {show_length(cylinder.diameter_mm, 'in')} across" if cylinder.diameter_mm else ""
    slots = "" if f"{cylinder.slots} slots" in cylinder.name else f", {cylinder.slots} slots"
    lines = [
        f"- Session: {record.id}, {record_kind(record).lower()}, {STATUS_WORDS[state.status]}",
        f"- Begun: {clock_time(record.started_ms, record.zone_min)}",
    ]
    if state.out is not None:
        lines.append(f"- Left out of gauges, pace and statistics: {typed(state.out.reason)}")
    if state.last_ms:
        lines.append(f"- Last touched: {clock_time(state.last_ms, record.zone_min)}")
    if story.sittings > 1:
        lines.append(f"- Sittings: {story.sittings}")
    lines += [
        f"- Machine: {typed(machine.name)}, a turn of the dial {pitch}{many(machine.turn, 'click')}",
        f"- Cylinder: {typed(cylinder.name)}{slots}{across}",
        f"- Yarn: {_yarn(record)}",
    ]
    given = record.given
    told = (
        ("Weights", given.weights),
        ("Yarn-mast tension", given.mast_tension),
        ("Dye lot", record.dye_lot),
        ("The yarn was begun at", given.yarn_start),
        ("For", record.wearer.name if record.wearer else ""),
    )
    lines += [f"- {what}: {typed(said)}" for what, said in told if said]
    if record.twin_of is not None:
        lines.append(f"- Twin of: {record.twin_of}")
    moved = "" if state.dial == record.dial else f", stands {show_position(state.dial, record.machine.turn)}"
    lines.append(f"- Dial: started {show_position(record.dial, record.machine.turn)}{moved}")
    if state.step is not None:
        lines.append(f"- Now at: {stands(state)}")
    return [*lines, ""]


def _yarn(record: SessionRecord) -> str:
    yarn = record.yarn
    said = [typed(yarn.name)]
    said += [typed(text) for text in (yarn.fibre, yarn.colour) if text]
    if yarn.m_per_100g is not None:
        said.append(f"{show_number(yarn.m_per_100g, 4)} m per 100 g")
    return ", ".join(said)


def _ladder(state: State) -> list[str]:
    if not state.trials:
        return []
    per_turn = state.head.clicks_per_turn
    rows = [
        (
            str(number),
            f"{show_turns(trial.clicks, per_turn)} ({trial.clicks})",
            str(trial.rows),
            VERDICT_WORDS[trial.verdict] + (" (void)" if trial.void else ""),
        )
        for number, trial in enumerate(state.trials, 1)
    ]
    return table(("Look", "Turns below zero (clicks)", "Rows", "The stitches"), rows)


def _parts(story: Story) -> list[str]:
    """A table of the parts; of a string one for each sock, so that none is parted from its own."""
    state = story.state
    tables: dict[int, list[tuple[str, ...]]] = {}
    for index, step in enumerate(state.head.steps):
        if not isinstance(step, CountRows | CountPasses):
            continue
        pace = story.paces[index].per_minute if index in story.paces else None
        yarn = step.yarn
        speed = "" if pace is None else f"{pace:.3g}"
        row = (typed(step.title), yarn, f"{step.target} {step.kind}", str(state.counts[index]), speed)
        tables.setdefault(sock_of(step.id), []).append(row)
    return [
        line for rows in tables.values() for line in table(("Part", "Yarn", "Planned", "Cranked", "A minute"), rows)
    ]


def _pauses(story: Story) -> list[str]:
    return [
        f"- {pause.where}, {pause.at}: " + ("still paused" if pause.ms is None else span(pause.ms))
        for pause in story.pauses
    ]


def _observations(state: State) -> list[str]:
    lines = []
    for seen in state.observations:
        step = state.head.steps[seen.step] if seen.step < len(state.head.steps) else None
        what = FAULT_WORDS[seen.fault]
        needle = "" if seen.needle is None else f", needle {seen.needle}"
        told = f"~~{what}~~ (struck out){needle}" if seen.struck else f"{what}{needle}"
        note = f": {typed(seen.note)}" if seen.note else ""
        dial = show_turns(seen.dial, state.head.clicks_per_turn)
        lines.append(f"- {place(step, seen.count)}, dial {dial}: {told}{note}")
    proposed = many_faults(state, f"`hosewright why {state.head.id}`, or k on the bench,")
    return [*lines, "", proposed] if proposed else lines


def _corrections(story: Story) -> list[str]:
    steps = story.state.head.steps
    lines = [
        f"- {typed(steps[index].title)}: {many(count, 'press')} taken back."
        for index, count in sorted(story.taken_back.items())
    ]
    if story.undone:
        lines.append(f"- {many(story.undone, 'thing')} done by mistake, and undone.")
    lines += [f"- {said}" for said in story.corrections]
    ignored = story.state.ignored
    if ignored:
        lines.append(f"- {many(ignored, 'saved event')} did not fit and changed nothing.")
    return lines
