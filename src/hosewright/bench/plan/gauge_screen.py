"""What the screens share that work something out from one measured gauge: its list, a few lines, the answer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Select, Static

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.field import FormField
from hosewright.bench.widgets.form import FieldRow
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.pick import PickRow
from hosewright.craft.errors import CraftError
from hosewright.logbook.file.store import LogbookError
from hosewright.phrases.field import read_all
from hosewright.planning.gauges import PlanShelf, gauge_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.phrases.field import Field
    from hosewright.planning.gauges import Knit

NO_GAUGE = "No gauge yet: crank a gauge tube, wash it and measure it first."


class GaugeScreen(Shielded, Screen[None]):
    """A subclass declares its lines in ``fields`` and gives the answer in ``answer``, which may raise CraftError."""

    CSS_PATH = ["../widgets/form.tcss", "gauge_screen.tcss"]
    AUTO_FOCUS = "Line"
    HEADING: ClassVar[str] = ""
    WITH_WEARER: ClassVar[bool] = False
    BINDINGS = [
        Binding("pagedown", "move(1)", "Move", key_display="PgUp/PgDn", priority=True),
        Binding("pageup", "move(-1)", show=False, priority=True),
        Binding("escape", "leave", "Leave"),
    ]

    def __init__(self) -> None:
        """Nothing chosen yet."""
        super().__init__()
        self.lines: dict[str, FieldRow] = {}
        self.gauge_pick = PickRow("gauge", "Gauge", "", "none chosen")
        self.wearer_pick = PickRow("wearer", "Wearer", "", "nobody in particular")
        self.values: dict[str, Any] = {}

    def compose(self) -> ComposeResult:
        """Title, the gauge, the lines, the answer, the keys."""
        yield Static(self.HEADING, id="gauge-title")
        with VerticalScroll(id="form-body", can_focus=False):
            yield self.gauge_pick
            if self.WITH_WEARER:
                yield self.wearer_pick
            for field in self.fields():
                self.lines[field.name] = FieldRow(FormField(field.name, field.label, field.help, str), "")
            yield from self.lines.values()
        with VerticalScroll(id="gauge-answer", can_focus=False):
            yield Static("", id="gauge-says", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Offer the gauges there are, the newest chosen."""
        settings = host(self).settings
        self.shelf = PlanShelf(host(self).book, settings.tape_error_mm)
        try:
            self.shelf.read_gauges()
            self.shelf.read_wearers()
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
        offered = self.offered()
        unit = settings.length_unit
        self.gauge_pick.offer(
            [(gauge_words(knit, unit), name) for name, knit in offered.items()], next(iter(offered), None)
        )
        if self.WITH_WEARER:
            self.wearer_pick.offer([(wearer.name, wearer.id) for wearer in self.shelf.wearers.values()], None)
        for field in self.fields():
            self.lines[field.name].line.value = field.say(field.empty)
        self.work()

    def offered(self) -> dict[str, Knit]:
        """The gauges to choose from."""
        return self.shelf.gauges

    @property
    def unit(self) -> str:
        """The knitter's unit of length."""
        return host(self).settings.length_unit

    @property
    def knit(self) -> Knit | None:
        """The gauge chosen."""
        try:
            return self.shelf.knit(self.gauge_pick.chosen)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return None

    def fields(self) -> tuple[Field, ...]:
        """The lines to type on."""
        return ()

    def work(self) -> None:
        """Work it out again and show it."""
        knit = self.knit
        self.values, problems = read_all(self.fields(), {name: row.line.value for name, row in self.lines.items()})
        try:
            if problems:
                said = "Nothing is worked out until the line marked ! can be read."
            else:
                said = NO_GAUGE if knit is None else self.answer(knit)
        except CraftError as why:
            said = str(why)
        for name, row in self.lines.items():
            row.say(problems.get(name, ""))
        self.query_one("#gauge-says", Static).update(said)

    def answer(self, knit: Knit) -> str:
        """What there is to show for this gauge."""
        raise NotImplementedError

    @on(Input.Changed)
    @on(Select.Changed)
    def _changed(self) -> None:
        self.work()

    @on(Input.Submitted)
    def _entered(self) -> None:
        self.focus_next()

    def on_resize(self) -> None:
        """Some answers fit themselves to the width."""
        if self.is_mounted:
            self.work()

    def action_move(self, way: int) -> None:
        """Move through the answer."""
        answer = self.query_one("#gauge-answer", VerticalScroll)
        answer.scroll_relative(y=way * max(1, answer.size.height - 1), animate=False)

    def action_leave(self) -> None:
        """Go back."""
        self.dismiss(None)
