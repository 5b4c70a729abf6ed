"""Several things in words: so many of one, one after the other in a sentence, one below the other in columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


def many(count: int, one: str, several: str = "") -> str:
    """So many of something: "1 row", "1,200 rows"; ``several`` where it takes more than an s."""
    return f"{count:,} {one if count == 1 else several or one + 's'}"


def listed(names: Sequence[str], word: str = "and") -> str:
    """Names as a sentence has them: "one", "one and two", "one, two or three"; "one, red; two or three"."""
    between = "; " if any("," in name for name in names) else ", "
    return f"{between.join(names[:-1])} {word} {names[-1]}" if len(names) > 1 else "".join(names)


def aligned(rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Rows of words as lines with their columns under one another."""
    rows = list(rows)
    widths = [max(len(row[i]) for row in rows if i < len(row)) for i in range(max(map(len, rows), default=0))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False)).rstrip() for row in rows]
