"""A tube's numbers as options of several verbs: its slots, its rates with their errors, its yarn, where the dial is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS
from hosewright.craft.dial import Dial, read_position
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, read_length, read_number, read_whole
from hosewright.craft.yarn import read_yarn_count
from hosewright.session.search import MOST_CLICKS
from hosewright.verbs.parsing import UsageError

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.measured import Measured
    from hosewright.verbs.parsing import Parser

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
