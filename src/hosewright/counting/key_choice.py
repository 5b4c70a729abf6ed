"""From the settings to the keys of the session screen, and what speaks against a choice of keys."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from textual.keys import KEY_NAME_REPLACEMENTS, Keys, key_to_character

from hosewright.session.commands import commands_at, standings
from hosewright.session.keys import USUAL_KEYS, Keymap, shown_key
from hosewright.session.steps import Measure
from hosewright.settings.toml import meant, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from hosewright.session.keys import Command
    from hosewright.settings.table import Settings

_MODIFIERS = frozenset({"ctrl", "shift", "alt", "super", "hyper", "meta"})
_SIDES = {f"{side}_{name}" for side in ("left", "right") for name in (*_MODIFIERS - {"ctrl"}, "control")}
BARE = _MODIFIERS | _SIDES | {"caps_lock", "num_lock", "scroll_lock", "iso_level3_shift", "iso_level5_shift"}
# Names beyond textual.keys that reach a program from keyboards and pedals (kitty keyboard protocol, functional keys).
_MORE = (
    frozenset({"print_screen", "pause", "menu", "kp_begin", "lower_volume", "raise_volume", "mute_volume"})
    | {"decimal", "divide", "multiply", "subtract", "add", "equal", "separator"}
    | {f"media_{name}" for name in ("play", "pause", "play_pause", "reverse", "stop", "fast_forward", "rewind")}
    | {"media_track_next", "media_track_previous", "media_record"}
    | {f"f{n}" for n in range(25, 36)}
)
_RESERVED = {"ctrl+q": "quit", "ctrl+c": "quit", "f1": "help", "ctrl+p": "the palette"}
_WHOLE_NAMES = {short: whole for whole, short in KEY_NAME_REPLACEMENTS.items()}
# What a line to type in needs for itself.
_TYPING = frozenset({"enter", "backspace", "delete", "left", "right", "up", "down", "home", "end", "tab", "shift+tab"})
# An escape sequence that a slow line tore apart arrives as these: none of them may take a row back.
_TORN = frozenset({"u", "semicolon", "colon", "left_square_bracket"})


# --- names of keys --------------------------------------------------------------------------------------------


@cache
def _known() -> frozenset[str]:
    return frozenset(key.value for key in Keys if not key.value.startswith("<")) | _MORE


def key_name(typed: str) -> str:
    """A key as the terminal names it: "?" in a settings file is question_mark, "PageDown" pagedown."""
    if len(typed) > 1:
        return typed.strip().lower()
    if typed.isalnum():
        return typed
    name = unicodedata.name(typed, typed).lower().replace("-", "_").replace(" ", "_")
    return KEY_NAME_REPLACEMENTS.get(name, name)


def _character(key: str) -> str | None:
    """What a key types, also one that Textual shortens the name of: it finds no "plus" again, only "plus_sign"."""
    return key_to_character(_WHOLE_NAMES.get(key, key))


def key_problem(typed: str) -> str:
    """Why no key is called this, or an empty string."""
    key = key_name(typed)
    *held, last = key.split("+")
    if last in BARE:
        return f"{shown_key(key)} is only held down together with another key, so it cannot be used alone."
    character = _character(last)
    printable = character is not None and character.isprintable()
    if set(held) <= _MODIFIERS and (key in _known() or last in _known() or printable):
        return ""
    return f"{shown(typed)} is not a key{meant(key, _known()) or '.'}"


# --- the steps ------------------------------------------------------------------------------------------------


@cache
def all_commands() -> dict[str, Command]:
    """Every command of the session screen by its name, on its usual keys, the count first."""
    named: dict[str, Command] = {}
    for state in standings():
        for command in commands_at(state, missing=0):
            named.setdefault(command.name, command)
    return {"count": named["count"], **named}


def called(command: Command) -> str:
    """What a command is called, whatever word the foot has for it in the present plight."""
    return all_commands()[command.name].word


# --- from settings --------------------------------------------------------------------------------------------


def keymap_of(settings: Settings) -> Keymap:
    """The keys as set, whether they go together or not."""
    count = tuple(dict.fromkeys(key_name(key) for key in settings.count_keys))
    return Keymap(count, tuple((name, key_name(key)) for name, key in settings.keys.items()))


def problems(settings: Settings) -> list[str]:
    """A sentence for each thing that is wrong with the keys as set."""
    return [*_names_wrong(settings), *clashes(keymap_of(_without_wrong_names(settings)))]


def usable_keymap(settings: Settings) -> tuple[Keymap, list[str]]:
    """The keys to use, and what the person should know: what cannot be used stays on its usual keys."""
    told = _names_wrong(settings)
    keymap = keymap_of(_without_wrong_names(settings))
    if keymap == USUAL_KEYS or not (wrong := clashes(keymap)):  # the usual ones are looked over by a test
        return keymap, told
    only_count = Keymap(keymap.count)
    if not clashes(only_count):
        return only_count, [*told, *wrong, "So every command is on its usual key; the count keys are as set."]
    return USUAL_KEYS, [*told, *wrong, "So the usual keys are used."]


def _names_wrong(settings: Settings) -> list[str]:
    found = [why for key in settings.count_keys if (why := key_problem(key))]
    for name, key in settings.keys.items():
        if name == "count":
            found.append("The keys that count are set in count_keys, not in keys.")
        elif name not in all_commands():
            found.append(f"{shown(name)[1:-1]} is not a command{meant(name, all_commands()) or '.'}")
        elif why := key_problem(key):
            found.append(f"{called(all_commands()[name])}: {why}")
    return found


def _without_wrong_names(settings: Settings) -> Settings:
    count = tuple(key for key in settings.count_keys if not key_problem(key)) or USUAL_KEYS.count
    moved = {
        name: key
        for name, key in settings.keys.items()
        if name in all_commands() and name != "count" and not key_problem(key)
    }
    return replace(settings, count_keys=count, keys=moved)


def clashes(keymap: Keymap) -> list[str]:
    """Where two commands of the same step are on one key, or a key is needed for something else."""
    changed = {*keymap.count, *dict(keymap.moved).values()} - set(USUAL_KEYS.count)
    found: dict[str, None] = {}
    for state in standings():
        commands = tuple(keymap.place(command) for command in commands_at(state, missing=0))
        found |= dict.fromkeys(_doubled(commands))
        found |= dict.fromkeys(_taken(commands, changed, typing=isinstance(state.step, Measure)))
    return list(found)


def _doubled(commands: Iterable[Command]) -> Iterator[str]:
    by_key: dict[str, Command] = {}
    for command in commands:
        for key in command.keys:
            other = by_key.setdefault(key, command)
            if other.name != command.name:
                yield f"{shown_key(key)} is both {called(other)} and {called(command)}."


def _taken(commands: Iterable[Command], changed: set[str], *, typing: bool) -> Iterator[str]:
    for command in commands:
        for key in sorted(changed.intersection(command.keys)):
            says = f"{shown_key(key)} cannot be {called(command)}"
            if _RESERVED.get(key, command.word) != command.word:
                yield f"{says}: it is {_RESERVED[key]} on every screen."
            elif key in "0123456789":
                yield f"{says}: digits are a needle's number after an observation."
            elif command.does in ("take_back", "redo") and key in _TORN:
                yield f"{says}: a slow line may send it by itself."
            elif typing and (key in _TYPING or key == "space" or _character(key) is not None):
                yield f"{says}: while measuring it is needed for typing."
