"""Two hypothesis profiles, and a logbook of one's own for each test."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

from hosewright.logbook.book import Logbook
from tests.helpers import FakeClock

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

settings.register_profile("fast", max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("thorough", max_examples=3000, deadline=None, suppress_health_check=list(HealthCheck))
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fast"))


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "home"))


@pytest.fixture
def clock() -> FakeClock:
    return FakeClock()


@pytest.fixture
def book(tmp_path: Path, clock: FakeClock) -> Iterator[Logbook]:
    opened = Logbook(tmp_path / "logbook.sqlite", clock)
    yield opened
    opened.close()
