"""A power cut, anywhere in a recorded deed: what a disk may then hold, and whether a logbook opened from it is whole.

A disk keeps what it was told to sync. Of what was written since, any part may be there: in another order, torn by
sectors of 512 bytes, as rubbish. Of files made, renamed and removed since their folder was synced, the last ones may be
undone (a file system keeps those in order). Each such state is laid out in a folder and opened.
"""

from __future__ import annotations

import random
import re
import shutil
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.logbook.upkeep.restoring import contents_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from tests.faults.traced import Call

SECTOR = 512
Change = tuple[int, bytes | None]  # where, and what is written there; None: the file is cut to that length


@dataclass(slots=True)
class _File:
    """``sure`` is on the disk; ``loose`` was written since, in order."""

    sure: bytes = b""
    loose: list[Change] = field(default_factory=list)

    def now(self) -> bytes:
        return _applied(self.sure, self.loose)


@dataclass(slots=True)
class Disk:
    """A folder as the disk has it: names of files, and those changed since the folder was synced."""

    root: Path
    files: list[_File] = field(default_factory=list)
    sure: dict[str, int] = field(default_factory=dict)
    loose: list[dict[str, int]] = field(default_factory=list)
    opened: dict[int, int | str] = field(default_factory=dict)  # by descriptor: a file, or the name of a folder
    said: list[str] = field(default_factory=list)

    @classmethod
    def holding(cls, folder: Path) -> Disk:
        """What lies in a folder now, all of it on the disk."""
        disk = cls(folder)
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                disk.sure[str(path.relative_to(folder))] = len(disk.files)
                disk.files.append(_File(path.read_bytes()))
        return disk

    @property
    def names(self) -> dict[str, int]:
        """The names as a running system has them."""
        return self.loose[-1] if self.loose else self.sure

    def take(self, call: Call) -> None:
        """Let one system call happen."""
        name = self._inside(call.strings[0]) if call.strings and not call.name.startswith(("write", "pwrite")) else None
        match call.name:
            case "openat" | "creat" if name is not None:
                self._open(name, call)
            case "close":
                self.opened.pop(call.numbers[0], None)
            case "write" if call.numbers[0] == 1:
                self.said += call.strings[0].decode().splitlines()
            case "write" | "pwrite64":
                self._write(call)
            case "ftruncate":
                if (file := self._file(call.numbers[0])) is not None:
                    file.loose.append((call.numbers[1], None))
            case "fsync" | "fdatasync":
                self._sync(call.numbers[0])
            case "rename" | "renameat" | "renameat2" if name is not None:
                names = dict(self.names)
                target = self._inside(call.strings[1])
                assert target is not None
                names[target] = names.pop(name)
                self.loose.append(names)
            case "unlink" | "unlinkat" if name in self.names:
                self.loose.append({known: at for known, at in self.names.items() if known != name})

    def _inside(self, path: bytes) -> str | None:
        try:
            return str(Path(path.decode()).relative_to(self.root))
        except ValueError:
            return None

    def _open(self, name: str, call: Call) -> None:
        if "O_DIRECTORY" in call.flags or name == "." or (self.root / name).is_dir():
            self.opened[call.result] = name
            return
        if name not in self.names:
            if "O_CREAT" not in call.flags:
                self.opened[call.result] = name  # a folder made since
                return
            self.files.append(_File())
            self.loose.append({**self.names, name: len(self.files) - 1})
        at = self.names[name]
        if "O_TRUNC" in call.flags and self.files[at].now():
            self.files[at].loose.append((0, None))
        self.opened[call.result] = at

    def _file(self, descriptor: int) -> _File | None:
        at = self.opened.get(descriptor)
        return self.files[at] if isinstance(at, int) else None

    def _write(self, call: Call) -> None:
        file = self._file(call.numbers[0])
        if file is None:
            return
        place = (
            call.numbers[2] if call.name == "pwrite64" else len(file.now())
        )  # plain ones write a file from its start
        file.loose.append((place, call.strings[0][: call.result]))

    def _sync(self, descriptor: int) -> None:
        at = self.opened.get(descriptor)
        if isinstance(at, int):
            self.files[at] = _File(self.files[at].now())
        elif at is not None and self.loose:
            self.sure, self.loose = self.loose[-1], []

    def after_a_cut(self, rng: random.Random) -> dict[str, bytes]:
        """One of the states a power cut may leave: names and contents."""
        names = rng.choice([self.sure, *self.loose])
        return {name: _torn(self.files[at], rng) for name, at in names.items() if not name.endswith("-shm")}


def _applied(content: bytes, changes: Sequence[Change]) -> bytes:
    held = bytearray(content)
    for place, data in changes:
        if data is None:
            held = held[:place] if len(held) >= place else held + bytes(place - len(held))
        else:
            held += bytes(max(0, place - len(held)))
            held[place : place + len(data)] = data
    return bytes(held)


def _torn(file: _File, rng: random.Random) -> bytes:
    if not file.loose:
        return file.sure
    way = rng.choice(("all", "none", "some", "some", "sectors", "rubbish"))
    if way == "all":
        return file.now()
    if way == "none":
        return file.sure
    kept: list[Change] = []
    for place, data in file.loose:
        if data is None or way == "some":
            kept += [(place, data)] if rng.random() < 0.5 else []
            continue
        for at in range(0, len(data), SECTOR):
            there, part = rng.random(), data[at : at + SECTOR]
            if there < 0.5:
                kept.append((place + at, part))
            elif there < 0.7 and way == "rubbish":
                kept.append((place + at, rng.randbytes(len(part))))
    return _applied(file.sure, kept)


