"""The socks of a string, one by one: which are cranked, which is on the machine, which were spoilt and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hosewright.session.steps import CountPasses, CountRows, sock_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.state import State

Standing = Literal["ahead", "on the machine", "cranked", "spoilt"]


@dataclass(frozen=True, slots=True)
class StringSock:
    """One sock that was, or is to be, cranked. A spoilt one is a sock of its own, with its ``reason``.

    ``number`` is its place in the string and ``attempt`` how often that place was begun. ``rows`` and ``passes`` are
    those cranked in working yarn.
    """

    number: int
    attempt: int
    standing: Standing
    rows: int
    passes: int
    reason: str = ""


def socks_of(state: State) -> tuple[StringSock, ...]:
    """Every sock of a string in the order of their places, spoilt ones before what replaced them."""
    found = []
    for number in range(1, max((sock_of(step.id) for step in state.head.steps), default=0) + 1):
        span = state.span_of(number)
        spoils = [spoil for spoil in state.spoils if spoil.sock == number]
        for attempt, spoil in enumerate(spoils, 1):
            found.append(
                StringSock(number, attempt, "spoilt", *_cranked(state, span, spoil.counts), reason=spoil.reason)
            )
        if not spoils or spoils[-1].again:
            counts = [state.counts[i] for i in span]
            standing: Standing = "ahead" if state.index < span.start else "on the machine"
            if state.index >= span.stop:
                standing = "cranked"
            found.append(StringSock(number, len(spoils) + 1, standing, *_cranked(state, span, counts)))
    return tuple(found)


def _cranked(state: State, span: range, counts: Iterable[int]) -> tuple[int, int]:
    rows = passes = 0
    for at, count in zip(span, counts, strict=True):
        step = state.head.steps[at]
        if isinstance(step, CountPasses):
            passes += count
        elif isinstance(step, CountRows) and step.yarn == "working":
            rows += count
    return rows, passes
