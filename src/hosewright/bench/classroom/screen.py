"""A class on one screen: every learner's session in a line, read anew while they crank. Looking only."""

from __future__ import annotations

from threading import Thread
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.message import Message
from textual.screen import Screen

from hosewright.bench.classroom.lines import columns_for, heading, headline, more_words, patience_words, row, under
from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Sheet, Steady
from hosewright.logbook.classroom.line import line_of
from hosewright.session.words import hands

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.bench.classroom.app import ClassApp
    from hosewright.bench.classroom.learner_screen import LearnerScreen
    from hosewright.logbook.classroom.learners import Look
    from hosewright.logbook.classroom.line import LearnerLine

REFRESH_S = 2.0
LATE_S = 10
FOR_MORE = 4  # lines under the list for what a line has no room for, where the list leaves them
_MOVE = Binding.Group("Up, down")


class ClassScreen(Shielded, Screen[None]):
    """All learners; Enter looks at one."""

    AUTO_FOCUS = ""
    EXPLAIN = (
        "Every learner's logbook is opened for looking, again and again: nothing is written into it and nobody is held "
        "up. ! before a name: waits for help, for the reason in the last column. x: the file cannot be read, and why. "
        "The last column also says when a part is past its plan: by a pass, or by more than five rows. "
        "PACE is rows or passes a minute over the last few, QUIET how long nothing was saved. After a quiet hour the "
        "machine counts as left, and its learner waits no more."
    )
    BINDINGS = [
        Binding("enter", "open", "Look at one", tooltip="The learner under the bar as at the crank, looking only"),
        Binding("up", "move(-1)", "Up, down", group=_MOVE, key_display="↑", tooltip="Move the bar"),
        Binding("down", "move(1)", "Up, down", group=_MOVE, key_display="↓"),
        Binding("pageup", "page(-1)", "A page up", show=False),
        Binding("pagedown", "page(1)", "A page down", show=False),
        Binding("home", "ends(0)", "First", show=False),
        Binding("end", "ends(-1)", "Last", show=False),
        Binding("w", "waiting", "Next who waits", tooltip="To the next learner who waits for help"),
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
        self._opened: LearnerScreen | None = None
        self._waited: set[str] = set()

    def compose(self) -> ComposeResult:
        """Who waits, the learners, more of the one under the bar, what waiting means, the keys."""
        yield Steady(id="class-head")
        yield Sheet(id="class-list")
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
        """Fit the columns to the new width."""
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
        """The learner under the bar."""
        return self.looks[self._at] if 0 <= self._at < len(self.looks) else None

    @property
    def present_line(self) -> LearnerLine | None:
        """The line of the learner under the bar."""
        return self.lines[self._at] if 0 <= self._at < len(self.lines) else None

    # --- showing ---------------------------------------------------------------------------------------------

    def show(self) -> None:
        """Show every learner as last seen, as quiet as they are now."""
        if not self.looks or not self.is_mounted:
            return
        now = self.app.clock.now()
        self.lines = [line_of(look, now.at_ms, self.app.patience) for look in self.looks]
        self._ring_for_the_new()
        width = max(60, self.app.size.width - 2)
        late_s = (now.tick_ms - self._looked_ms) // 1000
        late = f" (seen {late_s} s ago: a drive is slow)" if late_s >= LATE_S else ""
        self.query_one("#class-head", Steady).show_text(headline(self.lines, self.app.time_words(now) + late, width))
        self._show_list(width)
        if self._opened is not None:
            self._opened.show()

    def _show_list(self, width: int) -> None:
        sheet, more = self.query_one("#class-list", Sheet), self.query_one("#class-more", Steady)
        free = self.app.size.height - 4
        roomy = len(self.lines) * 2 <= free
        more.display = not roomy and len(self.lines) + FOR_MORE <= free
        if more.display:
            more.show_text("\n".join(more_words(self.lines[self._at], self._doing(self._at))))
        room = max(1, free - (FOR_MORE if more.display else 0))
        self._first = max(min(self._first, self._at, len(self.lines) - room), self._at - room + 1, 0)
        at = columns_for(self.lines, width)
        shown = self.lines[self._first : self._first + room]
        rows = [(heading(at), "dim")]
        for number, line in enumerate(shown, self._first):
            rows.append(row(line, at, marked=number == self._at))
            if roomy:
                rows.append(under(line, self._doing(number), at, width))
        sheet.show_rows(rows)

    def _doing(self, number: int) -> str:
        """What the hands of a learner do next."""
        session = self.looks[number].session
        return hands(session.state) if session else ""

    def _ring_for_the_new(self) -> None:
        waiting = {line.file for line in self.lines if line.waits}
        if waiting - self._waited and self.app.settings.bell:
            self.app.bell()
        self._waited = waiting

    # --- keys ------------------------------------------------------------------------------------------------

    def action_move(self, by: int) -> None:
        """The bar up or down."""
        self._at = max(0, min(self._at + by, len(self.looks) - 1))
        self.show()

    def action_page(self, by: int) -> None:
        """The bar a page up or down."""
        self.action_move(by * max(1, self.query_one("#class-list").size.height - 2))

    def action_ends(self, end: int) -> None:
        """To the first or the last learner."""
        self.action_move(len(self.looks) if end else -len(self.looks))

    def action_waiting(self) -> None:
        """To the next learner who waits for help."""
        after = [*range(self._at + 1, len(self.lines)), *range(self._at + 1)]
        found = next((at for at in after if self.lines[at : at + 1] and self.lines[at].waits), None)
        if found is None:
            self.app.notify("Nobody waits for help.", markup=False)
        else:
            self._at = found
            self.show()

    def action_open(self) -> None:
        """Look at one learner."""
        if self.present is None:
            return
        from hosewright.bench.classroom.learner_screen import LearnerScreen

        self._opened = LearnerScreen(self)
        self.app.push_screen(self._opened, self._came_back)

    def _came_back(self, _result: None) -> None:
        self._opened = None
        self.show()
