"""What every program of ours on a full screen does: help, leaving in good order, a sentence when it breaks."""

from __future__ import annotations

import os
import signal
import time
from collections import deque
from contextlib import suppress
from threading import Thread
from typing import TYPE_CHECKING, Any

from textual import events
from textual.binding import Binding
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input

from hosewright.bench.inside import InsideApp, active_message_pump
from hosewright.bench.shielded import Shielded
from hosewright.bench.themes import all_themes
from hosewright.bench.widgets.ask import YES_OR_NO, Ask, Asked
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.keybar import bound_commands
from hosewright.places import closed_to_others, data_folder, make_private
from hosewright.session.keys import meant
from hosewright.settings.table import USUAL

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from textual.app import ComposeResult
    from textual.driver import Driver
    from textual.events import Key
    from textual.timer import Timer

CLOSED = 129  # as after SIGHUP, which a terminal that is closed sends
TOLD_S = 10.0
TRIPS, LEADS_S = 3, 0.3  # of a message behind a key; and how long that is waited for, when the line is gone


# What a shell reports of a process such a signal ended: 128 and the signal's number (POSIX).
PATIENCE_S = 1.2  # with what `let_go` may take, an end within two seconds
_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGQUIT")


def leave_on_signals(leave: Callable[[int], None]) -> None:
    """Call ``leave`` with the exit code when a signal asks to end, in the midst of whatever is being done.

    Textual itself would die at once and leave the terminal raw. The event loop's own handlers would wait for a loop
    that may itself wait for ever, to write to a terminal that is gone.
    """
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None:
            signal.signal(number, lambda number, _: leave(128 + number))


class Watchdog:
    """Ends the process some time after it was told to leave, if it has not ended by itself."""

    def __init__(self, let_go: Callable[[], object]) -> None:
        """``let_go`` is called in a thread of its own, just before the end."""
        self._let_go = let_go
        self._ear, self._mouth = os.pipe()
        Thread(target=self._wait, name="hosewright-watchdog", daemon=True).start()

    def wake(self, code: int) -> None:
        """Leave with ``code`` soon. From any thread, and from within a signal: it waits for nothing."""
        os.write(self._mouth, bytes([code]))

    def _wait(self) -> None:
        (code,) = os.read(self._ear, 1)
        time.sleep(PATIENCE_S)
        try:
            self._let_go()
        finally:
            os._exit(code)


class LeaveScreen(Ask):
    """The question before a running count is left. No key counts while it is up."""

    EXPLAIN = "A count is running. y leaves the bench, n goes back to the count. Everything is saved either way."
    DEFAULT_CSS = """
    LeaveScreen { align: center middle; }
    LeaveScreen Vertical {
        width: 64; max-width: 100%; height: auto; max-height: 100%; padding: 1 2; background: $surface;
        border: round $primary;
    }
    """

    def __init__(self, standing: str) -> None:
        super().__init__(f"A count is running: {standing}. It is saved. Leave the bench?", **YES_OR_NO)

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Asked("", markup=False)

    def on_mount(self) -> None:
        self.query_one(Asked).ask(self.question, **self.answers)


class Behind(Message):
    """Goes the way that a key goes, from the line it was typed in up to the program, and so comes when that is done.

    ``trips``: how often more. What a key leads to (a line is taken, a reading is stored) goes that way itself.
    """

    def __init__(self, trips: int) -> None:
        super().__init__()
        self.trips = trips


