"""Between the bench and the person: a multiplexer, or a line that is cut. What comes through, and what is left."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":
    pytest.skip("a pty is needed", allow_module_level=True)

from hosewright.logbook.book import Logbook
from hosewright.session.events import Pressed
from tests.helpers import crank_to, drive, record, rows
from tests.terminal.forked import Forked, end_all
from tests.terminal.terminal import ENTER, Terminal

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

ID = "20231114-test"
RINGS = 'tones = "bell"\npause_after_s = 0\nrest_after_min = 0\n'
GAP_MS, APART_S = 60, 0.3
MOUSE = b"\x1b[?1000h"


@pytest.fixture(autouse=True)
def _nothing_stays() -> Iterator[None]:
    yield
    end_all()


def at_tube(home: Path, count: int) -> None:
    """A tube of 30 rows with so many cranked; a cue is called for some rows before their end."""
    home.mkdir()
    book = Logbook(home / "logbook.sqlite")
    live = book.start(record("tube", ID))
    crank_to(live, "tube")
    drive(live, rows(count))
    book.close()


@pytest.mark.parametrize("through", ["nothing", "tmux"])
def test_each_event_rings_the_bell_once(tmp_path: Path, through: str) -> None:
    tmux = ["tmux", "-S", str(tmp_path / "socket"), "-f", os.devnull]
    if through == "tmux" and shutil.which("tmux") is None:
        pytest.skip("tmux is not here")
    home = tmp_path / "home"
    at_tube(home, 24)
    terminal = Terminal(home, gap_ms=GAP_MS, more=RINGS, through=[*tmux, "new"] if through == "tmux" else ())
    try:
        terminal.see("ENTER GOES ON WITH")
        terminal.type(ENTER)
        terminal.see("GAUGE TUBE")
        terminal.screen.rung = 0
        for count in range(25, 32):  # with a cue at 25 and at 30, and one row too many
            time.sleep(APART_S)
            terminal.type(" ")
            terminal.see(f"{count} of 30")
            terminal.read(APART_S)
            assert terminal.screen.rung == count - 24
        terminal.kill()
    finally:
        if through == "tmux":
            subprocess.run([*tmux, "kill-server"], check=False, timeout=60, capture_output=True)


@pytest.mark.parametrize("inside", [{}, {"STY": "1.needles"}])
def test_in_gnu_screen_the_mouse_is_left_alone_so_that_esc_comes_at_once(
    tmp_path: Path, inside: dict[str, str]
) -> None:
    life = Forked(tmp_path, environment=inside)
    life.see("FROM SHELF TO SOCK")
    assert (MOUSE in life.raw) is not bool(inside)
    life.kill()


def test_a_second_screen_whose_line_is_cut_ends_and_the_count_goes_on(tmp_path: Path) -> None:
    home = tmp_path / "home"
    at_tube(home, 3)
    book = Logbook.for_counting(home / "logbook.sqlite")
    live = book.take_up(ID)
    second = Terminal(home, "--look", ID, gap_ms=GAP_MS)
    second.see("3 of 30")
    drive(live, [Pressed()])
    second.see("4 of 30")
    os.close(second.child.child_fd)
    assert os.waitstatus_to_exitcode(os.waitpid(second.child.pid, 0)[1]) == 129
    drive(live, [Pressed()])
    assert live.state.count == 5
    book.close()
