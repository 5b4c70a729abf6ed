"""What a key is for that does nothing where a session stands."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from hosewright.session.events import Confirmed, Redone, Vouched
from hosewright.session.letters import commands_at
from hosewright.session.rules import refusal
from hosewright.session.state import State, Trial
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Head, Measure

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.session.command import Command
    from hosewright.session.events import Event

# Of these the rules say why they cannot be done now.
_CALLED_FOR: dict[str, Event] = {"vouch": Vouched(), "go_on": Confirmed(), "redo": Redone()}


@cache
def standings() -> tuple[State, ...]:
    """A session at every kind of step, and in every plight that has other commands."""
    from hosewright.session.procedures import search_steps, tube_steps  # on first use: few keys do nothing

    steps = (*search_steps(), *tube_steps(), CountPasses("heel", "Heel", 32, 12))
    head = Head("keys", "sock", steps, 28, 64, 4)
    found: list[State] = []
    for index in range(len(steps) + 1):
        plain = State(head, index=index)
        found += [plain, replace(plain, paused=True), replace(plain, doubted=1)]
    trial = State(head, index=next(n for n, step in enumerate(steps) if step.kind == "trial"))
    found.append(replace(trial, trials=[Trial(28, "stiff", 0)]))
    found.append(replace(trial, trials=[Trial(28, "drop", 1), Trial(26, "stay", 1)]))
    found.append(State(head, abandoned=True))
    found += [replace(state, undone=[()]) for state in found]  # where something can be done again
    return tuple(found)


def what_for(name: str, runs: Callable[[Command], bool], state: State, help_key: str) -> str:
    """A sentence about a key called ``name`` that does nothing at ``state``.

    ``runs``: whether a command is on that key; ``help_key``: the key that explains all of them.
    """
    of_a_string = State(Head("keys", "string", (CountPasses("s1-heel", "Heel", 32, 12),), 28, 64, 4))
    found: dict[str, Command] = {}
    for standing in (*standings(), of_a_string):
        for command in commands_at(standing):
            if runs(command) and command.word not in {known.word for known in found.values()}:
                found.setdefault(_place(standing), command)
    for command in found.values():
        event = _CALLED_FOR.get(command.does)
        if event is not None and (why := refusal(state, event)):
            return f"{name} does nothing in this step. {why}"
    if not found:
        return f"{name} does nothing in this step, so there is nothing to undo; {help_key} says what does."
    told = " and ".join(f"“{command.word}” {place}" for place, command in found.items())
    return f"{name} does nothing in this step: it is {told}."


def _place(state: State) -> str:
    step = state.step
    if state.abandoned:
        return "once a session is given up"
    if step is None:
        return "when all is done"
    if isinstance(step, Measure):
        return "while measuring"
    if isinstance(step, DialTrial):
        return "in the search for the stitch size"
    if isinstance(step, CountRows | CountPasses):
        return "in a string of socks" if state.sock else "while rows or passes are counted"
    return "between the parts"
