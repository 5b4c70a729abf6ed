"""The panel of the present step: words, dial trials, the count or the readings; for one who learns, the reason, too."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from textual.containers import Vertical

from hosewright.bench.count.counting import big_number
from hosewright.bench.count.learning_panel import LearningPanel
from hosewright.bench.count.measure_panel import MeasurePanel
from hosewright.bench.count.panels import TrialPanel, WordsPanel
from hosewright.bench.widgets.bigtext import BigText
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.live import Live
    from hosewright.session.state import State
    from hosewright.settings.table import Settings

Kind = Literal["words", "trial", "counting", "measuring"]
_KINDS: tuple[Kind, ...] = ("words", "trial", "counting", "measuring")


def panel_of(state: State) -> Kind:
    """Which panel the present step has."""
    step = state.step
    if state.abandoned:
        return "words"
    if isinstance(step, DialTrial):
        return "trial"
    if isinstance(step, CountRows | CountPasses):
        return "counting"
    return "measuring" if isinstance(step, Measure) else "words"


class StepPanels(Vertical):
    """One panel at a time."""

    def __init__(self) -> None:
        super().__init__(id="panels")
        self._up: Kind | None = None

    def compose(self) -> ComposeResult:
        """Every panel; which is seen, ``show`` says."""
        yield WordsPanel(id="words")
        yield TrialPanel(id="trial")
        yield BigText(least=3, id="counting")
        yield MeasurePanel(id="measuring")
        yield LearningPanel(id="learning")

    async def show(self, live: Live, first: State | None, settings: Settings) -> None:
        """Show where a session stands; ``first`` is where the first sock of its pair stands, when it is a twin."""
        state = live.state
        kind = panel_of(state)
        if kind != self._up:
            self._up = kind
            for name in _KINDS:
                self.query_one(f"#{name}").display = name == kind
        if isinstance(state.step, Measure) and kind == "measuring":
            panel = self.query_one(MeasurePanel)
            await panel.lay_out(state.step, settings)
            panel.show(live, learning=settings.step_by_step)
        elif kind == "words":
            self.query_one(WordsPanel).show(live, first, learning=settings.step_by_step)
        elif kind == "trial":
            self.query_one(TrialPanel).show(live, learning=settings.step_by_step)
        else:
            count = self.query_one("#counting", BigText)
            count.show(big_number(state, settings.count_shows))
            count.set_class(state.paused, "paused")
