"""Lost in a heel or toe: a short guide from what the knitter sees to the passes that are cranked."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from hosewright.craft.turning import middle_needle, passes_cranked
from hosewright.craft.units import read_whole
from hosewright.session.answers import LOST
from hosewright.session.events import Recounted
from hosewright.session.words import pass_words

if TYPE_CHECKING:
    from hosewright.craft.turning import Side
    from hosewright.session.steps import CountPasses

MOST_NAMED = 4  # counts to choose from; ours
_CANNOT_TELL = ("-", "?")


class Next(NamedTuple):
    """The next question, by its name in ``LOST`` or, to be sure of ``event``, "sure"; how it reads and is answered."""

    about: str
    words: str = ""
    hint: str = ""
    event: Recounted | None = None


class Guide:
    """The questions one after another, and what was answered so far."""

    def __init__(self, step: CountPasses) -> None:
        self._step = step
        self._column: int | None = None
        self._left: int | None = None
        self._right: int | None = None
        self._carrier: Side | None = None
        self._found: tuple[int, ...] = ()

    def first(self, why: str = "") -> Next:
        """The first question; ``why`` it is asked again."""
        words = f"Stitches in the column of needle {middle_needle(self._step.turning)}:"
        return Next("lost_column", words, f"{why} {LOST['lost_column'].how}" if why else "")

    def take(self, about: str, text: str) -> Next:
        """What comes after this answer. Raises ValueError with a sentence when it cannot be read."""
        turning = self._step.turning
        if about == "lost_column":
            self._column = _number(text, "stitches", 2 * turning.count)
            return Next("lost_left")
        if about == "lost_left":
            self._left = _number(text, "needles", turning.needles)
            return Next("lost_right")
        if about == "lost_right":
            self._right = _number(text, "needles", turning.needles)
            return Next("lost_carrier")
        if about == "lost_carrier":
            self._carrier = _side(text)
            return self._conclude()
        chosen = _number(text, "passes", 2 * turning.count)
        if chosen not in self._found:
            raise ValueError(f"Type {_either(self._found)}.")
        return self._be_sure(chosen)

    def _conclude(self) -> Next:
        if (self._column, self._left, self._right, self._carrier) == (None,) * 4:
            return self.first("With nothing to go by, there is no telling the pass.")
        seen = {"left": self._left, "right": self._right, "carrier": self._carrier}
        self._found = passes_cranked(self._step.turning, column=self._column, **seen)  # type: ignore[arg-type]
        if not self._found:
            return self.first("No pass looks like that: look again.")
        if len(self._found) > MOST_NAMED:
            return self.first("That could be many passes: look at more of it.")
        if len(self._found) == 1:
            return self._be_sure(self._found[0])
        told = " or ".join(f"{n} ({self._stage(n)})" for n in self._found)
        return Next("lost_which", f"Passes cranked, {_either(self._found)}:", f"It is {told}.")

    def _be_sure(self, count: int) -> Next:
        turning = self._step.turning
        wrong = f"By the needles {count}, not {self._column}. " if self._column not in (None, count) else ""
        coming = "all are done"
        if count < turning.count:
            coming = f"next is pass {count + 1}: {pass_words(turning.at(count + 1))}"
        words = f"{wrong}{count} of {turning.count} passes are cranked, {coming}. Set the counter to {count}?"
        return Next("sure", words, event=Recounted(count, "counted in the work", settles=True))

    def _stage(self, n: int) -> str:
        stage = self._step.turning.at(n).stage if 1 <= n <= self._step.turning.count else "plain"
        if stage == "plain":
            return "a plain pass"
        return "needles going up" if stage in ("narrow", "leave") else "needles coming down"


def _number(text: str, what: str, most: int) -> int | None:
    return None if text in _CANNOT_TELL else read_whole(text, what=f"number of {what}", least=0, most=most)


def _side(text: str) -> Side | None:
    said = text.casefold()
    if text in _CANNOT_TELL:
        return None
    if said in ("l", "left"):
        return "left"
    if said in ("r", "right"):
        return "right"
    raise ValueError("Type left or right, or - if you cannot tell.")


def _either(counts: tuple[int, ...]) -> str:
    return " or ".join(str(n) for n in counts)
