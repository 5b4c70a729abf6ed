"""Text from outside made fit to be shown, plain and in Markdown, by the standard library alone: errors need it soon."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

# Control characters drive a terminal, and Textual passes them on. Those of Unicode turn the reading direction about or
# break lines; lone surrogates can be neither stored nor shown.
_CONTROL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb\ud800-\udfff]"
)
# What takes no room: two names that look alike would be two. Joiners are letters in some scripts and join pictures, so
# they stand where they stand between such.
_UNSEEN = re.compile("[\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180e\u200b\u200e\u200f\u2060-\u2064\u3164\uffa0]")
_JOINER = re.compile("(?:^|(?<=[\x00-\u02af]))[\u200c\u200d]+|[\u200c\u200d]+(?=[\x00-\u02af]|$)")
_ALWAYS_FITS = 40  # characters: the least that any text kept may have
LONGEST_TYPED = 4000  # characters of a note
_BREAKS = re.compile(r"[\t\n]+")


def harmless(text: str) -> str:
    """``text`` without control characters, which could drive a terminal; what cannot be seen is written out.

    What comes of it is harmless: made so once more, it stays as it is.
    """
    plain = _CONTROL.sub("", text).strip()
    if plain.isascii():
        return plain
    told = _JOINER.sub(_written_out, _UNSEEN.sub(_written_out, plain))
    most = max(len(text), _ALWAYS_FITS)  # longer than what was let in, it would not be read again
    return told if len(told) <= most else harmless(told[:most].rstrip("\u200c\u200d"))


def _written_out(found: re.Match[str]) -> str:
    return "".join(f"<U+{ord(char):04X}>" for char in found[0])


def one_line(text: str) -> str:
    """``text`` made harmless, and on one line."""
    return _BREAKS.sub(" ", harmless(text))


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
