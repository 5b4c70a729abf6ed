"""A class: learners at their benches, each in a plight of their own."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.lock import lock_of
from hosewright.session.events import Judged, Observed, Paused, Pressed
from tests.helpers import START_MS, FakeClock, crank_to, drive, record, rows, sock_plan_steps

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hosewright.logbook.live import Live
    from hosewright.session.steps import SessionKind

NOON_MS = START_MS + 6 * 3_600_000


class Bench:
    """A learner's bench, its clock so set that the last row came ``quiet_s`` before noon."""

    def __init__(self, folder: Path, name: str, clock: FakeClock | None = None) -> None:
        self.clock = clock or FakeClock(step_ms=4000)
        self.book = Logbook(folder / name / "logbook.sqlite", self.clock)
        lock_of(self.book.path).touch()  # which the bench itself holds

    def begin(self, kind: SessionKind, step: str, title: str) -> Live:
        steps = sock_plan_steps(hem_rows=16) if kind == "sock" else None
        begun = record(kind, self.book.new_id(), steps=steps).model_copy(update={"title": title})
        live = self.book.start(begun)
        crank_to(live, step)
        return live

    def until(self, quiet_s: int) -> None:
        self.clock.at_ms = NOON_MS - quiet_s * 1000 - 4000


def anna(bench: Bench) -> None:
    live = bench.begin("tube", "tube", "Gauge tube: Moss")
    drive(live, rows(11))
    bench.until(5)
    drive(live, Pressed())


def bert(bench: Bench) -> None:
    live = bench.begin("sock", "heel", "Sock: Slate, the ferryman")
    drive(live, rows(29), Observed("dropped", 17))
    bench.until(240)
    drive(live, Pressed(), Paused())


def cleo(bench: Bench) -> None:
    live = bench.begin("search", "trial", "Stitch size: Rust")
    drive(live, Pressed(), Judged("drop", 32), Pressed())
    bench.until(20)
    drive(live, Judged("stiff", 30))


def dora(bench: Bench) -> None:
    live = bench.begin("tube", "wash", "Gauge tube: Oat")
    bench.until(7200)
    crank_to(live, "dry")


def emil(bench: Bench) -> None:
    live = bench.begin("sock", "foot", "Sock: Moss, the miller")
    bench.until(400)
    drive(live, rows(9))


def fred(bench: Bench) -> None:
    bench.begin("search", "dial-start", "Stitch size: Slate")
    bench.book.close()
    with closing(sqlite3.connect(bench.book.path)) as db:
        db.execute("PRAGMA user_version = 99")


def gina(bench: Bench) -> None:
    bench.begin("search", "dial-start", "Stitch size: Slate")
    bench.book.close()
    with bench.book.path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * 4096 * 6)


def hugo(bench: Bench) -> None:
    """Nothing begun."""


def jill(bench: Bench) -> None:
    live = bench.begin("tube", "tube", "Gauge tube: Rust")
    drive(live, rows(20), Observed("knot"), rows(21))
    bench.until(5)
    drive(live, Pressed())


LEARNERS: tuple[Callable[[Bench], None], ...] = (anna, bert, cleo, dora, emil, fred, gina, hugo, jill)
