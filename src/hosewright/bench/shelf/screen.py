"""The shelf: machines, cylinders, yarns and wearers, each a short list."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual import on
from textual.binding import Binding
from textual.containers import Grid
from textual.widgets import DataTable, Static

from hosewright.bench.shelf.forms import open_form
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.list_screen import BACK, Listed, ListScreen
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.phrases.columns import Column
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    Item = Machine | Cylinder | Yarn | Wearer

_LISTS: dict[str, tuple[type[Machine] | type[Cylinder] | type[Yarn] | type[Wearer], str, str]] = {
    "machine": (Machine, "Machines", "m"),
    "cylinder": (Cylinder, "Cylinders", "c"),
    "yarn": (Yarn, "Yarns", "y"),
    "wearer": (Wearer, "Wearers", "w"),
}

_ADD = Binding.Group("Add one")


class Kind(Listed["Item"]):
    """One of the four lists. Enter changes what is marked."""

    BINDINGS = [
        Binding("enter", "select_cursor", "Change"),
        Binding("right", "app.focus_next", show=False),
        Binding("left", "app.focus_previous", show=False),
    ]
    DEFAULT_CSS = "Kind { margin: 0; }"
    AROUND = 6
    ACROSS = 2

    def __init__(self, kind: str) -> None:
        super().__init__(id=f"shelf-{kind}")
        self.kind = kind
        self.record, self._title, key = _LISTS[kind]
        self.NONE = f"none yet, {key} adds one"

    def shape(self, room: int) -> Sequence[Column[Item]]:  # noqa: ARG002  # the same in any
        """The name, and what tells it from its neighbours."""
        unit = host(self).settings.length_unit
        return (Column("", lambda item: item_words(item, unit), share=1, wrapped=True),)

    def count_words(self) -> str:
        """How many, and the key that adds one."""
        return f"{super().count_words()} ({_LISTS[self.kind][2]} adds)"


class ShelfScreen(ListScreen[None]):
    """What there is to knit with and whom for."""

    EXPLAIN = (
        "What you have to knit with, and whom you knit for. Tab goes from list to list, Enter changes the marked "
        "line; its earlier versions are kept."
    )
    BINDINGS = [
        Binding("m", "add('machine')", "Add a machine", group=_ADD),
        Binding("c", "add('cylinder')", "Add a cylinder", group=_ADD),
        Binding("y", "add('yarn')", "Add a yarn", group=_ADD),
        Binding("w", "add('wearer')", "Add a wearer", group=_ADD),
        Binding("r", "retire", "Retire"),
        Binding("o", "old", "Old ones"),
        Binding("tab", "app.focus_next", "Next"),
        BACK,
    ]
    DEFAULT_CSS = """
    ShelfScreen .title { height: 2; }
    ShelfScreen Grid { grid-size: 2 2; grid-gutter: 0 1; padding: 0 1; height: 1fr; }
    """

    def compose(self) -> ComposeResult:
        yield Static("Shelf", classes="title")
        with Grid():
            for kind in _LISTS:
                yield Kind(kind)
        yield BoundBar()

    def read_again(self, mark: str = "") -> None:
        for shown in self.query(Kind):
            cls: Any = shown.record
            shown.fill(host(self).book.shelf(cls, retired=self.with_old), mark)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_add(self, kind: str) -> None:
        self._open(kind, None)

    @on(DataTable.RowSelected)
    def _change(self, event: DataTable.RowSelected) -> None:
        if isinstance(event.data_table, Kind):
            self._open(event.data_table.kind, event.data_table.marked)

    def _open(self, kind: str, item: Item | None) -> None:
        def done(made: Item | None) -> None:
            self.kept(made)
            self.query_one(f"#shelf-{kind}", Kind).focus()

        cls: Any = _LISTS[kind][0]
        self.app.push_screen(open_form(self.app, cls, item), done)

    def action_retire(self) -> None:
        """Take what is marked out of use, or back into it, after asking."""
        item = self.focused.marked if isinstance(self.focused, Kind) else None
        if item is None:
            self.app.notify("Go to something on a list first.", markup=False)
            return
        if item.retired:
            ask = Ask(f"Take {item.name} back into use?", "back into use", "leave it retired")
        else:
            ask = Ask(f"Retire {item.name}? Sessions that used it stay as they are.", "retire it", "keep it in use")
        self.ask_and_keep(ask, item, retired=not item.retired)
