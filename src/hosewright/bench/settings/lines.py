"""The lines of the settings, part by part: what each is called, what it takes, how it is read."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from rich.text import Text

from hosewright.bench.widgets.field import FormField, whole, words
from hosewright.bench.widgets.form import FieldRow
from hosewright.bench.widgets.pick import Pick, PickRow
from hosewright.craft.errors import CraftError
from hosewright.craft.units import read_length
from hosewright.settings.table import LIMITS, MOST_MONEY, MOST_TAPE_MM, USUAL, Settings

if TYPE_CHECKING:
    from collections.abc import Sequence

LEAST_TAPE_MM = 0.05  # ours: a tenth of the half millimetre that a steel rule shows


class Choice(PickRow):
    """A line with a few answers, one of which always holds."""

    def __init__(self, name: str, label: str, hint: str, answers: Sequence[tuple[str, str]], chosen: str) -> None:
        """``answers``: what is shown and what it means."""
        super().__init__(name, label, hint, none="")
        self.first = chosen
        shown = [(cast("str", Text(words, no_wrap=True)), value) for words, value in answers]
        self.pick = Pick(shown, value=chosen, allow_blank=False, id=f"field-{name}", compact=True)

    @property
    def chosen(self) -> str:
        """The answer that holds; a list that is not up yet has none of its own, so the first one does."""
        return super().chosen or self.first


def _number(name: str, label: str, hint: str) -> FormField:
    """A line for a whole number; left empty it takes the usual one."""
    return FormField(name, label, hint, whole(f"number in “{label}”", *LIMITS[name]), empty=getattr(USUAL, name))


def _read_tape(text: str) -> float:
    mm = read_length(text, "mm", what="tape error", most_mm=MOST_TAPE_MM)
    if mm < LEAST_TAPE_MM:
        raise CraftError(f"The tape error is less than {LEAST_TAPE_MM:g} mm: no tape is that good.")
    return mm


_TAPE = FormField(
    "tape_error_mm",
    "Tape is right to",
    "how far off it may be",
    _read_tape,
    lambda mm: f"{mm:g} mm",
    empty=USUAL.tape_error_mm,
)
_NEW_SESSIONS = (
    _number("tube_rows", "Rows of a gauge tube", "{} to {}".format(*LIMITS["tube_rows"])),
    _number("separator_rows", "Separator rows", "before and after, {} to {}".format(*LIMITS["separator_rows"])),
)
_COUNTING = (
    _number("press_gap_ms", "Doubt presses within", "ms; 0 doubts none"),
    _number("pause_after_s", "Pause by itself after", "s without a press; 0 never"),
    _number("cue_rows_ahead", "Show cues ahead", "rows before they are due"),
    _number("weights_every", "Move weights every", "rows or passes; 0 no cue"),
    _number("marker_every", "Hang a marker every", "rows, to count by; 0 no cue"),
    _number("rest_after_min", "Propose a rest after", "minutes; 0 never"),
)
_PAIRS = (
    _number("hours_a_week", "Hours a week", "you have at the machine; 0 not said"),
    _number("off_crank_min", "A sock off the crank", "minutes to graft and wash; 0 not counted"),
    FormField("money", "Money is in", "stands after a price", words("word for money", MOST_MONEY), empty=""),
)
_LENGTHS = (("inches", "in"), ("centimetres", "cm"), ("millimetres", "mm"))
_MASSES = (("grams", "g"), ("ounces", "oz"))
_SHOWS = (("rows of this part", "up"), ("rows left in this part", "down"), ("rows of the whole sock", "sock"))
_BELL = (("rings", "yes"), ("silent", "no"))
_STEPS = (("all steps in a list", "no"), ("one at a time, with its reason", "yes"))
YES_OR_NO = ("bell", "step_by_step")


def lines_of(s: Settings, theme: Choice) -> list[tuple[str, list[Choice | FieldRow]]]:
    """Every line by parts, with what ``s`` has in it; ``theme`` is the line of the themes there are."""

    def field(one: FormField) -> FieldRow:
        return FieldRow(one, one.text(getattr(s, one.name)))

    return [
        (
            "Measuring",
            [
                Choice("length_unit", "Lengths are in", "where no unit is typed", _LENGTHS, s.length_unit),
                Choice("mass_unit", "Masses are in", "where no unit is typed", _MASSES, s.mass_unit),
                field(_TAPE),
            ],
        ),
        (
            "Look and sound",
            [
                theme,
                Choice("bell", "Bell", "", _BELL, "yes" if s.bell else "no"),
                Choice("step_by_step", "Steps are shown", "", _STEPS, "yes" if s.step_by_step else "no"),
            ],
        ),
        ("New tubes and socks", [field(one) for one in _NEW_SESSIONS]),
        (
            "Counting",
            [
                Choice("count_shows", "The count shows", "", _SHOWS, s.count_shows),
                *[field(one) for one in _COUNTING],
            ],
        ),
        ("Pairs promised", [field(one) for one in _PAIRS]),
    ]
