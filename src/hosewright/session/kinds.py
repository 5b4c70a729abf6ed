"""How the kinds of sessions and their standing are called: the same on every screen, in lists, and to look for them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Mapping

KINDS: Mapping[str, str] = {
    "search": "Stitch size",
    "tube": "Gauge tube",
    "sock": "Sock",
    "string": "String",
}
STANDS: Mapping[str, str] = {
    "open": "under way",
    "waiting": "drying",
    "finished": "finished",
    "abandoned": "given up",
}


class OfAKind(Protocol):
    """A session, or a line of a list of them."""

    @property
    def kind(self) -> str:
        """What is cranked in it."""

    @property
    def twin_of(self) -> str | None:
        """The id of the first sock when it is a twin."""


def kind_of(session: OfAKind) -> str:
    """The kind of a session in words; a sock that matches another is its twin."""
    return "Twin sock" if session.twin_of else KINDS[session.kind]
