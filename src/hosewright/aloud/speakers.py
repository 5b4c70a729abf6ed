"""The speakers of each system, and how each is asked for words at a speed, in a voice, in a language."""

from __future__ import annotations

import shlex
import shutil
import sys
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING

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
# Nothing typed goes into the script.
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
        case "say":
            return Asked((*command, "-r", str(speed), *(("-v", voice) if voice else ())))
        case "spd-say":
            chosen = (*(("-l", language) if language else ()), *(("-y", voice) if voice else ()))
            # Waited for, so that it is known whether it speaks; cut off by its service, which goes on without it.
            return Asked((*command, "-w", "-r", str(spd_rate(speed)), *chosen), (command[0], "-S"))
        case _:
            return Asked(command)


def spd_rate(speed: int) -> int:
    """Words a minute on the scale of spd-say, -100 to 100; from memory: 80, 175 and 390 words at its ends and 0."""
    return max(-100, min(100, round((speed - 175) / (95 if speed < 175 else 215) * 100)))


def fit(words: str) -> str:
    """Words that cannot be taken for an option or a second line, and are not endless."""
    return " ".join(harmless(words).split()).lstrip("-")[:MOST_SPOKEN]
