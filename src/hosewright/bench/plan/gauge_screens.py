"""What is worked out from one measured gauge: which cylinder, what a click of the dial does, every size."""

from __future__ import annotations

from abc import abstractmethod
from textwrap import fill, wrap
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.widgets import Static

from hosewright.bench.shielded import write_and_tell
from hosewright.bench.widgets.entry_screen import FORM_CSS, EntryScreen
from hosewright.craft import CraftError
from hosewright.craft.dial import show_position
from hosewright.craft.measured import nominal
from hosewright.craft.response import click_for
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH
from hosewright.paper.charts import LEGEND, plot
from hosewright.paper.html_page import sheet_of
from hosewright.paper.size_sheet import size_sheet, table_lines
from hosewright.paper.writing import write_print
from hosewright.phrases.days import local_day
from hosewright.phrases.lists import aligned, many
from hosewright.planning.fit import girths_of
from hosewright.planning.gauges import NO_GAUGE, PlanShelf, gauge_words, not_cranked_here
from hosewright.planning.plan_lines import (
    EASE_ROUND,
    GAUGE,
    SIZE_STEP,
    WEARER,
    ball_girth,
    days_between,
    heel_ankle_girth,
    length_ease,
    rows_wanted,
)
from hosewright.session.steps.said import FEET_AT_RISK
from hosewright.words.machine import HEADINGS, answer_lines, cylinder_rows, short_cylinder_rows, wanted_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.craft.fit import CylinderChoice
    from hosewright.craft.response import ClickAnswer
    from hosewright.craft.size_table import SizeRow
    from hosewright.phrases.field import Field
    from hosewright.planning.gauges import Knit


class GaugeScreen(EntryScreen[None]):
    """A list of gauges, a few lines, and below them the answer, which follows every key; nothing of it is kept."""

    TOPIC = "gauge"
    CSS_PATH = [FORM_CSS, "gauge_screens.tcss"]
    AUTO_FOCUS = "Line"
    LABELS = 18
    BINDINGS = [
        Binding("pagedown", "move(1)", "Move", key_display="PgUp/PgDn", priority=True),
        Binding("pageup", "move(-1)", show=False, priority=True),
    ]
    WITH_WEARER: ClassVar[bool] = False
    ANSWER: ClassVar[str]  # what the frame of the answer is called
    touched = False

    @abstractmethod
    def fields(self) -> tuple[Field, ...]:
        """The lines to type on, each with what an empty one means standing there."""

    @abstractmethod
    def answer(self, knit: Knit, typed: dict[str, Any]) -> str:
        """What there is to show for this gauge and the values of the lines. Raises CraftError."""

    def offered(self) -> dict[str, Knit]:
        return self.shelf.gauges

    def lay_out(self) -> None:
        self.add(GAUGE)
        if self.WITH_WEARER:
            self.add(WEARER)
        for field in self.fields():
            self.add(field, field.empty)

    def body(self) -> ComposeResult:
        with VerticalScroll(id="form-body", can_focus=False):
            yield from self.rows.values()
        with VerticalScroll(id="gauge-answer", classes="form-frame", can_focus=False) as answer:
            answer.border_title = self.ANSWER
            yield Static("", id="form-remark", markup=False)

    def on_mount(self) -> None:
        self.shelf = PlanShelf(self.app.book, self.app.settings.tape_error_mm)
        self.shelf.read_gauges()
        self.shelf.read_wearers()
        offered = self.offered()
        self.rows["gauge"].offer(
            [(gauge_words(knit, self.unit), name) for name, knit in offered.items()], next(iter(offered), None)
        )
        if self.WITH_WEARER:
            self.rows["wearer"].offer([(wearer.name, wearer.id) for wearer in self.shelf.wearers.values()], None)

    @property
    def unit(self) -> str:
        return self.app.settings.length_unit

    @property
    def knit(self) -> Knit | None:
        return self.shelf.knit(self.rows["gauge"].chosen)

    def follow(self, row: EntryRow | None = None) -> None:  # noqa: ARG002
        values, errors = self.read()
        knit = self.knit
        try:
            if errors:
                said = "Nothing is worked out until every line can be read."
            else:
                said = NO_GAUGE if knit is None else self.answer(knit, values)
        except CraftError as why:
            said = str(why)
        self.say(said)

    def on_resize(self) -> None:
        if self.is_mounted:
            self.follow()

    def entered_last(self) -> None:
        self.focus_next()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return False if action == "save" else super().check_action(action, parameters)

    def action_move(self, way: int) -> None:
        answer = self.query_one("#gauge-answer", VerticalScroll)
        answer.scroll_relative(y=way * max(1, answer.size.height - 1), animate=False)


# --- which cylinder: all that are owned, side by side, for one girth --------------------------------------------

NO_VERDICT = (
    "No verdict for a foot at risk: no ease is called safe. Measure, make it loose, and ask a podiatrist or nurse."
)


class CylinderScreen(GaugeScreen):
    """Circumference, ease, stretches and a verdict for each cylinder."""

    heading = "Which cylinder"
    ANSWER = "The cylinders you own"
    WITH_WEARER = True
    EXPLAIN = (
        "Every cylinder you own, for one girth: how far round the sock comes, its ease, how far it stretches on "
        "the ball and over the heel, and whether that fits. The tube's own cylinder was measured; the others are "
        "predicted, and say so."
    )

    def fields(self) -> tuple[Field, ...]:
        return ball_girth(self.unit), heel_ankle_girth(self.unit), EASE_ROUND

    def answer(self, knit: Knit, typed: dict[str, Any]) -> str:
        wearer = self.shelf.wearers.get(typed["wearer"] or "")
        foot = wearer.foot_mm if wearer else None
        ball, over = girths_of(wearer, foot, ball_mm=typed["girth"], heel_mm=typed["heel"])
        if ball is None:
            raise CraftError("Type a ball girth, or choose a wearer whose ball girth is known.")
        choice = knit.fabric.choose(ball.value, over.value if over else None, ease=typed["ease"], unit=self.unit)
        notes = [one.words for one in (ball, over) if one and one.estimated]
        if wearer is not None and wearer.caution:
            lines = aligned([HEADINGS[:4], *short_cylinder_rows(choice, self.unit, verdicts=False)])
            return "\n".join([*lines, "", NO_VERDICT, *notes])
        return "\n".join([*_table(choice, self.unit), *notes, FEET_AT_RISK])


