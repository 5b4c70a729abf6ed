"""What is undone is as if it had never been done: at every step, however many things, and done again it is back."""

from __future__ import annotations

from dataclasses import dataclass, field
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
from hosewright.session.fold import apply, fold
from hosewright.session.procedures import search_steps, tube_steps
from hosewright.session.rules import refusal
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.session.steps import Head
from tests.helpers import content
from tests.strategies import sessions

if TYPE_CHECKING:
    from collections.abc import Iterable

FAST = Pressed(doubtful=True)
TUBE = Head("tube", "tube", tube_steps(30), 26, 60, 4)
SEARCH = Head("search", "search", search_steps(), 30, 60, 4)


def entries(events: Iterable[Event], seq: int = 1) -> list[Entry]:
    return [Entry(n, n * 1000, 60, n * 1000, event) for n, event in enumerate(events, seq)]


Kept = tuple[dict[str, Any], bool]  # a whole state, and whether it was left by a plain press


@dataclass
class Model:
    """Undoing as it is meant: the state before each thing a person did, kept whole."""

    before: list[Kept] = field(default_factory=list)
    ahead: list[Kept] = field(default_factory=list)
    opened: dict[str, Any] | None = None

    def take(self, state: State, event: Event) -> dict[str, Any] | None:
        """What ``state`` must say after ``event``, which it can take; None where only the fold knows."""
        now = content(state)
        match event:
            case Undone():
                self.opened = None
                return self._turn(self.before, self.ahead, now)
            case Redone():
                return self._turn(self.ahead, self.before, now)
            case Opened() | Paused(auto=True):
                return None
        self.ahead.clear()
        match event:
            case Resumed(cranked=True):
                self.opened = self.opened or now
            case Pressed(doubtful=True):
                pass
            case Doubted() if self.before and self.before[-1][1] and self.opened is None:
                self.before.pop()  # that press was no row
            case _:
                self.before.append((self.opened or now, isinstance(event, Pressed)))
                self.opened = None
        return None

    def _turn(self, here: list[Kept], there: list[Kept], now: dict[str, Any]) -> dict[str, Any]:
        found, press = here.pop()
        there.append((now, press))
        return found


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


@given(sessions())
def test_what_stands_folds_to_the_same_work_by_itself(session: tuple[Head, list[Entry]]) -> None:
    head, log = session
    stands = standing(head, log).entries
    whole, alone = content(fold(head, log)), content(fold(head, stands))
    assert [entry.seq for entry in stands] == sorted({entry.seq for entry in stands})
    assert not any(isinstance(entry.event, Undone | Redone) for entry in stands)
    assert fold(head, stands).ignored == 0
    assert {**alone, "since_ms": 0} == {**whole, "since_ms": 0}
