"""A session played back: the same fold, the same cylinder, faster or event by event."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Static

from hosewright.bench.count.dashboard import needle_rows
from hosewright.bench.count.drawn import ladder
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.bigtext import drawn
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Sheet
from hosewright.bench.widgets.panel import bar
from hosewright.bench.widgets.sock import SockSheet, Words
from hosewright.counting.replay import Recording
from hosewright.paper.charts import cranked_sock
from hosewright.phrases.times import clock_time
from hosewright.session.steps import CountPasses, CountRows, DialTrial
from hosewright.session.words import now_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.session.events import Entry
    from hosewright.session.state import State

SPEEDS = (1, 2, 4, 8, 16, 32, 64)
TICK_S = 0.05
TOLD = 6
_EVENT = Binding.Group("One event")
_HAPPENING = Binding.Group("Last or next event that is not a row")
_SPEED = Binding.Group("Faster, slower")
_SKIP = "To the last or the next event that is not just a row or pass"
_PART = Binding.Group("Part before, next")
_TURN = "To where the part before or the next was begun: the hem, the leg, the heel"
_SOCK = Binding.Group("Sock before, next")
_TURN_SOCK = "To where the sock before or the next of a string was begun"
_ENDS = Binding.Group("Beginning, end")


class ReplayScreen(Shielded, Screen[None]):
    """Plays a session. Nothing here is stored."""

    CSS_PATH = "replay_screen.tcss"
    AUTO_FOCUS = ""
    EXPLAIN = (
        "The session as it was cranked, event by event: where the count stood, how far the sock was, where each needle "
        "was, what was noted. Long silences are cut short. Playing changes nothing, and stops while you read this."
    )
    BINDINGS = [
        Binding("space", "play", "Play, hold", priority=True),
        Binding("left", "step(-1)", "One event", group=_EVENT, key_display="←", tooltip="One event back or on"),
        Binding("right", "step(1)", "One event", group=_EVENT, key_display="→"),
        Binding("b", "happening(-1)", "To the last such event", group=_HAPPENING, tooltip=_SKIP),
        Binding("e", "happening(1)", "To the next such event", group=_HAPPENING),
        Binding("pageup", "part(-1)", "Part before, next", group=_PART, key_display="PgUp", tooltip=_TURN),
        Binding("pagedown", "part(1)", "To the next part", group=_PART, key_display="PgDn"),
        Binding("up", "sock(-1)", "Sock before, next", group=_SOCK, key_display="↑", tooltip=_TURN_SOCK),
        Binding("down", "sock(1)", "To the next sock", group=_SOCK, key_display="↓"),
        Binding("plus", "speed(1)", "Faster", group=_SPEED, key_display="+", tooltip="Faster or slower"),
        Binding("minus", "speed(-1)", "Slower", group=_SPEED, key_display="-"),
        Binding("f", "speed(1)", show=False),  # as they were before one letter meant one thing
        Binding("s", "speed(-1)", show=False),
        Binding("home", "ends(0)", "To the beginning", group=_ENDS, tooltip="To the beginning or the end"),
        Binding("end", "ends(1)", "To the end", group=_ENDS),
        Binding("escape", "dismiss", "Back"),
    ]

    def __init__(self, record: SessionRecord, entries: Sequence[Entry]) -> None:
        super().__init__()
        self.record = record
        self.recording = Recording(record.head, entries)
        self.playing = False
        self._speed = 2
        self._owed_ms = 0.0

    def compose(self) -> ComposeResult:
        yield Static(self.record.title, id="replay-title", markup=False)
        yield Static("", id="replay-where", markup=False)
        with Horizontal(id="replay-both"):
            with Vertical(id="replay-side"):
                yield Sheet(id="replay-count")
                yield Static("", id="replay-hands", markup=False)
                yield Static("", id="replay-ladder", markup=False)
                yield Static("", id="replay-told", markup=False)
            yield SockSheet(id="replay-sock")
        yield Sheet(id="replay-needles")
        yield Static("", id="replay-bar", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        self.set_interval(TICK_S, self.tick)
        self._show()

    def on_resize(self, _: events.Resize) -> None:
        self._show()

    def on_screen_suspend(self) -> None:
        """Hold while the help or anything else lies over it: nothing is to be missed."""
        if self.playing:
            self.playing = False
            self._show()

    @property
    def speed(self) -> int:
        """How many times as fast as it was cranked."""
        return SPEEDS[self._speed]

    def tick(self) -> None:
        """Let so much time of the recording pass as the clock's tick is worth."""
        if not self.playing:
            return
        self._owed_ms += TICK_S * 1000 * self.speed
        moved = False
        while not self.recording.done and self._owed_ms >= self.recording.gap_ms():
            self._owed_ms -= self.recording.gap_ms()
            self.recording.wind(self.recording.at + 1)
            moved = True
        if self.recording.done:
            self.playing = False
        if moved or not self.playing:
            self._show()

    def _show(self) -> None:
        recording = self.recording
        state = recording.state
        width = max(40, self.app.size.width - 4)
        entry = recording.entries[recording.at - 1] if recording.at else None
        when = clock_time(entry.at_ms, entry.zone_min) if entry else "before it began"
        going = f"playing, {self.speed} times as fast" if self.playing else f"held ({self.speed} times as fast)"
        self._say("replay-where", f"event {recording.at} of {len(recording.entries)}   {when}   {going}")
        self._say("replay-hands", now_words(state))
        self.query_one("#replay-needles", Sheet).show_rows(needle_rows(state, width))
        self._draw(state)
        rungs = ladder(state.trials, state.search, state.head.clicks_per_turn)
        searching = isinstance(state.step, DialTrial)
        self.query_one("#replay-ladder").display = searching
        if searching:
            self._say("replay-ladder", "\n".join(rungs))
        told = Text()
        for seen, words in recording.told(TOLD):
            told.append(f"{seen.seq:>5}  ", "dim")
            told.append(words + "\n")
        self.query_one("#replay-told", Static).update(told)
        self._say("replay-bar", bar(recording.at / max(1, len(recording.entries)), width, "━").ljust(width, "·"))

    def _draw(self, state: State) -> None:
        """The count, large, and the sock as far as it was cranked by then."""
        counting = isinstance(state.step, CountRows | CountPasses)
        count = self.query_one("#replay-count", Sheet)
        count.display = counting
        count.show_rows([((line, "bold live"),) for line in drawn(str(state.count))] if counting else [])
        sheet = self.query_one(SockSheet)
        sock = cranked_sock(self.record, state, state.sock)
        sheet.display = sock is not None
        if sock is not None:
            sheet.show_sock(sock.shape, sock.done, sock.yarn, Words(sock.labels))

    def _say(self, where: str, words: str) -> None:
        self.query_one(f"#{where}", Static).update(words)

    # --- keys ----------------------------------------------------------------------------------------------

    def action_play(self) -> None:
        if not self.playing and self.recording.done:
            self.recording.wind(0)
        self.playing = not self.playing
        self._owed_ms = 0.0
        self._show()

    def _hold_at(self, at: int) -> None:
        self.playing = False
        self.recording.wind(at)
        self._show()

    def action_step(self, by: int) -> None:
        self._hold_at(self.recording.at + by)

    def action_happening(self, by: int) -> None:
        """To the next event, or the one before, that is not just a row."""
        self._hold_at(self.recording.next_happening() if by > 0 else self.recording.last_happening())

    def action_part(self, by: int) -> None:
        """To where a part was begun."""
        self.recording.turn_to(by)
        self._hold_at(self.recording.at)

    def action_sock(self, by: int) -> None:
        """To where a sock of a string was begun."""
        self.recording.turn_to(by, sock=True)
        self._hold_at(self.recording.at)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002  # Textual asks so
        """Socks to go to are in a string alone."""
        return action != "sock" or self.record.kind == "string"

    def action_speed(self, by: int) -> None:
        self._speed = min(max(self._speed + by, 0), len(SPEEDS) - 1)
        self._show()

    def action_ends(self, end: int) -> None:
        self._hold_at(len(self.recording.entries) if end else 0)
