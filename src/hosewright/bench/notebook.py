"""What is from a notebook, and the form for a gauge or a sock out of it."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from textual import on
from textual.binding import Binding
from textual.widgets import DataTable

from hosewright.bench.widgets.entry_screen import EntryScreen
from hosewright.bench.widgets.list_screen import BACK, FIND, ORDER, Listed, ListScreen, More
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.shelf import Cylinder, Machine, Noted, Wearer, Yarn
from hosewright.logbook.records.year import Promise
from hosewright.phrases.days import local_day
from hosewright.phrases.field import Field, FieldError, to_choose
from hosewright.planning.notebook import WHAT, Things, doubts_about, lines_of, notebook_fields, noted_of
from hosewright.words.shelf import item_words, noted_columns, noted_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.logbook.book import Logbook
    from hosewright.phrases.lists import Column

# What is chosen on the form, by the names of its lines.
_KINDS: dict[str, type[Any]] = {
    "yarn": Yarn,
    "machine": Machine,
    "cylinder": Cylinder,
    "wearer": Wearer,
    "promise": Promise,
}


def _per(bench: Bench) -> str:
    """What rows and stitches are counted to: the inch, or the cm."""
    return "in" if bench.settings.length_unit == "in" else "cm"


def _names(book: Logbook) -> dict[str, str]:
    return {one.id: one.name for kind in _KINDS.values() for one in book.shelf(kind, retired=True)}


class Entries(Listed[Noted]):
    """Everything from the notebook, the newest first."""

    TITLE = "From the notebook"
    NONE = "nothing yet, a enters a gauge or a sock"
    BINDINGS = [Binding("enter", "select_cursor", "Put right")]
    names: Mapping[str, str] = MappingProxyType({})

    def shape(self, room: int) -> Sequence[Column[Noted]]:
        return noted_columns(self.names, _per(self.app), room)

    def style_of(self, record: Noted) -> str:
        return "muted" if record.retired else ""


class NotebookScreen(ListScreen[None]):
    """Gauges and socks from before there was this logbook."""

    TOPIC = "notebook"
    HEADING = "Notebook"
    LIST = Entries
    HINT = "any words"
    TAB_TO_MORE = True
    EXPLAIN = (
        "Gauges and socks that you wrote down before you had this logbook. Plans, yarn cards, the dial response and "
        "pairs use them just like what was cranked here, and say that they are from the notebook. They do not count "
        "as cranked: no rows and no pace come from them. `hosewright enter csv FILE` takes in a whole table at once."
    )
    BINDINGS = [
        Binding("a", "add", "Add one"),
        Binding("r", "retire", "Retire"),
        Binding("o", "old", "Show all", tooltip="What was retired, too"),
        FIND,
        ORDER,
        BACK,
    ]

    def read_again(self, mark: str = "") -> None:
        book, listed = self.app.book, self.query_one(Entries)
        listed.names = _names(book)
        listed.fill(sorted(book.shelf(Noted, retired=self.with_old), key=lambda one: -one.at_ms), mark)
        self.say_more()

    def say_more(self) -> None:
        listed = self.query_one(Entries)
        one = listed.marked
        said = [noted_words(one, listed.names, _per(self.app)), one.note] if one else []
        self.query_one(More).say(line for line in said if line)

    def action_add(self) -> None:
        self.visit(NotedForm(), self.kept)

    @on(DataTable.RowSelected)
    def _put_right(self) -> None:
        if self.marked is not None:
            self.visit(NotedForm(self.marked), self.kept)

    def action_retire(self) -> None:
        if (one := self.marked) is not None:
            off = f"Retire the {one.name}? No card or plan will use it then.", "retire it", "keep it in use"
            self.retire(one, off, (f"Take the {one.name} back into use?", "back into use", "leave it retired"))


_OF_A_SOCK = ("wearer", "promise", "parts")


class NotedForm(EntryScreen[Noted]):
    """One gauge or one sock out of a notebook, new or put right."""

    TOPIC = "notebook"
    heading = "From the notebook"
    AUTO_FOCUS = "Pick"
    EXPLAIN = (
        "A gauge or a sock that you wrote down before you had this logbook. Type what the notebook says, and leave the "
        "rest empty: a gauge needs its yarn, machine and cylinder, the day as far as you know it, and its rows and "
        "stitches, by lengths or to the inch. A notebook does not say how well it was measured, so a tape good to 3 mm "
        "is assumed, unless you type an error."
    )
    BINDINGS = [
        Binding("y", "make('yarn')", "Make a yarn"),
        Binding("m", "make('machine')", "Make a machine"),
        Binding("c", "make('cylinder')", "Make a cylinder"),
        Binding("w", "make('wearer')", "Make a wearer"),
    ]

    def __init__(self, one: Noted | None = None) -> None:
        """``one`` is put right; without it a new one is made."""
        super().__init__()
        self.one = one
        self._shelf: dict[str, list[Any]] = {}

    def lay_out(self) -> None:
        bench, one = self.app, self.one
        per = _per(bench)
        first = lines_of(one, per) if one else {"what": self._last().get("what", "gauge")}
        fields = notebook_fields(bench.settings.length_unit, bench.settings.mass_unit, local_day(bench.book.clock))
        self.add(WHAT, first["what"])
        for kind, way in (("yarn", "of"), ("machine", "on"), ("cylinder", "on")):
            help_words, missing = f"what it was knitted {way}", f"Choose a {kind} first."
            self.add(to_choose(kind, kind.capitalize(), help_words, kind[0], missing))
        self.add(to_choose("wearer", "Wearer", "whose sock it was", "w"))
        self.add(Field("promise", "For the pair", "who it is promised to", choices=(), blank="none promised"))
        for name, field in fields.items():
            if not name.endswith(f"_per_{'cm' if per == 'in' else 'in'}"):
                self.add(field, first.get(name))

    def on_mount(self) -> None:
        self._offer({kind: getattr(self.one, kind) for kind in _KINDS} if self.one else self._last())
        super().on_mount()

    def _last(self) -> dict[str, Any]:
        """What was chosen for the one entered last: the next is often of the same page."""
        entered = self.app.book.shelf(Noted)
        last = entered[-1] if entered else None
        return {name: getattr(last, name) for name in ("what", "yarn", "machine", "cylinder")} if last else {}

    def _offer(self, wanted: Mapping[str, str | None]) -> None:
        """Fill the lists with what is in use and what is ``wanted``, which is chosen, as is what is alone there."""
        book, unit = self.app.book, self.app.settings.length_unit
        for kind, cls in _KINDS.items():
            chosen = wanted.get(kind)
            every = book.shelf(cls, retired=True)
            self._shelf[kind] = offered = [one for one in every if not one.retired or one.id == chosen]
            if chosen is None and len(offered) == 1 and kind in ("yarn", "machine", "cylinder"):
                chosen = offered[0].id
            said = [(one.name if kind == "promise" else item_words(one, unit), one.id) for one in offered]
            self.rows[kind].offer(said, chosen)

    def follow(self, row: EntryRow | None = None) -> None:
        """A sock has lines of its own; an error belongs to a number that is typed."""
        sock = self.rows["what"].chosen == "sock"
        for name in _OF_A_SOCK:
            self.rows[name].display = sock
        self.rows["promise"].display = sock and bool(self._shelf.get("promise"))
        for what in ("rows", "stitches"):
            rate = next(one for name, one in self.rows.items() if name.startswith(f"{what}_per_"))
            self.rows[f"{what}_error"].display = bool(rate.text.strip())
        super().follow(row)

    def remark(self, values: Mapping[str, Any]) -> str:
        try:
            one = self.build(dict(values))
        except (KeyError, ValueError):
            return ""
        said = noted_words(one, {}, _per(self.app)).partition(": ")[2]
        return "\n".join([f"It comes to: {said}.", *doubts_about(one)])

    def build(self, values: dict[str, Any]) -> Noted:
        chosen: dict[str, Any] = {
            kind: next((one for one in self._shelf[kind] if one.id == values[kind]), None) for kind in _KINDS
        }
        for name in ("rows_error", "stitches_error"):
            if not self.rows[name].display:
                values[name] = None
        try:
            made = noted_of(
                values, Things(**chosen), self.one.id if self.one else shelf_id(f"{values['what']} {values['day']}")
            )
        except FieldError as error:
            if error.name not in self.rows:  # a number to the inch is one to the cm on this form
                raise FieldError(error.name.replace("_per_in", f"_per_{_per(self.app)}"), str(error)) from error
            raise
        return made.model_copy(update={"retired": self.one.retired}) if self.one else made

    def made(self, kind: str, item: Any) -> None:
        self._offer({name: self.rows[name].chosen for name in _KINDS} | {kind: item.id})
        self.rows[kind].entry.focus()
        self.follow()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A wearer is a sock's."""
        if parameters == ("wearer",):
            return bool(self.rows) and self.rows["what"].chosen == "sock"
        return super().check_action(action, parameters)
