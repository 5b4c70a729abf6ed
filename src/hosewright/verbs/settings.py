"""``hosewright settings``: what is set; ``counter``: what a pedal, a magnet or a key types, and what to set for it."""

from __future__ import annotations

import json
import os
import select
import signal
import sys
import time
from collections import Counter
from contextlib import contextmanager, suppress
from dataclasses import replace
from importlib import import_module
from typing import TYPE_CHECKING, Any

from hosewright.counting.key_choice import key_name, problems
from hosewright.counting.presses import NOTHING, in_ms, kinds, look
from hosewright.places import settings_path
from hosewright.session.keys import shown_key
from hosewright.settings.file import SettingsModel, save
from hosewright.settings.table import TABLE, limits
from hosewright.verbs.asking import EndOfInputError, say, sure
from hosewright.verbs.parsing import Parser, UsageError, aligned, put_each, safe, usual

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hosewright.settings.table import Settings


def run(argv: list[str]) -> int:
    parser = Parser("settings", "what is set, and what may be", "")
    parser.add_json()
    parser.flag("--schema", "print the JSON Schema of the settings file")
    args = parser.parse_args(argv)
    if args.schema:
        print(json.dumps(SettingsModel.model_json_schema() | {"title": "Settings of hosewright"}, indent=2))
        return 0
    settings = usual()
    values: dict[str, Any] = {name: getattr(settings, name) for name in TABLE}
    facts = (
        {"name": name, "value": values[name], "usual": one.usual, "limits": limits(one.kind)}
        | {"part": one.part, "what": one.comment}
        for name, one in TABLE.items()
    )
    rows = [
        (name, safe(json.dumps(values[name], ensure_ascii=False)), limits(one.kind), one.label)
        for name, one in TABLE.items()
    ]
    kept = f"They are kept in {safe(str(settings_path()))}, and set on the bench with e."
    return put_each(facts, [*aligned(rows), "", kept], as_json=args.json)


# --- what a pedal or a magnet types, and the settings that fit it -----------------------------------------------------


SECONDS, MOST_SECONDS = 60, 3600
_WORDS = {"row": "", "bounce": "  bounces", "held": "  held down"}
_LOOK_S = 0.002  # how often Windows is asked for a key
# What stands there before the code of a key that is no text, and of those a pedal may type what other terminals send.
_MARKS = ("\0", "\xe0")
_FUNCTION_KEYS = {"H": "\x1b[A", "P": "\x1b[B", "M": "\x1b[C", "K": "\x1b[D", "I": "\x1b[5~", "Q": "\x1b[6~"}
_TOLD_OF_A_RUN = 4  # gaps of a held key that are shown; then it is only said that it goes on


def run_counter(argv: list[str]) -> int:
    parser = Parser("counter", "watch what a pedal or a magnet types, and set the gap and the key", "", json=False)
    parser.add_argument("--seconds", type=int, default=SECONDS, help=f"how long it watches; usually {SECONDS}")
    args = parser.parse_args(argv)
    if not 1 <= args.seconds <= MOST_SECONDS:
        raise UsageError(f"It can watch for 1 to {MOST_SECONDS} seconds.")
    if not sys.stdin.isatty():
        raise UsageError("Keys are watched in a terminal: nothing can be piped into this.")
    settings = usual()
    keys, gaps = _watch(args.seconds)
    said = Counter(keys).most_common(1)
    seen = look(gaps) if keys else NOTHING
    say("\n".join(seen.words))
    if said:
        _propose(settings, said[0][0], seen.gap_for(settings.press_gap_ms))
    return 0


def _watch(seconds: int) -> tuple[list[str], list[float]]:
    """The keys pressed, by the bench's names, and the gaps between them in ms; each told as it comes."""
    keys: list[str] = []
    gaps: list[float] = []
    last_ms = 0.0
    for key, at_ms in _pressed(seconds):
        if keys:
            gaps.append(at_ms - last_ms)
        last_ms = at_ms
        keys.append(key)
        line = shown_key(key)
        if gaps:
            stretch = kinds(gaps[-2 * _TOLD_OF_A_RUN :])
            if stretch[-_TOLD_OF_A_RUN:] == ["held"] * _TOLD_OF_A_RUN:
                continue
            line = f"{line:<10} {in_ms(gaps[-1]):6} ms{_WORDS[stretch[-1]]}"
        print(line, flush=True)
    return keys, gaps


