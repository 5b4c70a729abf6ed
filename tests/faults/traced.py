"""Running a deed under strace: with system calls made to fail, or recorded to the byte."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

# Where the checks run for everybody a skipped test would pass unseen, so there it fails instead.
needs_strace = pytest.mark.skipif(
    shutil.which("strace") is None and not os.environ.get("CI"), reason="strace makes the disk fail"
)

_FILES = (
    *(f"logbook.sqlite{end}" for end in ("", "-wal", "-shm", "-journal", ".lock", ".seal")),
    *("backups", "backups/.logbook-20260103.sqlite.part", "backups/logbook-20260103.sqlite"),
    *("kept.json", "settings.toml"),
)
_RECORDED = (
    "openat,creat,close,write,pwrite64,ftruncate,fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat,mkdir,"
    "mkdirat"
)
_CALL = re.compile(r"^(?:\d+ +)?(?P<name>\w+)\((?P<said>.*)\) += (?P<result>-?\d+)")
_STRING = re.compile(r'"((?:\\x[0-9a-f]{2})*)"(\.\.\.)?')


def run_failing(deed: str, folder: Path, *injected: str, **environment: str) -> list[str]:
    """The lines a deed says while system calls fail, such as "fdatasync:error=EIO:when=7"."""
    faults = [word for rule in injected for word in ("-e", f"inject={rule}")]
    # Only what the deed does to its own files fails: what Python itself opens and writes is left alone.
    for name in ("", *_FILES):
        faults += ["-P", str(folder / name)]
    command = ["strace", "-f", "-qq", "-o", "/dev/null", *faults, sys.executable, "-m", "tests.faults.deeds"]
    ran = subprocess.run(
        [*command, deed, str(folder)],
        capture_output=True,
        text=True,
        check=False,
        timeout=240,
        env={**os.environ, **environment},
    )
    assert "Traceback" not in ran.stderr, ran.stderr
    return ran.stdout.splitlines()


@dataclass(frozen=True, slots=True)
class Call:
    """A system call that succeeded: its name, its numbers and strings in their order, and its result."""

    name: str
    numbers: tuple[int, ...]
    strings: tuple[bytes, ...]
    flags: str
    result: int


def record(deed: str, folder: Path, trace: Path, **environment: str) -> list[Call]:
    """What a deed asked of the system, in order."""
    command = ["strace", "-f", "-qq", "-xx", "-s", "1000000", "-e", f"trace={_RECORDED}", "-o", str(trace)]
    ran = subprocess.run(
        [*command, sys.executable, "-m", "tests.faults.deeds", deed, str(folder)],
        capture_output=True,
        text=True,
        check=False,
        timeout=240,
        env={**os.environ, **environment},
    )
    assert ran.returncode == 0, ran.stderr
    return list(_calls(trace))


def _calls(trace: Path) -> Iterator[Call]:
    unfinished: dict[str, str] = {}
    with trace.open(encoding="ascii") as lines:
        for line in lines:
            process, _, said = line.rstrip("\n").partition(" ")
            said = said.lstrip()
            if said.endswith("<unfinished ...>"):
                unfinished[process] = said.removesuffix("<unfinished ...>")
                continue
            if said.startswith("<... "):
                said = unfinished.pop(process, "") + said.partition("resumed>")[2]
            found = _CALL.match(said)
            if found is None or int(found["result"]) < 0:
                continue
            strings = []
            for string in _STRING.finditer(found["said"]):
                assert not string[2], "strace cut a string"
                strings.append(bytes.fromhex(string[1].replace("\\x", "")))
            plain = _STRING.sub("", found["said"])
            numbers = tuple(int(word) for word in re.findall(r"(?<![\w.])-?\d+(?![\w.])", plain))
            yield Call(found["name"], numbers, tuple(strings), plain, int(found["result"]))
