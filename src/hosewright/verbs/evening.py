"""``hosewright --plain``: an evening in lines. What is on the machine, what waits, what to do next; a number chooses.

Whatever else is typed is taken as it is on the command line, so that every verb is at hand here, too.
"""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.units import quoted
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.glance import look
from hosewright.logbook.records.shelf import Plan
from hosewright.phrases.lists import nearest
from hosewright.places import logbook_path
from hosewright.planning.starting import firsts
from hosewright.verbs.asking import EndOfInputError, hear, say
from hosewright.verbs.book import open_book
from hosewright.verbs.parsing import Parser

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.glance import Suggestion

_PLACES = {"on the machine": "On the machine", "drying": "Drying", "off the machine": "Begun, and off the machine"}
# What can be begun at any time: the word, what it does, and what is run.
_ALWAYS: dict[str, tuple[str, tuple[str, ...]]] = {
    "search": ("find the stitch size for a yarn", ("start", "search")),
    "tube": ("crank a gauge tube", ("start", "tube")),
    "ribber": ("set the ribber up", ("start", "ribber")),
    "plan": ("plan a sock", ("plan",)),
    "sock": ("crank a planned sock", ("start", "sock")),
    "twin": ("crank its twin", ("start", "twin")),
    "shelf": ("what there is to knit with", ("shelf", "list")),
    "past": ("look back", ("logbook", "list")),
}
_LEAVE = ("q", "quit", "leave")


@dataclass(frozen=True, slots=True)
class _Choice:
    """One line to choose by its number, and what is run then."""

    words: str
    run: tuple[str, ...]


def run(argv: list[str], verbs: Callable[[list[str]], int], known: Sequence[str]) -> int:
    """Go through the evening until someone leaves. ``verbs`` runs a command line, whose verbs are ``known``."""
    Parser("--plain", "an evening in lines, for a screen reader, a slow line or a pipe", "", json=False).parse_args(
        argv
    )
    say("hosewright in plain lines. Type a number or a word and Enter; help lists the words, leave ends it.")
    choices = _show()
    while True:
        try:
            text = hear()
        except EndOfInputError:
            text = _LEAVE[0]
        if text.casefold() in _LEAVE:
            say("Left. Everything is saved.")
            return 0
        command = _meant(text, choices, known) if text else []
        if command:
            _do(command, verbs)
        if command or not text:
            choices = _show()


def _show() -> list[_Choice]:
    """Say where everything stands, and return what can be chosen by its number."""
    choices: list[_Choice] = []
    try:
        if not logbook_path().exists():
            shelf = [_add(kind) for kind in ("machine", "cylinder", "yarn")]
            _numbered("Your logbook is still empty. First put on the shelf what you knit with:", shelf, choices)
            return choices
        with open_book() as book:
            glance = look(book.store)
            for place, heading in _PLACES.items():
                here = [_Choice(f"{one.title}: {one.hands}", _crank(one.id)) for one in glance.at(place)]  # type: ignore[arg-type]
                _numbered(f"{heading}:", here, choices)
            known = {one.id for one in glance.standing}
            ahead = [choice for one in glance.next if one.session not in known for choice in _suggested(book, one)]
            _numbered("What to do next:", ahead, choices)
    except LogbookError as error:
        say(str(error))
    return choices


def _numbered(heading: str, lines: Sequence[_Choice], choices: list[_Choice]) -> None:
    """Say what can be chosen under a heading, where there is anything."""
    if lines:
        say(heading)
    for line in lines:
        choices.append(line)
        say(f"{len(choices)}  {line.words}")


def _crank(session: str) -> tuple[str, ...]:
    return ("crank", session, "--plain")


def _add(kind: str) -> _Choice:
    return _Choice(f"add a {kind}", ("shelf", "add", kind))


def _suggested(book: Logbook, one: Suggestion) -> list[_Choice]:
    """What a suggestion of the bench comes to here."""
    if one.doing == "shelf":
        return [_add(kind) for kind in ("machine", "cylinder", "yarn") if f"a {kind}" in one.words]
    if one.doing == "open":
        return [_Choice(one.words, _crank(one.session))]
    chosen = [word for name, thing in one.chosen for word in (f"--{name}", thing)]
    if one.doing == "plan":
        return [_Choice(one.words, ("plan", *chosen))]
    kind: str = one.doing
    if kind == "sock":
        plan = book.get(Plan, dict(one.chosen).get("plan", ""))
        kind = "twin" if plan is not None and "promise" not in dict(one.chosen) and firsts(book, plan) else "sock"
    return [_Choice(one.words, ("start", kind, *chosen))]


def _meant(text: str, choices: Sequence[_Choice], known: Sequence[str]) -> list[str]:
    """The command line that was chosen or typed; empty where it was none, which is said."""
    if text.isdecimal():
        if 1 <= int(text[:4]) <= len(choices):
            return list(choices[int(text[:4]) - 1].run)
        say(f"There is no {quoted(text)} here: the numbers go from 1 to {len(choices)}.")
        return []
    try:
        words = shlex.split(text)
    except ValueError:
        say("A quotation mark is missing its other half.")
        return []
    first = words[0].casefold() if words else ""
    if first in ("help", "?") and len(words) == 1:
        for word, (what, _) in _ALWAYS.items():
            say(f"{word}: {what}")
        say("Every verb of the command line works here, too, such as: shelf add yarn, stock, help gauge.")
        return []
    if first in _ALWAYS and len(words) == 1:
        return list(_ALWAYS[first][1])
    if first in known or first == "help":
        return words
    near = nearest(first, [*_ALWAYS, *known])
    say(f"{quoted(text)} is not one of them.{near} Type a number, or help; Enter says them again.")
    return []


def _do(command: list[str], verbs: Callable[[list[str]], int]) -> None:
    if command[0] == "plan" or (command[0] == "start" and len(command) > 1):  # how to go on from here is a number
        command = [*command, "--briefly"]
    try:
        verbs(command)
    except (LogbookError, ValueError) as error:
        say(str(error))
    except SystemExit:  # argparse leaves this way after --help
        pass
