"""What stands under the count: how far, what comes next, what the hands do, the needles, what was seen."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from textual.containers import Vertical

from hosewright.bench.count.drawn import CylinderStrip, bar
from hosewright.bench.widgets.line import Steady
from hosewright.counting.keymap import commands_for
from hosewright.phrases.times import minutes_words, time_of_day
from hosewright.session.cues import cues
from hosewright.session.observations import seen_words
from hosewright.session.reasons import caution_now, first_pass_words
from hosewright.session.results import cranked
from hosewright.session.steps import CountPasses, CountRows, sock_of
from hosewright.session.twins import had_before
from hosewright.session.words import instruction, next_pass_words, over_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.logbook.live import Live
    from hosewright.phrases.clock import Moment
    from hosewright.session.pace import Paces
    from hosewright.session.state import State
    from hosewright.session.words import Given
    from hosewright.settings.table import Settings


def big_number(state: State, shows: str) -> str:
    """The number to be read from two metres: counted up, left to go, or of the whole sock so far."""
    if shows == "sock":
        return str(sum(count for name, count in cranked(state).items() if sock_of(name) == state.sock))
    if shows == "down" and state.target is not None:
        return str(max(0, state.target - state.count))
    return str(state.count)


ROOM_FOR_NEEDLES = 18  # lines of the terminal
ROOM_FOR_LEGEND = {True: 24, False: 30}  # the same below the reasons of a step, in a heel or toe and elsewhere


class CountFoot(Vertical):
    """It is laid out anew only when the step changes; a press repaints its lines."""

    DEFAULT_CSS = """
    CountFoot { height: auto; }
    CountFoot #left { height: 1; padding: 0 1; text-style: bold; }
    CountFoot #bar { height: 1; padding: 0 1; }
    CountFoot #cue { height: 1; padding: 0 1; }
    CountFoot #cue.due { text-style: bold reverse; }
    CountFoot #now { height: auto; max-height: 2; padding: 0 1; text-style: bold; }
    CountFoot #care { height: auto; padding: 0 1; color: $text-warning; text-style: bold; }
    CountFoot #seen { height: auto; max-height: 3; padding: 0 1; }
    """

    app: Bench

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._seen: set[tuple[int, str, int]] = set()
        self._near: set[tuple[int, str, int]] = set()
        self._cared: tuple[tuple[int, int, int], str] = ((-1, 0, 0), "")  # for which standing, and the words

    def compose(self) -> ComposeResult:
        for name in ("left", "bar", "cue", "now"):
            yield Steady(id=name)
        yield Steady(id="care")
        yield CylinderStrip(id="strip")
        yield Steady(id="seen")

    def show(
        self,
        live: Live,
        first: State | None,
        settings: Settings,
        now: Moment,
        *,
        short: bool,
        step_by_step: bool = False,
    ) -> None:
        """Show the count; ``short``: few lines are left for it, so only what the hands need.

        ``step_by_step``: of these, what the marks of the needles mean, where the terminal has the line; cautions stand
        with the reasons.
        """
        state = live.state
        step = state.step
        assert isinstance(step, CountRows | CountPasses)
        width = max(10, self.app.size.width - 2)
        self._line("left").show_text(progress_words(state, live.paces, first, now, width))
        if not short:
            self._line("bar").show_text(bar(state.count, step.target, width - 2))
            self._line("seen").show_text(seen_words(state, 3), layout=True)
        self._show_cue(state, settings, width)
        self._line("now").show_text(fill(self._now(state, live.record.given), width, max_lines=2), layout=True)
        care = "" if step_by_step else self._care(state)
        self._line("care").display = bool(care)
        self._line("care").show_text("\n".join(fill(part, width) for part in care.splitlines()), layout=True)
        strip = self.query_one(CylinderStrip)
        strip.display = self.app.size.height >= ROOM_FOR_NEEDLES and (
            not short or isinstance(step, CountPasses) or bool(step.out_of_work)
        )
        room = self.app.size.height >= ROOM_FOR_LEGEND[isinstance(step, CountPasses)]
        strip.show(state, legend=not short or (step_by_step and room))

    def _care(self, state: State) -> str:
        """What to be careful of, and at the first pass what one is; worked out once in a part that counts rows."""
        standing = (state.index, state.evening, state.count if isinstance(state.step, CountPasses) else 0)
        if standing != self._cared[0]:
            caution = caution_now(state)
            said = (first_pass_words(state), f"Caution: {caution}" if caution else "")
            self._cared = (standing, "\n".join(part for part in said if part))
        return self._cared[1]

    def _line(self, name: str) -> Steady:
        return self.query_one(f"#{name}", Steady)

    def _show_cue(self, state: State, settings: Settings, width: int) -> None:
        """The next two cues; one that is near or missed takes the whole line in reverse until it is seen."""
        unit = "pass" if isinstance(state.step, CountPasses) else "row"
        # The row it is due at belongs to a cue: the same words fifty rows on are another one, not seen yet.
        found = {(state.index, cue.words, state.count + cue.left): cue for cue in cues(state, settings.cues_every)}
        shown = {key: cue for key, cue in found.items() if cue.left >= 0 or key not in self._seen}
        self._near = {key for key, cue in shown.items() if cue.is_due(settings.cue_rows_ahead)}
        due = bool(self._near - self._seen)
        sentences = [cue.sentence(unit) for cue in shown.values()][:2]
        key = f"  {self._key(state, 'acknowledge')} seen" if due else ""
        said = "  ".join(sentences)
        if len(said) + len(key) > width:
            said = sentences[0]
        line = self._line("cue")
        line.show_text(f"{said:<{width - len(key)}}{key}" if due else said)
        line.set_class(due, "due")

    def _key(self, state: State, does: str) -> str:
        commands = commands_for(state, self.app.keymap)
        return next(command.shown for command in commands if command.does == does)

    def _now(self, state: State, given: Given) -> str:
        if state.target is not None and state.count > state.target and isinstance(state.step, CountRows):
            return over_words(state, self._key(state, "take_back"), self._key(state, "rehang"))
        return _now(state, given)

    @property
    def due(self) -> str:
        """What is near or missed and not seen yet, for where nothing else is shown; empty otherwise."""
        line = self._line("cue")
        return str(line.content).rstrip() if line.has_class("due") else ""

    def acknowledge(self) -> None:
        """The cues shown as due were seen."""
        self._seen |= self._near


def progress_words(state: State, paces: Paces, first: State | None, now: Moment, width: int) -> str:
    """How far the present part is, how fast, how long it and the sock will take, in one line of ``width``."""
    step = state.step
    assert isinstance(step, CountRows | CountPasses)
    turned = isinstance(step, CountPasses)
    unit = "passes" if turned else "rows"
    left = step.target - state.count
    words = f"{step.title} {state.count} of {step.target} {unit}"
    if had := had_before(first, state):
        words += f" ({had})"
    if state.doubted:
        words += f", {state.doubted} doubtful"
    if left < 0:
        words += f", {-left} MORE than planned"
    if state.paused:
        return f"{words}   PAUSED"
    if left <= 0:
        return words if left else f"{words}, DONE: Enter goes on"
    words += f", {left} to go"
    times = _time_words(state, paces, turned=turned, left=left, now=now)
    return next((words + said for said in times if len(words + said) <= width), words)


def _time_words(state: State, paces: Paces, *, turned: bool, left: int, now: Moment) -> list[str]:
    """How fast and how long in words, the fullest first; the first that fits is shown."""
    pace = paces.of(passes=turned)
    usual, lately = pace.per_minute, pace.now_per_minute
    if usual is None or lately is None:
        return []
    short, here = f". {lately:.0f}/min", f": {_about(left / usual)}"
    slower = f" (usually {usual:.0f})" if abs(lately - usual) >= max(1.0, 0.15 * usual) else ""
    rows, passes = state.ahead
    whole = paces.minutes_for(rows, passes)
    if whole is None or rows + passes == left:
        return [short + slower + here, short + here, short]
    ends = time_of_day(now.at_ms + whole * 60_000, now.zone_min)
    sock = f" here, {_about(whole)} in all, till {ends}"
    return [short + slower + here + sock, short + here + sock, short + here, short]


def _about(minutes: float) -> str:
    return "under 1 min" if minutes < 1 else minutes_words(minutes)


def _now(state: State, given: Given) -> str:
    step = state.step
    if isinstance(step, CountPasses):
        if state.count > step.target:
            across = (state.count - step.target) % 2
            back = f"; one more brings the carrier back to the {step.turning.ends}" if across else ""
            return f"More than planned: take back what was no pass. Those cranked are plain passes{back}."
        if state.count == step.target:
            return "All passes are done: every needle of the heel half is in work again."
        return f"Pass {state.count + 1}: {next_pass_words(step, state.count)}"
    return instruction(state, given)
