"""Short tones for those who want no words: made here as sound files, and played by what the system has."""

from __future__ import annotations

import io
import math
import shutil
import sys
import tempfile
import wave
from array import array
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.aloud.latest import Latest

if TYPE_CHECKING:
    from collections.abc import Callable

RATE = 22_050  # samples a second
LOUD = 9_000  # of 32,767
_FADE_S = 0.004  # without it a tone begins and ends with a click
# Hertz (0: silence) and seconds, one after another. Ours: a row is short, what calls for the eyes is longer and lower.
TONES = {
    "row": ((880, 0.04),),
    "cue": ((660, 0.09), (990, 0.14)),
    "over": ((330, 0.28),),
    "doubtful": ((260, 0.07), (0, 0.05), (260, 0.07)),
}
_PLAYERS = (("paplay",), ("aplay", "-q"), ("afplay",))


def tone_file(name: str) -> bytes:
    """A tone of ``TONES`` as a WAV file: one channel, 16 bits, ``RATE`` samples a second."""
    samples = array("h")
    for hertz, seconds in TONES[name]:
        count = int(seconds * RATE)
        for at in range(count):
            fade = min(1.0, at / (_FADE_S * RATE), (count - at) / (_FADE_S * RATE))
            samples.append(int(LOUD * fade * math.sin(2 * math.pi * hertz * at / RATE)))
    if sys.byteorder == "big":
        samples.byteswap()
    made = io.BytesIO()
    with wave.open(made, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples.tobytes())
    return made.getvalue()


class Tones:
    """Plays the latest tone; the files lie in a private folder until it is closed."""

    def __init__(self, player: tuple[str, ...], trouble: Callable[[str], None]) -> None:
        """``player``: the command before the file's name; empty for the system's own way, on Windows."""
        self._player = player
        self._folder = tempfile.TemporaryDirectory(prefix="hosewright-tones-", ignore_cleanup_errors=True)
        self._files = {name: Path(self._folder.name) / f"{name}.wav" for name in TONES}
        for name, path in self._files.items():
            path.write_bytes(tone_file(name))
        self._latest = Latest("The player of tones", trouble) if player else None

    def play(self, name: str) -> None:
        light = name == "doubtful"  # a bounce comes some ms after its row, and would cut off the row's tone each time
        if self._latest is not None:
            self._latest.do((*self._player, str(self._files[name])), light=light)
        elif sys.platform == "win32":
            import winsound  # Windows alone has it

            how = winsound.SND_FILENAME | winsound.SND_ASYNC | (winsound.SND_NOSTOP if light else 0)
            with suppress(RuntimeError):  # something sounds that is let finish, or there is nothing to sound it
                winsound.PlaySound(str(self._files[name]), how)

    def close(self) -> None:
        if self._latest is not None:
            self._latest.close()
        self._folder.cleanup()


def tones_here(trouble: Callable[[str], None], system: str = sys.platform) -> Tones | None:
    """Tones by the first player found; None, with the trouble told, when there is none."""
    players = ((path, *rest) for name, *rest in _PLAYERS if (path := shutil.which(name)))
    player = () if system == "win32" else next(players, None)
    if player is None:
        names = ", ".join(name for name, *_ in _PLAYERS)
        trouble(f"No tones sound: none of {names} is here. The bell needs none of them.")
        return None
    try:
        return Tones(player, trouble)
    except OSError as error:
        trouble(f"No tones sound: they cannot be written ({error.strerror or error}).")
        return None
