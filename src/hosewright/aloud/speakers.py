"""What makes itself heard: the speakers of each system, asked for words in a voice, and the players of short tones."""

from __future__ import annotations

import io
import math
import shlex
import shutil
import sys
import tempfile
import wave
from array import array
from contextlib import suppress
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from hosewright.aloud.latest import KeptAlive, Latest
from hosewright.phrases.harmless import harmless

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.settings.table import Settings

MOST_SPOKEN = 200  # characters, some fifteen seconds
# Those looked for on each system, the first found speaks. spd-say hands its words to a service, which takes longer.
_LOOKED_FOR = {"darwin": ("say",), "win32": ("powershell",)}
_ELSEWHERE = ("espeak-ng", "espeak", "spd-say")
_GET = {"darwin": "say comes with macOS", "win32": "PowerShell comes with Windows"}
# Each line is spoken in place of the one before, but a tab before it lets that finish; an empty one is silence.
# Nothing typed goes into the script. Rate is -10 to 10, State is Ready, Paused or Speaking, SpeakAsync returns at once:
# https://learn.microsoft.com/dotnet/api/system.speech.synthesis.speechsynthesizer, and the options below
# https://learn.microsoft.com/powershell/module/microsoft.powershell.core/about/about_powershell_exe
_SCRIPT = """\
Add-Type -AssemblyName System.Speech
$speaker = New-Object System.Speech.Synthesis.SpeechSynthesizer
$speaker.Rate = [int]$env:HOSEWRIGHT_RATE
if ($env:HOSEWRIGHT_VOICE) { $speaker.SelectVoice($env:HOSEWRIGHT_VOICE) }
elseif ($env:HOSEWRIGHT_LANGUAGE) {
  $speaker.SelectVoiceByHints('NotSet', 'NotSet', 0, [Globalization.CultureInfo]$env:HOSEWRIGHT_LANGUAGE)
}
$in = New-Object IO.StreamReader([Console]::OpenStandardInput(), [Text.Encoding]::UTF8)
$mayEnd = $true
while ($null -ne ($line = $in.ReadLine())) {
  $light = $line.StartsWith("`t")
  if ($light -and -not $mayEnd -and "$($speaker.State)" -eq 'Speaking') { continue }
  $speaker.SpeakAsyncCancelAll()
  $mayEnd = $light
  if ($line) { [void]$speaker.SpeakAsync($line.Trim()) }
}
"""


@dataclass(frozen=True, slots=True)
class Asked:
    """How a speaker is asked, before the words; ``hush``: what silences its service, which its end does not."""

    command: tuple[str, ...]
    hush: tuple[str, ...] = ()


class Speaker:
    """One that is started for each sentence."""

    def __init__(self, asked: Asked, trouble: Callable[[str], None]) -> None:
        self._asked = asked
        self._latest: Latest = Latest(
            f"The speaker {harmless(PurePath(asked.command[0]).stem)}", trouble, hush=asked.hush
        )

    def say(self, words: str, *, light: bool = False) -> None:
        self._latest.do((*self._asked.command, fit(words)), light=light)

    def hush(self) -> None:
        self._latest.hush()

    def close(self) -> None:
        self._latest.close()


class PowerShell(Speaker):
    """Takes a second to start, so it is started once."""

    def __init__(self, command: Sequence[str], settings: Settings, trouble: Callable[[str], None]) -> None:
        more = {
            "HOSEWRIGHT_RATE": str(max(-10, min(10, (settings.speech_speed - 180) // 20))),  # ours, by ear elsewhere
            "HOSEWRIGHT_VOICE": settings.speech_voice,
            "HOSEWRIGHT_LANGUAGE": settings.speech_language,
        }
        asked = (*command, "-NoProfile", "-NonInteractive", "-Command", _SCRIPT)
        self._latest = KeptAlive("The speaker powershell", asked, more, trouble)

    def say(self, words: str, *, light: bool = False) -> None:
        self._latest.do((fit(words),), light=light)


def speaker_of(settings: Settings, trouble: Callable[[str], None], system: str = sys.platform) -> Speaker | None:
    """The speaker that is set, or else the first found; None, with the trouble told, when there is none."""
    try:
        typed = shlex.split(settings.speaker, posix=system != "win32")  # there a backslash parts folders
    except ValueError as error:
        trouble(f"The speaker in the settings cannot be read ({error}): nothing is spoken.")
        return None
    wanted = [typed] if typed else [[name] for name in _LOOKED_FOR.get(system, _ELSEWHERE)]
    found = next(((path, *rest) for name, *rest in wanted if (path := shutil.which(name))), None)
    if found is None:
        names = " or ".join(harmless(name) for name, *_ in wanted)
        get = "" if typed else f" ({_GET.get(system, 'espeak-ng is in most package managers')})"
        trouble(f"Nothing is spoken: there is no {names} here{get}. “Speaker” in the settings names another.")
        return None
    if PurePath(found[0]).stem.lower() == "powershell":
        return PowerShell(found, settings, trouble)
    return Speaker(_asked(found, settings), trouble)


def _asked(command: tuple[str, ...], settings: Settings) -> Asked:
    """A speaker we know is told speed, voice and language; any other command gets the words and nothing else."""
    speed, voice, language = settings.speech_speed, settings.speech_voice, settings.speech_language
    match PurePath(command[0]).stem:
        case "espeak-ng" | "espeak":
            chosen = ("-v", voice or language) if voice or language else ()
            return Asked((*command, "-z", "-s", str(speed), *chosen))
        case "say":  # https://keith.github.io/xcode-man-pages/say.1.html: -r in words per minute
            return Asked((*command, "-r", str(speed), *(("-v", voice) if voice else ())))
        case "spd-say":
            chosen = (*(("-l", language) if language else ()), *(("-y", voice) if voice else ()))
            # Waited for, so that it is known whether it speaks; cut off by its service, which goes on without it.
            return Asked((*command, "-w", "-r", str(spd_rate(speed)), *chosen), (command[0], "-S"))
        case _:
            return Asked(command)


def spd_rate(speed: int) -> int:
    """Words a minute on the scale of spd-say, -100 to 100: 80, 170 and 449 words at its ends and 0.

    These are EspeakMinRate, EspeakNormalRate and EspeakMaxRate in the espeak-ng.conf of Speech Dispatcher 0.11.4.
    """
    return max(-100, min(100, round((speed - 170) / (90 if speed < 170 else 279) * 100)))


def fit(words: str) -> str:
    """Words that cannot be taken for an option or a second line, and are not endless."""
    return " ".join(harmless(words).split()).lstrip("-")[:MOST_SPOKEN]


# --- short tones, for those who want no words: made here as sound files, and played by what the system has ------------


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
# Their manuals: each plays the file that comes last, and afplay takes no further word for quiet.
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
        self._windows: Any = None if player else import_module("winsound")

    def play(self, name: str) -> None:
        light = name == "doubtful"  # a bounce comes some ms after its row, and would cut off the row's tone each time
        if self._latest is not None:
            self._latest.do((*self._player, str(self._files[name])), light=light)
        else:
            windows = self._windows  # https://docs.python.org/3/library/winsound.html
            how = windows.SND_FILENAME | windows.SND_ASYNC | windows.SND_NODEFAULT
            with suppress(RuntimeError):  # something sounds that is let finish, or there is nothing to sound it
                windows.PlaySound(str(self._files[name]), how | (windows.SND_NOSTOP if light else 0))

    def close(self) -> None:
        if self._latest is not None:
            self._latest.close()
        else:
            with suppress(RuntimeError):
                self._windows.PlaySound(None, 0)  # be still, and let go of the file, which could not be removed
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
