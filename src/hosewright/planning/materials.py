"""What the logbook holds that a plan is made of, read once and kept while the screen is up. No Textual here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.measured import measured
from hosewright.logbook.accounts.enough import reaches_for
from hosewright.logbook.accounts.stock import YarnStock, stock_of
from hosewright.logbook.find.verdicts import Worn, worn_by
from hosewright.logbook.records.shelf import Plan, Wearer
from hosewright.planning.knit import Knit, read_knits, with_readings

if TYPE_CHECKING:
    from hosewright.craft.supply import YarnNeed
    from hosewright.logbook.accounts.enough import Reach
    from hosewright.logbook.book import Logbook


class PlanShelf:
    """Gauges, wearers, and what the wearers said of their socks. Every reading may raise LogbookError."""

    def __init__(self, book: Logbook, tape_mm: float) -> None:
        """``tape_mm`` is the half-width of the tape's error."""
        self._book, self._tape_mm = book, tape_mm
        self.gauges: dict[str, Knit] = {}
        self.wearers: dict[str, Wearer] = {}
        self.plan_names: frozenset[str] = frozenset()
        self._worn: dict[str, Worn] = {}
        self._stocks: dict[str, YarnStock | None] = {}

    def read_gauges(self) -> None:
        """Every gauge there is, the newest first."""
        self.gauges = read_knits(self._book)

    def read_wearers(self) -> None:
        """Every wearer there is."""
        self.wearers = {item.id: item for item in self._book.shelf(Wearer)}

    def read_plan_names(self) -> None:
        """What the plans there are, are called: a new one is told from them by its name."""
        self.plan_names = frozenset(plan.name for plan in self._book.shelf(Plan))

    def knit(self, session: str | None) -> Knit | None:
        """The gauge of this session, with its tube's readings."""
        knit = self.gauges.get(session or "")
        if knit is not None and knit.tube is None:
            knit = self.gauges[knit.gauge.session] = with_readings(self._book, knit, self._tape_mm)
        return knit

    def reaches(self, knit: Knit | None, need: YarnNeed | None) -> list[Reach]:
        """How far each lot of the yarn reaches for the pair; none where its grams are not known."""
        if knit is None or need is None or not need.grams_per_pair:
            return []
        yarn_id = knit.gauge.yarn
        if yarn_id not in self._stocks:
            self._stocks[yarn_id] = stock_of(self._book, yarn_id)
        stock, grams = self._stocks[yarn_id], need.grams_per_pair
        return reaches_for(stock, measured(grams, grams * need.metres_error / need.metres_per_pair)) if stock else []

    def worn(self, wearer: Wearer | None) -> Worn:
        """What this wearer said of every sock made for them."""
        if wearer is None:
            return Worn()
        if wearer.id not in self._worn:
            self._worn[wearer.id] = worn_by(self._book, wearer.id)
        return self._worn[wearer.id]
