"""One typed line, declared once and without a widget: the screens, the command line and the planning read it alike.

A screen chooses the widget from the kind (``bench/widgets/entry_screen.py``); nothing here knows of one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from hosewright.craft import CraftError
from hosewright.craft.shoes import read_size
from hosewright.craft.units import quoted, read_length, read_mass, read_number, read_whole, show_length, show_mass
from hosewright.phrases.lists import listed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

_YES = ("yes", "y", "true", "1")
_NO = ("no", "n", "false", "0")
NOTHING: Mapping[str, Any] = {}


class FieldError(CraftError):
    """What stands on a line cannot be used; ``name`` is the line's, ``str(error)`` one sentence for the person."""

    def __init__(self, name: str, sentence: str) -> None:
        super().__init__(sentence)
        self.name = name


@dataclass(frozen=True, slots=True)
class Field:
    """A line to type on or, with ``choices``, to choose on.

    ``help``: what belongs there, in a few words. ``reader`` makes a value of what was typed, or raises ValueError with
    a sentence; ``shown`` is its reverse. ``unit`` is meant when only a number is typed. ``example``: as one types it.
    ``blank``: what stands there while nothing does. ``more``: a sentence or two for who asks; of a measure, from where
    to where.
    ``choices``: (words, value) pairs; an empty tuple where the screen offers what is on the shelf. ``required``: may
    not stay empty, ``missing`` says so; else ``empty`` is the value of an empty line. ``beside``, in place of
    ``reader``, also gets the values of the lines above. ``also``: other spellings of a choice that are read and never
    shown.
    """

    name: str
    label: str
    help: str
    reader: Callable[[str], Any] = str.strip
    shown: Callable[[Any], str] = str
    unit: str = ""
    example: str = ""
    blank: str = ""
    choices: tuple[tuple[str, Any], ...] | None = None
    required: bool = False
    missing: str = ""
    empty: Any = None
    beside: Callable[[str, Mapping[str, Any]], Any] | None = None
    also: tuple[tuple[str, Any], ...] = ()
    more: str = ""

    def read(self, text: str, before: Mapping[str, Any] = NOTHING) -> Any:
        """The value of ``text``; ``before``: those of the lines above it. Raises FieldError."""
        if not text.strip():
            if self.required:
                raise FieldError(self.name, self.missing or f"{self.label} is needed: {self.help}.")
            return self.empty
        try:
            if self.choices:
                return self._chosen(text)
            return self.beside(text, before) if self.beside else self.reader(text)
        except ValueError as error:
            raise FieldError(self.name, str(error)) from error

    def _chosen(self, text: str) -> Any:
        said = _bare(text)
        for words, value in self.choices or ():
            if said in (_bare(words), _bare(str(value))):
                return value
        for words, value in self.also:
            if said == _bare(words):
                return value
        raise CraftError(f"{quoted(text)} is not one of them: {self.label} takes {self.choice_words}.")

    @property
    def choice_words(self) -> str:
        """What can be chosen, in words: "up, down or sock"."""
        return listed([words for words, _ in self.choices or ()], "or")

    @property
    def explained(self) -> str:
        """All there is to say about the line, for a page of help."""
        said = [f"{self.label}: {self.help}.", *([self.more] if self.more else [])]
        if self.example and self.example not in self.help:
            said.append(f"For example: {self.example}.")
        if self.choices:
            said.append(f"It takes {self.choice_words}.")
        if self.unit:
            said.append(f"A number alone is in {self.unit}.")
        return " ".join(said)

    def say(self, value: Any) -> str:
        """``value`` as it stands on the line, ready to be read again; nothing for None and for an empty text."""
        if value is None or value == "":
            return ""
        for words, one in self.choices or ():
            if one == value:
                return words
        return self.shown(value)


def to_choose(name: str, label: str, help_words: str, key: str, missing: str = "") -> Field:
    """A line to choose on from the shelf, where ``key`` makes another; ``missing`` asks for one that is needed."""
    blank = f"none chosen: {key} makes one"
    return Field(name, label, help_words, choices=(), blank=blank, required=bool(missing), missing=missing)


def read_all(fields: Iterable[Field], texts: Mapping[str, str]) -> tuple[dict[str, Any], dict[str, str]]:
    """Every line read: the values of those that can be, and what is wrong with the others, both by name.

    A name that ``texts`` lacks is a line left empty.
    """
    values: dict[str, Any] = {}
    errors: dict[str, str] = {}
    for field in fields:
        try:
            values[field.name] = field.read(texts.get(field.name, ""), values)
        except FieldError as error:
            errors[field.name] = str(error)
    return values, errors


# --- the kinds most lines are of. ``what``: how a sentence names it, when it is not the label --------------------


def words(name: str, label: str, help: str, most: int, *, what: str = "", **more: Any) -> Field:
    """A line of plain text up to ``most`` characters, "" when empty."""
    what = what or _lower(label)

    def read(text: str) -> str:
        if len(text.strip()) > most:
            raise CraftError(f"The {what} is {len(text.strip())} characters long: keep it to {most}.")
        return text.strip()

    return Field(name, label, help, read, **({"empty": ""} | more))


