"""A machine's care: what it has cranked since it was oiled, what was done to it, and the keys to note more."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.widgets import Static

from hosewright.bench.doors import screen_of
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.list_screen import BACK, Listed, ListScreen
from hosewright.bench.year.forms import care_form, oil_form
from hosewright.logbook.accounts.care import Figures, Oiled, blank, cylinder_in_use, due_of, figures, history, still_ms
from hosewright.logbook.records.shelf import Cylinder, Machine
from hosewright.phrases.days import clock_day
from hosewright.phrases.lists import Column
from hosewright.words.care import CAUTION, entry_words, figure_lines, how_counted, oil_words, ribber_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from textual.app import ComposeResult

    from hosewright.logbook.records.year import Care

ENOUGH_LINES = 30  # from here on there is room to say how it is counted


class Machines(Listed[Machine]):
    """The machines."""

    TITLE = "Machines"
    NONE = "none yet, s on the bench leads to the shelf, where one is added"
    COLUMNS = (Column[Machine]("", lambda machine: machine.name, share=1),)


class Done(Listed["Care"]):
    """What was done to one machine, newest first."""

    TITLE = "What was done"
    NONE = "nothing noted yet"
    names: Mapping[str, str] = MappingProxyType({})  # of cylinders, by their ids

    def shape(self, room: int) -> Sequence[Column[Care]]:  # noqa: ARG002  # the same in any
        return (
            Column("", lambda item: clock_day(item.at_ms, item.zone_min), width=11, number=True),
            Column("", lambda item: entry_words(item, self.names), share=1, wrapped=True),
        )


class CareScreen(ListScreen[str]):
    """The machines, the figures of the one marked, and what was done to it, newest first."""

    CSS_PATH = "care_screen.tcss"
    AUTO_FOCUS = "Machines"
    EXPLAIN = (
        "Rows, passes and hours on each machine since it was oiled, and what was done to it. Tab goes between the "
        "machines and what was done. o notes that you have oiled it just now and asks for nothing more. Once you "
        "enter the figure from its manual (u), the bench reminds you when it is passed; two passes count as one row. "
        "Faults before a "
        "needle was changed do not count against the new one. " + CAUTION
    )
    BINDINGS = [
        Binding("o", "oiled", "Oiled now"),
        Binding("n", "note('needle')", "Needles changed"),
        Binding("p", "note('part')", "Part"),
        Binding("t", "note('ribber')", "Ribber timed"),
        Binding("b", "ribber", "Set the ribber up"),
        Binding("k", "note('note')", "Note"),
        Binding("e", "put_right", "Put right"),
        Binding("r", "strike", "Strike out"),
        Binding("u", "how_often", "How often to oil"),
        Binding("tab", "app.focus_next", "Next"),
        BACK,
    ]

    def __init__(self) -> None:
        super().__init__()
        self._figures: dict[str, Figures] = {}
        self._cylinders: list[Cylinder] = []
        self._shown = ""  # the machine whose care is shown

    def compose(self) -> ComposeResult:
        yield Heading("The machine's care")
        yield Machines(id="care-machines")
        yield Static("", id="care-figures", markup=False)
        yield Static("", id="care-oil", markup=False)
        yield Done(id="care-done")
        yield Static(CAUTION, id="care-caution", markup=False)
        yield BoundBar()

    # --- showing -------------------------------------------------------------------------------------------

    def read_again(self, mark: str = "") -> None:
        """List the machines, and show the one marked; ``mark`` is of what was done to it."""
        book = self.app.book
        self._cylinders = book.shelf(Cylinder)
        self.query_one(Done).names = {one.id: one.name for one in self._cylinders}
        self.query_one(Machines).fill(book.shelf(Machine))
        self._show(mark)

    @property
    def machine(self) -> Any:
        """The Machine marked; the keys that need one are asked for first (``check_action``)."""
        return self.query_one(Machines).marked

    def say_more(self) -> None:
        if self.machine is not None and self.machine.id != self._shown:
            self._show()

    def _show(self, mark: str = "") -> None:
        """Show what was done to the machine marked; its figures follow once that is painted."""
        machine, done = self.machine, self.query_one(Done)
        done.fill(history(self.app.book, machine.id) if machine else [], mark)
        done.entitle(f"What was done to {machine.name}" if machine else "What was done")
        self._shown = machine.id if machine else ""
        if machine is None:
            return
        if machine.id in self._figures:
            self._show_figures()
        else:
            self.query_one("#care-figures", Static).update("counting ...\n\n")
            self.query_one("#care-oil", Static).update("")
            self.call_after_refresh(self._count, machine)

    def on_resize(self) -> None:
        self._show_figures()

    def _count(self, machine: Machine) -> None:
        """Count what a machine has cranked, once a visit and again when it was oiled."""
        if not self.query("#care-figures"):
            return  # the screen was left before its turn came
        bench = self.app
        at_ms, zone_min, _ = bench.book.clock.now()
        still = still_ms(bench.settings.pause_after_s)
        self._figures[machine.id] = figures(bench.book.store, machine.id, Oiled(at_ms, zone_min), still)
        self._show_figures()

    def _show_figures(self) -> None:
        machine = self.machine
        found = self._figures.get(machine.id) if machine is not None else None
        if machine is None or found is None:
            return
        still = still_ms(self.app.settings.pause_after_s)
        lines = figure_lines(found)
        if self.app.size.height >= ENOUGH_LINES:
            lines.append(how_counted(still // 1000))
        lines += filter(None, [ribber_words(self.app.book.store, machine.id, at_start=False)])
        self.query_one("#care-figures", Static).update("\n".join(lines))
        oil = self.query_one("#care-oil", Static)
        oil.update(oil_words(machine, found))
        oil.set_class(due_of(machine, found) is not None, "due")

    # --- noting --------------------------------------------------------------------------------------------

    def kept(self, record: Care | Machine) -> None:
        """What the machine has cranked since is counted again."""
        self._figures.clear()
        super().kept(record)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """Nothing is noted of no machine, and what was never noted is not put right."""
        if action in ("oiled", "note", "how_often", "ribber"):
            return self.machine is not None if self.is_mounted else True
        return self._marked is not None if action in ("put_right", "strike") else True

    def action_oiled(self) -> None:
        item = blank(self.machine, "oiled", self.app.book.clock.now())
        self.keep(item)
        self.app.notify(f"{self.machine.name}: oiled now. r strikes it out.", markup=False)

    def action_note(self, what: str) -> None:
        machine, book = self.machine, self.app.book
        now = book.clock.now()
        cylinder = None
        if what == "needle":
            known = [one.id for one in self._cylinders]
            used = cylinder_in_use(book.store, machine.id)
            cylinder = used if used in known else known[0] if len(known) == 1 else None
        item = blank(machine, what, now, cylinder)
        self.visit(care_form(machine, item, self._cylinders, now, self.app.book.keep, new=True), self.kept)

    def action_ribber(self) -> None:
        """Set it up in a session of its own, and go there."""
        start = screen_of("ribber", self.app, machine=self.machine.id)
        self.visit(start, lambda record: self.dismiss(self.app.book.start(record).record.id))

    @property
    def _marked(self) -> Any:
        """What was done, a Care, that is marked; asked for in the same way."""
        return self.query_one(Done).marked

    def action_put_right(self) -> None:
        book = self.app.book
        form = care_form(self.machine, self._marked, self._cylinders, book.clock.now(), book.keep, new=False)
        self.visit(form, self.kept)

    def action_strike(self) -> None:
        item, names = self._marked, self.query_one(Done).names
        said = f"{clock_day(item.at_ms, item.zone_min)}, {entry_words(item, names)}"
        off = f"Strike this out? {said}. It stays readable.", "strike it out", "leave it"
        self.retire(item, off, (f"Let this stand again? {said}", "let it stand", "leave it struck out"))

    def action_how_often(self) -> None:
        self.visit(oil_form(self.machine, self.app.book.keep), self.kept)
