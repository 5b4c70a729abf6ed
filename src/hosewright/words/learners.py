"""A class in words: one learner a line, in columns that fit the terminal, or in a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.logbook.classroom import past_words
from hosewright.phrases.lists import clipped, many
from hosewright.phrases.times import limit_words, short_span

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.classroom import LearnerLine, Patience

_COUNT, _PACE, _QUIET = 9, 7, 6
_MOST_NAME, _LEAST_NAME = 16, 7
_LEAST_LAST = 13  # "120 past plan" is told whole
_HEADS = ("ON THE MACHINE", "STEP", "ROW/PASS", "PACE", "QUIET", "LAST FAULT")


@dataclass(frozen=True, slots=True)
class ClassColumns:
    """How many cells each column has."""

    name: int
    title: int
    step: int
    fault: int


def columns_for(lines: Sequence[LearnerLine], width: int) -> ClassColumns:
    """Columns that fill ``width``: the names whole where they can be, the rest shared out."""
    longest = max((len(line.learner) for line in lines), default=0)
    name = min(max(longest, _LEAST_NAME), _MOST_NAME if width >= 100 else _MOST_NAME - 5)
    rest = max(30, width - (3 + name + 1 + 1 + 1 + _COUNT + 1 + _PACE + 1 + _QUIET + 2))
    step = rest * 5 // 16
    fault = max(_LEAST_LAST, rest - rest * 3 // 8 - step)
    return ClassColumns(name, rest - step - fault, step, fault)


def _cell(text: str, room: int) -> str:
    return f"{clipped(text, room):<{room}}"


def heading(at: ClassColumns) -> str:
    """What stands above the columns."""
    title, step, count, pace, quiet, fault = _HEADS
    return (
        f"   {_cell('LEARNER', at.name)} {_cell(title, at.title)} {_cell(step, at.step)} {count:>{_COUNT}} "
        f"{pace:>{_PACE}} {quiet:>{_QUIET}}  {_cell(fault, at.fault)}"
    ).rstrip()


def row(line: LearnerLine, at: ClassColumns, *, marked: bool) -> tuple[str, str]:
    """A learner's line and its style. ``!`` needs help, ``x`` cannot be read, ``>`` is the line under the bar.

    The style's role of colour says it again for who sees colours: due, fault, or muted for who is done or left.
    """
    sign = "x" if line.trouble else "!" if line.waits else " "
    start = f"{'>' if marked else ' '}{sign} {_cell(line.learner, at.name)} "
    role = "fault" if line.trouble else "due bold" if line.waits else "muted" if line.left or _over(line) else ""
    style = f"{role} {'reverse' if marked else ''}".strip()
    if line.where is None:
        room = at.title + at.step + at.fault + _COUNT + _PACE + _QUIET + 6
        return start + clipped(line.trouble or "nothing begun yet", room), style
    title = f"({line.where}) {line.title}" if _over(line) else line.title
    last = _cell(last_words(line, at.fault), at.fault)
    text = (
        f"{start}{_cell(title, at.title)} {_cell(step_words(line), at.step)} {count_words(line):>{_COUNT}} "
        f"{pace_words(line):>{_PACE}} {quiet_words(line.quiet_ms):>{_QUIET}}  {last}"
    )
    return text.rstrip(), style


def _over(line: LearnerLine) -> bool:
    return line.where in ("finished", "given up")


def under(line: LearnerLine, doing: str, at: ClassColumns, width: int) -> tuple[str, str]:
    """A second line for a learner, where there is room: what the one above has no room for."""
    if line.where is None:
        said = line.file
    else:
        title = line.title if len(line.title) > at.title else ""
        past = "" if past_words(line) in last_words(line, at.fault) else past_words(line)
        fault = f"{line.fault} ({line.fault_at})" if line.fault else ""
        doing = "" if line.unit == "rows" and line.target else doing
        said = "; ".join(part for part in (past, fault, title, doing) if part)
        said = line.note or said
    return (" " * (4 + at.name) + clipped(said, max(0, width - at.name - 4))).rstrip(), "dim"


def last_words(line: LearnerLine, room: int) -> str:
    """Who left, why help is needed, what is past the plan, or the last fault, in the fullest words for ``room``."""
    if line.left:
        return "left"
    waits = f"! {line.waits}" if line.waits else ""
    past = (past_words(line), f"{line.past} more than planned", f"{line.past} past plan") if line.past else ()
    said = [f"{waits}, {words}" if waits else words for words in past] + ([waits] if waits else [])
    return next((words for words in said if len(words) <= room), said[-1]) if said else line.fault


def step_words(line: LearnerLine) -> str:
    """The step; its place among the steps where nothing is counted."""
    if not line.step:
        return ""
    return line.step if line.unit else f"{line.step_number}/{line.steps} {line.step}"


def count_words(line: LearnerLine) -> str:
    """Row or pass, and of how many."""
    if line.count is None:
        return ""
    return str(line.count) if line.target is None else f"{line.count}/{line.target}"


def pace_words(line: LearnerLine) -> str:
    """Rows or passes a minute, or that the crank rests."""
    if line.paused:
        return "PAUSED"
    return "" if line.pace is None else f"{line.pace:.0f}/min"


def quiet_words(quiet_ms: int | None) -> str:
    """Since when nothing came, in few letters; empty while it is hardly any time."""
    if quiet_ms is None or quiet_ms < 10_000:
        return ""
    return short_span(quiet_ms)


def headline(lines: Sequence[LearnerLine], clock: str, width: int) -> str:
    """How many there are, and who needs help and why."""
    learners = f"{many(len(lines), 'learner')}"
    waiting = [line for line in lines if line.waits]
    start = f"Class, {clock}   {learners}, "
    if not waiting:
        unread = sum(bool(line.trouble) for line in lines)
        return clipped(f"{start}no one needs help{f', x {unread} cannot be read' if unread else ''}", width)
    start += f"! {len(waiting)} need{'s' * (len(waiting) == 1)} help: "
    whole = start + ", ".join(f"{line.learner} ({line.waits})" for line in waiting)
    return whole if len(whole) <= width else clipped(start + ", ".join(line.learner for line in waiting), width)


def patience_words(patience: Patience) -> str:
    """What "needs help" means, in one line."""
    return (
        f"! needs help: paused or a fault {limit_words(patience.paused_s)}, no row {limit_words(patience.quiet_s)}, "
        f"no step {limit_words(patience.step_s)}"
    )


def more_words(line: LearnerLine, doing: str = "") -> list[str]:
    """What the line has no room for, a sentence each; ``doing``: what the learner's hands do next."""
    if line.trouble:
        return [line.trouble, line.file]
    if line.where is None:
        return ["No session has been begun in this logbook.", line.file]
    past = f"{past_words(line)}. " if line.past else ""
    past = f"Left: the bench is closed. {past}" if line.left else past
    fault = past + (_fault_words(line) or "No fault noted.")
    more = f" {_others(line)}" if line.more else ""
    return [f"{line.title} ({line.where}): {doing}.{more}", *([line.note] if line.note else []), fault]


def plain_line(line: LearnerLine, doing: str = "") -> str:
    """A learner in words that need no columns, all on one line; ``doing``: what the learner's hands do next."""
    if line.where is None:
        return f"{line.learner}: {line.trouble or 'nothing begun yet.'}"
    parts = [f"{line.title}, {line.where}"]
    if doing not in ("", line.where):
        parts[0] += f": {doing}"
    parts += [f"{line.past} more than planned"] if line.past else []
    parts += ["left"] if line.left else ["paused"] if line.paused else []
    quiet = quiet_words(line.quiet_ms)
    if quiet:
        parts.append(f"quiet for {quiet}")
    elif line.pace is not None and not line.paused:
        parts.append(f"{line.pace:.0f} {line.unit} a minute")
    waits = f"needs help ({line.waits}). " if line.waits else ""
    after = (_fault_words(line), _others(line) if line.more else "", line.note)
    return " ".join([f"{line.learner}: {waits}{', '.join(parts)}.", *(said for said in after if said)])


def _fault_words(line: LearnerLine) -> str:
    return f"Noted last: {line.fault} ({line.fault_at})." if line.fault else ""


def _others(line: LearnerLine) -> str:
    return f"{many(line.more, 'other session')} not finished."