class Program(Shielded, InsideApp):
    """Ends with an exit code; whatever breaks it, the person sees one sentence."""

    BINDINGS = [  # these come before any screen, window, question or line to type in
        Binding("ctrl+q", "leave", "Quit", show=False, priority=True),
        Binding("ctrl+c", "leave", "Quit", show=False, priority=True),
        Binding("ctrl+z", "suspend_process", "Suspend", show=False, priority=True),
    ]
    ENABLE_COMMAND_PALETTE = False
    count_keys: Sequence[str] = ()  # what is pressed at any speed

    def __init__(self) -> None:
        super().__init__()
        self.themes: list[str] = []
        self._watchdog: Watchdog | None = None
        self._held: list[Key] = []
        self._ahead: deque[Key] = deque()  # typed before it was known where the key before them leads
        self._leads: Timer | None = None  # runs while that is not known, and no longer than that may take
        self._told_at: dict[str, float] = {}

    def run(self, **how: Any) -> int | None:
        """In GNU screen without the mouse: while a program has it there, each Esc is held back till the next key."""
        return super().run(mouse="STY" not in os.environ, **how)

    def get_driver_class(self) -> type[Driver]:
        usual = super().get_driver_class()
        if usual.__module__ != "textual.drivers.linux_driver":
            return usual
        from hosewright.bench.terminal import Terminal  # there is no such module of Python's where terminals are others

        return Terminal

    def put_up_every_theme(self) -> list[str]:
        """Make every theme known, and say why any other could not be used."""
        themes, troubles = all_themes()
        for theme in themes:
            self.register_theme(theme)
        self.themes = list(dict.fromkeys(theme.name for theme in themes))
        return troubles

    def theme_asked_for(self, name: str) -> str:
        """The theme of that name, else the usual one, else the first there is."""
        return next((one for one in (name, USUAL.theme, *self.themes) if one in self.themes), self.theme)

    def start_up(self, troubles: Iterable[str]) -> None:
        """Leave properly on a signal; paint all of it again after a stop (Ctrl-Z); say what could not be used."""
        if not self.is_headless:
            self._watchdog = Watchdog(self._let_go)
            leave_on_signals(self._leave_for_good)
        self.app_resume_signal.subscribe(self, lambda _: self.refresh())
        for trouble in troubles:
            self.tell(trouble)

    async def on_event(self, event: events.Event) -> None:
        """Hand a key on. What is typed behind one that may lead out of a line waits till it is known where to.

        Textual sends each key to the line that has the focus when the key is looked at: in a lump, which a slow
        connection makes of what hands typed, all of them would go to one line, and a row with them.
        """
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
        elif self._leads is not None:
            self._ahead.append(event)
        else:
            if len(event.key) == 1 and event.key.isalpha() and not "a" <= event.key <= "z":
                self._take_for_ours(event)
            line = self.focused
            await super().on_event(event)
            if isinstance(line, Input) and event.is_forwarded and not event.is_printable:
                self._leads = self.set_timer(LEADS_S, self._known)
                line.post_message(Behind(TRIPS))

    def on_behind(self, event: Behind) -> None:
        line = self.focused
        if line is None or not event.trips or not line.post_message(Behind(event.trips - 1)):
            self.call_later(self._known)

    async def _known(self) -> None:
        """It is known where the last key led: hand on what was typed behind it, up to the next such key."""
        if self._leads is not None:
            self._leads.stop()
            self._leads = None
        while self._ahead and self._leads is None:
            await self.on_event(self._ahead.popleft())

    def _take_for_ours(self, event: events.Key) -> None:
        """With Caps Lock, or on a layout with other letters, a key does what its place does, unless one types text."""
        if self.screen_stack and not isinstance(self.focused, Input):
            known = {*self.screen.active_bindings, *getattr(self.screen, "known_keys", ())}
            event.key = meant(event.key, known)

    def _leave_for_good(self, code: int) -> None:
        """End with ``code`` whatever comes between. From any thread, and from within a signal."""
        if self._watchdog is not None:
            self._watchdog.wake(code)
        if self.running_loop is not None:
            with suppress(RuntimeError):  # it is closed: we are leaving already
                self.running_loop.call_soon_threadsafe(self.exit, code, code)

    def terminal_gone(self) -> None:
        self._leave_for_good(CLOSED)

    def _let_go(self) -> None:
        self.let_go()
        self.give_back()

    def give_back(self) -> None:
        """Leave the terminal as it was found; a driver of ours puts its own way here."""

    def let_go(self) -> None:
        """Put away what must not be left in the midst of something, in another thread, while this one hangs."""

    def tell_once(self, sentence: str) -> None:
        now = time.monotonic()
        if now - self._told_at.get(sentence, -TOLD_S) >= TOLD_S:
            self._told_at[sentence] = now
            self.tell(sentence)

    def hold_back(self, keys: list[Key]) -> None:
        """Ask about keys that no hand can have pressed."""

        asked, self._held = bool(self._held), [*self._held, *keys]
        if not asked:
            self.bell()
            question = "Many letters came at once, faster than hands can type: were they pasted? None was taken yet."
            self.push_screen(Ask(question, "take them as keys", "leave them out"), self._take_held)

    def _take_held(self, sure: bool | None) -> None:
        keys, self._held = self._held, []
        for key in keys if sure else ():
            self.post_message(key)

    def tell(self, sentence: str) -> None:
        self.notify(sentence, severity="warning", markup=False, timeout=10)

    def action_leave(self) -> None:
        self.exit(0)

    def action_explain(self) -> None:
        own = getattr(self.screen, "go_help", None)
        if own is not None:
            own()
        elif not isinstance(self.screen, HelpScreen):
            explain = getattr(self.screen, "EXPLAIN", "")
            self.push_screen(
                HelpScreen("This screen", bound_commands(self.screen), explain, getattr(self.screen, "TOPIC", ""))
            )

    def farewell(self, words: str) -> str:
        """The person gets a sentence, the maker gets a file."""
        return write_trouble(words)

    def shrugs_off(self, error: Exception, message: Message | None) -> bool:
        """What a timer, a call put off, or the building of a screen raised of the logbook ends nothing either."""
        if not super().shrugs_off(error, message):
            return False
        pump = active_message_pump.get(None) if message is None else None
        if isinstance(pump, Shielded) and isinstance(pump, Screen) and not pump.is_mounted:
            pump.give_up()
        return True


def write_trouble(words: str) -> str:
    """Write what happened to ``trouble.txt`` beside the logbook, and return the sentence to leave with."""
    path = data_folder() / "trouble.txt"
    sentence = "hosewright had to stop: it hit a fault. Every count shown is saved; start it again to go on."
    try:
        make_private(path.parent)
        path.unlink(missing_ok=True)
        with open(path, "x", encoding="utf-8", errors="replace", opener=closed_to_others) as file:
            file.write(words)
    except OSError:
        return sentence
    return f"{sentence} What happened is written in {path}."