def _pressed(seconds: int) -> Iterator[tuple[str, float]]:
    """Each key and when it came, in ms on a clock that never steps, until ``q`` or the time is over."""
    from hosewright.bench.inside import XTermParser  # the same reading as the bench's, so a key has the same name

    with _typed() as typed:
        say(
            f"Crank, or press the pedal as you would at the machine: a few slow rows, then quick ones, then hold it "
            f"down once. This watches for {seconds} seconds; q ends it."
        )
        parser, until_s = XTermParser(), time.monotonic() + seconds
        while (left_s := until_s - time.monotonic()) > 0:
            came = typed(min(left_s, 0.1))
            at_ms = time.monotonic() * 1000
            events = list(parser.feed(came) if came else parser.tick())
            for key in (event.key for event in events if hasattr(event, "key")):
                if key == "q":
                    return
                yield key, at_ms


@contextmanager
def _typed() -> Iterator[Callable[[float], str]]:
    """What waits so many seconds at most for a key, and gives its text. A signal leaves the terminal as it was, too."""
    try:
        import termios
        import tty
    except ImportError:
        yield from _typed_on_windows()
        return
    stdin = sys.stdin.fileno()
    before = termios.tcgetattr(stdin)
    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, lambda number, _: sys.exit(128 + number))
    tty.setcbreak(stdin)

    def typed(wait_s: float) -> str:
        came = select.select([stdin], [], [], wait_s)[0]
        return os.read(stdin, 4096).decode("utf-8", "replace") if came else ""

    try:
        yield typed
    finally:
        with suppress(termios.error):  # it is closed
            termios.tcsetattr(stdin, termios.TCSAFLUSH, before)  # what still bounces answers no question


def _typed_on_windows() -> Iterator[Callable[[float], str]]:
    """By https://docs.python.org/3/library/msvcrt.html: of a function key getwch gives a mark first, then its code."""
    console: Any = import_module("msvcrt")

    def typed(wait_s: float) -> str:
        until_s = time.monotonic() + wait_s
        while not console.kbhit():
            if time.monotonic() >= until_s:
                return ""
            time.sleep(_LOOK_S)
        text: str = console.getwch()
        return text if text not in _MARKS else _FUNCTION_KEYS.get(console.getwch(), "")

    yield typed
    while console.kbhit():
        console.getwch()


def _propose(settings: Settings, key: str, gap_ms: int | None) -> None:
    """Say what to set for this key and gap, and set it when asked."""
    wanted, fits = settings, gap_ms is not None
    if key not in map(key_name, settings.count_keys):
        wanted = replace(wanted, count_keys=(*settings.count_keys, key))
        if wrong := problems(wanted):
            say(f"{shown_key(key)} cannot count: {' '.join(wrong)} Have the pedal type another key, such as Space.")
            wanted, fits = settings, False
    if gap_ms is None:
        say("No gap parts its rows from its bounces: they come as quickly. Move the magnet, or mend the contact.")
    else:
        wanted = replace(wanted, press_gap_ms=gap_ms)
    if wanted == settings:
        if fits:
            say(f"There is nothing to set: {shown_key(key)} counts, and a gap of {gap_ms} ms fits.")
        return
    lines = []
    if wanted.count_keys != settings.count_keys:
        lines.append(f"{shown_key(key)} counts, too")
    if wanted.press_gap_ms != settings.press_gap_ms:
        lines.append(f"presses within {wanted.press_gap_ms} ms are doubtful (now {settings.press_gap_ms})")
    try:
        if not sure(f"To set: {'; '.join(lines)}. Write that into your settings?"):
            say("Nothing was written.")
            return
    except EndOfInputError:
        return
    for told in save(settings_path(), wanted):
        say(told)
    say(f"Saved in {settings_path()}.")
