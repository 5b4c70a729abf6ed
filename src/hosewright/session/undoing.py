"""Undoing: what each thing done changed is kept beside it, so that it can be put back, and done again.

A *deed* is one thing a person did: a row, a verdict, an observation, a confirmation. It is undone whole, with what came
along with it: the pause that a row ended, the presses behind it that came too fast to be rows. What nobody did (the
bench was opened, the crank stood still) is no deed of its own and goes with the one before it.

A plain press changes nothing but its count, so a run of them is a number. Of any other deed the old values are kept
that it changed, never the whole state: undoing n things takes time and room in proportion to what they changed.
"""

from __future__ import annotations

from dataclasses import fields, replace
from operator import attrgetter
from typing import Any, Literal, NamedTuple

from hosewright.session.events import Doubted, Event, Opened, Paused, Pressed, Resumed
from hosewright.session.state import Deed, Edit, State, Stretched

_LISTS: tuple[Stretched, ...] = ("trials", "readings", "observations", "spoils")
_NOT_UNDONE = {"head", "counts", *_LISTS, "evening", "last_ms", "last_seq", "ignored", "done", "run", "undone"}
_NAMES = tuple(f.name for f in fields(State) if f.name not in _NOT_UNDONE)
_values = attrgetter(*_NAMES)
_PRESS = Pressed()


class Before(NamedTuple):
    """A state before an event: enough to see what the event changed."""

    values: tuple[Any, ...]
    counts: list[int]
    lists: tuple[tuple[list[Any], int], ...]


def before(state: State) -> Before:
    """What ``remember`` needs to know of the state an event finds."""
    return Before(_values(state), state.counts[:], tuple((found := getattr(state, of), len(found)) for of in _LISTS))


def values_before(deed: Deed) -> dict[str, Any]:
    """The single values of a state as they were before ``deed``, by their names."""
    return dict(zip(_NAMES, deed.values, strict=True))


Part = Literal["deed", "opens", "aside", "doubts"]


def part_of(state: State, event: Event) -> Part:
    """What ``event`` is for undoing, where ``state`` stands before it: a deed, or what goes with one.

    "opens" goes with the deed after it, "aside" with the one before it. "doubts" says that the press done last was no
    row but a held key, so that it, too, goes with the deed before.
    """
    match event:
        case Opened() | Paused(auto=True) | Pressed(doubtful=True):
            return "aside"
        case Resumed(cranked=True):
            return "opens"
        case Doubted():
            last = _last_kept(state)
            return "doubts" if last is not None and last.event == _PRESS else "deed"
        case _:
            return "deed"


def remember(state: State, event: Event, was: Before) -> None:
    """Keep what ``event`` changed, which has just been taken into ``state``; what was undone is not done again now."""
    part = part_of(state, event)
    if not isinstance(event, Opened | Paused) or part == "deed":
        state.undone.clear()
    if part == "aside":
        if state.run and was.values != _values(state):
            _single_out(state, was.values, was.counts[state.index])
    elif part == "doubts":
        _fold_in(state)
    elif part == "deed" or not _opened(state):
        _push(state, Deed(event, was.values, _edits(state, was), opens=part == "opens"))


def _last_kept(state: State) -> Deed | None:
    """The deed kept last; None where a plain press came after it, or nothing was done."""
    last = None if state.run or not state.done else state.done[-1]
    assert not isinstance(last, int)  # a run of presses is taken back into ``run`` as soon as it comes last
    return last


def _opened(state: State) -> bool:
    """Whether the last thing kept waits for a deed to go with."""
    last = _last_kept(state)
    return last is not None and last.opens


def _plain(values: tuple[Any, ...], count: int) -> Deed:
    """A plain press as a deed; after it a state had ``values`` and ``count`` in its step."""
    known = dict(zip(_NAMES, values, strict=True))
    known["presses"] -= 1
    at = known["index"]
    return Deed(_PRESS, tuple(known.values()), (Edit("counts", at, at + 1, (count - 1,)),))


def _single_out(state: State, values: tuple[Any, ...], count: int) -> None:
    """Keep the last plain press as a deed, so that what came along with it is undone, too."""
    state.run -= 1
    _push(state, _plain(values, count))


def _fold_in(state: State) -> None:
    """The press done last goes with the deed before it."""
    press = _pop(state)
    if state.run:
        (counted,) = press.edits
        _single_out(state, press.values, *counted.items)


def _push(state: State, deed: Deed) -> None:
    if state.run:
        state.done.append(state.run)
        state.run = 0
    state.done.append(deed)


def _pop(state: State) -> Deed:
    deed = state.done.pop()
    assert isinstance(deed, Deed)
    if state.done and isinstance(run := state.done[-1], int):
        state.run = run
        del state.done[-1]
    return deed


def _edits(state: State, was: Before) -> tuple[Edit, ...]:
    """What an event changed in the lists, by how they were before."""
    edits = []
    if was.counts != state.counts:
        edits.append(_stretch("counts", was.counts, state.counts))
    for of, (old, length) in zip(_LISTS, was.lists, strict=True):
        new = getattr(state, of)
        if new is not old:
            edits.append(_stretch(of, old, new))
        elif len(new) > length:
            edits.append(Edit(of, length, len(new), ()))
    return tuple(edits)


def _stretch(of: Stretched, old: list[Any], new: list[Any]) -> Edit:
    """From the first place where two lists differ to the last."""
    short = min(len(old), len(new))
    start = next((at for at in range(short) if not _same(old[at], new[at])), short)
    alike = next((n for n in range(short - start) if not _same(old[-1 - n], new[-1 - n])), short - start)
    return Edit(of, start, len(new) - alike, tuple(old[start : len(old) - alike]))


def _same(one: object, other: object) -> bool:
    return one is other or one == other


# --- undoing, and doing again ----------------------------------------------------------------------------------


def last_done(state: State) -> Deed | None:
    """The thing that ``undo`` would undo; None where there is none."""
    if state.run:
        return _plain(_values(state), state.count)
    last = _last_kept(state)
    if last is None or not last.opens:
        return last
    below = state.done[-2] if len(state.done) > 1 else None
    return _plain(last.values, state.count) if isinstance(below, int) else below


def undo(state: State) -> None:
    """Put back what the last deed changed, and what came along with it. There must be one (see ``last_done``)."""
    group = [_take_off(state)]
    if group[0].opens:
        group.append(_take_off(state))  # it was still waiting for its deed
    if _opened(state):
        group.append(_take_off(state))
    state.undone.append(tuple(reversed(group)))


def do_again(state: State) -> None:
    """Do again what was undone last. There must be something (see ``State.undone``)."""
    for deed in state.undone.pop():
        _push(state, _swapped(state, deed))


def _take_off(state: State) -> Deed:
    if state.run:
        _single_out(state, _values(state), state.count)
    return _swapped(state, _pop(state))


def _swapped(state: State, deed: Deed) -> Deed:
    """Put what ``deed`` keeps into the state, and keep what stood there."""
    values, edits = _values(state), []
    for of, start, stop, items in deed.edits:
        found = getattr(state, of)
        edits.append(Edit(of, start, start + len(items), tuple(found[start:stop])))
        found[start:stop] = items
    for name, value in zip(_NAMES, deed.values, strict=True):
        setattr(state, name, value)
    return replace(deed, values=values, edits=tuple(edits))
