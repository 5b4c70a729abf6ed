"""Two hypothesis profiles, how many tests run at once, and a logbook of one's own for each test."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

from hosewright.logbook.book import Logbook
from tests import quiet
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from collections.abc import Iterator

settings.register_profile("fast", max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("thorough", max_examples=3000, deadline=None, suppress_health_check=list(HealthCheck))
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fast"))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Two workers a processor for the whole suite, since half of a worker's time is waiting; one process for a file."""
    named = [name for name in config.args if Path(name.partition("::")[0]).is_file()]
    return 0 if named else 2 * (os.cpu_count() or 1)


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "home"))


@pytest.fixture(autouse=True)
def _no_waiting_in_apps(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if "hosewright.bench.app" not in sys.modules:  # a module that drives the bench imports it at its top
        return
    quiet.use(monkeypatch)
    if "faults" not in request.path.parts:  # where memory and pauses are watched
        # Each session opened collects everything that a test process has ever imported: 80 ms.
        monkeypatch.setattr("hosewright.bench.session_screen._put_memory_in_order", lambda: None)


@pytest.fixture
def clock() -> FakeClock:
    return FakeClock()


@pytest.fixture
def book(tmp_path: Path, clock: FakeClock) -> Iterator[Logbook]:
    opened = Logbook(tmp_path / "logbook.sqlite", clock)
    yield opened
    opened.close()
