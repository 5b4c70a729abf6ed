"""What stands in the write-ahead log beside a logbook, read by its own format.

SQLite reads the log up to the first frame that does not fit and says nothing of what follows. After a kill that is
right: a change that was never finished follows. After a damaged byte it drops rows that were shown. The layout is that
of sqlite.org/fileformat2.html, section 4, and sqlite.org/walformat.html, section 2.
"""

from __future__ import annotations

import os
import sys
import time
from array import array
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path

_HEADER, _FRAME = 32, 24  # bytes
_SECTOR = 512  # bytes: what a disk writes whole or not at all
_MAGIC = {0x377F0682: "little", 0x377F0683: "big"}  # the order in which the words of checksums are read
_MOST_FRAME_AT = 16  # of the index in shared memory: how many frames SQLite reads, in the machine's own order
_MEANWHILE_S = 0.02
LOST = "a damaged place in its log: the last {} changes cannot be read"
CUT_SHORT = "the end of its log cannot be read: a change that was cut short, or a damaged place"


@dataclass(frozen=True, slots=True)
class LogFrame:
    """One page of a change: its place in the log, the ``page`` it holds, and whether it ends a change (``commit``)."""

    number: int
    page: int
    commit: int
    head: bytes
    content: bytes


@dataclass(frozen=True, slots=True)
class Log:
    """A log with a sound header."""

    path: Path
    order: str
    page_size: int
    salts: tuple[bytes, bytes]
    sums: tuple[int, int]

    def frames(self, *, contents: bool = True) -> Iterator[LogFrame]:
        """The frames of the present log, those left over from an earlier one excepted.

        One of the two salts is enough to belong to it: the other may be what is damaged.
        """
        with self.path.open("rb") as file:
            number = 0
            while True:
                file.seek(_HEADER + number * (_FRAME + self.page_size))
                head = file.read(_FRAME)
                if len(head) < _FRAME:
                    return
                number += 1
                if head[8:12] == self.salts[0] or head[12:16] == self.salts[1]:
                    content = file.read(self.page_size) if contents else b""
                    yield LogFrame(number, _number(head[:4]), _number(head[4:8]), head, content)

    def sound_frames(self) -> Iterator[LogFrame]:
        """Those whose own checksum holds, also after one whose does not."""
        sums, last = self.sums, 0
        for frame in self.frames():
            if len(frame.content) == self.page_size and frame.number == last + 1:
                told = (_number(frame.head[16:20]), _number(frame.head[20:24]))
                worked = _checksum(frame.head[:8], sums, self.order)
                if _checksum(frame.content, worked, self.order) == told and self._salted(frame):
                    yield frame
            sums, last = (_number(frame.head[16:20]), _number(frame.head[20:24])), frame.number

    def _salted(self, frame: LogFrame) -> bool:
        return (frame.head[8:12], frame.head[12:16]) == self.salts


def read_log(logbook: Path) -> Log | None:
    """The log beside ``logbook``; None when there is none. Raises ValueError when its header is damaged, or OSError."""
    path = logbook.with_name(f"{logbook.name}-wal")
    if not path.exists() or path.stat().st_size == 0:
        return None
    with path.open("rb") as file:
        header = file.read(_HEADER)
    order = _MAGIC.get(_number(header[:4]))
    sums = (_number(header[24:28]), _number(header[28:32]))
    if len(header) < _HEADER or order is None or _checksum(header[:24], (0, 0), order) != sums:
        raise ValueError("the header of its log is damaged, so nothing in the log can be read")
    return Log(path, order, _number(header[8:12]), (header[16:20], header[20:24]), sums)


def damage_of(logbook: Path, db: sqlite3.Connection) -> str:
    """What is wrong with the log of ``logbook``, which ``db`` has open; empty when SQLite reads all of it."""
    try:
        unread = _unread(logbook, db)
        while unread:
            time.sleep(_MEANWHILE_S)  # a bench may be writing it just now
            known, unread = unread, _unread(logbook, db)
            if unread == known:
                break
    except ValueError as error:
        return CUT_SHORT if _all_in_file(logbook) else str(error)
    if not unread:
        return ""
    changes = sum(1 for frame in unread if frame.commit)
    return LOST.format(changes) if changes > 1 else CUT_SHORT


