"""The bench in one glance: what is on the machine, what dries, what is unfinished, what to do next."""

from __future__ import annotations

from contextlib import suppress
from importlib import import_module
from time import monotonic
from typing import TYPE_CHECKING

from textual.containers import Container
from textual.screen import Screen
from textual.widgets import OptionList, Static

from hosewright.bench.home import panels
from hosewright.bench.home.open_list import SoFar, least_lines, options
from hosewright.bench.home.panels import Door, Keys, in_words
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.keybar import GAP, KeyBar, in_lines
from hosewright.bench.widgets.line import Steady
from hosewright.bench.widgets.panel import LIVE, Panel
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.glance import look
from hosewright.logbook.overview import overview, way
from hosewright.phrases.days import local_day
from hosewright.session.keys import Command, shown_key

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual import events
    from textual.app import ComposeResult
    from textual.timer import Timer
    from textual.widgets.option_list import Option

    from hosewright.bench.app import Bench
    from hosewright.logbook.glance import Glance
    from hosewright.logbook.overview import Overview, Way

_COMMANDS = (
    Command("enter", "Enter", "go on with it", "enter", "Go on with the line under the bar."),
    Command("f", "f", "stitch-size search", "search", "Find the stitch size for a yarn by dial trials."),
    Command("t", "t", "gauge tube", "tube", "Crank a gauge tube, to be washed and measured."),
    Command("p", "p", "plan a sock", "plan", "Work out a sock from a gauge and a foot, or a sock that fits."),
    Command("c", "c", "crank a sock", "sock", "Crank a planned sock, or its twin."),
    Command("b", "b", "string of socks", "string", "Crank several planned socks in one string."),
    Command("d", "d", "pairs", "pairs", "Pairs promised: by when, how far each is, and what this week holds."),
    Command("s", "s", "shelf", "shelf", "Machines, cylinders, yarns and wearers."),
    Command("n", "n", "notebook", "notebook", "Gauges and socks from before there was this logbook."),
    Command("y", "y", "yarn stock", "stock", "Yarn by dye lot: bought, used, promised and left."),
    Command(
        "m", "m", "care", "care", "The machine's care: oil, needles changed, parts, and what it has cranked since."
    ),
    Command("k", "k", "knits badly", "why", "When it knits badly: checks one at a time, the likeliest first."),
    Command("w", "w", "which cylinder", "cylinders", "All your cylinders side by side for one girth."),
    Command("r", "r", "dial response", "response", "What a click does to a yarn, and which click gives a gauge."),
    Command("z", "z", "sizes", "sizes", "Every size from child to large adult for one gauge, on one page."),
    Command("l", "l", "look back", "past", "All past sessions."),
    Command("e", "e", "settings", "settings", "Units, theme, keys, cues and the other settings."),
    Command("question_mark", "?", "help", "help", "This page."),
    Command("q", "q", "quit", "quit", "Leave. Everything is saved already."),
)
_MAKE = ("search", "tube", "plan", "sock", "string")
_KEEP = ("pairs", "shelf", "notebook", "stock", "care", "past")
_WORK_OUT = ("cylinders", "response", "sizes", "why")
_GROUPS = (("MAKE", _MAKE), ("KEEP", _KEEP), ("WORK OUT", _WORK_OUT))
# At 80 columns all keys stand at the foot in two lines, so each has one word there.
_SHORT = {"enter": "go on", "search": "search", "tube": "tube", "plan": "plan", "sock": "sock", "string": "string"}
_SHORT |= {"why": "why", "stock": "yarn", "cylinders": "girth", "response": "dial", "past": "past"}
_SELDOM = ("notebook", "sizes")  # which ? and Ctrl+P lead to, too, so that the foot keeps to two lines
_ON_THE_WAY = (  # the keys that make sense at each stage of the way from shelf to sock
    ("shelf", "notebook"),
    ("search", "tube", "shelf", "notebook"),
    ("tube", "search", "shelf"),
    ("tube", "search", "shelf"),
    ("plan", "tube", "shelf", "response", "sizes"),
    ("sock", "plan", "string", "pairs", "stock", "shelf"),
    ("sock", "plan", "string", "pairs", "stock", "shelf"),
)
_IN_PANEL = {"search": "stitch size", "stock": "yarn"}
WIDE, TALL = 100, 34  # from here on every panel has a place of its own
VERY_WIDE, VERY_TALL = 160, 48  # from here on the marked sock is drawn to scale, too
NARROW, LOW = 76, 20  # below this there is room for the list alone
_MOST_DRAWN = 8  # sessions whose sock is worked out; more do not fit on a screen
_AROUND = 6  # the list's frame, its margins and its scroll bar
_FOOT = 5  # lines of the heading, of two lines of keys and of the list's frame
# Lines of the panels below the list, the roomiest first.
_BELOW = {"way tall": 24, "way roomy": 16, "way": 9, "small": 10, "small low": 6, "wide": 19, "wide huge": 19}
_A_FRAME_S = 0.02  # Textual paints 60 frames a second
_A_PIECE_S = 0.01  # of work, while a key may wait
# What it needs, brought in one by one, each a tenth of a bare first frame: together they would hold up a key for two.
_HEAVY = (
    *("pydantic", "pydantic.types", "uncertainties"),
    *(f"hosewright.session.{name}" for name in ("events", "state", "results", "words", "fold")),
    *("hosewright.craft.correction", "hosewright.logbook.records.fields", "hosewright.logbook.records.year"),
    *("hosewright.logbook.records.shelf", "hosewright.logbook.records.planned", "hosewright.logbook.records.sessions"),
    *("hosewright.bench.count.sock_panel", "hosewright.logbook.accounts.care", "hosewright.logbook.accounts.stock"),
)
_BESIDE = 3  # lines of the heading and of the list's frame
_OPENING = (
    "The bench shows what is on the machine, what hangs to dry, what is unfinished, and what to do next. Arrows "
    "move the bar, Enter goes on there. The way to a pair: find the stitch size, crank a gauge tube, wash and "
    "measure it, plan the sock, crank it and its twin."
)


