"""Options that stand apart from what is done: those of several verbs, and those of the year's verbs.

A tube typed out: its slots, its rates with their errors, its yarn, where the dial is. The year's work brings in the
records, and with them pydantic, so its options are read here first: a help page and a slip wait for neither.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS
from hosewright.craft.dial import Dial, read_position
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, read_length, read_number, read_whole
from hosewright.craft.yarn import read_yarn_count
from hosewright.session.search import MOST_CLICKS
from hosewright.verbs.parsing import Parser, UsageError

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable

    from hosewright.craft.measured import Measured

LONGEST_CLICKS = 6


def add_rates(parser: Parser, *, required: bool) -> None:
    """Options for rows and stitches per length with their errors."""
    for name in ("rows", "stitches"):
        rate = parser.add_mutually_exclusive_group(required=required)
        rate.add_argument(f"--{name}-per-in", metavar="N", help=f"{name} per inch, washed")
        rate.add_argument(f"--{name}-per-cm", metavar="N", help="the same per cm")
        parser.takes(f"--{name}-error", "N", "its error (after the ±), in the same unit")


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


def dial_of(args: Namespace) -> Dial:
    """The dial that ``--pitch`` and ``--clicks-per-turn`` describe. Raises CraftError."""
    per_turn = read_whole(args.clicks_per_turn, what="clicks per turn", least=1, most=64)
    return Dial(None if args.pitch is None else read_length(args.pitch, "mm", what="pitch"), per_turn)


def read_clicks(text: str, per_turn: int) -> int:
    """Clicks below zero; a bare whole number is clicks here, turns must say so."""
    bare = text.strip()
    clicks = int(bare) if bare.isdecimal() and len(bare) < LONGEST_CLICKS else read_position(bare, per_turn)
    if clicks > MOST_CLICKS:
        raise UsageError(f"A dial position is from 0 to {MOST_CLICKS} clicks below zero, and {clicks} was typed.")
    return clicks


# --- the year's verbs -------------------------------------------------------------------------------------------------


def run_stock(argv: list[str]) -> int:
    parser = Parser("stock", "yarn bought, used, promised and left, by dye lot", '"Slack Water"')
    parser.takes("yarn", "YARN", "its name or part of it, or its id: its ledger, too", nargs="?")
    parser.flag("--old", "retired lots, too")
    return _do("stock", parser.parse_args(argv))


def run_pairs(argv: list[str]) -> int:
    parser = Parser("pairs", "the pairs promised, how far each is, and its hours", "--week")
    parser.flag("--week", "only those due this week or overdue, and their hours")
    parser.flag("--old", "those handed over or called off, too")
    return _do("pairs", parser.parse_args(argv))


def run_care_card(argv: list[str]) -> int:
    parser = Parser(
        "care-card",
        "the card that goes with a pair: fibre, size by the scales, care as text, the wash its gauge tube was given",
        "coxswain-grey --output card.html",
    )
    parser.takes(
        "id", "ID", "a promised pair (`hosewright pairs`), by its id or what it is called, or the session of a sock"
    )
    parser.takes("--output", "FILE", "write it into a new file: .html, .md or .txt")
    return _do("care_card", parser.parse_args(argv))


def run_care(argv: list[str]) -> int:
    parser = Parser("care", "what each machine has cranked since it was oiled, and what was done to it", '"Grey"')
    parser.takes("machine", "MACHINE", "its name or part of it, or its id; without it, every machine", nargs="?")
    parser.flag("--oiled", "note that it was oiled just now")
    args = parser.parse_args(argv)
    if args.oiled and args.machine is None:
        raise UsageError("Say which machine was oiled: `hosewright care MACHINE --oiled`.")
    return _do("care", args)


def _do(what: str, args: Namespace) -> int:
    """What the verb does, by the options read."""
    do: Callable[[Namespace], int] = getattr(import_module("hosewright.verbs.year"), f"put_{what}")
    return do(args)
