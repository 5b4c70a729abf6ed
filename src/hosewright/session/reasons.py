"""Why the present step is done, and what to be careful of: all of it for one who learns, else once an evening."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.session.beds import OFF, ribber_at
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, DialTrial, id_in, in_working_yarn, plain_id
from hosewright.session.steps.catalogue import NOTHING, said_in, said_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from hosewright.session.keys import Command
    from hosewright.session.steps.said import Said

# Of commands that a remedy names though they act only in the step it leads to.
_USUAL_KEYS = {"recount": "=", "step_back": "b", "rehang": "r", "take_back": "Backspace", "note": "n"}
_RIBBED = ("leg", "ankle", "foot", "tube")  # that can be ribbed
_SETS_UP_A_CUFF = {"needles-out": "needles-out", "ribber-on": "ribber-on", "ribber-rib": "ribber-on"}


def reason_of(state: State) -> Said:
    """What is said of the present step as it stands; nothing when finished, or of a step of another's making."""
    step = state.step
    if step is None:
        return NOTHING
    if isinstance(step, CountPasses):
        name, when = ("passes", _stage(state, step)) if in_working_yarn(step) else (plain_id(step.id), "")
        return said_in(state.head, id_in(state.sock, name), when=when)
    if isinstance(step, DialTrial):
        return said_of("trial", when="found" if state.search.found else "stopped" if state.search.stopped else "")
    if isinstance(step, CountRows) and step.out_of_work and plain_id(step.id) in _RIBBED:
        return said_in(
            state.head, step.id, when="ladders" if ribber_at(state.head.steps, state.index) == OFF else "ribbed"
        )
    if plain_id(step.id) == "cuff":
        return said_in(state.head, "cuff", when=f"after {_set_up_by(state)}")
    return said_in(state.head, step.id)


def _stage(state: State, step: CountPasses) -> str:
    if state.count >= step.target:
        return "done"
    if state.count == 0 and step is next(
        one for one in state.head.steps if isinstance(one, CountPasses) and in_working_yarn(one)
    ):
        return "first"
    return step.turning.at(state.count + 1).stage


def _set_up_by(state: State) -> str:
    """The step that set the needles of a cuff up; a cuff without one is a rolled edge."""
    for step in reversed(state.head.steps[: state.index]):
        before = plain_id(step.id)
        if before in _SETS_UP_A_CUFF:
            return _SETS_UP_A_CUFF[before]
        if before == "join":
            break
    return ""


def first_pass_words(state: State) -> str:
    """What a pass is, why its sides alternate and what the wrap does, before the first of a session; else empty."""
    step = state.step
    if not isinstance(step, CountPasses) or not in_working_yarn(step) or _stage(state, step) != "first":
        return ""
    return f"{reason_of(state).why} {reason_of(state).look}"


def remedy_keys(commands: Iterable[Command], shown: Callable[[Command], str]) -> dict[str, str]:
    """What fills the braces of ``Said.wrong``: the key of each command, as ``shown`` writes it, on its usual one where
    ``commands`` have it not."""
    return {**_USUAL_KEYS, **{command.does: shown(command) for command in commands}}


# --- cautions ----------------------------------------------------------------------------------------------------


def caution_of(state: State) -> str:
    """Everything there is to be careful of in the present step; empty when nobody can be hurt."""
    return " ".join(reason_of(state).caution)


def caution_now(state: State) -> str:
    """What to be careful of that no step before said this evening.

    While passes are cranked or a stitch size is looked for, all of it stays: there hands go to the needles each time.
    """
    if state.abandoned:
        return ""
    here = reason_of(state).caution
    if not isinstance(state.step, CountPasses | DialTrial):
        before = (reason_of(State(state.head, index=index)) for index in range(state.evening, state.index))
        told = {danger for said in before for danger in said.caution}
        here = tuple(danger for danger in here if danger not in told)
    return " ".join(here)
