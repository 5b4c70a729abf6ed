"""What the verbs share: the option parser, the usual units, and how an answer is printed."""

from __future__ import annotations

import argparse
import json
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from hosewright.craft.units import quoted
from hosewright.phrases.harmless import harmless
from hosewright.phrases.lists import aligned as aligned  # the verbs take it from here
from hosewright.phrases.lists import nearest
from hosewright.places import settings_path
from hosewright.settings.loading import load

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hosewright.settings.table import Settings

safe = harmless  # typed text without anything that could drive a terminal
LONGEST_COMPLAINT = 300
# What argparse says, and how a person would. The words differ a little from one Python to the next.
_COMPLAINTS = (
    (r"^the following arguments are required: (.*)$", r"still missing: \1"),
    (r"^argument (\S+): expected (?:one argument|at least one argument)$", r"after \1 comes a value"),
    (r"^argument (\S+): invalid choice: '(.*)' \(choose from (.*)\)$", r"\1 cannot be “\2”: type one of \3"),
    (r"^argument (\S+): not allowed with argument (\S+)$", r"\1 and \2 do not go together"),
    (r"^one of the arguments (.*) is required$", r"one of these is needed: \1"),
)


class UsageError(ValueError):
    """The options do not fit together; the text is a sentence for the person."""


class Parser(argparse.ArgumentParser):
    """An option parser that complains in one sentence instead of a usage dump."""

    def __init__(self, verb: str, what: str, example: str, *, json: bool = True) -> None:
        """``example``: what may be typed behind the verb. ``json``: whether it can answer so, by the last option."""
        super().__init__(
            prog=f"hosewright {verb}",
            description=what[0].upper() + what[1:] + ".",
            epilog=f"Example:\n  hosewright {verb} {example}".rstrip(),
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        self.words_with_hyphens = False  # "-dropped" is a word to it, not an option
        self._json = json

    def error(self, message: str) -> NoReturn:
        told = "".join(c if c.isprintable() else "?" for c in message)[:LONGEST_COMPLAINT].rstrip(".")
        for said, better in _COMPLAINTS:
            told = re.sub(said, better, told)
        if told.startswith("one of these"):
            told = told.replace(" --", " or --").replace(": or", ":")
        if " cannot be " in told:
            told = told.replace("'", "")  # round each choice
        if extra := re.match("unrecognized arguments: (.*)", told):
            told = f"{quoted(extra[1])} is too much here"
        raise UsageError(f"{told[0].upper()}{told[1:]}. `{self.prog} --help` shows how.")

    def parse_args(self, typed: list[str]) -> argparse.Namespace:  # type: ignore[override]
        """The options. Raises UsageError; an option that there is not is said first, whatever else is wrong."""
        if self._json:
            self.add_json()
        for word in typed:
            name = word.partition("=")[0]
            if word.startswith("--") and name != "--" and name not in self._option_string_actions:
                meant = nearest(name, self._option_string_actions)
                raise UsageError(f"There is no option {quoted(name)} here.{meant} `{self.prog} --help` shows how.")
        if self.words_with_hyphens:  # what begins with a space is no option to argparse
            typed = [f" {word}" if re.match(r"-[^-h]|-h.", word) else word for word in typed]
        return super().parse_args(typed)

    def takes(self, name: str, called: str, said: str, **more: Any) -> None:
        """An option with a value, or a value by its place; the help says how it is ``called`` and what is ``said``."""
        self.add_argument(name, metavar=called, help=said, **more)

    def flag(self, name: str, said: str) -> None:
        """An option that is there or not."""
        self.add_argument(name, action="store_true", help=said)

    def add_json(self) -> None:
        self.flag("--json", "print JSON: one object, or one per line for a list")
        self._json = False


def put_overview(first: str, verbs: Mapping[str, str], last: str = "") -> int:
    """Print how a verb of several is used, and what each does, by name; returns exit code 0."""
    width = max(map(len, verbs))
    print(first, "", *(f"  {name:<{width}}  {what}" for name, what in verbs.items()), sep="\n")
    if last:
        print(f"\n{last}")
    return 0


def usual() -> Settings:
    """The knitter's settings, or the built-in ones; what cannot be used in their file is told on the way."""
    settings, troubles = load(settings_path())
    tell(troubles)
    return settings


def tell(troubles: Iterable[str]) -> None:
    """Say what is wrong and does not stop the verb, beside its answer."""
    for trouble in troubles:
        print(f"hosewright: {safe(trouble)}", file=sys.stderr)


def put(answer: Mapping[str, Any], lines: Iterable[str], *, as_json: bool) -> int:
    """Print the answer as JSON (ASCII, so any terminal can take it) or as lines; returns exit code 0."""
    print(json.dumps(answer, allow_nan=False) if as_json else "\n".join(lines))
    return 0


def named(thing: object, *names: str) -> dict[str, Any]:
    """What ``thing`` has by these names, for an answer."""
    return {name: getattr(thing, name) for name in names}


def put_each(facts: Iterable[Mapping[str, Any]], lines: Iterable[str] = (), *, as_json: bool = True) -> int:
    """Print a list as JSON, one object per line, or as lines; returns exit code 0."""
    for one in facts if as_json else ():
        print(json.dumps(one, allow_nan=False))
    if not as_json:
        print("\n".join(lines))
    return 0


def write_or_print(text: str, output: str | None, about: dict[str, object], *, as_json: bool) -> int:
    """Print a text, or write it into a new file and say so. Raises LogbookError."""
    if output is not None:
        from hosewright.logbook.travel.folders import write_new  # brings pydantic, which few verbs need

        write_new(Path(output), text)
        return put(about | {"file": output}, [f"Written: {output}"], as_json=as_json)
    if as_json:
        return put(about | {"text": text}, [], as_json=True)
    sys.stdout.write(text)
    return 0


def add_output(parser: Parser, *, html: bool = False) -> None:
    """Where a page goes, and with ``html`` in which form."""
    parser.takes("--output", "FILE", "write it into a new file")
    if html:
        parser.flag("--html", "as one page to print, A4 or Letter (else Markdown)")


def one_session(parser: Parser) -> None:
    """Which session it is of."""
    parser.takes("session", "ID", "the session's id, or enough of it to tell it from the others")


def sentences(notes: Iterable[str]) -> list[str]:
    """Notes as a text shows them, set off by an empty line."""
    said = list(notes)
    return ["", *said] if said else []
