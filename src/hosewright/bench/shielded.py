"""The one place that catches what the logbook raises, on every screen: one sentence, and the screen stays."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, Any

from textual import events

from hosewright.bench.inside import InsidePump
from hosewright.logbook.file.errors import LogbookError, plain

if TYPE_CHECKING:
    from textual.message import Message

TROUBLE = (LogbookError, sqlite3.Error)


def trouble_words(error: Exception) -> str:
    """What the logbook raised, in a sentence."""
    return str(error) if isinstance(error, LogbookError) else f"The logbook cannot be read: {plain(error)}."


def tell_trouble(app: Any, error: Exception) -> None:
    """Say it on whatever screen is up, once for all that come of one cause."""
    tell = getattr(app, "tell_once", None)
    if tell is not None:
        tell(trouble_words(error))
    else:
        app.notify(trouble_words(error), severity="error", markup=False)


class Shielded(InsidePump):
    """Stands before Textual's class in the bases of every screen, and of the program.

    A screen that cannot be put up is taken down again: the one before it stays.
    """

    _put_up = True

    def leaves_out(self, message: Message) -> bool:
        """All that happens to a screen that could not be put up, but its end."""
        return not self._put_up and isinstance(message, events.Event) and not isinstance(message, events.Unmount)

    def shrugs_off(self, error: Exception, message: Message | None) -> bool:
        """What the logbook raised is said."""
        if not isinstance(error, TROUBLE):
            return False
        tell_trouble(self.app, error)
        if isinstance(message, events.Mount):
            self.give_up()
        return True

    def give_up(self) -> None:
        """What was to be shown cannot be read."""
        screens: list[object] = list(self.app.screen_stack)
        if self in screens[1:]:
            self._put_up = False
            if self is screens[-1]:
                self.app.call_later(self.app.pop_screen)
