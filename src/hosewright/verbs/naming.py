"""Things on the shelf as they are named on the command line: by their id, or by words of their name."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol, TypeVar

from hosewright.verbs.parsing import UsageError, safe

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_NAMED = 8


class Named(Protocol):
    """Anything with an id and a name."""

    @property
    def id(self) -> str:
        """What tells it from all others."""

    @property
    def name(self) -> str:
        """What it is called."""


Thing = TypeVar("Thing", bound=Named)


def the_one(things: Sequence[Thing], said: str, kind: str, where: str = "on the shelf") -> Thing:
    """The one with this id or name, else the one with these words in its name.

    ``kind`` and ``where`` are for the sentence: "No yarn on the shelf is called so". Raises UsageError with the ids.
    """
    exact = [thing for thing in things if said in (thing.id, thing.name)]
    found = exact or [thing for thing in things if said.casefold() in thing.name.casefold()]
    if len(found) == 1:
        return found[0]
    ids = ", ".join(safe(thing.id) for thing in (found or things)[:MOST_NAMED]) or "none yet"
    why = f"Several {kind}s are called so" if found else f"No {kind} {where} is called so"
    raise UsageError(f"{why}; type one of these: {ids}.")
