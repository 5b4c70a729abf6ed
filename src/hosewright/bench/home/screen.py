"""The bench in one glance: what is on the machine, what dries, what is unfinished, what to do next."""

from __future__ import annotations

from contextlib import suppress
from textwrap import fill
from typing import TYPE_CHECKING

from rich.text import Text
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.help_screen import HelpScreen
from hosewright.bench.widgets.keybar import KeyBar
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.glance import look
from hosewright.phrases.times import since_words
from hosewright.session.keys import Command, shown_key

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.logbook.glance import Glance, Unfinished
    from hosewright.session.results import Where

_COMMANDS = (
    Command("enter", "Enter", "go on with it", "enter", "Go on with the line under the bar."),
    Command("f", "f", "stitch-size search", "search", "Find the stitch size for a yarn by dial trials."),
    Command("t", "t", "gauge tube", "tube", "Crank a gauge tube, to be washed and measured."),
    Command("p", "p", "plan a sock", "plan", "Work out a sock from a gauge and a foot, or a sock that fits."),
    Command("c", "c", "crank a sock", "sock", "Crank a planned sock, or its twin."),
    Command("b", "b", "string of socks", "string", "Crank several planned socks in one string."),
    Command("d", "d", "pairs", "pairs", "Pairs promised: by when, how far each is, and what this week holds."),
    Command("s", "s", "shelf", "shelf", "Machines, cylinders, yarns and wearers."),
    Command("y", "y", "yarn stock", "stock", "Yarn by dye lot: bought, used, promised and left."),
    Command(
        "m", "m", "care", "care", "The machine's care: oil, needles changed, parts, and what it has cranked since."
    ),
    Command("w", "w", "which cylinder", "cylinders", "All your cylinders side by side for one girth."),
    Command("r", "r", "dial response", "response", "What a click does to a yarn, and which click gives a gauge."),
    Command("z", "z", "sizes", "sizes", "Every size from child to large adult for one gauge, on one page."),
    Command("l", "l", "look back", "past", "All past sessions."),
    Command("e", "e", "settings", "settings", "Units, theme, keys, cues and what else you may set."),
    Command("question_mark", "?", "help", "help", "This page."),
    Command("q", "q", "quit", "quit", "Leave. Everything is saved already."),
)
_WHERE: tuple[tuple[Where, str], ...] = (
    ("on the machine", "ON THE MACHINE"),
    ("drying", "WAITING TO BE MEASURED"),
    ("off the machine", "UNFINISHED, OFF THE MACHINE"),
)
_BESIDE = 7  # lines of the title and the keys, until it is known how many they are
_AROUND = 4  # the list's margins and its scroll bar
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
        self._laid_out = False
        self._newest = ""  # what stood first of all that is open
        self._said = ""  # about the key pressed last, or the session just left
        self._reminders = ""

    def compose(self) -> ComposeResult:
        with suppress(LogbookError):  # said as soon as there is a place to say it
            self._glance = look(self.app.book.store)
        yield Static(self.app.heading, id="header", markup=False)
        # With the lines in it from the start, it is laid out once before the first frame, which is 10 ms sooner for it.
        yield OptionList(*self._options(self.app.size.height - _BESIDE), id="glance", markup=False)
        yield Static("", id="message", markup=False)
        yield KeyBar(id="keys")

    def on_mount(self) -> None:
        self.query_one(KeyBar).show(_COMMANDS)
        self.query_one("#glance").focus()
        self._lay_out()

    def on_resize(self) -> None:
        self._lay_out()
        if not self._laid_out:
            self._laid_out = True
            if self._glance is None:
                self.look_again()
            else:
                self.call_after_refresh(self._remind)

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

    def look_again(self) -> None:
        self.query_one("#header", Static).update(self.app.heading)
        try:
            self._glance = look(self.app.book.store)
        except LogbookError as error:
            self.query_one("#message", Static).update(f"! {error}")
            return
        self._lay_out()
        self.call_after_refresh(self._remind)

    def _remind(self) -> None:
        """Say which machine is past its manual's figure for oil, once the list is painted."""
        try:
            due = self.app.oil_reminders()
        except LogbookError as error:
            self.query_one("#message", Static).update(f"! {error}")
            return
        self._reminders = "\n".join(f"! {sentence}" for sentence in due)
        self._say(self._said)

    def _say(self, sentence: str) -> None:
        """One line about what was just done, above the reminders."""
        self._said = sentence
        words = "\n".join(part for part in (self._said, self._reminders) if part)
        message = self.query_one("#message", Static)
        message.update(words)
        message.set_class(bool(words), "reminder")
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
        return f"{what} t, c or f begins something to count."

    def _options(self, room: int) -> list[Option]:
        if self._glance is None:
            return []
        return _options(self._glance, self.app.book.clock.now().at_ms, self.app.size.width or 80, room)

    def _lay_out(self) -> None:
        listed = self.query_one("#glance", OptionList)
        marked = listed.highlighted_option.id if listed.highlighted_option else None
        options = self._options(listed.scrollable_content_region.height or self.size.height)
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


def _options(glance: Glance, now_ms: int, width: int, room: int) -> list[Option]:
    """The lines of the list; where they are more than ``room``, first the gaps go, then each line is cut to one."""
    for gaps, cut in ((True, False), (False, False), (False, True)):
        lines = _lines(glance, now_ms, width - _AROUND, gaps=gaps, cut=cut)
        if sum(text.plain.count("\n") + 1 for text, _ in lines) <= room:
            break
    return [Option(text, id=name or None, disabled=not name) for text, name in lines]


def _lines(glance: Glance, now_ms: int, width: int, *, gaps: bool, cut: bool) -> list[tuple[Text, str]]:
    """Each line, and what choosing it does; nothing for a heading."""
    lines: list[tuple[Text, str]] = []
    for where, heading in _WHERE:
        standing = glance.at(where)
        if where == "on the machine" or standing:
            lines.append((_heading(heading, gap=gaps and bool(lines)), ""))
        if where == "on the machine" and not standing:
            lines.append((Text("  nothing", "dim"), ""))
        lines += [(_line(item, now_ms, width, cut=cut), f"open:{item.id}") for item in standing]
    lines.append((_heading("WHAT TO DO NEXT", gap=gaps), ""))
    for number, item in enumerate(glance.next):
        name = f"next-open:{item.session}" if item.doing == "open" else f"next:{number}"
        lines.append((_cut(Text(f"  {item.words}"), width), name))
    return lines


def _heading(words: str, *, gap: bool) -> Text:
    return Text(("\n" if gap else "") + words, "bold")


def _cut(text: Text, width: int) -> Text:
    """One line, no longer than there is room."""
    text.truncate(max(20, width), overflow="ellipsis")
    return text


def _line(item: Unfinished, now_ms: int, width: int, *, cut: bool) -> Text:
    since = since_words(now_ms - item.since_ms)
    touched = f"for {since}" if item.where == "drying" else f"left {since} ago"
    standing = ", ".join(["paused"] * item.paused + ([touched] if since else []))
    text = _cut(Text(f"  {item.title}").append(f"   {standing}", "dim"), width)
    on_it = item.where == "on the machine"
    hands = f"{item.machine}: {item.hands}" if on_it else f"{item.hands} (cranked on {item.machine})"
    indent = " " * 4
    if cut:
        return text.append("\n").append_text(_cut(Text(indent + hands), width))
    return text.append("\n" + fill(hands, max(30, width), initial_indent=indent, subsequent_indent=indent))
