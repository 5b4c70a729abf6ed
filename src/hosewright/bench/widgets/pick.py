"""A line of a form to choose from a list instead of typing."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from rich.text import Text
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.widgets import Select, Static

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult


class Pick(Select[str]):
    """A list that opens on Enter; the arrows go up and down the form, as they do on its other lines."""

    BINDINGS = [
        Binding("enter,space", "show_overlay", "Choose", key_display="Enter"),
        Binding("up", "app.focus_previous", "Up", show=False),
        Binding("down", "app.focus_next", "Down", show=False),
    ]


class PickRow(Vertical):
    """Label, list, hint, and below them what is wrong."""

    def __init__(self, name: str, label: str, hint: str, none: str) -> None:
        """``none`` is shown while nothing is chosen."""
        super().__init__(id=f"row-{name}", classes="form-row" if hint else "form-row -no-hint")
        self._label, self._hint = label, hint
        self.pick = Pick([], prompt=none, id=f"field-{name}", compact=True)
        self._problem = Static("", classes="form-problem", markup=False)

    def compose(self) -> ComposeResult:
        """Label, list, hint; then the problem."""
        with Horizontal(classes="form-line"):
            yield Static(self._label, classes="form-label", markup=False)
            yield self.pick
            yield Static(self._hint, classes="form-hint", markup=False)
        yield self._problem

    def offer(self, options: Sequence[tuple[str, str]], chosen: str | None) -> None:
        """Offer (words, value) pairs and choose ``chosen`` when it is one of the values, else nothing."""
        # Text, so that a name with brackets in it is shown as typed.
        self.pick.set_options([(cast("str", Text(words, no_wrap=True)), value) for words, value in options])
        if chosen is not None and any(chosen == value for _, value in options):
            self.pick.value = chosen

    @property
    def chosen(self) -> str | None:
        """The value chosen."""
        value = self.pick.value
        return value if isinstance(value, str) else None

    def say(self, sentence: str) -> None:
        """Show what is wrong, or with an empty sentence that nothing is."""
        self._problem.update(f"! {sentence}" if sentence else "")
        self.set_class(bool(sentence), "-wrong")
