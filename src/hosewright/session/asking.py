"""What a question is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Asking:
    """How a question reads, an example of an answer, and what is said when it was taken.

    ``how``: how it is answered, in sentences, where an example does not say it.
    """

    words: str
    hint: str
    done: str
    yes_or_no: bool = False
    how: str = ""
