"""Every bench of a class, to be looked at, and the practice logbook: made once a process, copied for each test."""

from __future__ import annotations

import shutil
from copy import copy
from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import open_practice
from hosewright.logbook.book import Logbook
from tests.bench.classroom import LEARNERS, Bench
from tests.bench.stage import close_books
from tests.helpers import FakeClock
from tests.quiet import leave_home_alone

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

DAY_AFTER_MS = 1_765_022_400_000  # 6 December 2025, 12:00: the day after the newest work of the samples
SHUT = ("fred", "gina")  # whose files are of another version, and broken


@pytest.fixture(autouse=True)
def _closed() -> Iterator[None]:
    """Since Python 3.13 a file left open is complained of, in whatever test runs by then."""
    yield
    close_books()


@pytest.fixture(scope="session")
def _class_made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, FakeClock]]:
    """The folder with all that the learners have cranked, and what their clocks show."""
    folder = tmp_path_factory.mktemp("class")
    clocks = {}
    for begin in LEARNERS:
        bench = Bench(folder, begin.__name__)
        begin(bench)
        bench.book.close()
        clocks[begin.__name__] = bench.clock
    (folder / "ines").mkdir()
    return folder, clocks


@pytest.fixture
def benches(_class_made: tuple[Path, dict[str, FakeClock]], tmp_path: Path) -> Iterator[dict[str, Bench]]:
    """The learners' benches; all but two are open."""
    made, clocks = _class_made
    folder = shutil.copytree(made, tmp_path / "class")
    benches = {name: Bench(folder, name, copy(clock)) for name, clock in clocks.items() if name not in SHUT}
    yield benches
    for bench in benches.values():
        bench.book.close()


@pytest.fixture(scope="session")
def _practice_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    book = open_practice(tmp_path_factory.mktemp("practice"), FakeClock(DAY_AFTER_MS, zone_min=0))
    book.close()
    return book.path


@pytest.fixture
def practice(_practice_made: Path, tmp_path: Path) -> Iterator[Logbook]:
    """What ``open_practice`` makes, which takes a tenth of a second each time."""
    shutil.copy(_practice_made, tmp_path)
    book = Logbook(tmp_path / _practice_made.name)
    yield book
    book.close()


@pytest.fixture
def home_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    leave_home_alone(monkeypatch)
