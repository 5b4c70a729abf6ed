"""Where the dial is to be set, or stands, in words that follow "to" and "at"."""

from __future__ import annotations

from hosewright.craft.dial import show_position


def dial_place(clicks: int, clicks_per_turn: int) -> str:
    """ "6 3/4 turns below zero", or "the zero mark"."""
    return show_position(clicks, clicks_per_turn) if clicks else "the zero mark"


def dial_distance(clicks: int, clicks_per_turn: int) -> str:
    """How far to turn the dial: "half a turn", "a full turn", "2 clicks"; a half is said only where it is one."""
    if clicks == clicks_per_turn:
        return "a full turn"
    if 2 * clicks == clicks_per_turn:
        return "half a turn"
    return f"{clicks} click{'s' * (clicks != 1)}"
