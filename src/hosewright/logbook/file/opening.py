"""Opening the logbook's file: looked over without a single byte written, then made ready for what its place allows."""

from __future__ import annotations

import errno
import os
import re
import shutil
import sqlite3
import sys
from contextlib import closing, contextmanager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from hosewright.logbook.file import log as wal
from hosewright.logbook.file.backups import keep_before_change, kept
from hosewright.logbook.file.errors import DamagedError, LogbookError, plain
from hosewright.logbook.file.lock import BenchLock, HeldError
from hosewright.logbook.file.schema import APPLICATION_ID, VERSION, NewerLogbookError, migrate, names_of, version_of
from hosewright.places import make_private

if TYPE_CHECKING:
    from collections.abc import Iterator


# 4 MB: the log is folded in between the parts of a sock, and seldom while cranking. Then it is begun again from its
# start: a press into a log that need not grow is stored in 160 us instead of 240.
CHECKPOINT_PAGES = 1000
COMMITS_IN_LOG = 500  # of a press each, some 600 pages; then it is carried over without waiting for a pause
BUSY_S = 5
_LEAST_ROOM = 128 * 1024  # bytes: SQLite's notes beside the file take 32 kB, a log its first pages


@dataclass(slots=True)
class OpenFile:
    """An open logbook file. ``why_read_only``: why nothing may be written, empty when it may be.

    ``notes`` are sentences about the place it lies in; ``places`` are the files that must stay where they are.
    ``cut_short``: the end of its log cannot be read, and is to be let go once the file may change.
    """

    db: sqlite3.Connection
    path: Path
    why_read_only: str = ""
    notes: list[str] = field(default_factory=list)
    places: dict[Path, tuple[int, int]] = field(default_factory=dict)
    cut_short: bool = False
    size: int = 0

    def shrunk(self) -> bool:
        """Whether something else emptied the file or cut it short: by itself it only grows while it is open."""
        try:
            size = self.path.stat().st_size
        except OSError:
            return False  # it is not in its place, which is another matter
        self.size, before = max(size, self.size), self.size
        return size < before

    def still_there(self) -> bool:
        """Whether what is written now goes where it is looked for next time.

        A file deleted, moved or replaced while open takes writes without a murmur, and they are gone at the end.
        """
        return all(_identity(path) == known for path, known in self.places.items())


def open_file(path: Path, why_read_only: str = "", *, locked: bool = False) -> OpenFile:
    """Open the logbook at ``path``, making it when it is not there; only for looking with a ``why_read_only``.

    ``locked``: the one who opens it holds its lock, so that no bench is at it. A file that cannot be used is left as it
    is, to the byte. Raises LogbookError.
    """
    cut_short = ""
    try:
        new = _make_place(path, looking=bool(why_read_only))
        why = why_read_only or ("" if new else _read_only(path))
        drive = network_drive(path)
        if not new:
            _refuse_what_was_emptied(path)
            if path.stat().st_size and not drive:
                cut_short = _look_over(path, why)
        opened = _open_for_looking(path, why) if why else _open_for_use(path, drive, locked=locked)
    except NewerLogbookError as error:
        raise LogbookError(str(error)) from error
    except OSError as error:
        raise LogbookError(f"The logbook {path} cannot be opened: {plain(error)}.") from error
    except (sqlite3.Error, UnicodeDecodeError) as error:
        if _disk_is_full(path):
            return _open_on_a_full_disk(path)
        if isinstance(error, sqlite3.OperationalError):  # it is only locked, or out of reach
            raise LogbookError(f"The logbook {path} cannot be read: {plain(error)}.") from error
        raise _damaged(path, f"cannot be read: {plain(error)}") from error
    if cut_short:
        opened.cut_short = True
        opened.notes.append(
            f"In the logbook {cut_short}. Look whether the last row is counted; `=` puts a count right."
        )
    return opened


def needs_a_writer(path: Path) -> bool:
    """Whether a logbook can be read only after it was written to: of an older version, or its last change cut short."""
    try:
        if path.stat().st_size == 0 or holds_beside(path, "-journal"):
            return True
        with closing(_connect(path, "mode=ro")) as db:
            return 0 <= version_of(db) < VERSION
    except (OSError, sqlite3.Error, NewerLogbookError):
        return False  # opening it says what is wrong


