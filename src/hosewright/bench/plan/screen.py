"""Planning a sock: lines to type on, and beside or below them the sock they come to."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from pydantic import ValidationError
from textual import on
from textual.binding import Binding
from textual.containers import Container, VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Select, Static

from hosewright.bench.shelf.forms import open_form
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.field import FormField
from hosewright.bench.widgets.form import FieldRow
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.pick import PickRow
from hosewright.craft.sock import LENGTH_EASE_MM
from hosewright.craft.sock_notes import MOST_UNASKED_PASSES, slit
from hosewright.craft.units import show_length
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import Plan, Wearer, problems
from hosewright.phrases.lists import aligned
from hosewright.planning.gauges import PlanShelf, gauge_words
from hosewright.planning.plan_record import to_plan, usual_name
from hosewright.planning.sock import Working, work_out
from hosewright.planning.typed import RIBBED, USUAL_CUFF_ROWS, USUAL_PATTERN, Typed, sock_fields
from hosewright.words.shelf import item_words
from hosewright.words.stock import reach_lines

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.app import ComposeResult

    from hosewright.phrases.field import Field
    from hosewright.planning.gauges import Knit
    from hosewright.planning.sock_lines import Labelled

Read = TypeVar("Read")
USUAL_LEG_MM = 140.0
USUAL_ROWS_DEEPER = "4"
LABEL = 14
# Every part of the form: its heading and what stands under it.
LAYOUT = (
    ("", ("gauge", "wearer")),
    ("Foot", ("tube", "foot", "ease")),
    ("Cuff and leg", ("cuff", "pattern", "rows", "leg", "shaped", "ankle", "calf")),
    ("Heel and toe", ("left", "toe", "deepen", "deeper", "lowering", "plain", "part")),
    ("", ("name",)),
)
SHELF_PICKS = (("gauge", "Gauge", "none chosen"), ("wearer", "Wearer", "nobody in particular"))
USUALLY_CHOSEN = {"cuff": "hem", "shaped": "no", "deepen": "none", "lowering": "far", "plain": "none"}


def idle_lines(chosen: dict[str, str | None]) -> set[str]:
    """The lines that mean nothing with what is chosen."""
    idle = set()
    if chosen["cuff"] in (None, "none"):
        idle |= {"pattern", "rows"}
    elif chosen["cuff"] not in RIBBED:
        idle.add("pattern")
    if chosen["shaped"] != "yes":
        idle |= {"ankle", "calf"}
    if chosen["deepen"] in (None, "none"):
        idle.add("deeper")
    return idle


def _line(field: Field) -> FieldRow:
    return FieldRow(FormField(field.name, field.label, field.help, str), "")


class PlanNumbers(VerticalScroll, can_focus=False):
    """What the plan comes to, or what is missing."""

    def compose(self) -> ComposeResult:
        """Caution, what is missing, the parts and the rest side by side, then what needs the whole width."""
        yield Static("", id="plan-caution", markup=False)
        yield Static("", id="plan-missing", markup=False)
        with Container(id="plan-lines"):
            yield Static("", id="plan-parts", markup=False)
            yield Static("", id="plan-rest", markup=False)
        for name in ("leg", "cylinders", "notes"):
            yield Static("", id=f"plan-{name}", classes="plan-more", markup=False)

    def show(self, working: Working, missing: str) -> None:
        """Show all of it."""
        cylinders = "\n".join(aligned(working.cylinders))
        texts = {
            "caution": working.caution,
            "missing": missing,
            "parts": _labelled(working.parts),
            "rest": _labelled(working.rest),
            "leg": _under("The leg by the dial", _labelled(working.leg)),
            "cylinders": _under("Cylinders, * nearest the girth wanted", cylinders),
            "notes": "\n".join(f"- {note}" for note in working.notes),
        }
        for name, text in texts.items():
            shown = self.query_one(f"#plan-{name}", Static)
            shown.update(text)
            shown.display = bool(text)

    def page(self, way: int) -> None:
        """Move a screenful down (1) or up (-1)."""
        self.scroll_relative(y=way * max(1, self.size.height - 1), animate=False)


def _labelled(lines: Sequence[Labelled]) -> str:
    return "\n".join(f"{label:{LABEL}}{said}" for label, said in lines)


def _under(heading: str, text: str) -> str:
    return f"{heading}\n{text}" if text else ""


class PlanScreen(Shielded, Screen["Plan | None"]):
    """Dismisses with the plan kept in the logbook, or None. The numbers follow every key."""

    CSS_PATH = ["../widgets/form.tcss", "screen.tcss"]
    AUTO_FOCUS = "#field-tube"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]
    EXPLAIN = (
        "Work out a sock from a gauge: from the tube of a sock that fits, from the foot, or from both side by side. "
        "Cuff, leg, heel and toe are each as you choose. The numbers follow as you type; PgUp and PgDn move through "
        "them; Ctrl+S keeps the plan."
    )
    BINDINGS = [
        Binding("ctrl+s", "keep", "Keep the plan"),
        Binding("pagedown", "numbers(1)", "Numbers", key_display="PgDn", priority=True),
        Binding("pageup", "numbers(-1)", show=False, priority=True),
        Binding("w", "make_wearer", "New wearer"),
        Binding("escape", "leave", "Leave"),
    ]

    def __init__(self, wearer: Wearer | None = None, gauge: str | None = None) -> None:
        """Plan a sock, for ``wearer`` when there is one already, from this session's ``gauge`` or else the newest."""
        super().__init__()
        self._first_gauge = gauge
        self._first_wearer = wearer.id if wearer else None
        self._filled: dict[str, str] = {}
        self.working = Working()
        fields = sock_fields()
        shown = [fields[name] for _, names in LAYOUT for name in names if name in fields]
        self.lines = {field.name: _line(field) for field in shown if field.choices is None}
        self.picks = {name: PickRow(name, label, "", none) for name, label, none in SHELF_PICKS}
        self._choices = {field.name: field.choices for field in shown if field.choices is not None}
        for name in self._choices:
            self.picks[name] = PickRow(name, fields[name].label, "", "")

    def compose(self) -> ComposeResult:
        """The lines, the numbers, the keys."""
        yield Static("Plan a sock", id="plan-title")
        with Container(id="plan-both"):
            with VerticalScroll(id="form-body", can_focus=False):
                for heading, names in LAYOUT:
                    if heading:
                        yield Static(heading, classes="plan-head", markup=False)
                    for name in names:
                        yield self.lines[name] if name in self.lines else self.picks[name]
            yield PlanNumbers(id="plan-numbers")
        yield BoundBar()

    def on_mount(self) -> None:
        """Offer the gauges and wearers there are."""
        settings = host(self).settings
        unit = settings.length_unit
        self._shelf = PlanShelf(host(self).book, settings.tape_error_mm)
        self._trying(self._shelf.read_gauges)
        self._trying(self._shelf.read_plan_names)
        gauges = [(gauge_words(knit, unit), name) for name, knit in self._shelf.gauges.items()]
        newest = next(iter(self._shelf.gauges), None)
        self.picks["gauge"].offer(gauges, self._first_gauge if self._first_gauge in self._shelf.gauges else newest)
        self._offer_wearers(self._first_wearer)
        for name, choices in self._choices.items():
            self.picks[name].offer(choices, USUALLY_CHOSEN[name])
        self._fill({"ease": show_length(LENGTH_EASE_MM, unit), "leg": show_length(USUAL_LEG_MM, unit)})
        self._fill_for_wearer()
        self._work()

    def _offer_wearers(self, chosen: str | None) -> None:
        self._trying(self._shelf.read_wearers)
        unit = host(self).settings.length_unit
        wearers = [(item_words(w, unit), w.id) for w in self._shelf.wearers.values()]
        self.picks["wearer"].offer(wearers, chosen)

    def _trying(self, read: Callable[[], Read]) -> Read | None:
        """What ``read`` finds in the logbook; None, after saying why, when it cannot be read."""
        try:
            return read()
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return None

    # --- what stands on the screen -------------------------------------------------------------------------

    @property
    def knit(self) -> Knit | None:
        """The gauge chosen, with its yarn, its cylinder and its tube's readings."""
        return self._trying(lambda: self._shelf.knit(self.picks["gauge"].chosen))

    @property
    def wearer(self) -> Wearer | None:
        """The wearer chosen."""
        return self._shelf.wearers.get(self.picks["wearer"].chosen or "")

    @property
    def _chosen_now(self) -> dict[str, str | None]:
        return {name: row.chosen for name, row in self.picks.items()}

    @property
    def typed(self) -> Typed:
        """Everything typed and chosen; a line that means nothing as things are counts as empty."""
        chosen = self._chosen_now
        idle = idle_lines(chosen)
        text = {name: "" if name in idle else row.line.value for name, row in self.lines.items()}
        return Typed(**text, **{name: chosen[name] or "" for name in self._choices})

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
        foot = wearer.foot_mm if wearer else None
        size = wearer.shoe_size if wearer else ""
        self._fill(
            {
                "tube": show_length(tube, unit) if tube else "",
                "foot": show_length(foot, unit) if foot else size,
                "name": usual_name(self.knit, wearer, self._shelf.plan_names),
            }
        )
        self._fill_for_choices()

    def _fill_for_choices(self) -> None:
        """Usual values for lines that a choice has just brought up; nothing on those it has put away."""
        unit, wearer, chosen = host(self).settings.length_unit, self.wearer, self._chosen_now
        girths = {"ankle": wearer.ankle_mm, "calf": wearer.calf_mm} if wearer else {}
        usual = {name: show_length(mm, unit) for name, mm in girths.items() if mm}
        usual |= {"rows": str(USUAL_CUFF_ROWS), "pattern": USUAL_PATTERN.get(chosen["cuff"] or "", "")}
        usual["deeper"] = USUAL_ROWS_DEEPER
        idle = idle_lines(chosen)
        for name in ("pattern", "rows", "ankle", "calf", "deeper"):
            self.lines[name].display = name not in idle
            self._fill({name: "" if name in idle else usual.get(name, "")})

    # --- numbers -------------------------------------------------------------------------------------------

    @on(Input.Changed)
    def _changed(self) -> None:
        self._work()

    @on(Select.Changed)
    def _chosen(self, event: Select.Changed) -> None:
        if event.select.id in ("field-wearer", "field-gauge"):
            self._fill_for_wearer()
        else:
            self._fill_for_choices()
        self._work()

    def _work(self) -> None:
        wearer = self.wearer
        worn = self._trying(lambda: self._shelf.worn(wearer))
        self.working = work_out(self.typed, self.knit, wearer, host(self).settings.length_unit, worn)
        reaches = self._trying(lambda: self._shelf.reaches(self.knit, self.working.yarn)) or []
        lots = reach_lines(reaches, host(self).settings.mass_unit)
        self.working = replace(self.working, rest=(*self.working.rest, *lots))
        for name, row in self.lines.items():
            row.say(self.working.problems.get(name, ""))
        missing = self.working.missing
        if not self._shelf.gauges:
            missing = "No gauge yet: crank a gauge tube, wash it and measure it first."
        self.query_one(PlanNumbers).show(self.working, missing)

    # --- keys ----------------------------------------------------------------------------------------------

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        if event.input is self.lines["name"].line:
            self.action_keep()
        else:
            self.focus_next()

    def action_numbers(self, way: int) -> None:
        """Move through the numbers while typing."""
        self.query_one(PlanNumbers).page(way)

    def action_make_wearer(self) -> None:
        """Make a wearer and choose them."""

        def made(wearer: Wearer | None) -> None:
            if wearer is not None:
                self._offer_wearers(wearer.id)

        self.app.push_screen(open_form(self.app, Wearer), made)

    def action_keep(self) -> None:
        """Keep the plan and go, or say why not; a slit that is long is asked about first."""
        heel = self.working.sock.heel if self.working.sock else None
        if heel is None or heel.extra_passes <= MOST_UNASKED_PASSES:
            self._keep()
            return

        def answered(keep: bool | None) -> None:
            if keep:
                self._keep()

        self.app.push_screen(Ask(slit(heel.extra_passes), "keep the plan so", "change it"), answered)

    def _keep(self) -> None:
        knit, typed = self.knit, self.typed
        if self.working.sock is None or knit is None:
            wrong = next((name for name in self.lines if name in self.working.problems), None)
            if wrong is not None:
                self.lines[wrong].line.focus()
            said = self.working.missing or "There is no sock to keep yet."
            self.app.notify(said, title="Not saved", severity="warning", markup=False)
            return
        name = typed.name.strip() or usual_name(knit, self.wearer, self._shelf.plan_names)
        try:
            plan: Plan = to_plan(shelf_id(name), replace(typed, name=name), knit, self.wearer, self.working)
            host(self).book.keep(plan)
        except ValidationError as error:
            self.app.notify("\n".join(problems(error)), title="Not saved", severity="error", markup=False)
        except LogbookError as error:
            self.app.notify(str(error), title="Not saved", severity="error", markup=False)
        else:
            self.dismiss(plan)

    def action_leave(self) -> None:
        """Go without keeping, after asking when something was typed."""
        chosen = self._chosen_now
        as_it_was = all(chosen[name] == usual for name, usual in USUALLY_CHOSEN.items())
        if as_it_was and all(row.line.value == self._filled.get(name, "") for name, row in self.lines.items()):
            self.dismiss(None)
            return

        def answered(leave: bool | None) -> None:
            if leave:
                self.dismiss(None)

        self.app.push_screen(Ask("Leave without keeping this plan?", "leave it", "stay here"), answered)
