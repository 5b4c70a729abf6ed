"""One learner of a class: the words and the strip that stand at their crank. Looking only."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.screen import Screen

from hosewright.bench.classroom.lines import more_words, quiet_words
from hosewright.bench.count.counting import progress_words
from hosewright.bench.count.ladder import ladder
from hosewright.bench.count.strip import CylinderStrip
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.bigtext import BigText
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Steady
from hosewright.craft.dial import show_turns
from hosewright.session.cautions import caution_now
from hosewright.session.observations import observation_words
from hosewright.session.steps import CountPasses, CountRows, DialTrial
from hosewright.session.words import hands, instruction

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.bench.classroom.app import ClassApp
    from hosewright.bench.classroom.screen import ClassScreen
    from hosewright.logbook.classroom.learners import LastSession
    from hosewright.logbook.classroom.line import LearnerLine

FEW_LINES = 30
_ACROSS = Binding.Group("Learner before, after")


class LearnerScreen(Shielded, Screen[None]):
    """Follows the learner under the bar of the class."""

    AUTO_FOCUS = ""
    EXPLAIN = "What this learner has before them, a second or two later. No key here does anything at their machine."
    BINDINGS = [
        Binding("left", "across(-1)", "Learner before, after", group=_ACROSS, key_display="←"),
        Binding("right", "across(1)", "Learner before, after", group=_ACROSS, key_display="→"),
        Binding("w", "waiting", "Next who waits"),
        Binding("question_mark", "app.explain", "Help", key_display="?"),
        Binding("escape", "dismiss", "Class"),
        Binding("enter", "dismiss", "Class", show=False),
        Binding("q", "app.leave", "Quit", show=False),
    ]
    app: ClassApp

    def __init__(self, room: ClassScreen) -> None:
        """``room``: the class, which looks and knows who is under the bar."""
        super().__init__()
        self.room = room

    def compose(self) -> ComposeResult:
        """Who and what, why they wait, the words, the count, the needles, what was noted, the keys."""
        yield Steady(id="learner-head")
        yield Steady(id="learner-waits")
        yield Steady(id="learner-say")
        yield BigText(least=3, id="learner-count")
        yield Steady(id="learner-left")
        yield Steady(id="learner-now")
        yield CylinderStrip(id="learner-strip")
        yield Steady(id="learner-ladder")
        yield Steady(id="learner-seen")
        yield BoundBar()

    def on_mount(self) -> None:
        """Show the learner as last seen."""
        self.show()

    def on_resize(self) -> None:
        """Fit it to the new size."""
        self.show()

    def show(self) -> None:
        """Show the learner under the bar."""
        look, line = self.room.present, self.room.present_line
        if look is None or line is None or not self.is_mounted:
            return
        at = f"   {line.title}   step {line.step_number} of {line.steps}" if line.step else f"   {line.title}"
        self._say("head", f"{line.learner}{at}   LOOKING ONLY")
        self._say("waits", _waits(line))
        if look.session is None:
            self._show_words("\n".join(more_words(line)))
            self._say("seen", "")
            return
        self._show_session(look.session)
        seen = look.session.state.observations[-(3 if self.app.size.height >= FEW_LINES else 1) :]
        notes = [observation_words(look.session.state, observation) for observation in seen]
        self._say("seen", "\n".join([*notes, *([look.note] if look.note else [])]))

    def _show_session(self, session: LastSession) -> None:
        state, step = session.state, session.state.step
        told = instruction(state, session.record.given)
        width = max(30, self.app.size.width - 4)
        if state.abandoned or not isinstance(step, CountRows | CountPasses | DialTrial):
            title = "Given up" if state.abandoned else step.title if step else "Finished"
            caution = f"\n\nCaution: {said}" if (said := caution_now(state)) else ""
            self._show_words(f"{title}\n\n{fill(told.say, width)}{fill(caution, width) if caution else ''}")
            return
        count, strip = self.query_one("#learner-count", BigText), self.query_one(CylinderStrip)
        count.display = True
        trial = isinstance(step, DialTrial)
        turn = state.head.clicks_per_turn
        count.show(show_turns(state.search.position, turn) if trial else str(state.count))
        self._say("say", fill(told.say, width) if trial else "")
        rungs = ladder(state.trials, state.search, turn) if trial else []
        self._say("ladder", "\n".join(rungs))
        self._say("now", fill(hands(state) if not isinstance(step, CountRows) else told.say, width))
        self._say("left", "" if trial else self._progress(session))
        strip.display = not trial
        if not trial:
            strip.show(state, legend=self.app.size.height >= FEW_LINES)

    def _progress(self, session: LastSession) -> str:
        return progress_words(session.state, session.paces, None, self.app.clock.now(), self.app.size.width - 2)

    def _show_words(self, words: str) -> None:
        self._say("say", words)
        for name in ("left", "now", "ladder"):
            self._say(name, "")
        self.query_one("#learner-count").display = False
        self.query_one(CylinderStrip).display = False

    def _say(self, name: str, words: str) -> None:
        place = self.query_one(f"#learner-{name}", Steady)
        place.display = bool(words)
        place.show_text(words, layout=True)

    def action_across(self, by: int) -> None:
        """To the learner before or after."""
        self.room.action_move(by)

    def action_waiting(self) -> None:
        """To the next learner who waits for help."""
        self.room.action_waiting()


def _waits(line: LearnerLine) -> str:
    if not line.waits:
        return ""
    return f"! WAITS FOR HELP: {line.waits}, {quiet_words(line.quiet_ms) or 'just now'}"
