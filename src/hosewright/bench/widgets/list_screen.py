"""Every list of the bench: records in columns, the one under the cursor told more of, asked about and kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar

from rich.text import Text
from textual import on
from textual.binding import Binding
from textual.containers import Container, VerticalScroll
from textual.screen import Screen, ScreenResultType
from textual.widgets import DataTable, Input, Static

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading, in_colours
from hosewright.phrases.lists import GAP, widths

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from textual.widget import Widget

    from hosewright.bench.app import Bench
    from hosewright.phrases.lists import Column

Record = TypeVar("Record")

Question = tuple[str, str, str]  # what is asked, and what a yes and a no do
BROAD = 176  # columns from which more is said beside the list
AT_FIRST = 60  # rows filled before the first frame: more than a screen holds; the rest follows behind it
BACK = Binding("escape", "back", "Back")
FIND = Binding("slash", "find", "Find", key_display="/")
ORDER = Binding("s", "order", "Sort", tooltip="Order the list by its next column; a click on a heading does, too")


class Listed(DataTable[Text], Generic[Record]):
    """A list of records in the columns of ``shape``.

    The record under the cursor stays under it, by its key, whatever is filled, found or ordered anew. How many there
    are is said in the frame, and what to do where there are none.
    """

    BINDINGS = [Binding("home", "scroll_top", show=False), Binding("end", "scroll_bottom", show=False)]
    DEFAULT_CSS = """
    Listed {
        height: 1fr; min-height: 3; min-width: 12; padding: 0 1; background: $background;
        border: round $foreground 55%; border-title-color: $text-muted; border-title-style: bold;
        scrollbar-size-vertical: 1; scrollbar-size-horizontal: 1;
    }
    Listed:focus {
        border: round $primary; border-title-color: $text; background-tint: $background 0%;
    }
    Listed.-empty { border-title-style: not bold italic; }
    Listed > .datatable--header, Listed:focus > .datatable--header {
        background: $background; color: $text-muted; text-style: none; background-tint: $background 0%;
    }
    Listed > .datatable--header-hover { background: $panel; color: $foreground; }
    Listed > .datatable--cursor { background: $background; color: $foreground; text-style: none; }
    """
    TITLE: ClassVar[str] = ""
    COLUMNS: ClassVar[Sequence[Column[Any]]] = ()
    NONE = "none yet"
    AROUND: ClassVar[int] = 5  # cells of frame, padding and scroll bar
    ACROSS: ClassVar[int] = 1  # lists beside each other
    PAGED: ClassVar[bool] = False  # more records are read as it is scrolled
    app: Bench

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id, cursor_type="row", cell_padding=0)
        self.records: list[Record] = []  # those shown, in order
        self._every: list[Record] = []
        self._found: list[str] = []
        self._order: tuple[int, bool] | None = None  # the column, and whether it falls
        self._room = 0
        self._shape: Sequence[Column[Record]] = ()
        self._widths: list[int] = []
        self._title = self.TITLE
        self._painted_in = self.app.theme

    # --- what a list says of itself ------------------------------------------------------------------------

    def shape(self, room: int) -> Sequence[Column[Record]]:  # noqa: ARG002  # the usual list has the same in any
        return self.COLUMNS

    def key_of(self, record: Record) -> str:
        return str(record.id)  # type: ignore[attr-defined]  # most are kept by an id

    def style_of(self, record: Record) -> str:  # noqa: ARG002  # the usual record has none
        return ""

    def count_words(self) -> str:
        every = len(self._every)
        return f"{every}" if len(self.records) == every else f"{len(self.records)} of {every}"

    def entitle(self, title: str = "", said: str = "") -> None:
        """Say in the frame what is listed, and how many; ``said``: that in other words."""
        count = self.count_words()
        if self._order is not None:
            at, falling = self._order
            count += f", sorted by {self._shape[at].heading.splitlines()[0]}{', reversed' * falling}"
        self._title = title or self._title
        self.border_title = Text(f"{self._title}: {said or (count if self._every else self.NONE)}")
        self.set_class(not self.records, "-empty")

    # --- filling -------------------------------------------------------------------------------------------

    def fill(self, records: Iterable[Record], mark: str = "", *, else_at: int | None = None) -> None:
        """Show these, the cursor on the one with the key ``mark``, or on the one it was on.

        Where that one is gone, it is on the one that took its place, or on row ``else_at``.
        """
        mark = mark or self.mark
        self._every = list(records)
        self._sift(mark, else_at)

    def find(self, text: str) -> None:
        mark, self._found = self.mark, text.casefold().split()
        self._sift(mark, 0)

    def order_by(self, at: int | None = None) -> None:
        """Order by a column, or by the next one there is an order of; by the same again the other way round."""
        can = [number for number, column in enumerate(self._shape) if column.order is not None]
        now, falling = self._order or (-1, False)
        if at is None:
            at = next((number for number in can if number > now), can[0] if can else None)
        if at is not None and at in can:
            self._order = (at, at == now and not falling)
            self._sift(self.mark)

    def words_of(self, record: Record) -> str:
        """What can be found of a record: by default what its columns say."""
        return " ".join(column.read(record) for column in self.shape(self._room))

    def _sift(self, mark: str, else_at: int | None = None) -> None:
        self.records = [
            one
            for one in self._every
            if not self._found or all(w in self.words_of(one).casefold() for w in self._found)
        ]
        self.lay_out(mark, else_at)
        self.entitle()

    def lay_out(self, mark: str = "", else_at: int | None = None) -> None:
        """Give every column its room, and put the records under them."""
        mark, at = mark or self.mark, self.cursor_row if else_at is None else else_at
        self._room = self.size.width - 1 if self.size.width else self.app.size.width // self.ACROSS - self.AROUND
        self._shape = self.shape(self._room)
        if self._order is not None and (order := self._shape[self._order[0]].order):
            self.records.sort(key=order, reverse=self._order[1])
        said = [[column.read(one) for column in self._shape] for one in self.records]
        self._widths = widths(self._shape, None if self.PAGED else said, self._room)
        self.clear(columns=True)
        last = len(self._shape) - 1
        for number, (column, wide) in enumerate(zip(self._shape, self._widths, strict=True)):
            heading = Text("\n".join(column.cell(column.heading, wide)), no_wrap=True)
            self.add_column(heading, width=wide + (GAP if number < last else 0), key=str(number))
        self.header_height = max(column.heading.count("\n") + 1 for column in self._shape)
        self.show_header = any(column.heading for column in self._shape)
        keys = [self.key_of(one) for one in self.records]
        at = keys.index(mark) if mark in keys else max(0, min(at, len(keys) - 1))
        seen = len(self.records) if self.PAGED else at + AT_FIRST
        self._add(self.records[:seen], said)
        self.move_cursor(row=at)
        if len(self.records) > seen:
            self.call_after_refresh(self._add_rest, self.records, said, seen)

    def _add_rest(self, records: list[Record], said: list[list[str]], seen: int) -> None:
        if records is self.records and self.row_count == seen:  # nothing was filled anew meanwhile
            self._add(records[seen:], said[seen:])

    def _add(self, records: Iterable[Record], said: Iterable[Sequence[str]]) -> None:
        for one, words in zip(records, said, strict=False):
            cells = self._cells(one, words)
            self.add_row(*cells, height=max(cell.plain.count("\n") + 1 for cell in cells), key=self.key_of(one))

    def _cells(self, one: Record, said: Sequence[str]) -> list[Text]:
        """Always as Text: a name with brackets in it is no markup."""
        row, colours = self.style_of(one), self.app.theme_variables
        styles = [in_colours(f"{row} {column.style(one) if column.style else ''}", colours) for column in self._shape]
        cells = [column.cell(words, wide) for column, words, wide in zip(self._shape, said, self._widths, strict=True)]
        return [Text("\n".join(lines), style, no_wrap=True) for lines, style in zip(cells, styles, strict=True)]

    def notify_style_update(self) -> None:
        super().notify_style_update()
        if self._painted_in != self.app.theme:
            self._painted_in = self.app.theme
            if self.records:
                self.lay_out()

    def add(self, records: Sequence[Record]) -> None:
        self._every = self.records = [*self.records, *records]
        self._add(records, ([column.read(one) for column in self._shape] for one in records))

    def say_again(self, one: Record) -> None:
        """A record changed that stays where it is."""
        if self.key_of(one) in self.rows:
            for at, cell in enumerate(self._cells(one, [column.read(one) for column in self._shape])):
                self.update_cell(self.key_of(one), str(at), cell)

    def on_resize(self) -> None:
        if self._shape and self.size.width and self.size.width - 1 != self._room:
            self.lay_out()

    # --- the cursor ----------------------------------------------------------------------------------------

    @property
    def marked(self) -> Record | None:
        return self.records[self.cursor_row] if 0 <= self.cursor_row < len(self.records) else None

    @property
    def mark(self) -> str:
        """Its key, empty where there is none."""
        return "" if self.marked is None else self.key_of(self.marked)

    @on(DataTable.HeaderSelected)
    def _by_this(self, event: DataTable.HeaderSelected) -> None:
        event.stop()
        self.order_by(event.column_index)


def find_line(hint: str = "any words", *, waits: bool = True) -> Input:
    """The line to find in; one that ``waits`` is seen only while it is used."""
    return Input(placeholder=hint, id="find", compact=True, classes="-waits -idle" if waits else "")


class More(VerticalScroll):
    """What there is to say of the record under the cursor, below the list; where there is room, beside it."""

    DEFAULT_CSS = """
    More { height: auto; max-height: 9; padding: 0 1; scrollbar-size-vertical: 1; }
    More Static { height: auto; }
    """
    BORDER_TITLE = "More of it"

    def compose(self) -> Iterable[Static]:
        yield Static("", markup=False)

    def say(self, lines: Iterable[str]) -> None:
        self.query_one(Static).update("\n".join(lines))

    @property
    def said(self) -> str:
        return str(self.query_one(Static).content)


class WithMore(Container):
    """A list and what there is to say more."""

    DEFAULT_CSS = "WithMore { height: 1fr; }"


class ListScreen(Shielded, Screen[ScreenResultType]):
    """A screen with lists. What was kept is read again, and shown with the cursor on it."""

    AUTO_FOCUS = "Listed"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (BROAD, "-broad")]
    DEFAULT_CSS = """
    ListScreen { background: $background; }
    ListScreen.-broad WithMore { layout: horizontal; }
    ListScreen.-broad More {
        width: 64; height: 1fr; max-height: 100%;
        border: round $foreground 55%; border-title-color: $text-muted; border-title-style: bold;
    }
    ListScreen.-broad More:focus { border: round $primary; border-title-color: $text; }
    ListScreen #find { padding: 0 1; width: 1fr; max-width: 78; background: $surface; }
    ListScreen #find.-idle { display: none; }
    ListScreen #find > .input--placeholder { color: $text-muted; }
    """
    app: Bench
    with_old = False
    HEADING = ""
    LIST: ClassVar[type[Listed[Any]]]  # the one there is, where ``compose`` has nothing else to put up
    HINT = ""  # what to type to find something, where one can
    TAB_TO_MORE = False  # whether what is said below the list can be scrolled

    def compose(self) -> Iterable[Widget]:
        yield Heading(self.HEADING)
        if self.HINT:
            yield find_line(self.HINT)
        with WithMore():
            yield self.LIST()
            yield More(can_focus=self.TAB_TO_MORE)
        yield BoundBar()

    @property
    def marked(self) -> Any:
        """The record under the cursor of the list."""
        return self.query_one(Listed).marked

    def read_again(self, mark: str = "") -> None:
        """Read the logbook and fill the lists, the cursor on the record with the key ``mark`` where one is named."""
        raise NotImplementedError

    def say_more(self) -> None:
        """Say more of the record under the cursor; its keys follow it."""

    def on_mount(self) -> None:
        self.read_again()

    @on(DataTable.RowHighlighted)
    def _highlighted(self) -> None:
        self.say_more()
        self.refresh_bindings()

    # --- keeping -------------------------------------------------------------------------------------------

    def keep(self, record: Any) -> None:
        self.app.book.keep(record)
        self.kept(record)

    def ask_and_keep(self, ask: Ask, record: Any, **change: object) -> None:
        self.visit(ask, lambda _: self.keep(record.model_copy(update=change)))

    def retire(self, record: Any, off: Question, back: Question) -> None:
        """Ask whether to take it out of use, or where it is out of use, to take it back; either can be read."""
        self.ask_and_keep(Ask(*(back if record.retired else off)), record, retired=not record.retired)

    def kept(self, record: Any) -> None:
        """It is in the logbook."""
        self.read_again(record.id)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_old(self) -> None:
        self.with_old = not self.with_old
        self.read_again()

    def action_order(self) -> None:
        self.query_one(Listed).order_by()

    def action_find(self) -> None:
        line = self.query_one("#find", Input)
        line.remove_class("-idle")
        line.focus()

    @on(Input.Changed, "#find")
    def _narrowed(self, event: Input.Changed) -> None:
        event.stop()
        self.narrow(event.value)

    def narrow(self, text: str) -> None:
        self.query_one(Listed).find(text)
        self.say_more()

    @on(Input.Submitted, "#find")
    def _to_the_list(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one(Listed).focus()

    def action_back(self) -> None:
        """Leave what was typed to find, or the screen."""
        for line in self.query("#find").results(Input):
            if line.has_focus or line.value:
                line.value = ""
                line.set_class(line.has_class("-waits"), "-idle")
                self.query_one(Listed).focus()
                return
        self.dismiss(None)
