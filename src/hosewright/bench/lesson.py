"""A first lesson: a throwaway bench on which a coach says, in a frame at the top, which key comes next and why.

It is a list of stops. At each the coach speaks of what is on the screen; it goes on when the session or the screen that
is up says that it was done, however long that takes and whichever way one went about it. Beside the way a key does what
it always does, and the coach says how to get back.
"""

from __future__ import annotations

from collections.abc import Callable  # noqa: TC003 (the stops' fields are read when they are made)
from textwrap import wrap
from typing import TYPE_CHECKING, Any, NamedTuple

from textual.binding import Binding
from textual.screen import ModalScreen

from hosewright.bench.app import Bench, run_throwaway
from hosewright.bench.shielded import SAID_S
from hosewright.bench.widgets.line import Sheet
from hosewright.bench.widgets.panel import DUE, framed
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn
from hosewright.phrases.times import Moment, WallClock
from hosewright.session.events import Observed, Pressed
from hosewright.session.steps import CountRows, DialTrial, Measure

if TYPE_CHECKING:
    from pathlib import Path

    from textual.geometry import Size
    from textual.screen import Screen

    from hosewright.logbook.live import Live
    from hosewright.phrases.times import Clock
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind

LINES = 4  # of the frame: two of words
A_ROW_MS = 2300  # a beginner's pace
SEEN_ROWS = 5  # of the tube, before a fault is noted
# Our own invented bench. On it this yarn's stitches stay up at so many clicks below the zero mark, and fewer.
SHELF = (
    Machine(
        id="kitchen-machine",
        name="Kitchen machine",
        clicks_per_turn=4,
        starting_dial=24,
        weights="one fork, two rings",
        heel_half="towards you",
        carrier_turns="anticlockwise",
    ),
    Cylinder(id="cylinder-60", name="60 slots", slots=60, diameter_mm=108.0),
    Yarn(
        id="plum", name="Plum", fibre="75 % wool, 25 % polyamide", count="400 m per 100 g", m_per_100g=400, ball_g=100
    ),
)
STAYS_UP_AT = 20
LENGTH, WIDTH = "15.4 cm", "10.2 cm"  # what the tape says of the washed tube, to be typed


class PutOn:
    """A clock, put on by as long as the rows that were cranked for someone would have taken."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self.by_ms = 0

    def now(self) -> Moment:
        at_ms, zone_min, tick_ms = self._clock.now()
        return Moment(at_ms + self.by_ms, zone_min, tick_ms + self.by_ms)


class Seen(NamedTuple):
    """What is up: its place ("home", "search", "tube" for a form, "crank", "plan", "ask", else ""), and its session.

    At home the session is the one that was up last. ``asks``: whether a question stands open at the crank.
    """

    place: str
    live: Live | None = None
    asks: bool = False

    @property
    def state(self) -> State | None:
        return self.live.state if self.live is not None else None

    def at(self, kind: SessionKind, step: str = "") -> bool:
        """Whether a session of this kind is up, at the step with this id."""
        if self.live is None or self.live.record.kind != kind or self.live.state.abandoned:
            return False
        return not step or (self.live.state.step is not None and self.live.state.step.id == step)

    def past(self, kind: SessionKind, step: str) -> bool:
        """Whether a session of this kind is up that has this step behind it."""
        if self.live is None or self.live.record.kind != kind:
            return False
        return any(one.id == step for one in self.live.state.head.steps[: self.live.state.index])


class Stop(NamedTuple):
    """What the coach says where the stop is, and when it is done. A key stands in braces, by its command's name."""

    title: str
    places: tuple[str, ...]
    kind: SessionKind  # what is cranked then
    says: Callable[[Seen], str]
    done: Callable[[Seen], bool]


