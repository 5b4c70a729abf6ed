"""Text from outside made fit to be shown. Only the standard library, so that an error can be told without delay."""

from __future__ import annotations

import re

# Control characters drive a terminal, and Textual passes them on. Those of Unicode turn the reading direction about or
# break lines; lone surrogates can be neither stored nor shown.
_CONTROL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb\ud800-\udfff]"
)
LONGEST_TYPED = 4000  # characters of a note
_BREAKS = re.compile(r"[\t\n]+")


def harmless(text: str) -> str:
    """``text`` without control characters, which could drive a terminal."""
    return _CONTROL.sub("", text).strip()


def one_line(text: str) -> str:
    """``text`` made harmless, and on one line."""
    return _BREAKS.sub(" ", harmless(text))
