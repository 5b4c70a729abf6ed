"""The settings file: every fault in it named, and written without losing what the knitter wrote."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Any, Literal, cast

import tomlkit
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, create_model
from tomlkit.exceptions import TOMLKitError

from hosewright.places import make_private, write_whole
from hosewright.settings.table import (
    MOST_COMMAND,
    MOST_KEY,
    TABLE,
    Keys,
    Kind,
    Millimetres,
    MovedKeys,
    OneOf,
    Settings,
    Whole,
    Words,
    YesNo,
)
from hosewright.settings.toml import at_line, meant, parsed, shown

if TYPE_CHECKING:
    from pathlib import Path

    from pydantic_core import ErrorDetails
    from tomlkit import TOMLDocument

KeyName = Annotated[str, Field(min_length=1, max_length=MOST_KEY)]


class SettingsError(OSError):
    """The settings could not be saved; ``str(error)`` is a sentence for the person."""


# --- the model ------------------------------------------------------------------------------------------------


def _plain(text: str) -> str:
    if not text.isprintable():
        raise ValueError("it holds more than plain characters")
    return text


def _type_of(kind: Kind) -> Any:
    match kind:
        case OneOf():
            return Literal[tuple(value for value, _ in kind.said)]
        case YesNo():
            return bool
        case Whole():
            return Annotated[int, Field(ge=kind.least, le=kind.most)]
        case Millimetres():
            return Annotated[float, Field(ge=kind.least, le=kind.most)]
        case Words():
            return Annotated[str, Field(min_length=kind.least, max_length=kind.most), AfterValidator(_plain)]
        case Keys():
            return Annotated[tuple[KeyName, ...], Field(min_length=1, max_length=kind.most)]
        case MovedKeys():
            return dict[Annotated[str, Field(max_length=MOST_COMMAND)], KeyName]


SettingsModel = cast(
    "type[BaseModel]",
    create_model(  # type: ignore[call-overload]  # its fields are the table's
        "SettingsModel",
        __config__=ConfigDict(frozen=True, extra="forbid"),
        __doc__="The settings as a file may hold them.",
        **{
            name: (_type_of(one.kind), Field(default=one.usual, description=one.comment_with_limits))
            for name, one in TABLE.items()
        },
    ),
)
_START = """# Settings of hosewright. A line with # before it shows what holds without it.
# Commands moved to other keys stand at the end, in a table [keys] with lines such as pause = "q".

"""


# --- reading --------------------------------------------------------------------------------------------------


def checked(path: Path, text: str, typed: dict[str, Any]) -> tuple[Settings, list[str]]:
    """The settings of ``typed``, and a sentence for each thing in it that is wrong, which keeps its default."""
    troubles: list[str] = []
    while True:
        try:
            return Settings(**SettingsModel.model_validate(typed).model_dump()), troubles
        except ValidationError as error:
            troubles += [_leave_out(path, text, typed, wrong) for wrong in error.errors()]


def _leave_out(path: Path, text: str, typed: dict[str, Any], wrong: ErrorDetails) -> str:
    """Take the wrong value out of ``typed`` and return the sentence about it."""
    name, *deeper = (str(part) for part in wrong["loc"])
    if wrong["type"] == "extra_forbidden":
        del typed[name]
        return f"{at_line(path, text, name)}: {name} is not a setting{meant(name, TABLE) or '.'}"
    if name == "keys" and deeper:
        # One bad line of the table must not lose the keys beside it.
        typed["keys"] = {k: v for k, v in typed["keys"].items() if k != deeper[0]}
        where = at_line(path, text, deeper[0], "keys")
        return f"{where}: {shown(deeper[0])[1:-1]} in keys {_rule(wrong)}; its usual key is used."
    value, usual = typed.pop(name, None), TABLE[name].usual
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
        write_whole(path, document.as_string(), sync=True)  # a power cut leaves the old one or the new one
    except OSError as error:
        raise SettingsError(f"The settings cannot be saved in {path}: {error.strerror or error}.") from error
    return told


def _document(path: Path, settings: Settings) -> tuple[TOMLDocument, list[str]]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return tomlkit.parse(_starter(settings)), []
    except UnicodeDecodeError:
        text = "not UTF-8"
    try:
        parsed(text)
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
    lines = []
    for name, one in TABLE.items():
        value = getattr(settings, name)
        if not isinstance(one.kind, MovedKeys):
            mark = "# " if value == one.usual else ""
            lines.append(f"{mark}{name} = {_toml(value)}  # {one.comment_with_limits}\n")
    return _START + "".join(lines)


def _toml(value: Any) -> str:
    return str(tomlkit.item(list(value) if isinstance(value, tuple) else value).as_string())


def _put_in(document: TOMLDocument, settings: Settings) -> None:
    stood = document.unwrap()
    for name, value in SettingsModel.model_validate(asdict(settings)).model_dump(mode="json").items():
        if isinstance(value, dict):
            _put_table_in(document, name, value)
        elif stood.get(name, value) != value or (name not in stood and getattr(settings, name) != TABLE[name].usual):
            document[name] = value


def _put_table_in(document: TOMLDocument, name: str, values: dict[str, str]) -> None:
    table: Any = document.get(name)
    if not hasattr(table, "items"):
        if name in document or values:
            document[name] = values
        return
    for key in [key for key in table if key not in values]:
        del table[key]
    for key, value in values.items():
        if table.get(key) != value:
            table[key] = value