# What the hands would do at a step without rows to count, and why.
_HANDS = {
    "dial-start": "The dial decides how much yarn a loop takes, so it is set first. Here your hands are free: ",
    "cast-on": "A needle can only draw yarn through a loop it holds; the bonnet gives each one its first. ",
    "hang-weights": "The weights draw each new stitch down, off its latch, so that the next can form. ",
    "thread": "The first rows are uneven, whoever cranks: they are knitted in a yarn that comes out again. ",
    "join": "From here on it is the yarn you keep. Hold its tail for the first row. ",
    "clear": "Stitches that stayed up sit high: cranked over they tuck. So they are drawn down by hand. ",
    "part": "With separator rows above it, the last row of your yarn can leave the needles whole. ",
    "take-off": "The yarn is cut, so each needle lets go of its loop: the tube comes off. ",
    "close-ends": "Loose ends ravel in the wash; a thread through the separator rows keeps them. ",
    "wash": "A sock lives washed, so the tube is washed as the sock will be. ",
    "dry": "At home it hangs for days, and the bench keeps it. In this practice it is dry already: ",
}


def _doing(seen: Seen) -> str:
    """A step that is done by hand, or rows that are counted, on the way to where the stop leads."""
    state = seen.state
    assert state is not None
    step = state.step
    if step is None:
        return ""
    if isinstance(step, Measure):
        if seen.asks:
            return "Nothing was measured, and here that is as it should be: y."
        return "The tape comes after the wash; before it, it may rest. {finish_measuring} goes on."
    if not isinstance(step, CountRows):
        return _HANDS.get(step.id, "") + "{go_on} says that it is done."
    left = step.target - state.count
    if left <= 0:
        return f"{state.count} of {step.target} rows: that is all of them. {{go_on}} goes on to the next step."
    said = "A turn of the crank is a row, and {count} counts it. "
    return said + f"{left} more to go, or F2 cranks them for you."


def _trial(seen: Seen) -> str:
    state = seen.state
    assert state is not None
    if not isinstance(state.step, DialTrial):
        return _doing(seen)
    if state.search.stopped:
        return "The search has stopped, as the screen says. {take_back} takes the last answer back."
    last = state.trials[-1] if state.trials else None
    if last is not None and not last.void and not state.count and last.verdict != _truth(last.clicks):
        did = "dropped back" if _truth(last.clicks) == "drop" else "stayed up"
        return f"In this practice they {did}, which is not what you said: {{take_back}} takes it back."
    if state.search.found:
        return "Found: a turn below where they stay up is the stitch size. {go_on} goes on, to prove it."
    if not state.count:
        return "Crank one row at this dial position: {count}. At home, watch the stitches behind the V-cam."
    if _truth(state.search.position) == "drop":
        return "In this practice they rose and dropped back at once: {judge drop}."
    return "In this practice they rose and stayed up: {judge stay}. Too small a stitch."


def _truth(clicks: int) -> str:
    return "drop" if clicks > STAYS_UP_AT else "stay"


def _prove(seen: Seen) -> str:
    if seen.at("search", "prove"):
        state = seen.state
        assert state is not None
        if state.count < (state.target or 0):
            return f"{state.count} of {state.target}: ten clean rows prove the stitch size. {{count}} for each, or F2."
        return "Ten clean rows. {go_on} ends the search."
    return _trial(seen)


def _tube(seen: Seen) -> str:
    if seen.place == "home":
        if seen.at("tube"):
            return "The tube waits as you left it. Enter on the bench goes on with the line under the bar."
        return "The stitch size is found. Now its gauge tube: press t."
    if seen.place == "tube":
        return "Filled in from your search, dial and all: 60 rows between 8 of separator yarn. Ctrl+S begins."
    if seen.live is not None and seen.live.record.kind == "search":
        return "There is your stitch size, proved and saved. Now its gauge tube: press t."
    state = seen.state
    assert state is not None
    if not seen.at("tube", "tube"):
        return _doing(seen)
    if state.count < SEEN_ROWS:
        return f"The rows that are measured. {{count}} counts them: crank {SEEN_ROWS} or so, then something goes wrong."
    if any(not one.struck for one in state.observations):
        return "Noted, with its row. And if that was wrong? {take_back} undoes the last thing done."
    return "A stitch fell off its needle: {note} shows the letters for what you see, and d notes “dropped”."


