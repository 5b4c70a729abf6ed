"""The text of a session file or of a shelf file with all its days so many days later."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

DAY_MS = 86_400_000
_ISO = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_EVENT = re.compile(rf'(?<="at": ")({_ISO})(?=T)')
_DAY = re.compile(rf'("(?:made|by|handed_over|bought)": ")({_ISO})(?=")')
_MOMENT = re.compile(r'("(?:started|at)_ms": )([0-9]+)')


def newest_day(texts: Iterable[str]) -> date:
    """The day of the last event in these session files, by the calendar on the wall where it happened."""
    return date.fromisoformat(max(day for text in texts for day in _EVENT.findall(text)))


def later(text: str, days: int) -> str:
    """``text`` with each event, moment and day moved ``days`` on; the time of the day stays, and so do ids."""

    def moved(day: str) -> str:
        return (date.fromisoformat(day) + timedelta(days)).isoformat()

    text = _EVENT.sub(lambda found: moved(found[1]), text)
    text = _DAY.sub(lambda found: found[1] + moved(found[2]), text)
    return _MOMENT.sub(lambda found: f"{found[1]}{int(found[2]) + days * DAY_MS}", text)