def length(
    name: str,
    label: str,
    help: str,
    unit: str,
    most_mm: float = 5000.0,
    least_mm: float = 0.0,
    *,
    what: str = "",
    **more: Any,
) -> Field:
    """A line for a length in mm; a bare number is in ``unit``, in which it is shown, too."""
    what = what or _lower(label)

    def read(text: str) -> float:
        mm = read_length(text, unit, what=what, most_mm=most_mm)
        if mm < least_mm:
            raise CraftError(
                f"The {what} {quoted(text)} comes to {show_length(mm, unit)}: "
                f"type one from {show_length(least_mm, unit)} to {show_length(most_mm, unit)}."
            )
        return mm

    shown = more.pop("shown", lambda mm: show_length(mm, unit))
    return Field(name, label, help, read, shown, unit, **more)


def two_sided(field: Field) -> Field:
    """A line for a length that left and right may differ in: (left, right) for "22 cm left, 23 cm right"."""

    def read(text: str) -> Any:
        found = _SIDES.fullmatch(text.strip())
        if found is None:
            if re.search(r"\b(?:left|right)\b", text, re.IGNORECASE):
                raise CraftError(
                    f"{quoted(text)} is not clear: type one length for both, or both of them, such as "
                    f"{field.example} left, {field.example} right."
                )
            return field.reader(text)
        one, other = (field.reader(text) for text in _alike(found["one"], found["other"]))
        if found["side"].lower() == found["beside"].lower():
            raise CraftError(f"{quoted(text)} has the {found['side'].lower()} one twice: type left and right.")
        return (one, other) if found["side"].lower() == "left" else (other, one)

    def shown(value: Any) -> str:
        if not isinstance(value, tuple):
            return field.shown(value)
        left, right = value
        return f"{field.shown(left)} left, {field.shown(right)} right"

    return replace(field, reader=read, shown=shown)


def _alike(one: str, other: str) -> tuple[str, str]:
    """Both with a unit where only one of them has it."""
    of_one, of_other = (re.search(r"[a-z\"″]+\.?\s*$", text, re.IGNORECASE) for text in (one, other))
    if of_one and not of_other:
        return one, f"{other} {of_one[0]}"
    return (f"{one} {of_other[0]}" if of_other and not of_one else one), other


_SIDES = re.compile(
    r"(?P<one>.+?)\s*\b(?P<side>left|right)\b\s*(?:,|;|and|\s)\s*(?P<other>.+?)\s*\b(?P<beside>left|right)",
    re.IGNORECASE,
)


def mass(name: str, label: str, help: str, unit: str, *, what: str = "", **more: Any) -> Field:
    """A line for a mass in g; a bare number is in ``unit``, in which it is shown, too."""
    what = what or _lower(label)
    return Field(
        name,
        label,
        help,
        lambda text: read_mass(text, unit, what=what),
        lambda grams: show_mass(grams, unit),
        unit,
        **more,
    )


def or_nothing(field: Field) -> Field:
    """The same line for a mass that may also be 0, or the word none."""

    def read(text: str) -> float:
        if text.strip().casefold() == "none":
            return 0.0
        number = text.strip().lower().removesuffix(field.unit).strip()
        return 0.0 if number and not number.strip("0.,") and "0" in number else float(field.reader(text))

    return replace(field, reader=read)


def no_size(field: Field, its_line: str = "or shoe size") -> Field:
    """``field``, but a shoe size typed where a length belongs is sent to the line called ``its_line``."""

    def reading(text: str) -> float:
        try:
            return float(field.reader(text))
        except CraftError:
            if _is_size(text):
                raise CraftError(
                    f"{quoted(text)} is a shoe size: type it in “{its_line}” below, and leave this line empty."
                ) from None
            raise

    return replace(field, reader=reading)


def _is_size(text: str) -> bool:
    try:
        read_size(text)
    except CraftError:
        return False
    return True


def whole(name: str, label: str, help: str, least: int, most: int, *, what: str = "", **more: Any) -> Field:
    """A line for a whole number."""
    what = what or _lower(label)
    return Field(name, label, help, lambda text: read_whole(text, what=what, least=least, most=most), **more)


def number(name: str, label: str, help: str, least: float, most: float, *, what: str = "", **more: Any) -> Field:
    """A line for a number without a unit."""
    what = what or _lower(label)
    return Field(name, label, help, lambda text: read_number(text, what=what, least=least, most=most), **more)


def yes_or_no(name: str, label: str, help: str, **more: Any) -> Field:
    """A line for yes or no, no when empty."""
    return Field(name, label, help, read_yes_or_no, lambda value: "yes" if value else "no", **({"empty": False} | more))


def one_of(name: str, label: str, help: str, understood: Mapping[str, Any], refusal: str, **more: Any) -> Field:
    """A line for one of a few words, each ``understood`` under every name for it, hyphens and blanks aside.

    ``refusal`` follows what was typed when it is not one of them.
    """
    known = {_bare(said): value for said, value in understood.items()}

    def read(text: str) -> Any:
        if _bare(text) not in known:
            raise CraftError(f"{quoted(text)} {refusal}")
        return known[_bare(text)]

    return Field(name, label, help, read, **more)


def _bare(text: str) -> str:
    """A choice as it is compared: "Mock-rib, single" is "mockribsingle"."""
    return re.sub(r"[-_,\s]", "", text).casefold()


def read_yes_or_no(text: str) -> bool:
    """True for yes, False for no. Raises CraftError for anything else."""
    said = text.strip().lower()
    if said in _YES:
        return True
    if said in _NO:
        return False
    raise CraftError(f"{quoted(text)} is neither: type yes or no.")


def _lower(label: str) -> str:
    return label[:1].lower() + label[1:]
