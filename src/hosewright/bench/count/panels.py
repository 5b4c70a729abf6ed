"""The middle of the session screen: a panel for each kind of step, and the steps beside it."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, Literal

from rich.text import Text
from textual.containers import Vertical

from hosewright.bench.count.dashboard import look_of, meaning_row, needle_rows
from hosewright.bench.count.drawn import trial_rows
from hosewright.bench.count.finished_panel import LINES, figures_of, large_figures
from hosewright.bench.count.measure_panel import MeasurePanel
from hosewright.bench.count.sock_panel import SockPanel
from hosewright.bench.widgets.bigtext import large
from hosewright.bench.widgets.line import Steady
from hosewright.bench.widgets.panel import DONE, Panel, indented, wrapped
from hosewright.counting.keymap import commands_for
from hosewright.counting.measuring import result_words
from hosewright.counting.step_by_step import next_words, reason_parts
from hosewright.phrases.lists import many
from hosewright.session.reasons import caution_now, reason_of
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from hosewright.session.twins import beside_first
from hosewright.session.words import instruction, where_rows_begin

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.line import Row
    from hosewright.bench.widgets.panel import Fill
    from hosewright.logbook.live import Live
    from hosewright.session.keys import Command
    from hosewright.session.state import State

FEW_LINES = 30  # of the terminal


# Lines of the terminal from which titles are large, and numbers beside a sock; and those of anything else.
ROOM_FOR_LARGE, ROOM_FOR_FIGURES = 36, 24


class WordsPanel(Vertical):
    """An instruction to read, and its caution; what finished work came to. The sock beside it where it has room."""

    DEFAULT_CSS = """
    WordsPanel #said { height: auto; }
    WordsPanel #told { height: auto; }
    WordsPanel #came-to, WordsPanel #ahead, WordsPanel #moved { display: none; }
    WordsPanel #ahead, WordsPanel #moved { height: auto; }
    WordsPanel #whole-sock { height: 1fr; display: none; }
    """

    app: Bench

    def compose(self) -> ComposeResult:
        with Vertical(id="said"):
            yield Panel(id="came-to")
            yield Panel(id="told")
            yield Panel("CYLINDER", id="moved")
            yield Panel(id="ahead")
        yield SockPanel(id="whole-sock")

    def show(self, live: Live, first: State | None, *, keys_here: bool) -> None:
        """Show the present step of ``live``; ``first`` is the first sock when this is its twin.

        One step at a time the title is large where it has room, and the caution stands with the reasons below.
        """
        state, settings = live.state, self.app.settings
        step, height = state.step, self.app.size.height
        done = step is None and not state.abandoned
        title = "Given up" if state.abandoned else step.title if step else live.record.title
        large_title = settings.step_by_step and height >= ROOM_FOR_LARGE and not done
        told = "" if done and live.record.kind != "search" else instruction(state, live.record.given)
        caution = "" if settings.step_by_step else caution_now(state)
        beside = [words for words in (result_words(live), *(beside_first(first, state) if first else [])) if words]
        apart: list[Row] = [] if height < FEW_LINES and settings.step_by_step else [()]

        def fill(width: int, _height: int) -> list[Row]:
            rows: list[Row] = [((line, "bold live"),) for line in (large(title, width) if large_title else ())]
            for words, style in ((told, ""), (f"Caution: {caution}" if caution else "", "bold due"), *beside_words):
                lines = wrapped(words, width, style)
                rows += [*(apart if rows and lines else []), *lines]
            return rows

        beside_words = [(words, "") for words in beside]
        frame, word = look_of(state, keys_here=keys_here)
        self.query_one("#told", Panel).show_panel(indented(fill), title.upper(), "" if state.abandoned else word, frame)
        self._show_moved(state)
        self._show_ahead(state, fill)
        self._show_came_to(live, done=done)
        sock = self.query_one("#whole-sock", SockPanel)
        sock.display = live.record.kind == "sock" and (done or (height >= ROOM_FOR_LARGE and not settings.step_by_step))
        if sock.display:
            sock.show_sock(live)

    def _show_moved(self, state: State) -> None:
        """The needles that the present step moves by hand, on all of the cylinder."""
        panel = self.query_one("#moved", Panel)
        panel.display = bool(meaning_row(state, panel.app.size.width)) and not state.abandoned

        def fill(width: int, _height: int) -> list[Row]:
            return [*needle_rows(state, width), meaning_row(state, width)]

        def fit() -> None:  # the reasons below come first
            reasons = self.screen.query_one(ReasonPanel)
            if (
                self.app.settings.step_by_step
                and reasons.region.bottom > self.screen.query_one(StepPanels).region.bottom
            ):
                panel.display = False

        panel.show_panel(indented(fill), f"CYLINDER · {state.head.slots} needles")
        if panel.display:
            self.call_after_refresh(fit)

    def _show_ahead(self, state: State, above: Fill) -> None:
        """What to look for before it is done and what comes after, where nothing else says so."""
        go = next((command.shown for command in commands_for(state, self.app.keymap) if command.does == "go_on"), "")
        look = "" if state.abandoned or state.step is None else reason_of(state).look
        said = [words for words in (look, next_words(state, go)) if words]
        panel, told = self.query_one("#ahead", Panel), self.query_one("#told", Panel)
        if not said or self.app.settings.step_by_step:
            panel.display = False
            return

        def fill(width: int, _height: int) -> list[Row]:
            return [line for words in said for line in wrapped(words, width)]

        def fit() -> None:  # it is whole or not there, which is known once there is a width
            moved = self.query_one("#moved", Panel)
            lines = sum(len(rows(max(1, told.size.width - 4), 0)) + 2 for rows in (above, fill))
            lines += moved.size.height * moved.display
            panel.display = told.region.y + lines <= self.region.bottom

        panel.show_panel(indented(fill), "LOOK FOR" if look else "NEXT")
        self.call_after_refresh(fit)

    def _show_came_to(self, live: Live, *, done: bool) -> None:
        title, figures = figures_of(live, self.app.settings) if done else ("", [])
        came_to = self.query_one("#came-to", Panel)
        came_to.display = bool(figures)
        roomy = self.app.size.height >= (ROOM_FOR_LARGE if live.record.kind == "sock" else ROOM_FOR_FIGURES)
        came_to.styles.height = len(figures) * (LINES + 1 if roomy else 1) + (1 if roomy else 2)
        if figures:
            came_to.show_panel(large_figures(figures), title, "", DONE)


class TrialPanel(Panel):
    """The search for the stitch size: what to do, where the dial belongs, and the trials so far."""

    app: Bench

    def show(self, state: State, *, keys_here: bool) -> None:
        """Show the search; one step at a time the caution stands with the reasons below, which have the room."""
        step_by_step, short = self.app.settings.step_by_step, self.app.size.height < FEW_LINES
        care = "" if step_by_step else caution_now(state)
        hollow = state.paused or not keys_here
        search = state.search
        at_rest = search.found or search.stopped  # then no row is cranked here
        tight = step_by_step and short

        def fill(width: int, height: int) -> list[Row]:
            return trial_rows(state, care, width, height, hollow=hollow, ladders=not tight)

        rows = (
            "" if at_rest else " · no full row here yet" if not state.count else f" · {many(state.count, 'row')} here"
        )
        frame, word = look_of(state, keys_here=keys_here)
        title = state.step.title.upper() if state.step is not None else ""
        self.show_panel(indented(fill), f"{title}{rows}", word, frame)


_LABEL = 11  # cells before the words of a part
_FEW_LINES = 22  # of the terminal: below, only why and what to be careful of have room
_FIRST = ("Why", "Careful")
_LEAST = 20  # a narrower terminal shows the beginnings of lines


class ReasonPanel(Steady):
    """Below what the step asks for, or below the count."""

    DEFAULT_CSS = "ReasonPanel { width: 100%; height: auto; padding: 0 2; }"

    def show_step(self, state: State, commands: Sequence[Command], width: int, *, apart: bool) -> None:
        """Show the present step, with its ``commands``, to ``width`` cells.

        ``apart``: an empty line stands between the parts.
        """
        go = next((command.shown for command in commands if command.does == "go_on"), "")
        text = Text(no_wrap=True)
        few = self.app.size.height < _FEW_LINES
        for label, words in reason_parts(state, commands):
            if few and label not in _FIRST:
                continue
            style = "bold" if label == "Careful" else ""
            for number, line in enumerate(wrap(words, max(_LEAST, width - _LABEL))):
                text.append(f"{'' if number else label:<{_LABEL}}", "bold")
                text.append(line + "\n", style)
            if apart:
                text.append("\n")
        ahead = next_words(state, go)
        text.append("\n".join(wrap(ahead, max(_LEAST, width))), "bold")
        text.rstrip()
        self.show_text(text, layout=True)


Kind = Literal["words", "trial", "counting", "measuring"]
_PANELS: dict[Kind, str] = {"words": "words", "trial": "search", "measuring": "measuring"}  # and their ids


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


# What the help begins with, by the panel that is up.
OPENINGS = {
    "words": "Do what the step says, then press Enter. On the right are all steps, x before those that are done.",
    "step by step": "Do what the step says, then press Enter. Below it stands why it is done, what to look for, and "
    "what to do when it goes wrong.",
    "finished": "Nothing is left to do here. The session keeps what it came to, and can be looked back on from the "
    "bench.",
    "trial": "Crank a full row at the dial position shown, watch the stitches rise behind the V-cam, and say what they "
    "did. The ladder shows each position tried; up is towards the zero mark.",
    "counting": "Each press is saved before it is shown. “5 of 56 rows” are done; “pass 6”, with what to do, is the "
    "next. The cylinder is drawn needle by needle: ┃ in work, · out of work, ▔ lifted, ▲ goes up next, ▼ comes down "
    "next, Y the yarn carrier and the side it stands on. While the keyboard goes to another window the count is drawn "
    "in dots and says so, if the terminal tells; inside tmux that takes `set -g focus-events on` in its settings.",
    "measuring": "Type a reading and press Enter: it is saved at once. A line that takes several readings stays for "
    "another, since they make a mean, and Enter alone goes to the next; every other line moves on by itself. A length "
    "takes any unit.",
}


def help_of(live: Live, *, step_by_step: bool) -> tuple[str, str]:
    """What the help begins with, of a sock with the half it is turned on; and the page that tells of the step."""
    state, step, up = live.state, live.state.step, panel_of(live.state)
    about: str = up
    if up == "words" and not state.abandoned:
        about = "finished" if step is None else "step by step" if step_by_step else up
    half = where_rows_begin(state, live.record.given) if step is not None else ""
    pages = (("heel", CountPasses), ("dial", DialTrial), ("gauge", Measure))
    topic = next((page for page, kind in pages if isinstance(step, kind)), "crank")
    return "\n\n".join(part for part in (OPENINGS[about], half) if part), topic


class StepPanels(Vertical):
    """One panel at a time."""

    def __init__(self) -> None:
        super().__init__(id="panels")
        self._up: Kind | None = None

    def compose(self) -> ComposeResult:
        yield WordsPanel(id="words")
        yield TrialPanel(id="search")
        yield MeasurePanel(id="measuring")
        yield ReasonPanel(id="reason")

    async def show(self, live: Live, first: State | None) -> None:
        """Show where a session stands; ``first`` is where the first sock of its pair stands, when it is a twin."""
        state = live.state
        kind, keys_here = panel_of(state), not self.screen.has_class("elsewhere")
        if kind != self._up:
            self._up = kind
            for one, name in _PANELS.items():
                self.query_one(f"#{name}").display = one == kind
        if isinstance(state.step, Measure) and kind == "measuring":
            panel = self.query_one(MeasurePanel)
            await panel.lay_out(state.step)
            panel.show(live)
        elif kind == "words":
            self.query_one(WordsPanel).show(live, first, keys_here=keys_here)
        elif kind == "trial":
            self.query_one(TrialPanel).show(state, keys_here=keys_here)
