"""A row that was denied stays away: its frames stand in the log when only the sync of its commit failed."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from tests.helpers import crank_to, record

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(shutil.which("strace") is None, reason="strace makes the disk fail")


def cranked(path: Path, *inject: str, more: int) -> tuple[int, int, str]:
    """The count shown and how many presses were denied, when system calls fail as ``inject`` says."""
    book = Logbook.for_counting(path)
    crank_to(book.start(record("tube")), "tube")
    book.close()
    faults = [word for rule in inject for word in ("-e", f"inject={rule}")]
    command = ["strace", "-f", "-qq", "-o", "/dev/null", *faults, sys.executable, "-m", "tests.faults.denied"]
    ran = subprocess.run([*command, str(path), str(more)], capture_output=True, text=True, check=False, timeout=120)
    found = re.search(r"shown (\d+) denied (\d+)", ran.stdout)
    assert found, ran.stdout + ran.stderr
    return int(found[1]), int(found[2]), ran.stdout


def counted(path: Path) -> int:
    book = Logbook.for_counting(path)
    try:
        assert not book.store.faults()
        return book.take_up(record().id).state.count
    finally:
        book.close()


@pytest.mark.parametrize("more", [0, 3])
def test_a_press_whose_sync_failed_does_not_come_back(tmp_path: Path, more: int) -> None:
    denials = 0
    for when in (7, 12):
        path = tmp_path / f"logbook-{when}.sqlite"
        shown, denied, _ = cranked(path, f"fdatasync:error=EIO:when={when}", more=more)
        denials += denied
        assert counted(path) == shown
    assert denials == 2


def test_a_disk_that_takes_nothing_says_what_may_come_back(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    shown, denied, said = cranked(path, "fdatasync:error=EIO:when=9+", more=2)
    assert denied == 3
    assert "look at the count when you start it" in said
    assert shown <= counted(path) <= shown + 1
