"""What a logbook's file was when it was last closed, to the byte: a sum kept beside it while nobody has it open.

SQLite's own check sees a torn tree, not a changed letter. The seal is broken before the file first changes and made
anew when it is closed, so that one that is there and does not fit tells of damage, or of another program.
"""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from typing import TYPE_CHECKING

from hosewright.places import closed_to_others, sync_folder

if TYPE_CHECKING:
    from pathlib import Path

_AT_ONCE = 1 << 20  # bytes


def seal_of(logbook: Path) -> Path:
    """Where the seal of ``logbook`` lies."""
    return logbook.with_name(f"{logbook.name}.seal")


def is_sealed(logbook: Path) -> bool:
    """Whether a seal says what the file should be."""
    return seal_of(logbook).exists()


def fault_of(logbook: Path) -> str:
    """What the seal says against the file, without a full stop; empty when it fits or there is none. Raises OSError."""
    try:
        told = seal_of(logbook).read_bytes()
    except FileNotFoundError:
        return ""
    if told == _sum(logbook):
        return ""
    return "the file is not as hosewright left it: a damaged place, or another program wrote to it"


def put_on(logbook: Path) -> None:
    """Seal a closed logbook. What cannot be sealed stays without: nothing is lost by that."""
    part = logbook.with_name(f".{logbook.name}.seal.part")
    with suppress(OSError):
        with open(part, "wb", opener=closed_to_others) as file:
            file.write(_sum(logbook))
            file.flush()
            os.fsync(file.fileno())  # half a seal after a power cut would cry damage
        part.replace(seal_of(logbook))


def take_off(logbook: Path) -> None:
    """Break the seal, on the disk too, before the file changes: an old one would cry damage. Raises OSError."""
    seal_of(logbook).unlink(missing_ok=True)
    sync_folder(logbook.parent)


def _sum(path: Path) -> bytes:
    worked = hashlib.sha256()
    with path.open("rb") as file:
        while part := file.read(_AT_ONCE):
            worked.update(part)
    return worked.hexdigest().encode() + b"\n"
