"""A terminal closed under the bench at any moment: it ends within two seconds, and lets go of the logbook."""

from __future__ import annotations

import fcntl
import os
import random
import re
import signal
import struct
import sys
import termios
import time
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":
    pytest.skip("a pty is needed", allow_module_level=True)

from hosewright.logbook.book import Logbook
from tests.faults.evening import lay_out, open_session, stored
from tests.helpers import THOROUGH
from tests.terminal.forked import Forked

if TYPE_CHECKING:
    from pathlib import Path

SEED = 20250114
WITHIN_S = 2.0


def gone_after(life: Forked) -> float:
    """Seconds until the process has ended."""
    began = time.monotonic()
    while time.monotonic() < began + 20:
        done, status = os.waitpid(life.pid, os.WNOHANG)
        if done:
            life.code = os.waitstatus_to_exitcode(status)
            return time.monotonic() - began
        time.sleep(0.005)
    os.kill(life.pid, signal.SIGKILL)
    os.waitpid(life.pid, 0)
    life.code = -signal.SIGKILL
    pytest.fail("it lived on without a terminal")


def at_work(home: Path) -> tuple[Forked, int]:
    at = stored(home)[-1]
    life = Forked(home)
    open_session(life, at)
    return life, at.count


def left_in_order(home: Path, least: int) -> int:
    """The lock is free, and no row that was seen is missing; how many are stored."""
    with closing(Logbook.for_counting(home / "logbook.sqlite")) as book:
        assert book.store.why_read_only == ""
    count = stored(home)[-1].count
    assert count >= least
    return count


def seen(life: Forked, at_first: int) -> int:
    """The largest count that any frame said, of whatever size the terminal was then. The title is written whole only
    where much of a frame changes, so there may be none beside the count that was on the screen ``at_first``."""
    return max([at_first, *map(int, re.findall("GAUGE TUBE · (\\d+) of 30 rows".encode(), life.raw))])


def test_terminals_closed_under_resizes_and_presses(tmp_path: Path) -> None:
    rng, home = random.Random(SEED), tmp_path
    lay_out(home, "tube", "tube", random.Random(1))
    for _ in range(100 if THOROUGH else 10):
        life, count = at_work(home)
        until = time.monotonic() + rng.uniform(0.0, 0.3)
        while time.monotonic() < until:
            size = struct.pack("HHHH", rng.randrange(20, 40), rng.randrange(70, 120), 0, 0)
            fcntl.ioctl(life.fd, termios.TIOCSWINSZ, size)
            life.send(" " * rng.randrange(4))
            life.read(rng.uniform(0.0, 0.02))
        least = seen(life, count)
        life.close()
        assert gone_after(life) < WITHIN_S
        assert life.code == 129
        life.close()
        left_in_order(home, least)


def test_a_failed_write_ends_it_though_no_signal_comes(tmp_path: Path) -> None:
    lay_out(tmp_path, "tube", "tube", random.Random(1))
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGHUP})
    try:
        life, count = at_work(tmp_path)
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
    life.send("  ")
    life.see(f"GAUGE TUBE · {count + 2} of 30")
    life.close()
    assert gone_after(life) < WITHIN_S
    assert life.code == 129
    left_in_order(tmp_path, count + 2)


@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_a_terminal_that_takes_nothing_more_cannot_keep_it(tmp_path: Path, name: str) -> None:
    """Nobody reads what it paints, so its writer waits for ever, and whoever waits for that one."""
    lay_out(tmp_path, "tube", "tube", random.Random(1))
    life, count = at_work(tmp_path)
    number = getattr(signal, name)
    for n in range(400):
        fcntl.ioctl(life.fd, termios.TIOCSWINSZ, struct.pack("HHHH", 24 + n % 9, 80 + n % 7, 0, 0))
        time.sleep(0.005)
    os.kill(life.pid, number)
    assert gone_after(life) < WITHIN_S
    assert life.code == 128 + number
    life.close()
    left_in_order(tmp_path, count)


def test_a_commit_under_way_is_waited_for_and_none_begins_again(tmp_path: Path) -> None:
    from threading import Thread

    from hosewright.logbook.file.schema import VERSION

    with closing(Logbook(tmp_path / "logbook.sqlite")) as book:
        with book.store.one_commit() as db:
            began = time.monotonic()
            book.store.shut(0.1)
            assert time.monotonic() - began >= 0.1
            db.execute(f"PRAGMA user_version = {VERSION}")
        book.store.shut(0.1)
        late = Thread(target=lambda: book.store.one_commit().__enter__(), daemon=True)
        late.start()
        late.join(0.2)
        assert late.is_alive(), "it waits for good"
