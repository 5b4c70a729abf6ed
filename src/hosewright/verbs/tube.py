"""What the verbs share that start from a tube: its rates and its yarn typed out, or the tube taken from the logbook."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from hosewright.craft.errors import LEAST_SLOTS, MOST_SLOTS
from hosewright.craft.fit import CylinderSize
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, quoted, read_length, read_number, read_whole
from hosewright.craft.yarn import read_yarn_count
from hosewright.planning.fabric import Fabric
from hosewright.verbs.book import open_book
from hosewright.verbs.parsing import Parser, UsageError, usual

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.measured import Measured

_CYLINDER = re.compile(r"\s*(\d{1,3})\s*(?::(.*))?")


def add_rates(parser: Parser, *, required: bool) -> None:
    """Options for rows and stitches per length with their errors."""
    for name in ("rows", "stitches"):
        rate = parser.add_mutually_exclusive_group(required=required)
        rate.add_argument(f"--{name}-per-in", metavar="N", help=f"{name} per inch, washed")
        rate.add_argument(f"--{name}-per-cm", metavar="N", help="the same per cm")
        parser.add_argument(f"--{name}-error", metavar="N", help="its standard error, in the same unit")


def add_tube(parser: Parser) -> None:
    """Options for a tube: from the logbook, or typed out."""
    parser.add_argument("--tube", metavar="ID", help="a measured tube in the logbook, with the cylinders on the shelf")
    parser.add_argument("--slots", help="or: slots of the tube's cylinder")
    parser.add_argument(
        "--diameter", metavar="LENGTH", help="across its needles; where not measured, 11 cm is assumed, and said"
    )
    add_rates(parser, required=False)
    parser.add_argument(
        "--cylinders", metavar="LIST", help="the others: slots, and across where known: “54, 80:112 mm”"
    )
    parser.add_argument("--state", default="full", help="how far the tube had relaxed: dry, wet or full (full)")


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


def read_tube(args: Namespace) -> tuple[Fabric, str]:
    """The tube meant, and what it is called. Raises UsageError, CraftError or LogbookError with a sentence."""
    rates = (args.rows_per_in or args.rows_per_cm, args.stitches_per_in or args.stitches_per_cm)
    if args.tube is not None:
        if args.slots or any(rates) or args.cylinders:
            raise UsageError("Type --tube alone, or the tube's slots, rows and stitches; not both.")
        return _from_logbook(args.tube)
    if not args.slots or not all(rates):
        raise UsageError("Type --tube with a session of the logbook, or --slots with rows and stitches per inch or cm.")
    unit = usual().length_unit
    across = None if args.diameter is None else read_length(args.diameter, unit, what="diameter")
    own = CylinderSize(read_slots(args.slots), across)
    others = tuple(one for one in _cylinders(args.cylinders or "", across, unit) if one != own)
    rows, stitches = read_rates(args)
    return Fabric(rows=rows, stitches=stitches, cylinder=own, others=others, state=args.state), f"{own.slots} slots"


def _cylinders(text: str, across_mm: float | None, unit: str) -> tuple[CylinderSize, ...]:
    found = []
    for item in re.split(r"[,;]", text):
        if not item.strip():
            continue
        typed = _CYLINDER.fullmatch(item)
        if typed is None:
            raise UsageError(
                f"The cylinder {quoted(item)} is not one: type its slots, and a colon and its diameter where known."
            )
        mm = across_mm if typed[2] is None else read_length(typed[2], unit, what="diameter")
        found.append(CylinderSize(int(typed[1]), mm))
    return tuple(found)


def _from_logbook(beginning: str) -> tuple[Fabric, str]:
    # Only here: a tube that is typed out needs no logbook, and pydantic is a third of the time of such a verb.
    from hosewright.planning.gauges import read_knits, with_readings

    with open_book() as book:
        line = book.store.find(beginning)
        knit = read_knits(book).get(line.id)
        if knit is None:
            raise UsageError(f"Session {line.id} has no measured tube: choose one with a gauge.")
        knit = with_readings(book, knit, usual().tape_error_mm)
    if knit.tube is None:
        raise UsageError(f"The readings of session {line.id} cannot be a tube's: choose another.")
    return knit.fabric, knit.yarn.name if knit.yarn else knit.gauge.yarn
