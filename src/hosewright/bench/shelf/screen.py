"""The shelf: machines, cylinders, yarns and wearers, each a short list."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.containers import Grid
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shelf.forms import open_form
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    Item = Machine | Cylinder | Yarn | Wearer

_LISTS: dict[str, tuple[type[Machine] | type[Cylinder] | type[Yarn] | type[Wearer], str, str]] = {
    "machine": (Machine, "Machines", "m"),
    "cylinder": (Cylinder, "Cylinders", "c"),
    "yarn": (Yarn, "Yarns", "y"),
    "wearer": (Wearer, "Wearers", "w"),
}

_ADD = Binding.Group("Add one")


class Kind(OptionList):
    """One of the four lists. Enter changes what is marked."""

    BINDINGS = [Binding("enter", "select", "Change")]

    def __init__(self, kind: str) -> None:
        super().__init__(id=f"shelf-{kind}", markup=False)
        self.kind = kind
        self.items: list[Item] = []
        self.border_title = f"{_LISTS[kind][1]} ({_LISTS[kind][2]} adds)"

    @property
    def marked(self) -> Item | None:
        """What the cursor is on."""
        return self.items[self.highlighted] if self.highlighted is not None and self.items else None


class ShelfScreen(Shielded, Screen[None]):
    """What there is to knit with and whom for."""

    CSS_PATH = "screen.tcss"
    AUTO_FOCUS = "Kind"
    EXPLAIN = (
        "What there is to knit with and whom for. Tab goes from list to list, Enter changes what is marked; "
        "earlier versions are kept."
    )
    BINDINGS = [
        Binding("m", "add('machine')", "Add a machine", group=_ADD),
        Binding("c", "add('cylinder')", "Add a cylinder", group=_ADD),
        Binding("y", "add('yarn')", "Add a yarn", group=_ADD),
        Binding("w", "add('wearer')", "Add a wearer", group=_ADD),
        Binding("r", "retire", "Retire"),
        Binding("o", "old", "Old ones"),
        Binding("tab", "app.focus_next", "Next"),
        Binding("right", "app.focus_next", show=False),
        Binding("left", "app.focus_previous", show=False),
        Binding("escape", "back", "Back"),
    ]
    with_retired = False

    def compose(self) -> ComposeResult:
        """Title, four lists, keys."""
        yield Static("Shelf", id="shelf-title")
        with Grid(id="shelf-lists"):
            for kind in _LISTS:
                yield Kind(kind)
        yield BoundBar()

    def on_mount(self) -> None:
        """Fill the lists."""
        for kind in _LISTS:
            self._fill(kind)

    def _fill(self, kind: str, mark: str | None = None) -> None:
        shown = self.query_one(f"#shelf-{kind}", Kind)
        cls: Any = _LISTS[kind][0]
        at = shown.highlighted or 0
        shown.items = list(host(self).book.shelf(cls, retired=self.with_retired))
        shown.clear_options()
        unit = host(self).settings.length_unit
        if not shown.items:
            shown.add_option(Option(f"none yet: {_LISTS[kind][2]} adds one", disabled=True))
            return
        shown.add_options(Option(Content(item_words(item, unit))) for item in shown.items)
        places = [n for n, item in enumerate(shown.items) if item.id == mark]
        shown.highlighted = places[0] if places else min(at, len(shown.items) - 1)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_add(self, kind: str) -> None:
        """Open an empty form."""
        self._open(kind, None)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the form of what was chosen."""
        if isinstance(event.option_list, Kind):
            self._open(event.option_list.kind, event.option_list.marked)

    def _open(self, kind: str, item: Item | None) -> None:
        def done(made: Item | None) -> None:
            if made is not None:
                self._fill(kind, made.id)
                self.query_one(f"#shelf-{kind}", Kind).focus()

        cls: Any = _LISTS[kind][0]
        self.app.push_screen(open_form(self.app, cls, item), done)

    def action_retire(self) -> None:
        """Take what is marked out of use, or back into it, after asking."""
        shown = self.focused
        item = shown.marked if isinstance(shown, Kind) else None
        if not isinstance(shown, Kind) or item is None:
            self.app.notify("Go to something on a list first.", markup=False)
            return
        kind, what = shown.kind, item

        def answered(sure: bool | None) -> None:
            if sure:
                self._set_retired(kind, what, not what.retired)

        if item.retired:
            ask = Ask(f"Take {item.name} back into use?", "back into use", "leave it retired")
        else:
            ask = Ask(f"Retire {item.name}? Sessions that used it stay as they are.", "retire it", "keep it in use")
        self.app.push_screen(ask, answered)

    def _set_retired(self, kind: str, item: Item, retired: bool) -> None:
        try:
            host(self).book.keep(item.model_copy(update={"retired": retired}))
        except LogbookError as error:
            self.app.notify(str(error), title="Not changed", severity="error", markup=False)
        self._fill(kind)

    def action_old(self) -> None:
        """Show what was retired too, or no longer."""
        self.with_retired = not self.with_retired
        for kind in _LISTS:
            self._fill(kind)

    def action_back(self) -> None:
        """Leave."""
        self.dismiss(None)