def _damaged(path: Path, what: str) -> DamagedError:
    """What to raise for a file that is no whole logbook, with what helps. ``what`` follows "The logbook PATH"."""
    newest = f", the newest {kept(path)[-1].name}" if kept(path) else ""
    return DamagedError(
        f"The logbook {path} {what}. It was not touched. `hosewright logbook rescue {path}` brings out what can be "
        f"read; `hosewright logbook restore` lists the backups{newest}."
    )


def _disk_is_full(path: Path) -> bool:
    try:
        return shutil.disk_usage(path.parent).free < _LEAST_ROOM
    except OSError:
        return False


def _open_on_a_full_disk(path: Path) -> OpenFile:
    """Open for looking where there is no room for SQLite's own notes beside the file. Raises LogbookError."""
    try:
        if not path.stat().st_size:
            raise LogbookError(
                f"There is no room for a new logbook: the disk of {path.parent} is full. Make room, then start again."
            )
        if holds_beside(path, "-wal"):  # alone at it, SQLite keeps its notes in memory
            db = _connect(path, "mode=rw")
            db.execute("PRAGMA locking_mode = EXCLUSIVE")
        else:
            db = _connect(path, "mode=ro&immutable=1")
        db.execute("PRAGMA query_only = ON")
        db.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except (OSError, sqlite3.Error) as error:
        raise LogbookError(
            f"The disk of {path.parent} is full, and the logbook cannot be opened before there is room on it."
        ) from error
    return OpenFile(
        db,
        path,
        f"The disk of {path.parent} is full, so the logbook is open read-only: nothing can be counted or "
        "changed. Make room, then start again; `hosewright logbook backup FILE` can write to another drive.",
    )


def _make_place(path: Path, *, looking: bool) -> bool:
    """Make folder and file, closed to everyone else from the first moment; whether the file is new."""
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if path.exists() or looking:
        return False
    make_private(path.parent)
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    return True


def _read_only(path: Path) -> str:
    if os.access(path, os.W_OK) and os.access(path.parent, os.W_OK):
        return ""
    what = "folder" if os.access(path, os.W_OK) else "file"
    return (
        f"The {what} of the logbook {path} is read-only, so it is open read-only: nothing can be counted or "
        "changed. Make it writable, then start again."
    )


def _connect(path: Path, how: str) -> sqlite3.Connection:
    address = f"file:{quote(os.fsencode(path.absolute()))}?{how}"
    return sqlite3.connect(address, uri=True, isolation_level=None, timeout=BUSY_S)


def holds_beside(path: Path, end: str) -> bool:
    """Whether SQLite's own file beside the logbook, such as "-wal", is there with anything in it. Raises OSError."""
    beside = path.with_name(f"{path.name}{end}")
    return beside.exists() and beside.stat().st_size > 0


def _look_over(path: Path, why_read_only: str) -> str:
    """Refuse what is not a whole logbook; what to say of the end of its log, without a full stop.

    Nothing is written: a read-only connection never folds the log in.
    """
    _refuse_what_was_cut(path)
    if holds_beside(path, "-journal"):
        return ""  # only a connection that writes can roll the last change back; it looks the file over then
    with closing(_connect(path, _looking(path, why_read_only))) as db:
        _refuse_what_is_no_logbook(db, path)
        fault = wal.damage_of(path, db)
    if fault and fault != wal.CUT_SHORT and not why_read_only:
        raise _damaged(path, f"has {fault}")
    return fault


def _refuse_what_was_emptied(path: Path) -> None:
    """SQLite takes an empty file for a new database, and throws the log beside it away."""
    if path.stat().st_size == 0 and (kept(path) or holds_beside(path, "-wal")):
        raise _damaged(path, "has been emptied: there is nothing in the file")


