"""A seller's week: the samples with pairs promised for this week and the next, and yarn that runs low."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from hosewright.bench.app import Bench, open_practice, run_throwaway
from hosewright.logbook.records.year import Lot, Promise, Weighing
from hosewright.phrases.days import local_day

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from hosewright.logbook.book import Logbook
    from hosewright.phrases.times import Clock

# Of the pairs that the samples have promised: in how many days each is due now. Two are ready, one is half cranked.
_DUE = {"pair-driver": 1, "pair-shore": 3, "pair-helm": 6}
# Pairs promised beside them: id, name, wearer, yarn, in how many days it is due, price and what was paid of it.
_PROMISED = (
    ("pair-launcher", "Launcher's orange pair", "launcher", "maroon-orange", 5, 3000, 1000),
    ("pair-mechanic", "Mechanic's pair", "mechanic", "slack-water-grey", 9, 2800, 0),
    ("pair-coxswain-third", "Coxswain's third pair", "coxswain", "slack-water-grey", 12, 2800, 2800),
)
_GREY = "grey-lot-4502"
_ORANGE = Lot(id="orange-lot-17", name="17", yarn="maroon-orange", pieces=1, grams=150, bought="2025-01-04")
_GONE = {_GREY: (200.0, "two balls sold at the stall"), _ORANGE.id: (62.0, "a hat")}  # grams, and where they went


def open_week(folder: Path, clock: Clock | None = None) -> Logbook:
    """A throwaway logbook in ``folder``: the practice one, its orders and its stock as of this week."""
    book = open_practice(folder, clock)
    today = local_day(book.clock)
    promised = {one.id: one for one in book.shelf(Promise)}
    book.keep(
        _ORANGE,
        *(promised[name].model_copy(update={"by": _in(today, days)}) for name, days in _DUE.items()),
        *(
            Promise(
                id=name,
                name=title,
                wearer=wearer,
                yarn=yarn,
                lot=_GREY if yarn == "slack-water-grey" else _ORANGE.id,
                plan=f"plan-{wearer}-{yarn}",
                made=_in(today, -20),
                by=_in(today, days),
                price=price,
                paid=paid,
            )
            for name, title, wearer, yarn, days, price, paid in _PROMISED
        ),
        *(
            Weighing(id=f"{lot}-gone", lot=lot, at_ms=book.clock.now().at_ms, what="gone", grams=grams, why=why)
            for lot, (grams, why) in _GONE.items()
        ),
    )
    return book


def _in(today: date, days: int) -> str:
    return (today + timedelta(days)).isoformat()


def run_week() -> int:
    """Run the bench on it. Returns the exit code."""
    return run_throwaway(Bench, open_week)
