"""How many slots a cylinder can have. One limit for every part of the craft, so that what one takes the others do."""

from __future__ import annotations

from hosewright.craft.errors import CraftError

LEAST_SLOTS = 8
MOST_SLOTS = 400


def check_slots(slots: int, what: str = "Slots") -> None:
    """Raise CraftError unless a cylinder can have so many; ``what`` begins the sentence."""
    if not LEAST_SLOTS <= slots <= MOST_SLOTS:
        raise CraftError(f"{what} must be a whole number from {LEAST_SLOTS} to {MOST_SLOTS}, not {slots}.")
