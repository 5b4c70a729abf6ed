"""Time: clocks set back, daylight saving and travel. The order is the number, the pace is the steady clock's."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.logbook.book import Logbook
from hosewright.logbook.glance import look
from hosewright.logbook.travel.session_files import read, write
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.phrases.times import WallClock
from hosewright.session.events import Observed
from hosewright.session.fold import fold
from hosewright.settings.table import Settings
from tests.helpers import START_MS, FakeClock, crank_to, drive, record, rows

if TYPE_CHECKING:
    from pathlib import Path

HOUR_MS = 3_600_000


def test_a_clock_set_back_changes_neither_order_nor_pace(tmp_path: Path) -> None:
    clock = FakeClock(step_ms=2000)
    with closing(Logbook(tmp_path / "logbook.sqlite", clock)) as book:
        live = book.start(record("tube"))
        crank_to(live, "tube")
        drive(live, rows(5), Observed("tuck", 3))
        clock.at_ms -= 400 * 24 * HOUR_MS  # a flat battery: more than a year back
        drive(live, rows(5))
        clock.at_ms += 900 * 24 * HOUR_MS
        drive(live, rows(5))
        entries = list(book.store.entries(live.n))
        assert [entry.seq for entry in entries] == list(range(1, len(entries) + 1))
        assert live.state.count == 15
        assert live.paces.rows.per_minute == pytest.approx(30.0), "a row every two seconds, whatever the calendar says"
        assert fold(live.record.head, entries) == live.state == book.take_up(record().id).state
        assert find_damage(book)[1] == []
        filed = read(_written(tmp_path, write(live.begun, entries)))
        assert filed.entries() == entries
        look(book.store)


def _written(folder: Path, text: str) -> Path:
    (folder / "session.json").write_text(text, encoding="utf-8")
    return folder / "session.json"


@pytest.mark.parametrize(("before", "after"), [(60, 120), (120, 60), (60, -480), (-720, 840), (345, 330)])
def test_zones_and_daylight_saving_are_kept_with_each_event(tmp_path: Path, before: int, after: int) -> None:
    clock = FakeClock(zone_min=before)
    with closing(Logbook(tmp_path / "logbook.sqlite", clock)) as book:
        live = book.start(record("tube"))
        crank_to(live, "tube")
        drive(live, rows(4))
        at_ms = clock.at_ms
        clock.zone_min = after
        drive(live, rows(4))
        entries = list(book.store.entries(live.n))
        assert [entry.zone_min for entry in entries[-8:]] == [before] * 4 + [after] * 4
        assert [entry.at_ms - at_ms for entry in entries[-4:]] == [1000, 2000, 3000, 4000], "UTC goes on evenly"
        assert live.paces.rows.per_minute == pytest.approx(60.0)
        assert read(_written(tmp_path, write(live.begun, entries))).entries() == entries


async def test_the_bench_comes_up_whatever_year_it_thinks_it_is(tmp_path: Path) -> None:
    for at_ms in (0, START_MS - 50 * 365 * 24 * HOUR_MS, 4_102_444_800_000):
        clock = FakeClock(at_ms=at_ms)
        with closing(Logbook(tmp_path / f"{at_ms}.sqlite", clock)) as book:
            live = book.start(record("tube", started_ms=START_MS))
            crank_to(live, "tube")
            app = Bench(book, Settings(press_gap_ms=0))
            async with app.run_test(size=(80, 24)) as pilot:
                app.open_session(live.record.id)
                await pilot.pause()
                await pilot.press("space", "space", "escape")
                await pilot.pause()
            assert book.take_up(live.record.id).state.count == 2


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of a process is set the POSIX way")
def test_the_wall_clock_gives_the_offset_of_the_moment() -> None:
    code = "from hosewright.phrases.times import WallClock; print(WallClock().now().zone_min)"
    for zone, minutes in (("UTC0", 0), ("XST-5:45", 345), ("XST8", -480), ("XST-14", 840)):
        done = subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "TZ": zone}, capture_output=True, text=True, check=True
        )
        assert int(done.stdout) == minutes


def test_the_steady_clock_never_goes_back() -> None:
    ticks = [WallClock().now().tick_ms for _ in range(1000)]
    assert ticks == sorted(ticks)
