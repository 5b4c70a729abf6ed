"""A setting as a line to type or choose on: what the screen and the command line read it by."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.units import read_length
from hosewright.phrases import field
from hosewright.phrases.field import Field
from hosewright.settings.table import Millimetres, OneOf, Setting, Whole, Words, YesNo, limits

if TYPE_CHECKING:
    from collections.abc import Callable


def line_of(one: Setting) -> Field:
    """The line of a setting; left empty it takes the usual value. Raises TypeError for keys, which are pressed."""
    kind, name, label, helps, what = one.kind, one.name, one.label, one.help, f"“{one.label}”"
    match kind:
        case OneOf():
            choices = tuple((words, value) for value, words in kind.said)
            return Field(name, label, helps, choices=choices, required=True)
        case YesNo():
            return Field(name, label, helps, choices=((kind.no, False), (kind.yes, True)), required=True)
        case Whole():
            return field.whole(name, label, helps, kind.least, kind.most, what=f"number in {what}", empty=one.usual)
        case Words():
            what = f"text in {what}"
            return field.words(name, label, helps, kind.most, what=what, empty=one.usual, example=kind.example)
        case Millimetres():
            return Field(name, label, helps, _tenths(kind, what), lambda mm: f"{mm:g} mm", "mm", empty=one.usual)
        case _:
            raise TypeError(f"{name} is set by pressing a key")


def _tenths(kind: Millimetres, what: str) -> Callable[[str], float]:
    """Reads lengths so short that words for socks would round them off."""

    def read(text: str) -> float:
        mm = read_length(text, "mm", what=f"length in {what}")
        if not kind.least <= mm <= kind.most:
            raise CraftError(f"The length in {what} comes to {mm:g} mm: type one from {limits(kind)}.")
        return mm

    return read
