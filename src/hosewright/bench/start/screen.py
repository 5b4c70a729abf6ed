"""Starting a session: the lines every start has, what is chosen and typed in them, and leaving with its record."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, Any

from textual.binding import Binding

from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.entry_screen import EntryScreen
from hosewright.bench.widgets.host import host
from hosewright.logbook.glance import on_machine
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.year import Lot
from hosewright.phrases.field import Field, whole, words
from hosewright.planning import starting
from hosewright.session.observations import lot_now
from hosewright.settings.table import LIMITS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hosewright.bench.widgets.entry_screen import EntryRow
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.shelf import Machine, Yarn
    from hosewright.logbook.records.year import Promise

LOT = Field("lot", "Dye lot", "whose grams it takes", choices=(), blank="none: not counted in the stock")
SET_UP = (
    words("weights", "Weights", "on the buckle", 200, example="both plates"),
    words("mast_tension", "Mast tension", "of the yarn", 200, example="two turns in"),
    words(
        "yarn_start",
        "Begin yarn at",
        "stripes: for the twin",
        200,
        what="beginning of the yarn",
        example="where green begins",
    ),
)
LOOKED_THROUGH = 60  # sessions, for what was hung and set on this machine last


def separator_field(where: str) -> Field:
    """The line for the rows of separator yarn; ``where`` they are cranked."""
    return whole("separator", "Separator rows", where, *LIMITS["separator_rows"], required=True, example="8")


class SettingUp(EntryScreen[SessionRecord]):
    """A start with the lines that belong to its record: the yarn's lot, weights, yarn-mast tension, where it begins.

    They are filled with what was said last time until someone types something else. Dismisses with the start of a
    session, ready for ``Logbook.start``, or None.
    """

    BINDINGS = [Binding("ctrl+s", "save", "Start")]
    NOT_SAVED = "Not started"
    LEAVE = "Leave without starting it?"

    def __init__(self) -> None:
        super().__init__()
        self._lots: list[Lot] = []
        self._usual_lot: str | None = None

    def add_lot(self) -> None:
        """The line of the lot; nothing to choose there before a yarn is chosen that has one."""
        self.add(LOT).display = False

    def add_set_up(self) -> None:
        """The other three; of these the last is for striped yarn only."""
        for field in SET_UP:
            self.add(field)
        self.rows["yarn_start"].display = False

    def offer_set_up(
        self,
        machine: Machine | None,
        yarn: Yarn | None,
        like: SessionRecord | None = None,
        promise: Promise | None = None,
    ) -> None:
        """Fill the lines for this machine and yarn; ``like``: the first sock, whose twin is started.

        The lot is the one the first sock came off in the end, else its ``promise`` names one, else it is the only one.

        Raises LogbookError.
        """
        book = host(self).book
        before = like or (_last_on(book, machine) if machine else None)
        given = before.given if before else None
        self.rows["weights"].propose(given.weights if given else machine.weights if machine else "")
        self.rows["mast_tension"].propose(given.mast_tension if given else machine.mast_tension if machine else "")
        self.rows["yarn_start"].propose(like.yarn_start if like else "")
        self.rows["yarn_start"].display = bool(yarn and yarn.striped)
        self._lots = [lot for lot in book.shelf(Lot) if yarn and lot.yarn == yarn.id]
        named = promise.lot if promise and any(lot.id == promise.lot for lot in self._lots) else None
        usual = _lot_of(book, like) if like else named or (self._lots[0].id if len(self._lots) == 1 else None)
        chosen = self.rows["lot"].chosen
        taken = usual if chosen in (None, self._usual_lot) else chosen
        self._usual_lot = usual
        self.rows["lot"].offer([(f"{lot.name}, bought {lot.bought}", lot.id) for lot in self._lots], taken)
        self.rows["lot"].display = bool(self._lots)

    def set_up(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """What goes into the record, from the ``values`` of the lines."""
        said = {name: values[name] for name in ("weights", "mast_tension", "yarn_start")}
        if not self.rows["yarn_start"].display:
            said["yarn_start"] = ""
        lot = next((lot for lot in self._lots if lot.id == values["lot"]), None)
        return {**said, "lot": lot.id if lot else None, "dye_lot": lot.name if lot else ""}

    def question(self, made: SessionRecord) -> Ask | None:
        """Whether to start it when its machine has work on it."""
        taken = on_machine(host(self).book.store, made.machine.id)
        return Ask(taken, "start it", "not yet") if taken else None


def _lot_of(book: Logbook, first: SessionRecord) -> str | None:
    line = book.store.line(first.id)
    return lot_now(book.state(line), first.lot) if line else first.lot


def _last_on(book: Logbook, machine: Machine) -> SessionRecord | None:
    for line in sorted(book.store.lines(newest=LOOKED_THROUGH), key=lambda line: line.started_ms, reverse=True):
        record = book.record(line)
        if record.machine.id == machine.id:
            return record
    return None


class StartScreen(SettingUp):
    """A start that is chosen in lists: of a search, a tube or one sock."""

    AUTO_FOCUS = "Pick"
    EXPLAIN = "Choose what is on the bench, and start. What is missing from a list can be added on the spot."

    def __init__(self, chosen: Mapping[str, str] | None = None) -> None:
        """``chosen`` are ids by what they are of, chosen already."""
        super().__init__()
        self._at_first = dict(chosen or {})
        self.known = starting.Known((), (), (), (), None)

    @abstractmethod
    def things(self) -> Mapping[str, tuple[Any, ...]]:
        """What can be chosen, by the name of the line."""

    def better(self, wanted: dict[str, str | None], unchosen: set[str]) -> None:
        """Put something better than the last used in ``wanted`` where nobody chose: for the ``unchosen`` names."""

    @abstractmethod
    def fill(self, wanted: Mapping[str, str | None]) -> None:
        """Fill the lists with what there is, ``wanted`` being chosen."""

    @abstractmethod
    def follow(self, row: EntryRow | None = None) -> None:
        """What follows from another choice, and from what is typed."""

    def on_mount(self) -> None:
        self.offer()

    def offer(self, chosen: Mapping[str, str] | None = None) -> None:
        """Fill the lists again; ``chosen`` names what to choose instead of what is chosen or was last used."""
        self.known = starting.known(host(self).book)
        once, self._at_first = self._at_first, {}  # after that it is the knitter who chooses
        wanted = {name: row.chosen for name, row in self.rows.items()} | once | dict(chosen or {})
        last = {name: items[0].id for name, items in self.things().items() if wanted.get(name) is None and items}
        wanted |= last
        self.better(wanted, set(last))
        self.fill(wanted)

    def thing(self, name: str) -> Any:
        chosen = self.rows[name].chosen
        return next((item for item in self.things()[name] if item.id == chosen), None)
