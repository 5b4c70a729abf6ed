"""What the verbs share: the option parser, a tube's options, the usual units, and how an answer is printed."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, read_number, read_whole
from hosewright.craft.yarn import read_yarn_count
from hosewright.phrases.harmless import harmless
from hosewright.phrases.lists import aligned as aligned  # the verbs take it from here
from hosewright.places import settings_path
from hosewright.settings.loading import load

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterable, Mapping

    from hosewright.craft.measured import Measured
    from hosewright.settings.table import Settings

LONGEST_COMPLAINT = 300


class UsageError(ValueError):
    """The options do not fit together; the text is a sentence for the person."""


class Parser(argparse.ArgumentParser):
    """An option parser that complains in one sentence instead of a usage dump."""

    def __init__(self, verb: str, what: str, example: str) -> None:
        super().__init__(
            prog=f"hosewright {verb}",
            description=what[0].upper() + what[1:] + ".",
            epilog=f"Example:\n  {example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )

    def error(self, message: str) -> NoReturn:
        safe = "".join(c if c.isprintable() else "?" for c in message)[:LONGEST_COMPLAINT].rstrip(".")
        raise UsageError(f"{safe[0].upper()}{safe[1:]}; `{self.prog} --help` shows how.")

    def add_json(self) -> None:
        self.add_argument("--json", action="store_true", help="print JSON: one object, or one a line for a list")


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


def put_each(facts: Iterable[Mapping[str, Any]]) -> int:
    """Print a list as JSON, an object a line; returns exit code 0."""
    for one in facts:
        print(json.dumps(one, allow_nan=False))
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
    parser.add_argument("--output", metavar="FILE", help="write it into a new file")
    if html:
        parser.add_argument("--html", action="store_true", help="as one page to print, A4 or Letter (else Markdown)")


def no_options(_parser: Parser) -> None:
    """For a verb with nothing but --json."""


def safe(text: str) -> str:
    """Typed text without anything that could drive a terminal."""
    return harmless(text)


def sentences(notes: Iterable[str]) -> list[str]:
    """Notes as a text shows them, set off by an empty line."""
    said = list(notes)
    return ["", *said] if said else []


def add_rates(parser: Parser, *, required: bool) -> None:
    """Options for rows and stitches per length with their errors."""
    for name in ("rows", "stitches"):
        rate = parser.add_mutually_exclusive_group(required=required)
        rate.add_argument(f"--{name}-per-in", metavar="N", help=f"{name} per inch, washed")
        rate.add_argument(f"--{name}-per-cm", metavar="N", help="the same per cm")
        parser.add_argument(f"--{name}-error", metavar="N", help="its standard error, in the same unit")


def add_yarn(parser: Parser) -> None:
    """Options for the yarn's count."""
    known = parser.add_mutually_exclusive_group()
    known.add_argument("--yarn", metavar="COUNT", help="the yarn, as its label has it: “437 yd/100g”, “tex 238”")
    known.add_argument("--m-per-100g", metavar="METRES", help="or its metres in 100 g")


def read_yarn(args: Namespace) -> float | None:
    """Metres in 100 g of the yarn typed, None for none. Raises CraftError."""
    if args.yarn is not None:
        return read_yarn_count(args.yarn).m_per_100g
    if args.m_per_100g is None:
        return None
    return read_number(args.m_per_100g, what="metres per 100 g", least=1, most=100_000)


def read_slots(text: str) -> int:
    """Slots with a needle in work. Raises CraftError."""
    return read_whole(text, what="number of slots", least=LEAST_SLOTS, most=MOST_SLOTS)


def read_rates(args: Namespace) -> tuple[Measured, Measured]:
    """Rows and stitches per mm. Raises CraftError."""
    return (
        _rate(args.rows_per_in, args.rows_per_cm, args.rows_error, "rows"),
        _rate(args.stitches_per_in, args.stitches_per_cm, args.stitches_error, "stitches"),
    )


def _rate(per_in: str | None, per_cm: str | None, error_text: str | None, what: str) -> Measured:
    typed, mm = (per_in, MM_PER_INCH) if per_in is not None else (per_cm or "", MM_PER_CM)
    value = read_number(typed, what=f"number of {what}", least=0.1, most=100)
    error = 0.0 if error_text is None else read_number(error_text, what=f"error of the {what}", least=0, most=value)
    return measured(value / mm, error / mm)
