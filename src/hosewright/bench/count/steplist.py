"""The steps of a session, the present one marked, each count beside its target."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.bench.widgets.line import Sheet
from hosewright.session.steps import CountPasses, CountRows, sock_of

if TYPE_CHECKING:
    from hosewright.session.state import State

_WIDTH = 25


class StepList(Sheet):
    """x done, > present, nothing before the ones to come."""

    DEFAULT_CSS = "StepList { width: 28; padding: 0 1; }"

    _state: State | None = None

    def on_resize(self) -> None:
        """Another height holds other steps round the present one."""
        if self._state is not None:
            self.show(self._state)

    def show(self, state: State) -> None:
        """Show where ``state`` stands, scrolled so that the present step can be seen."""
        self._state = state
        steps = len(state.head.steps)
        room = max(3, self.size.height or 18)
        first = max(0, min(state.index - room // 2, steps - room))
        self.show_rows([self._row(state, index) for index in range(first, min(first + room, steps))])

    def _row(self, state: State, index: int) -> tuple[str, str]:
        step = state.head.steps[index]
        counted = ""
        if isinstance(step, CountRows | CountPasses):
            counted = f"{state.counts[index]}/{step.target}"
        mark = "x" if index < state.index else ">" if index == state.index else " "
        title = step.title
        if sock := sock_of(step.id):
            title = f"{sock} {title.removesuffix(f', sock {sock}')}"
        room = _WIDTH - 3 - len(counted) if counted else _WIDTH - 2
        style = "bold reverse" if index == state.index else "dim" if index < state.index else ""
        return f"{mark} {title[:room]:<{room}} {counted}".rstrip(), style
