"""One session at the machine. Keys become events, the state becomes what is shown; nothing is worked out here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Input, Static

from hosewright.bench.asking import AskLine, Question
from hosewright.bench.bigtext import BigText
from hosewright.bench.commands import FAULT_KEYS, commands_for
from hosewright.bench.help_screen import HelpScreen
from hosewright.bench.keybar import KeyBar
from hosewright.bench.measure_panel import MeasurePanel
from hosewright.bench.panels import CountFoot, TrialPanel, WordsPanel, seen_words
from hosewright.bench.sentences import ASKING, read_answer
from hosewright.bench.steplist import StepList
from hosewright.logbook.store import LogbookError
from hosewright.session import events as ev
from hosewright.session.faults import FAULT_WORDS
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.bench.commands import Command
    from hosewright.logbook.live import Live
    from hosewright.session.events import Event


class SessionScreen(Screen[str | None]):
    """Dismisses with the id of another session to go to, or None for the bench."""

    AUTO_FOCUS = ""
    CSS_PATH = "session_screen.tcss"
    app: Bench

    def __init__(self, live: Live) -> None:
        super().__init__()
        self.live = live
        self._needle = ""  # digits typed straight after an observation
        self._noted: int | None = None  # the observation they belong to

    def compose(self) -> ComposeResult:
        """Header, the panel of the present step, the steps, a line to answer in, a line for messages, the keys."""
        yield Static("", id="header", markup=False)
        with Horizontal(id="middle"):
            with Vertical(id="panels"):
                yield WordsPanel(id="words")
                yield TrialPanel(id="trial")
                yield BigText(least=3, id="counting")
                yield MeasurePanel(id="measuring")
            yield StepList(id="steps")
        yield CountFoot(id="foot")
        yield AskLine(id="ask")
        yield Static("", id="message", markup=False)
        yield KeyBar(id="keys")

    async def on_mount(self) -> None:
        """Note that the session was taken up, and show it."""
        if self.live.state.last_seq > 1:
            self._do(ev.Opened())
        await self.show()

    @property
    def short(self) -> bool:
        """Whether the terminal has few lines."""
        return self.app.size.height < 30

    async def on_resize(self) -> None:
        """Show as much as fits."""
        self.set_class(self.short, "short")
        await self.show()

    # --- showing -------------------------------------------------------------------------------------------

    async def show(self) -> None:
        """Show where the session stands."""
        live, state = self.live, self.live.state
        step = state.step
        kind = "words"
        if not state.abandoned:
            if isinstance(step, DialTrial):
                kind = "trial"
            elif isinstance(step, CountRows | CountPasses):
                kind = "counting"
            elif isinstance(step, Measure):
                kind = "measuring"
        for name in ("words", "trial", "counting", "measuring"):
            self.query_one(f"#{name}").display = name == kind
        self.set_class(kind == "measuring", "measure")
        if kind == "measuring" and isinstance(step, Measure):
            panel = self.query_one(MeasurePanel)
            await panel.lay_out(step, self.app.settings)
            panel.show(live)
        elif isinstance(self.focused, Input) and not self.query_one(AskLine).display:
            self.set_focus(None)
        if kind == "words":
            self.query_one(WordsPanel).show(live)
        elif kind == "trial":
            self.query_one(TrialPanel).show(live)
        elif kind == "counting":
            count = self.query_one("#counting", BigText)
            count.show(str(state.count))
            count.set_class(state.paused, "paused")
            self.query_one(CountFoot).show(live, short=self.short)
        self.query_one(CountFoot).display = kind == "counting"
        at = f"step {state.index + 1} of {len(state.head.steps)}" if step else "finished"
        self.query_one("#header", Static).update(f"{live.record.title}   {at}")
        self.query_one(StepList).show(state)
        self.query_one(KeyBar).show(commands_for(state))

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        """One line under the panel; ``trouble`` also rings the bell."""
        message = self.query_one("#message", Static)
        if not sentence and self.short:  # the line is free, so the last observation may stand there
            sentence = seen_words(self.live.state, 1)
        message.update(("! " if trouble and sentence else "") + sentence)
        message.set_class(trouble, "trouble")
        if trouble and sentence:
            self.app.bell()

    # --- keys ----------------------------------------------------------------------------------------------

    async def on_key(self, event: events.Key) -> None:
        """Run the command of this key. What is typed into a field never comes here."""
        ask = self.query_one(AskLine)
        if ask.display:
            if event.key == "escape":
                event.stop()
                ask.close()
                self.say("")
            elif ask.yes_or_no and event.key in ("y", "n"):
                event.stop()
                ask.answer_with(event.key)
            return
        if self._noted is not None and await self._type_needle(event):
            return
        for command in commands_for(self.live.state):
            if command.key == event.key:
                event.stop()
                event.prevent_default()
                await self._run(command)
                return

    async def _run(self, command: Command) -> None:
        method = getattr(self, f"do_{command.does}")
        result = method(command.argument) if command.argument else method()
        if result is not None:
            await result
        await self.show()

    def _do(self, event: Event) -> bool:
        """Store an event. Says why, and returns False, when it was refused or could not be stored."""
        try:
            why = self.live.do(event)
        except LogbookError as error:
            self.say(f"{error} Nothing was counted; make room or mend it, then press again.", trouble=True)
            return False
        if why is not None:
            self.say(why, trouble=True)
            return False
        self.say("")
        return True

    def do_count(self) -> None:
        """One row or pass."""
        if self.live.state.paused and not self._do(ev.Resumed()):
            return
        if self._do(ev.Pressed()):
            state = self.live.state
            if state.target is not None and state.count == state.target:
                self.say("That is the last one of this part. Press Enter when you are ready to go on.")
                self.app.bell()
                self.query_one("#counting").add_class("reached")
                self.set_timer(0.4, lambda: self.query_one("#counting").remove_class("reached"))

    def do_take_back(self) -> None:
        """The last press was a mistake."""
        if self._do(ev.TookBack()):
            self.say(f"One taken back: the count is {self.live.state.count}.")

    def do_go_on(self) -> None:
        """The step is done."""
        state = self.live.state
        if state.target is not None and state.target - state.count > 0 and not state.paused:
            short = state.target - state.count
            unit = "passes" if isinstance(state.step, CountPasses) else "rows"
            self._ask("early", f"{state.count} of {state.target} {unit}: go on {short} short?")
            return
        if self._do(ev.Confirmed()):
            done = self.live.state.step is None
            self.say("Finished: all of it is in the logbook." if done else "")

    def do_step_back(self) -> None:
        """Back to the step before."""
        if self._do(ev.SteppedBack()):
            self.say("Back to the step before; its count is as it was.")

    def do_pause(self) -> None:
        """Pause, or go on."""
        self._do(ev.Resumed() if self.live.state.paused else ev.Paused())

    def do_judge(self, verdict: ev.Verdict) -> None:
        """What the stitches did."""
        if self.live.state.paused and not self._do(ev.Resumed()):
            return
        if self._do(ev.Judged(verdict, self.live.state.dial)) and verdict in ("stay", "stiff", "broke"):
            self.app.bell()

    def do_void(self) -> None:
        """The trials so far count no more."""
        state = self.live.state
        start = state.head.dial if state.search.stopped else state.search.position
        reason = "put right" if state.search.stopped else "weights changed"
        if self._do(ev.Voided(start, reason)):
            self.say("The trials so far count no more; the search starts again here.")

    def do_observe(self, fault: ev.Fault) -> None:
        """Something was seen at this row."""
        if self._do(ev.Observed(fault)):
            self._noted, self._needle = self.live.state.last_seq, ""
            self.say(f"Noted: {FAULT_WORDS[fault]}. If you know its needle, type the number and Enter.")

    async def _type_needle(self, event: events.Key) -> bool:
        if event.key.isdigit():
            self._needle += event.key
            self.say(f"Needle {self._needle}, then Enter.")
        elif event.key == "backspace" and self._needle:
            self._needle = self._needle[:-1]
            self.say(f"Needle {self._needle}, then Enter.")
        elif event.key == "enter" and self._needle and self._noted is not None:
            number, seq, self._noted = int(self._needle[:6]), self._noted, None
            if self._do(ev.Amended(seq, needle=number)):
                self.say(f"Needle {number} noted.")
            await self.show()
        else:
            self._noted = None
            return False
        event.stop()
        return True

    def do_strike(self) -> None:
        """Strike out the last observation."""
        standing = [s for s in self.live.state.sightings if not s.struck]
        if not standing:
            self.say("There is no observation to strike out.", trouble=True)
        elif self._do(ev.Struck(standing[-1].seq)):
            self.say("The last observation is struck out; it stays readable.")

    def do_strike_reading(self) -> None:
        """Strike out the last reading of the field being typed in."""
        name = self.query_one(MeasurePanel).present_field
        standing = [r for r in self.live.state.readings if r.field == name and not r.struck]
        if not standing:
            self.say("There is no reading of this field to strike out.", trouble=True)
        elif self._do(ev.Struck(standing[-1].seq)):
            self.say("The last reading is struck out.")

    def do_reopen(self) -> None:
        """Take up again."""
        self._do(ev.Reopened())

    def do_note(self) -> None:
        """A few words."""
        self._ask("note")

    def do_recount(self) -> None:
        """The counter is really elsewhere."""
        self._ask("recount")

    def do_rehang(self) -> None:
        """Work hung again."""
        self._ask("rehang")

    def do_dial(self) -> None:
        """The dial was moved."""
        self._ask("dial")

    def do_void_at(self) -> None:
        """Start the search elsewhere."""
        self._ask("void_at")

    def do_give_up(self) -> None:
        """Give up, after asking."""
        self._ask("give_up")

    def do_other(self) -> None:
        """The next open session."""
        here = self.live.record.id
        ids = [line.id for line in self.app.book.lines("open", "waiting")]
        others = [i for i in ids if i != here]
        if not others:
            self.say("No other session is open.")
        else:
            after = ids.index(here) + 1 if here in ids else 0
            self.dismiss(next((i for i in (*ids[after:], *ids) if i != here), None))

    def do_home(self) -> None:
        """Back to the bench."""
        self.dismiss(None)

    def do_help(self) -> None:
        """Explain this screen."""
        self.app.push_screen(HelpScreen(self.live.record.title, commands_for(self.live.state)))

    # --- questions -----------------------------------------------------------------------------------------

    def _ask(self, about: str, words: str = "") -> None:
        question = ASKING[about]
        self.query_one(AskLine).open(Question(about, words or question.words, question.yes_or_no, question.hint))

    async def on_ask_line_answered(self, event: AskLine.Answered) -> None:
        """Turn an answer into an event."""
        event.stop()
        try:
            result = read_answer(event.about, event.text, self.live.state)
        except ValueError as error:
            self.say(str(error), trouble=True)
            return
        self.query_one(AskLine).close()
        if result is None:
            self.say("Left as it was.")
        elif self._do(result):
            self.say(ASKING[event.about].done)
        await self.show()

    async def on_measure_panel_taken(self, event: MeasurePanel.Taken) -> None:
        """Store a reading."""
        event.stop()
        self._do(ev.Measured(event.field, event.value, event.typed))
        await self.show()

    async def on_measure_panel_done(self, event: MeasurePanel.Done) -> None:
        """All measured."""
        event.stop()
        self.do_go_on()
        await self.show()


assert set(FAULT_KEYS.values()) | {"note"} == set(FAULT_WORDS), "every fault of the trade has its key"
