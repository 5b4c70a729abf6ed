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


class Settings(BaseModel):
    """Every setting with its default."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    length_unit: Literal["in", "cm", "mm"] = "in"
    mass_unit: Literal["g", "oz"] = "g"
    tape_error_mm: Annotated[float, Field(gt=0, le=20)] = 1.0
    theme: Annotated[str, Field(min_length=1, max_length=60)] = "lamplight"
    tube_rows: Annotated[int, Field(ge=LEAST_TUBE_ROWS, le=MOST_TUBE_ROWS)] = TUBE_ROWS
    separator_rows: Annotated[int, Field(ge=2, le=60)] = SEPARATOR_ROWS


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
