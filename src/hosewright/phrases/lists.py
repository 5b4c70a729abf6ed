"""Several things in words: so many of one, one after the other in a sentence, or below one another in columns.

A list's columns are declared once for the screen, for paper and for the command line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from difflib import get_close_matches
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from hosewright.craft.units import many as many  # every room but craft takes them from here
from hosewright.craft.units import plural as plural

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

GAP = 2  # cells between two columns
Record = TypeVar("Record")


def listed(names: Sequence[str], word: str = "and") -> str:
    """Names as a sentence has them: "one", "one and two", "one, two or three"; "one, red; two or three"."""
    between = "; " if any("," in name for name in names) else ", "
    return f"{between.join(names[:-1])} {word} {names[-1]}" if len(names) > 1 else "".join(names)


def nearest(typed: str, names: Iterable[str]) -> str:
    """ " Did you mean gauge?" for what was probably meant among ``names``; "" where nothing there is like it."""
    known = {name.casefold(): name for name in names}
    near = get_close_matches(typed.casefold(), known, n=1, cutoff=0.65)
    return f" Did you mean {known[near[0]]}?" if near else ""


def aligned(rows: Iterable[Sequence[str]], right: Collection[int] = ()) -> list[str]:
    """Rows of words as lines with their columns under one another, those numbered in ``right`` flush right."""
    rows = list(rows)
    wide = [max(len(row[i]) for row in rows if i < len(row)) for i in range(max(map(len, rows), default=0))]
    told = ([cell.rjust(wide[i]) if i in right else cell.ljust(wide[i]) for i, cell in enumerate(row)] for row in rows)
    return [(" " * GAP).join(row).rstrip() for row in told]


@dataclass(frozen=True)
class Column(Generic[Record]):
    """One column of a list of records, how it is called and what stands in it.

    Heading and words may have several lines. A column is ``width`` cells wide, or as wide as its widest words;
    with a ``share`` it gives way where there is little room, down to ``least`` cells. Words too long for it are cut,
    or ``wrapped``. ``number``: flush right. ``order``: the value the list is ordered by, where it can be. ``style``:
    what the words are painted in on the bench, words of Rich or roles; the words say the same without.
    """

    heading: str
    read: Callable[[Record], str]
    number: bool = False
    order: Callable[[Record], Any] | None = None
    width: int = 0
    share: int = 0
    least: int = 8
    wrapped: bool = False
    style: Callable[[Record], str] | None = None

    def cell(self, words: str, width: int) -> list[str]:
        """``words`` as lines of at most ``width`` cells."""
        lines: list[str] = []
        for line in words.split("\n"):
            lines += (wrap(line, width) if self.wrapped else [clipped(line, width)]) or [""]
        return [line.rjust(width) if self.number else line for line in lines]

    def above(self, below: Column[Record]) -> Column[Record]:
        """This column with another one below it, where there is no room beside it."""
        return replace(
            self,
            heading=f"{self.heading}\n{below.heading}",
            read=lambda record: f"{self.read(record)}\n{below.read(record)}",
        )


def clipped(text: str, room: int) -> str:
    """``text`` in ``room`` cells, its end marked where it is cut."""
    return text if len(text) <= room else f"{text[: max(0, room - 1)]}…"


def widths(columns: Sequence[Column[Any]], rows: Iterable[Sequence[str]] | None, room: int) -> list[int]:
    """How many cells each column gets of ``room``.

    Without ``rows``, since more are to come, every column with a share takes its share whole.
    """
    told = [[column.heading, *(row[at] for row in rows or ())] for at, column in enumerate(columns)]
    widest = [max(len(line) for words in column for line in words.split("\n")) for column in told]
    given = [column.width or wide for column, wide in zip(columns, widest, strict=True)]
    elastic = [at for at, column in enumerate(columns) if column.share]
    wanted = {at: room if rows is None else widest[at] for at in elastic}
    left = room - GAP * (len(columns) - 1) - sum(wide for at, wide in enumerate(given) if at not in wanted)
    shares = sum(columns[at].share for at in elastic)
    for at in sorted(elastic, key=lambda at: wanted[at] / columns[at].share):
        given[at] = max(columns[at].least, min(wanted[at], left * columns[at].share // shares))
        left -= given[at]
        shares -= columns[at].share
    return given


def in_columns(columns: Sequence[Column[Record]], records: Iterable[Record]) -> list[str]:
    """A list as lines, its headings on the first, nothing of it cut."""
    rows = [[column.heading for column in columns], *([column.read(one) for column in columns] for one in records)]
    return aligned(rows, [at for at, column in enumerate(columns) if column.number])
