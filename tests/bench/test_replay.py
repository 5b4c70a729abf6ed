"""A session played again, step by step, is the session."""

from __future__ import annotations

from dataclasses import MISSING, fields
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hosewright.counting.replay import LONGEST_GAP_MS, Recording
from hosewright.logbook.travel.session_files import read
from hosewright.session import events as ev
from hosewright.session.event_words import event_words
from hosewright.session.fold import fold
from hosewright.session.state import State
from tests.make_samples import FOLDER
from tests.strategies import sessions

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.session.events import Entry
    from hosewright.session.steps import Head
from tests.bench.test_looking_back import SAMPLES


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
@given(places=st.lists(st.integers(-5, 400), min_size=1, max_size=6))
def test_wound_anywhere_it_is_the_fold_of_what_came_before(path: Path, places: list[int]) -> None:
    sample = read(path)
    entries = sample.entries()
    recording = Recording(sample.session.head, entries)
    for place in places:
        recording.wind(place)
        assert recording.at == min(max(place, 0), len(entries))
        assert recording.state == fold(sample.session.head, entries[: recording.at])


def test_happenings_are_gone_to_one_by_one_and_back() -> None:
    sample = read(FOLDER / "03-coxswain-first-sock.json")
    recording = Recording(sample.session.head, sample.entries())
    places = []
    while not recording.done:
        recording.wind(recording.next_happening())
        places.append(recording.at)
    plain = [entry.seq for entry in sample.entries() if not isinstance(entry.event, ev.Pressed)]
    assert places == plain
    back = []
    while recording.at:
        recording.wind(recording.last_happening())
        back.append(recording.at)
    assert back == [*reversed(plain[:-1]), 0]


def _turned(recording: Recording, *, sock: bool = False) -> list[str]:
    found = []
    while not recording.done:
        recording.turn_to(1, sock=sock)
        found.append(recording.state.step.title if recording.state.step else "")
    return found


def test_parts_and_socks_are_gone_to_where_they_were_begun() -> None:
    sample = read(FOLDER / "03-coxswain-first-sock.json")
    recording = Recording(sample.session.head, sample.entries())
    parts = ["Separator before", "Hem", "Leg", "Heel", "Foot", "Toe", "Separator after", "Try it on", ""]
    assert _turned(recording) == parts
    recording.wind(70)  # within the leg: back to its beginning first, then to the hem's
    for title in ("Leg", "Hem"):
        recording.turn_to(-1)
        assert recording.state.step is not None
        assert recording.state.step.title == title
        assert recording.state.count == 0
    sample = read(FOLDER / "15-string-of-six.json")
    recording = Recording(sample.session.head, sample.entries())
    socks = _turned(recording, sock=True)
    assert socks[:6] == [f"Thread separator yarn, sock {n}" for n in range(1, 7)]
    recording.turn_to(-1, sock=True)
    assert recording.state.sock == 6


def test_a_phone_call_is_not_waited_through_again() -> None:
    sample = read(FOLDER / "03-coxswain-first-sock.json")
    recording = Recording(sample.session.head, sample.entries())
    gaps = []
    while not recording.done:
        recording.wind(recording.at + 1)
        gaps.append(recording.gap_ms())
    assert max(gaps) == LONGEST_GAP_MS
    assert min(gaps) == gaps[-1] == 0


@given(sessions())
def test_whatever_is_stored_can_be_told(session: tuple[Head, list[Entry]]) -> None:
    recording = Recording(*session)
    recording.wind(len(session[1]))
    told = recording.told(1000)
    assert len(told) == sum(not isinstance(e.event, ev.Pressed) or e.event.doubtful for e in session[1])
    assert all(words for _, words in told)


def test_what_is_told_names_its_step() -> None:
    sample = read(FOLDER / "03-coxswain-first-sock.json")
    recording = Recording(sample.session.head, sample.entries())
    recording.wind(len(sample.entries()))
    told = [words for _, words in recording.told(100)]
    assert "Leg: work fell off: buckle caught the bench" in told
    assert "Foot: counter set to 38: counted by the rows under the heel" in told
    assert "Try it on: Round the foot: right" in told
    assert len(recording.told(3)) == 3


@pytest.mark.parametrize(
    ("event", "words"),
    [
        (ev.Amended(5, 9, "by the seam"), "more on what was seen, needle 9: by the seam"),
        (ev.Amended(5, 0, fault="tuck"), "it was: tuck, needle not known"),
        (ev.Spoilt("laddered"), "sock spoilt, cranked again: laddered"),
        (ev.Spoilt("laddered", again=False), "sock spoilt, on to the next: laddered"),
    ],
)
def test_what_was_put_right_is_told_in_words(event: ev.Event, words: str) -> None:
    head = read(SAMPLES[0]).session.head
    assert event_words(event, State(head)).whole == words


def test_no_event_is_told_by_its_tag_alone() -> None:
    state = State(read(SAMPLES[0]).session.head)
    given: dict[str, Any] = {
        "step": "trial",
        "count": 1,
        "clicks": 30,
        "verdict": "drop",
        "seq": 1,
        "reason": "",
        "fault": "tuck",
    }
    given |= {"field": "length", "value": 1.0, "what": "title"}
    for kind in ev.EVENT_TYPES:
        named = [f.name for f in fields(kind) if f.default is MISSING]
        event = kind(**{name: given[name] for name in named})
        assert event_words(event, state).words not in ("", event.kind)
