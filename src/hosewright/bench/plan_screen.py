"""Planning a sock: lines to type on, and beside or below them the sock they come to."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from pydantic import ValidationError
from textual import on
from textual.binding import Binding
from textual.containers import Container, VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Select, Static

from hosewright.bench.forms import Ask, FormField, open_form
from hosewright.bench.forms.host import host
from hosewright.bench.forms.pick import PickRow
from hosewright.bench.forms.screen import FieldRow
from hosewright.bench.keybar import BoundBar
from hosewright.bench.plan_lines import show_rate
from hosewright.bench.plan_reading import FIELDS, Typed
from hosewright.bench.plan_working import LOWERING_WORDS, Knit, Working, to_plan, usual_name, work_out
from hosewright.bench.shelf_words import day_words, item_words
from hosewright.craft.routes import LENGTH_EASE_MM
from hosewright.craft.units import show_length
from hosewright.logbook.ids import shelf_id
from hosewright.logbook.records import Cylinder, GaugeRecord, Plan, Wearer, Yarn, problems
from hosewright.logbook.store import LogbookError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.bench.plan_lines import Line as Labelled
    from hosewright.craft.turning import Lowering

_LINES = (
    ("tube", "Sock's tube", "of a sock that fits, gore to gore"),
    ("foot", "Foot length", "or a shoe size, such as EU 42"),
    ("ease", "Ease in length", "how much shorter than the foot"),
    ("leg", "Leg length", "none for an anklet"),
    ("hem", "Hem rows", "even; it hangs double"),
    ("left", "Left in work", "heel needles; a third is usual"),
    ("name", "Name", ""),
)
_PLAIN = {"no": "none", "yes": "one before and one after"}


class PlanScreen(Screen["Plan | None"]):
    """Dismisses with the plan kept in the logbook, or None. The numbers follow every key."""

    CSS_PATH = ["forms/form.tcss", "plan_screen.tcss"]
    AUTO_FOCUS = "#field-tube"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]
    EXPLAIN = (
        "Work out a sock from a gauge: from the tube of a sock that fits, from the foot, or from both side by side. "
        "The numbers follow as you type; Ctrl+S keeps the plan."
    )
    BINDINGS = [
        Binding("ctrl+s", "keep", "Keep the plan"),
        Binding("pagedown", "numbers(1)", "Numbers", key_display="PgDn", priority=True),
        Binding("pageup", "numbers(-1)", show=False, priority=True),
        Binding("w", "make_wearer", "New wearer"),
        Binding("escape", "leave", "Leave"),
    ]

    def __init__(self, wearer: Wearer | None = None) -> None:
        """Plan a sock, for ``wearer`` when there is one already."""
        super().__init__()
        self._first_wearer = wearer.id if wearer else None
        self._gauges: dict[str, Knit] = {}
        self._wearers: dict[str, Wearer] = {}
        self._filled: dict[str, str] = {}
        self.working = Working()
        self.lines = {name: FieldRow(FormField(name, label, hint, str), "") for name, label, hint in _LINES}
        self.picks = {
            "gauge": PickRow("gauge", "Gauge", "", "none chosen"),
            "wearer": PickRow("wearer", "Wearer", "", "nobody in particular"),
            "lowering": PickRow("lowering", "Lowering", "", LOWERING_WORDS["far"]),
            "plain": PickRow("plain", "Plain passes", "", _PLAIN["no"]),
        }

    def compose(self) -> ComposeResult:
        """The lines, the numbers, the keys."""
        yield Static("Plan a sock", id="plan-title")
        with Container(id="plan-both"):
            with VerticalScroll(id="form-body", can_focus=False):
                for name in ("gauge", "wearer"):
                    yield self.picks[name]
                for name in FIELDS:
                    yield self.lines[name]
                yield self.picks["lowering"]
                yield self.picks["plain"]
                yield self.lines["name"]
            with VerticalScroll(id="plan-numbers", can_focus=False):
                yield Static("", id="plan-caution", markup=False)
                yield Static("", id="plan-missing", markup=False)
                with Container(id="plan-lines"):
                    yield Static("", id="plan-parts", markup=False)
                    yield Static("", id="plan-rest", markup=False)
                yield Static("", id="plan-notes", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """Offer the gauges and wearers there are."""
        unit = host(self).settings.length_unit
        try:
            self._read_logbook()
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
        gauges = [(_gauge_words(knit, unit), name) for name, knit in self._gauges.items()]
        self.picks["gauge"].offer(gauges, next(iter(self._gauges), None))
        self._offer_wearers(self._first_wearer)
        self.picks["lowering"].offer([(words, name) for name, words in LOWERING_WORDS.items()], "far")
        self.picks["plain"].offer([(words, name) for name, words in _PLAIN.items()], "no")
        self._fill({"ease": show_length(LENGTH_EASE_MM, unit), "leg": show_length(152.4, unit), "hem": "0"})
        self._fill_for_wearer()
        self._work()

    def _read_logbook(self) -> None:
        book = host(self).book
        yarns = {item.id: item for item in book.shelf(Yarn, retired=True)}
        cylinders = {item.id: item for item in book.shelf(Cylinder, retired=True)}
        for gauge in book.gauges():
            others = tuple(c for c in cylinders.values() if c.id != gauge.cylinder and not c.retired)
            self._gauges[gauge.session] = Knit(gauge, yarns.get(gauge.yarn), cylinders.get(gauge.cylinder), others)

    def _offer_wearers(self, chosen: str | None) -> None:
        unit = host(self).settings.length_unit
        self._wearers = {item.id: item for item in host(self).book.shelf(Wearer)}
        self.picks["wearer"].offer([(item_words(w, unit), w.id) for w in self._wearers.values()], chosen)

    # --- what stands on the screen -------------------------------------------------------------------------

    @property
    def knit(self) -> Knit | None:
        """The gauge chosen, with its yarn and cylinder."""
        return self._gauges.get(self.picks["gauge"].chosen or "")

    @property
    def wearer(self) -> Wearer | None:
        """The wearer chosen."""
        return self._wearers.get(self.picks["wearer"].chosen or "")

    @property
    def typed(self) -> Typed:
        """Everything typed and chosen."""
        text = {name: row.line.value for name, row in self.lines.items()}
        lowering = cast("Lowering", self.picks["lowering"].chosen or "far")
        return Typed(**text, lowering=lowering, plain_passes=self.picks["plain"].chosen == "yes")

    def _fill(self, texts: dict[str, str]) -> None:
        """Fill lines that nobody typed on."""
        for name, text in texts.items():
            line = self.lines[name].line
            if line.value == self._filled.get(name, ""):
                self._filled[name] = text
                line.value = text

    def _fill_for_wearer(self) -> None:
        unit, wearer = host(self).settings.length_unit, self.wearer
        tube = wearer.fitting_tube_mm if wearer else None
        foot = wearer.foot_length_mm if wearer else None
        size = wearer.shoe_size if wearer else ""
        self._fill(
            {
                "tube": show_length(tube, unit) if tube else "",
                "foot": show_length(foot, unit) if foot else size,
                "name": usual_name(self.knit, wearer),
            }
        )

    # --- numbers -------------------------------------------------------------------------------------------

    @on(Input.Changed)
    def _changed(self) -> None:
        self._work()

    @on(Select.Changed)
    def _chosen(self, event: Select.Changed) -> None:
        if event.select.id in ("field-wearer", "field-gauge"):
            self._fill_for_wearer()
        self._work()

    def _work(self) -> None:
        self.working = work_out(self.typed, self.knit, self.wearer, host(self).settings.length_unit)
        for name in FIELDS:
            self.lines[name].say(self.working.problems.get(name, ""))
        missing = self.working.missing
        if not self._gauges:
            missing = "No gauge yet: crank a gauge tube, wash it and measure it first."
        self._show("plan-caution", self.working.caution)
        self._show("plan-missing", missing)
        self._show("plan-parts", _labelled(self.working.parts))
        self._show("plan-rest", _labelled(self.working.rest))
        self._show("plan-notes", "\n".join(f"- {note}" for note in self.working.notes))

    def _show(self, name: str, text: str) -> None:
        shown = self.query_one(f"#{name}", Static)
        shown.update(text)
        shown.display = bool(text)

    # --- keys ----------------------------------------------------------------------------------------------

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        if event.input is self.lines["name"].line:
            self.action_keep()
        else:
            self.focus_next()

    def action_numbers(self, way: int) -> None:
        """Move through the numbers while typing."""
        numbers = self.query_one("#plan-numbers", VerticalScroll)
        numbers.scroll_relative(y=way * max(1, numbers.size.height - 1), animate=False)

    def action_make_wearer(self) -> None:
        """Make a wearer and choose them."""

        def made(wearer: Wearer | None) -> None:
            if wearer is not None:
                self._offer_wearers(wearer.id)

        self.app.push_screen(open_form(self.app, Wearer), made)

    def action_keep(self) -> None:
        """Keep the plan and go, or say why not."""
        knit, typed = self.knit, self.typed
        if self.working.sock is None or knit is None:
            wrong = next((name for name in FIELDS if name in self.working.problems), None)
            if wrong is not None:
                self.lines[wrong].line.focus()
            said = self.working.missing or "There is no sock to keep yet."
            self.app.notify(said, title="Not kept", severity="warning", markup=False)
            return
        name = typed.name.strip() or usual_name(knit, self.wearer)
        try:
            plan: Plan = to_plan(shelf_id(name), typed, knit, self.wearer, self.working)
            host(self).book.keep(plan)
        except ValidationError as error:
            self.app.notify("\n".join(problems(error)), title="Not kept", severity="error", markup=False)
        except LogbookError as error:
            self.app.notify(str(error), title="Not kept", severity="error", markup=False)
        else:
            self.dismiss(plan)

    def action_leave(self) -> None:
        """Go without keeping, after asking when something was typed."""
        if all(row.line.value == self._filled.get(name, "") for name, row in self.lines.items()):
            self.dismiss(None)
            return

        def answered(leave: bool | None) -> None:
            if leave:
                self.dismiss(None)

        self.app.push_screen(Ask("Leave without keeping this plan?", "leave it", "stay here"), answered)


def _labelled(lines: Sequence[Labelled]) -> str:
    return "\n".join(f"{label:13}{said}" for label, said in lines)


def _gauge_words(knit: Knit, unit: str) -> str:
    """A gauge as a list shows it: yarn / cylinder / rows per length, and the day."""
    gauge: GaugeRecord = knit.gauge
    yarn = knit.yarn.name if knit.yarn else gauge.yarn
    cylinder = knit.cylinder.name if knit.cylinder else gauge.cylinder
    rows = show_rate(gauge.rows_per_mm, unit).replace("/", " rows/")
    return f"{yarn} / {cylinder} / {rows}, {day_words(gauge.at_ms, 0)}"
