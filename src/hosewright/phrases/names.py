"""A person's name in running text, in the ways people write names."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

SOMEONE = "someone"
_BETWEEN = r"[\s\u200b-\u200d\u2060_.\-]+"  # between two words of a name; files are named with signs there
_WORD = re.compile(r"[^\W\d_]+")
_LEAST_PART = 3  # letters: a shorter word of a name is no mention of its own
_LEAST_MISSPELT = 5


class Names:
    """The names one person is known by here, found in texts however they are written.

    "Ana Kowal" is found as "ANA  KOWAL", "Kowal, Ana", "ana-kowal" and "Ana Kowal's", composed or not.
    """

    def __init__(self, names: Iterable[str]) -> None:
        """A name of a single letter is none that could be found."""
        self.names = [name for name in dict.fromkeys(map(_composed, names)) if len(name.strip()) > 1]
        ways: set[str] = set()
        for name in self.names:
            words = name.split()
            ways.add(_BETWEEN.join(map(re.escape, words)))
            for at in range(1, len(words)):  # the surname first, with a comma
                last, first = (_BETWEEN.join(map(re.escape, part)) for part in (words[at:], words[:at]))
                ways.add(rf"{last}\s*,\s*{first}")
        longest_first = "|".join(sorted(ways, key=len, reverse=True)) or "(?!)"
        self._whole = re.compile(rf"(?<![^\W_])(?:{longest_first})(?=['\u2019]?s?(?![^\W_]))", re.IGNORECASE)
        self._parts = sorted(
            {word.casefold() for name in self.names for word in _WORD.findall(name) if len(word) >= _LEAST_PART}
        )

    def found_in(self, text: str) -> bool:
        return self._whole.search(_composed(text)) is not None

    def taken_out(self, text: str) -> str:
        composed = _composed(text)
        told = self._whole.sub(SOMEONE, composed)
        return text if told == composed else told

    def near(self, text: str) -> list[str]:
        """Words that may mean the person and may not: a part of the name alone, or one letter off."""
        rest = self._whole.sub(" ", _composed(text))
        return [word for word in _WORD.findall(rest) if any(_is_near(word.casefold(), part) for part in self._parts)]

    def in_bytes(self, content: bytes) -> bool:
        """Whether a whole name stands in the bytes of a file, also as JSON and web addresses write letters."""
        text = content.decode("utf-8", "replace")
        text = re.sub(r"\\u([0-9a-fA-F]{4})", lambda found: chr(int(found[1], 16)), text)
        text = re.sub(r"&#(\d{1,6});|%20", lambda found: chr(min(int(found[1]), 0x10FFFF)) if found[1] else " ", text)
        return self.found_in(text)


def _composed(text: str) -> str:
    """With accents in one letter each, and without what cannot be seen, so that like is found with like."""
    return unicodedata.normalize("NFC", text).translate(dict.fromkeys((0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF, 0xAD)))


def _is_near(word: str, part: str) -> bool:
    if word in (part, f"{part}s"):
        return True
    return min(len(word), len(part)) >= _LEAST_MISSPELT and _one_off(word, part)


def _one_off(one: str, other: str) -> bool:
    """Whether one letter more, fewer, other, or two swapped make one of the other."""
    if abs(len(one) - len(other)) > 1:
        return False
    start = next((at for at, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
    mine, theirs = one[start:], other[start:]
    return (
        mine[1:] == theirs[1:]
        or mine[1:] == theirs
        or mine == theirs[1:]
        or (mine[:2] == theirs[1::-1] and len(theirs) > 1 and mine[2:] == theirs[2:])
    )
