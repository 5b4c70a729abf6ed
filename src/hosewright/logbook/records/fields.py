"""What every stored record is made of: its base, the types of its fields, its id. Lengths in mm, masses in g."""

from __future__ import annotations

import re
import secrets
import unicodedata
from datetime import UTC, datetime
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from hosewright.craft import LEAST_SLOTS, MOST_SLOTS
from hosewright.phrases.harmless import harmless, one_line
from hosewright.session.search import MOST_CLICKS


def named(text: str) -> str:
    """``text`` made harmless; refused when nothing is left of it, or it would be kept and never read again."""
    name = one_line(text)
    if not name:
        raise ValueError("a name needs at least one letter or figure")
    return name


Id = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{1,39}$")]
Name = Annotated[str, Field(max_length=80), AfterValidator(named)]
OneLine = Annotated[str, Field(max_length=200), AfterValidator(one_line)]
Note = Annotated[str, Field(max_length=4000), AfterValidator(harmless)]
Millimetres = Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)]
Grams = Annotated[float, Field(gt=0, le=20000, allow_inf_nan=False)]
Core = Annotated[float, Field(ge=0, le=20000, allow_inf_nan=False)]  # grams of a ball's core or a cone; 0: none
Positive = Annotated[float, Field(gt=0, lt=1e9, allow_inf_nan=False)]
Clicks = Annotated[int, Field(ge=0, le=MOST_CLICKS)]
Slots = Annotated[int, Field(ge=LEAST_SLOTS, le=MOST_SLOTS)]
Shade = Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")]  # a colour's red, green and blue in hexadecimal
DialChange = tuple[Annotated[int, Field(ge=0, le=100_000)], Clicks]
Moment = Annotated[int, Field(ge=0, lt=2**53)]  # UTC in ms since 1970
Zone = Annotated[int, Field(ge=-1080, le=1080)]  # local offset from UTC in minutes


class Kept(BaseModel):
    """Anything kept in the logbook; values never change in place. What only a later version knows is carried along."""

    model_config = ConfigDict(frozen=True, extra="allow")


# --- names for things, short enough to type and wide enough that two houses do not meet -------------------------------


_LETTERS = "abcdefghjkmnpqrstvwxyz23456789"  # without i, l, o, u, 0, 1: easily misread


def session_id(at_ms: int) -> str:
    """A new session id: the day it began, then six letters."""
    day = datetime.fromtimestamp(at_ms / 1000, UTC).strftime("%Y%m%d")
    return f"{day}-{_tail(6)}"


def shelf_id(name: str) -> str:
    """A new id for a thing on the shelf: its name in plain letters, then four more."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:24].strip("-")
    return f"{words or 'x'}-{_tail(4)}"


def _tail(letters: int) -> str:
    return "".join(secrets.choice(_LETTERS) for _ in range(letters))
