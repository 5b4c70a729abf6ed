"""Searches begun before the rule was frozen into their steps keep what they found."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hosewright.session.events import Confirmed, Event, Judged, Pressed
from hosewright.session.procedures import search_steps
from hosewright.session.steps import DialTrial, Head
from tests.helpers import folded, rows, to_step


def _begun_before(clicks_per_turn: int) -> Head:
    """A search begun before the rule was frozen into its steps."""
    steps = tuple(DialTrial(s.id, s.title) if isinstance(s, DialTrial) else s for s in search_steps())
    return Head("old", "search", steps, 32, 60, clicks_per_turn)


@pytest.mark.parametrize(
    ("clicks_per_turn", "looks", "baseline", "today"),
    [
        (4, "28:drop 26:drop 24:stay", 28, 28),
        (4, "32:stay 36:drop 34:drop 32:drop 32:stay", 36, 36),
        (4, "32:stay 36:drop 34:drop 32:drop 32:drop 30:stay", 34, 36),
        (3, "10:stay 13:drop 12:drop 11:stay", 14, 13),
    ],
)
def test_a_search_of_an_older_logbook_keeps_what_it_found(
    clicks_per_turn: int, looks: str, baseline: int, today: int
) -> None:
    happened: list[Event] = []
    for look in looks.split():
        clicks, verdict = look.split(":")
        happened += [Pressed(), Judged(verdict, int(clicks))]  # type: ignore[arg-type]
    rest = [Confirmed(), Confirmed(), *rows(10), Confirmed()]
    old = _begun_before(clicks_per_turn)
    state = folded(old, *to_step(old, "trial"), *happened, *rest)
    assert (state.status, state.baseline, state.dial, state.ignored) == ("finished", baseline, baseline, 0)
    new = replace(old, steps=search_steps())
    assert folded(new, *to_step(new, "trial"), *happened).baseline == today


def test_a_search_of_an_older_logbook_that_stands_at_its_dead_end_still_opens() -> None:
    old = _begun_before(4)
    at_trial = to_step(old, "trial")
    state = folded(old, *at_trial, Pressed(), Judged("stay", 32), Pressed(), Judged("stay", 36))
    assert (state.search.stopped, state.search.position, state.ignored) == (True, 36, 0)
    assert "Stop here" in state.search.advice