def _refuse_what_was_cut(path: Path) -> None:
    """SQLite takes a last page cut short for a whole one. Its header is laid out in sqlite.org/fileformat2.html."""
    with path.open("rb") as file:
        header = file.read(100)
    if header[:16] != b"SQLite format 3\0" or header[24:28] != header[92:96] or holds_beside(path, "-wal"):
        return  # the page count in the header holds good only when nothing waits in the log
    page = int.from_bytes(header[16:18], "big")
    pages, size = int.from_bytes(header[28:32], "big"), path.stat().st_size
    if size < pages * (65536 if page == 1 else page):
        raise _damaged(path, "is cut short: the file should be longer")


def _looking(path: Path, why_read_only: str) -> str:
    """How to open for reading. In a folder nothing can be written to, SQLite cannot keep its own notes."""
    still = why_read_only and not os.access(path.parent, os.W_OK) and not holds_beside(path, "-wal")
    return "mode=ro&immutable=1" if still else "mode=ro"


def _refuse_what_is_no_logbook(db: sqlite3.Connection, path: Path) -> None:
    names = {name for (name,) in db.execute("SELECT name FROM sqlite_master")}
    if names and db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise LogbookError(f"{path} is a database, but not a hosewright logbook. It was not touched.")
    have = version_of(db)
    missing = sorted(names_of(have) - names) if names or have else []
    if missing:
        raise _damaged(path, f"is incomplete: a table ({missing[0]}) is missing")


def _open_for_looking(path: Path, why: str) -> OpenFile:
    db = _connect(path, _looking(path, why))
    try:
        db.execute("PRAGMA query_only = ON")
        _refuse_what_is_older(db, path)
    except BaseException:
        db.close()
        raise
    return OpenFile(db, path, why)


def _refuse_what_is_older(db: sqlite3.Connection, path: Path) -> None:
    have = version_of(db)
    if have < VERSION:
        raise LogbookError(
            f"The logbook {path} is of an older version ({have}) and must be brought up to date by a bench that may "
            "write to it; this one may not."
        )


def _open_for_use(path: Path, drive: str, *, locked: bool) -> OpenFile:
    db = sqlite3.connect(path, isolation_level=None, timeout=BUSY_S)
    opened = OpenFile(db, path)
    try:
        db.execute("PRAGMA foreign_keys = ON")
        if drive:  # a log left from a local drive can be folded in only by one that shares nothing with others
            db.execute("PRAGMA locking_mode = EXCLUSIVE")
        _refuse_what_is_no_logbook(db, path)  # before the journal mode, which is written into the file
        if os.name == "posix":
            path.chmod(0o600)
        if _set_journal(opened, drive) == "wal":
            db.execute("PRAGMA synchronous = FULL")
            db.execute(f"PRAGMA wal_autocheckpoint = {CHECKPOINT_PAGES}")
        else:
            db.execute("PRAGMA synchronous = EXTRA")  # the journal's removal must be on the disk too
        if sys.platform == "darwin":
            db.execute("PRAGMA fullfsync = ON")
        if 0 < version_of(db) < VERSION:
            with nullcontext() if locked else _no_bench_at(path):
                keep_before_change(path, db)
                migrate(db)
        else:
            migrate(db)
        opened.size = path.stat().st_size
        files = (path, path.with_name(f"{path.name}-wal"))
        opened.places = {file: known for file in files if (known := _identity(file)) is not None}
    except BaseException:
        db.close()
        raise
    return opened


@contextmanager
def _no_bench_at(path: Path) -> Iterator[None]:
    """A bench that is open counts on the tables as they were when it opened. Raises LogbookError while there is one."""
    try:
        lock = BenchLock(path)
    except HeldError as error:
        raise LogbookError(
            f"The logbook {path} must be brought up to date first, and a bench of an earlier version has it "
            f"open{error.which}. Close that one, then try again."
        ) from error
    except OSError:  # no lock can be made here: then no bench has one, either
        yield
        return
    try:
        yield
    finally:
        lock.release()


