"""The program a teacher's class runs in: no logbook of its own, nothing stored."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from textual.app import App
from textual.binding import Binding

from hosewright.bench.app import write_trouble
from hosewright.bench.class_screen import ClassScreen
from hosewright.bench.help_screen import HelpScreen
from hosewright.bench.keybar import bound_commands
from hosewright.bench.leaving import leave_on_signals
from hosewright.bench.themes import all_themes
from hosewright.logbook.clock import WallClock
from hosewright.logbook.learner_line import USUAL_PATIENCE
from hosewright.logbook.learners import Classroom
from hosewright.settings import USUAL

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from rich.console import RenderableType

    from hosewright.logbook.clock import Clock, Moment
    from hosewright.logbook.learner_line import Patience
    from hosewright.settings import Settings


class ClassApp(App[int]):
    """One teacher looking at a class."""

    TITLE = "hosewright class"
    ENABLE_COMMAND_PALETTE = False
    CSS_PATH = "class_screen.tcss"  # a default screen's own is not read
    BINDINGS = [
        Binding("ctrl+q", "leave", "Quit", show=False),
        Binding("ctrl+c", "leave", "Quit", show=False),
        Binding("f1", "explain", "Help", show=False),
    ]

    def __init__(
        self,
        named: Sequence[Path],
        settings: Settings,
        *,
        patience: Patience = USUAL_PATIENCE,
        clock: Clock | None = None,
        troubles: Sequence[str] = (),
    ) -> None:
        """``named``: the learners' files and folders; ``troubles``: sentences to show at once."""
        super().__init__()
        self.room = Classroom(named)
        self.settings = settings
        self.patience = patience
        self.clock = clock or WallClock()
        self._troubles = list(troubles)
        themes, unusable = all_themes()
        self._troubles += unusable
        for theme in themes:
            self.register_theme(theme)
        names = [theme.name for theme in themes]
        self.theme = next((name for name in (settings.theme, USUAL.theme) if name in names), self.theme)

    def get_default_screen(self) -> ClassScreen:
        """The class is the first screen."""
        return ClassScreen()

    def on_mount(self) -> None:
        """Leave properly on a signal; say what could not be used."""
        if not self.is_headless:
            leave_on_signals(lambda code: self.exit(code, code))
        for trouble in self._troubles:
            self.notify(trouble, severity="warning", markup=False, timeout=10)

    def time_words(self, now: Moment) -> str:
        """The time of day for the first line."""
        return f"{datetime.fromtimestamp(now.at_ms / 1000 + now.zone_min * 60, UTC):%H:%M}"

    def action_leave(self) -> None:
        """Quit: there is nothing to store."""
        self.exit(0)

    def action_explain(self) -> None:
        """Explain the present screen."""
        if not isinstance(self.screen, HelpScreen):
            explain = getattr(self.screen, "EXPLAIN", "")
            self.push_screen(HelpScreen("This screen", bound_commands(self.screen), explain))

    # A sentence for the person and a file for the maker, as the bench does.

    def panic(self, *renderables: RenderableType) -> None:
        """Leave with a sentence when Textual's input thread fails."""
        from io import StringIO

        from rich.console import Console

        told = StringIO()
        Console(file=told, width=120).print(*renderables)
        self._return_code = 1
        super().panic(write_trouble(told.getvalue()))

    def _fatal_error(self) -> None:
        import traceback

        words = "".join(traceback.format_exception(self._exception)) if self._exception else "unknown"
        self._exit_renderables.append(write_trouble(words))
        self._close_messages_no_wait()


def run_class(named: Sequence[Path], settings: Settings, patience: Patience, troubles: Sequence[str]) -> int:
    """Show the class until the teacher leaves. Returns the exit code."""
    app = ClassApp(named, settings, patience=patience, troubles=troubles)
    app.run()
    return app.return_code or 0
