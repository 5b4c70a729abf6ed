"""What a command is: its keys, its words, and what it calls. The table of them is in ``letters``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Command:
    """Its keys, how they are written, one or two words for the foot, what it calls, a sentence for the help."""

    key: str
    shown: str
    word: str
    does: str
    help: str
    argument: str = ""
    more_keys: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What settings call this command, such as "pause" or "observe dropped"."""
        return f"{self.does} {self.argument}".strip()

    @property
    def keys(self) -> tuple[str, ...]:
        """Every key that runs it."""
        return (self.key, *self.more_keys)