def _noted_and_undone(seen: Seen) -> bool:
    state = seen.state
    if seen.past("tube", "tube"):
        return True
    if not seen.at("tube", "tube") or state is None or state.count < SEEN_ROWS or state.observations:
        return False
    return any(isinstance(deed.event, Observed) for deeds in state.undone for deed in deeds)


def _measure(seen: Seen) -> str:
    state = seen.state
    assert state is not None
    if not seen.at("tube", "after-wash"):
        return _doing(seen)
    told = {reading.field for reading in state.readings if not reading.struck}
    if "length" not in told:
        return f"What the tape tells of 60 rows: on “Length of the working rows” type {LENGTH}, then Enter."
    if "width" not in told:
        return f"Enter alone goes to the next line. There, on “Flat width”, type {WIDTH}, then Enter."
    return "That is enough for a gauge; several readings make it surer. {finish_measuring} ends the measuring."


def _gauge(seen: Seen) -> str:
    if seen.place == "plan":
        return "A sock from it: Enter goes to Foot length, and 24 cm there shows one. That was the lesson: F3 ends it."
    if seen.place == "home":
        return "Your gauge is saved. p plans a sock from it."
    return "Your gauge, and how sure it is (±): every sock in this yarn is worked out from it. p plans one."


STOPS = (
    Stop(
        "THE BENCH",
        ("home",),
        "search",
        lambda _: "Machine, cylinder and yarn stand ready here. First find the yarn's stitch size: press f.",
        lambda seen: seen.place == "search" or seen.at("search"),
    ),
    Stop(
        "WHERE TO BEGIN",
        ("search",),
        "search",
        lambda _: "All is filled in: the dial begins where your machine usually does. Ctrl+S begins; Esc would leave.",
        lambda seen: seen.at("search"),
    ),
    Stop(
        "SETTING UP",
        ("crank",),
        "search",
        _doing,
        lambda seen: seen.past("search", "join"),
    ),
    Stop(
        "DROP OR STAY",
        ("crank",),
        "search",
        _trial,
        lambda seen: seen.past("search", "trial"),
    ),
    Stop(
        "TEN CLEAN ROWS",
        ("crank",),
        "search",
        _prove,
        lambda seen: seen.past("search", "prove"),
    ),
    Stop(
        "THE TUBE",
        ("home", "tube", "crank"),
        "tube",
        _tube,
        _noted_and_undone,
    ),
    Stop(
        "WASHED AND MEASURED",
        ("crank",),
        "tube",
        _measure,
        lambda seen: seen.past("tube", "after-wash"),
    ),
    Stop("THE GAUGE", ("crank", "plan", "home"), "tube", _gauge, lambda _: False),
)


def way_back(stop: Stop, seen: Seen) -> str:
    """What to press where the stop is not."""
    begin = "f" if stop.kind == "search" else "t"
    if seen.place == "ask" or seen.asks:
        return "A question comes first. Answer it, or Esc leaves all as it was."
    state = seen.state
    if seen.place == "crank" and state is not None and state.abandoned:
        return "You gave it up. Enter takes it up again, and the lesson goes on."
    if seen.place == "home":
        return f"This is the bench. Enter goes on with the line under the bar; {begin} begins another {stop.kind}."
    if seen.place == "crank":
        return f"Another session. Esc leads to the bench, and {begin} there to the {stop.kind} of this lesson."
    return "Beside the lesson. Look round as you like: Esc leads back, and then we go on."


