"""A long session, in small: the full 100,000 rows are run by ``python -m tests.faults.run``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.faults import long

if TYPE_CHECKING:
    from pathlib import Path


def test_the_last_row_is_as_quick_as_the_first_and_memory_stays_flat(tmp_path: Path) -> None:
    figures = long.run(tmp_path, 4000)
    assert figures.press_ms[-1] < 3 * figures.press_ms[0] + 0.5
    assert figures.grown_kb[-1] < 100
    assert figures.log_mb < 20
