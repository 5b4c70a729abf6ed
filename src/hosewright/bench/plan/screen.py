"""Planning a sock: lines to type on, and beside or below them the sock they come to, drawn and in numbers."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.containers import Container, Vertical, VerticalScroll
from textual.widgets import Static

from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.entry_screen import FORM_CSS, EntryScreen, Line, Pick
from hosewright.bench.widgets.line import Heading, Steady
from hosewright.bench.widgets.sock import SockSheet, Words
from hosewright.craft import CraftError
from hosewright.craft.sock_notes import MOST_UNASKED_PASSES, slit
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import Plan, Wearer
from hosewright.phrases.lists import aligned
from hosewright.picture.dyed import dyed
from hosewright.picture.of_sock import in_short, measures
from hosewright.planning.choices import USUALLY_CHOSEN, cannot_be_chosen, idle_lines
from hosewright.planning.gauges import NO_GAUGE, PlanShelf, gauge_words
from hosewright.planning.plan_lines import GAUGE, WEARER, WITHOUT, sock_fields, usual_texts
from hosewright.planning.sock import Working, shape_of, to_plan, usual_name, work_out
from hosewright.planning.typed import Typed
from hosewright.session.steps.tubes import called
from hosewright.words.shelf import item_words
from hosewright.words.stock import reach_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.planning.gauges import Knit
    from hosewright.planning.sock_lines import Labelled

LABEL = 14
# Every part of the form: its heading and what stands under it.
LAYOUT = (
    ("", ("gauge", "without", "wearer")),
    ("Foot", ("tube", "foot", "ease")),
    ("Cuff and leg", ("cuff", "pattern", "rows", "leg", "leg_rib", "instep_rib", "stripes", "shaped", "ankle", "calf")),
    (
        "Heel and toe",
        (
            "heel",
            "end",
            "heel_needles",
            "gusset",
            "left",
            "toe",
            "deepen",
            "deeper",
            "lowering",
            "plain",
            "reinforced",
            "part",
        ),
    ),
    ("", ("name",)),
)


class PlanNumbers(VerticalScroll, can_focus=False):
    """What the plan comes to, or what is missing."""

    def compose(self) -> ComposeResult:
        yield Steady(id="plan-caution")
        yield Steady(id="plan-missing")
        with Container(id="plan-lines"):
            yield Steady(id="plan-parts")
            yield Steady(id="plan-rest")
        for name in ("tubes", "leg", "heels", "cylinders", "notes"):
            yield Steady(id=f"plan-{name}", classes="plan-more")

    def show(self, working: Working, missing: str, tubes: Sequence[str]) -> None:
        cylinders = "\n".join(aligned(working.cylinders))
        texts = {
            "caution": working.caution,
            "missing": missing,
            "tubes": "\n".join(tubes),
            "parts": _labelled(working.parts),
            "rest": _labelled(working.rest),
            "leg": _under("The leg by the dial", _labelled(working.leg)),
            "heels": "\n".join(working.heels),
            "cylinders": _under("Cylinders, * nearest the girth wanted", cylinders),
            "notes": "\n".join(f"- {note}" for note in working.notes),
        }
        for name, text in texts.items():
            self.query_one(f"#plan-{name}", Steady).show_or_hide(text)

    def page(self, way: int) -> None:
        """Move a screenful down (1) or up (-1): what the foot of the screen cuts next comes whole."""
        top = self.scroll_offset.y
        foot = top + self.size.height
        cut = (part.virtual_region for part in self.children if part.display)
        to = next((part.y for part in cut if part.y > top and part.bottom > foot), foot - 1) if way > 0 else None
        self.scroll_to(y=top - max(1, self.size.height - 1) if to is None else to, animate=False)


def _labelled(lines: Sequence[Labelled]) -> str:
    return "\n".join(f"{label:{LABEL}}{said}" for label, said in lines)


def _under(heading: str, text: str) -> str:
    return f"{heading}\n{text}" if text else ""


_MAY_BE_RULED_OUT = ("cuff", "leg_rib", "instep_rib", "heel", "end")  # by what the machine's record says


class PlanScreen(EntryScreen[Plan]):
    """Dismisses with the plan kept in the logbook, or None. The numbers follow every key."""

    TOPIC = "feet"
    CSS_PATH = [FORM_CSS, "screen.tcss"]
    AUTO_FOCUS = "#field-tube"
    LABELS = 16
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide"), (160, "-widest")]
    EXPLAIN = (
        "Work out a sock from a gauge (the mean of the tubes since it last changed, or one tube alone): from the tube "
        "of a sock that fits, from the foot, or from both side by side. Choose cuff, leg, heel and toe. The numbers "
        "follow as you type; PgUp and PgDn move through them; Ctrl+S saves the plan."
    )
    heading = "Plan a sock"
    LEAVE = "Leave without saving this plan?"
    BINDINGS = [
        Binding("ctrl+s", "save", "Save the plan"),
        Binding("pagedown", "numbers(1)", "Numbers", key_display="PgDn", priority=True),
        Binding("pageup", "numbers(-1)", show=False, priority=True),
        Binding("w", "make('wearer')", "New wearer"),
    ]

    def __init__(self, wearer: str | None = None, gauge: str | None = None) -> None:
        """Plan a sock, for this ``wearer`` when there is one already, from this session's ``gauge`` or else the newest.

        Both are ids. Where it is one of several tubes that say the same, from their mean.
        """
        super().__init__()
        self._first_gauge = gauge
        self._first_wearer = wearer
        self.working = Working()
        self._ribbed = ""  # what a ribbed tube that led here is good for

    def lay_out(self) -> None:
        """Every line of the layout; a way of making it always holds, the usual one to begin with."""
        fields = {"gauge": GAUGE, "without": WITHOUT, "wearer": WEARER, **sock_fields(self.app.settings.length_unit)}
        for _, names in LAYOUT:
            for name in names:
                if name in USUALLY_CHOSEN:
                    self.add(replace(fields[name], required=True), USUALLY_CHOSEN[name])
                else:
                    self.add(fields[name], hint=False if name == "name" else None)

    def body(self) -> ComposeResult:
        with Container(id="plan-both"):
            with VerticalScroll(id="form-body", can_focus=False):
                for at, (heading, names) in enumerate(LAYOUT):
                    if heading:
                        yield Static(heading, id=f"plan-head-{at}", classes="plan-head", markup=False)
                    for name in names:
                        yield self.rows[name]
            with Vertical(id="plan-result", classes="form-frame"):
                yield SockSheet(id="plan-sock")
                yield PlanNumbers(id="plan-numbers")

    def on_mount(self) -> None:
        settings = self.app.settings
        unit = settings.length_unit
        self._shelf = PlanShelf(self.app.book, settings.tape_error_mm)
        self._shelf.read_gauges()
        self._shelf.read_plan_names()
        gauges = [(gauge_words(knit, unit), name) for name, knit in self._shelf.gauges.items()]
        self.rows["gauge"].offer(gauges, self._shelf.first(self._first_gauge))
        self._ribbed = self._shelf.ribbed_words(self._first_gauge)
        self._offer_wearers(self._first_wearer)
        usual = usual_texts(None, USUALLY_CHOSEN["cuff"], unit)
        for name in ("ease", "leg"):
            self.rows[name].propose(usual[name])
        self._fill_for_wearer()

    def _offer_wearers(self, chosen: str | None) -> None:
        self._shelf.read_wearers()
        unit = self.app.settings.length_unit
        wearers = [(item_words(w, unit), w.id) for w in self._shelf.wearers.values()]
        self.rows["wearer"].offer(wearers, chosen)

    # --- what stands on the screen -------------------------------------------------------------------------

    @property
    def knit(self) -> Knit | None:
        """The gauge chosen without the tubes left out, with its yarn, its cylinder and its tube's readings."""
        return self._shelf.knit(self.rows["gauge"].chosen, self._left_out)

    @property
    def _left_out(self) -> frozenset[str]:
        """The sessions of the tubes left out; none while the line cannot be read."""
        with suppress(CraftError):
            return self._shelf.left_out(self.rows["gauge"].chosen, self.rows["without"].text)
        return frozenset()

    @property
    def wearer(self) -> Wearer | None:
        return self._shelf.wearers.get(self.rows["wearer"].chosen or "")

    @property
    def _chosen_now(self) -> dict[str, str]:
        return {name: self.rows[name].chosen for name in USUALLY_CHOSEN}

    @property
    def typed(self) -> Typed:
        """Everything typed and chosen; a line that means nothing as things are counts as empty."""
        chosen = self._chosen_now
        idle = idle_lines(chosen)
        lines = {name: row.text for name, row in self.rows.items() if isinstance(row.entry, Line)}
        del lines["without"]
        return Typed(**{name: "" if name in idle else text for name, text in lines.items()}, **chosen)

    def _fill_for_wearer(self) -> None:
        unit, wearer = self.app.settings.length_unit, self.wearer
        usual = usual_texts(wearer, self._chosen_now["cuff"], unit)
        for name in ("tube", "foot"):
            self.rows[name].propose(usual[name])
        self._fill_for_choices()

    def _fill_for_choices(self) -> None:
        """Usual values for lines that a choice has just brought up; nothing on those it has put away."""
        unit, wearer, chosen = self.app.settings.length_unit, self.wearer, self._chosen_now
        usual = usual_texts(wearer, chosen["cuff"], unit)
        idle = idle_lines(chosen)
        for name, row in self.rows.items():
            row.display = name not in idle
        for at, (heading, names) in enumerate(LAYOUT):
            if heading:
                self.query_one(f"#plan-head-{at}").display = any(name not in idle for name in names)
        for name in ("pattern", "rows", "ankle", "calf", "heel_needles", "gusset", "deeper"):
            self.rows[name].propose("" if name in idle else usual.get(name, ""))

    # --- numbers -------------------------------------------------------------------------------------------

    def read(self) -> tuple[dict[str, Any], dict[str, str]]:
        """The lines are read together, for the numbers; what is wrong with any of them."""
        return {}, dict(self.working.problems)

    def follow(self, row: EntryRow | None = None) -> None:
        """Fill what nobody typed on, and work out the numbers."""
        if row is not None and isinstance(row.entry, Pick):
            if row.field.name in ("wearer", "gauge"):
                self._fill_for_wearer()
            else:
                self._fill_for_choices()
        cannot = cannot_be_chosen(self.knit.cranked_on if self.knit else None)
        for name in _MAY_BE_RULED_OUT:
            self.rows[name].rule_out(cannot.get(name, {}))
        wearer, settings = self.wearer, self.app.settings
        self.working = work_out(self.typed, self.knit, wearer, settings.length_unit, self._shelf.worn(wearer))
        self.rows["name"].propose(self._usual_name())
        lots = reach_lines(self._shelf.reaches(self.knit, self.working.yarn), settings.mass_unit)
        self.working = replace(self.working, rest=(*self.working.rest, *lots))
        chosen = self.rows["gauge"].chosen
        try:
            self._shelf.left_out(chosen, self.rows["without"].text)
        except CraftError as wrong:
            self.working = Working({**self.working.problems, "without": str(wrong)}, str(wrong))
        missing = self.working.missing
        tubes = self._shelf.tube_lines(chosen, self._left_out, settings.length_unit)
        self.rows["without"].display = bool(tubes)
        if not self._shelf.gauges:
            missing = NO_GAUGE
        if self._ribbed and missing:
            missing = f"{self._ribbed} {missing}"
        self.query_one(PlanNumbers).show(self.working, missing, tubes)
        self._draw()

    def _usual_name(self) -> str:
        return usual_name(self.knit, self.wearer, self._shelf.plan_names, of=self.working.called)

    def _draw(self) -> None:
        """The sock worked out, with its measures; none while there is no sock."""
        sheet, knit, made = self.query_one(SockSheet), self.knit, self.working.made
        self.query_one("#plan-result").border_title = f"The {self.working.called}"
        self.query_one(Heading).say(title=called(self.heading, self.working.called))
        sheet.display = knit is not None and made is not None
        if knit is None or made is None:
            return
        unit = self.app.settings.length_unit
        stripes = self.working.values.stripes if self.working.values else None
        shape = shape_of(made, knit.fabric)
        parts, girth = measures(shape, unit)
        tight = self.working.tight.marks
        marks = tuple((sign, shape.names.index(part), row) for sign, part, row, _ in tight)
        words = Words(parts, (girth, *(said for *_, said in tight)), in_short(shape, unit), marks)
        sheet.show_sock(shape, shape.counts, dyed(knit.yarn, stripes, shape), words)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_numbers(self, way: int) -> None:
        self.query_one(PlanNumbers).page(way)

    def made(self, kind: str, item: Any) -> None:  # noqa: ARG002  # a wearer
        self._offer_wearers(item.id)

    def build(self, values: dict[str, Any]) -> Plan:  # noqa: ARG002  # they are in the working
        knit, typed = self.knit, self.typed
        if self.working.made is None or knit is None:
            raise CraftError(self.working.missing or "There is no sock to save yet.")
        name = typed.name.strip() or self._usual_name()
        return to_plan(shelf_id(name), replace(typed, name=name), knit, self.wearer, self.working)

    def question(self, made: Plan) -> Ask | None:  # noqa: ARG002
        """A slit that is long is asked about first."""
        heel = self.working.sock.heel if self.working.sock else None
        if heel is None or heel.extra_passes <= MOST_UNASKED_PASSES:
            return None
        return Ask(slit(heel.extra_passes), "keep the plan so", "change it")
