"""One entry of the catalogue."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Said:
    """All that is said of a step.

    ``do`` is what the hands do and ``why``; ``look`` is what to look for and ``wrong`` what to do when it is not so, in
    which a key is named by its command in braces. In ``do`` braces stand for what the session knows, such as {dial}.
    ``caution``: how someone can be hurt, each danger a sentence or two. ``cue`` announces the step, as the end of "in
    3 rows ..."; without one its title does.
    """

    title: str = ""
    do: str = ""
    why: str = ""
    look: str = ""
    wrong: str = ""
    caution: tuple[str, ...] = ()
    cue: str = ""
