"""The keys in use, and the commands on them. Their table is ``session.commands``."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hosewright.session.keys import USUAL_KEYS, shown_key

if TYPE_CHECKING:
    from hosewright.session.keys import Command, Keymap
    from hosewright.session.state import State
    from hosewright.settings.table import Settings


def keymap_in_use(settings: Settings) -> tuple[Keymap, list[str]]:
    """The keys to use, and what is wrong with those set; only they are looked over, which takes 10 ms."""
    if not settings.keys and settings.count_keys == USUAL_KEYS.count:
        return USUAL_KEYS, []
    from hosewright.counting.key_choice import usable_keymap  # on first use: few move their keys

    return usable_keymap(settings)


# What the foot shows while rows are counted: every other key does what it did, and ? lists them all.
_AT_THE_FOOT = (
    *("count", "missing", "take_back", "redo", "vouch", "go_on", "pause", "judge", "note", "recount"),
    *("acknowledge", "far", "view", "quiet", "explain", "home", "help"),
)
# In a trial of the dial, which has many words to say what was seen, these make way first, for a foot of two lines.
_LEAST_IN_A_TRIAL = ("explain", "redo", "vouch")
_MOST_IN_A_TRIAL = 11
# What two of them open first, in the foot's place: what can be noted, and what puts things right.
STRIPS = {
    "note": ("observe", "note", "seen", "why"),
    "recount": ("recount", "rehang", "dial", "strike", "step_back", "vouch", "spoil", "leave_out"),
}
_OPENS = {"note": "note…", "recount": "put right…"}


_SPEAKS = ("say_where", "quiet")
_LOOKS = ("seen", "acknowledge", "far", "view", "explain", "other", "home", "help")


def at_hand(commands: tuple[Command, ...], *, speaks: bool, looks: bool) -> tuple[Command, ...]:
    """Those of ``commands`` that a foot may show: ``speaks``: speech is on; ``looks``: this bench only looks on."""
    kept = (c for c in commands if speaks or c.does not in _SPEAKS)
    return tuple(c for c in kept if c.does in _LOOKS or not looks)


def at_the_foot(commands: tuple[Command, ...], strip: str = "") -> tuple[Command, ...]:
    """The few of ``commands`` that the foot shows while rows or trials are cranked, or those of an open ``strip``."""
    if strip:
        close = replace(next(c for c in commands if c.does == "home"), word="close")
        return (*(c for c in commands if c.does in STRIPS[strip]), close)
    few = [replace(c, word=_OPENS.get(c.does, c.word)) for c in commands if c.does in _AT_THE_FOOT]
    in_a_trial = not any(c.does == "go_on" for c in few)
    for least in _LEAST_IN_A_TRIAL if in_a_trial else ():
        few = [c for c in few if len(few) <= _MOST_IN_A_TRIAL or c.does != least]
    return tuple(few)


def commands_for(state: State, keymap: Keymap = USUAL_KEYS, missing: int | None = None) -> tuple[Command, ...]:
    """The commands that do something where ``state`` stands, in the order they are shown.

    ``missing``: rows or passes offered as missing (see ``session.commands.commands_at``).
    """
    from hosewright.session.commands import commands_at  # on first use: the first frame has no session in it

    return tuple(keymap.place(command) for command in commands_at(state, missing))


def key_called(keymap: Keymap, name: str) -> str:
    """What a sentence calls the key of the command ``name`` (see ``session.commands.SPOKEN_OF``)."""
    from hosewright.session.commands import usual_key  # as above

    key = dict(keymap.moved).get(name)
    return shown_key(key) if key else usual_key(name)