def _set_journal(opened: OpenFile, drive: str) -> str:
    """Ask for the write-ahead log where it works, for a rollback journal where it does not; which one it is now."""
    db = opened.db
    mode: str = db.execute(f"PRAGMA journal_mode = {'DELETE' if drive else 'WAL'}").fetchone()[0]
    if drive:
        db.execute("PRAGMA locking_mode = NORMAL")
        db.execute("SELECT count(*) FROM sqlite_master").fetchone()  # the lock is let go at the next read
        where = f"The logbook lies on a network drive ({drive})"
    elif mode != "wal":
        mode = db.execute("PRAGMA journal_mode = DELETE").fetchone()[0]
        where = "The drive of the logbook knows no write-ahead log"
    if mode != "wal":
        opened.notes.append(
            f"{where}: each row is still saved before it is shown, a little slower. Open one bench at a time on it."
        )
    return mode


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


# --- drives on which the write-ahead log does not work ----------------------------------------------------------------


# SQLite: "WAL does not work over a network filesystem" (sqlite.org/wal.html): its index is memory shared by
# processes of one machine. The names are the kernel's own, as /proc/self/mountinfo and mount(8) give them.
_NETWORK = {
    "9p",
    "acfs",
    "afpfs",
    "afs",
    "beegfs",
    "ceph",
    "cifs",
    "coda",
    "davfs",
    "drvfs",
    "fuse.sshfs",
    "gfs2",
    "glusterfs",
    "gpfs",
    "lustre",
    "macfuse",
    "ncpfs",
    "nfs",
    "nfs4",
    "ocfs2",
    "osxfuse",
    "orangefs",
    "prl_fs",
    "smb3",
    "smbfs",
    "vboxsf",
    "virtiofs",
    "vmhgfs",
    "webdav",
}
# FUSE drives that keep their files on this machine.
_LOCAL_FUSE = {"fuse.ntfs-3g", "fuse.exfat", "fuse.encfs", "fuse.gocryptfs", "fuse.cryfs", "fuse.bindfs", "fuse.lxcfs"}
_REMOTE = 4  # DRIVE_REMOTE of the Windows API's GetDriveType
_OCTAL = re.compile(r"\\([0-7]{3})")
_MAC_MOUNT = re.compile(r"^.+? on (?P<point>.+) \((?P<kind>\w+)[,)]")


def network_drive(path: Path) -> str:
    """The kind of network drive ``path`` lies on, such as "nfs4"; empty for a drive of this machine, or unknown."""
    try:
        kind = _kind(path.resolve())
    except (OSError, ValueError):
        return ""
    far = kind in _NETWORK or (kind.startswith("fuse.") and kind not in _LOCAL_FUSE)
    return kind if far else ""


def _kind(path: Path) -> str:
    if sys.platform == "win32":
        import ctypes

        anchor = path.anchor
        far = anchor.startswith("\\\\") or ctypes.windll.kernel32.GetDriveTypeW(anchor) == _REMOTE
        return "smb3" if far else ""
    if sys.platform == "darwin":
        import subprocess

        told = subprocess.run(["/sbin/mount"], capture_output=True, text=True, timeout=2, check=False).stdout
        found = [match for line in told.splitlines() if (match := _MAC_MOUNT.match(line))]
        return _nearest(path, [(match["point"], match["kind"]) for match in found])
    return _nearest(path, mounts(Path("/proc/self/mountinfo").read_text(encoding="utf-8", errors="surrogateescape")))


def mounts(mountinfo: str) -> list[tuple[str, str]]:
    """Mount points and their file-system types, in the order mounted, from the text of /proc/self/mountinfo.

    Its fields are described in proc(5): the fifth is the mount point, the type follows a lone hyphen.
    """
    found = []
    for line in mountinfo.splitlines():
        before, hyphen, after = line.partition(" - ")
        fields, kinds = before.split(" "), after.split(" ")
        if hyphen and len(fields) > 4:
            found.append((_OCTAL.sub(lambda match: chr(int(match[1], 8)), fields[4]), kinds[0]))
    return found


def _nearest(path: Path, found: list[tuple[str, str]]) -> str:
    """The type of the mount that ``path`` is under: the longest point, and of equals the one mounted last."""
    under = os.fspath(path)
    best, kind = "", ""
    for point, its in found:
        inside = under == point or under.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= len(best):
            best, kind = point, its
    return kind
