"""One line of a form, and the readers most lines need."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hosewright.craft.errors import CraftError
from hosewright.craft.units import quoted, read_length, read_mass, read_whole, show_length, show_mass

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    Read = Callable[[str], Any]
    Show = Callable[[Any], str]

_YES = ("yes", "y", "true", "1")
_NO = ("no", "n", "false", "0")


class FieldProblem(Exception):  # noqa: N818  # it is a problem of what was typed
    """A field's text cannot be used; ``name`` is the field, ``str(error)`` the sentence beside it."""

    def __init__(self, name: str, sentence: str) -> None:
        super().__init__(sentence)
        self.name = name


@dataclass(frozen=True)
class FormField:
    """A line of a form: label, input, hint.

    ``read`` turns typed text into a value and raises ValueError with one sentence; ``show`` is its reverse.
    ``empty`` is the value of a line left empty when it is not ``required``. ``beside`` reads in place of
    ``read`` where the earlier lines matter, and gets their values.
    """

    name: str
    label: str
    hint: str
    read: Read
    show: Show = str
    required: bool = False
    empty: Any = None
    beside: Callable[[str, Mapping[str, Any]], Any] | None = None

    def value(self, text: str, before: Mapping[str, Any]) -> Any:
        """The value of ``text``. Raises FieldProblem."""
        if not text.strip():
            if self.required:
                raise FieldProblem(self.name, f"{self.label} is needed: {self.hint}.")
            return self.empty
        try:
            return self.beside(text, before) if self.beside else self.read(text)
        except ValueError as error:
            raise FieldProblem(self.name, str(error)) from error

    def text(self, value: Any) -> str:
        """How a value is shown for editing."""
        return "" if value is None or value == "" else self.show(value)


def words(what: str, most: int) -> Read:
    """A reader of plain text up to ``most`` characters."""

    def read(text: str) -> str:
        if len(text.strip()) > most:
            raise CraftError(f"The {what} is {len(text.strip())} characters long: keep it to {most}.")
        return text.strip()

    return read


def length(what: str, unit: str, most_mm: float = 5000.0, least_mm: float = 0.0) -> Read:
    """A reader of lengths in mm; a bare number is in ``unit``."""

    def read(text: str) -> float:
        mm = read_length(text, unit, what=what, most_mm=most_mm)
        if mm < least_mm:
            raise CraftError(
                f"The {what} {quoted(text)} comes to {show_length(mm, unit)}: "
                f"type one from {show_length(least_mm, unit)} to {show_length(most_mm, unit)}."
            )
        return mm

    return read


def mass(what: str, unit: str) -> Read:
    """A reader of masses in g; a bare number is in ``unit``."""
    return lambda text: read_mass(text, unit, what=what)


def whole(what: str, least: int, most: int) -> Read:
    """A reader of whole numbers."""
    return lambda text: read_whole(text, what=what, least=least, most=most)


def yes_or_no(text: str) -> bool:
    """True for yes, False for no. Raises CraftError for anything else."""
    said = text.strip().lower()
    if said in _YES:
        return True
    if said in _NO:
        return False
    raise CraftError(f"{quoted(text)} is neither: type yes or no.")


def show_yes_or_no(value: bool) -> str:
    """Yes or no."""
    return "yes" if value else "no"


def shown_length(unit: str) -> Show:
    """Lengths shown in ``unit``."""
    return lambda mm: show_length(mm, unit)


def shown_mass(unit: str) -> Show:
    """Masses shown in ``unit``."""
    return lambda g: show_mass(g, unit)
