"""Markdown that says what was typed and nothing else."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from hosewright.phrases.harmless import harmless

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_MARKS = re.compile(r"([\\`*_{}\[\]<>#~|&!])")
_AT_START = re.compile(r"^(\d*)([-+=.)])")


def typed(text: str) -> str:
    """What a person typed, on one line and with every mark of Markdown made plain."""
    return _AT_START.sub(r"\1\\\2", in_cell(text))  # a list within a list, as "- 1. x" would be


def in_cell(text: str) -> str:
    """The same within a table, where no line begins and so no list can."""
    return _MARKS.sub(r"\\\1", " ".join(harmless(text.replace("\n", " ")).split()))


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """A table as Markdown lines, with an empty line after it. Cells must already be plain (see ``typed``)."""
    lines = [_row(headings), _row(["---"] * len(headings))]
    return [*lines, *(_row(row) for row in rows), ""]


def _row(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"
