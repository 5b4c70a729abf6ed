"""Whatever happens, in whatever order, the fold gives one sound state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from hosewright.session.events import TookBack, Undone
from hosewright.session.fold import apply, fold
from hosewright.session.pace import Pace
from hosewright.session.rules import MOST_ROWS, refusal
from hosewright.session.words import instruction, now_words
from tests.strategies import logs, sessions

if TYPE_CHECKING:
    from hosewright.session.events import Entry
    from hosewright.session.steps import Head

    Session = tuple[Head, list[Entry]]


@given(sessions())
def test_folding_twice_gives_equal_states(session: Session) -> None:
    head, log = session
    assert fold(head, log) == fold(head, log)


@given(sessions(), st.data())
def test_a_beginning_and_then_the_rest_is_the_whole(session: Session, data: st.DataObject) -> None:
    head, log = session
    cut = data.draw(st.integers(0, len(log)))
    state = fold(head, log[:cut])
    for entry in log[cut:]:
        apply(state, entry)
    assert state == fold(head, log)


@given(sessions())
def test_every_standing_on_the_way_is_sound(session: Session) -> None:
    head, log = session
    state = fold(head, [])
    for entry in log:
        apply(state, entry)
        assert 0 <= state.index <= len(head.steps)
        assert all(0 <= count <= MOST_ROWS for count in state.counts)
        assert len(state.counts) == len(head.steps)
        assert state.dial >= 0
        assert state.search.position >= 0
        assert state.ignored <= state.last_seq == entry.seq
        assert not (state.paused and state.abandoned)
        assert state.status in ("open", "waiting", "finished", "abandoned")


@given(sessions())
def test_refusal_and_the_fold_agree(session: Session) -> None:
    head, log = session
    state = fold(head, [])
    for entry in log:
        before, why = state.copy(), refusal(state, entry.event)
        apply(state, entry)
        assert (why is None) == (state.ignored == before.ignored)
        if why is None:
            continue
        assert why.strip()
        before.ignored += 1
        before.last_seq, before.last_ms = entry.seq, before.last_ms if before.over else entry.at_ms
        assert state == before


@given(sessions())
def test_there_is_always_something_to_say(session: Session) -> None:
    head, log = session
    state = fold(head, log)
    assert now_words(state)
    assert instruction(state)


@given(logs())
def test_a_pace_is_never_zero_nor_negative(log: list[Entry]) -> None:
    pace = Pace()
    for entry in log:
        pace.take(entry)
    assert all(gap > 0 for gap in pace.gaps_ms)
    assert pace.per_minute is None or pace.per_minute > 0


@given(sessions())
def test_nothing_but_undoing_ever_removes_a_reading_an_observation_or_a_trial(session: Session) -> None:
    head, log = session
    state, most = fold(head, []), (0, 0, 0)
    for entry in log:
        apply(state, entry)
        now = (len(state.readings), len(state.observations), len(state.trials))
        assert isinstance(entry.event, Undone | TookBack) or all(n >= m for n, m in zip(now, most, strict=True))
        most = now
