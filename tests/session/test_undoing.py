"""What is undone is as if it had never been done: at every step, however many things, and done again it is back."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any

from hypothesis import given
from hypothesis import strategies as st

from hosewright.session.events import (
    Doubted,
    Entry,
    Event,
    Opened,
    Paused,
    Pressed,
    Redone,
    Resumed,
    Undone,
)
from hosewright.session.fold import apply
from hosewright.session.procedures import search_steps, tube_steps
from hosewright.session.rules import refusal
from hosewright.session.state import State
from hosewright.session.steps import Head
from tests.strategies import sessions, way_to

if TYPE_CHECKING:
    from collections.abc import Iterable

FAST = Pressed(doubtful=True)
TUBE = Head("tube", "tube", tube_steps(30), 26, 60, 4)
SEARCH = Head("search", "search", search_steps(), 30, 60, 4)
ROUTINE = {"done", "run", "undone", "ignored", "last_ms", "last_seq"}


def content(state: State) -> dict[str, Any]:
    """All that a state says of the work, apart from how far it can be undone."""
    kept = state.copy()
    kept.counts = list(state.counts)
    return {f.name: getattr(kept, f.name) for f in fields(kept) if f.name not in ROUTINE}


def entries(events: Iterable[Event], seq: int = 1) -> list[Entry]:
    return [Entry(n, n * 1000, 60, n * 1000, event) for n, event in enumerate(events, seq)]


def at(head: Head, step_id: str) -> list[Event]:
    """The way to a step."""
    return way_to(head, next(n for n, step in enumerate(head.steps) if step.id == step_id))


@dataclass
class Model:
    """Undoing as it is meant: the state before each thing a person did, kept whole."""

    before: list[dict[str, Any]] = field(default_factory=list)
    ahead: list[dict[str, Any]] = field(default_factory=list)
    opened: dict[str, Any] | None = None
    doubtful: bool = False  # nothing came since a row but presses that were too fast

    def take(self, state: State, event: Event) -> dict[str, Any] | None:
        """What ``state`` must say after ``event``, which it can take; None where only the fold knows."""
        now = content(state)
        match event:
            case Undone():
                self.opened, self.doubtful = None, False
                self.ahead.append(now)
                return self.before.pop()
            case Redone():
                self.before.append(now)
                return self.ahead.pop()
            case Opened() | Paused(auto=True):
                return None
        self.ahead.clear()
        match event:
            case Resumed(cranked=True):
                self.opened = self.opened or now
            case Pressed(doubtful=True):
                pass
            case Doubted() if self.doubtful:
                self.before.pop()
            case _:
                self.before.append(self.opened or now)
                self.opened = None
        self.doubtful = isinstance(event, Pressed) and (self.doubtful or not event.doubtful)
        return None


def walk(head: Head, log: list[Entry]) -> State:
    """Fold ``log``, and compare with the model at every event."""
    state, model = State(head), Model()
    for entry in log:
        if refusal(state, entry.event) is not None:
            apply(state, entry)
            continue
        expected = model.take(state, entry.event)
        apply(state, entry)
        assert expected is None or content(state) == expected
        assert bool(model.ahead) == bool(state.undone)
    return state


@given(sessions(), st.integers(0, 40), st.integers(0, 40))
def test_things_done_and_undone_give_the_state_before_and_done_again_the_state_after(
    session: tuple[Head, list[Entry]], undone: int, redone: int
) -> None:
    head, log = session
    more: list[Event] = [*[Undone()] * undone, *[Redone()] * redone]
    walk(head, [*log, *entries(more, len(log) + 1)])
