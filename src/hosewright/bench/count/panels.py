"""The middle of the session screen: a panel for each kind of step, and the steps beside it."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Literal

from textual.containers import Vertical
from textual.widgets import Static

from hosewright.bench.count.drawn import MOST_RUNGS, ladder
from hosewright.bench.count.finished_panel import FinishedPanel
from hosewright.bench.count.measure_panel import MeasurePanel
from hosewright.bench.count.reason_panel import ReasonPanel
from hosewright.bench.widgets.bigtext import BigText, large
from hosewright.bench.widgets.line import Sheet
from hosewright.counting.finished import result_words
from hosewright.craft.dial import show_position, show_turns
from hosewright.phrases.lists import many
from hosewright.session.reasons import caution_now
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure, sock_of
from hosewright.session.twins import beside_first
from hosewright.session.words import instruction

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.live import Live
    from hosewright.session.state import State
    from hosewright.settings.table import Settings


_WIDTH = 25


class StepList(Sheet):
    """x done, > present, nothing before the ones to come."""

    DEFAULT_CSS = "StepList { width: 28; padding: 0 1; }"

    _state: State | None = None

    def on_resize(self) -> None:
        if self._state is not None:
            self.show(self._state)

    def show(self, state: State) -> None:
        """Show where ``state`` stands, scrolled so that the present step can be seen."""
        self._state = state
        steps = len(state.head.steps)
        room = max(3, self.size.height or 18)
        first = max(0, min(state.index - room // 2, steps - room))
        self.show_rows([(self._row(state, index),) for index in range(first, min(first + room, steps))])

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


ROOM_FOR_LARGE = 36  # lines of the terminal


class WordsPanel(Vertical):
    """An instruction to read, and its caution."""

    DEFAULT_CSS = """
    WordsPanel { padding: 1 2; }
    WordsPanel .title { text-style: bold; margin-bottom: 1; }
    WordsPanel .caution { margin-top: 1; color: $text-warning; text-style: bold; }
    WordsPanel .result { margin-top: 1; }
    """

    def compose(self) -> ComposeResult:
        yield Static("", classes="title", markup=False)
        yield FinishedPanel()
        for name in ("say", "caution", "result"):
            yield Static("", classes=name, markup=False)

    def show(self, live: Live, first: State | None, settings: Settings) -> None:
        """Show the present step of ``live``; ``first`` is the first sock when this is its twin.

        One step at a time the title is large where it has room, and the caution stands with the reasons below.
        """
        step_by_step = settings.step_by_step
        self.query_one(FinishedPanel).show(live, settings)
        told = instruction(live.state, live.record.given)
        step = live.state.step
        title = "Given up" if live.state.abandoned else step.title if step else "Finished"
        say = "" if told == "Finished." else told
        width, height = self.app.size
        drawn = large(title, width - 4) if step_by_step and height >= ROOM_FOR_LARGE else ()
        self._set("title", "\n".join(drawn) or title)
        self._set("say", say)
        caution = "" if step_by_step else caution_now(live.state)
        self._set("caution", f"Caution: {caution}" if caution else "")
        beside = beside_first(first, live.state) if first else []
        self._set("result", "\n".join(words for words in (result_words(live), *beside) if words))

    def _set(self, name: str, text: str) -> None:
        part = self.query_one(f".{name}", Static)
        part.update(text)
        part.display = bool(text)


LARGE_POSITION = 5  # lines
LEAST_LADDER = 5  # its heading and four rungs: where they have no room the position is not drawn large


class TrialPanel(Vertical):
    """The search for the stitch size: what to do, where the dial belongs, and the trials so far."""

    DEFAULT_CSS = """
    TrialPanel { padding: 0 2; }
    TrialPanel #advice { text-style: bold; height: auto; max-height: 8; }
    TrialPanel #position { height: 5; max-width: 60; color: $text-primary; }
    TrialPanel #where { height: auto; margin-bottom: 1; }
    TrialPanel #ladder { height: auto; }
    TrialPanel #trial-caution { color: $text-warning; text-style: bold; height: auto; }
    """

    def compose(self) -> ComposeResult:
        yield Static("", id="advice", markup=False)
        yield BigText(id="position")
        yield Static("", id="where", markup=False)
        yield Static("", id="trial-caution", markup=False)
        yield Static("", id="ladder", markup=False)

    def show(self, live: Live, *, step_by_step: bool = False) -> None:
        """Show the search; ``step_by_step``: the caution stands with the reasons below."""
        state = live.state
        turn = state.head.clicks_per_turn
        told = instruction(state)
        self.query_one("#advice", Static).update(told)
        self.query_one("#position", BigText).show(show_turns(state.search.position, turn))
        rows = "no full row yet" if not state.count else f"{many(state.count, 'row')} here"
        if state.search.found or state.search.stopped:
            rows = "do not crank"
        paused = "  PAUSED" if state.paused else ""
        where = f"{show_position(state.search.position, turn)} ({state.search.position} clicks), {rows}{paused}"
        self.query_one("#where", Static).update(where)
        caution = "" if step_by_step else caution_now(state)
        caution = f"Caution: {caution}" if caution else ""
        self.query_one("#trial-caution", Static).update(caution)
        lines = ladder(state.trials, state.search, turn)
        room = LARGE_POSITION + len(lines) if step_by_step else self._room_beside(told, where, caution)
        drawn_large = room >= LARGE_POSITION + min(len(lines), LEAST_LADDER)
        self.query_one("#position").display = drawn_large
        rungs = room - LARGE_POSITION * drawn_large - 1
        lines = ladder(state.trials, state.search, turn, min(rungs, MOST_RUNGS))
        self.query_one("#ladder", Static).update("\n".join(lines))

    def _room_beside(self, *words: str) -> int:
        width, height = self.content_size
        if not height:  # not laid out yet
            return LARGE_POSITION + 1 + MOST_RUNGS
        empty = 0 if self.screen.has_class("short") else 1
        return height - empty - sum(len(wrap(said, max(1, width))) for said in words)


Kind = Literal["words", "trial", "counting", "measuring"]
_PANELS: tuple[Kind, ...] = ("words", "trial", "measuring")


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
        yield WordsPanel(id="words")
        yield TrialPanel(id="trial")
        yield MeasurePanel(id="measuring")
        yield ReasonPanel(id="reason")

    async def show(self, live: Live, first: State | None, settings: Settings) -> None:
        """Show where a session stands; ``first`` is where the first sock of its pair stands, when it is a twin."""
        state = live.state
        kind = panel_of(state)
        if kind != self._up:
            self._up = kind
            for name in _PANELS:
                self.query_one(f"#{name}").display = name == kind
        if isinstance(state.step, Measure) and kind == "measuring":
            panel = self.query_one(MeasurePanel)
            await panel.lay_out(state.step, settings)
            panel.show(live, step_by_step=settings.step_by_step)
        elif kind == "words":
            self.query_one(WordsPanel).show(live, first, settings)
        elif kind == "trial":
            self.query_one(TrialPanel).show(live, step_by_step=settings.step_by_step)
