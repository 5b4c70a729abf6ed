"""Keys as the screen writes them, and commands on the keys they were moved to. Their table is ``session.letters``."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hosewright.session.command import Command
    from hosewright.session.state import State

_SHOWN = {
    "enter": "Enter",
    "escape": "Esc",
    "space": "Space",
    "backspace": "Bksp",
    "delete": "Del",
    "tab": "Tab",
    "pagedown": "PgDn",
    "pageup": "PgUp",
    "up": "Up",
    "down": "Down",
    "question_mark": "?",
    "equals_sign": "=",
    "slash": "/",
    "full_stop": ".",
}


def shown_key(key: str) -> str:
    """How a key is written on the screen."""
    if key.startswith("ctrl+"):
        return "Ctrl+" + key.removeprefix("ctrl+").upper()
    if key in _SHOWN:
        return _SHOWN[key]
    return key if len(key) == 1 else key.replace("_", " ").capitalize()


@dataclass(frozen=True, slots=True)
class Keymap:
    """Which keys count, and which commands were moved to another key."""

    count: tuple[str, ...] = ("space",)
    moved: tuple[tuple[str, str], ...] = ()

    def place(self, command: Command) -> Command:
        """``command`` on the keys it has now."""
        if command.does == "count":
            shown = "/".join(shown_key(key) for key in self.count)
            return replace(command, key=self.count[0], more_keys=self.count[1:], shown=shown)
        key = dict(self.moved).get(command.name)
        return replace(command, key=key, shown=shown_key(key)) if key else command


USUAL_KEYS = Keymap()


def commands_for(state: State, keymap: Keymap = USUAL_KEYS, missing: int | None = None) -> tuple[Command, ...]:
    """The commands that do something where ``state`` stands, in the order they are shown.

    ``missing``: rows or passes offered as missing (see ``letters.commands_at``).
    """
    from hosewright.session.letters import commands_at  # on first use: the first frame has no session in it

    return tuple(keymap.place(command) for command in commands_at(state, missing))
