"""The kinds of sessions: how they and their standing are called everywhere, and how long a tube usually is."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

KINDS: Mapping[str, str] = {
    "search": "Stitch size",
    "tube": "Gauge tube",
    "sock": "Sock",
    "string": "String",
    "ribber": "Ribber set-up",
}
STATUS_WORDS: Mapping[str, str] = {
    "open": "under way",
    "waiting": "drying",
    "finished": "finished",
    "abandoned": "given up",
}
# A sign and a role of colour for each, so that a list is read at a glance: going on, waiting, done, left.
STATUS_SIGNS: Mapping[str, tuple[str, str]] = {
    "open": ("►", "live"),
    "waiting": ("≈", "promised"),
    "finished": ("■", "done"),
    "abandoned": ("×", "muted"),
}

# Rows of a gauge tube and of a separator: what is usual, and the limits. Ours.
TUBE_ROWS = 60
LEAST_TUBE_ROWS, MOST_TUBE_ROWS = 30, 200
SEPARATOR_ROWS = 8


def kind_of(kind: str, twin_of: str | None) -> str:
    """The kind of a session in words; a sock that matches another, ``twin_of`` it, is its twin."""
    return "Twin sock" if twin_of else KINDS[kind]
