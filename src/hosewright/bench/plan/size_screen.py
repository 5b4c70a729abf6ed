"""Every size from child to large adult for one gauge and the cylinders owned."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from textual.binding import Binding

from hosewright.bench.plan.gauge_screen import GaugeScreen
from hosewright.craft.dial import show_position
from hosewright.craft.errors import CraftError
from hosewright.craft.size_table import SizeRow
from hosewright.paper.html_page import sheet_of
from hosewright.paper.size_sheet import size_sheet, table_lines
from hosewright.places import data_folder, write_private
from hosewright.planning.typed import EASE_ROUND, SIZE_STEP, length_ease
from hosewright.session.steps.hazards import FEET_AT_RISK

if TYPE_CHECKING:
    from hosewright.craft.size_table import SizeRow
    from hosewright.phrases.field import Field
    from hosewright.planning.gauges import Knit

WIDE = 112
NARROW_LEAVES_OUT = ("Girth mm", "95 of 100", "Toe")


class SizeScreen(GaugeScreen):
    """The table, and the page to pin to the wall."""

    HEADING = "Sizes"
    EXPLAIN = (
        "Rows, heel, toe and cylinder for every size, from one gauge and the cylinders you own. Ctrl+S writes the "
        "whole table as a page to print and pin to the wall."
    )
    BINDINGS = [Binding("ctrl+s", "write", "Write the page")]

    def fields(self) -> tuple[Field, ...]:
        """Both eases, and the step from size to size."""
        return EASE_ROUND, length_ease("shorter", self.unit), SIZE_STEP

    def _rows(self, knit: Knit) -> tuple[SizeRow, ...]:
        typed = self.values
        return knit.fabric.sizes(ease=typed["ease"], length_ease_mm=typed["shorter"], step_mm=typed["step"])

    def answer(self, knit: Knit) -> str:
        """The table, with the columns there is room for."""
        rows = self._rows(knit)
        table = table_lines(rows, () if self.size.width >= WIDE else NARROW_LEAVES_OUT)
        return "\n".join([fill(FEET_AT_RISK, max(20, self.size.width - 6)), "", *table])

    def action_write(self) -> None:
        """Write the page to print, and its Markdown, beside the other printed pages."""
        knit = self.knit
        if knit is None:
            return
        yarn = knit.yarn.name if knit.yarn else knit.gauge.yarn
        if len(self.values) < len(self.lines):
            self.app.notify("The page is not written: correct the line marked ! first.", severity="error")
            return
        try:
            fabric = knit.fabric
            page = size_sheet(
                self._rows(knit),
                title=yarn,
                rows_per_mm=fabric.rows,
                stitches_per_mm=fabric.stitches,
                tube=fabric.cylinder,
                ease=self.values["ease"],
                length_ease_mm=self.values["shorter"],
                dial=show_position(knit.gauge.dial, knit.dial.clicks_per_turn),
                unit=self.unit,
            )
            folder = data_folder() / "prints"
            path = folder / f"sizes-{knit.gauge.session}.html"
            write_private(path, sheet_of(f"Sizes: {yarn}", page))
            write_private(path.with_suffix(".md"), page)
        except (CraftError, OSError) as error:
            self.app.notify(f"The page is not written: {error}", severity="error", markup=False)
            return
        said = f"One sheet to print: {path}. The same as Markdown lies beside it."
        self.app.notify(said, title="Sizes", markup=False, timeout=15)
