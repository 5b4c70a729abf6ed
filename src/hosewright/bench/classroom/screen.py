"""A class on one screen, every learner's session in a line, and one of them as at the crank. Read-only."""

from __future__ import annotations

from textwrap import fill
from threading import Thread
from typing import TYPE_CHECKING

from textual import on
from textual.binding import Binding
from textual.events import Click, MouseScrollDown, MouseScrollUp
from textual.message import Message
from textual.screen import Screen

from hosewright.bench.count.dashboard import count_title, look_of, needle_rows, pace_words, told_of
from hosewright.bench.count.drawn import trial_rows
from hosewright.bench.count.large import count_rows
from hosewright.bench.count.panels import panel_of
from hosewright.bench.program import Program
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.bigtext import large
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Row, Sheet, Steady
from hosewright.bench.widgets.panel import Panel, indented, wrapped
from hosewright.logbook.classroom import USUAL_PATIENCE, Classroom, line_of
from hosewright.phrases.times import WallClock, time_of_day
from hosewright.session.observations import observation_words
from hosewright.session.reasons import caution_now
from hosewright.session.steps import CountRows
from hosewright.session.words import instruction, now_words
from hosewright.words.learners import (
    columns_for,
    heading,
    headline,
    more_words,
    patience_words,
    quiet_words,
    row,
    under,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from textual.app import ComposeResult

    from hosewright.bench.widgets.panel import Fill
    from hosewright.logbook.classroom import LastSession, LearnerLine, Look, Patience
    from hosewright.phrases.times import Clock
    from hosewright.settings.table import Settings


REFRESH_S = 2.0
LATE_S = 10
LARGE = 4  # lines of large letters, with a line below them for each who needs help
FOR_MORE = 4  # lines under the list for what a line has no room for, where the list leaves them
_MOVE = Binding.Group("Up, down")


class ClassScreen(Shielded, Screen[None]):
    """All learners; Enter looks at one.

    Painted as a sheet, not as a table: it is read anew every two seconds, and what is the same is not painted again.
    """

    TOPIC = "class"
    AUTO_FOCUS = ""
    EXPLAIN = (
        "Every learner's logbook, read again and again; nothing is written into it and nobody is held up. Those who "
        "need help are at the top in large letters, the longest waiting first, as many as fit. ! "
        "before a name: needs help, for the reason in the last column. x: the file cannot be read, and why. The "
        "last column also says when a part is past its plan: by a pass, or by more than five rows. PACE is rows "
        "or passes a minute over the last few, QUIET how long nothing was saved. A learner who closed the bench is "
        "shown as having left; after an hour without a row no one is shown as needing help."
    )
    BINDINGS = [
        Binding("enter", "open", "Look at one", tooltip="The learner under the bar as at the crank, read-only"),
        Binding("up", "move(-1)", "Up, down", group=_MOVE, key_display="↑", tooltip="Move the bar"),
        Binding("down", "move(1)", "Up, down", group=_MOVE, key_display="↓"),
        Binding("pageup", "page(-1)", "A page up", show=False),
        Binding("pagedown", "page(1)", "A page down", show=False),
        Binding("home", "ends(0)", "First", show=False),
        Binding("end", "ends(-1)", "Last", show=False),
        Binding("n", "waiting", "Next for help", tooltip="To the next learner who needs help"),
        Binding("w", "waiting", show=False),  # as it was before one letter meant one thing
        Binding("question_mark", "app.explain", "Help", key_display="?"),
        Binding("q", "app.leave", "Quit"),
    ]
    app: ClassApp

    class Looked(Message):
        """All files were looked at, in another thread."""

        def __init__(self, looks: tuple[Look, ...], failed: Exception | None) -> None:
            super().__init__()
            self.looks, self.failed = looks, failed

    def __init__(self) -> None:
        super().__init__()
        self.looks: tuple[Look, ...] = ()
        self.lines: list[LearnerLine] = []
        self.looking = False
        self._looked_ms = 0
        self._at = 0
        self._first = 0
        self._lines_each = 1
        self._opened: LearnerScreen | None = None
        self._waited: set[str] = set()

    def compose(self) -> ComposeResult:
        yield Steady(id="class-head")
        yield Sheet(id="class-waits", classes="learners")
        yield Sheet(id="class-list", classes="learners")
        yield Steady(id="class-more")
        yield Steady(id="class-patience")
        yield BoundBar()

    def on_mount(self) -> None:
        """Look at once, and again and again; what is quiet grows quieter in between."""
        self.query_one("#class-head", Steady).show_text("Class   looking...")
        self.query_one("#class-patience", Steady).show_text(patience_words(self.app.patience))
        self.look()
        self.set_interval(REFRESH_S, self.look)
        self.set_interval(1.0, self.show)

    def on_resize(self) -> None:
        self.show()

    # --- looking ---------------------------------------------------------------------------------------------

    def look(self) -> None:
        """Look at every file in a thread, so that no key waits for a slow drive; not while one look still goes on.

        The thread is a daemon: one that hangs in a dead drive must not keep the teacher from leaving.
        """
        if not self.looking:
            self.looking = True
            Thread(target=self._look_in_thread, daemon=True).start()

    def _look_in_thread(self) -> None:
        try:
            looks, failed = self.app.room.look(self.app.clock.now()), None
        except Exception as error:
            looks, failed = (), error
        self.post_message(self.Looked(looks, failed))

    def on_class_screen_looked(self, event: Looked) -> None:
        """Show what was seen; the bar stays on its learner. Raises what the look could not deal with."""
        event.stop()
        self.looking = False
        if event.failed is not None:
            raise event.failed
        marked = self.present
        self.looks, self._looked_ms = event.looks, self.app.clock.now().tick_ms
        if marked is not None:
            paths = [look.path for look in self.looks]
            self._at = paths.index(marked.path) if marked.path in paths else min(self._at, len(paths) - 1)
        self.show()

    @property
    def present(self) -> Look | None:
        return self.looks[self._at] if 0 <= self._at < len(self.looks) else None

    @property
    def present_line(self) -> LearnerLine | None:
        return self.lines[self._at] if 0 <= self._at < len(self.lines) else None

    # --- showing ---------------------------------------------------------------------------------------------

    def show(self) -> None:
        if not self.looks or not self.is_mounted:
            return
        now = self.app.clock.now()
        self.lines = [line_of(look, now.at_ms, self.app.patience) for look in self.looks]
        self._ring_for_the_new()
        width = max(60, self.app.size.width - 2)
        late_s = (now.tick_ms - self._looked_ms) // 1000
        late = f" (seen {late_s} s ago: a drive is slow)" if late_s >= LATE_S else ""
        self.query_one("#class-head", Steady).show_text(
            headline(self.lines, time_of_day(now.at_ms, now.zone_min) + late, width)
        )
        self._show_list(width)
        if self._opened is not None:
            self._opened.show()

    def _show_list(self, width: int) -> None:
        sheet, more = self.query_one("#class-list", Sheet), self.query_one("#class-more", Steady)
        free = self.app.size.height - 4
        large_rows = waiting_rows(self.lines, width, free - len(self.lines))
        waits = self.query_one("#class-waits", Sheet)
        waits.display = bool(large_rows)
        waits.styles.height = len(large_rows)
        waits.show_rows(large_rows)
        free -= len(large_rows)
        roomy = len(self.lines) * 2 <= free
        more.display = not roomy and len(self.lines) + FOR_MORE <= free
        if more.display:
            more.show_text("\n".join(more_words(self.lines[self._at], self._doing(self._at))))
        room = max(1, free - (FOR_MORE if more.display else 0))
        self._first = max(min(self._first, self._at, len(self.lines) - room), self._at - room + 1, 0)
        at = columns_for(self.lines, width)
        shown = self.lines[self._first : self._first + room]
        self._lines_each = 1 + roomy
        rows = [(heading(at), "dim")]
        for number, line in enumerate(shown, self._first):
            rows.append(row(line, at, marked=number == self._at))
            if roomy:
                rows.append(under(line, self._doing(number), at, width))
        sheet.show_rows([(row,) for row in rows])

    def _doing(self, number: int) -> str:
        session = self.looks[number].session
        return now_words(session.state) if session else ""

    def _ring_for_the_new(self) -> None:
        waiting = {line.file for line in self.lines if line.waits}
        if waiting - self._waited and self.app.settings.bell:
            self.app.bell()
        self._waited = waiting

    # --- keys ------------------------------------------------------------------------------------------------

    @on(Click, ".learners")
    def _to_one(self, event: Click) -> None:
        """A click marks a learner, and one on the learner who is marked opens it, as in a list."""
        event.stop()
        offset = event.get_content_offset(event.widget) if event.widget is not None else None
        at = self._learner_at(event.widget.id, offset.y) if event.widget is not None and offset is not None else None
        if at is None:
            return
        if at == self._at:
            self.action_open()
        else:
            self.action_move(at - self._at)

    def _learner_at(self, sheet: str | None, y: int) -> int | None:
        """Whose lines are painted at ``y`` of one of the sheets, by their place in the class."""
        if sheet == "class-waits":
            waiting = who_waits(self.lines)
            return self.lines.index(waiting[y // (LARGE + 1)])
        at = self._first + (y - 1) // self._lines_each
        return at if y and at < len(self.lines) else None

    def on_mouse_scroll_down(self, event: MouseScrollDown) -> None:
        event.stop()
        self.action_move(1)

    def on_mouse_scroll_up(self, event: MouseScrollUp) -> None:
        event.stop()
        self.action_move(-1)

    def action_move(self, by: int) -> None:
        self._at = max(0, min(self._at + by, len(self.looks) - 1))
        self.show()

    def action_page(self, by: int) -> None:
        self.action_move(by * max(1, self.query_one("#class-list").size.height - 2))

    def action_ends(self, end: int) -> None:
        self.action_move(len(self.looks) if end else -len(self.looks))

    def action_waiting(self) -> None:
        after = [*range(self._at + 1, len(self.lines)), *range(self._at + 1)]
        found = next((at for at in after if self.lines[at : at + 1] and self.lines[at].waits), None)
        if found is None:
            self.app.notify("No one needs help.", markup=False)
        else:
            self._at = found
            self.show()

    def action_open(self) -> None:
        if self.present is None:
            return
        self._opened = LearnerScreen(self)
        self.app.push_screen(self._opened, self._came_back)

    def _came_back(self, _result: None) -> None:
        self._opened = None
        self.show()


def who_waits(lines: Sequence[LearnerLine]) -> list[LearnerLine]:
    """Who needs help, the longest first."""
    return sorted((line for line in lines if line.waits), key=lambda line: -(line.quiet_ms or 0))


def waiting_rows(lines: Sequence[LearnerLine], width: int, room: int) -> list[Row]:
    """Who needs help, the longest first, in letters to be read from across a room, as many as ``room`` lines hold."""
    rows: list[Row] = []
    for line in who_waits(lines)[: max(0, room) // (LARGE + 1)]:
        why = f"{line.waits}, {quiet_words(line.quiet_ms) or 'just now'}"
        letters = large(f"! {line.learner}", width - len(why) - 3)
        if len(letters) != LARGE:  # a name too long, or in other letters
            letters = ("", f"!!! {line.learner.upper()} !!!", "", "")
        wide = max(map(len, letters))
        for drawn, said in zip(letters, ("", why, "", ""), strict=True):
            rows.append(((f"{drawn:<{wide}}   ", "due bold"), (said, "bold")))
        rows.append(())
    return rows


FEW_LINES = 30
_ACROSS = Binding.Group("Learner before, after")


class LearnerScreen(Shielded, Screen[None]):
    """Follows the learner under the bar of the class."""

    TOPIC = "class"
    AUTO_FOCUS = ""
    EXPLAIN = "What this learner sees, a second or two later. No key here does anything at their machine."
    BINDINGS = [
        Binding("left", "across(-1)", "Learner before, after", group=_ACROSS, key_display="←"),
        Binding("right", "across(1)", "Learner before, after", group=_ACROSS, key_display="→"),
        Binding("n", "waiting", "Next who needs help"),
        Binding("w", "waiting", show=False),
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
        yield Steady(id="learner-head")
        yield Steady(id="learner-waits")
        yield Panel(id="learner-hands")
        yield Steady(id="learner-now")
        yield Sheet(id="learner-needles")
        yield Steady(id="learner-seen")
        yield BoundBar()

    def on_mount(self) -> None:
        self.show()

    def on_resize(self) -> None:
        self.show()

    def show(self) -> None:
        look, line = self.room.present, self.room.present_line
        if look is None or line is None or not self.is_mounted:
            return
        at = f"   {line.title}   step {line.step_number} of {line.steps}" if line.step else f"   {line.title}"
        self._say("head", f"{line.learner}{at}   READ-ONLY")
        quiet = quiet_words(line.quiet_ms) or "just now"
        self._say("waits", f"! NEEDS HELP: {line.waits}, {quiet}" if line.waits else "")
        session = look.session
        counting = session is not None and panel_of(session.state) == "counting"
        self.query_one("#learner-needles").display = counting
        if session is None:
            self.query_one("#learner-hands", Panel).show_panel(_words(more_words(line)), line.learner.upper())
            self._say("now", "")
            self._say("seen", "")
            return
        state = session.state
        self._show_hands(session, counting=counting)
        told = instruction(state, session.record.given) if isinstance(state.step, CountRows) else now_words(state)
        self._say("now", fill(told, max(30, self.app.size.width - 4)) if counting else "")
        if counting:
            self.query_one("#learner-needles", Sheet).show_rows(needle_rows(state, self.app.size.width - 4))
        seen = state.observations[-(3 if self.app.size.height >= FEW_LINES else 1) :]
        notes = [observation_words(state, observation) for observation in seen]
        self._say("seen", "\n".join([*notes, *([look.note] if look.note else [])]))

    def _show_hands(self, session: LastSession, *, counting: bool) -> None:
        """What the hands are at, as the panel at the crank has it."""
        state, step = session.state, session.state.step
        frame, word = look_of(state, keys_here=True)
        hands = self.query_one("#learner-hands", Panel)
        if counting:
            told = told_of(session, None, None, self.app.clock.now(), shows="up", frame=frame, word=word)
            rows = indented(lambda width, height: count_rows(state, told, width, height, hollow=state.paused))
            hands.show_panel(rows, count_title(state), pace_words(state, session.paces), frame)
            return
        care = caution_now(state)
        if panel_of(state) == "trial":
            rows = indented(
                lambda width, height: trial_rows(state, care, width, height, hollow=state.paused, ladders=True)
            )
        else:
            said = instruction(state, session.record.given)
            rows = _words([said, *([f"Caution: {care}"] if care else [])])
        hands.show_panel(rows, (step.title if step else session.record.title).upper(), word, frame)

    def _say(self, name: str, words: str) -> None:
        self.query_one(f"#learner-{name}", Steady).show_or_hide(words)

    def action_across(self, by: int) -> None:
        self.room.action_move(by)

    def action_waiting(self) -> None:
        self.room.action_waiting()


def _words(said: Sequence[str]) -> Fill:
    """What fills a panel with sentences, an empty line between them."""
    return indented(lambda width, _: [row for one in said for row in (*wrapped(one, max(1, width)), ())])


class ClassApp(Program):
    """One teacher looking at a class."""

    TITLE = "hosewright class"
    CSS_PATH = "screen.tcss"  # a default screen's own is not read
    BINDINGS = [Binding("f1", "explain", "Help", show=False)]

    def __init__(
        self,
        named: Sequence[Path],
        settings: Settings,
        *,
        patience: Patience = USUAL_PATIENCE,
        clock: Clock | None = None,
        troubles: Sequence[str] = (),
    ) -> None:
        """``named``: the learners' files and folders; ``troubles``: sentences to show at once."""
        super().__init__()
        self.room = Classroom(named)
        self.settings = settings
        self.patience = patience
        self.clock = clock or WallClock()
        self._troubles = [*troubles, *self.put_up_every_theme()]
        self.theme = self.theme_asked_for(settings.theme)

    def get_default_screen(self) -> ClassScreen:
        return ClassScreen()

    def on_mount(self) -> None:
        self.start_up(self._troubles)


def run_class(named: Sequence[Path], settings: Settings, patience: Patience, troubles: Sequence[str]) -> int:
    """Show the class until the teacher leaves. Returns the exit code."""
    app = ClassApp(named, settings, patience=patience, troubles=troubles)
    app.run()
    return app.return_code or 0
