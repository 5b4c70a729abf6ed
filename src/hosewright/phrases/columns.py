"""Words in columns of plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def aligned(rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Rows of words as lines with their columns under one another."""
    rows = list(rows)
    widths = [max(len(row[i]) for row in rows if i < len(row)) for i in range(max(map(len, rows), default=0))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False)).rstrip() for row in rows]
