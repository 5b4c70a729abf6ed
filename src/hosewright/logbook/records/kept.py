"""What every stored record is made of: its base and the types of its fields. Lengths in mm, masses in g."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from hosewright.craft.errors import LEAST_SLOTS, MOST_SLOTS
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
Line = Annotated[str, Field(max_length=200), AfterValidator(one_line)]
Note = Annotated[str, Field(max_length=4000), AfterValidator(harmless)]
Millimetres = Annotated[float, Field(gt=0, le=5000, allow_inf_nan=False)]
Grams = Annotated[float, Field(gt=0, le=20000, allow_inf_nan=False)]
Positive = Annotated[float, Field(gt=0, lt=1e9, allow_inf_nan=False)]
Clicks = Annotated[int, Field(ge=0, le=MOST_CLICKS)]
Slots = Annotated[int, Field(ge=LEAST_SLOTS, le=MOST_SLOTS)]
DialChange = tuple[Annotated[int, Field(ge=0, le=100_000)], Clicks]
Moment = Annotated[int, Field(ge=0, lt=2**53)]  # UTC in ms since 1970
Zone = Annotated[int, Field(ge=-1080, le=1080)]  # local offset from UTC in minutes


class Kept(BaseModel):
    """Anything kept in the logbook: unknown fields are refused, values never change in place."""

    model_config = ConfigDict(frozen=True, extra="forbid")
