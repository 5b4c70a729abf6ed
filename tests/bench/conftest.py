"""Every bench of a class, to be looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

from tests.bench.classroom import LEARNERS, Bench


@pytest.fixture
def benches(tmp_path: Path) -> Iterator[dict[str, Bench]]:
    made = {}
    for begin in LEARNERS:
        made[begin.__name__] = bench = Bench(tmp_path / "class", begin.__name__)
        begin(bench)
    (tmp_path / "class" / "ines").mkdir()
    yield made
    for bench in made.values():
        bench.book.close()
