"""A long session, in small: the full 100,000 rows are run by ``python -m tests.faults.run``."""

from __future__ import annotations

import weakref
from typing import TYPE_CHECKING

from hosewright.bench.app import Bench
from hosewright.settings.table import Settings
from tests.faults import long
from tests.helpers import record

if TYPE_CHECKING:
    from pathlib import Path

    from hosewright.logbook.book import Logbook


def test_the_last_row_is_as_quick_as_the_first_and_memory_stays_flat(tmp_path: Path) -> None:
    figures = long.run(tmp_path, 4000)
    assert figures.work_ms[-1] < 3 * figures.work_ms[0] + 0.1
    assert figures.grown_kb[-1] < 100
    assert figures.log_mb < 20


async def test_a_session_left_is_let_go(book: Logbook) -> None:
    book.start(record("tube"))
    app = Bench(book, Settings())
    left = []
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(5):
            app.open_session(record().id)
            await pilot.pause(0.2)  # not by a time-out: asyncio keeps what a cancelled one belonged to until it is due
            left.append(weakref.ref(app.screen))
            app.pop_screen()
            await pilot.pause(0.2)
        await pilot.pause(0.1)
        assert [screen() for screen in left[:-2]] == [None] * 3, "the memory of a session must not stay for good"
