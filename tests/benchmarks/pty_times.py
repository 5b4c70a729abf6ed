"""Times taken at the far end of a real pty, where a person sits."""

from __future__ import annotations

import os
import select
import time
from typing import TYPE_CHECKING

import pexpect

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

QUIET_S = 0.25  # without a byte for so long, all of it is there: less than a cursor takes to blink


def _spawn(command: Sequence[str], home: Path) -> pexpect.spawn[bytes]:
    environment = {**os.environ, "TERM": "xterm-256color", "LANG": "C.UTF-8", "HOSEWRIGHT_HOME": str(home)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # what is installed has its bytecode
    return pexpect.spawn(
        command[0], list(command[1:]), env=environment, dimensions=(40, 120), timeout=60, maxread=1 << 20
    )


def first_frames_ms(command: Sequence[str], home: Path, *words: str) -> list[float]:
    """From the start of the process to each of the ``words`` on the screen, in the order they come."""
    start = time.perf_counter()
    child = _spawn(command, home)
    taken = []
    for said in words:
        child.expect_exact(said)
        taken.append((time.perf_counter() - start) * 1000)
    child.kill(9)
    child.wait()
    return taken


def peak_mib(command: Sequence[str], home: Path, words: str, keys: Sequence[str]) -> float:
    """The most memory the process held, after ``words`` and ``keys``, in MiB (Linux only: VmHWM)."""
    child = _spawn(command, home)
    child.expect_exact(words)
    for key in keys:
        child.send(key)
        _drain(child, 0.5)
    with open(f"/proc/{child.pid}/status", encoding="ascii") as status:  # noqa: PTH123 - a kernel file
        line = next(line for line in status if line.startswith("VmHWM"))
    child.kill(9)
    child.wait()
    return int(line.split()[1]) / 1024


def key_to_paint_ms(
    command: Sequence[str], home: Path, words: str, keys: Sequence[str], hz: float, n: int
) -> list[float]:
    """For each of ``n`` presses of Space, ``hz`` a second (0: as soon as the last is painted), until output comes."""
    child = _spawn(command, home)
    child.expect_exact(words)
    _drain(child, 0.4)
    for key in keys:
        child.send(key)
        _drain(child, 0.6)
    taken = []
    for _ in range(n):
        start = time.perf_counter()
        os.write(child.child_fd, b" ")
        if not select.select([child.child_fd], [], [], 5)[0]:
            raise RuntimeError(f"no paint after a press of {command}")
        os.read(child.child_fd, 1 << 20)
        taken.append((time.perf_counter() - start) * 1000)
        while select.select([child.child_fd], [], [], 0.006)[0]:  # the rest of the frame
            os.read(child.child_fd, 1 << 20)
        if hz:
            time.sleep(max(0.0, 1 / hz - (time.perf_counter() - start)))
    child.kill(9)
    child.wait()
    return taken


def follow_ms(bench: Sequence[str], second: Sequence[str], home: Path, words: str, n: int) -> list[float]:
    """For each of ``n`` presses of Space on a bench, until a ``second`` screen shows the row."""
    counting = _spawn(bench, home)
    counting.expect_exact(words)
    counting.send("\r")
    _drain(counting, 1.0)
    looking = _spawn(second, home)
    _drain(looking, 2.0)
    taken = []
    for _ in range(n):
        start = time.perf_counter()
        os.write(counting.child_fd, b" ")
        if not select.select([looking.child_fd], [], [], 5)[0]:
            raise RuntimeError("the second screen does not follow")
        taken.append((time.perf_counter() - start) * 1000)
        _drain(looking, 0.15)
        _drain(counting, 0.15)
    for child in (counting, looking):
        child.kill(9)
        child.wait()
    return taken


def letters_ms(command: Sequence[str], home: Path, words: str, keys: Sequence[str], letters: str) -> list[float]:
    """For each of ``letters``, typed once the one before is painted, until the last of what it paints has come."""
    child = _spawn(command, home)
    child.expect_exact(words)
    _drain(child, 0.6)
    for key in keys:
        child.send(key)
        _drain(child, 0.45)  # the cursor blinks every half second
    taken = []
    for letter in letters:
        start = last = time.perf_counter()
        os.write(child.child_fd, letter.encode())
        while select.select([child.child_fd], [], [], QUIET_S)[0]:
            os.read(child.child_fd, 1 << 20)
            last = time.perf_counter()
        taken.append((last - start) * 1000)
    child.kill(9)
    child.wait()
    return taken


def page_ms(
    command: Sequence[str],
    home: Path,
    words: str,
    keys: Sequence[tuple[str, str]],
    key: str,
    said: Sequence[str],
) -> list[float]:
    """From ``key``, after ``words`` and ``keys``, to each of what is ``said`` then, in the order it comes.

    Each of ``keys`` comes with what it has said before the next is pressed, empty for nothing.
    """
    child = _spawn(command, home)
    child.expect_exact(words)
    _drain(child, 0.4)
    for one, answer in keys:
        child.send(one)
        if answer:
            child.expect_exact(answer.encode())
        _drain(child, 0.45)  # the cursor blinks every half second
        child.buffer = b""  # what was painted before answers no key
    start = time.perf_counter()
    child.send(key)
    taken = []
    for what in said:
        child.expect_exact(what.encode())
        taken.append((time.perf_counter() - start) * 1000)
    child.kill(9)
    child.wait()
    return taken


def burst_ms(command: Sequence[str], home: Path, words: str, keys: Sequence[str], presses: int, seen: str) -> float:
    """From ``presses`` spaces in one write to ``seen`` on the screen."""
    child = _spawn(command, home)
    child.expect_exact(words)
    _drain(child, 0.4)
    for key in keys:
        child.send(key)
        _drain(child, 0.6)
    start = time.perf_counter()
    os.write(child.child_fd, b" " * presses)
    child.expect_exact(seen)
    taken = (time.perf_counter() - start) * 1000
    child.kill(9)
    child.wait()
    return taken


def _drain(child: pexpect.spawn[bytes], seconds: float) -> None:
    try:
        while True:
            child.read_nonblocking(1 << 20, timeout=seconds)
    except (pexpect.TIMEOUT, pexpect.EOF):
        return
