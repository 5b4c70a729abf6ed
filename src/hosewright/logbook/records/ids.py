"""Names for things, short enough to type and wide enough that two houses do not meet."""

from __future__ import annotations

import re
import unicodedata
from datetime import UTC, datetime

_LETTERS = "abcdefghjkmnpqrstvwxyz23456789"  # without i, l, o, u, 0, 1: easily misread


def session_id(at_ms: int) -> str:
    """A new session id: the day it began, then six letters."""
    day = datetime.fromtimestamp(at_ms / 1000, UTC).strftime("%Y%m%d")
    return f"{day}-{_tail(6)}"


def shelf_id(name: str) -> str:
    """A new id for a thing on the shelf: its name in plain letters, then four more."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:24].strip("-")
    return f"{words or 'x'}-{_tail(4)}"


def _tail(letters: int) -> str:
    import secrets  # on first use: it loads OpenSSL

    return "".join(secrets.choice(_LETTERS) for _ in range(letters))
