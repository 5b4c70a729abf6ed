"""Every size on one page, to pin to the wall: for one gauge and the cylinders there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.fit import assumed_diameters
from hosewright.craft.measured import error, nominal
from hosewright.craft.size_table import HEADINGS
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, plus_minus, show_length
from hosewright.phrases.harmless import table, typed
from hosewright.phrases.lists import aligned

if TYPE_CHECKING:
    from hosewright.craft.fit import CylinderSize
    from hosewright.craft.measured import Measured
    from hosewright.craft.size_table import SizeRow

GROUPS = {"child": "Children", "women": "Women", "men": "Men"}
READ_BESIDE = (
    "Girths are estimates: adults from measured feet, children by our assumption. A tape measure is better.",
    "Foot in mm; rows are those of the foot.",
    "Heel and toe: needles, left in work, passes. * is predicted: crank a short tube on that cylinder first.",
)


def table_lines(rows: tuple[SizeRow, ...], leave_out: tuple[str, ...] = ()) -> list[str]:
    """The table in columns of plain text, headings first, then what to read with it; ``leave_out`` names headings."""
    shown = [at for at, heading in enumerate(HEADINGS) if heading not in leave_out]
    cells = [tuple(line[at] for at in shown) for line in (HEADINGS, *(row.cells() for row in rows))]
    return [*aligned(cells), "", *READ_BESIDE, *_notes(rows)]


def size_sheet(
    rows: tuple[SizeRow, ...],
    *,
    title: str,
    rows_per_mm: Measured,
    stitches_per_mm: Measured,
    tube: CylinderSize,
    ease: float,
    length_ease_mm: float,
    dial: str = "",
    unit: str = "in",
) -> str:
    """The size table as one Markdown page. ``title`` names the yarn; ``dial`` is its position in words."""
    per_in, per_cm = (
        [plus_minus(nominal(rate) * per, error(rate) * per, 2) for rate in (rows_per_mm, stitches_per_mm)]
        for per in (MM_PER_INCH, MM_PER_CM)
    )
    lines = [
        f"# Sizes: {typed(title)}",
        "",
        f"- Gauge, washed: {per_in[0]} rows and {per_in[1]} stitches per in; {per_cm[0]} and {per_cm[1]} per cm",
        f"- Measured on {typed(tube.label)}{f', dial {dial}' if dial else ''}",
        f"- Ease: {ease * 100:.0f} % round, {show_length(length_ease_mm, unit)} in length",
        "",
    ]
    for group, name in GROUPS.items():
        found = [row for row in rows if row.group == group]
        if found:
            lines += [f"## {name}", "", *table(HEADINGS[1:], map(_cells, found))]
    return "\n".join(
        [
            *lines,
            *(said.replace("*", r"\*") for said in READ_BESIDE),
            *(f"\n{typed(note)}" for note in _notes(rows)),
            "",
        ]
    )


def _notes(rows: tuple[SizeRow, ...]) -> list[str]:
    predicted = [row.fit.cylinder for row in rows if not row.fit.measured]
    return [*sorted({row.note for row in rows if row.note}), *assumed_diameters(predicted, "mm")]


def _cells(row: SizeRow) -> tuple[str, ...]:
    """A line of the table; only a cylinder's name was typed by a person."""
    return tuple(
        typed(cell) if heading == "Cylinder" else cell
        for heading, cell in zip(HEADINGS[1:], row.cells()[1:], strict=True)
    )
