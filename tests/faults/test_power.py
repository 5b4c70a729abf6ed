"""Power cuts and failing disks: no row that was shown is missing, none is invented."""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from hosewright.logbook.book import Logbook
from tests.faults import failing, power
from tests.faults.past import build
from tests.faults.traced import needs_strace
from tests.helpers import crank_to, record

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = needs_strace


def a_tube(home: Path) -> None:
    with closing(Logbook.for_counting(home / "logbook.sqlite")) as book:
        crank_to(book.start(record("tube")), "tube")


def an_old_logbook(home: Path) -> None:
    build(1, home / "logbook.sqlite")


def nothing(_home: Path) -> None: ...


LAID_OUT = {"migrate": an_old_logbook, "settings": nothing}


@pytest.mark.parametrize("deed", power.DEEDS)
def test_a_power_cut_loses_nothing_that_was_shown(deed: str, tmp_path: Path) -> None:
    found = power.run(deed, tmp_path, LAID_OUT.get(deed, a_tube), 15, seed=2026)
    assert (found.states, found.bad) == (15, [])


def test_a_power_cut_while_the_first_logbook_is_made(tmp_path: Path) -> None:
    found = power.run("crank", tmp_path, nothing, 20, seed=2027)
    assert (found.states, found.bad) == (20, [])


def test_the_power_cut_has_teeth(tmp_path: Path) -> None:
    """Without a sync at each row the same cuts lose rows: the test would see it."""
    found = power.run("crank", tmp_path, a_tube, 20, seed=2028, LESS_SYNC="1")
    assert len(found.bad) > 5


def test_a_disk_that_fails_once_shows_what_it_stored(tmp_path: Path) -> None:
    found = failing.run(tmp_path, 6, seed=2032)
    assert (found.evenings, found.bad) == (6, [])
    assert found.denied > 0
    assert found.events > 200
