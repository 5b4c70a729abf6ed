"""Which commands there are where a session stands, and how a key is written."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.session.commands import FAULT_KEYS, commands_at, typed_as
from hosewright.session.events import Abandoned, Confirmed, Judged, Paused, Pressed, ReadOff, Spoilt, Undone
from hosewright.session.keys import USUAL_KEYS, Keymap, shown_key
from tests.helpers import folded, head, rows, to_step

if TYPE_CHECKING:
    from hosewright.session.state import State

SOCK, TUBE, SEARCH, STRING = head("sock"), head("tube"), head("search"), head("string")
TRIAL = to_step(SEARCH, "trial")
FOUND = [*TRIAL, Pressed(), Judged("drop", 26), Pressed(), Judged("stay", 24)]
LEG = [*to_step(SOCK, "leg"), *rows(3)]


def words_at(state: State, missing: int | None = None) -> dict[str, str]:
    """The commands by what they do, each with its word. Of several that do the same, the first."""
    return {command.does: command.word for command in reversed(commands_at(state, missing))}


@pytest.mark.parametrize("state", [folded(SOCK, *LEG), folded(SEARCH, *TRIAL)], ids=["leg", "trial"])
def test_rows_that_may_be_missing_are_offered_by_their_number(state: State) -> None:
    assert words_at(state, 2)["missing"] == "count 2 missing"
    assert words_at(state, 0)["missing"] == "count missing"
    assert "missing" not in words_at(state)


@pytest.mark.parametrize(
    ("state", "there", "not_there"),
    [
        (folded(SOCK, *LEG), "count recount rehang pause observe", "vouch redo spoil judge take_reading"),
        (folded(SOCK, *LEG, Pressed(doubtful=True)), "vouch count", "redo"),
        (folded(SOCK, *LEG, Undone()), "redo take_back", "vouch"),
        (folded(SOCK), "go_on take_back step_back", "count strike spoil"),
        (folded(SEARCH, *TRIAL), "count judge", "vouch go_on observe"),
        (folded(SEARCH, *TRIAL, Pressed(), Pressed(doubtful=True)), "vouch", "go_on"),
        (folded(SEARCH, *TRIAL, Judged("stiff", 26)), "take_back step_back", "count judge go_on"),
        (folded(SEARCH, *FOUND), "go_on", "count"),
        (folded(SEARCH, *FOUND, Confirmed(), Confirmed()), "judge count observe", "spoil"),
        (folded(TUBE, *to_step(TUBE, "after-wash")), "take_reading finish_measuring", "redo_measuring count"),
        (
            folded(TUBE, *to_step(TUBE, "after-wash"), ReadOff("length", 148), Undone()),
            "redo_measuring undo_measuring",
            "redo",
        ),
        (folded(STRING, *to_step(STRING, "s1-leg")), "spoil leave_out", "reopen"),
        (folded(STRING, *to_step(STRING, "s1-leg"), Spoilt("moth")), "go_on take_back strike", "reopen"),
        (folded(SOCK, *LEG, Abandoned()), "reopen take_back", "count"),
        (folded(SOCK, *to_step(SOCK, SOCK.steps[-1].id), Confirmed()), "home step_back", "count go_on"),
    ],
)
def test_what_can_be_done_there(state: State, there: str, not_there: str) -> None:
    offered = set(words_at(state))
    assert set(there.split()) <= offered
    assert not set(not_there.split()) & offered


def test_a_rest_is_begun_and_ended_by_the_same_key() -> None:
    assert words_at(folded(SOCK, *LEG))["pause"] == "pause"
    assert words_at(folded(SOCK, *LEG, Paused()))["pause"] == "end pause"


def test_a_fault_that_is_a_verdict_while_proving_has_one_key() -> None:
    proving = commands_at(folded(SEARCH, *FOUND, Confirmed(), Confirmed()))
    seen = {command.argument for command in proving if command.does == "observe"}
    assert set(FAULT_KEYS.values()) - seen == {"stayed-up", "stiff", "yarn-broke"}
    cranking = commands_at(folded(SOCK, *LEG))
    assert {command.argument for command in cranking if command.does == "observe"} == set(FAULT_KEYS.values())
    keys = [command.key for command in proving]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize(
    ("key", "shown"),
    [
        ("ctrl+s", "Ctrl+S"),
        ("escape", "Esc"),
        ("space", "Space"),
        ("question_mark", "?"),
        ("c", "c"),
        ("f1", "F1"),
        ("left_square_bracket", "Left square bracket"),
    ],
)
def test_how_a_key_is_written(key: str, shown: str) -> None:
    assert shown_key(key) == shown


def test_keys_that_count_and_a_command_that_was_moved() -> None:
    count, rest = (next(c for c in commands_at(folded(SOCK, *LEG)) if c.does == does) for does in ("count", "pause"))
    keymap = Keymap(("space", "f13", "plus"), (("pause", "f4"),))
    assert (keymap.place(count).keys, keymap.place(count).shown) == (("space", "f13", "plus"), "Space/F13/Plus")
    assert (keymap.place(rest).keys, keymap.place(rest).shown) == (("f4",), "F4")
    assert USUAL_KEYS.place(rest) == rest


def test_what_is_typed_for_a_command_in_whole_lines() -> None:
    typed = {command.does: typed_as(command) for command in commands_at(folded(SOCK, *LEG))}
    assert (typed["count"], typed["go_on"], typed["take_back"], typed["pause"]) == ("", "ok", "-", "p")
    assert typed["quiet"] == "quiet"
    measuring = {c.does: typed_as(c) for c in commands_at(folded(TUBE, *to_step(TUBE, "after-wash")))}
    assert (measuring["take_reading"], measuring["finish_measuring"]) == ("m", "ok")
