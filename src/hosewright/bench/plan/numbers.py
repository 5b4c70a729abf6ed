"""The numbers of a planned sock, on the right of the planning screen or below its lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Container, VerticalScroll
from textual.widgets import Static

from hosewright.phrases.columns import aligned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.planning.lines import Line
    from hosewright.planning.working import Working

LABEL = 14


class PlanNumbers(VerticalScroll, can_focus=False):
    """What the plan comes to, or what is missing."""

    def compose(self) -> ComposeResult:
        """Caution, what is missing, the parts and the rest side by side, then what needs the whole width."""
        yield Static("", id="plan-caution", markup=False)
        yield Static("", id="plan-missing", markup=False)
        with Container(id="plan-lines"):
            yield Static("", id="plan-parts", markup=False)
            yield Static("", id="plan-rest", markup=False)
        for name in ("leg", "cylinders", "notes"):
            yield Static("", id=f"plan-{name}", classes="plan-more", markup=False)

    def show(self, working: Working, missing: str) -> None:
        """Show all of it."""
        cylinders = "\n".join(aligned(working.cylinders))
        texts = {
            "caution": working.caution,
            "missing": missing,
            "parts": _labelled(working.parts),
            "rest": _labelled(working.rest),
            "leg": _under("The leg by the dial", _labelled(working.leg)),
            "cylinders": _under("Cylinders, * nearest the girth wanted", cylinders),
            "notes": "\n".join(f"- {note}" for note in working.notes),
        }
        for name, text in texts.items():
            shown = self.query_one(f"#plan-{name}", Static)
            shown.update(text)
            shown.display = bool(text)

    def page(self, way: int) -> None:
        """Move a screenful down (1) or up (-1)."""
        self.scroll_relative(y=way * max(1, self.size.height - 1), animate=False)


def _labelled(lines: Sequence[Line]) -> str:
    return "\n".join(f"{label:{LABEL}}{said}" for label, said in lines)


def _under(heading: str, text: str) -> str:
    return f"{heading}\n{text}" if text else ""
