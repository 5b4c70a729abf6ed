"""A machine's care: what it has cranked since it was oiled, what was done to it, and the keys to note more."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.year.forms import care_form, oil_form
from hosewright.logbook.accounts.care import Figures, Oiled, blank, cylinder_in_use, due_of, figures, history, still_ms
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.shelf import Cylinder, Machine
from hosewright.phrases.days import clock_day
from hosewright.words.care import CAUTION, entry_words, figure_lines, how_counted, oil_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.records.year import Care

ENOUGH_LINES = 30  # from here on there is room to say how it is counted
AROUND = 9  # frame, margins and scroll bar of a list
_NOTHING_DONE = "nothing noted yet: o when you have oiled it"


class CareScreen(Shielded, Screen[None]):
    """The machines, the figures of the one marked, and what was done to it, newest first."""

    CSS_PATH = "care_screen.tcss"
    AUTO_FOCUS = "#care-machines"
    EXPLAIN = (
        "Rows, passes and hours on each machine since it was oiled, and what was done to it. Tab goes between the "
        "machines and what was done. o notes that you have oiled it just now and asks for nothing more. Once you give "
        "the figure of its manual (u), the bench reminds you past it, two passes counting as a row. Faults before a "
        "needle was changed do not count against the new one. " + CAUTION
    )
    BINDINGS = [
        Binding("o", "oiled", "Oiled now"),
        Binding("n", "note('needle')", "Needles changed"),
        Binding("p", "note('part')", "Part"),
        Binding("t", "note('ribber')", "Ribber timed"),
        Binding("k", "note('note')", "Note"),
        Binding("e", "put_right", "Put right"),
        Binding("r", "strike", "Strike out"),
        Binding("u", "how_often", "How often to oil"),
        Binding("tab", "app.focus_next", "Next"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.machines: list[Machine] = []
        self.done: list[Care] = []
        self._figures: dict[str, Figures] = {}
        self._cylinders: list[Cylinder] = []

    def compose(self) -> ComposeResult:
        """Title, machines, figures, what was done, the reminder and the cautions, keys."""
        yield Static("The machine's care", id="care-title")
        yield OptionList(id="care-machines", markup=False)
        yield Static("", id="care-figures", markup=False)
        yield Static("", id="care-oil", markup=False)
        yield OptionList(id="care-done", markup=False)
        yield Static(CAUTION, id="care-caution", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """List the machines."""
        self.query_one("#care-machines").border_title = "Machines"
        self.query_one("#care-done").border_title = "What was done"
        self.look_again()

    # --- showing -------------------------------------------------------------------------------------------

    def look_again(self) -> None:
        """List the machines, and show the one marked."""
        listed = self.query_one("#care-machines", OptionList)
        at = listed.highlighted or 0
        try:
            book = host(self).book
            self.machines = book.shelf(Machine)
            self._cylinders = book.shelf(Cylinder)
        except LogbookError as error:
            self._trouble(error)
            return
        listed.clear_options()
        if not self.machines:
            listed.add_option(Option("none yet: s on the bench leads to the shelf, where one is added", disabled=True))
            return
        listed.add_options(Option(Content(machine.name)) for machine in self.machines)
        listed.highlighted = min(at, len(self.machines) - 1)
        self._show()

    @property
    def machine(self) -> Machine | None:
        """The machine marked."""
        at = self.query_one("#care-machines", OptionList).highlighted
        return self.machines[at] if at is not None and at < len(self.machines) else None

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Another machine is marked."""
        if event.option_list.id == "care-machines":
            self._show()

    def _show(self) -> None:
        """Show what was done to the machine marked; its figures follow once that is painted."""
        machine = self.machine
        if machine is None:
            return
        try:
            self.done = history(host(self).book, machine.id)
        except LogbookError as error:
            self._trouble(error)
            return
        self._list_done()
        if machine.id in self._figures:
            self._show_figures()
        else:
            self.query_one("#care-figures", Static).update("counting ...\n\n")
            self.query_one("#care-oil", Static).update("")
            self.call_after_refresh(self._count, machine)
        self.refresh_bindings()

    def _list_done(self) -> None:
        listed = self.query_one("#care-done", OptionList)
        name = self.machine.name if self.machine else ""
        listed.border_title = f"What was done: {name}".replace("[", r"\[")
        at = listed.highlighted or 0
        names = {one.id: one.name for one in self._cylinders}
        width = max(30, self.app.size.width - AROUND)
        listed.clear_options()
        if self.done:
            for item in self.done:
                said = f"{clock_day(item.at_ms, item.zone_min):>11}  {entry_words(item, names)}"
                listed.add_option(Option(Content(fill(said, width, subsequent_indent=" " * 13))))
            listed.highlighted = min(at, len(self.done) - 1)
        else:
            listed.add_option(Option(_NOTHING_DONE, disabled=True))

    def on_resize(self) -> None:
        """Fit the lines to the new width."""
        if self.machine is not None:
            self._list_done()
            self._show_figures()

    def _count(self, machine: Machine) -> None:
        """Count what a machine has cranked, once a visit and again when it was oiled."""
        if not self.query("#care-figures"):
            return  # the screen was left before its turn came
        bench = host(self)
        at_ms, zone_min, _ = bench.book.clock.now()
        still = still_ms(bench.settings.pause_after_s)
        try:
            self._figures[machine.id] = figures(bench.book.store, machine.id, Oiled(at_ms, zone_min), still)
        except LogbookError as error:
            self._trouble(error)
            return
        self._show_figures()

    def _show_figures(self) -> None:
        machine = self.machine
        found = self._figures.get(machine.id) if machine is not None else None
        if machine is None or found is None:
            return
        still = still_ms(host(self).settings.pause_after_s)
        lines = figure_lines(found)
        if self.app.size.height >= ENOUGH_LINES:
            lines.append(how_counted(still // 1000))
        self.query_one("#care-figures", Static).update("\n".join(lines))
        oil = self.query_one("#care-oil", Static)
        oil.update(oil_words(machine, found))
        oil.set_class(due_of(machine, found) is not None, "due")

    def _trouble(self, error: LogbookError) -> None:
        self.app.notify(str(error), severity="error", markup=False)

    # --- noting --------------------------------------------------------------------------------------------

    def _keep(self, item: Care | Machine) -> None:
        host(self).book.keep(item)
        self._figures.clear()

    def _kept(self, item: Care | Machine | None) -> None:
        if item is not None:
            self.look_again()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """Nothing is noted of no machine, and what was never noted is not put right."""
        if action in ("oiled", "note", "how_often"):
            return self.machine is not None if self.is_mounted else True
        return bool(self.done) if action in ("put_right", "strike") else True

    def action_oiled(self) -> None:
        """It was oiled just now: nothing more is asked."""
        if self.machine is None:
            return
        item = blank(self.machine, "oiled", host(self).book.clock.now())
        try:
            self._keep(item)
        except LogbookError as error:
            self.app.notify(str(error), title="Not noted", severity="error", markup=False)
            return
        self.app.notify(f"{self.machine.name}: oiled now. r strikes it out.", markup=False)
        self.query_one("#care-done", OptionList).highlighted = None
        self._kept(item)

    def action_note(self, what: str) -> None:
        """Note something else that was done."""
        machine, book = self.machine, host(self).book
        if machine is None:
            return
        now = book.clock.now()
        cylinder = None
        if what == "needle":
            known = [one.id for one in self._cylinders]
            used = cylinder_in_use(book.store, machine.id)
            cylinder = used if used in known else known[0] if len(known) == 1 else None
        item = blank(machine, what, now, cylinder)
        self.app.push_screen(care_form(machine, item, self._cylinders, now, self._keep, new=True), self._kept)

    @property
    def _marked(self) -> Care | None:
        at = self.query_one("#care-done", OptionList).highlighted
        return self.done[at] if at is not None and at < len(self.done) else None

    def action_put_right(self) -> None:
        """Put the marked entry right; what it said before is kept."""
        machine, item = self.machine, self._marked
        if machine is not None and item is not None:
            now = host(self).book.clock.now()
            self.app.push_screen(care_form(machine, item, self._cylinders, now, self._keep, new=False), self._kept)

    def action_strike(self) -> None:
        """Strike the marked entry out, or let it stand again, after asking."""
        item = self._marked
        if item is None:
            return
        names = {one.id: one.name for one in self._cylinders}
        said = f"{clock_day(item.at_ms, item.zone_min)}, {entry_words(item, names)}"

        def answered(sure: bool | None) -> None:
            if not sure:
                return
            try:
                self._keep(item.model_copy(update={"retired": not item.retired}))
            except LogbookError as error:
                self.app.notify(str(error), title="Not changed", severity="error", markup=False)
            self.look_again()

        if item.retired:
            ask = Ask(f"Let this stand again? {said}", "let it stand", "leave it struck out")
        else:
            ask = Ask(f"Strike this out? {said}. It stays readable.", "strike it out", "leave it")
        self.app.push_screen(ask, answered)

    def action_how_often(self) -> None:
        """The figure of its manual."""
        if self.machine is not None:
            self.app.push_screen(oil_form(self.machine, self._keep), self._kept)

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
