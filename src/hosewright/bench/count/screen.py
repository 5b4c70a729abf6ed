"""One session at the machine: what is shown, and where the keys go. Nothing is worked out here."""

from __future__ import annotations

import gc
import time
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input

from hosewright.bench.count.dashboard import past_words
from hosewright.bench.count.drawn import step_rows
from hosewright.bench.count.finished_panel import what_follows
from hosewright.bench.count.measure_panel import MeasurePanel
from hosewright.bench.count.panels import ReasonPanel, StepPanels, help_of, panel_of
from hosewright.bench.count.view import CountView
from hosewright.bench.doors import screen_of
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.ask import AskLine, Question
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.keybar import KeyBar, if_room
from hosewright.bench.widgets.line import Steady
from hosewright.bench.widgets.panel import Panel
from hosewright.counting.from_the_record import read_record
from hosewright.counting.hands import Hands, lots_in
from hosewright.counting.keymap import STRIPS, at_hand, at_the_foot, commands_for, key_called
from hosewright.counting.measuring import far_off_words
from hosewright.counting.presses import ELSEWHERE, INTO_THE_PALETTE, Ticks
from hosewright.counting.step_by_step import few_commands
from hosewright.logbook.accounts.troubles import bed_of
from hosewright.logbook.glance import next_open
from hosewright.phrases.times import since_words
from hosewright.session import events as ev
from hosewright.session.answers import ASKING, asking, how_words
from hosewright.session.commands import what_for
from hosewright.session.heard import heard_place
from hosewright.session.keys import Command, at_its_place, shown_key
from hosewright.session.observations import seen_words
from hosewright.session.steps import CountPasses, CountRows, DialTrial
from hosewright.session.words import standing_words

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.logbook.live import Live
    from hosewright.session.state import State

FEW_LINES = 30
# What a click on a panel does, by the names of commands; and where the digits of the count are.
CLICKED = {
    "next": "acknowledge",
    "sockline": "acknowledge",
    "cylinder": "note",
    "yarn": "note",
    "pace": "pause",
    "seen": "seen",
    "sock": "view",
    "steps": "view",
}
DIGITS = ("count", "search")
SAID_LINES = 2  # kept free for what is said where there is room
FLASH_S = 0.6
# What the foot shows while an answer is typed.
ANSWERING = (
    Command("enter", "Enter", "save it", "answer", "Save what is typed."),
    Command("escape", "Esc", "leave it as it is", "leave", "Nothing is changed."),
)
SETTLED_S = 0.5
FOLLOWED_S = 0.1  # how often it is looked whether another bench counted
SELDOM = 50_000  # new objects: those of some fifty presses
VERY_FEW_LINES, NARROW = 18, 64


def _put_memory_in_order() -> None:
    """What stands now stays: a full collection while cranking would hold a press up by 25 ms.

    The screens left before are let go first; frozen with the rest they would never be. From here on rubbish is looked
    for after each frame: by itself Python did so in the midst of every tenth press, for 1.5 ms.
    """
    gc.unfreeze()
    gc.collect()
    gc.freeze()
    gc.set_threshold(SELDOM)


