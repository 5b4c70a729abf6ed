"""``hosewright counter`` in a real terminal: a pedal that bounces, and what is written when that is wanted."""

from __future__ import annotations

import sys
import time
import tomllib
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":
    pytest.skip("a pty is needed", allow_module_level=True)

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
