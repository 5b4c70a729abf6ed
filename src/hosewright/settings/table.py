"""What the knitter may set: the table of settings, each said once.

From a line here come the file's comment and order, reading and its limits, the line on the screen (``lines``), and the
pydantic model that says what is wrong, writes, and makes the JSON Schema (``file``).
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import partial
from typing import TYPE_CHECKING, Any, Literal

from hosewright.phrases.lists import listed
from hosewright.session.kinds import LEAST_TUBE_ROWS, MOST_TUBE_ROWS, SEPARATOR_ROWS, TUBE_ROWS

if TYPE_CHECKING:
    from collections.abc import Mapping

MOST_COUNT_KEYS, MOST_KEY, MOST_COMMAND = 8, 30, 40  # keys; characters
MEASURING, LOOK, NEW, COUNTING, ALOUD, PAIRS, SHARED, KEYS = PARTS = (
    "Measuring",
    "Look and sound",
    "New tubes and socks",
    "Counting",
    "Spoken at the machine",
    "Pairs promised",
    "Two laptops",
    "Keys at the machine",
)


# --- the kinds ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of a few words; ``said``: each with what it is called on the screen."""

    said: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class YesNo:
    """True or false, with what each is called on the screen."""

    yes: str
    no: str


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number."""

    least: int
    most: int


@dataclass(frozen=True, slots=True)
class Millimetres:
    """A length in mm; on the screen in any unit."""

    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Words:
    """A text on one line; ``least`` and ``most`` in characters."""

    least: int
    most: int
    example: str = ""


@dataclass(frozen=True, slots=True)
class Keys:
    """Names of keys, one at least."""

    most: int


@dataclass(frozen=True, slots=True)
class MovedKeys:
    """Commands of the session screen, by their names in ``session.commands``, each with the key it moves to."""


Kind = OneOf | YesNo | Whole | Millimetres | Words | Keys | MovedKeys


def fits(kind: Kind, value: Any) -> bool:
    """Whether a value as TOML has it may be set."""
    match kind:
        case OneOf():
            return value in [one for one, _ in kind.said]
        case YesNo():
            return type(value) is bool
        case Whole():
            return type(value) is int and kind.least <= value <= kind.most
        case Millimetres():
            return type(value) in (int, float) and kind.least <= value <= kind.most
        case Words():
            return isinstance(value, str) and kind.least <= len(value) <= kind.most and value.isprintable()
        case Keys():
            return isinstance(value, list) and 1 <= len(value) <= kind.most and all(map(_is_key, value))
        case MovedKeys():
            commands = isinstance(value, dict) and all(len(command) <= MOST_COMMAND for command in value)
            return commands and all(map(_is_key, value.values()))


def _is_key(value: Any) -> bool:
    return isinstance(value, str) and 1 <= len(value) <= MOST_KEY


def limits(kind: Kind) -> str:
    """Which values may be set, in words."""
    match kind:
        case OneOf():
            return listed([value for value, _ in kind.said], "or")
        case YesNo():
            return "true or false"
        case Whole():
            return f"{kind.least} to {kind.most}"
        case Millimetres():
            return f"{kind.least:g} to {kind.most:g} mm"
        case Words():
            return f"{kind.least} to {kind.most} characters"
        case Keys():
            return f"1 to {kind.most} keys"
        case MovedKeys():
            return 'lines such as pause = "q"'


@dataclass(frozen=True, slots=True)
class Setting:
    """One line of the table.

    ``usual``: the default. ``label`` and ``help`` stand on the screen, in the ``part``; ``comment`` in the file, with
    the limits behind it. ``cue``: what is done every so many rows, where it says how many.
    """

    name: str
    usual: Any
    kind: Kind
    part: str
    label: str
    help: str
    comment: str
    cue: str = ""

    @property
    def comment_with_limits(self) -> str:
        """The comment in the file."""
        return f"{self.comment} ({limits(self.kind)})"


def _set(part: str, usual: Any, kind: Kind, *said: str, cue: str = "") -> Any:
    """A field of Settings and, in its metadata, the rest of its line: kind, part, label, help, comment, cue."""
    first = {"default_factory": dict} if isinstance(usual, dict) else {"default": usual}
    return field(**first, metadata={"line": (kind, part, *said, cue)})


_measuring, _look, _new, _counting, _aloud, _pairs, _shared, _keys = (partial(_set, part) for part in PARTS)


# --- the table ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Settings:
    """What is set, or else usual."""

    length_unit: Literal["in", "cm", "mm"] = _measuring(
        "in",
        OneOf((("in", "inches"), ("cm", "centimetres"), ("mm", "millimetres"))),
        "Lengths are in",
        "where no unit is typed",
        "what a length without a unit means",
    )
    mass_unit: Literal["g", "oz"] = _measuring(
        "g",
        OneOf((("g", "grams"), ("oz", "ounces"))),
        "Masses are in",
        "where no unit is typed",
        "what a mass without a unit means",
    )
    tape_error_mm: float = _measuring(
        1.0,
        Millimetres(0.05, 20),  # ours: a tenth of the half millimetre that a steel rule shows
        "Tape is right to",
        "how far off it may be",
        "how far off a reading of the tape may be, in mm",
    )
    theme: str = _look(
        "lamplight",
        Words(1, 60),
        "Theme",
        "the colours of the screen",
        "the name of a file in themes, here or among those that came with hosewright",
    )
    bell: bool = _look(
        True,
        YesNo("rings", "silent"),
        "Bell",
        "at targets and cues",
        "ring the bell at a target, a cue and a trouble",
    )
    step_by_step: bool = _look(
        False,
        YesNo("one at a time, with its reason", "all steps in a list"),
        "Steps are shown",
        "at the machine",
        "one step at a time at the machine, with the reason for each",
    )
    foot: Literal["few", "all"] = _look(
        "few",
        OneOf((("few", "the keys that matter now"), ("all", "every key"))),
        "The foot shows",
        "every key works either way",
        "which keys the foot of a screen shows",
    )
    click_counts: bool = _look(
        False,
        YesNo("counts", "does nothing"),
        "A click on the count",
        "with the mouse, at the machine",
        "whether a click on the large digits counts a row or a pass",
    )
    tube_rows: int = _new(
        TUBE_ROWS,
        Whole(LEAST_TUBE_ROWS, MOST_TUBE_ROWS),
        "Rows of a gauge tube",
        f"{LEAST_TUBE_ROWS} to {MOST_TUBE_ROWS}",
        "rows of a gauge tube",
    )
    separator_rows: int = _new(
        SEPARATOR_ROWS,
        Whole(2, 60),
        "Separator rows",
        "before and after, 2 to 60",
        "rows of separator yarn (waste yarn) before and after",
    )
    count_shows: Literal["up", "down", "sock"] = _counting(
        "up",
        OneOf((("up", "rows of this part"), ("down", "rows left in this part"), ("sock", "rows of the whole sock"))),
        "The count shows",
        "in its large digits",
        "up: rows of this part; down: rows left; sock: rows of the whole sock",
    )
    press_gap_ms: int = _counting(
        120,
        Whole(0, 1000),
        "Question presses within",
        "ms of each other; 0: never",
        "presses closer than this many thousandths of a second are doubtful; 0: none is",
    )
    pause_after_s: int = _counting(
        300,
        Whole(0, 7200),
        "Pause by itself after",
        "s without a press; 0: never",
        "seconds without a press that make a pause; 0: never",
    )
    cue_rows_ahead: int = _counting(
        3,
        Whole(0, 50),
        "Show cues ahead",
        "rows before they are due",
        "how many rows ahead a cue is shown",
    )
    weights_every: int = _counting(
        0,
        Whole(0, 1000),
        "Move weights every",
        "rows or passes; 0 no cue",
        "move the weights every so many rows, or passes in heel and toe; 0: no cue",
        cue="move the weights",
    )
    marker_every: int = _counting(
        0,
        Whole(0, 1000),
        "Hang a marker every",
        "rows, to count by; 0 no cue",
        "hang a marker on a stitch every so many rows, to count by later; 0: no cue",
        cue="hang a marker on a stitch",
    )
    rest_after_min: int = _counting(
        45,
        Whole(0, 600),
        "Suggest a rest after",
        "minutes; 0: never",
        "minutes of cranking before a rest is suggested; 0: never",
    )
    speech: Literal["off", "cues", "rows"] = _aloud(
        "off",
        OneOf((("off", "off"), ("cues", "cues and needles"), ("rows", "the count, too"))),
        "Speech",
        "of the system's own speaker",
        "what is spoken: cues are what comes next and which needle moves; rows are the count, too",
    )
    speech_every: int = _aloud(
        1,
        Whole(1, 100),
        "Speak the count every",
        "rows or passes",
        "rows or passes after which the count is spoken",
    )
    speaker: str = _aloud(
        "",
        Words(0, 200, "espeak-ng"),
        "Speaker",
        "a program; empty: any",
        "the program that speaks, or a command that gets the words as its last word; empty: the first one found",
    )
    speech_speed: int = _aloud(
        220,
        Whole(80, 450),  # what espeak-ng takes, by its manual: 80 to 450 words a minute
        "Speed",
        "words a minute",
        "words a minute; at 260 a pass that moves one needle is heard within a second",
    )
    speech_voice: str = _aloud(
        "",
        Words(0, 60, "en-gb"),
        "Voice",
        "as the speaker calls it",
        "the voice, as the speaker calls it; empty: its usual one",
    )
    speech_language: str = _aloud(
        "",
        Words(0, 20, "en"),
        "Language",
        "such as en-GB",
        "the language the voice is chosen by; the words stay English",
    )
    tones: Literal["off", "bell", "sounds"] = _aloud(
        "off",
        OneOf((("off", "off"), ("bell", "the bell at every row"), ("sounds", "short sounds"))),
        "Tones",
        "row, cue, past the plan, doubtful",
        "a tone for a row, a cue, a row past the plan and a doubtful press",
    )
    hours_a_week: int = _pairs(
        0,
        Whole(0, 168),
        "Hours a week",
        "you have at the machine; 0 not set",
        "hours you have at the machine in a week; 0: not set",
    )
    off_crank_min: int = _pairs(
        0,
        Whole(0, 600),
        "A sock off the crank",
        "minutes to graft and wash; 0 not counted",
        "minutes a sock takes off the crank: grafting, ends, washing; 0: cranking only is counted",
    )
    money: str = _pairs(
        "",
        Words(0, 12, "crowns"),
        "Currency",
        "printed after a price",
        "what is printed after a price, such as a currency's name; empty: nothing",
    )
    laptop: str = _shared(
        "",
        Words(0, 40, "attic"),
        "This laptop is called",
        "where laptops share a folder",
        "what this laptop is called where several share a folder; empty: by the computer's own name",
    )
    count_keys: tuple[str, ...] = _keys(
        ("space",),
        Keys(MOST_COUNT_KEYS),
        "Keys that count",
        "a row or a pass",
        "the keys that count a row or a pass",
    )
    keys: Mapping[str, str] = _keys(
        {},
        MovedKeys(),
        "Keys moved",
        "commands on other keys than usual",
        "commands moved to other keys",
    )

    @property
    def cues_every(self) -> dict[str, int]:
        """What is done every so many rows, in words; 0 for never."""
        return {setting.cue: getattr(self, setting.name) for setting in TABLE.values() if setting.cue}


USUAL = Settings()
TABLE = {one.name: Setting(one.name, getattr(USUAL, one.name), *one.metadata["line"]) for one in fields(Settings)}
LIMITS = {name: (one.kind.least, one.kind.most) for name, one in TABLE.items() if isinstance(one.kind, Whole)}
