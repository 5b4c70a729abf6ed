"""Stitches of working yarn really cranked, by the sock they belong to: what yarn is shared out by."""

from __future__ import annotations

from itertools import accumulate
from typing import TYPE_CHECKING

from hosewright.session.steps import CountPasses, CountRows, DialTrial, sock_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.state import State
    from hosewright.session.steps import Head, Step

Sock = tuple[int, int]  # its place in a string and how often that was begun; (0, 1) for the one work of a session


def stitches(state: State) -> dict[Sock, int]:
    """Stitches of working yarn so far, spoilt socks of a string apart."""
    head = state.head
    if head.kind != "string":
        tried = sum(trial.rows for trial in state.trials) * head.slots
        return {(0, 1): tried + _of_steps(head, range(len(head.steps)), state.counts)}
    found: dict[Sock, int] = {}
    for sock in range(1, max(sock_of(step.id) for step in head.steps) + 1):
        span = state.span_of(sock)
        spoils = [spoil for spoil in state.spoils if spoil.sock == sock]
        for attempt, spoil in enumerate(spoils, 1):
            found[sock, attempt] = _of_steps(head, span, spoil.counts)
        if not spoils or spoils[-1].again:
            found[sock, len(spoils) + 1] = _of_steps(head, span, [state.counts[i] for i in span])
    return found


def present_sock(state: State) -> Sock:
    """The sock of a string that is on the machine now."""
    sock = sock_of(state.step.id) if state.step else 0
    return sock, 1 + sum(spoil.sock == sock for spoil in state.spoils)


def stitches_planned(head: Head, sock: int) -> int:
    """Stitches of working yarn in the whole of a sock of a string; ``sock`` 0 is the one work of a session."""
    span = [at for at, step in enumerate(head.steps) if sock_of(step.id) == sock]
    return _of_steps(head, span, [getattr(head.steps[at], "target", 0) for at in span])


def is_cranked(state: State, sock: int) -> bool:
    """Whether all the working yarn of a sock is in it: what follows takes none."""
    head = state.head
    takes = [at for at, step in enumerate(head.steps) if sock_of(step.id) == sock and _takes_yarn(step)]
    return bool(takes) and state.index > takes[-1]


def _takes_yarn(step: Step) -> bool:
    return isinstance(step, CountPasses) or (isinstance(step, CountRows) and step.yarn == "working")


def _of_steps(head: Head, span: Iterable[int], counts: Iterable[int]) -> int:
    done = 0
    for at, count in zip(span, counts, strict=True):
        step = head.steps[at]
        if isinstance(step, CountPasses):
            done += _of_passes(step, count)
        elif isinstance(step, DialTrial):
            done += count * head.slots
        elif isinstance(step, CountRows) and step.yarn == "working":
            done += count * (head.slots - len(step.out_of_work))
    return done


def _of_passes(step: CountPasses, count: int) -> int:
    by_pass = [0, *accumulate(len(one.in_work) for one in step.turning.passes())]
    return by_pass[min(max(count, 0), len(by_pass) - 1)]