def _unread(logbook: Path, db: sqlite3.Connection) -> list[LogFrame]:
    """The frames of its log that SQLite does not read. Raises ValueError when nothing of it can be read."""
    log = read_log(logbook)
    read = _frames_read(logbook, db) if log else None
    if log is None or read is None:
        return []
    return [frame for frame in log.frames(contents=False) if frame.number > read]


def _frames_read(logbook: Path, db: sqlite3.Connection) -> int | None:
    """How many frames of the log SQLite reads; None where it keeps no index of it beside the file."""
    db.execute("BEGIN")
    try:
        db.execute("SELECT count(*) FROM sqlite_master").fetchone()  # only a reader has the index brought up to date
        with logbook.with_name(f"{logbook.name}-shm").open("rb") as index:
            index.seek(_MOST_FRAME_AT)
            return int.from_bytes(index.read(4), sys.byteorder)
    except OSError:
        return None
    finally:
        db.execute("ROLLBACK")


def _all_in_file(logbook: Path) -> bool:
    """Whether the file holds every page that stands in its log, whose header cannot be read: then nothing is lost.

    That is what a power cut leaves where SQLite had just carried the log into the file, and was writing a new header.
    The sector that tore holds the head of the first frame and the start of its page, too: of that one only the rest is
    compared, with whatever page is like it. Raises OSError.
    """
    with logbook.open("rb") as file, logbook.with_name(f"{logbook.name}-wal").open("rb") as log:
        size = int.from_bytes(file.read(18)[16:], "big")
        size = 65536 if size == 1 else size
        places = range(_HEADER, os.fstat(log.fileno()).st_size - _FRAME - size + 1, _FRAME + size)
        heads = [os.pread(log.fileno(), _FRAME, at) for at in places]
        salts = heads[1][8:16] if len(heads) > 1 else b""
        newest: dict[int, int] = {}
        committed: dict[int, int] = {}
        for at, head in zip(places, heads, strict=True):
            if head[8:16] != salts:
                if at == _HEADER:
                    continue
                break
            newest[_number(head[:4])] = at + _FRAME
            if _number(head[4:8]):
                committed = dict(newest)
        torn = _SECTOR - _HEADER - _FRAME
        first = os.pread(log.fileno(), size, _HEADER + _FRAME)[torn:]

        def is_in_file(page: int, at: int) -> bool:
            there = os.pread(file.fileno(), size, (page - 1) * size)
            return there == os.pread(log.fileno(), size, at) or there[torn:] == first

        if committed:
            return all(is_in_file(page, at) for page, at in committed.items())
        pages = os.fstat(file.fileno()).st_size // size
        return any(os.pread(file.fileno(), size, page * size)[torn:] == first for page in range(pages))


def lay_over(copy: Path, log: Log) -> None:
    """Write every page that the log still holds whole into ``copy`` of its logbook, past a damaged place too.

    Raises OSError. The copy may not fit together: it is for reading what can be read.
    """
    frames = list(log.sound_frames())
    last = max((at for at, frame in enumerate(frames, 1) if frame.commit), default=0)
    with copy.open("rb+") as file:
        for frame in frames[:last]:
            file.seek((frame.page - 1) * log.page_size)
            file.write(frame.content)
        if last:
            pages = frames[last - 1].commit
            file.truncate(pages * log.page_size)


def _number(four: bytes) -> int:
    return int.from_bytes(four, "big")


def _checksum(data: bytes, sums: tuple[int, int], order: str) -> tuple[int, int]:
    """The running checksum of a log over ``data``, a whole number of 8 bytes (fileformat2.html, section 4.2)."""
    words = array("I", data)
    if order != sys.byteorder:
        words.byteswap()
    first, second = sums
    for at in range(0, len(words), 2):
        first = (first + words[at] + second) & 0xFFFFFFFF
        second = (second + words[at + 1] + first) & 0xFFFFFFFF
    return first, second
