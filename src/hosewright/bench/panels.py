"""What the session screen shows in its middle, one panel for each kind of step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical
from textual.widgets import Static

from hosewright.bench.bigtext import BigText
from hosewright.bench.ladder import ladder
from hosewright.bench.strip import CylinderStrip
from hosewright.craft.dial import show_position, show_turns
from hosewright.session.faults import FAULT_WORDS
from hosewright.session.steps import CountPasses, CountRows
from hosewright.session.words import instruction, pass_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.live import Live
    from hosewright.session.state import Sighting, State


class WordsPanel(Vertical):
    """An instruction to read, and its caution."""

    DEFAULT_CSS = """
    WordsPanel { padding: 1 2; }
    WordsPanel .title { text-style: bold; margin-bottom: 1; }
    WordsPanel .caution { margin-top: 1; color: $text-warning; text-style: bold; }
    WordsPanel .result { margin-top: 1; }
    """

    def compose(self) -> ComposeResult:
        """Title, instruction, caution, result."""
        for name in ("title", "say", "caution", "result"):
            yield Static("", classes=name, markup=False)

    def show(self, live: Live) -> None:
        """Show the present step of ``live``."""
        told = instruction(live.state, live.record.machine.weights)
        step = live.state.step
        title = "Given up" if live.state.abandoned else step.title if step else "Finished"
        self._set("title", title)
        self._set("say", told.say)
        self._set("caution", f"Caution: {told.caution}" if told.caution else "")
        self._set("result", result_words(live))

    def _set(self, name: str, text: str) -> None:
        part = self.query_one(f".{name}", Static)
        part.update(text)
        part.display = bool(text)


def result_words(live: Live) -> str:
    """What a finished session came to."""
    if live.state.step is not None or live.record.kind != "tube":
        return ""
    gauge = live.gauge(live.state, live.state.last_ms)
    if gauge is None:
        return "The tube was not measured, so it has no gauge."
    rows, stitches = gauge.rows_per_mm * 25.4, gauge.stitches_per_mm * 25.4
    return (
        f"{rows:.2f} rows and {stitches:.2f} stitches to the inch "
        f"({rows / 2.54:.3f} and {stitches / 2.54:.3f} to the centimetre). Plan a sock from it next."
    )


class TrialPanel(Vertical):
    """The search for the stitch size: what to do, where the dial belongs, and the trials so far."""

    DEFAULT_CSS = """
    TrialPanel { padding: 0 2; }
    TrialPanel #advice { text-style: bold; height: auto; max-height: 5; }
    TrialPanel #position { height: 5; max-width: 60; color: $text-primary; }
    TrialPanel #where { height: auto; margin-bottom: 1; }
    TrialPanel #ladder { height: auto; }
    TrialPanel #trial-caution { color: $text-warning; text-style: bold; height: auto; }
    """

    def compose(self) -> ComposeResult:
        """Advice, dial position, ladder, caution."""
        yield Static("", id="advice", markup=False)
        yield BigText(id="position")
        yield Static("", id="where", markup=False)
        yield Static("", id="ladder", markup=False)
        yield Static("", id="trial-caution", markup=False)

    def show(self, live: Live) -> None:
        """Show the search."""
        state = live.state
        turn = state.head.clicks_per_turn
        told = instruction(state)
        self.query_one("#advice", Static).update(told.say)
        self.query_one("#position", BigText).show(show_turns(state.search.position, turn))
        rows = "no full row yet" if not state.count else f"{state.count} row{'s' * (state.count > 1)} here"
        if state.search.found or state.search.stopped:
            rows = "do not crank"
        paused = "  PAUSED" if state.paused else ""
        self.query_one("#where", Static).update(
            f"{show_position(state.search.position, turn)} ({state.search.position} clicks), {rows}{paused}"
        )
        self.query_one("#ladder", Static).update("\n".join(ladder(state.trials, state.search, turn)))
        self.query_one("#trial-caution", Static).update(f"Caution: {told.caution}" if told.caution else "")


class CountFoot(Vertical):
    """Under the count: how far to go, what the hands do, the needles, what was seen last."""

    DEFAULT_CSS = """
    CountFoot { height: auto; }
    CountFoot #left { height: 1; padding: 0 1; text-style: bold; }
    CountFoot #bar { height: 1; padding: 0 1; }
    CountFoot #now { height: auto; max-height: 2; padding: 0 1; text-style: bold; }
    CountFoot #seen { height: auto; max-height: 3; padding: 0 1; }
    """

    def compose(self) -> ComposeResult:
        """Progress, instruction, needles, observations."""
        yield Static("", id="left", markup=False)
        yield Static("", id="bar", markup=False)
        yield Static("", id="now", markup=False)
        yield CylinderStrip(id="strip")
        yield Static("", id="seen", markup=False)

    def show(self, live: Live, *, short: bool) -> None:
        """Show the count; ``short``: the terminal has few lines, so only what the hands need."""
        state = live.state
        step = state.step
        assert isinstance(step, CountRows | CountPasses)
        self.query_one("#left", Static).update(progress_words(state, live.pace.per_minute))
        self.query_one("#bar", Static).update(_bar(state.count, step.target, max(10, self.app.size.width - 4)))
        self.query_one("#now", Static).update(_now(state, live.record.machine.weights))
        self.query_one("#seen", Static).update(seen_words(state, 3))
        strip = self.query_one(CylinderStrip)
        strip.display = not short or isinstance(step, CountPasses) or bool(step.out_of_work)
        strip.show(state, legend=not short)


def progress_words(state: State, per_minute: float | None) -> str:
    """How far the present count is, in one line."""
    step = state.step
    assert isinstance(step, CountRows | CountPasses)
    unit = "rows" if isinstance(step, CountRows) else "passes"
    left = step.target - state.count
    words = f"{step.title}: {state.count} of {step.target} {unit}"
    if state.paused:
        return f"{words}   PAUSED"
    if left > 0:
        words += f", {left} to go"
        if per_minute:
            words += f", {per_minute:.0f} a minute: {_duration(left / per_minute)} left"
        return words
    return f"{words}, DONE: Enter goes on" if left == 0 else f"{words}, {-left} MORE than planned"


def _duration(minutes: float) -> str:
    if minutes < 1:
        return "under a minute"
    if minutes < 90:
        return f"{minutes:.0f} min"
    return f"{minutes / 60:.1f} h"


def _bar(count: int, target: int, width: int) -> str:
    filled = min(width, round(width * count / target))
    return "━" * filled + "·" * (width - filled)


def _now(state: State, weights: str) -> str:
    step = state.step
    if isinstance(step, CountPasses):
        if state.count >= step.target:
            return "All passes are done: every heel needle is in work again."
        doing = step.turning.at(state.count + 1)
        return f"Pass {doing.number}: {pass_words(doing, step.lowering)}"
    return instruction(state, weights).say


def seen_words(state: State, most: int) -> str:
    """The last observations, one a line."""
    return "\n".join(sighting_words(state, s) for s in state.sightings[-most:])


def sighting_words(state: State, sighting: Sighting) -> str:
    """An observation with its place, in one line."""
    step = state.head.steps[sighting.step] if sighting.step < len(state.head.steps) else None
    unit = "pass" if isinstance(step, CountPasses) else "row"
    place = f"{step.title}, {unit} {sighting.count}" if isinstance(step, CountRows | CountPasses) else "between"
    needle = f", needle {sighting.needle}" if sighting.needle else ""
    note = f": {sighting.note}" if sighting.note else ""
    struck = " (struck out)" if sighting.struck else ""
    return f"{place}: {FAULT_WORDS[sighting.fault]}{needle}{note}{struck}"
