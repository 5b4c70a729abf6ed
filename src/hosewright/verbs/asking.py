"""Lines filled in without a screen: given as options, or asked for one after another where something is missing.

The lines are the screens' own (``phrases.field.Field``), read and refused by the same words. Nothing is drawn, and no
line is longer than 80 cells, so that it works by ear, over a slow line and through a pipe.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING, Any, TypeVar

from hosewright.craft.units import quoted
from hosewright.phrases.field import FieldError
from hosewright.phrases.harmless import harmless
from hosewright.phrases.lists import many
from hosewright.verbs.parsing import UsageError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from hosewright.phrases.field import Field
    from hosewright.verbs.parsing import Parser

Thing = TypeVar("Thing")
WIDEST = 79
EXPLAIN, EMPTY, DONE = ("?", "explain"), "empty", "done"  # words beside signs: readers aloud leave signs out
HOW = f"Enter leaves a line as it is, {EXPLAIN[0]} or {EXPLAIN[1]} tells more, {DONE} skips the rest."


def option_of(field: Field) -> str:
    """How a line is called as an option: ``thread_pitch_mm`` is ``--thread-pitch``."""
    return "--" + field.name.removesuffix("_mm").removesuffix("_g").replace("_", "-")


def add_options(parser: Parser, fields: Iterable[Field]) -> None:
    """An option for each line."""
    for field in fields:
        example = f", such as {field.example}" if field.example and field.example not in field.help else ""
        parser.takes(option_of(field), "TEXT", f"{field.help}{example}".replace("%", "%%"), dest=f"line_{field.name}")


def typed(args: Any, fields: Iterable[Field]) -> dict[str, str]:
    """What was given as options, by the names of the lines."""
    found = {field.name: getattr(args, f"line_{field.name}", None) for field in fields}
    return {name: text for name, text in found.items() if text is not None}


class EndOfInputError(UsageError):
    """Nobody types any more: the pipe is empty, or Ctrl+D was pressed."""


def say(*texts: str, hanging: int = 0) -> None:
    """Print paragraphs, no line of them wider than a terminal of 80; what goes on below stands ``hanging`` cells in."""
    for line in (line for text in texts for line in text.splitlines() or [""]):
        print("\n".join(wrap(harmless(line), WIDEST, break_on_hyphens=False, subsequent_indent=" " * hanging)))
    sys.stdout.flush()


def hear() -> str:
    """The next line typed, or EndOfInputError."""
    line = sys.stdin.readline()
    if not line:
        raise EndOfInputError("The input ended here, so nothing was saved.")
    return line.strip()


@dataclass(frozen=True, slots=True)
class Form:
    """Lines to be filled in. ``first``: what is offered on them; ``given``: what was typed as options; ``title``: what
    they are about.
    """

    title: str
    fields: Sequence[Field]
    first: Mapping[str, Any]
    given: Mapping[str, str]

    def filled_in(self, *, ask: bool) -> dict[str, Any]:
        """The values of all lines. With ``ask`` what was not given is asked for; else it keeps what is offered.

        Raises FieldError for an option that cannot be used and UsageError where input ends.
        """
        values: dict[str, Any] = {}
        if ask:
            asked = sum(field.name not in self.given for field in self.fields)
            say(f"{self.title}, {many(asked, 'line')}. {HOW}")
        for field in self.fields:
            offered = field.say(self.first.get(field.name))
            if field.name in self.given:
                values[field.name] = _option(field, self.given[field.name], values)
                continue
            said = ask_line(field, offered, values) if ask else None
            ask = said is not None
            values[field.name] = _option(field, offered if said is None else said, values)
        return values

    @property
    def lacks(self) -> bool:
        """Whether a line that is needed has nothing on it yet."""
        return any(
            field.required and field.name not in self.given and self.first.get(field.name) is None
            for field in self.fields
        )


def _option(field: Field, text: str, before: Mapping[str, Any]) -> Any:
    try:
        return field.read(text, before)
    except FieldError as error:
        raise FieldError(field.name, f"{option_of(field)}: {error}") from error


def ask_line(field: Field, offered: str, before: Mapping[str, Any]) -> str | None:
    """Ask until what is typed can be used, and return it; None when this and the rest are to stay as offered."""
    needed = "needed" if field.required else ""
    example = f"such as {field.example}" if field.example and field.example not in field.help else ""
    told = f"offered: {offered}" if offered else example
    hint = "; ".join(part for part in (field.help, told, needed) if part)
    say(f"{field.label} ({hint})")
    while True:
        text = hear()
        if text.casefold() in EXPLAIN:
            say(field.explained + (f" Type {EMPTY} for nothing." if offered and not field.required else ""))
            continue
        if text.casefold() == DONE and (offered or not field.required):
            return None
        if text.casefold() == EMPTY and not field.required:
            text = ""
        elif not text:
            text = offered
        try:
            field.read(text, before)
        except FieldError as error:
            say(str(error))
        else:
            return text


def pick(label: str, things: Sequence[Thing], words: Callable[[Thing], str]) -> Thing:
    """One of several by its number or by a part of its words; a single one is taken as it is, and said."""
    if len(things) == 1:
        say(f"{label}: {words(things[0])}.")
        return things[0]
    say(f"{label}, the one last used first:")
    wide = len(str(len(things)))
    for at, thing in enumerate(things, 1):
        say(f"{at:<{wide}}  {words(thing)}", hanging=wide + 2)
    say("Type its number or part of its name; Enter alone takes the first.")
    while True:
        text = hear()
        if not text:
            return things[0]
        if text.isdecimal() and 1 <= int(text[:4]) <= len(things):
            return things[int(text[:4]) - 1]
        found = [thing for thing in things if text.casefold() in words(thing).casefold()]
        if len(found) == 1:
            return found[0]
        said = "Several are" if found else "None is"
        say(f"{said} called {quoted(text)}: type a number from 1 to {len(things)}.")


def sure(question: str) -> bool:
    """Whether a question is answered with yes."""
    say(f"{question} Type yes or no.")
    while (text := hear().casefold()) not in ("y", "yes", "n", "no"):
        say("Type yes or no.")
    return text in ("y", "yes")
