"""A command and its keys, how they are written, and which key was meant when the keyboard writes other letters.

With Caps Lock, and with layouts whose letters are not Latin, it does. A key is named as the terminal names it. Layouts
by X.Org's xkeyboard-config 2.35 (symbols ru, ua, by and gr). Where two layouts of one script put a letter in different
places, the commoner one counts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Container


@dataclass(frozen=True, slots=True)
class Command:
    """Its keys, how they are written, one or two words for the foot, what it calls, a sentence for the help.

    The table of them is ``session.commands``.
    """

    key: str
    shown: str
    word: str
    does: str
    help: str
    argument: str = ""
    more_keys: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What settings call this command, such as "pause" or "observe dropped"."""
        return f"{self.does} {self.argument}".strip()

    @property
    def keys(self) -> tuple[str, ...]:
        return (self.key, *self.more_keys)


_SHOWN = {
    "enter": "Enter",
    "escape": "Esc",
    "space": "Space",
    "backspace": "Bksp",
    "delete": "Del",
    "tab": "Tab",
    "pagedown": "PgDn",
    "pageup": "PgUp",
    "up": "Up",
    "down": "Down",
    "question_mark": "?",
    "equals_sign": "=",
    "slash": "/",
    "full_stop": ".",
    "comma": ",",
    "minus": "-",
}


def shown_key(key: str) -> str:
    """How a key is written on the screen."""
    if key.startswith("ctrl+"):
        return "Ctrl+" + key.removeprefix("ctrl+").upper()
    if key in _SHOWN:
        return _SHOWN[key]
    return key if len(key) == 1 else key.replace("_", " ").capitalize()


@dataclass(frozen=True, slots=True)
class Keymap:
    """Which keys count, and which commands were moved to another key."""

    count: tuple[str, ...] = ("space",)
    moved: tuple[tuple[str, str], ...] = ()

    def place(self, command: Command) -> Command:
        """``command`` on the keys it has now."""
        if command.does == "count":
            shown = "/".join(shown_key(key) for key in self.count)
            return replace(command, key=self.count[0], more_keys=self.count[1:], shown=shown)
        key = dict(self.moved).get(command.name)
        return replace(command, key=key, shown=shown_key(key)) if key else command


USUAL_KEYS = Keymap()


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
