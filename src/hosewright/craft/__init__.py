"""The craft's arithmetic: pure functions of numbers, with no I/O, no clock and no screen.

Lengths are mm, masses g, a measured number carries its error, and bad input raises `CraftError` with a sentence.
What each module works out, by which formula and from which source: the table in `README.md` and `sources`.
Not here: what a session does with it (`session`), lines typed for a plan and what is said of it (`planning`).
"""

from __future__ import annotations


class CraftError(ValueError):
    """A value the arithmetic cannot use; ``str(error)`` is one clear sentence saying what to type."""


LEAST_SLOTS = 8
MOST_SLOTS = 400


def check_slots(slots: int, what: str = "Slots") -> None:
    """Raise CraftError unless a cylinder can have so many; ``what`` begins the sentence."""
    if not LEAST_SLOTS <= slots <= MOST_SLOTS:
        raise CraftError(f"{what} must be a whole number from {LEAST_SLOTS} to {MOST_SLOTS}, not {slots}.")
