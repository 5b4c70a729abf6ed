"""The bench: opens the logbook, puts up the screens, and leaves the terminal as it was found."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
import time
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from textual import events
from textual.binding import Binding
from textual.screen import ModalScreen
from textual.widgets import OptionList

from hosewright.bench.doors import PLACES, STARTS, TAKES_UP, screen_of
from hosewright.bench.home.screen import HomeScreen
from hosewright.bench.program import LeaveScreen, Program
from hosewright.bench.shielded import SAID_S, tell_done
from hosewright.bench.themes import theme_named
from hosewright.counting.keymap import keymap_in_use
from hosewright.logbook.book import LOOK_IT_OVER, Logbook
from hosewright.logbook.file.backups import daily, day_of, kept
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.lock import BenchLock, HeldError
from hosewright.logbook.upkeep import errands
from hosewright.logbook.upkeep.surroundings import warnings
from hosewright.phrases.days import local_day
from hosewright.phrases.harmless import LONGEST_TYPED, harmless
from hosewright.phrases.times import WallClock, today_words
from hosewright.places import logbook_path, settings_path, shipped_folder
from hosewright.settings.loading import load

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from textual.command import Provider
    from textual.geometry import Size
    from textual.widget import Widget

    from hosewright.aloud.ear import Ear
    from hosewright.bench.count.screen import SessionScreen
    from hosewright.logbook.live import Live
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.phrases.times import Clock
    from hosewright.session.events import Event
    from hosewright.session.keys import Command
    from hosewright.session.state import State
    from hosewright.settings.table import Settings

LOOKS_ONLY = "This screen only looks on: count at the machine's own."
COMES_BY_ITSELF = "The next session that is counted shows here by itself."
PREPARED = "practice.sqlite"  # the samples as one logbook: taking them in would need the engine before the first frame
_PRACTICE = "hosewright-practice-"  # how the folder of its throwaway logbook begins
ERRANDS_EVERY_S = 1.0
AT_ONCE_S = 0.01
_COMPLETE_S = 0.2  # until what the first screen does without: its panels stand by then
_TOO_PLAIN = ("dumb", "unknown")  # terminfo's names for what takes no cursor movements


def _everything() -> type[Provider]:
    """What the palette finds. Called when it opens: neither it nor what it reads comes before."""
    from hosewright.bench.palette import Everything

    return Everything


class Bench(Program):
    """One knitter's bench."""

    TITLE = "hosewright"
    CSS_PATH = "home/screen.tcss"  # a default screen's own is not read
    BINDINGS = [
        Binding("ctrl+c", "leave_asking", "Quit", show=False, priority=True),
        Binding("f1", "explain", "Help"),
        Binding("question_mark", "explain", "Help", show=False),
        Binding("ctrl+p", "command_palette", "Find anything", show=False, priority=True),
    ]
    COMMANDS = {_everything}
    FINDS = "Find any command, screen, setting, or a yarn, a plan, a session by its name."

    def __init__(
        self, book: Logbook, settings: Settings, *, practice: bool = False, troubles: Sequence[str] = ()
    ) -> None:
        """``troubles``: sentences to show at once, about what could not be used."""
        super().__init__()
        self.book = book
        self.settings = settings
        self.keymap, self._key_troubles = keymap_in_use(settings)
        self.practice = practice
        self.just_left = ""  # the session that was just left
        self.follows = ""  # the session that a second screen shows
        self.follows_any = False  # and whether it goes over to another one that is cranked before this one has ended
        self._ear: Ear | None = None
        self._rang_s = -AT_ONCE_S
        self._finding = False  # the palette has the keys
        self._keys_here = True
        self._troubles: list[str] = []
        self._put_up_themes()
        self._troubles[:0] = [
            *([book.store.why_read_only] if book.store.why_read_only not in ("", LOOKS_ONLY) else []),
            *book.store.notes,
            *troubles,
        ]

    def _put_up_themes(self) -> None:
        """Only the theme in use comes before the first frame, which is 8 ms sooner for it."""
        theme = theme_named(self.settings.theme)
        if theme is None:
            self._troubles += self.put_up_every_theme()
            if self.settings.theme not in self.themes:
                self._troubles.append(f"There is no theme {self.settings.theme!r}; the usual one is used.")
        else:
            self.register_theme(theme)
            self.themes = [theme.name]
        self._troubles += self._key_troubles
        # Not by its watcher, which would have every style sheet parsed a second time before the first frame.
        self.set_reactive(Bench.theme, self.theme_asked_for(self.settings.theme))
        dark, named = self.current_theme.dark, f"-theme-{self.current_theme.name}"
        self.update_classes({named: True, "-dark-mode": dark, "-light-mode": not dark}, update=False)
        self.stylesheet.set_variables(self.get_css_variables())

    def _put_up_other_themes(self) -> None:
        if len(self.themes) == 1:
            for trouble in self.put_up_every_theme():
                self.tell(trouble)

    @property
    def ear(self) -> Ear | None:
        """What speaks and sounds; None while that is off, and in a bench that only looks."""
        off = (self.settings.speech, self.settings.tones) == ("off", "off")
        if self._ear is None and not off and not self.book.store.why_read_only:
            from hosewright.aloud.ear import Ear  # most never hear anything, and the engine comes with it

            self._ear = Ear(self.settings, self.bell, self._tell_from_thread)
        return self._ear

    def _tell_from_thread(self, sentence: str) -> None:
        self.call_later(self.tell_once, sentence)

    def hear(self, event: Event, state: State) -> None:
        """An event of a session was stored, and led to ``state``."""
        if self.ear is not None:
            self.ear.hear(event, state)

    def bell(self) -> None:
        """Once for what happens at once, such as a row and the cue it brings."""
        now_s = time.monotonic()
        if now_s - self._rang_s > AT_ONCE_S:
            self._rang_s = now_s
            super().bell()

    def stop_hearing(self) -> None:
        """Cut off what speaks, and let it go."""
        if self._ear is not None:
            self._ear.close()
            self._ear = None

    def use(self, settings: Settings) -> None:
        """Take other settings up at once: keys, theme and all."""
        if self._ear is not None and not self._ear.takes(settings):
            self.stop_hearing()
        self.settings = settings
        self.keymap, self._key_troubles = keymap_in_use(settings)
        self.theme = self.theme_asked_for(self.settings.theme)

    @property
    def count_keys(self) -> Sequence[str]:  # type: ignore[override]  # they may change
        return self.keymap.count

    def let_go(self) -> None:
        """Nothing is stored any more from here on, nor spoken."""
        self.book.store.shut()
        self.stop_hearing()

    @property
    def room(self) -> Size:
        """Columns and lines that a screen has to itself."""
        return self.size

    @property
    def heading(self) -> str:
        at_ms, zone_min, _ = self.book.clock.now()
        practice = "   PRACTICE: nothing here is saved" if self.practice else ""
        looking = "   READ-ONLY" if self.book.store.why_read_only else ""
        return f"hosewright   {today_words(at_ms, zone_min)}{practice}{looking}"

    def get_default_screen(self) -> HomeScreen:
        """The home screen is the first: no empty one is laid out before it."""
        return HomeScreen()

    def on_mount(self) -> None:
        self.start_up(self._troubles)
        self.set_timer(_COMPLETE_S, self._complete)
        if not (self.practice or self.is_headless or self.book.store.why_read_only):
            self.call_after_refresh(self.run_worker, self._look_after, thread=True)  # never before the first frame
        if not (self.practice or self.book.store.why_read_only):
            self.set_interval(ERRANDS_EVERY_S, self.take_errands)
        if self.follows:
            self._put_up_session(self.book.take_up(self.follows))

    def _complete(self) -> None:
        """What the first screen did without."""
        gc.enable()
        self._put_up_other_themes()
        if self.book.store.keeps_others():
            from hosewright.words.choices import questions  # the engine and the records, for few a logbook only

            if names := [one.heading for one in questions(self.book)]:
                shown = ", ".join([*names[:3], *(["..."] if names[3:] else [])])
                self.tell(f"Changed in two places, and both are kept: {shown}. To choose: Ctrl+P, then type choose.")

    async def on_event(self, event: events.Event) -> None:
        """Take what drives a terminal out of a paste: a field would show it, and so send it back to the terminal."""
        if isinstance(event, events.InputEvent) and not self.screen_stack:
            return  # typed ahead while leaving
        if isinstance(event, events.Key) and event.key in ("pageup", "pagedown") and _is_squeezed_out(self.focused):
            return
        if isinstance(event, events.Paste):
            event.text = harmless(event.text)[:LONGEST_TYPED]
        await super().on_event(event)

    def watch_app_focus(self) -> None:
        """Tell every count that the terminal lost the keyboard, or has it again, also one behind a question.

        A screen that watched the app by itself would be kept by it after it is left.
        """
        self._say_where_keys_go()

    def _say_where_keys_go(self) -> None:
        """To the terminal and the count, or elsewhere: into another window, or into the palette."""
        here = self.app_focus and not self._finding
        if here == self._keys_here:
            return
        self._keys_here = here
        for screen in self.screen_stack if self.is_running else ():
            keys_go = getattr(screen, "keys_go", None)
            if keys_go is not None:
                keys_go(here, finding=self._finding)

    def take_errands(self) -> None:
        """Keep what another hosewright left for this bench, and say so."""
        if kept := errands.take(self.book):
            told = ", ".join(harmless(item.name) for item in kept)
            tell_done(self, "Taken in", f"Noted from another terminal: {told}.")
            look_again = getattr(self.screen, "look_again", None)
            if look_again is not None:
                look_again()

    def _look_after(self) -> None:
        """Look for damage, keep today's backup, and stop writing into a logbook that is damaged. Runs in a thread."""
        at_ms, zone_min, _ = self.book.clock.now()
        for warning in warnings(self.book.path, once=True):
            self.call_from_thread(self.tell, warning)
        try:
            self.call_from_thread(self._let_file_change, self.book.held_against_seal())
            before = kept(self.book.path)
            fault = daily(self.book.path, day_of(at_ms, zone_min))
        except LogbookError as error:
            self.call_from_thread(self.tell, str(error))
            return
        if fault:
            self.call_from_thread(self._stop_writing, fault)
        elif before and (new := [path for path in kept(self.book.path) if path not in before]):
            # The first copy is made without a word: it would lie over a newcomer's first screen.
            self.call_from_thread(tell_done, self, "Backed up", f"Today's copy of the logbook: {new[-1]}")

    def _let_file_change(self, fault: str) -> None:
        self.book.break_seal(fault)
        if fault:
            self.tell(f"Something is wrong with the logbook: {fault}. {LOOK_IT_OVER}")

    def _stop_writing(self, fault: str) -> None:
        told = " ".join(fault.split())[:60]
        why = (
            f"The logbook is damaged ({told}). Nothing more is written into it, so that it gets no worse: leave, then "
            f"`hosewright logbook rescue {self.book.path}` brings what can be read into a new one."
        )
        self.book.store.make_read_only(why)
        self.tell(why)

    def action_leave_asking(self) -> None:
        """Quit, but ask first when a count is running; pressed again, it is a yes."""
        standing = self._running_count() if not self.book.store.why_read_only else ""
        if not standing or isinstance(self.screen, LeaveScreen):  # pressed again: that is a yes
            self.exit(0)
        else:
            self.visit(LeaveScreen(standing), lambda _: self.exit(0))

    def _running_count(self) -> str:
        """Where a count that is running stands, in words; empty when none is."""
        return next((said for screen in self.screen_stack if (said := getattr(screen, "running", ""))), "")

    # --- the palette ---------------------------------------------------------------------------------------

    def action_command_palette(self) -> None:
        """Find anything by its name, or close that again; a question is answered first."""
        if self._finding:
            self.simulate_key("escape")
        elif isinstance(self.screen, ModalScreen) or getattr(self.screen, "asks", False):
            self.say_of_key("Ctrl+P does nothing here: answer this first, or leave it with Esc.", SAID_S)
        else:
            from hosewright.bench.palette import Palette  # on first use: few look for a name in the first frame

            self._put_up_other_themes()
            self._finding = True
            self._say_where_keys_go()
            self.push_screen(Palette())

    def on_command_palette_closed(self) -> None:
        """The keys go to the screen again."""
        self.found()

    def found(self) -> None:
        """The palette is closed, or what was found in it is about to be done."""
        self._finding = False
        self._say_where_keys_go()

    @property
    def known_places(self) -> list[Command]:
        """The commands of the first screen that lead to another."""
        home = self.screen_stack[0]
        return [command for command in getattr(home, "commands", ()) if command.does in PLACES]

    async def go_from_here(self, go: Callable[[], object]) -> None:
        """Leave every screen but the first as Esc does, then ``go``. Where something typed would be lost: say so."""
        if any(getattr(screen, "touched", False) for screen in self.screen_stack[1:]):
            self.tell("Something typed is not saved yet: save it, or leave it with Esc, before you go elsewhere.")
            return
        counts = [live for screen in self.screen_stack if (live := getattr(screen, "live", None)) is not None]
        self.just_left = counts[-1].record.id if counts else ""
        while len(self.screen_stack) > 1:
            await self.pop_screen()
        go()

    def try_theme(self, name: str) -> None:
        """These colours until the bench is left; settings keep them."""
        self.use(replace(self.settings, theme=name))
        self.notify("These colours last until you quit. To keep them: e on the bench, then Ctrl+S.", markup=False)

    # --- between the screens -------------------------------------------------------------------------------

    def open_session(self, session_id: str) -> None:
        """Take up a session. Raises LogbookError."""
        self._put_up_session(self.book.take_up(session_id))

    def _put_up_session(self, live: Live, *, first_ever: bool = False) -> None:
        shown = self._counting(live)
        shown.first_ever = first_ever
        shown.set_class(live.record.id == self.follows, "far")
        self.push_screen(shown)

    def go_on_with(self, session_id: str, came_from: Live) -> SessionScreen:
        """Put another session in the place of ``came_from``, so that no screen comes between. Raises LogbookError."""
        screen = self._counting(self.book.take_up(session_id), came_from)
        self.switch_screen(screen)
        return screen

    def go_along(self, shown: SessionScreen) -> SessionScreen | None:
        """On a second screen: over to the session that is cranked now, once the one shown is over or none was named."""
        state = shown.live.state
        if shown.live.record.id != self.follows or not (state.over or self.follows_any):
            return None
        latest, at_ms = self.book.store.latest()
        if at_ms <= state.last_ms or latest == self.follows:
            if state.over:
                shown.say(COMES_BY_ITSELF)
            return None
        self.follows = latest
        screen = self._counting(self.book.take_up(latest))
        screen.set_class(shown.has_class("far"), "far")
        self.switch_screen(screen)
        return screen

    def _counting(self, live: Live, came_from: Live | None = None) -> SessionScreen:
        from hosewright.bench.count.screen import SessionScreen  # with the engine, a quarter of a bare first frame

        return SessionScreen(live, self._first_sock(live), came_from=came_from)

    def _first_sock(self, live: Live) -> State | None:
        """Where the first sock of the pair stands, when ``live`` is its twin and the first is in this logbook."""
        line = self.book.store.line(live.record.twin_of) if live.record.twin_of else None
        return self.book.state(line) if line else None

    def _take_up_again(self, session_id: str) -> None:
        """Go on with a session that was looked at, also with one that was given up."""
        from hosewright.session.events import Reopened  # the engine, as above

        live = self.book.take_up(session_id)
        if live.state.abandoned:
            live.do(Reopened())
        self._put_up_session(live)

    def start_session(self, record: SessionRecord) -> None:
        first_ever = not self.book.store.lines(newest=1)
        live = self.book.start(record)
        if first_ever and not self.settings.step_by_step:
            self.use(replace(self.settings, step_by_step=True))
        self._put_up_session(live, first_ever=first_ever)
        from hosewright.words.care import reminders  # it brings the engine in, a seventh of a bare first frame

        for sentence in reminders(self.book.store, record.machine.id):  # past its manual's figure for oil
            self.tell(sentence)

    def go_to(self, place: str, chosen: Mapping[str, str] | None = None) -> None:
        """Put up one of the other screens by name; ``chosen`` fills in the start of a session."""
        if place == "settings":
            self._put_up_other_themes()  # a key typed ahead comes before they do by themselves
        screen = screen_of(place, self, **(chosen or {}))
        if place in STARTS:
            self.visit(screen, self.start_session)
        elif place in TAKES_UP:
            self.visit(screen, self._take_up_again)
        else:
            self.push_screen(screen)