class HomeScreen(Shielded, Screen[None]):
    """The first screen."""

    AUTO_FOCUS = "#glance"
    KEYS_SAID = False
    commands = _COMMANDS
    known_keys = tuple(command.key for command in _COMMANDS)
    app: Bench

    def __init__(self) -> None:
        super().__init__()
        self._glance: Glance | None = None
        self._way: Way | None = None
        self._told: dict[str, SoFar] = {}
        self._overview: Overview | None = None
        self._known = panels.NOTHING_YET
        self._laid_out = False
        self._arranged = ""
        self._newest = ""  # what stood first of all that is open
        self._said = ""  # about the key pressed last, or the session just left
        self._reminders = ""
        self._to_work_out: Iterator[None] = iter(())
        self._worked_out: tuple[object, ...] = ()  # what it was worked out from
        self._waiting: Timer | None = None  # for the frame before the next piece of it

    def compose(self) -> ComposeResult:
        with suppress(LogbookError):  # said as soon as there is a place to say it
            self._read()
        yield Static(self.app.heading, id="header", markup=False)
        self._arranged = self._shape()
        with Container(id="dashboard", classes=self._arranged):
            # With the lines in it from the start, it is laid out once before the first frame, 10 ms sooner for it.
            listed = OptionList(*self._options(self._room()), id="glance", markup=False)
            listed.border_title = "ENTER GOES ON WITH"
            yield listed
            yield Panel("THE SOCK", id="sock")
            yield Door("PROMISED", "d", id="promised")
            yield Door("YARN LEFT", "y", id="yarn")
            yield Door("ROWS CRANKED", "l", id="rows")
            yield Door("CARE", "m", id="care")
            yield Keys([(name, in_words([_command(one) for one in of], _IN_PANEL)) for name, of in _GROUPS], id="ways")
            yield Panel("FROM SHELF TO SOCK", id="way")
        yield Steady(id="message")
        yield KeyBar(id="keys")

    def on_mount(self) -> None:
        self.query_one(KeyBar).show(self._at_the_foot())
        self.query_one("#glance").focus()
        self.watch(self.app, "theme", self._remind, init=False)  # the socks are drawn in its colours
        self._lay_out()

    def on_resize(self) -> None:
        self._arrange()
        self._lay_out()
        if not self._laid_out:
            self._laid_out = True
            if self._glance is None:
                self.look_again()
            else:
                self._fill()  # the list is painted; what Textual paints right behind it has the panels filled
        else:
            self.call_after_refresh(self._show_panels)
            self._remind()

    def on_screen_resume(self) -> None:
        """Something may have changed on the screen just left."""
        if self._laid_out:
            self.look_again()
        name, self.app.just_left = f"open:{self.app.just_left}", ""
        listed = self.query_one("#glance", OptionList)
        at = next((at for at, option in enumerate(listed.options) if option.id == name), None)
        if at is not None:
            listed.highlighted = at
        self._say(self._way_back("Left as it stands.") if at is not None else "")

    def _shape(self) -> str:
        """How the panels stand, by the room there is and by what there is to show."""
        width, height = self.app.room
        free = height - _FOOT - (least_lines(self._glance) if self._glance else 0)  # beside what is open
        if width < NARROW or height < LOW:
            return "bare"
        if self._way is not None:
            return self._roomiest("way tall", "way roomy", "way", free=free)
        if width >= VERY_WIDE and height >= VERY_TALL:
            return "wide huge"
        if width >= WIDE and height >= TALL:
            return "wide"
        return self._roomiest("small", "small low", free=free)

    @staticmethod
    def _roomiest(*shapes: str, free: int) -> str:
        return next((shape for shape in shapes if free >= _BELOW[shape]), "bare")

    def _arrange(self) -> None:
        """Let the panels stand as there is room, and the foot say what none of them does."""
        if (shape := self._shape()) != self._arranged:  # the same again would style and paint all of them anew
            self._arranged = shape
            self.query_one("#dashboard").set_classes(shape)
        self.query_one(KeyBar).show(self._at_the_foot())

    def _at_the_foot(self) -> list[Command]:
        """The keys that no panel shows."""
        shape = self._shape()
        if shape.startswith("wide"):
            return [_command("enter"), _CHOOSE, *(_command(one) for one in ("settings", "help", "quit"))]
        if shape.startswith("way") and self._way is not None:
            does = ("enter", *_ON_THE_WAY[self._way.at], "settings", "help", "quit")
            return [_command(one) for one in does]
        often = [command for command in _COMMANDS if command.does not in _SELDOM]
        return in_words(often, _SHORT) if shape.startswith("small") else often

    def _read(self) -> None:
        self._glance = look(self.app.book.store)
        self._way = way(self.app.book.store)

    def look_again(self) -> None:
        self.query_one("#header", Static).update(self.app.heading)
        try:
            self._read()
        except LogbookError as error:
            self._complain(error)
            return
        self._arrange()
        self._lay_out()
        self.call_after_refresh(self._fill)

    def _complain(self, error: LogbookError) -> None:
        self.query_one("#message", Steady).show_or_hide(f"! {error}")

    def _fill(self) -> None:
        """Fill every panel in one batch, once the list is painted; what needs the engine comes a frame behind."""
        try:
            self._overview = overview(self.app.book.store, self.app.book.clock.now().at_ms)
        except LogbookError as error:
            self._complain(error)
            return
        self._lay_out()
        self._show_panels()
        self._remind()

    def _show_panels(self) -> None:
        told, known, shape = self._overview, self._known, self._shape()
        today = local_day(self.app.book.clock)
        if shape.startswith("way") and (at := self._way) is not None:
            panel = self.query_one("#way", Panel)
            panel.show_panel(lambda width, height: panels.way_rows(at, width, height), frame=LIVE)
        if told is None or shape.startswith(("way", "bare")):
            return
        small = shape.startswith("small")
        self._door("promised").show_panel(
            lambda width, height: panels.promised_rows(known, told.promised, today, width, height),
            aside=panels.promised_aside(told.promised, today),
        )
        self._door("yarn").show_panel(
            lambda width, height: (panels.both_rows if small else panels.yarn_rows)(known, told, today, width, height),
            title="YARN, CARE" if small else "YARN LEFT",
        )
        days = told.days if known.days is None else known.days
        self._door("rows").show_panel(
            lambda width, height: panels.calendar_rows(days, today, width, height),
            aside=panels.calendar_aside(days, today),
        )
        if not small:
            self._door("care").show_panel(lambda width, height: panels.care_rows(known, told, today, width, height))
            self.query_one(Keys).paint()

    def _show_sock(self) -> None:
        """Draw the sock of the marked session, or else of the first that has one."""
        option = self.query_one("#glance", OptionList).highlighted_option
        marked = (option.id or "").removeprefix("open:") if option else ""
        drawn = next((name for name in (marked, *self._told) if name in self._told and self._told[name].picture), None)
        if drawn is not None and (picture := self._told[drawn].picture) and self._glance is not None:
            title = next((one.title for one in self._glance.standing if one.id == drawn), "")
            self.query_one("#sock", Panel).show_panel(picture, title)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if self._shape().endswith("huge"):
            self._show_sock()

    def _door(self, name: str) -> Door:
        return self.query_one(f"#{name}", Door)

    def _remind(self) -> None:
        """Begin with what only the engine can tell, a piece at a time, so that a key is never held up by all of it."""
        self._to_work_out = self._work_out()
        self._after_a_frame()

    def _after_a_frame(self) -> None:
        """Work on once what was shown is painted: a callback after the refresh would come before that."""
        if self._waiting is not None:
            self._waiting.stop()
        self._waiting = self.set_timer(_A_FRAME_S, self._work_on)

    def _work_on(self) -> None:
        if not self.is_current:
            return  # a key was faster; it is done on coming back
        until = monotonic() + _A_PIECE_S
        try:
            while monotonic() < until:
                next(self._to_work_out)
        except StopIteration:
            return
        except LogbookError as error:
            self._complain(error)
            return
        self._after_a_frame()

    def _work_out(self) -> Iterator[None]:
        book, told, shape = self.app.book, self._overview, self._shape()
        if self._glance is None or told is None:
            return
        without_panels = shape.startswith(("way", "bare"))
        since = book.store.version, self.app.settings, self.app.theme, without_panels
        if since == self._worked_out:
            return
        for module in _HEAVY:
            import_module(module)
            yield
        from hosewright.bench.home import worked_out  # the engine and the records, half a bare first frame

        drawn = [one.id for one in self._glance.standing[:_MOST_DRAWN] if one.where == "on the machine"]
        for session in drawn:
            self._told[session] = worked_out.told_of(self.app, session)
            yield
        self._told = {session: self._told[session] for session in drawn}
        self._lay_out()
        self._show_sock()
        yield
        for known in worked_out.bit_by_bit(book, told, self.app.settings, self._known):
            if known is not self._known:
                self._known = known
                self._show_panels()
                # Where there is a panel of care, that says what is due.
                due = worked_out.due_words(book, told, known) if without_panels else ()
                self._reminders = "\n".join(f"! {sentence}" for sentence in due)
                self._say(self._said)
                if without_panels:
                    break
            yield
        self._worked_out = since

    def _say(self, sentence: str) -> None:
        """One line about what was just done, above the reminders."""
        self._said = sentence
        words = "\n".join(part for part in (self._said, self._reminders) if part)
        message = self.query_one("#message", Steady)
        message.set_class(bool(words), "reminder")
        message.show_or_hide(words)
        if words and self._glance is not None:  # it takes room from the list
            self.call_after_refresh(self._lay_out)

    def _way_back(self, what: str) -> str:
        """``what``, and which key goes on with which session."""
        option = self.query_one("#glance", OptionList).highlighted_option
        standing = {f"open:{item.id}": item for item in self._glance.standing} if self._glance else {}
        if option is not None and option.id in standing:
            return f"{what} Enter goes back to {standing[option.id].title}."
        if standing:
            return f"{what} Move the bar to a session with the arrows, then Enter goes on with it."
        return f"{what} Press t, c or f to begin something to count."

    def _room(self) -> int:
        """The lines there are for the list, before it is laid out."""
        width, height = self.app.room
        foot = len(in_lines(self._at_the_foot(), width - 2, len(GAP)))
        return height - _BESIDE - foot - _BELOW.get(self._arranged, 0)

    def _options(self, room: int) -> list[Option]:
        if self._glance is None:
            return []
        width = self.app.size.width or 80
        shape = self._shape()
        width = (width * 2 // 5 if shape.endswith("huge") else width * 3 // 5 if shape == "wide" else width) - _AROUND
        dried = self._overview.dried if self._overview else ()
        return options(self._glance, self._told, dried, self.app.book.clock.now().at_ms, width, room)

    def _lay_out(self) -> None:
        listed = self.query_one("#glance", OptionList)
        marked = listed.highlighted_option.id if listed.highlighted_option else None
        options = self._options(listed.scrollable_content_region.height or self._room())
        if [(one.id, one.prompt) for one in options] != [(one.id, one.prompt) for one in listed.options]:
            listed.set_options(options)
        ids = [option.id for option in options]
        newest = next((name for name in ids if name and name.startswith("open:")), "")
        if newest != self._newest:  # another session came to the top since: Enter goes on with that one
            self._newest, marked = newest, newest
        first = next((at for at, option in enumerate(options) if not option.disabled), None)
        listed.highlighted = ids.index(marked) if marked is not None and marked in ids else first

    async def on_key(self, event: events.Key) -> None:
        """Run the command of this key; arrows and Enter belong to the list."""
        for command in _COMMANDS:
            if command.key == event.key and command.does != "enter":
                event.stop()
                if command.does == "help":
                    self.app.push_screen(HelpScreen("The bench", _COMMANDS, _OPENING))
                elif command.does == "quit":
                    self.app.exit(0)
                else:
                    self.app.go_to(command.does)
                return
        if event.key in self.app.keymap.count:
            event.stop()
            self._say(self._way_back("Nothing is counted here."))
        elif event.key not in self.active_bindings:
            self._say(f"{shown_key(event.key)} does nothing here; ? says what each key does.")

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        doing, _, session = (event.option_id or "").partition(":")
        if doing in ("open", "next-open"):
            self.app.open_session(session)
        elif doing and self._glance is not None:
            item = self._glance.next[int(session)]
            self.app.go_to(item.doing, dict(item.chosen))


_BY_NAME = {command.does: command for command in _COMMANDS}
_CHOOSE = Command("down", "↑↓", "choose", "choose", "Move the bar to another line.")


def _command(does: str) -> Command:
    return _BY_NAME[does]
