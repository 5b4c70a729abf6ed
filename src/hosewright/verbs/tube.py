"""A tube's numbers as options of several verbs: its slots, its rates with their errors, its yarn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, read_number, read_whole
from hosewright.craft.yarn import read_yarn_count

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.measured import Measured
    from hosewright.verbs.parsing import Parser


def add_rates(parser: Parser, *, required: bool) -> None:
    """Options for rows and stitches per length with their errors."""
    for name in ("rows", "stitches"):
        rate = parser.add_mutually_exclusive_group(required=required)
        rate.add_argument(f"--{name}-per-in", metavar="N", help=f"{name} per inch, washed")
        rate.add_argument(f"--{name}-per-cm", metavar="N", help="the same per cm")
        parser.add_argument(f"--{name}-error", metavar="N", help="its error (after the ±), in the same unit")


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
