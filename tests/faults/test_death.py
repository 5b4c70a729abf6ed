"""Death in every form: killed at random moments, ended by signals, left by keys, the terminal closed under it."""

from __future__ import annotations

import os
import shlex
import signal
import sys
import time
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

if sys.platform == "win32":
    pytest.skip("a pty is needed", allow_module_level=True)

from hosewright.logbook.book import Logbook
from tests.faults import evening
from tests.faults.evening import SESSION, lay_out, stored
from tests.terminal.forked import Forked

if TYPE_CHECKING:
    from pathlib import Path

CTRL_C, CTRL_Z, CTRL_Q = "\x03", "\x1a", "\x11"
SEED = 20250114


def test_killed_at_random_moments_all_that_was_shown_is_stored(tmp_path: Path) -> None:
    figures = evening.run(tmp_path, 12, SEED)
    assert figures.kills == 12
    assert figures.lives_checked >= 12
    # that there was something to lose; how much depends on the machine's speed
    assert figures.stored > 10
    assert figures.frames_counting > 1


def at_the_tube(home: Path, presses: int) -> tuple[Forked, list[object]]:
    """A life that stands in a running count, and how its terminal was set before."""
    import random

    lay_out(home, "tube", "tube", random.Random(1))
    life = Forked(home)
    before = life.attributes()
    at = stored(home)[-1]
    evening.open_session(life, at)
    for _ in range(presses):
        life.send(" ")
    life.see(f"GAUGE TUBE · {at.count + presses} of 30")
    return life, before


def came_back_sane(life: Forked, before: list[object]) -> None:
    assert life.attributes() == before, "the terminal is set as it was found"
    left = bytes(life.raw)
    assert left.rfind(b"\x1b[?1049l") > left.rfind(b"\x1b[?1049h"), "the other screen is put away"
    assert left.rfind(b"\x1b[?25h") > left.rfind(b"\x1b[?25l"), "the cursor is back"
    assert b"Traceback" not in left


@pytest.mark.parametrize(("name", "code"), [("SIGTERM", 143), ("SIGHUP", 129), ("SIGINT", 130), ("SIGQUIT", 131)])
def test_a_signal_ends_it_with_its_code_and_a_sane_terminal(tmp_path: Path, name: str, code: int) -> None:
    life, before = at_the_tube(tmp_path, 3)
    count = stored(tmp_path)[-1].count
    os.kill(life.pid, getattr(signal, name))
    assert life.end() == code
    came_back_sane(life, before)
    assert stored(tmp_path)[-1].count == count
    life.close()


def test_ctrl_c_asks_before_it_leaves_a_running_count(tmp_path: Path) -> None:
    life, before = at_the_tube(tmp_path, 3)
    standing = stored(tmp_path)[-1].count
    life.send(CTRL_C)
    life.see("A count is running", f"GAUGE TUBE · {standing} of 30", "y yes, n no")
    life.send("   x")  # nothing counts while the question is up
    life.send("n")
    life.not_see("A count is running")
    life.send(" ")
    life.see(f"GAUGE TUBE · {standing + 1} of 30")
    life.send(CTRL_C)
    life.see("A count is running")
    life.send("y")
    assert life.end() == 0
    came_back_sane(life, before)
    assert stored(tmp_path)[-1].count == standing + 1
    life.close()


@pytest.mark.parametrize("twice", [CTRL_C, CTRL_Q])
def test_ctrl_c_pressed_again_at_its_question_leaves(tmp_path: Path, twice: str) -> None:
    life, before = at_the_tube(tmp_path, 1)
    life.send(CTRL_C)
    life.see("A count is running")
    life.send(twice)
    assert life.end() == 0
    came_back_sane(life, before)
    life.close()


def test_ctrl_c_leaves_at_once_when_no_count_runs(tmp_path: Path) -> None:
    life, before = at_the_tube(tmp_path, 1)
    life.send("p")
    life.see("PAUSED")
    life.send(CTRL_C)
    assert life.end() == 0
    came_back_sane(life, before)
    life.close()


@pytest.mark.parametrize("keys", ["q", CTRL_Q, CTRL_C])
def test_leaving_from_the_bench_is_an_end_without_fault(tmp_path: Path, keys: str) -> None:
    life = Forked(tmp_path)
    before = life.attributes()
    life.see("ENTER GOES ON WITH")
    life.send(keys)
    assert life.end() == 0
    came_back_sane(life, before)
    life.close()