def _is_squeezed_out(widget: Widget | None) -> bool:
    """Whether it is a list that a tiny terminal leaves no room: Textual's would fail at turning its pages."""
    return isinstance(widget, OptionList) and not widget.scrollable_content_region.area


def run_bench(practice: str = "") -> int:
    """Run the bench on the knitter's logbook, or on a throwaway one that ``practice`` names. Returns the exit code."""
    if practice:
        return run_throwaway(Bench, open_practice)
    if (code := _no_terminal()) is not None:
        return code
    return _run(Bench, Logbook.for_counting(logbook_path()))


def run_second_screen(session_id: str) -> int:
    """Run a bench that only looks, straight into a session and the next after it, or always the one counted last.

    Raises LogbookError where there is no such session. Returns the exit code.
    """
    if (code := _no_terminal()) is not None:
        return code
    book = Logbook.for_reading(logbook_path(), LOOKS_ONLY)
    try:
        follows = _to_follow(book, session_id)
    except LogbookError:
        book.close()
        raise
    return _run(Bench, book, follows=follows, follows_any=not session_id)


def _to_follow(book: Logbook, session_id: str) -> str:
    if session_id:
        return book.store.find(session_id).id
    if not (latest := book.store.latest()[0]):
        raise LogbookError("No session is open, so there is nothing to follow: `hosewright --look ID` names one.")
    return latest


