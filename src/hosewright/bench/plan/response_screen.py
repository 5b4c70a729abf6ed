"""What a click of the dial does to this yarn here, drawn, and which click gives a gauge."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.plan.gauge_screen import GaugeScreen
from hosewright.craft.measured import nominal
from hosewright.craft.response import click_for
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH
from hosewright.paper.charts import LEGEND, plot
from hosewright.planning.typed import rows_wanted
from hosewright.words.machine import answer_lines

if TYPE_CHECKING:
    from hosewright.craft.response import ClickAnswer
    from hosewright.phrases.field import Field
    from hosewright.planning.gauges import Knit

LEAST_HIGH, MOST_HIGH = 7, 18


class ResponseScreen(GaugeScreen):
    """Tubes, line, and the answer."""

    HEADING = "Dial response"
    EXPLAIN = (
        "Every tube of one yarn on one machine and cylinder, rows per length against the dial, with the line fitted "
        "through them. Type the rows you want: it says which click gives them, and how surely."
    )

    def fields(self) -> tuple[Field, ...]:
        """The rows wanted."""
        return (rows_wanted(self.unit),)

    def offered(self) -> dict[str, Knit]:
        """The newest gauge of each yarn on each machine and cylinder: all its tubes come with it."""
        found: dict[tuple[str, str, str], tuple[str, Knit]] = {}
        for name, knit in self.shelf.gauges.items():
            gauge = knit.gauge
            found.setdefault((gauge.yarn, gauge.machine, gauge.cylinder), (name, knit))
        return dict(found.values())

    @property
    def per_mm(self) -> float:
        """From rows per mm to rows per inch or per cm."""
        return MM_PER_INCH if self.unit == "in" else MM_PER_CM

    def answer(self, knit: Knit) -> str:
        """The plot above what it means."""
        response = knit.fabric.response
        per = "in" if self.unit == "in" else "cm"
        wanted = self.values["rows"]
        asked: ClickAnswer | None = None
        said: list[str] = []
        if wanted is not None:
            asked = click_for(response, wanted / self.per_mm)
            said = answer_lines(asked, self.per_mm, per, response.dial.clicks_per_turn)
        else:
            now = nominal(response.rows_per_mm_at(knit.gauge.dial)) * self.per_mm
            said = [f"Type the rows wanted, such as {now:.1f}: which click gives them is worked out."]
        drawn = plot(response, self.per_mm, max(40, self.size.width - 6), self._tall(), asked)
        heading = f"Rows per {per} against turns below zero:"
        return "\n".join([*said, *response.notes, "", heading, *drawn, LEGEND])

    def _tall(self) -> int:
        return max(LEAST_HIGH, min(MOST_HIGH, self.size.height - 15))
