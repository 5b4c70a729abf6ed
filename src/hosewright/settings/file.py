"""The settings file: every fault in it named, and written without losing what the knitter wrote."""

from __future__ import annotations

import os
import tempfile
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from hosewright.places import make_private, sync_folder
from hosewright.session.kinds import LEAST_TUBE_ROWS, MOST_TUBE_ROWS
from hosewright.settings.table import (
    LIMITS,
    MOST_COMMAND,
    MOST_COUNT_KEYS,
    MOST_KEY,
    MOST_MONEY,
    MOST_TAPE_MM,
    MOST_THEME,
    USUAL,
    Settings,
)
from hosewright.settings.toml import MOST_CHARACTERS, at_line, meant, shown

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails
    from tomlkit import TOMLDocument


KeyName = Annotated[str, Field(min_length=1, max_length=MOST_KEY)]


def _plain(text: str) -> str:
    if not text.isprintable():
        raise ValueError("it holds more than plain characters")
    return text


def _within(name: str) -> Any:
    least, most = LIMITS[name]
    return Field(ge=least, le=most)


class SettingsError(OSError):
    """The settings could not be saved; ``str(error)`` is a sentence for the person."""


class SettingsModel(BaseModel):
    """The settings as a file may hold them, with every rule; ``Settings`` has the meanings and the defaults."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    length_unit: Literal["in", "cm", "mm"] = USUAL.length_unit
    mass_unit: Literal["g", "oz"] = USUAL.mass_unit
    tape_error_mm: Annotated[float, Field(gt=0, le=MOST_TAPE_MM)] = USUAL.tape_error_mm
    theme: Annotated[str, Field(min_length=1, max_length=MOST_THEME)] = USUAL.theme
    tube_rows: Annotated[int, _within("tube_rows")] = USUAL.tube_rows
    separator_rows: Annotated[int, _within("separator_rows")] = USUAL.separator_rows
    count_shows: Literal["up", "down", "sock"] = USUAL.count_shows
    press_gap_ms: Annotated[int, _within("press_gap_ms")] = USUAL.press_gap_ms
    pause_after_s: Annotated[int, _within("pause_after_s")] = USUAL.pause_after_s
    cue_rows_ahead: Annotated[int, _within("cue_rows_ahead")] = USUAL.cue_rows_ahead
    weights_every: Annotated[int, _within("weights_every")] = USUAL.weights_every
    marker_every: Annotated[int, _within("marker_every")] = USUAL.marker_every
    rest_after_min: Annotated[int, _within("rest_after_min")] = USUAL.rest_after_min
    bell: bool = USUAL.bell
    hours_a_week: Annotated[int, _within("hours_a_week")] = USUAL.hours_a_week
    off_crank_min: Annotated[int, _within("off_crank_min")] = USUAL.off_crank_min
    money: Annotated[str, Field(max_length=MOST_MONEY), AfterValidator(_plain)] = USUAL.money
    step_by_step: bool = USUAL.step_by_step
    count_keys: Annotated[tuple[KeyName, ...], Field(min_length=1, max_length=MOST_COUNT_KEYS)] = USUAL.count_keys
    keys: dict[Annotated[str, Field(max_length=MOST_COMMAND)], KeyName] = {}

    def settings(self) -> Settings:
        """The settings as the program uses them."""
        return Settings(**self.model_dump())


_COMMENTS = {
    "length_unit": "in, cm or mm: what a length without a unit means",
    "mass_unit": "g or oz",
    "tape_error_mm": "how far off a reading of the tape may be, in mm",
    "theme": "the name of a file in themes, here or among those that came with hosewright",
    "tube_rows": f"rows of a gauge tube, {LEAST_TUBE_ROWS} to {MOST_TUBE_ROWS}",
    "separator_rows": "rows of separator yarn before and after",
    "count_shows": "up: rows of this part; down: rows left; sock: rows of the whole sock",
    "press_gap_ms": "presses closer than this many thousandths of a second are doubtful; 0: none is",
    "pause_after_s": "seconds without a press that make a pause; 0: never",
    "cue_rows_ahead": "how many rows ahead a cue is shown",
    "weights_every": "move the weights every so many rows, or passes in heel and toe; 0: no cue",
    "marker_every": "hang a marker on a stitch every so many rows, to count by later; 0: no cue",
    "rest_after_min": "minutes of cranking before a rest is proposed; 0: never",
    "bell": "ring the bell at a target, a cue and a trouble",
    "step_by_step": "one step at a time at the machine, with the reason for each",
    "hours_a_week": "hours you have at the machine in a week; 0: not said",
    "off_crank_min": "minutes a sock takes off the crank: grafting, ends, washing; 0: cranking only is counted",
    "money": "what stands after a price, such as a currency's name; empty: nothing",
    "count_keys": "the keys that count a row or a pass",
}
_START = """# Settings of hosewright. A line with # before it shows what holds without it.
# Commands moved to other keys stand at the end, in a table [keys] with lines such as pause = "q".

"""


# --- reading --------------------------------------------------------------------------------------------------


def load_checked(path: Path) -> tuple[Settings, list[str]]:
    """The settings in ``path`` and, when they could not all be used, why; what is wrong keeps its default."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return Settings(), []
    except (OSError, UnicodeDecodeError) as error:
        return Settings(), [f"The settings in {path} cannot be read ({error}); the usual ones are used."]
    try:
        typed = _parsed(text)
    except ValueError as error:
        return Settings(), [f"The settings in {path} are not TOML: {error}. The usual ones are used."]
    troubles: list[str] = []
    while True:
        try:
            return SettingsModel.model_validate(typed).settings(), troubles
        except ValidationError as error:
            for wrong in error.errors():
                troubles.append(_leave_out(path, text, typed, wrong))