class SessionScreen(Shielded, Screen[None]):
    """Dismissed, it leaves the bench; to another open session it goes by itself."""

    AUTO_FOCUS = ""
    KEYS_SAID = False
    CSS_PATH = "screen.tcss"
    app: Bench

    def __init__(self, live: Live, first: State | None = None, *, came_from: Live | None = None) -> None:
        """``first``: where the first sock of the pair stands, when this is its twin.

        ``came_from``: the session one came straight from, so it is said where one is now, and how to go back.
        """
        super().__init__()
        self.live = live
        self.first = first
        self.hands: Hands
        self.first_ever = False  # in this logbook: then it is shown one step at a time
        self._shown: tuple[str, bool] | None = None
        self._showing = False
        self._ticks = Ticks()
        self._came_from = came_from
        self._arrived_at = 0  # the last event when one came from another session
        self._gone_to: SessionScreen | None = None
        self._kept_free: tuple[object, ...] = ()  # for which view the lines below the panels were counted
        self._seen_version = (0, 0)  # of the logbook, where another bench counts
        self._said = ""  # what answers the last key
        self._strip = ""  # of ``STRIPS``, the one that is open in the foot's place

    def compose(self) -> ComposeResult:
        yield Steady(id="header")
        yield Steady(id="elsewhere")
        with Horizontal(id="middle"):
            yield StepPanels()
            yield Panel("STEPS", id="steps")
        yield CountView(id="counting")
        with Vertical(id="foot"):
            yield AskLine(id="ask")
            yield Steady(id="message")
            yield KeyBar(id="keys")

    async def on_mount(self) -> None:
        lots = lots_in(self.app.book, self.live)
        key_of = partial(key_called, self.app.keymap)
        self.hands = Hands(self.live, self.app.settings, self, lots, key_of, self.app.hear)
        state = self.live.state
        if self.live.looking:
            self.set_interval(FOLLOWED_S, self._follow)
        elif self._came_from is not None:
            if self.hands.do(ev.Opened()):
                self._arrived_at = state.last_seq
                now = f"Now {self.live.record.title}, on {self.live.record.machine.name}: {standing_words(state)}."
                self.say(f"{now} {self.hands.undo} goes straight back to {self._came_from.record.title}.")
        elif state.last_seq > 1:
            away = since_words(self.app.book.clock.now().at_ms - state.last_ms)
            if self.hands.do(ev.Opened()) and state.step is not None:
                self.say(f"Welcome back{f' after {away}' if away else ''}: {standing_words(state)}.")
        if self.first_ever:
            key = next(command.shown for command in self.commands if command.does == "explain")
            self.say(f"Step by step; {key} shows all at once.")
        self.set_interval(1.0, self._tick)
        await self.show()
        self.call_after_refresh(self._read_record)

    async def _read_record(self) -> None:
        """Behind the first frame: what the logbook knows of the cylinder and the yarn."""
        known = read_record(self.app.book, self.live.record)
        self.query_one(CountView).known = known
        await self.show()
        self.call_after_refresh(_put_memory_in_order)

    @property
    def running(self) -> str:
        state, step = self.live.state, self.live.state.step
        if state.paused or state.abandoned or not isinstance(step, CountRows | CountPasses | DialTrial):
            return ""
        of = f" of {state.target}" if state.target is not None else ""
        return f"{self.live.record.title}, {step.title} {state.count}{of}"

    @property
    def short(self) -> bool:
        return self.app.size.height < FEW_LINES

    async def on_resize(self) -> None:
        self.set_class(self.short, "short")
        self.set_class(self.app.size.height < VERY_FEW_LINES or self.app.size.width < NARROW, "tiny")
        await self.show()

    async def _follow(self) -> None:
        """Another bench counts: show what it has stored."""
        version = self.app.book.store.version
        if version != self._seen_version:
            self._seen_version = version
            if self.live.catch_up():
                await self.show()
            if self.is_current and self._gone_to is None:
                self._gone_to = self.app.go_along(self)

    async def _tick(self) -> None:
        now = Message().time  # the clock that stamps key presses, whatever the system
        gone_s = self._ticks.stood_still_s(now, time.time())
        if gone_s:  # what was pressed meanwhile waits in the terminal, and comes in the next moment
            self.hands.woke(now * 1000)
            self.set_timer(SETTLED_S, partial(self._stood_still, gone_s, now * 1000))
        if self.hands.tick(now * 1000):
            await self.show()

    async def _stood_still(self, gone_s: float, woke_ms: float) -> None:
        self.hands.stood_still(gone_s, woke_ms)
        await self.show()

    def keys_go(self, here: bool, *, finding: bool = False) -> None:
        """The terminal lost the keyboard, or has it again. One that does not tell never comes here.

        ``finding``: the palette has it, which is seen and needs no bell.
        """
        now_ms = Message().time * 1000
        self.set_class(not here, "elsewhere")
        words = INTO_THE_PALETTE if finding else ELSEWHERE
        self.query_one("#elsewhere", Steady).show_text(words.center(self.app.size.width))
        if here:
            self.hands.keys_back(now_ms)
        elif self.hands.keys_gone(now_ms, into="the palette" if finding else "") and not finding:
            self._bell()
        self.call_later(self.show)

    # --- showing -------------------------------------------------------------------------------------------

    async def show(self) -> None:
        live, state = self.live, self.live.state
        step, kind = state.step, panel_of(state)
        far = self.has_class("far")
        if (kind, far) != self._shown:
            self._shown = (kind, far)
            self.query_one(CountView).display = kind == "counting"
            self.set_class(kind == "measuring", "measure")
            self.set_class(kind == "counting", "counts")
        self.set_class(step is None and not state.abandoned, "finished")
        await self.query_one(StepPanels).show(live, self.first)
        if kind != "measuring" and isinstance(self.focused, Input) and not self.query_one(AskLine).display:
            self.set_focus(None)
        if kind == "counting":
            alone = far or self.has_class("tiny")
            beside = self.step_by_step or self.has_class("listed")
            rest = self.hands.rest_in_min(Message().time * 1000)
            view = self.query_one(CountView)
            view.show(live, self.first, rest_min=rest, only=alone, step_by_step=beside)
            if alone and not self._said:  # where the sentences have no room
                hands = self.hands
                due = view.due or hands.offer_words or past_words(state, hands.undo, hands.key_of("rehang"))
                if due:
                    self.query_one("#message", Steady).show_text(due, layout=True)
        at = f"step {state.index + 1} of {len(state.head.steps)}" if step else "finished"
        self.query_one("#header", Steady).show_text(f"{live.record.title}   {at}")
        self.query_one("#steps", Panel).show_panel(step_rows(state))
        commands = self.commands
        self.set_class(self.step_by_step, "step-by-step")
        if self.step_by_step:
            apart = kind == "words" and not self.short
            width = self.app.size.width - 4
            self.query_one(ReasonPanel).show_step(state, commands, width, apart=apart)
        self.query_one(KeyBar).show(self._at_the_foot(kind, commands))
        if kind == "counting":
            self._keep_free()

    def _keep_free(self) -> None:
        """Leave the lines of the foot free below the panels; what is said or asked above more of them moves nothing."""
        state, far = self.live.state, self.has_class("far")
        view = (self.app.size, state.index, self.step_by_step, self.classes & {"far", "listed"}, self.app.settings.foot)
        if view == self._kept_free or self._strip or self.query_one(AskLine).display:
            return
        self._kept_free = view
        height = self.query_one(KeyBar).styles.height
        keys = int(height.value) if height is not None and not far else 0
        said = 1 if self.short or far else SAID_LINES
        self.query_one(CountView).styles.margin = (0, 0, keys + said, 0)

    def _at_the_foot(self, kind: str, commands: tuple[Command, ...]) -> tuple[Command, ...]:
        if self.asks and not self.query_one(AskLine).yes_or_no:
            return ANSWERING
        commands = at_hand(commands, speaks=self.app.ear is not None, looks=self.live.looking)
        if kind != "counting":
            self._strip = ""
        if self._strip:
            return at_the_foot(commands, self._strip)
        few = self.app.settings.foot == "few" and any(one.does == "count" for one in commands)  # in a trial, too
        shown = if_room("quiet", at_the_foot(commands), self.app.size.width) if few else commands
        return few_commands(shown, self.live.state) if self.step_by_step else shown

    @property
    def step_by_step(self) -> bool:
        return self.app.settings.step_by_step

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        """One line under the panel; ``trouble`` also rings the bell."""
        message = self.query_one("#message", Steady)
        self._said = sentence
        if not sentence and self.short and panel_of(self.live.state) == "counting":
            sentence = seen_words(self.live.state, 1)  # the line is free for what was seen last
        message.show_text(("! " if trouble and sentence else "") + sentence, layout=True)
        message.set_class(trouble, "trouble")
        if trouble and sentence:
            self._bell()
            if self.app.ear is not None:
                self.app.ear.warn(sentence)

    def ring(self) -> None:
        """Bell, and a flash of the frame for those who do not hear it."""
        self._bell()
        self.add_class("ringing")
        self.set_timer(FLASH_S, lambda: self.remove_class("ringing"))

    def _bell(self) -> None:
        if self.app.settings.bell:
            self.app.bell()

    # --- keys ----------------------------------------------------------------------------------------------

    @property
    def asks(self) -> bool:
        return bool(self.query_one(AskLine).display)

    @property
    def touched(self) -> bool:
        return any(line.value.strip() for line in self.query_one(MeasurePanel).query(Input))

    @property
    def commands(self) -> tuple[Command, ...]:
        """What can be done now."""
        first, *others = commands_for(self.live.state, self.app.keymap, self.hands.offered)
        follows = what_follows(self.live)
        return (first, *(follows[:1] if follows else ()), *others)

    async def on_click(self, event: events.Click) -> None:
        """A click on a panel does what its key does; on the count only if that is set."""
        clicked = event.widget.id if event.widget is not None else None
        does = CLICKED.get(clicked or "", "count" if self.app.settings.click_counts and clicked in DIGITS else "")
        command = next((command for command in self.commands if command.does == does), None)
        if command is not None and not self.asks:
            event.stop()
            await self._run(command, event.time * 1000)

    async def run_command(self, command: Command) -> None:
        """Do what its key does; what else that key could mean was named already."""
        self.app.found()
        self._strip = command.does if command.does in STRIPS else ""
        await self._run(command, Message().time * 1000)

    @property
    def known_keys(self) -> tuple[str, ...]:
        if self.query_one(AskLine).yes_or_no:
            return ("y", "n", *self.app.keymap.count)
        return tuple(key for command in self.commands for key in command.keys)

    async def on_key(self, event: events.Key) -> None:
        """Run the command of this key. What is typed into a field never comes here."""
        if self._gone_to is not None:  # typed ahead, before the other session was up
            event.stop()
            key = Key(event.key, event.character)
            key.time = event.time
            self._gone_to.post_message(key)
            return
        ask = self.query_one(AskLine)
        if ask.display:
            if event.key == "escape":
                event.stop()
                ask.close()
                self.say("")
                await self.show()
            elif ask.yes_or_no and event.key in ("y", "n"):
                event.stop()
                ask.answer_with(event.key)
            elif ask.yes_or_no and event.key in self.app.keymap.count:
                ask.close()  # the hands are cranking: that is a no, and a row
                await self._key(event)
            elif ask.yes_or_no:
                self.say(f"{shown_key(event.key)} is not an answer here: y yes, n no.")
            return
        if self.hands.type_number(event.key):
            event.stop()
            await self.show()
            return
        await self._key(event)

    async def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Whoever goes to a line while yes or no is asked has left the question: it would not be true any more."""
        ask = self.query_one(AskLine)
        if ask.yes_or_no:
            ask.close(event.widget)
            self.say("")
            await self.show()

    async def _key(self, event: events.Key) -> None:
        line = self.focused
        if isinstance(line, Input) and (event.key == "enter" or (event.key == "backspace" and line.value)):
            return  # the line's own; Backspace on an empty one is what it is anywhere else
        for command in self.commands:
            # Under another screen only what was cranked still comes here, typed before that screen was up.
            if event.key in command.keys and (self.is_current or command.does == "count"):
                event.stop()
                event.prevent_default()
                await self._run(command, event.time * 1000)
                return
        if self._strip == "recount" and event.character is not None and event.character.isdigit():
            self._strip = ""  # a number typed straight after the key is the count it should show
            self.ask("recount")
            self.query_one(AskLine).query_one(Input).insert_text_at_cursor(event.character)
            await self.show()
        elif self.is_current and event.key in self.app.keymap.count:
            if panel_of(self.live.state) == "trial":  # at rest: the panel has the whole of it
                self.say("Nothing is cranked here: first do what the panel says.", trouble=True)
            else:
                self.hands.do(ev.Pressed())  # it is refused, and why is said: the crank goes, and no count does
        elif self.is_current and not isinstance(self.focused, Input) and event.key not in self.active_bindings:
            self._say_what_for(event.key)

    def _say_what_for(self, key: str) -> None:
        """A key that does nothing here says what it is for."""
        key, keymap = at_its_place(key), self.app.keymap
        shown_help = next(c.shown for c in commands_for(self.live.state, keymap) if c.does == "help")
        if key.isdigit():
            self.say(f"{key} does nothing here: a needle's number is typed straight after what was seen at it.")
            return
        self.say(what_for(shown_key(key), lambda c: key in keymap.place(c).keys, self.live.state, shown_help))

    async def _run(self, command: Command, at_ms: float) -> None:
        strip, self._strip = self._strip, ""
        if strip and command.does == "home":
            await self.show()
            return
        if self._opens(command, strip):
            self._strip = command.does
            await self.show()
            return
        own = getattr(self, f"go_{command.does}", None)
        came_from, just_come = self._came_from, self.live.state.last_seq == self._arrived_at
        if came_from is not None and just_come and command.does in ("take_back", "undo_measuring"):
            self._gone_to = self.app.go_on_with(came_from.record.id, self.live)
        elif command.does in ASKING:
            self.ask(command.does)
        elif own is not None:
            own()
        elif command.does == "count":
            self.hands.do_count(at_ms)
            if not self._showing:  # presses already queued behind this one are shown with it
                self._showing = True
                self.call_later(self._show_counted)
            return
        else:
            do = getattr(self.hands, f"do_{command.does}")
            do(command.argument) if command.argument else do()
        if self.is_current:
            await self.show()

    def _opens(self, command: Command, strip: str) -> bool:
        """Whether a key first shows, in the foot's place, what it can mean; again it means itself."""
        few = self.app.settings.foot == "few" and panel_of(self.live.state) == "counting"
        return few and command.does in STRIPS and strip != command.does

    async def _show_counted(self) -> None:
        self._showing = False
        if self.is_current:
            await self.show()
        self.call_after_refresh(gc.collect, 1)  # among what is new, which takes 0.2 ms

    def go_take_reading(self) -> None:
        """Enter outside a line: into the first."""
        self.query_one(MeasurePanel).query(Input).first().focus()

    def go_finish_measuring(self) -> None:
        """Store what is still typed, and go on."""
        readings = self.query_one(MeasurePanel).take_what_is_typed()
        if readings is None:
            self.say("What you typed there cannot be read: correct it, or empty the line.", trouble=True)
        elif all(self.hands.do(ev.ReadOff(taken.field, taken.value, taken.typed)) for taken in readings):
            self.hands.do_go_on()

    def go_strike_reading(self) -> None:
        self.hands.strike_reading(self.query_one(MeasurePanel).present_field)

    def go_acknowledge(self) -> None:
        if not self.query_one(CountView).due:
            self.say("Nothing is due now.")
            return
        self.query_one(CountView).acknowledge()
        self.say("")

    def go_far(self) -> None:
        self.toggle_class("far")
        self.say(self._said)  # not what is near: its panel says so, or comes to say so

    def go_view(self) -> None:
        self.toggle_class("listed")

    def go_say_where(self) -> None:
        place = heard_place(self.live.state)
        self.say(f"{place[0].upper()}{place[1:]}.")
        if self.app.ear is not None:
            self.app.ear.say_place(self.live.state)

    def go_quiet(self) -> None:
        if self.app.ear is None:
            self.say("Nothing is spoken: speech and tones are off. e on the bench turns them on.")
        else:
            key = next(command.shown for command in self.commands if command.does == "quiet")
            self.say(self.app.ear.turn(f"press {key}"))

    def go_explain(self) -> None:
        """One step at a time with its reason, or the list of steps again; until the bench is left."""
        settings = replace(self.app.settings, step_by_step=not self.step_by_step)
        self.app.use(settings)
        self.hands.settings = settings
        kept = "One step at a time until you quit. To keep it: e on the bench, then Ctrl+S."
        self.say(kept if self.step_by_step else "")

    def go_seen(self) -> None:
        self.app.push_screen(screen_of("seen", self.app, self.hands), self._show_again)

    def go_why(self) -> None:
        self.app.push_screen(screen_of("why", self.app, bed_of(self.live.record)), self._show_again)

    async def _show_again(self, _result: None) -> None:
        await self.show()

    def go_other(self) -> None:
        other = next_open(self.app.book.store, self.live.record.id)
        if other is None:
            self.say("No other session is open.")
        else:
            self._gone_to = self.app.go_on_with(other, self.live)

    def go_plan_next(self) -> None:
        """On to what this finished work leads to."""
        self.go_home()
        if follows := what_follows(self.live):
            self.app.call_later(self.app.go_to, *follows[1:])

    go_tube_next = go_twin_next = go_plan_next

    def go_home(self) -> None:
        if self.app.ear is not None:
            self.app.ear.hush()
        self.app.just_left = self.live.record.id
        self.dismiss(None)

    def go_help(self) -> None:
        commands = self.commands
        told = help_of(self.live, step_by_step=self.step_by_step)
        self.app.push_screen(HelpScreen(self.live.record.title, commands, *told))

    # --- questions and readings ----------------------------------------------------------------------------

    def ask(self, about: str, words: str = "", hint: str = "") -> None:
        """Open the line to answer in; how it is answered stands below it."""
        asked = asking(about, self.live.state)
        how = hint or how_words(about, self.live.state)
        self.query_one(AskLine).open(Question(about, words or asked.words, asked.yes_or_no))
        self.say("" if asked.yes_or_no else how)

    async def on_ask_line_answered(self, event: AskLine.Answered) -> None:
        event.stop()
        ask = self.query_one(AskLine)
        asked = ask.question
        if self.hands.answer(event.about, event.text) and ask.question is asked:
            ask.close()
        await self.show()

    async def on_measure_panel_taken(self, event: MeasurePanel.Taken) -> None:
        event.stop()
        if self.hands.do(ev.ReadOff(event.field, event.value, event.typed)):
            self.say(
                far_off_words(self.live.state, event.field) or self.query_one(MeasurePanel).go_on_from(event.field)
            )
        await self.show()

    def on_measure_panel_passed(self, event: MeasurePanel.Passed) -> None:
        """What was said of the line before is no longer true."""
        event.stop()
        self.say("")

    async def on_measure_panel_done(self, event: MeasurePanel.Done) -> None:
        event.stop()
        self.hands.do_go_on()
        await self.show()
