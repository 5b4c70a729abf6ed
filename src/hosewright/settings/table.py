"""What the knitter may set: every setting with its default, its limits and its choices."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from hosewright.session.kinds import LEAST_TUBE_ROWS, MOST_TUBE_ROWS, SEPARATOR_ROWS, TUBE_ROWS

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting with its default.

    ``press_gap_ms``, ``pause_after_s``, ``weights_every``, ``marker_every``, ``rest_after_min``: 0 turns it off.
    ``hours_a_week``, ``off_crank_min``: 0 is not given. ``keys`` moves commands of the session screen to other keys,
    by the names in ``session.commands``.
    """

    length_unit: Literal["in", "cm", "mm"] = "in"
    mass_unit: Literal["g", "oz"] = "g"
    tape_error_mm: float = 1.0
    theme: str = "lamplight"
    tube_rows: int = TUBE_ROWS
    separator_rows: int = SEPARATOR_ROWS
    count_shows: Literal["up", "down", "sock"] = "up"
    press_gap_ms: int = 120
    pause_after_s: int = 300
    cue_rows_ahead: int = 3
    weights_every: int = 0
    marker_every: int = 0
    rest_after_min: int = 45
    bell: bool = True
    hours_a_week: int = 0
    off_crank_min: int = 0
    money: str = ""
    step_by_step: bool = False
    count_keys: tuple[str, ...] = ("space",)
    keys: Mapping[str, str] = field(default_factory=dict)

    @property
    def cues_every(self) -> dict[str, int]:
        """What is done every so many rows, in words."""
        return {"move the weights": self.weights_every, "hang a marker on a stitch": self.marker_every}


USUAL = Settings()
CHOICES: dict[str, tuple[str, ...]] = {
    "length_unit": ("in", "cm", "mm"),
    "mass_unit": ("g", "oz"),
    "count_shows": ("up", "down", "sock"),
}
LIMITS: dict[str, tuple[int, int]] = {
    "tube_rows": (LEAST_TUBE_ROWS, MOST_TUBE_ROWS),
    "separator_rows": (2, 60),
    "press_gap_ms": (0, 1000),
    "pause_after_s": (0, 7200),
    "cue_rows_ahead": (0, 50),
    "weights_every": (0, 1000),
    "marker_every": (0, 1000),
    "rest_after_min": (0, 600),
    "hours_a_week": (0, 168),
    "off_crank_min": (0, 600),
}
MOST_TAPE_MM = 20
MOST_THEME, MOST_KEY, MOST_COMMAND, MOST_MONEY = 60, 30, 40, 12  # characters
MOST_COUNT_KEYS = 8
