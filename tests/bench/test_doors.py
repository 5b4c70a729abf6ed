"""The screens the bench leads to."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hosewright.bench.app import Bench
from hosewright.bench.doors import screen_of
from hosewright.bench.home.screen import _COMMANDS
from hosewright.settings.table import Settings
from tests.bench.stage import new_book

if TYPE_CHECKING:
    from pathlib import Path

PLACES = [command.does for command in _COMMANDS if command.does not in ("enter", "help", "quit")]


async def test_every_key_of_the_bench_that_leads_somewhere_leads_to_a_screen_with_its_own_help(tmp_path: Path) -> None:
    app = Bench(new_book(tmp_path), Settings())
    async with app.run_test(size=(80, 24)):
        screens = [screen_of(place, app) for place in PLACES]
    assert len({type(screen).__name__ for screen in screens}) == len(PLACES) - 1  # search and tube share one
    assert all(getattr(screen, "EXPLAIN", "") for screen in screens)
    with pytest.raises(KeyError):
        screen_of("nowhere", app)
