"""A seller's week to practise on: what is due, what is ready, what runs low."""

from __future__ import annotations

from contextlib import closing
from datetime import date
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.practice import open_week
from hosewright.logbook.accounts.stock import stocks
from hosewright.logbook.records.year import Promise
from hosewright.phrases.days import local_day
from hosewright.settings.table import Settings
from tests.bench.test_snapshots import picture
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("now_ms", [1_765_022_400_000, 1_900_000_000_000])
def test_pairs_are_due_in_this_week_and_the_next_and_yarn_is_short(tmp_path: Path, now_ms: int) -> None:
    with closing(open_week(tmp_path, FakeClock(now_ms, zone_min=0))) as book:
        today = local_day(book.clock).toordinal()
        promised = [one for one in book.shelf(Promise) if not one.handed_over]
        due = [date.fromisoformat(one.by).toordinal() - today for one in promised if one.by is not None]
        assert sorted(due) == [1, 3, 5, 6, 9, 12]
        assert [stock.yarn.name for stock in stocks(book) if stock.account.left < 0] == ["Slack Water Grey"]


async def test_the_bench_opens_on_it(tmp_path: Path) -> None:
    app = Bench(open_week(tmp_path, FakeClock(1_765_022_400_000, zone_min=0)), Settings(), practice=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d")
        await pilot.pause()
        shown = picture(app)
        assert "This week: 4 pairs" in shown
        assert "Pairs promised: 6" in shown
        assert "tried on" in shown  # ready to hand over
        assert "on the machine" in shown  # half cranked