# --- what must hold afterwards ---------------------------------------------------------------------------------------


class Check(Protocol):
    """Whether a folder that a cut left is whole, ``said`` being what was shown before; else what is wrong."""

    def __call__(self, folder: Path, said: list[str], all_said: list[str]) -> str: ...


def rows_stand(folder: Path, said: list[str], all_said: list[str]) -> str:
    """No event that was shown is missing, none is there that was not about to be, and the check passes."""
    shown, about = _last_shown(said), _last_shown(all_said)
    path = folder / "logbook.sqlite"
    if not shown and not path.exists():
        return ""
    try:
        with closing(Logbook.for_counting(path)) as book:
            fault = book.held_against_seal()
            book.break_seal(fault)
            faults = [] if book.store.why_read_only else find_damage(book)[1]
            stored = {line.id: book.state(line).last_seq for line in book.lines()}
    except LogbookError as error:
        return f"{error}" if shown else ""
    if faults or fault:
        return f"{faults} {fault}"
    for session, seq in shown.items():
        if stored.get(session, 0) < seq:
            return f"{session}: {seq} events were shown, {stored.get(session, 0)} are there"
    for session, seq in stored.items():
        if seq > max(about.get(session, 0), shown.get(session, 0)):
            return f"{session}: {seq} events are there, {about.get(session, 0)} were ever made"
    return ""


def files_are_whole(folder: Path, said: list[str], all_said: list[str]) -> str:
    """What was said to be written is there, whole; and the logbook stands."""
    for name in (line.removeprefix("whole ") for line in said if line.startswith("whole ")):
        path = folder / name
        if not path.is_file():
            return f"{name} is missing"
        if path.suffix == ".json" and not path.read_text(encoding="utf-8").rstrip().endswith("}"):
            return f"{name} is torn"
        if path.suffix == ".sqlite" and contents_of(path) is None:
            return f"{name} cannot be read"
    return rows_stand(folder, said, all_said)


def settings_stand(folder: Path, said: list[str], all_said: list[str]) -> str:
    """The settings are those last said, or those about to be."""
    path, gaps = folder / "settings.toml", [line.split()[1] for line in all_said if line.startswith("gap")]
    done = sum(line.startswith("gap") for line in said)
    text = path.read_text(encoding="utf-8", errors="replace") if path.exists() else ""
    found = re.search(r"^press_gap_ms = (\d+)", text, re.MULTILINE)
    fits = gaps[max(0, done - 1) : done + 1] + ([] if done else [""])
    return "" if (found[1] if found else "") in fits else f"after {done} changes the file says {text[:80]!r}"


def _last_shown(said: list[str]) -> dict[str, int]:
    shown: dict[str, int] = {}
    for line in said:
        if line.startswith("shown "):
            _, session, seq = line.split()
            shown[session] = int(seq)
    return shown


@dataclass(slots=True)
class Found:
    """How many states were tried, and what was wrong with the bad ones."""

    states: int = 0
    bad: list[str] = field(default_factory=list)


def try_states(before: Path, calls: Sequence[Call], folder: Path, check: Check, number: int, seed: int) -> Found:
    """Cut the power ``number`` times at random places of what was recorded from ``before`` on.

    ``before`` holds what lay there when the deed began, at the place it then lay.
    """
    rng, found = random.Random(seed), Found()
    whole = Disk.holding(before)
    for call in calls:
        whole.take(call)
    last = max(at for at, call in enumerate(calls, 1) if call.name not in ("openat", "close"))
    first = next(at for at, call in enumerate(calls) if call.strings and bytes(before) in call.strings[0])
    cuts = sorted(rng.randrange(first, last + 1) for _ in range(number))
    disk, at = Disk.holding(before), 0
    for cut in cuts:
        for call in calls[at:cut]:
            disk.take(call)
        at = cut
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        for name, content in disk.after_a_cut(rng).items():
            (folder / name).parent.mkdir(exist_ok=True, parents=True)
            (folder / name).write_bytes(content)
        found.states += 1
        wrong = check(folder, disk.said, whole.said)
        if wrong:
            found.bad.append(f"cut {cut}: {wrong}")
    return found


DEEDS: dict[str, Check] = {
    "crank": rows_stand,
    "checkpoint": rows_stand,
    "migrate": rows_stand,
    "backup": files_are_whole,
    "export": files_are_whole,
    "settings": settings_stand,
}


def run(deed: str, folder: Path, lay_out: Callable[[Path], None], number: int, seed: int, **environment: str) -> Found:
    """Record a deed done where ``lay_out`` prepared, and cut the power ``number`` times."""
    from tests.faults.traced import record

    home, before = folder / "home", folder / "before"
    home.mkdir()
    lay_out(home)
    shutil.copytree(home, before)
    calls = record(deed, home, folder / "trace", **environment)
    shutil.rmtree(home)
    shutil.move(before, home)
    return try_states(home, calls, folder / "cut", DEEDS[deed], number, seed)
