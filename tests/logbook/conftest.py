"""A learner with a logbook of their own, and a logbook with the samples."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from hosewright.logbook.travel.session_files import read
from tests.helpers import FakeClock
from tests.make_samples import FOLDER

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def learner(tmp_path: Path) -> Iterator[Logbook]:
    """A learner whose bench is open."""
    folder = tmp_path / "anna"
    book = Logbook.for_counting(folder / "logbook.sqlite", FakeClock())
    yield book
    book.close()


@pytest.fixture(scope="module")
def samples(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    book = Logbook(tmp_path_factory.mktemp("find") / "logbook.sqlite")
    for path in sorted(FOLDER.glob("[0-9]*.json")):
        sample = read(path)
        book.take_in(sample.session, sample.entries())
    yield book
    book.close()