def test_a_terminal_closed_under_it_ends_it_with_everything_stored(tmp_path: Path) -> None:
    life, _ = at_the_tube(tmp_path, 3)
    count = stored(tmp_path)[-1].count
    life.close()
    until = time.monotonic() + 60
    while time.monotonic() < until:
        done, status = os.waitpid(life.pid, os.WNOHANG)
        if done:
            break
        time.sleep(0.02)
    else:
        os.kill(life.pid, signal.SIGKILL)
        os.waitpid(life.pid, 0)
        pytest.fail("it lived on without a terminal")
    assert os.waitstatus_to_exitcode(status) == 129
    assert stored(tmp_path)[-1].count == count
    with closing(Logbook.for_counting(tmp_path / "logbook.sqlite")) as book:
        assert book.store.why_read_only == ""


def test_ctrl_z_and_back_shows_the_count_again_and_loses_nothing(tmp_path: Path) -> None:
    life, before = at_the_tube(tmp_path, 4)
    count = stored(tmp_path)[-1].count
    life.send(CTRL_Z)
    done, status = 0, 0
    until = time.monotonic() + 60
    while not done and time.monotonic() < until:
        life.read(0.02)
        done, status = os.waitpid(life.pid, os.WNOHANG | os.WUNTRACED)
    assert done and os.WIFSTOPPED(status)  # noqa: PT018  # it must have stopped, and not ended
    assert life.attributes() == before, "the shell gets its terminal as it was"
    life.screen.reset()
    os.kill(life.pid, signal.SIGCONT)
    life.see(f"GAUGE TUBE · {count} of 30")
    life.send("  ")
    life.see(f"GAUGE TUBE · {count + 2} of 30")
    life.send(CTRL_Q)
    assert life.end() == 0
    came_back_sane(life, before)
    assert stored(tmp_path)[-1].count == count + 2
    life.close()


def test_keys_that_break_the_terminal_reader_cost_no_row(tmp_path: Path) -> None:
    life, before = at_the_tube(tmp_path, 3)
    count = stored(tmp_path)[-1].count
    life.send(b"\x1b[32;1:3u")  # what an enhanced keyboard says of a key let go, where nobody asked for it
    life.send(" ")
    life.read(0.5)
    done, status = os.waitpid(life.pid, os.WNOHANG)
    if not done:
        life.send(CTRL_Q)
        assert life.end() in (0, 1)  # 1: it was ending just then, its reader broken
    else:
        assert os.waitstatus_to_exitcode(status) == 1
    assert b"Traceback" not in life.raw
    came_back_sane(life, before)
    assert stored(tmp_path)[-1].count in (count, count + 1)
    life.close()


def test_line_mode_ends_by_ctrl_c_with_its_code(tmp_path: Path) -> None:
    import random

    lay_out(tmp_path, "tube", "tube", random.Random(1))
    at = stored(tmp_path)[-1].count
    life = Forked(tmp_path, "crank", SESSION, "--plain")
    life.see(f"{at} of")
    life.send("\n\n")
    life.see(f"{at + 2} of")
    life.send(CTRL_C)
    assert life.end() == 130
    assert stored(tmp_path)[-1].count == at + 2
    assert b"Traceback" not in life.raw
    life.close()


def test_the_command_as_a_shell_runs_it(tmp_path: Path) -> None:
    """Once in its own process, through a shell with jobs: stopped, brought back, left."""
    import pexpect

    (tmp_path / "settings.toml").write_text("press_gap_ms = 0\n", encoding="utf-8")
    shell = pexpect.spawn(
        "/bin/sh",
        env={**os.environ, "HOSEWRIGHT_HOME": str(tmp_path), "TERM": "xterm-256color", "PS1": "shell> "},
        timeout=60,
    )
    shell.expect("shell> ")
    shell.sendline(f"{shlex.quote(sys.executable)} -m hosewright")
    shell.expect("ENTER GOES ON WITH", timeout=60)
    for key, words in (("", "ENTER GOES ON WITH"), ("s", "m adds one")):
        shell.send(key)
        if key:
            shell.expect_exact(words)
        shell.send(CTRL_Z)
        shell.expect("shell> ")
        shell.sendline("fg")
        shell.expect_exact(words)
    shell.send("\x1b")
    shell.expect("ENTER GOES ON WITH")
    shell.send("q")
    shell.expect("shell> ")
    shell.sendline("echo code=$?")
    shell.expect("code=0")
    shell.close(force=True)
