"""Which click gives a gauge, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.dial import show_position
from hosewright.craft.measured import error, nominal
from hosewright.phrases.figures import clicks_words, plus_minus

if TYPE_CHECKING:
    from hosewright.craft.response import ClickAnswer


def answer_lines(answer: ClickAnswer, per_mm: float, per: str, clicks_per_turn: int) -> list[str]:
    """The click, what it gives in rows per ``per`` (rows per mm x ``per_mm``), how surely, and what to heed."""
    rows = answer.rows_per_mm
    gives = plus_minus(nominal(rows) * per_mm, error(rows) * per_mm, 2)
    place = f"{clicks_words(answer.clicks)}, {show_position(answer.clicks, clicks_per_turn)}"
    exact = plus_minus(nominal(answer.exact), error(answer.exact), 1)
    return [
        f"Set the dial to {place}: that gives {gives} rows per {per}.",
        f"Worked out exactly it would be {exact} clicks: the chance that this click is the nearest is "
        f"{answer.chance * 100:.0f} %, and that it is at most one click away {answer.chance_within_one * 100:.0f} %.",
        *answer.notes,
    ]
