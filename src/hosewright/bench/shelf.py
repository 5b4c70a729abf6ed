"""Machines, cylinders, yarns, wearers and plans in columns, and the forms of those that have one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from textual import on
from textual.binding import Binding
from textual.containers import Grid
from textual.widgets import DataTable

from hosewright.bench.shielded import write_and_tell
from hosewright.bench.widgets.entry_screen import FormScreen
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.list_screen import BACK, Listed, ListScreen
from hosewright.logbook.entered_twice import merge_into, part_again
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.paper.writing import write_shared
from hosewright.phrases.field import Field
from hosewright.planning.shelf_lines import lines_of
from hosewright.words.shelf import shelf_columns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.phrases.lists import Column
    from hosewright.planning.shelf_lines import Lines

    Item = Machine | Cylinder | Yarn | Wearer | Plan


def open_form(app: Any, cls: Any, item: Any = None) -> FormScreen[Any]:
    """The form to make a thing of class ``cls``, or to change ``item``. It keeps what it dismisses with."""
    return form_of(lines_of(cls, item, app.settings.length_unit, app.settings.mass_unit), app)


def form_of(lines: Lines, app: Any) -> FormScreen[Any]:
    """The form of these lines; what they make is kept in the logbook of ``app``."""
    return FormScreen(lines.title, lines.fields, lines.first, lines.build, app.book.keep, lines.remark)


_LISTS: dict[str, tuple[type[Item], str, str]] = {
    "machine": (Machine, "Machines", "m"),
    "cylinder": (Cylinder, "Cylinders", "c"),
    "yarn": (Yarn, "Yarns", "y"),
    "wearer": (Wearer, "Wearers", "w"),
    "plan": (Plan, "Plans", "p"),
}

_ONE = (
    "From then on everything done with either is found under the other; both can still be read as they were entered. "
    "Show all (o) lists it, and d parts them again."
)
_ADD = Binding.Group("Add one")


class Kind(Listed["Item"]):
    """One of the lists. Enter changes what is marked, cranks a plan, and adds the first where there is none."""

    BINDINGS = [
        Binding("enter", "select_cursor", "Change"),
        Binding("right", "app.focus_next", show=False),
        Binding("left", "app.focus_previous", show=False),
    ]
    ACROSS = 2

    def __init__(self, kind: str) -> None:
        super().__init__(id=f"shelf-{kind}")
        self.kind = kind
        self.record, self._title, key = _LISTS[kind]
        self.NONE = f"none yet, {key} adds one"

    def shape(self, room: int) -> Sequence[Column[Item]]:
        return shelf_columns(self.record, self.app.settings.length_unit, room)

    def style_of(self, record: Item) -> str:
        """What is out of use steps back."""
        return "muted" if record.retired else ""

    def count_words(self) -> str:
        return f"{super().count_words()} ({_LISTS[self.kind][2]} adds)"

    def action_select_cursor(self) -> None:
        if self.row_count:
            super().action_select_cursor()
        else:
            self.app.simulate_key(_LISTS[self.kind][2])


class ShelfScreen(ListScreen[None]):
    """What there is to knit with and whom for."""

    TOPIC = "feet"
    EXPLAIN = (
        "What you have to knit with, whom you knit for, and what you planned. Tab goes from list to list, Enter "
        "changes the marked line, whose earlier versions are kept; on a plan it starts its sock. TURNS DOWN is where "
        "a machine's dial starts, in turns below zero. x writes a plan, or all gauges of a yarn or a cylinder, into a "
        "file for a friend to take in: without people, prices and notes."
    )
    BINDINGS = [
        Binding("m", "add('machine')", "Add a machine", group=_ADD),
        Binding("c", "add('cylinder')", "Add a cylinder", group=_ADD),
        Binding("y", "add('yarn')", "Add a yarn", group=_ADD),
        Binding("w", "add('wearer')", "Add a wearer", group=_ADD),
        Binding("p", "go('plan')", "Plan a sock", group=_ADD),
        Binding("k", "go('notebook')", "Notebook", tooltip="Gauges and socks from before there was this logbook"),
        Binding("x", "export", "Export", tooltip="A plan, or the gauges of a yarn or a cylinder, for a friend"),
        Binding("r", "retire", "Retire"),
        Binding("o", "old", "Show all", tooltip="What was retired, too"),
        Binding("d", "double", "Entered twice", tooltip="It is the same as another: make them one, or part them"),
        Binding("tab", "app.focus_next", "Next"),
        BACK,
    ]
    DEFAULT_CSS = """
    ShelfScreen Grid { grid-size: 2 3; height: 1fr; }
    ShelfScreen #shelf-plan { column-span: 2; }
    """

    def compose(self) -> ComposeResult:
        yield Heading("Shelf")
        with Grid():
            for kind in _LISTS:
                yield Kind(kind)
        yield BoundBar()

    def read_again(self, mark: str = "") -> None:
        for shown in self.query(Kind):
            cls: Any = shown.record
            shown.fill(self.app.book.shelf(cls, retired=self.with_old), mark)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_add(self, kind: str) -> None:
        self._open(kind, None)

    def action_go(self, place: str) -> None:
        self.app.go_to(place)

    def on_screen_resume(self) -> None:
        """A plan may have been made meanwhile."""
        self.read_again()

    @on(DataTable.RowSelected)
    def _change(self, event: DataTable.RowSelected) -> None:
        listed = event.data_table
        if not isinstance(listed, Kind) or listed.marked is None:
            return
        if isinstance(listed.marked, Plan):
            self.app.go_to("sock", {"plan": listed.marked.id})
        else:
            self._open(listed.kind, listed.marked)

    def _open(self, kind: str, item: Any) -> None:
        def done(made: Any) -> None:
            if made is not None:
                self.kept(made)
            self.query_one(f"#shelf-{kind}", Kind).focus()

        cls: Any = _LISTS[kind][0]
        self.app.push_screen(open_form(self.app, cls, item), done)

    def action_double(self) -> None:
        """The marked thing is the same as another: make them one; of one that was made so, part them again."""
        item = self.focused.marked if isinstance(self.focused, Kind) else None
        if not isinstance(item, Machine | Cylinder | Yarn | Wearer):
            self.app.notify("Go to a machine, a cylinder, a yarn or a wearer first.", markup=False)
            return
        book, cls = self.app.book, cast("type[Any]", type(item))
        kind = self.focused.kind if isinstance(self.focused, Kind) else ""
        told = book.store.names_now().get((kind, item.id))
        if told is not None and told.now != item.id:
            part_again(book, kind, item.id)
            self.app.notify(f"{item.name} is a {kind} of its own again.", markup=False)
            self.read_again(item.id)
            return
        others = tuple((one.name, one.id) for one in book.shelf(cls) if one.id != item.id)
        if not others:
            self.app.notify(f"There is no other {kind} it could be.", markup=False)
            return

        def keep(into: str) -> None:
            merge_into(book, item, next(one for one in book.shelf(cls) if one.id == into))

        same = Field("into", "The same as", f"the {kind} it is", choices=others, required=True)
        title = f"{item.name} was entered twice"
        form = FormScreen(title, [same], {}, lambda values: str(values["into"]), keep, lambda _: _ONE)
        self.app.push_screen(form, lambda into: self.read_again(into or item.id))

    def action_export(self) -> None:
        """Write what is marked into a file that another logbook takes in, without people and notes."""
        item = self.focused.marked if isinstance(self.focused, Kind) else None
        if not isinstance(item, Plan | Yarn | Cylinder):
            self.app.notify("Go to a plan, a yarn or a cylinder first.", markup=False)
            return

        def write() -> str:
            file = write_shared(self.app.book, item)
            said = "Without people, prices and notes. A friend takes it in with `hosewright logbook import FILE`."
            return f"{file}\n{said}"

        write_and_tell(self, write, "Exported")

    def action_retire(self) -> None:
        item = self.focused.marked if isinstance(self.focused, Kind) else None
        if item is None:
            self.app.notify("Go to something on a list first.", markup=False)
            return
        off = f"Retire {item.name}? Sessions that used it stay as they are.", "retire it", "keep it in use"
        self.retire(item, off, (f"Take {item.name} back into use?", "back into use", "leave it retired"))
