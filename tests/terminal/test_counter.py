"""``hosewright counter`` in a real terminal: a pedal that bounces, and what is written when that is wanted."""

from __future__ import annotations

import os
import signal
import sys
import time
import tomllib
from types import SimpleNamespace
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":
    pytest.skip("a pty is needed", allow_module_level=True)

import termios

import hosewright.bench.inside  # noqa: F401  # which looks for termios
from hosewright.verbs import settings
from tests.terminal.forked import Forked
from tests.terminal.terminal import Terminal

if TYPE_CHECKING:
    from pathlib import Path


def test_a_key_that_counts_with_a_gap_that_fits_leaves_nothing_to_set(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path, "counter", gap_ms=120)
    terminal.see("q ends it")
    for presses in (" ", "  ", " "):
        terminal.child.send(presses)
        time.sleep(0.5)
    terminal.type("q")
    assert terminal.end() == 0
    said = " ".join(terminal.text.split())
    assert "It bounces: once a second press came, at most" in said
    assert "at most 0 ms" not in said
    assert "There is nothing to set: Space counts, and a gap of 120 ms fits." in said
    assert (tmp_path / "settings.toml").read_text(encoding="utf-8") == "press_gap_ms = 120\n"


def test_a_bouncing_pedal_is_watched_and_set(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path, "counter", gap_ms=10)
    terminal.see("q ends it")
    for _ in range(3):
        terminal.child.send("++")
        time.sleep(0.5)
    terminal.type("q")
    terminal.see("It bounces: 3 times", "To set: Plus counts, too; presses within 30 ms are doubtful", "yes or no")
    terminal.child.send("yes\r")
    terminal.see("Saved in")
    assert terminal.end() == 0
    written = tomllib.loads((tmp_path / "settings.toml").read_text(encoding="utf-8"))
    assert written["count_keys"] == ["space", "plus"]
    assert written["press_gap_ms"] == 30


def test_no_time_to_watch_is_no_keyboard_that_is_missing(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path, "counter", "--seconds", "0")
    terminal.child.expect_exact("It can watch for 1 to 3600 seconds.")
    assert terminal.end() == 2


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT])
def test_ended_by_a_signal_it_leaves_the_terminal_as_it_was(tmp_path: Path, how: signal.Signals) -> None:
    by_lines = termios.ICANON | termios.ECHO  # as every terminal begins; the program may be too quick to be seen so
    life = Forked(tmp_path, "counter")
    life.see("q ends it")
    assert termios.tcgetattr(life.fd)[3] & by_lines == 0
    os.kill(life.pid, how)
    assert life.end() == 128 + how
    assert termios.tcgetattr(life.fd)[3] & by_lines == by_lines
    life.close()


class Console:
    """What https://docs.python.org/3/library/msvcrt.html says of a console: a function key comes as two characters."""

    def __init__(self, *typed: str) -> None:
        self.waits = list("".join(typed))

    def kbhit(self) -> bool:
        return bool(self.waits)

    def getwch(self) -> str:
        return self.waits.pop(0)


def test_on_windows_keys_come_from_its_console(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    console = Console(" ", "\xe0Q", "\xe0\x85", "\r", "q", "  ")
    monkeypatch.setitem(sys.modules, "termios", None)
    monkeypatch.setitem(sys.modules, "msvcrt", SimpleNamespace(kbhit=console.kbhit, getwch=console.getwch))
    pressed = [key for key, _ in settings._pressed(5)]
    assert pressed == ["space", "pagedown", "enter"]
    assert console.waits == [], "what still bounces answers no question"
