"""The first line of a screen, the same everywhere: what it shows, then what else is to be known of it."""

from __future__ import annotations

from rich.text import Text

from hosewright.bench.widgets.line import Steady


class Heading(Steady):
    """A title and what stands beside it, on a ground of its own."""

    DEFAULT_CSS = """
    Heading { height: auto; width: 100%; padding: 0 1; background: $panel; color: $foreground; }
    """

    def __init__(self, title: str = "", *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.title = title

    def on_mount(self) -> None:
        """Show what it was made with, where nothing was said meanwhile."""
        if not self.content:
            self.say()

    def say(self, beside: str = "", title: str = "") -> None:
        """Show this beside the title; what was the title stays where none is given."""
        self.title = title or self.title
        self.show_text(Text.assemble((self.title, "bold"), f"   {beside}" if beside else ""), layout=True)
