"""What the session screen shows in its middle, one panel for each kind of step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Vertical
from textual.widgets import Static

from hosewright.bench.bigtext import BigText
from hosewright.bench.bigwords import large
from hosewright.bench.ladder import ladder
from hosewright.craft.dial import show_position, show_turns
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH
from hosewright.session.results import choice, cranked
from hosewright.session.steps import CountPasses, CountRows
from hosewright.session.strings import socks_of
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
        self._set("caution", f"Caution: {told.caution}" if told.caution and not learning else "")
        beside = beside_first(first, live.state) if first else []
        self._set("result", "\n".join(words for words in (result_words(live), *beside) if words))

    def _set(self, name: str, text: str) -> None:
        part = self.query_one(f".{name}", Static)
        part.update(text)
        part.display = bool(text)


def result_words(live: Live) -> str:
    """What a finished session came to."""
    if live.state.step is not None or live.state.abandoned:
        return ""
    if live.record.kind == "sock":
        return _sock_words(live)
    if live.record.kind == "string":
        return _string_words(live)
    if live.record.kind != "tube":
        return ""
    gauge = live.gauge(live.state, live.state.last_ms)
    if gauge is None:
        return "The tube was not measured, so it has no gauge."
    rows, stitches = gauge.rows_per_mm, gauge.stitches_per_mm
    return (
        f"{rows * MM_PER_INCH:.2f} rows and {stitches * MM_PER_INCH:.2f} stitches to the inch "
        f"({rows * MM_PER_CM:.3f} and {stitches * MM_PER_CM:.3f} to the centimetre). Plan a sock from it next."
    )


def _string_words(live: Live) -> str:
    """How many socks came off the string, and which were spoilt."""
    socks = socks_of(live.state)
    whole = sum(sock.standing == "cranked" for sock in socks)
    lines = [f"{whole} sock{'s' * (whole != 1)} cranked in one string."]
    lines += [
        f"Spoilt: sock {sock.number}, after {sock.rows} rows and {sock.passes} passes: {sock.reason}."
        for sock in socks
        if sock.standing == "spoilt"
    ]
    return "\n".join(lines)


def _sock_words(live: Live) -> str:
    """What was cranked beside the plan, how the sock sat, and what to do with the pair now."""
    record, state = live.record, live.state
    asked = {step.id: step for step in state.head.steps if isinstance(step, CountRows | CountPasses)}
    parts = [f"{asked[name].title} {_beside_plan(asked[name], count)}" for name, count in cranked(state).items()]
    seen = sum(not sighting.struck for sighting in state.sightings)
    lines = ["Cranked: " + ", ".join(parts) + "."]
    if seen:
        lines.append(f"{seen} observation{'s' * (seen > 1)} noted on the way; the session's page has them all.")
    told = [
        f"{words} {said}"
        for field, words in (("fit", "round"), ("fit-length", "in length"))
        if (said := choice(state, field))
    ]
    if told:
        heard = " A plan that names its wearer would learn from that."
        if record.wearer:
            heard = f" {record.wearer.name}'s next plan takes that in."
        lines.append(f"On the foot: {', '.join(told)}.{heard}")
    elif record.wearer:
        lines.append(f"How it sits was not noted. b goes back to it, so that {record.wearer.name}'s plans learn.")
    if record.twin_of is None and record.plan is not None:
        lines.append("Crank its twin next: c on the bench offers it.")
    return "\n".join(lines)


def _beside_plan(step: CountRows | CountPasses, count: int) -> str:
    return str(count) if count == step.target else f"{count} ({step.target} planned)"


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
