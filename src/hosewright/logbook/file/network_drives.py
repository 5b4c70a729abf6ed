"""Whether a path lies on a network drive, where SQLite's write-ahead log does not work."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

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