def _table(choice: CylinderChoice, unit: str) -> list[str]:
    return [
        wanted_words(choice, unit),
        "",
        *aligned([HEADINGS, *cylinder_rows(choice, unit)]),
        "",
        *(fit.words for fit in choice.fits),
        *choice.notes,
    ]


# --- what a click of the dial does to a yarn, drawn, and which click gives a gauge -------------------------------

LEAST_HIGH = 7
# Lines: heading, three fields, frame, keys; above the plot a blank one and its title, the legend below.
AROUND_PLOT = 10


class ResponseScreen(GaugeScreen):
    """Tubes, line, and the answer."""

    TOPIC = "dial"
    heading = "Dial response"
    ANSWER = "What a click does"
    EXPLAIN = (
        "The tubes of one yarn on one machine and cylinder since its gauge last changed, or those of the days you "
        "type: their rows against the dial, with a line fitted through them. Type the rows you want, and it says "
        "which click gives them and how sure that is."
    )

    def fields(self) -> tuple[Field, ...]:
        return rows_wanted(self.unit), days_between(local_day(self.app.book.clock))

    def offered(self) -> dict[str, Knit]:
        """The newest gauge of each yarn on each machine and cylinder: all its tubes come with it.

        Of a notebook's it must be known where the dial stood.
        """
        found: dict[tuple[str, str, str], tuple[str, Knit]] = {}
        for name, knit in self.shelf.gauges.items():
            gauge = knit.gauge
            if gauge.dial is not None:
                found.setdefault((gauge.yarn, gauge.machine, gauge.cylinder), (name, knit))
        return dict(found.values())

    def answer(self, knit: Knit, typed: dict[str, Any]) -> str:
        knit = knit.of_days(typed["days"])
        response = knit.fabric.response
        per, per_mm = ("in", MM_PER_INCH) if self.unit == "in" else ("cm", MM_PER_CM)
        asked: ClickAnswer | None = None
        if typed["rows"] is not None:
            asked = click_for(response, typed["rows"] / per_mm)
            said = answer_lines(asked, per_mm, per, response.dial.clicks_per_turn)
        else:
            assert knit.gauge.dial is not None  # or it were not offered
            now = nominal(response.rows_per_mm_at(knit.gauge.dial)) * per_mm
            said = [f"Type the rows wanted, such as {now:.1f}: which click gives them is worked out."]
        wide = max(40, self.size.width - 5)
        said += response.notes
        said += not_cranked_here(knit.since, f"of these {many(len(knit.since), 'tube')}")
        above = sum(len(wrap(line, wide)) or 1 for line in said)
        drawn = plot(response, per_mm, wide, max(LEAST_HIGH, self.size.height - above - AROUND_PLOT), asked)
        return "\n".join([*said, "", f"Rows per {per} against turns below zero:", *drawn, LEGEND])


# --- every size from child to large adult for one gauge and the cylinders owned ---------------------------------

WIDE = 112
NARROW_LEAVES_OUT = ("Girth mm", "95 of 100", "Toe")


class SizeScreen(GaugeScreen):
    """The table, and the page to pin to the wall."""

    TOPIC = "feet"
    heading = "Sizes"
    ANSWER = "Every size"
    EXPLAIN = (
        "Rows, heel, toe and cylinder for every size, from one gauge and the cylinders you own. Ctrl+S writes the "
        "whole table as a page to print and pin to the wall."
    )
    BINDINGS = [Binding("ctrl+s", "write", "Write the page")]

    def fields(self) -> tuple[Field, ...]:
        return EASE_ROUND, length_ease("shorter", self.unit), SIZE_STEP

    def _rows(self, knit: Knit, typed: dict[str, Any]) -> tuple[SizeRow, ...]:
        return knit.fabric.sizes(ease=typed["ease"], length_ease_mm=typed["shorter"], step_mm=typed["step"])

    def answer(self, knit: Knit, typed: dict[str, Any]) -> str:
        table = table_lines(self._rows(knit, typed), () if self.size.width >= WIDE else NARROW_LEAVES_OUT)
        return "\n".join([fill(FEET_AT_RISK, max(20, self.size.width - 6)), "", *table])

    def action_write(self) -> None:
        typed, errors = self.read()
        self.show(errors)
        knit = self.knit
        if knit is None or errors:
            return
        yarn, at = knit.yarn.name if knit.yarn else knit.gauge.yarn, knit.gauge.dial
        fabric = knit.fabric

        def write() -> str:
            page = size_sheet(
                self._rows(knit, typed),
                title=yarn,
                rows_per_mm=fabric.rows,
                stitches_per_mm=fabric.stitches,
                tube=fabric.cylinder,
                ease=typed["ease"],
                length_ease_mm=typed["shorter"],
                dial="not known" if at is None else show_position(at, knit.dial.clicks_per_turn),
                unit=self.unit,
            )
            path = write_print(f"sizes-{knit.gauge.session}.html", sheet_of(f"Sizes: {yarn}", page))
            write_print(path.with_suffix(".md").name, page)
            return f"{path}\nThe same as Markdown lies beside it."

        write_and_tell(self, write)
