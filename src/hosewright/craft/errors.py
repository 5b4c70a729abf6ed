"""What bad input raises, and the one limit every part of the craft shares: how many slots a cylinder can have."""

from __future__ import annotations


class CraftError(ValueError):
    """A value the arithmetic cannot use; ``str(error)`` is one clear sentence saying what to type."""


LEAST_SLOTS = 8
MOST_SLOTS = 400


def check_slots(slots: int, what: str = "Slots") -> None:
    """Raise CraftError unless a cylinder can have so many; ``what`` begins the sentence."""
    if not LEAST_SLOTS <= slots <= MOST_SLOTS:
        raise CraftError(f"{what} must be a whole number from {LEAST_SLOTS} to {MOST_SLOTS}, not {slots}.")
