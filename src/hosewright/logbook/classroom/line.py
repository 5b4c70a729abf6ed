"""Where a learner stands as one line of a class: the screen and a script are told the same."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.session.cues import LATE_ROWS
from hosewright.session.observations import FAULT_WORDS, needle_words, place_words
from hosewright.session.results import where_work_is
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial

if TYPE_CHECKING:
    from hosewright.logbook.classroom.learners import LastSession, Look
    from hosewright.session.events import Fault
    from hosewright.session.results import Where
    from hosewright.session.state import State

_STOP_THE_WORK: frozenset[Fault] = frozenset({"dropped", "fell-off", "yarn-broke", "stiff"})
_STOPPED = {"stiff": "crank stiff", "broke": "yarn broke"}


@dataclass(frozen=True, slots=True)
class Patience:
    """After how many seconds of silence a learner is taken to need help (ours, as a teacher can set them).

    ``paused_s``: a pause, or a fault that stops the work, with no row since; ``quiet_s``: nothing pressed in a part
    that is counted; ``step_s``: a step at the machine that is not said to be done. After ``left_s`` no one needs help
    any more: the machine was left.
    """

    paused_s: int = 60
    quiet_s: int = 180
    step_s: int = 600
    left_s: int = 3600


USUAL_PATIENCE = Patience()


@dataclass(frozen=True, slots=True)
class LearnerLine:
    """One learner. ``trouble`` stands alone when the file cannot be read; without a session all the rest is empty.

    ``count`` and ``target`` are rows or passes by ``unit``. ``pace`` is in those a minute, ``quiet_ms`` since the
    last event. ``fault`` is the last one noted, ``fault_at`` its place; ``waits`` says why help is waited for.
    ``past`` is how many rows or passes the part in hand is past its plan (see ``past_plan``).
    """

    learner: str
    file: str
    trouble: str = ""
    note: str = ""
    session: str = ""
    title: str = ""
    where: Where | Literal["finished", "given up"] | None = None
    step: str = ""
    step_number: int = 0
    steps: int = 0
    unit: Literal["rows", "passes"] | None = None
    count: int | None = None
    target: int | None = None
    pace: float | None = None
    paused: bool = False
    quiet_ms: int | None = None
    fault: str = ""
    fault_at: str = ""
    waits: str = ""
    more: int = 0
    past: int = 0


def line_of(look: Look, now_ms: int, patience: Patience = USUAL_PATIENCE) -> LearnerLine:
    """The line of a learner looked at, at ``now_ms`` of the clock of the one looking."""
    session = look.session
    if session is None:
        return LearnerLine(look.name, str(look.path), look.trouble, look.note)
    state, step = session.state, session.state.step
    seen = next((s for s in reversed(state.observations) if not s.struck and s.fault != "note"), None)
    quiet_ms = max(0, now_ms - session.seen_ms)
    turned = isinstance(step, CountPasses)
    counted = isinstance(step, CountRows | CountPasses | DialTrial) and not state.abandoned
    return LearnerLine(
        learner=look.name,
        file=str(look.path),
        note=look.note,
        session=session.record.id,
        title=session.record.title,
        where=_where(state),
        step=step.title if step else "",
        step_number=min(state.index + 1, len(state.head.steps)),
        steps=len(state.head.steps),
        unit=("passes" if turned else "rows") if counted else None,
        count=state.count if counted else None,
        target=state.target if counted else None,
        pace=_pace(session, turned=turned) if counted else None,
        paused=state.paused,
        quiet_ms=quiet_ms,
        fault=FAULT_WORDS[seen.fault] if seen else "",
        fault_at=place_words(state, seen) + needle_words(seen) if seen else "",
        waits=waits_for_help(state, quiet_ms, patience),
        more=session.more,
        past=past_plan(state),
    )


def _pace(session: LastSession, *, turned: bool) -> float | None:
    pace = session.paces.of(passes=turned)
    return None if pace.now_per_minute is None else round(pace.now_per_minute, 1)


def _where(state: State) -> Where | Literal["finished", "given up"]:
    if state.status == "finished":
        return "finished"
    if state.status == "abandoned":
        return "given up"
    return where_work_is(state)


def past_plan(state: State) -> int:
    """How many rows or passes the part in hand is past its plan, once that is to be told; 0 until then.

    One pass is told at once, since the carrier may stand at the wrong end. Rows only add up: they are told once they
    are more than ``LATE_ROWS``, as long as the bench itself still calls for what was due.
    """
    if state.abandoned or state.target is None:
        return 0
    past = state.count - state.target
    return past if past > (0 if isinstance(state.step, CountPasses) else LATE_ROWS) else 0


def past_words(line: LearnerLine) -> str:
    """What is past the plan, in the bench's words: "12 rows more than planned". Empty where nothing is told."""
    if not line.past:
        return ""
    unit = line.unit if line.past > 1 else {"rows": "row", "passes": "pass"}[line.unit or "rows"]
    return f"{line.past} {unit} more than planned"


def waits_for_help(state: State, quiet_ms: int, patience: Patience = USUAL_PATIENCE) -> str:
    """Why the learner is taken to need help after ``quiet_ms`` without an event; empty when not."""
    step = state.step
    quiet_s = quiet_ms / 1000
    if state.abandoned or step is None or quiet_s >= patience.left_s:
        return ""
    if state.paused and quiet_s >= patience.paused_s:
        return "paused"
    if not isinstance(step, CountRows | CountPasses | DialTrial):
        at_the_machine = isinstance(step, Confirm) and where_work_is(state) == "on the machine"
        return "no step" if at_the_machine and quiet_s >= patience.step_s else ""
    if isinstance(step, DialTrial) and state.search.stopped:
        return _STOPPED.get(state.search.why, "search stopped")
    if quiet_s >= patience.paused_s and (fault := _fault_since_the_last_row(state)):
        return fault
    return "no row" if quiet_s >= patience.quiet_s else ""


def _fault_since_the_last_row(state: State) -> str:
    here = [s for s in state.observations if not s.struck and (s.step, s.count) == (state.index, state.count)]
    return next((FAULT_WORDS[s.fault] for s in reversed(here) if s.fault in _STOP_THE_WORK), "")
