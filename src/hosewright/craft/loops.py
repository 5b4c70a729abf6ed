"""Loop length and what follows from it, for relaxed plain knitting.

Rows per length = Kc / l and stitches per length = Kw / l, with l the length of yarn in one loop; the
constants are dimensionless, so l in mm gives rows per mm. They hold only for relaxed plain knitting, never
for a tube just off the machine. Source of Kc and Kw: Spencer, Knitting Technology, 3rd ed. 2001, p. 281, after
Munden 1959, as quoted (see `sources`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hosewright.craft import CraftError
from hosewright.craft.measured import Measured, Number, nominal, root
from hosewright.craft.units import quoted


@dataclass(frozen=True, slots=True)
class Relaxation:
    """A state of relaxation: rows x loop length (``kc``) and stitches x loop length (``kw``)."""

    kc: float
    kw: float
    words: str

    @property
    def ratio(self) -> float:
        """Rows per length over stitches per length, about 1.3 in every state."""
        return self.kc / self.kw


STATES = {
    "dry": Relaxation(5.0, 3.8, "rested dry"),
    "wet": Relaxation(5.3, 4.1, "soaked and dried flat"),
    "full": Relaxation(5.5, 4.2, "washed and dried as the socks will be"),
}
DEFAULT_STATE = "full"


def state_named(name: str) -> Relaxation:
    """The state of relaxation called "dry", "wet" or "full". Raises CraftError."""
    if name not in STATES:
        raise CraftError(f"The state measured is dry, wet or full, not {quoted(name)}.")
    return STATES[name]


def loop_length_mm(rows_per_mm: Number, state: str = DEFAULT_STATE) -> Number:
    """Yarn in one loop, in mm, from rows per mm: l = Kc / rows. Raises CraftError."""
    _above_zero(rows_per_mm, "Rows per mm")
    return state_named(state).kc / rows_per_mm


def rows_per_mm(loop_mm: Number, state: str = DEFAULT_STATE) -> Number:
    """Rows per mm from the loop length in mm: Kc / l. Raises CraftError."""
    _above_zero(loop_mm, "The loop length")
    return state_named(state).kc / loop_mm


def stitches_per_mm(loop_mm: Number, state: str = DEFAULT_STATE) -> Number:
    """Stitches per mm round the tube from the loop length in mm: Kw / l. Raises CraftError."""
    _above_zero(loop_mm, "The loop length")
    return state_named(state).kw / loop_mm


def tightness(tex: float, loop_mm: Number) -> Number:
    """Tightness (cover) factor K = sqrt(tex) / l, l in mm. Raises CraftError."""
    _above_zero(tex, "Tex")
    _above_zero(loop_mm, "The loop length")
    return math.sqrt(tex) / loop_mm


def needle_pitch_mm(diameter_mm: float, slots: int) -> float:
    """Distance between needles round the cylinder in mm: pi D / N. Raises CraftError."""
    _above_zero(diameter_mm, "The cylinder's diameter")
    _above_zero(slots, "The number of slots")
    return math.pi * diameter_mm / slots


def draw_mm(loop_mm: Number, pitch_mm: float) -> Number:
    """How deep the loop is drawn, d = sqrt((l/2)^2 - (p/2)^2), p the needle pitch; all in mm. Raises CraftError."""
    _above_zero(pitch_mm, "The needle pitch")
    if nominal(loop_mm) <= pitch_mm:
        raise CraftError(
            "The loop is shorter than the distance between the needles, which no machine can knit: "
            "check the rows counted, the length and the cylinder's diameter."
        )
    half = loop_mm / 2
    return root(half * half - (pitch_mm / 2) ** 2)


def loop_on_pitch(draw: Number, pitch_mm: float) -> Number:
    """Loop length at the same draw on another needle pitch: l = 2 sqrt(d^2 + (p/2)^2); all in mm. Raises CraftError."""
    _above_zero(pitch_mm, "The needle pitch")
    return 2 * root(draw * draw + (pitch_mm / 2) ** 2)


def _above_zero(value: Measured | float, what: str) -> None:
    if not 0 < nominal(value) < float("inf"):
        raise CraftError(f"{what} must be a number above zero.")