class Coach(Sheet):
    """The frame at the top of a screen. Always as high, so that nothing below it moves."""

    DEFAULT_CSS = f"Coach {{ dock: top; width: 100%; height: {LINES}; background: $background; }}"
    _title = _words = ""

    def say(self, title: str, words: str) -> None:
        self._title, self._words = title, words
        self.on_resize()

    def on_resize(self) -> None:
        width, height = self.size
        rows = [((f" {line}", "bold"),) for line in wrap(self._words, max(1, width - 4))]
        self.show_rows(framed(rows, self._title, "F3 ends it", width, height, DUE))


class LessonBench(Bench):
    """The bench with a coach. Leaving the lesson leaves the bench up as it stands."""

    BINDINGS = [
        Binding("f2", "crank_the_rest", "Crank the rest", show=False, priority=True),
        Binding("f3", "end_lesson", "End the lesson", show=False, priority=True),
    ]

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.stop = 0  # which of ``STOPS``
        self.over = False
        self._last: Live | None = None  # what was cranked last

    @property
    def room(self) -> Size:
        return self.size if self.over else self.size - (0, LINES)

    def look_at(self, screen: Screen[Any]) -> None:
        """Say what comes next on the screen that is up; called when all that came to it was done."""
        if self.over or screen is not self.screen or not screen.is_mounted:
            return
        seen = seen_on(screen)
        if seen.place == "home":
            seen = Seen(seen.place, self._last)
        self._last = seen.live or self._last
        while STOPS[self.stop].done(seen):
            self.stop += 1
        stop = STOPS[self.stop]
        words = (stop.says if self._is_there(stop, seen) else lambda seen: way_back(stop, seen))(seen)
        if not screen.query(Coach):
            screen.mount(Coach())
        keys = {command.name: command.shown for command in getattr(screen, "commands", ())}
        title = f"LESSON · {self.stop + 1} of {len(STOPS)} · {stop.title}"
        screen.query_one(Coach).say(title, words.format_map(keys))

    @staticmethod
    def _is_there(stop: Stop, seen: Seen) -> bool:
        if seen.place not in stop.places:
            return False
        if seen.place != "crank":
            return True
        if seen.asks:
            return seen.at("tube", "before-wash")
        return seen.at(stop.kind) or (stop.title == "THE TUBE" and seen.at("search"))

    def action_end_lesson(self) -> None:
        """The coach goes; the bench stays."""
        self.over = True
        for screen in self.screen_stack:
            screen.query(Coach).remove()
        self.say_of_key("The lesson is over. The bench is yours, and nothing on it is kept: q on the bench quits.", 8.0)

    async def action_crank_the_rest(self) -> None:
        """Count the rows of this step that are left, as if they had been cranked."""
        screen = self.screen
        live = seen_on(screen).live
        if self.over or live is None or not isinstance(live.state.step, CountRows):
            self.say_of_key("F2 cranks for you where rows are counted.", SAID_S)
            return
        for _ in range(live.state.step.target - live.state.count):
            if isinstance(self.book.clock, PutOn):
                self.book.clock.by_ms += A_ROW_MS
            live.do(Pressed())
        await screen.show()  # type: ignore[attr-defined]


def seen_on(screen: Screen[Any]) -> Seen:
    """What is up, told by what the screen has."""
    if isinstance(screen, ModalScreen):
        return Seen("ask" if getattr(screen, "ANSWERS", "") else "")
    live = getattr(screen, "live", None)
    if live is not None:
        return Seen("crank", live, bool(getattr(screen, "asks", False)))
    name = type(screen).__name__
    if name == "FreshStartScreen":
        return Seen(screen.kind)  # type: ignore[attr-defined]
    return Seen({"HomeScreen": "home", "PlanScreen": "plan"}.get(name, ""))


def open_lesson(folder: Path, clock: Clock | None = None) -> Logbook:
    """A throwaway logbook in ``folder``, empty but for a shelf that stands ready."""
    book = Logbook.for_counting(folder / "logbook.sqlite", PutOn(clock or WallClock()))
    book.keep(*SHELF)
    return book


def run_lesson() -> int:
    """Run it on a bench of its own. Returns the exit code."""
    return run_throwaway(LessonBench, open_lesson)
