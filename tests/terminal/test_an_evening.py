"""The whole program in a real pty: from an empty logbook to twenty counted rows, the plug pulled, and on."""

from __future__ import annotations

import signal
import sys
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":
    pytest.skip("a pty is needed", allow_module_level=True)

from hosewright.logbook.book import Logbook
from hosewright.session.events import Pressed
from tests.helpers import crank_to, record
from tests.terminal.terminal import CTRL_S, ENTER, ESC, Terminal

if TYPE_CHECKING:
    from pathlib import Path


def fill_the_shelf(terminal: Terminal) -> None:
    terminal.see("Put a machine, a cylinder and a yarn on the shelf")
    terminal.type("s")
    terminal.see("none yet, m adds one")
    for key, title, name, answers in (
        ("m", "A machine", "Boathouse machine", (ENTER, "4", ENTER, ENTER, "7")),
        ("c", "A cylinder", "Cylinder 64", (ENTER, "64")),
        ("y", "A yarn", "Slipway grey", ()),
    ):
        terminal.type(key)
        terminal.see(title)
        terminal.type(name, *answers, CTRL_S)
        terminal.see(name, "none yet, w adds one")
    terminal.type(ESC)
    terminal.see("Find the stitch size for a yarn")


def test_from_an_empty_logbook_through_a_killed_process_to_row_20(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path)
    fill_the_shelf(terminal)

    terminal.type("f")
    terminal.see("Slipway grey", "Ctrl+S start")
    terminal.type(CTRL_S)
    terminal.see("Set the dial to 7 turns below zero", "Careful")
    terminal.type(ENTER)
    terminal.see("Hang the cast-on bonnet")
    terminal.type(ENTER, ENTER, ENTER, " ", " ", " ", ENTER, ENTER)
    terminal.see("no full row here")
    for verdict, seen in (("d", "6 1/2 turns"), ("d", "6 turns"), ("s", "baseline")):
        terminal.type(" ", verdict)
        terminal.see(seen)
    terminal.type(ENTER)
    terminal.see("CLEAR THE NEEDLES")
    terminal.type(ENTER, *[" "] * 10, ENTER)
    terminal.see("BASELINE", "The stitch size for this yarn is 7 turns")
    terminal.type(ENTER)
    terminal.see("crank a gauge tube at 7 turns below zero")

    terminal.type("t")
    terminal.see("Slipway grey", "7", "Ctrl+S start")
    terminal.type(CTRL_S)
    terminal.see("Set the dial to 7 turns below zero")
    terminal.type(ENTER, ENTER, ENTER, ENTER, *[" "] * 8, ENTER, ENTER)
    terminal.see("of 60 rows")
    terminal.type(*[" "] * 20)
    terminal.see("of 60 rows", "40 to go")
    terminal.kill()

    again = Terminal(tmp_path)
    again.see("ENTER GOES ON WITH", "gauge tube, 20 of 60 rows done")
    again.type(ENTER)
    again.see("GAUGE TUBE · 20 of 60 rows", "In 40 rows")
    again.type(" ")
    again.see("of 60 rows", "In 39 rows")
    again.type(ESC)
    again.see("gauge tube, 21 of 60 rows done")
    again.type("q")
    assert again.end() == 0

    book = Logbook(tmp_path / "logbook.sqlite")
    tube = next(line for line in book.lines() if line.kind == "tube")
    assert book.state(tube).count_of("tube") == 21
    book.close()


def test_a_key_held_down_counts_once_and_every_press_is_kept(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "logbook.sqlite")
    live = book.start(record("tube"))
    crank_to(live, "tube")
    book.close()
    terminal = Terminal(tmp_path, gap_ms=120)
    terminal.see("gauge tube, 0 of 30 rows done")
    terminal.type(ENTER)
    terminal.see("Welcome back")  # the bench's own list says 0 of 30 rows, too
    terminal.type(" " * 200)
    terminal.see("1 of 30 rows", "199 DOUBTFUL")
    terminal.type("v")
    terminal.see("Count them all? The count will be 200 of")
    terminal.type("y")
    terminal.see("200 of 30 rows")
    terminal.kill()
    book = Logbook(tmp_path / "logbook.sqlite")
    entries = list(book.store.entries(live.n))
    assert sum(isinstance(entry.event, Pressed) and entry.event.doubtful for entry in entries) == 199
    book.close()


@pytest.mark.parametrize(("name", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_signal_ends_it_with_its_code_and_gives_the_terminal_back(tmp_path: Path, name: int, code: int) -> None:
    terminal = Terminal(tmp_path)
    terminal.see("ENTER GOES ON WITH")
    terminal.child.kill(name)
    assert terminal.end() == code


def test_practice_opens_on_the_samples_and_leaves_the_logbook_alone(tmp_path: Path) -> None:
    terminal = Terminal(tmp_path, "practice")
    terminal.see("PRACTICE", "ENTER GOES ON WITH")
    terminal.type("q")
    assert terminal.end() == 0
    assert [path.name for path in tmp_path.iterdir()] == ["settings.toml"]


def test_a_logbook_in_a_synced_folder_is_told_by_the_bench_the_first_time(tmp_path: Path) -> None:
    home = tmp_path / "SockSync"
    home.mkdir()
    Logbook(home / "logbook.sqlite").close()
    for seen in ("seems to lie in a synced folder", "Put a machine, a cylinder and a yarn on the shelf"):
        terminal = Terminal(home, columns=120, rows=40)
        terminal.see(seen, "Put a machine, a cylinder and a yarn on the shelf")
        terminal.read(1.0)
        assert ("seems to lie in a synced folder" in terminal.text) == ("synced" in seen)
        terminal.type("q")
        assert terminal.end() == 0