def run_throwaway(kind: type[Bench], opened: Callable[[Path], Logbook]) -> int:
    """Run a bench on the logbook that ``opened`` makes in a folder, which goes with it. Returns the exit code."""
    if (code := _no_terminal()) is not None:
        return code
    _remove_what_practice_left()
    with tempfile.TemporaryDirectory(prefix=_PRACTICE, ignore_cleanup_errors=True) as folder:
        return _run(kind, opened(Path(folder)), practice=True)


def _no_terminal() -> int | None:
    """The exit code, said why, where no bench can be shown."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        print(
            "The bench needs a terminal. Over ssh, add `-t`. `hosewright --help` lists what works without it.",
            file=sys.stderr,
        )
        return 2
    if os.environ.get("TERM") in _TOO_PLAIN:
        print(
            f"This terminal (TERM={os.environ['TERM']}) cannot show the bench. Count in plain lines instead: "
            "`hosewright logbook list` names the sessions, `hosewright crank ID --plain` takes one up.",
            file=sys.stderr,
        )
        return 2
    return None


def _run(
    kind: type[Bench], book: Logbook, *, practice: bool = False, follows: str = "", follows_any: bool = False
) -> int:
    try:
        settings, troubles = load(settings_path())
        bench = kind(book, settings, practice=practice, troubles=troubles)
        bench.follows, bench.follows_any = follows, follows_any
        try:
            bench.run()
        finally:
            bench.stop_hearing()
    finally:
        book.close()
    return bench.return_code or 0


def _remove_what_practice_left() -> None:
    """Remove the folders of practice benches that were killed: no one holds their logbooks."""
    for folder in Path(tempfile.gettempdir()).glob(f"{_PRACTICE}*"):
        with suppress(OSError, HeldError):
            logbook = folder / "logbook.sqlite"
            if logbook.exists() and not folder.is_symlink():  # one without is just being made
                BenchLock(logbook).release()
                shutil.rmtree(folder)


def open_practice(folder: Path, clock: Clock | None = None) -> Logbook:
    """A logbook in ``folder`` with every sample session in it, and the shelf that goes with them.

    Their days are laid so that the newest work was left yesterday by ``clock``; the samples stay as they are.
    """
    from hosewright.logbook.travel.later import copy_later  # for the practice bench alone

    path = folder / "logbook.sqlite"
    copy_later(shipped_folder("sample_sessions") / PREPARED, path, local_day(clock or WallClock()) - timedelta(1))
    return Logbook.for_counting(path, clock)
