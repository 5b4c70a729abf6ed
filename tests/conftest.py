"""Two hypothesis profiles, how many tests run at once, and a logbook of one's own for each test."""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import sys
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

from hosewright.logbook.book import Logbook
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


if "PYTEST_XDIST_WORKER" in os.environ:
    # The whole suite: what it imports, and every program it starts, is compiled once, also where Python is told to keep
    # no bytecode. Otherwise each worker makes pytest's asserts anew: 10 s each, a fifth of a run.
    sys.dont_write_bytecode = False
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def pytest_sessionstart(session: pytest.Session) -> None:
    """Each worker begins with another part of the modules it is to collect: so they are compiled once between them."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        return
    root = session.config.rootpath
    found = sorted(path for arg in session.config.args for path in (root / arg).rglob("test_*.py"))
    first = len(found) * int(os.environ["PYTEST_XDIST_WORKER"][2:]) // int(os.environ["PYTEST_XDIST_WORKER_COUNT"])
    for path in found[first:] + found[:first]:
        with contextlib.suppress(Exception, pytest.skip.Exception):  # told when it is collected
            import_module(".".join(path.relative_to(root).with_suffix("").parts))


WATCHED = ("test_long", "test_input")  # where memory and pauses are watched
USUAL_RUBBISH, SELDOM = gc.get_threshold(), (20_000, 20, 20)


def pytest_collection_finish() -> None:
    """What was imported stays: looking through it for rubbish again and again took a fifth of all the tests' work.

    Rubbish is still looked for, and pytest looks once more at the end, so that what was left open is reported.
    A signal that whoever started the tests ignores stays ignored here, but not in the programs that tests start.
    """
    for name in ("SIGINT", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_IGN:
            signal.signal(number, lambda *_: None)
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOSEWRIGHT_HOME", str(tmp_path / "home"))


@pytest.fixture(autouse=True)
def _no_waiting_in_apps(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if "hosewright.bench.app" not in sys.modules:  # a module that drives the bench imports it at its top
        return
    from tests import quiet, sheets  # they import Textual

    quiet.use(monkeypatch)
    sheets.use(monkeypatch)
    if request.path.stem not in WATCHED:
        # Each session opened collects everything that a test process has ever imported: 80 ms.
        monkeypatch.setattr("hosewright.bench.count.screen._put_memory_in_order", lambda: None)


@pytest.fixture(autouse=True)
def _usual_pauses(request: pytest.FixtureRequest) -> Iterator[None]:
    """Where memory and pauses are watched, rubbish is looked for as often as in the program."""
    watched = request.path.stem in WATCHED
    if watched:
        gc.set_threshold(*USUAL_RUBBISH)
    yield
    if watched:
        gc.set_threshold(*SELDOM)


@pytest.fixture
def clock() -> FakeClock:
    return FakeClock()


@pytest.fixture
def book(tmp_path: Path, clock: FakeClock) -> Iterator[Logbook]:
    opened = Logbook(tmp_path / "logbook.sqlite", clock)
    yield opened
    opened.close()
