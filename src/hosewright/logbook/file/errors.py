"""What can go wrong with the logbook's file, in words for the person."""

from __future__ import annotations

from hosewright.phrases.harmless import harmless

_WORDS = {
    "database or disk is full": "the disk is full",
    "attempt to write a readonly database": "the file or its folder is read-only",
    "unable to open database file": "the folder is missing or may not be entered",
    "file is not a database": "the file is not a database",
    "database is locked": "another program is writing to it",
    "database disk image is malformed": "the file is damaged",
    "disk I/O error": "the disk gave an error (disk I/O error)",
    "UNIQUE constraint failed: events.session, events.seq": "this session was added to elsewhere; open it again",
}


class LogbookError(Exception):
    """The logbook cannot do what was asked; ``str(error)`` is a sentence for the person."""

    def __init__(self, sentence: str) -> None:
        super().__init__(harmless(sentence))  # it may name a file, and a file may be named anything


class DamagedError(LogbookError):
    """The logbook's file cannot be read, and a backup may help."""


class ReadOnlyError(LogbookError):
    """The logbook is open read-only; the sentence says why."""


def unreadable(kind: str) -> LogbookError:
    """What to raise for a thing on the shelf that is damaged."""
    return LogbookError(f"A {kind} in this logbook cannot be read; `hosewright logbook check` says which.")


def plain(error: Exception) -> str:
    """An error of SQLite or of the system in the words of a person, without a full stop."""
    if isinstance(error, UnicodeDecodeError):
        return "a byte in it is not text"
    said = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    words = _WORDS.get(said, said).rstrip(".")
    return words[:1].lower() + words[1:] if words[1:2].islower() else words
