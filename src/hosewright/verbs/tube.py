"""What the verbs share that start from one measured tube: typed out in full, or taken from the logbook."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hosewright.craft.dial import CLICKS_PER_TURN, show_position
from hosewright.craft.errors import LEAST_SLOTS, MOST_SLOTS
from hosewright.craft.fit import CylinderSize
from hosewright.craft.loops import loop_length_mm
from hosewright.craft.measured import measured
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, quoted, read_length, read_number, read_whole
from hosewright.verbs.book import open_book
from hosewright.verbs.parsing import Parser, UsageError, usual

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.craft.measured import Measured

_CYLINDER = re.compile(r"\s*(\d{1,3})\s*(?::(.*))?")


@dataclass(frozen=True, slots=True)
class MeasuredTube:
    """A gauge and where it comes from. ``owned`` are all the cylinders to look at, the tube's own too."""

    rows: Measured
    stitches: Measured
    tube: CylinderSize
    owned: tuple[CylinderSize, ...]
    state: str = "full"
    title: str = ""
    dial: str = ""
    trial: str | None = None
    stretched_width_mm: float | None = None

    @property
    def circumference(self) -> Measured:
        """Round the tube, mm."""
        return self.tube.slots / self.stitches

    @property
    def loop_mm(self) -> Measured:
        """Yarn in a loop, mm."""
        return loop_length_mm(self.rows, self.state)


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


def read_rate(per_in: str | None, per_cm: str | None, error_text: str | None, what: str) -> Measured:
    """Rows or stitches per mm."""
    typed, mm = (per_in, MM_PER_INCH) if per_in is not None else (per_cm or "", MM_PER_CM)
    value = read_number(typed, what=f"number of {what}", least=0.1, most=100)
    error = 0.0 if error_text is None else read_number(error_text, what=f"error of the {what}", least=0, most=value)
    return measured(value / mm, error / mm)


def read_tube(args: Namespace) -> MeasuredTube:
    """The tube meant. Raises UsageError, CraftError or LogbookError with a sentence."""
    rates = (args.rows_per_in or args.rows_per_cm, args.stitches_per_in or args.stitches_per_cm)
    if args.tube is not None:
        if args.slots or any(rates) or args.cylinders:
            raise UsageError("Type --tube alone, or the tube's slots, rows and stitches; not both.")
        return _from_logbook(args.tube)
    if not args.slots or not all(rates):
        raise UsageError("Type --tube with a session of the logbook, or --slots with rows and stitches per inch or cm.")

    unit = usual().length_unit
    across = None if args.diameter is None else read_length(args.diameter, unit, what="diameter")
    own = CylinderSize(read_whole(args.slots, what="number of slots", least=LEAST_SLOTS, most=MOST_SLOTS), across)
    return MeasuredTube(
        read_rate(args.rows_per_in, args.rows_per_cm, args.rows_error, "rows"),
        read_rate(args.stitches_per_in, args.stitches_per_cm, args.stitches_error, "stitches"),
        own,
        (own, *(one for one in _cylinders(args.cylinders or "", across, unit) if one != own)),
        args.state,
        f"{own.slots} slots",
    )


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


def _from_logbook(beginning: str) -> MeasuredTube:
    # Only here: a tube that is typed out needs no logbook, and pydantic is a third of the time of such a verb.
    from hosewright.logbook.find.evidence import as_fitted, measured_tube
    from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn

    with open_book() as book:
        line = book.store.find(beginning)
        gauge = next((one for one in book.gauges() if one.session == line.id), None)
        if gauge is None:
            raise UsageError(f"Session {line.id} has no measured tube: choose one with a gauge.")
        shelf = {one.id: one for one in book.shelf(Cylinder, retired=True)}
        own = as_fitted(shelf.get(gauge.cylinder), gauge.slots)
        others = [as_fitted(c, c.slots) for c in shelf.values() if c.id != gauge.cylinder and not c.retired]
        machine, yarn = book.get(Machine, gauge.machine), book.get(Yarn, gauge.yarn)
        tube = measured_tube(book, line.id, usual().tape_error_mm)
    if tube is None:
        raise UsageError(f"The readings of session {line.id} cannot be a tube's: choose another.")
    return MeasuredTube(
        tube.gauge.rows_per_mm,
        tube.gauge.stitches_per_mm,
        own,
        (own, *others),
        title=yarn.name if yarn else gauge.yarn,
        dial=show_position(gauge.dial, machine.clicks_per_turn if machine else CLICKS_PER_TURN),
        trial=gauge.on_foot or None,
        stretched_width_mm=tube.stretched_width_mm,
    )


def read_share(text: str, what: str) -> float:
    """A percentage as a share; "10" and "10 %" are 0.1."""
    return read_number(text.strip().removesuffix("%"), what=what, least=0, most=50) / 100
