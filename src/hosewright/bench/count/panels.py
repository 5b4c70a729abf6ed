"""What the session screen shows in its middle, one panel for each kind of step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical
from textual.widgets import Static

from hosewright.bench.count.ladder import ladder
from hosewright.bench.widgets.bigtext import BigText
from hosewright.bench.widgets.bigwords import large
from hosewright.counting.finished import result_words
from hosewright.craft.dial import show_position, show_turns
from hosewright.session.cautions import caution_now
from hosewright.session.twins import beside_first
from hosewright.session.words import instruction

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.logbook.live import Live
    from hosewright.session.state import State

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
        """Title, instruction, caution, result."""
        for name in ("title", "say", "caution", "result"):
            yield Static("", classes=name, markup=False)

    def show(self, live: Live, first: State | None = None, *, learning: bool = False) -> None:
        """Show the present step of ``live``; ``first`` is the first sock when this is its twin.

        ``learning``: the title is large where it has room, and the caution stands with the reasons below.
        """
        told = instruction(live.state, live.record.given)
        step = live.state.step
        title = "Given up" if live.state.abandoned else step.title if step else "Finished"
        say = "" if told.say == "Finished." else told.say
        width, height = self.app.size
        drawn = large(title, width - 4) if learning and height >= ROOM_FOR_LARGE else ()
        self._set("title", "\n".join(drawn) or title)
        self._set("say", say)
        caution = "" if learning else caution_now(live.state)
        self._set("caution", f"Caution: {caution}" if caution else "")
        beside = beside_first(first, live.state) if first else []
        self._set("result", "\n".join(words for words in (result_words(live), *beside) if words))

    def _set(self, name: str, text: str) -> None:
        part = self.query_one(f".{name}", Static)
        part.update(text)
        part.display = bool(text)


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
        """Advice, dial position, ladder, caution."""
        yield Static("", id="advice", markup=False)
        yield BigText(id="position")
        yield Static("", id="where", markup=False)
        yield Static("", id="ladder", markup=False)
        yield Static("", id="trial-caution", markup=False)

    def show(self, live: Live, *, learning: bool = False) -> None:
        """Show the search; ``learning``: the caution stands with the reasons below."""
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
        caution = "" if learning else caution_now(state)
        self.query_one("#trial-caution", Static).update(f"Caution: {caution}" if caution else "")
