"""What the person set to hear, at one place for the bench and the line mode."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.aloud.speakers import Speaker, Tones, speaker_of, tones_here
from hosewright.session.heard import for_the_ear, heard_of, heard_place
from hosewright.settings.table import ALOUD, TABLE

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.session.events import Event
    from hosewright.session.state import State
    from hosewright.settings.table import Settings


_MADE_OF = [one.name for one in TABLE.values() if one.part == ALOUD]


def hears(settings: Settings) -> bool:
    """Whether anything is to be heard at all."""
    return settings.speech != "off" or settings.tones != "off"


class Ear:
    """Speaks and sounds what ``settings`` ask for. It waits for nothing, and what fails is told to ``trouble``."""

    def __init__(self, settings: Settings, ring: Callable[[], None], trouble: Callable[[str], None]) -> None:
        """``ring``: the terminal's bell. ``trouble`` may be called from another thread."""
        self.settings = settings
        self.quiet = False
        self._ring = ring
        self._speaker: Speaker | None = speaker_of(settings, trouble) if settings.speech != "off" else None
        self._tones: Tones | None = tones_here(trouble) if settings.tones == "sounds" else None

    def takes(self, settings: Settings) -> bool:
        """Go by other settings from now on; False when what speaks or sounds must be another."""
        same = all(getattr(settings, name) == getattr(self.settings, name) for name in _MADE_OF)
        self.settings = settings
        return same

    def hear(self, event: Event, state: State) -> None:
        """An event was stored, and led to ``state``."""
        settings = self.settings
        number_every = settings.speech_every if settings.speech == "rows" else 0
        heard = heard_of(event, state, settings.cues_every, settings.cue_rows_ahead, number_every)
        if heard is None or self.quiet:
            return
        if self._speaker is not None and heard.words:
            self._speaker.say(heard.words, light=heard.counts)
        if heard.tone and self._tones is not None:
            self._tones.play(heard.tone)
        elif heard.tone and settings.tones == "bell":
            self._ring()

    def say_place(self, state: State) -> None:
        """Say where one is, also while all else is quiet."""
        if self._speaker is not None:
            self._speaker.say(heard_place(state))

    def warn(self, sentence: str) -> None:
        """Say what went wrong: eyes on the needles do not see that a press was refused."""
        if self._speaker is not None and not self.quiet:
            self._speaker.say(for_the_ear(sentence))

    def hush(self) -> None:
        """Cut off what is being said."""
        if self._speaker is not None:
            self._speaker.hush()

    def turn(self, how: str) -> str:
        """Quiet from now on, or no longer; the sentence that says so. ``how`` it is turned again: "press -"."""
        if self._speaker is None and self._tones is None and self.settings.tones != "bell":
            return "Nothing speaks or sounds here; e on the bench sets what does."
        self.quiet = not self.quiet
        if self.quiet:
            self.hush()
        return f"Quiet until you {how} again." if self.quiet else "No longer quiet."

    def close(self) -> None:
        for one in (self._speaker, self._tones):
            if one is not None:
                one.close()
