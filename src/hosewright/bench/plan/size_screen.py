"""Every size from child to large adult for one gauge and the cylinders owned."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from hosewright.bench.plan.gauge_screen import GaugeScreen
from hosewright.craft.dial import show_position
from hosewright.craft.errors import CraftError
from hosewright.craft.fit import PLAIN_EASE
from hosewright.craft.size_table import STEP_MM, SizeRow, size_table
from hosewright.craft.sock import LENGTH_EASE_MM
from hosewright.craft.units import read_number, read_whole, show_length
from hosewright.paper.html_page import sheet_of
from hosewright.paper.size_sheet import size_sheet, table_lines
from hosewright.places import data_folder, write_private
from hosewright.planning.reading import read_length_or_none
from hosewright.session.hazards import FEET_AT_RISK

if TYPE_CHECKING:
    from hosewright.planning.knit import Knit

WIDE = 112
NARROW_LEAVES_OUT = ("Girth mm", "95 of 100", "Toe")


class SizeScreen(GaugeScreen):
    """The table, and the page to pin to the wall."""

    HEADING = "Sizes"
    LINES: ClassVar = (
        ("ease", "Ease round, %", "10 is usual for plain knitting"),
        ("shorter", "Ease in length", "how much shorter than the foot"),
        ("step", "Step, mm", "of foot length, 5 to 40"),
    )
    EXPLAIN = (
        "Rows, heel, toe and cylinder for every size, from one gauge and the cylinders you own. Ctrl+S writes the "
        "whole table as a page to print and pin to the wall."
    )
    BINDINGS = [Binding("ctrl+s", "write", "Write the page")]

    def usual(self) -> dict[str, str]:
        """The usual eases, and a step of 10 mm."""
        return {
            "ease": f"{PLAIN_EASE * 100:.0f}",
            "shorter": show_length(LENGTH_EASE_MM, self.unit),
            "step": str(STEP_MM),
        }

    def _asked(self) -> tuple[float, float, int]:
        percent = self.typed("ease", lambda text: read_number(text, what="ease round", least=0, most=50))
        shorter = self.typed("shorter", lambda text: read_length_or_none(text, self.unit, "ease", 100.0))
        step = self.typed("step", lambda text: read_whole(text, what="step", least=5, most=40))
        return (
            PLAIN_EASE if percent is None else percent / 100,
            LENGTH_EASE_MM if shorter is None else shorter,
            STEP_MM if step is None else int(step),
        )

    def _rows(self, knit: Knit, ease: float, shorter: float, step: int) -> tuple[SizeRow, ...]:
        return size_table(
            rows_per_mm=knit.rows,
            tube=knit.fit_cylinder,
            circumference=knit.circumference,
            loop_mm=knit.loop_mm,
            cylinders=knit.owned,
            ease=ease,
            length_ease_mm=shorter,
            step_mm=step,
        )

    def answer(self, knit: Knit) -> str:
        """The table, with the columns there is room for."""
        rows = self._rows(knit, *self._asked())
        table = table_lines(rows, () if self.size.width >= WIDE else NARROW_LEAVES_OUT)
        return "\n".join([fill(FEET_AT_RISK, max(20, self.size.width - 6)), "", *table])

    def action_write(self) -> None:
        """Write the page to print, and its Markdown, beside the other printed pages."""
        knit = self.knit
        if knit is None:
            return
        yarn = knit.yarn.name if knit.yarn else knit.gauge.yarn
        try:
            ease, shorter, step = self._asked()
            page = size_sheet(
                self._rows(knit, ease, shorter, step),
                title=yarn,
                rows_per_mm=knit.rows,
                stitches_per_mm=knit.stitches,
                tube=knit.fit_cylinder,
                ease=ease,
                length_ease_mm=shorter,
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
