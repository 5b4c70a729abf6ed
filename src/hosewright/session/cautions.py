"""What there is to be careful of, step by step: all of it for one who learns, else each caution once an evening."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from hosewright.session.reasons import reason_of
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, DialTrial
from hosewright.session.words import instruction

if TYPE_CHECKING:
    from hosewright.session.steps import Head

_SENTENCE = re.compile(r"(?<=[.?]) ")


def caution_of(state: State) -> str:
    """Everything there is to be careful of in the present step; empty when nobody can be hurt."""
    reason = reason_of(state)
    said = [*_SENTENCE.split(instruction(state).caution), *_SENTENCE.split(reason.caution if reason else "")]
    return " ".join(dict.fromkeys(sentence for sentence in said if sentence))


def caution_now(state: State) -> str:
    """What to be careful of that no step before said this evening.

    While passes are cranked or a stitch size is looked for, all of it stays: there hands go to the needles each time.
    """
    here = caution_of(state)
    if state.abandoned or not here or isinstance(state.step, CountPasses | DialTrial):
        return "" if state.abandoned else here
    said = _said_between(state.head, state.evening, state.index)
    return " ".join(sentence for sentence in _SENTENCE.split(here) if sentence not in said)


def _said_between(head: Head, first: int, last: int) -> set[str]:
    """The sentences that the steps from ``first`` to the one before ``last`` said."""
    steps = (caution_of(State(head, index=index)) for index in range(first, last))
    return {sentence for said in steps for sentence in _SENTENCE.split(said)}
