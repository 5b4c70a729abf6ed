"""The lines of a start that belong to its record: weights, yarn-mast tension, the yarn's lot, where it begins."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from hosewright.bench.widgets.ask import Ask
from hosewright.bench.widgets.field import FormField, words
from hosewright.bench.widgets.form import FieldRow
from hosewright.bench.widgets.host import host
from hosewright.bench.widgets.pick import PickRow
from hosewright.logbook.file.store import LogbookError
from hosewright.logbook.glance import on_machine
from hosewright.logbook.records.shelf import problems
from hosewright.logbook.records.year import Lot
from hosewright.phrases.days import show_day
from hosewright.session.observations import lot_now

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date

    from textual.screen import Screen

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.shelf import Machine, Yarn
    from hosewright.logbook.records.year import Promise

LINES = ("weights", "mast_tension", "yarn_start")
LOOKED_THROUGH = 60  # sessions, for what was hung and set on this machine last


class SetUp:
    """These lines, filled with what was said last time until someone types something else."""

    def __init__(self) -> None:
        self.lot = PickRow("lot", "Dye lot", "", "none: not counted in the stock")
        fields = (
            FormField("weights", "Weights", "on the buckle", words("weights", 200)),
            FormField("mast_tension", "Mast tension", "of the yarn", words("mast tension", 200)),
            FormField("yarn_start", "Begin yarn at", "stripes: for the twin", words("beginning of the yarn", 200)),
        )
        self.rows = {field.name: FieldRow(field, "") for field in fields}
        self._filled = dict.fromkeys(LINES, "")
        self._lots: list[Lot] = []
        self._usual_lot: str | None = None
        # Nothing to choose or say there before a yarn is chosen that calls for it.
        self.lot.display = self.rows["yarn_start"].display = False

    def offer(
        self,
        book: Logbook,
        machine: Machine | None,
        yarn: Yarn | None,
        like: SessionRecord | None,
        promise: Promise | None = None,
    ) -> None:
        """Fill the lines for this machine and yarn; ``like``: the first sock, whose twin is started.

        The lot is the one the first sock came off in the end, else its ``promise`` names one, else it is the only one.

        Raises LogbookError.
        """
        before = like or (_last_on(book, machine) if machine else None)
        given = before.given if before else None
        self._fill("weights", given.weights if given else machine.weights if machine else "")
        self._fill("mast_tension", given.mast_tension if given else machine.mast_tension if machine else "")
        self._fill("yarn_start", like.yarn_start if like else "")
        self.rows["yarn_start"].display = bool(yarn and yarn.striped)
        self._lots = [lot for lot in book.shelf(Lot) if yarn and lot.yarn == yarn.id]
        named = promise.lot if promise and any(lot.id == promise.lot for lot in self._lots) else None
        usual = _lot_of(book, like) if like else named or (self._lots[0].id if len(self._lots) == 1 else None)
        chosen = self.lot.chosen
        taken = usual if chosen in (None, self._usual_lot) else chosen
        self._usual_lot = usual
        self.lot.offer([(_offered(lot), lot.id) for lot in self._lots], taken)
        self.lot.display = bool(self._lots)

    def _fill(self, name: str, text: str) -> None:
        line = self.rows[name].line
        if line.value in ("", self._filled[name]):
            line.value = text
        self._filled[name] = text

    def taken(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """What goes into the record, from the ``values`` of the lines as they were read."""
        said = {name: values[name] or "" for name in LINES}
        if not self.rows["yarn_start"].display:
            said["yarn_start"] = ""
        lot = next((lot for lot in self._lots if lot.id == self.lot.chosen), None)
        return {**said, "lot": lot.id if lot else None, "dye_lot": lot.name if lot else ""}


def start(screen: Screen[SessionRecord | None], make: Callable[[], SessionRecord]) -> None:
    """Leave ``screen`` with what ``make`` makes, after asking when its machine has work on it; or say why not."""

    def answered(sure: bool | None) -> None:
        if sure:
            screen.dismiss(record)

    try:
        record = make()
        taken = on_machine(host(screen).book.store, record.machine.id)
    except ValidationError as error:
        screen.app.notify("\n".join(problems(error)), title="Not started", severity="error", markup=False)
    except (ValueError, LogbookError) as error:
        screen.app.notify(str(error), title="Not started", severity="error", markup=False)
    else:
        if taken:
            ask = Ask(taken, "start it", "not yet")
            screen.app.push_screen(ask, answered)
        else:
            screen.dismiss(record)


def promise_words(promise: Promise, today: date) -> str:
    """A promised pair as a list shows it."""
    return promise.name + (f", by {show_day(promise.by, today)}" if promise.by else "")


def _lot_of(book: Logbook, first: SessionRecord) -> str | None:
    line = book.store.line(first.id)
    return lot_now(book.state(line), first.lot) if line else first.lot


def _offered(lot: Lot) -> str:
    """A lot as a list shows it."""
    return f"{lot.name}, bought {lot.bought}"


def _last_on(book: Logbook, machine: Machine) -> SessionRecord | None:
    for line in sorted(book.store.lines(newest=LOOKED_THROUGH), key=lambda line: line.started_ms, reverse=True):
        record = book.record(line)
        if record.machine.id == machine.id:
            return record
    return None
