"""A row that was denied stays away: its frames stand in the log when only the sync of its commit failed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from tests.faults.traced import needs_strace, run_failing
from tests.helpers import crank_to, record

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = needs_strace


def cranked(folder: Path, inject: str, more: int) -> tuple[int, list[str]]:
    """The last event shown, and what was denied, when system calls fail as ``inject`` says."""
    folder.mkdir()
    book = Logbook.for_counting(folder / "logbook.sqlite")
    crank_to(book.start(record("tube")), "tube")
    book.close()
    said = run_failing("denied", folder, inject, MORE=str(more))
    return int(said[-1].split()[2]), [line for line in said if line.startswith("denied")]


def last_stored(folder: Path) -> int:
    book = Logbook.for_counting(folder / "logbook.sqlite")
    try:
        assert not book.store.damage()
        return book.take_up(record().id).state.last_seq
    finally:
        book.close()


@pytest.mark.parametrize("more", [0, 3])
@pytest.mark.parametrize("when", [7, 12])
def test_a_press_whose_sync_failed_does_not_come_back(tmp_path: Path, more: int, when: int) -> None:
    shown, denied = cranked(tmp_path / "home", f"fdatasync:error=EIO:when={when}", more)
    assert len(denied) == 1
    assert last_stored(tmp_path / "home") == shown


def test_a_disk_that_takes_nothing_says_what_may_come_back(tmp_path: Path) -> None:
    shown, denied = cranked(tmp_path / "home", "fdatasync:error=EIO:when=9+", 2)
    assert len(denied) == 3
    assert all("look at the count when you start it" in one for one in denied)
    assert shown <= last_stored(tmp_path / "home") <= shown + 1
