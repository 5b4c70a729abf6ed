"""What every screen has: the logbook's troubles are caught and said, and a key that does nothing says so."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.screen import Screen

from hosewright.bench.inside import InsideApp, InsideScreen
from hosewright.logbook.file.errors import LogbookError, plain
from hosewright.session.keys import shown_key

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.message import Message

TROUBLE = (LogbookError, sqlite3.Error)
SAID_S = 3.0  # how long it stands that a key does nothing
DONE_S = 12.0  # long enough to read where a file is


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


def tell_done(screen: Any, title: str, words: str) -> None:
    """Say in a box that something was done which is not seen here: written, exported, taken in."""
    screen.app.notify(words, title=title, markup=False, timeout=DONE_S)


def write_and_tell(screen: Any, write: Callable[[], str], did: str = "Written, to print") -> None:
    """Write files, and say in a box which ones, as ``write`` returns it; or that none could be, and why."""
    try:
        tell_done(screen, did, write())
    except (OSError, ValueError) as error:
        title = f"Not {did.partition(',')[0].lower()}"
        screen.app.notify(str(error), title=title, severity="error", markup=False, timeout=DONE_S)


class Shielded(InsideScreen):
    """Stands before Textual's class in the bases of every screen, and of the program.

    A screen that cannot be put up is taken down again: the one before it stays.
    """

    KEYS_SAID: ClassVar = True  # a screen that answers for every key itself has False
    ANSWERS: ClassVar = ""  # the keys that a question takes, where there is one
    _put_up = True

    def visit(self, screen: Screen[Any], then: Callable[[Any], object]) -> None:
        """Put ``screen`` up; ``then`` has what it is dismissed with, unless that is nothing, or a no."""

        def after(result: Any) -> None:
            if result:
                then(result)

        self.app.push_screen(screen, after)

    async def on_key(self, event: events.Key) -> None:
        """A key that nothing on the screen took, and that is bound to nothing."""
        if not self.KEYS_SAID or not isinstance(self, Screen):
            return
        bound = self.active_bindings.get(event.key)
        if bound is not None and bound.enabled:
            return
        if isinstance(self.app, InsideApp):
            self.app.say_of_key(self._nothing(event.key), SAID_S)

    def on_idle(self) -> None:
        """All that came to the screen was done: who looks on may say what comes next."""
        look_at = getattr(self.app, "look_at", None) if isinstance(self, Screen) else None
        if look_at is not None:
            look_at(self)

    def _nothing(self, key: str) -> str:
        """That ``key`` does nothing here, and what does."""
        bound = self.active_bindings if isinstance(self, Screen) else {}
        if self.ANSWERS:
            return f"{shown_key(key)} is not an answer here: {self.ANSWERS}."
        if key in getattr(self.app, "count_keys", ()):
            return f"Nothing is counted here{'; Esc goes back' if 'escape' in bound else ''}."
        helps = next((shown_key(name) for name in ("question_mark", "f1") if name in bound), "")
        return f"{shown_key(key)} does nothing here{f'; {helps} says what each key does' if helps else ''}."

    def leaves_out(self, message: Message) -> bool:
        """All that happens to a screen that could not be put up, but its end."""
        return not self._put_up and isinstance(message, events.Event) and not isinstance(message, events.Unmount)

    def shrugs_off(self, error: Exception, message: Message | None) -> bool:
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
