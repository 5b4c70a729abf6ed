"""Which key was meant when the keyboard writes other letters: Caps Lock, and layouts whose letters are not Latin.

A key is named as the terminal names it. Layouts by X.Org's xkeyboard-config 2.35 (symbols ru, ua, by and gr). Where two
layouts of one script put a letter in different places, the commoner one counts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Container

_ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_LAYOUTS = {
    "Russian": ("йцукенгшщз", "фывапролд", "ячсмить"),
    "Ukrainian": ("йцукенгшщз", "фівапролд", "ячсмить"),
    "Belarusian": ("йцукенгшўз", "фывапролд", "ячсміть"),
    "Greek": (";ςερτυθιοπ", "ασδφγηξκλ", "ζχψωβνμ"),
}
_FULL_STOP = {"ю": "full_stop"}  # where a Latin keyboard has the full stop, Cyrillic ones have a letter


def _places() -> dict[str, str]:
    found: dict[str, str] = {}
    for layout in _LAYOUTS.values():
        for theirs, ours in zip("".join(layout), "".join(_ROWS), strict=True):
            if theirs.isalpha():
                found.setdefault(theirs, ours)
    return found | _FULL_STOP


_PLACE = _places()


def at_its_place(key: str) -> str:
    """The small Latin letter (or the full stop) in the place of ``key``; ``key`` itself where there is none."""
    small = key.lower() if len(key) == 1 else key
    return _PLACE.get(small, small)


def meant(key: str, known: Container[str]) -> str:
    """The key of ``known`` that ``key`` stands for: itself, its small letter, or the Latin letter in its place.

    ``key`` as it is when none of them is known.
    """
    if len(key) != 1:
        return key
    return next((one for one in (key, key.lower(), at_its_place(key)) if one in known), key)


def word_at_its_place(word: str) -> str:
    """A word typed with the letters of another layout, each taken for the one in its place."""
    return "".join(at_its_place(letter) for letter in word).replace("full_stop", ".")


def meant_word(word: str, known: Container[str]) -> str:
    """The word of ``known`` that ``word`` stands for; ``word`` as it is when there is none."""
    return next((one for one in (word, word.lower(), word_at_its_place(word)) if one in known), word)
