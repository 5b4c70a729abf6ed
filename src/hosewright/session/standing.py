"""Which entries of a session stand: those that happened, without what was undone and the undoing itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import chain
from operator import attrgetter
from typing import TYPE_CHECKING, NamedTuple

from hosewright.session.events import Opened, Paused, Redone, Undone
from hosewright.session.fold import apply
from hosewright.session.rules import refusal
from hosewright.session.state import State
from hosewright.session.undoing import part_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.session.events import Entry
    from hosewright.session.steps import Head
    from hosewright.session.undoing import Part


class Stands(NamedTuple):
    """The entries that stand, the state that all entries come to, and how many things were undone and stay so."""

    entries: list[Entry]
    state: State
    undone: int


def standing(head: Head, entries: Iterable[Entry]) -> Stands:
    """The entries that happened and were not undone, in order. Folded by themselves they give the same work.

    Whoever reads what happened, event by event, reads these. A gap in their numbers is where something was undone.
    """
    walk = _Walk()
    state = State(head)
    undone = 0
    for entry in entries:
        if refusal(state, entry.event) is None:
            walk.take(state, entry)
            undone += isinstance(entry.event, Undone) - isinstance(entry.event, Redone)
        apply(state, entry)
    return Stands(walk.found(), state, undone)


@dataclass(slots=True)
class _Walk:
    """Entries by deeds, as ``undoing`` keeps them: a deed with what goes along with it is one list.

    ``opens`` waits for the deed it belongs to; ``ahead`` can be done again, each with what waited behind it.
    """

    first: list[Entry] = field(default_factory=list)  # what came before the first deed
    deeds: list[list[Entry]] = field(default_factory=list)
    opens: list[Entry] = field(default_factory=list)
    ahead: list[tuple[list[Entry], list[Entry]]] = field(default_factory=list)

    def take(self, state: State, entry: Entry) -> None:
        if isinstance(entry.event, Undone):
            self.ahead.append((self.deeds.pop(), self.opens))
            self.opens = []
        elif isinstance(entry.event, Redone):
            again, opens = self.ahead.pop()
            last = self._last()  # the crank stood still meanwhile: it does so no more
            last[:] = [one for one in last if one.seq < again[0].seq or not isinstance(one.event, Paused)]
            self.deeds.append(again)
            self.opens = opens
        else:
            self._take(part_of(state, entry.event), entry)

    def _take(self, part: Part, entry: Entry) -> None:
        if part == "opens":
            self.opens.append(entry)
        elif part == "deed":
            self.deeds.append([*self.opens, entry])
            self.opens = []
        elif part == "doubts":
            doubted = self.deeds.pop()
            self._last().extend([*doubted, entry])
        else:
            (self.opens or self._last()).append(entry)
        if not isinstance(entry.event, Opened | Paused) or part == "deed":
            self.ahead.clear()

    def _last(self) -> list[Entry]:
        return self.deeds[-1] if self.deeds else self.first

    def found(self) -> list[Entry]:
        """All of them, in order."""
        return sorted(chain(self.first, *self.deeds, self.opens), key=attrgetter("seq"))
