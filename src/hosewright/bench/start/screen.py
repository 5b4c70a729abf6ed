"""Starting a session: the lines every start has, what is chosen and typed in them, and leaving with its record."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, Any

from textual import on
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Input, Select, Static

from hosewright.bench.shielded import Shielded
from hosewright.bench.start.setup import SetUp, start
from hosewright.bench.widgets.field import FormField, whole
from hosewright.bench.widgets.form import FieldRow, to_next_line
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.pick import PickRow
from hosewright.logbook.file.store import LogbookError
from hosewright.planning import starting
from hosewright.settings.table import LIMITS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from textual.app import ComposeResult
    from textual.widget import Widget

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Machine, Yarn
    from hosewright.logbook.records.year import Promise

ENDS = (Binding("ctrl+s", "start", "Start"), Binding("escape", "back", "Back"))


class StartScreen(Shielded, Screen["SessionRecord | None"]):
    """Dismisses with the start of a session, ready for ``Logbook.start``, or None. Each kind of start is one of it.

    ``heading`` stands at its top; lists named in ``MAY_STAY_OPEN`` need no choice.
    """

    CSS_PATH = ["../widgets/form.tcss", "screen.tcss"]
    AUTO_FOCUS = "Pick"
    EXPLAIN = "Choose what stands on the bench and start. What is missing can be made on the spot."
    heading: str
    MAY_STAY_OPEN: tuple[str, ...] = ("lot",)

    def __init__(self, chosen: Mapping[str, str] | None = None) -> None:
        """``chosen`` are ids by what they are of, chosen already."""
        super().__init__()
        self._at_first = dict(chosen or {})
        self.known = starting.Known((), (), (), (), None)
        self.picks: dict[str, PickRow] = {}
        self.lines: dict[str, FieldRow] = {}
        self.set_up = SetUp()

    # --- what each kind has of its own ---------------------------------------------------------------------

    @abstractmethod
    def lay_out(self) -> None:
        """Make the lines of this start: ``pick`` and ``line``."""

    @abstractmethod
    def things(self) -> Mapping[str, tuple[Any, ...]]:
        """What can be chosen, by the name of the line."""

    def better(self, wanted: dict[str, str | None], unchosen: set[str]) -> None:
        """Put something better than the last used in ``wanted`` where nobody chose: for the ``unchosen`` names."""

    @abstractmethod
    def fill(self, wanted: Mapping[str, str | None]) -> None:
        """Fill the lists with what there is, ``wanted`` being chosen."""

    @abstractmethod
    def was_chosen(self, name: str) -> None:
        """Something else was chosen in the line of this name."""

    @abstractmethod
    def record(self, values: dict[str, Any], set_up: dict[str, Any]) -> SessionRecord:
        """The start, from the ``values`` of the lines. Raises ValueError with a sentence."""

    @property
    def promise(self) -> Promise | None:
        """The pair it is for."""
        return None

    # --- layout --------------------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        """Title, lines, what it comes to, keys."""
        self.lay_out()
        self.picks["lot"] = self.set_up.lot
        self.lines |= self.set_up.rows
        yield Static(self.heading, classes="form-title")
        with VerticalScroll(id="form-body", can_focus=False):
            yield from self.picks.values()
            yield from self.lines.values()
            yield Static("", id="start-says", markup=False)
        yield BoundBar()

    def pick(self, name: str, label: str, none: str) -> None:
        """A line to choose in; ``none`` stands there while nothing is chosen."""
        self.picks[name] = PickRow(name, label, "", none)

    def line(self, field: FormField, text: str = "") -> None:
        """A line to type in."""
        self.lines[field.name] = FieldRow(field, text)

    def line_of_separators(self) -> None:
        """The line for the rows of separator yarn."""
        read = whole("separator rows", *LIMITS["separator_rows"])
        separator = FormField("separator", "Separator rows", "before and after", read, required=True)
        self.line(separator, str(host(self).settings.separator_rows))

    def on_mount(self) -> None:
        """Offer what there is."""
        self.offer()

    def offer(self, chosen: Mapping[str, str] | None = None) -> None:
        """Fill the lists again; ``chosen`` names what to choose instead of what is chosen or was last used."""
        try:
            self.known = starting.known(host(self).book)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)
            return
        once, self._at_first = self._at_first, {}  # after that it is the knitter who chooses
        wanted = {name: row.chosen for name, row in self.picks.items()} | once | dict(chosen or {})
        last = {name: items[0].id for name, items in self.things().items() if wanted.get(name) is None and items}
        wanted |= last
        self.better(wanted, set(last))
        self.fill(wanted)

    def offer_set_up(self, machine: Machine | None, yarn: Yarn | None, like: SessionRecord | None = None) -> None:
        """Fill the lines of the set-up for this machine and yarn; ``like``: the first sock of a twin."""
        try:
            self.set_up.offer(host(self).book, machine, yarn, like, self.promise)
        except LogbookError as error:
            self.app.notify(str(error), severity="error", markup=False)

    def say(self, sentence: str) -> None:
        """What stands below the lines."""
        self.query_one("#start-says", Static).update(sentence)

    # --- keys ----------------------------------------------------------------------------------------------

    @on(Select.Changed)
    def _chosen(self, event: Select.Changed) -> None:
        self.was_chosen((event.select.id or "").removeprefix("field-"))

    @on(Input.Blurred)
    def _left(self, event: Input.Blurred) -> None:
        row = next(row for row in self.lines.values() if row.line is event.input)
        row.read()

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        if not to_next_line(self.lines.values(), event.input):
            self.action_start()

    def action_start(self) -> None:
        """Start it, or show what is missing."""
        values = {name: row.read() for name, row in self.lines.items()}
        for name, pick in self.picks.items():
            pick.say("" if pick.chosen or name in self.MAY_STAY_OPEN else f"Choose a {name} first.")
        wrong: list[Widget] = [row.pick for row in self.picks.values() if row.has_class("-wrong")]
        wrong += [row.line for row in self.lines.values() if row.has_class("-wrong")]
        if wrong:
            wrong[0].focus()
            return
        start(self, lambda: self.record(values, self.set_up.taken(values)))

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
