"""One step at a time: what is said of each beside what to do, and the few keys one needs to see."""

from __future__ import annotations

from dataclasses import replace
from operator import attrgetter
from typing import TYPE_CHECKING

from hosewright.session.commands import commands_at
from hosewright.session.reasons import caution_of, reason_of, remedy_keys
from hosewright.session.steps import Confirm, Wait

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from hosewright.session.keys import Command
    from hosewright.session.state import State

_MANUAL = "The manual of your own machine comes first."
# What the foot says while one step is shown at a time; every other key still does what it did, and ? lists them all.
_FIRST_KEYS = (
    "count",
    "judge",
    "take_back",
    "redo",
    "undo_measuring",
    "redo_measuring",
    "vouch",
    "take_reading",
    "finish_measuring",
    "strike_reading",
    "go_on",
    "void",
    "reopen",
    "plan_next",
    "tube_next",
    "twin_next",
    "pause",
    "recount",
    "explain",
    "home",
    "help",
)


def few_commands(commands: Sequence[Command], state: State) -> tuple[Command, ...]:
    """The few of ``commands`` that one needs to see who goes step by step: what goes on, and what rescues.

    One line of them while ``state`` has rows or passes to count: what goes on is said when they are done.
    """
    counting = state.target is not None and state.count < state.target
    few = (c for c in commands if c.does in _FIRST_KEYS and not (counting and c.does == "go_on"))
    return tuple(replace(c, word="all steps") if c.does == "explain" else c for c in few)


def reason_parts(
    state: State, commands: Iterable[Command] | None = None, shown: Callable[[Command], str] = attrgetter("shown")
) -> list[tuple[str, str]]:
    """Why the present step is done, what to look for, what if it goes wrong, what to mind: each with its label.

    A remedy names the key that ``commands`` (by default all on their usual keys) have it on, as ``shown`` writes it.
    """
    if state.abandoned or state.step is None:
        return []
    reason, caution = reason_of(state), caution_of(state)
    if caution and isinstance(state.step, Confirm) and "manual" not in caution:
        caution = f"{caution} {_MANUAL}"
    keys = remedy_keys(commands_at(state) if commands is None else commands, shown)
    parts = [("Why", reason.why), ("Look for", reason.look), ("If not", reason.wrong.format_map(keys))]
    parts = [part for part in parts if part[1]]
    return [*parts, ("Careful", caution)] if caution else parts


def next_words(state: State, go: str) -> str:
    """What comes after a step that is confirmed; ``go`` is the key that confirms it."""
    if not isinstance(state.step, Confirm | Wait) or state.abandoned:
        return ""
    after = state.head.steps[state.index + 1 :]
    return f"{go}, then: {after[0].title}." if after else f"{go}, and that is the end."