def _parsed(text: str) -> dict[str, Any]:
    """The text as a table. Raises ValueError saying what is wrong and at which line."""
    if len(text) > MOST_CHARACTERS:
        raise ValueError(f"the file has {len(text)} characters, more than {MOST_CHARACTERS}")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise ValueError("brackets are nested too deep") from error


def _leave_out(path: Path, text: str, typed: dict[str, Any], wrong: ErrorDetails) -> str:
    """Take the wrong value out of ``typed`` and return the sentence about it."""
    name, *deeper = (str(part) for part in wrong["loc"])
    if wrong["type"] == "extra_forbidden":
        del typed[name]
        return f"{at_line(path, text, name)}: {name} is no setting{meant(name, SettingsModel.model_fields) or '.'}"
    if name == "keys" and deeper:
        # One bad line of the table must not lose the keys beside it.
        typed["keys"] = {k: v for k, v in typed["keys"].items() if k != deeper[0]}
        where = at_line(path, text, deeper[0], "keys")
        return f"{where}: {shown(deeper[0])[1:-1]} in keys {_rule(wrong)}; its usual key is used."
    value, usual = typed.pop(name, None), getattr(USUAL, name)
    told = "" if deeper else f" = {shown(value)}"
    return f"{at_line(path, text, name)}: {name}{told} {_rule(wrong)}; the usual {_toml(usual)} is used."


def _rule(wrong: ErrorDetails) -> str:
    """What the value should have been."""
    limits, kind = wrong.get("ctx", {}), wrong["type"]
    if kind == "literal_error":
        return f"is not {limits['expected']}".replace("'", "")
    if kind == "less_than_equal":
        return f"is more than {limits['le']:g}"
    if kind == "greater_than_equal":
        return f"is less than {limits['ge']:g}"
    if kind == "greater_than":
        return f"is not more than {limits['gt']:g}"
    if kind in ("too_short", "string_too_short"):
        return "names nothing"
    if kind in ("too_long", "string_too_long"):
        return f"is longer than {limits['max_length']}"
    words = {"int": "is not a whole number", "float": "is not a number", "bool": "is neither true nor false"}
    words |= {"string": "is not a text in quotes", "tuple": "is not a list", "dict": "is not a table"}
    first, _, rest = kind.partition("_")
    if rest in ("type", "parsing", "from_float"):
        return words.get(first, f"cannot be used ({wrong['msg']})")
    return f"cannot be used ({wrong['msg']})"


# --- writing --------------------------------------------------------------------------------------------------


def save(path: Path, settings: Settings) -> list[str]:
    """Write what differs from the usual, or stood in the file before, into ``path``; comments and order stay.

    Returns what the person should know. Raises SettingsError.
    """
    path = path.resolve()  # a link to the file stays a link
    try:
        make_private(path.parent)
        document, told = _document(path, settings)
        _put_in(document, settings)
        _replace(path, document.as_string())
    except OSError as error:
        raise SettingsError(f"The settings cannot be saved in {path}: {error.strerror or error}.") from error
    return told


def _document(path: Path, settings: Settings) -> tuple[TOMLDocument, list[str]]:
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return tomlkit.parse(_starter(settings)), []
    except UnicodeDecodeError:
        text = "not UTF-8"
    try:
        _parsed(text)
        return tomlkit.parse(text), []
    except (ValueError, TOMLKitError):
        aside = _set_aside(path)
        return tomlkit.parse(_starter(settings)), [f"The old settings could not be read; they are kept in {aside}."]


def _set_aside(path: Path) -> Path:
    number = 1
    while (aside := path.with_name(f"{path.stem}-unreadable-{number}{path.suffix}")).exists():
        number += 1
    path.rename(aside)
    return aside


def _starter(settings: Settings) -> str:
    """A file with a line for each setting, those at their usual value commented out."""
    usual, lines = USUAL, []
    for name, words in _COMMENTS.items():
        value = getattr(settings, name)
        mark = "# " if value == getattr(usual, name) else ""
        lines.append(f"{mark}{name} = {_toml(value)}  # {words}\n")
    return _START + "".join(lines)


def _toml(value: Any) -> str:
    import tomlkit

    return str(tomlkit.item(list(value) if isinstance(value, tuple) else value).as_string())


def _put_in(document: TOMLDocument, settings: Settings) -> None:
    for name in _COMMENTS:
        value = getattr(settings, name)
        differs = value != getattr(USUAL, name)
        value = list(value) if isinstance(value, tuple) else value
        stands = document.unwrap().get(name)
        if (name in document and stands != value) or (name not in document and differs):
            document[name] = value
    if "keys" not in document and not settings.keys:
        return
    table: Any = document.get("keys")
    if not hasattr(table, "items"):
        document["keys"] = dict(settings.keys)
        return
    for command in [name for name in table if name not in settings.keys]:
        del table[command]
    for command, key in settings.keys.items():
        if table.get(command) != key:
            table[command] = key


def _replace(path: Path, text: str) -> None:
    """Put ``text`` in the place of the file in one step, so that a power cut leaves the old one or the new one."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")  # readable by the owner alone
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    sync_folder(path.parent)
