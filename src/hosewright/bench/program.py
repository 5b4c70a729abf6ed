"""What every program of ours on a full screen does: help, leaving, and stopping with a sentence when it breaks."""

from __future__ import annotations

import time
from contextlib import suppress
from typing import TYPE_CHECKING

from textual import events
from textual._context import active_message_pump
from textual.app import App

from hosewright.bench.leaving import Watchdog, leave_on_signals
from hosewright.bench.shielded import TROUBLE, Shielded, tell_trouble
from hosewright.bench.widgets.keybar import bound_commands
from hosewright.places import closed_to_others, data_folder, make_private

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from rich.console import RenderableType
    from textual.driver import Driver
    from textual.events import Key


BROKE = 1  # how Textual ends after a fault
CLOSED = 129  # as after SIGHUP, which a terminal that is closed sends
TOLD_S = 10.0


class Program(Shielded, App[int]):
    """Ends with an exit code; whatever breaks it, the person sees one sentence."""

    ENABLE_COMMAND_PALETTE = False
    count_keys: Sequence[str] = ()  # what is pressed at any speed

    def __init__(self) -> None:
        super().__init__()
        self._watchdog: Watchdog | None = None
        self._held: list[Key] = []
        self._told_at: dict[str, float] = {}

    def get_driver_class(self) -> type[Driver]:
        """Our own driver where Textual's is for such terminals."""
        usual = super().get_driver_class()
        if usual.__module__ != "textual.drivers.linux_driver":
            return usual
        from hosewright.bench.terminal import Terminal

        return Terminal

    def start_up(self, troubles: Iterable[str]) -> None:
        """Leave properly on a signal; paint all of it again after a stop (Ctrl-Z); say what could not be used."""
        if not self.is_headless:
            self._watchdog = Watchdog(self._let_go)
            leave_on_signals(self._leave_for_good)
        self.app_resume_signal.subscribe(self, lambda _: self.refresh())
        for trouble in troubles:
            self.tell(trouble)

    async def on_event(self, event: events.Event) -> None:
        """With Caps Lock, or on a layout with other letters, a key does what its place does, unless one types text."""
        if (
            isinstance(event, events.Key)
            and len(event.key) == 1
            and event.key.isalpha()
            and not "a" <= event.key <= "z"
        ):
            self._take_for_ours(event)
        await super().on_event(event)

    def _take_for_ours(self, event: events.Key) -> None:
        from textual.widgets import Input

        from hosewright.session.keys import meant

        if self._screen_stack and not isinstance(self.focused, Input):
            known = {*self.screen.active_bindings, *getattr(self.screen, "known_keys", ())}
            event.key = meant(event.key, known)

    def _leave_for_good(self, code: int) -> None:
        """End with ``code`` whatever comes between. From any thread, and from within a signal."""
        if self._watchdog is not None:
            self._watchdog.wake(code)
        if self._loop is not None:
            with suppress(RuntimeError):  # it is closed: we are leaving already
                self._loop.call_soon_threadsafe(self.exit, code, code)

    def terminal_gone(self) -> None:
        """There is no terminal any more."""
        self._leave_for_good(CLOSED)

    def _let_go(self) -> None:
        self.let_go()
        give_back = getattr(self._driver, "give_back", None)
        if give_back is not None:
            give_back()

    def let_go(self) -> None:
        """Put away what must not be left in the midst of something, in another thread, while this one hangs."""

    def tell_once(self, sentence: str) -> None:
        """Something the person should know, but not again and again."""
        now = time.monotonic()
        if now - self._told_at.get(sentence, -TOLD_S) >= TOLD_S:
            self._told_at[sentence] = now
            self.tell(sentence)

    def hold_back(self, keys: list[Key]) -> None:
        """Ask about keys that no hand can have pressed."""
        from hosewright.bench.widgets.ask import Ask

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
        """Something the person should know, whatever screen is up."""
        self.notify(sentence, severity="warning", markup=False, timeout=10)

    def action_leave(self) -> None:
        """Quit: everything is stored already."""
        self.exit(0)

    def action_explain(self) -> None:
        """Explain the present screen."""
        from hosewright.bench.widgets.help_screen import HelpScreen

        own = getattr(self.screen, "go_help", None)
        if own is not None:
            own()
        elif not isinstance(self.screen, HelpScreen):
            explain = getattr(self.screen, "EXPLAIN", "")
            self.push_screen(HelpScreen("This screen", bound_commands(self.screen), explain))

    def panic(self, *renderables: RenderableType) -> None:
        """Leave with a sentence when Textual's input thread fails: its own way shows a traceback and ends with 0."""
        from io import StringIO

        from rich.console import Console

        told = StringIO()
        Console(file=told, width=120).print(*renderables)
        self._return_code = BROKE
        super().panic(write_trouble(told.getvalue()))

    def _handle_exception(self, error: Exception) -> None:
        """What a timer, a call put off, or the building of a screen raised of the logbook ends nothing either."""
        if not isinstance(error, TROUBLE):
            super()._handle_exception(error)
            return
        tell_trouble(self, error)
        pump = active_message_pump.get(None)
        if isinstance(pump, Shielded) and not pump._is_mounted:
            pump.give_up()

    def _fatal_error(self) -> None:
        # Textual would print a traceback with local values. The person gets a sentence, the maker gets a file.
        import traceback

        words = "".join(traceback.format_exception(self._exception)) if self._exception else "unknown"
        told = write_trouble(words)
        self.bell()
        self._exit_renderables.append(told)
        self._close_messages_no_wait()


def write_trouble(words: str) -> str:
    """Write what happened to ``trouble.txt`` beside the logbook, and return the sentence to leave with."""
    path = data_folder() / "trouble.txt"
    sentence = "hosewright had to stop: something in it is broken. Every count shown is saved; start it again to go on."
    try:
        make_private(path.parent)
        path.unlink(missing_ok=True)
        with open(path, "x", encoding="utf-8", errors="replace", opener=closed_to_others) as file:
            file.write(words)
    except OSError:
        return sentence
    return f"{sentence} What happened is written in {path}."
