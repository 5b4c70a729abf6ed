"""Each caution is told once an evening, where it can first happen; with needles moved at every pass it stays."""

from __future__ import annotations

import re

import pytest

from hosewright.session.commands import commands_at
from hosewright.session.events import Confirmed, Entry, Event, Judged, Opened, Pressed
from hosewright.session.fold import EVENING_MS, apply
from hosewright.session.reasons import caution_now, caution_of, reason_of, remedy_keys
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Head
from hosewright.session.steps.said import (
    CLAMPED,
    CRANKING,
    FEET_AT_RISK,
    HOOKS,
    PAIN,
    PUT_BACK,
    STIFF,
    TAKEN_OUT,
    TRYING_ON,
    WEIGHTS,
)
from tests.session.test_reasons import PROCEDURES, standings


def told(kind: str) -> list[tuple[str, list[str]]]:
    """Each step of a procedure begun and ended in one evening, and the sentences of caution it shows."""
    what = Head("evening", PROCEDURES[kind][0], PROCEDURES[kind][1], 32, 60)
    found = []
    for index, step in enumerate(what.steps):
        said = caution_now(State(what, index=index))
        found.append((step.id, re.split(r"(?<=[.?]) ", said) if said else []))
    return found


@pytest.mark.parametrize("name", PROCEDURES)
def test_each_caution_is_told_once_and_none_is_missed(name: str) -> None:
    kind, steps = PROCEDURES[name]
    stays = {step.id for step in steps if isinstance(step, CountPasses | DialTrial)}
    shown = told(name)
    once = [sentence for step, said in shown if step not in stays for sentence in said]
    assert len(once) == len(set(once))
    everything = {
        sentence
        for index in range(len(steps))
        for sentence in re.split(r"(?<=[.?]) ", caution_of(State(Head("e", kind, steps, 32, 60), index=index)))
        if sentence
    }
    assert {sentence for _, said in shown for sentence in said} == everything
    for step, said in shown:
        assert bool(said) or step not in stays


@pytest.mark.parametrize("name", ["search", "tube", "sock, none", "string"])
def test_the_first_steps_warn_of_what_they_can_do(name: str) -> None:
    shown = told(name)
    assert CLAMPED in shown[0][1]
    assert HOOKS in dict(shown)["cast-on"]
    assert WEIGHTS in dict(shown)["hang-weights"]
    first = next(
        index for index, step in enumerate(PROCEDURES[name][1]) if isinstance(step, CountRows)
    )  # the first time the crank moves
    assert {CRANKING, STIFF, PAIN} <= set(shown[first][1])


def test_needles_taken_out_are_counted_and_those_put_back() -> None:
    shown = dict(told("sock, mock rib"))
    assert TAKEN_OUT in shown["needles-out"]
    assert PUT_BACK in shown["fill-needles"]


def test_trying_on_warns_of_feet_that_do_not_feel() -> None:
    assert TRYING_ON in dict(told("sock, none"))["try-on"]
    assert "podiatrist or nurse" in FEET_AT_RISK


def test_while_passes_are_cranked_it_stays() -> None:
    shown = dict(told("sock, none"))
    assert any("Move needles only while the crank stands still" in said for said in shown["heel"])
    assert any("hair and fingers" in said for said in shown["heel"])
    assert shown["toe"] == shown["heel"]


def test_once_the_stitch_size_is_found_it_is_of_the_needles_alone() -> None:
    # Nothing is cranked there: the work is drawn down by hand. All of it must fit below the ladder at 80x24.
    what = Head("found", "search", PROCEDURES["search"][1], 28, 60)
    state = State(what, index=next(at for at, step in enumerate(what.steps) if isinstance(step, DialTrial)))
    looks = (Judged("drop", 28), Judged("drop", 26), Judged("stay", 24))
    for log, event in enumerate([one for look in looks for one in (Pressed(), look)], 1):
        apply(state, Entry(log, log * 60_000, 0, 0, event))
    assert state.search.found
    assert caution_now(state) == HOOKS


def test_another_evening_tells_it_again() -> None:
    what = Head("two-evenings", "tube", PROCEDURES["tube"][1], 32, 60)
    state, log = State(what), 0

    def do(event: Event, after_ms: int = 2000) -> None:
        nonlocal log
        log += 1
        apply(state, Entry(log, state.last_ms + after_ms, 0, 0, event))

    do(Opened(), 1_700_000_000_000)
    while state.step is not None and state.step.id != "tube":
        do(Pressed() if isinstance(state.step, CountRows) and state.count < state.step.target else Confirmed())
    assert caution_now(state) == ""  # the separator rows said it
    do(Pressed(), EVENING_MS)
    assert caution_now(state) == ""
    do(Opened(), EVENING_MS + 1)
    assert CRANKING in caution_now(state)
    assert HOOKS not in caution_now(state)


@pytest.mark.parametrize("name", PROCEDURES)
def test_a_remedy_names_keys_that_act(name: str) -> None:
    """Every brace is a command, and one that acts in its step, or after going back as the sentence says."""
    for state in standings(*PROCEDURES[name]):
        reason = reason_of(state)
        commands = commands_at(state)
        here = {command.does for command in commands}
        for does in re.findall(r"\{(\w+)\}", reason.wrong):
            assert does in here or "{step_back}" in reason.wrong, f"{does} does nothing in {state.step}"
        said = reason.wrong.format_map(remedy_keys(commands, lambda command: command.shown))
        assert "{" not in said


def test_who_lost_count_is_told_the_key() -> None:
    what = Head("lost", "tube", PROCEDURES["tube"][1], 32, 60)
    at = [step.id for step in what.steps].index("tube")
    reason = reason_of(State(what, index=at))
    keys = remedy_keys(commands_at(State(what, index=at)), lambda command: command.shown)
    assert "= puts the counter right" in reason.wrong.format_map(keys)
