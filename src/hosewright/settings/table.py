"""What the knitter may set: the table of settings, each said once.

From a line here come the file's comment and order, reading and its limits, the line on the screen (``lines``), and the
pydantic model that says what is wrong, writes, and makes the JSON Schema (``file``).
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
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


def _set(usual: Any, *said: Any, cue: str = "") -> Any:
    """A field of Settings and, in its metadata, the rest of its line: kind, part, label, help, comment, cue."""
    first = {"default_factory": dict} if isinstance(usual, dict) else {"default": usual}
    return field(**first, metadata={"line": (*said, cue)})


# --- the table ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Settings:
    """What is set, or else usual."""

    length_unit: Literal["in", "cm", "mm"] = _set(
        "in",
        OneOf((("in", "inches"), ("cm", "centimetres"), ("mm", "millimetres"))),
        MEASURING,
        "Lengths are in",
        "where no unit is typed",
        "what a length without a unit means",
    )
    mass_unit: Literal["g", "oz"] = _set(
        "g",
        OneOf((("g", "grams"), ("oz", "ounces"))),
        MEASURING,
        "Masses are in",
        "where no unit is typed",
        "what a mass without a unit means",
    )
    tape_error_mm: float = _set(
        1.0,
        Millimetres(0.05, 20),  # ours: a tenth of the half millimetre that a steel rule shows
        MEASURING,
        "Tape is right to",
        "how far off it may be",
        "how far off a reading of the tape may be, in mm",
    )
    theme: str = _set(
        "lamplight",
        Words(1, 60),
        LOOK,
        "Theme",
        "the colours of the screen",
        "the name of a file in themes, here or among those that came with hosewright",
    )
    bell: bool = _set(
        True,
        YesNo("rings", "silent"),
        LOOK,
        "Bell",
        "at targets and cues",
        "ring the bell at a target, a cue and a trouble",
    )
    step_by_step: bool = _set(
        False,
        YesNo("one at a time, with its reason", "all steps in a list"),
        LOOK,
        "Steps are shown",
        "at the machine",
        "one step at a time at the machine, with the reason for each",
    )
    foot: Literal["few", "all"] = _set(
        "few",
        OneOf((("few", "the keys that matter now"), ("all", "every key"))),
        LOOK,
        "The foot shows",
        "every key works either way",
        "which keys the foot of a screen shows",
    )
    click_counts: bool = _set(
        False,
        YesNo("counts", "does nothing"),
        LOOK,
        "A click on the count",
        "with the mouse, at the machine",
        "whether a click on the large digits counts a row or a pass",
    )
    tube_rows: int = _set(
        TUBE_ROWS,
        Whole(LEAST_TUBE_ROWS, MOST_TUBE_ROWS),
        NEW,
        "Rows of a gauge tube",
        f"{LEAST_TUBE_ROWS} to {MOST_TUBE_ROWS}",
        "rows of a gauge tube",
    )
    separator_rows: int = _set(
        SEPARATOR_ROWS,
        Whole(2, 60),
        NEW,
        "Separator rows",
        "before and after, 2 to 60",
        "rows of separator yarn (waste yarn) before and after",
    )
    count_shows: Literal["up", "down", "sock"] = _set(
        "up",
        OneOf((("up", "rows of this part"), ("down", "rows left in this part"), ("sock", "rows of the whole sock"))),
        COUNTING,
        "The count shows",
        "in its large digits",
        "up: rows of this part; down: rows left; sock: rows of the whole sock",
    )
    press_gap_ms: int = _set(
        120,
        Whole(0, 1000),
        COUNTING,
        "Question presses within",
        "ms of each other; 0: never",
        "presses closer than this many thousandths of a second are doubtful; 0: none is",
    )
    pause_after_s: int = _set(
        300,
        Whole(0, 7200),
        COUNTING,
        "Pause by itself after",
        "s without a press; 0: never",
        "seconds without a press that make a pause; 0: never",
    )
    cue_rows_ahead: int = _set(
        3,
        Whole(0, 50),
        COUNTING,
        "Show cues ahead",
        "rows before they are due",
        "how many rows ahead a cue is shown",
    )
    weights_every: int = _set(
        0,
        Whole(0, 1000),
        COUNTING,
        "Move weights every",
        "rows or passes; 0 no cue",
        "move the weights every so many rows, or passes in heel and toe; 0: no cue",
        cue="move the weights",
    )
    marker_every: int = _set(
        0,
        Whole(0, 1000),
        COUNTING,
        "Hang a marker every",
        "rows, to count by; 0 no cue",
        "hang a marker on a stitch every so many rows, to count by later; 0: no cue",
        cue="hang a marker on a stitch",
    )
    rest_after_min: int = _set(
        45,
        Whole(0, 600),
        COUNTING,
        "Suggest a rest after",
        "minutes; 0: never",
        "minutes of cranking before a rest is suggested; 0: never",
    )
    speech: Literal["off", "cues", "rows"] = _set(
        "off",
        OneOf((("off", "off"), ("cues", "cues and needles"), ("rows", "the count, too"))),
        ALOUD,
        "Speech",
        "of the system's own speaker",
        "what is spoken: cues are what comes next and which needle moves; rows are the count, too",
    )
    speech_every: int = _set(
        1,
        Whole(1, 100),
        ALOUD,
        "Speak the count every",
        "rows or passes",
        "rows or passes after which the count is spoken",
    )
    speaker: str = _set(
        "",
        Words(0, 200, "espeak-ng"),
        ALOUD,
        "Speaker",
        "a program; empty: any",
        "the program that speaks, or a command that gets the words as its last word; empty: the first one found",
    )
    speech_speed: int = _set(
        220,
        Whole(80, 450),  # what espeak-ng takes, by its manual: 80 to 450 words a minute
        ALOUD,
        "Speed",
        "words a minute",
        "words a minute; at 260 a pass that moves one needle is heard within a second",
    )
    speech_voice: str = _set(
        "",
        Words(0, 60, "en-gb"),
        ALOUD,
        "Voice",
        "as the speaker calls it",
        "the voice, as the speaker calls it; empty: its usual one",
    )
    speech_language: str = _set(
        "",
        Words(0, 20, "en"),
        ALOUD,
        "Language",
        "such as en-GB",
        "the language the voice is chosen by; the words stay English",
    )
    tones: Literal["off", "bell", "sounds"] = _set(
        "off",
        OneOf((("off", "off"), ("bell", "the bell at every row"), ("sounds", "short sounds"))),
        ALOUD,
        "Tones",
        "row, cue, past the plan, doubtful",
        "a tone for a row, a cue, a row past the plan and a doubtful press",
    )
    hours_a_week: int = _set(
        0,
        Whole(0, 168),
        PAIRS,
        "Hours a week",
        "you have at the machine; 0 not set",
        "hours you have at the machine in a week; 0: not set",
    )
    off_crank_min: int = _set(
        0,
        Whole(0, 600),
        PAIRS,
        "A sock off the crank",
        "minutes to graft and wash; 0 not counted",
        "minutes a sock takes off the crank: grafting, ends, washing; 0: cranking only is counted",
    )
    money: str = _set(
        "",
        Words(0, 12, "crowns"),
        PAIRS,
        "Currency",
        "printed after a price",
        "what is printed after a price, such as a currency's name; empty: nothing",
    )
    laptop: str = _set(
        "",
        Words(0, 40, "attic"),
        SHARED,
        "This laptop is called",
        "where laptops share a folder",
        "what this laptop is called where several share a folder; empty: by the computer's own name",
    )
    count_keys: tuple[str, ...] = _set(
        ("space",),
        Keys(MOST_COUNT_KEYS),
        KEYS,
        "Keys that count",
        "a row or a pass",
        "the keys that count a row or a pass",
    )
    keys: Mapping[str, str] = _set(
        {},
        MovedKeys(),
        KEYS,
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
