"""A session of 100,000 rows, a day and a night of cranking: memory and the time of a press must stay as they were."""

from __future__ import annotations

import gc
import time
import tracemalloc
from contextlib import closing
from dataclasses import dataclass, field
from statistics import median
from typing import TYPE_CHECKING

from hosewright.counting.hands import Hands
from hosewright.logbook.book import Logbook
from hosewright.session.events import Confirmed
from hosewright.session.steps import CountRows
from hosewright.settings.table import Settings
from tests.helpers import FakeClock, record

if TYPE_CHECKING:
    from pathlib import Path

PARTS = 10


class Silence:
    """A screen that shows nothing."""

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        assert not trouble, sentence

    def ring(self) -> None: ...

    def ask(self, about: str, words: str = "", hint: str = "") -> None: ...


@dataclass
class Figures:
    """For each tenth of the rows: the median and 99th percentile of a press in ms, and what memory had grown to.

    ``work_ms``: the median of the processor's time for one, which other programs do not change.
    """

    rows: int = 0
    press_ms: list[float] = field(default_factory=list)
    work_ms: list[float] = field(default_factory=list)
    slow_press_ms: list[float] = field(default_factory=list)
    grown_kb: list[float] = field(default_factory=list)
    file_mb: float = 0.0
    log_mb: float = 0.0
    reopened_s: float = 0.0


def run(folder: Path, rows: int, *, full_sync: bool = True) -> Figures:
    """Crank so many rows in a session of ten parts; ``full_sync``: each is carried to the disk itself, as ever."""
    figures = Figures(rows=rows)
    each = rows // PARTS
    steps = tuple(CountRows(f"part-{number}", f"Part {number}", each) for number in range(PARTS))
    path = folder / "logbook.sqlite"
    with closing(Logbook(path, FakeClock(step_ms=864))) as book:  # 100,000 rows in 24 hours
        if not full_sync:
            book.store.db.execute("PRAGMA synchronous = OFF")
        live = book.start(record("sock", steps=steps))
        hands = Hands(live, Settings(press_gap_ms=0), Silence())
        tracemalloc.start()
        before = None
        for part in range(PARTS):
            took, worked = [], []
            for row in range(each):
                began, begun = time.perf_counter(), time.process_time()
                hands.do_count((part * each + row) * 864.0)
                worked.append((time.process_time() - begun) * 1000)
                took.append((time.perf_counter() - began) * 1000)
            assert live.do(Confirmed()) is None
            gc.collect()
            now = tracemalloc.get_traced_memory()[0] - len(took) * 64
            before = now if before is None else before
            figures.press_ms.append(median(took))
            figures.work_ms.append(median(worked))
            figures.slow_press_ms.append(sorted(took)[len(took) * 99 // 100])
            figures.grown_kb.append((now - before) / 1024)
        tracemalloc.stop()
        log = path.with_name(f"{path.name}-wal")
        figures.log_mb = log.stat().st_size / 1e6
        assert live.state.presses == each * PARTS
        began = time.perf_counter()
        assert book.take_up(record().id).state == live.state
        figures.reopened_s = time.perf_counter() - began
    figures.file_mb = path.stat().st_size / 1e6
    return figures
