"""Times in the words of a person."""

from __future__ import annotations

from hosewright.phrases.clock import local


def elapsed_words(elapsed_ms: int) -> str:
    """A stretch of time in the words of a person; empty when it is hardly any."""
    minutes = elapsed_ms // 60_000
    if minutes < 2:
        return ""
    if minutes < 120:
        return f"{minutes} minutes"
    hours = minutes // 60
    return f"{hours} hours" if hours < 48 else f"{hours // 24} days"


def today_words(at_ms: int, zone_min: int) -> str:
    """The date for the heading."""
    return f"{local(at_ms, zone_min):%A %d %B %Y}"
