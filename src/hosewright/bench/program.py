"""What every program of ours on a full screen does: help, leaving, and stopping with a sentence when it breaks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events
from textual.app import App

from hosewright.bench.keybar import bound_commands
from hosewright.bench.leaving import leave_on_signals
from hosewright.places import closed_to_others, data_folder

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import RenderableType


BROKE = 1  # how Textual ends after a fault


class Program(App[int]):
    """Ends with an exit code; whatever breaks it, the person sees one sentence."""

    ENABLE_COMMAND_PALETTE = False

    def start_up(self, troubles: Iterable[str]) -> None:
        """Leave properly on a signal; paint all of it again after a stop (Ctrl-Z); say what could not be used."""
        if not self.is_headless:
            leave_on_signals(lambda code: self.exit(code, code))
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

        from hosewright.session.keyboard import meant

        if self._screen_stack and not isinstance(self.focused, Input):
            known = {*self.screen.active_bindings, *getattr(self.screen, "known_keys", ())}
            event.key = meant(event.key, known)

    def tell(self, sentence: str) -> None:
        """Something the person should know, whatever screen is up."""
        self.notify(sentence, severity="warning", markup=False, timeout=10)

    def action_leave(self) -> None:
        """Quit: everything is stored already."""
        self.exit(0)

    def action_explain(self) -> None:
        """Explain the present screen."""
        from hosewright.bench.help_screen import HelpScreen

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

    def _fatal_error(self) -> None:
        # Textual would print a traceback with local values. The person gets a sentence, the maker gets a file.
        import traceback

        words = "".join(traceback.format_exception(self._exception)) if self._exception else "unknown"
        told = write_trouble(words)
        self.bell()
        self._exit_renderables.append(told)
        self._close_messages_no_wait()


def _may_be_another(key: str) -> bool:
    return len(key) == 1 and key.isalpha() and not "a" <= key <= "z"


def write_trouble(words: str) -> str:
    """Write what happened to ``trouble.txt`` beside the logbook, and return the sentence to leave with."""
    path = data_folder() / "trouble.txt"
    sentence = (
        "hosewright had to stop: something in it is broken. Every count shown is stored; start it again to go on."
    )
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        path.unlink(missing_ok=True)
        with open(path, "x", encoding="utf-8", errors="replace", opener=closed_to_others) as file:
            file.write(words)
    except OSError:
        return sentence
    return f"{sentence} What happened is written in {path}."
