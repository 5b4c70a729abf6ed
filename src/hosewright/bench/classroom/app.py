"""The program a teacher's class runs in: no logbook of its own, nothing stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding

from hosewright.bench.classroom.screen import ClassScreen
from hosewright.bench.program import Program
from hosewright.bench.themes import all_themes
from hosewright.logbook.classroom import USUAL_PATIENCE, Classroom
from hosewright.phrases.times import WallClock, time_of_day
from hosewright.settings.table import USUAL

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from hosewright.logbook.classroom import Patience
    from hosewright.phrases.times import Clock, Moment
    from hosewright.settings.table import Settings


class ClassApp(Program):
    """One teacher looking at a class."""

    TITLE = "hosewright class"
    CSS_PATH = "screen.tcss"  # a default screen's own is not read
    BINDINGS = [
        Binding("ctrl+q", "leave", "Quit", show=False, priority=True),
        Binding("ctrl+c", "leave", "Quit", show=False, priority=True),
        Binding("ctrl+z", "suspend_process", "Suspend", show=False, priority=True),
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
        return ClassScreen()

    def on_mount(self) -> None:
        self.start_up(self._troubles)

    def time_words(self, now: Moment) -> str:
        return time_of_day(now.at_ms, now.zone_min)


def run_class(named: Sequence[Path], settings: Settings, patience: Patience, troubles: Sequence[str]) -> int:
    """Show the class until the teacher leaves. Returns the exit code."""
    app = ClassApp(named, settings, patience=patience, troubles=troubles)
    app.run()
    return app.return_code or 0
