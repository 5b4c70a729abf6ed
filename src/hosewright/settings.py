"""What the knitter may set, in one readable TOML file."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from hosewright.session.procedures import (
    LEAST_TUBE_ROWS,
    MOST_TUBE_ROWS,
    SEPARATOR_ROWS,
    TUBE_ROWS,
)

if TYPE_CHECKING:
    from pathlib import Path


KeyName = Annotated[str, Field(min_length=1, max_length=30)]


class Settings(BaseModel):
    """Every setting with its default.

    ``press_gap_ms``, ``pause_after_s``, ``weights_every``, ``rest_after_min``: 0 turns it off. ``keys`` moves commands
    of the session screen to other keys, by the names in ``bench.commands``.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    length_unit: Literal["in", "cm", "mm"] = "in"
    mass_unit: Literal["g", "oz"] = "g"
    tape_error_mm: Annotated[float, Field(gt=0, le=20)] = 1.0
    theme: Annotated[str, Field(min_length=1, max_length=60)] = "lamplight"
    tube_rows: Annotated[int, Field(ge=LEAST_TUBE_ROWS, le=MOST_TUBE_ROWS)] = TUBE_ROWS
    separator_rows: Annotated[int, Field(ge=2, le=60)] = SEPARATOR_ROWS
    count_shows: Literal["up", "down", "sock"] = "up"
    press_gap_ms: Annotated[int, Field(ge=0, le=1000)] = 120
    pause_after_s: Annotated[int, Field(ge=0, le=7200)] = 300
    cue_rows_ahead: Annotated[int, Field(ge=0, le=50)] = 3
    weights_every: Annotated[int, Field(ge=0, le=1000)] = 0
    rest_after_min: Annotated[int, Field(ge=0, le=600)] = 45
    bell: bool = True
    count_keys: Annotated[tuple[KeyName, ...], Field(min_length=1, max_length=8)] = ("space",)
    keys: dict[Annotated[str, Field(max_length=40)], KeyName] = {}


def load(path: Path) -> tuple[Settings, list[str]]:
    """The settings in ``path`` and, when they could not all be used, why; what is wrong keeps its default."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Settings(), []
    except (OSError, UnicodeDecodeError) as error:
        return Settings(), [f"The settings in {path} cannot be read ({error}); the usual ones are used."]
    try:
        typed = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return Settings(), [f"The settings in {path} are not TOML: {error}. The usual ones are used."]
    troubles: list[str] = []
    while True:
        try:
            return Settings.model_validate(typed), troubles
        except ValidationError as error:
            for item in error.errors():
                name = str(item["loc"][0])
                troubles.append(f"{path}: {name} is not usable ({item['msg']}); the usual one is used.")
                typed.pop(name, None)
