"""The panels at the crank while rows and passes are counted: the count and the hands, what comes next, the sock, the
cylinder, the pace, what was seen. What is in them is worked out in ``dashboard`` and ``sock_panel``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Horizontal, Vertical

from hosewright.bench.count.dashboard import (
    ahead_words,
    count_title,
    look_of,
    needle_rows,
    next_rows,
    now_words,
    pace_rows,
    pace_words,
    seen_rows,
    title_words,
    told_of,
    yarn_rows,
)
from hosewright.bench.count.large import count_rows, hands_now
from hosewright.bench.count.sock_panel import SockPanel, sock_line
from hosewright.bench.widgets.line import Sheet
from hosewright.bench.widgets.panel import Panel, indented, row_width, wrapped
from hosewright.counting.from_the_record import FromTheRecord
from hosewright.counting.keymap import key_called
from hosewright.phrases.lists import plural
from hosewright.session.cues import cues
from hosewright.session.reasons import caution_now, first_pass_words
from hosewright.session.steps import CountPasses, CountRows
from hosewright.session.words import over_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.line import Row
    from hosewright.bench.widgets.panel import Fill
    from hosewright.logbook.live import Live
    from hosewright.session.cues import Cue
    from hosewright.session.state import State

WIDE = 106  # columns from which the sock stands beside the count, and the needle to move is large all the same
ROOMY, BROAD = 120, 160  # columns from which the sock has more of them
# Lines from which there is room for the panels at the bottom, and for what comes next: beside a sock, and without.
LOWER, NEXT_BESIDE, NEXT_BELOW = 34, 30, 40
TALL = 40  # lines from which what to be careful of stands with what comes next
HIGH = 48  # lines from which the large part is twice as large
STRIP_CELLS, STEP = 40, 8  # at most of the sock in one line, and by how many it is shorter


class CountView(Vertical):
    """Its places are fixed while a step is cranked; a press repaints cells in them."""

    DEFAULT_CSS = """
    CountView { height: 1fr; }
    CountView Panel { width: 1fr; height: 1fr; }
    CountView #upper { height: 1fr; }
    CountView #side { width: 1fr; height: 1fr; }
    CountView #count { height: 1fr; }
    CountView #next { height: 1fr; display: none; }
    CountView #sock { width: 36; display: none; }
    CountView #cylinder { height: 4; }
    CountView #sockline { height: 1; }
    CountView #lower { height: 6; display: none; }
    CountView.wide #sock { display: block; }
    CountView.wide #sockline { display: none; }
    CountView.roomy #sock { width: 50; }
    CountView.broad #sock { width: 84; }
    CountView.with-next #next { display: block; }
    CountView.with-next #count { height: 12; }
    CountView.with-next.tall #count { height: 14; }
    CountView.with-next.high #count { height: 24; }
    CountView.with-lower #lower { display: block; }
    CountView.only #next, CountView.only #sock, CountView.only #sockline { display: none; }
    CountView.only #lower, CountView.only #cylinder { display: none; }
    CountView.only #count, CountView.beside #count { height: 1fr; }
    CountView.beside { height: auto; }
    CountView.beside #upper { height: 7; }
    CountView.beside #sockline { display: block; }
    CountView.reasons { height: 1fr; }
    CountView.reasons #upper { height: 1fr; min-height: 7; }
    CountView.beside #next, CountView.beside #sock, CountView.beside #lower { display: none; }
    """

    app: Bench

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._seen: set[tuple[int, str, int]] = set()
        self._near: set[tuple[int, str, int]] = set()
        self._cared: tuple[tuple[int, int, int], str] = ((-1, 0, 0), "")  # for which standing, and the words
        self.known = FromTheRecord()  # what the logbook knows of the cylinder and the yarn
        self._due = ""  # the sentence of the cue that is near

    def compose(self) -> ComposeResult:
        with Horizontal(id="upper"):
            with Vertical(id="side"):
                yield Panel(id="count")
                yield Panel("NEXT", id="next")
            yield SockPanel(id="sock")
        yield Panel("CYLINDER", id="cylinder")
        yield Sheet(id="sockline")
        with Horizontal(id="lower"):
            yield Panel("PACE", id="pace")
            yield Panel("YARN", id="yarn")
            yield Panel("SEEN", id="seen")

    def show(
        self,
        live: Live,
        first: State | None,
        *,
        rest_min: float | None = None,
        only: bool = False,
        step_by_step: bool = False,
    ) -> None:
        """Show where ``live`` stands. ``only``: the count and the hands alone; ``step_by_step``: below reasons.

        ``rest_min``: minutes until a rest is called for.
        """
        state, settings = live.state, self.app.settings
        assert isinstance(state.step, CountRows | CountPasses)
        width, height = self.app.size
        wide = width >= WIDE
        with_next = height >= (NEXT_BESIDE if wide else NEXT_BELOW) and not only and not step_by_step
        for name, so in (("wide", wide), ("roomy", width >= ROOMY), ("broad", width >= BROAD)):
            self.set_class(so, name)
        for name, so in (("tall", height >= TALL), ("high", height >= HIGH), ("with-lower", height >= LOWER)):
            self.set_class(so, name)
        self.set_class(with_next, "with-next")
        self.set_class(only, "only")
        self.set_class(step_by_step and not only, "beside")
        self.set_class(settings.step_by_step and not only, "reasons")
        waiting = self._waiting(state)
        near = waiting[0] if waiting else None
        self._show_count(live, first, near, only=only)
        # Neither is said twice: beside a sock with what comes next, else with the needles.
        words = self._now(live)
        apart = wide and with_next
        care = "" if step_by_step else self._care(state)
        below = apart and height >= TALL
        self._show_cylinder(live, "" if apart else words, "" if below else care)
        if with_next:
            self._show_next(state, waiting, words if apart else "", care if below else "")
        if wide and not step_by_step:
            self.query_one(SockPanel).show_sock(live)
        else:
            self._show_line(live, with_cue=not with_next)
        if height >= LOWER:
            self._show_lower(live, rest_min)

    def _show_count(self, live: Live, first: State | None, near: Cue | None, *, only: bool) -> None:
        state, settings, now = live.state, self.app.settings, self.app.book.clock.now()
        panel, keys_here = self.query_one("#count", Panel), not self.screen.has_class("elsewhere")
        due = near is not None and near.is_due(settings.cue_rows_ahead)
        frame, word = look_of(state, due=due, keys_here=keys_here)
        told = told_of(live, first, near, now, shows=settings.count_shows, frame=frame, word=word, due=due)
        aside = pace_words(state, live.paces)
        if only and not self.screen.has_class("tiny"):
            aside = f"{aside}   {self._key('far')}: all the panels".strip()
        hollow = state.paused or not keys_here  # in dots, which no one takes for the usual digits

        def fill(width: int, height: int) -> Sequence[Row]:
            return count_rows(state, told, width, height, hollow=hollow)

        panel.show_panel(indented(fill), count_title(state), aside, frame)

    def _show_cylinder(self, live: Live, words: str, care: str) -> None:
        state = live.state
        panel = self.query_one("#cylinder", Panel)
        width = self.app.size.width - 4
        title = title_words(state, words, width - 2)
        rows: list[Row] = [((" ", ""), *row) for row in needle_rows(state, width, self.known.watched)]
        if not title:
            rows += [((" ", ""), *row) for row in wrapped(words, width, "bold")]
        rows += [((" ", ""), *row) for row in wrapped(care, width, "bold due")]
        if panel.styles.height is None or panel.styles.height.value != len(rows) + 2:
            panel.styles.height = len(rows) + 2
        panel.show_panel(lambda _width, _height: rows, title or self._cylinder(live))

    def _show_next(self, state: State, waiting: list[Cue], words: str, care: str) -> None:
        panel = self.query_one("#next", Panel)
        due = bool(self._near - self._seen)
        seen = f"   {self._key('acknowledge')} seen" if due else ""

        told_above = not hands_now(state) and not due  # then the first cue stands beside the count
        said: list[tuple[str, str]] = []
        for at, cue in enumerate(waiting):
            near = due and at == 0
            if near or at or not told_above:
                said.append((f"{cue.sentence(state.unit)}{seen if near else ''}", "bold reverse due" if near else ""))
        ahead = ahead_words(state)

        def fill(width: int, height: int) -> Sequence[Row]:
            return next_rows(words, said, ahead, care, width, height)

        panel.show_panel(indented(fill))

    def _show_line(self, live: Live, *, with_cue: bool) -> None:
        sheet = self.query_one("#sockline", Sheet)
        cue = self._due if with_cue else ""
        due = bool(cue and self._near - self._seen)
        key = f"  {self._key('acknowledge')} seen"
        room = self.app.size.width - 5 - len(key)
        # The sock leaves room for the whole cue, in steps, so that it stands still as the rows to it go by.
        columns = max(0, min(STRIP_CELLS, (room - len(cue)) // STEP * STEP))
        strip = sock_line(self.app, live, columns) if columns else []
        said = (cue[: room - row_width(strip)] + key * due, "bold reverse due" if due else "")
        sheet.show_rows([[(" ", ""), *strip, ("  " if strip else "", ""), said]])

    def _show_lower(self, live: Live, rest_min: float | None) -> None:
        state, known, unit_of_mass = live.state, self.known, self.app.settings.mass_unit
        pace = live.paces.of(passes=state.unit == "pass")
        unit = plural(state.unit)
        note = self._key("note")
        seen = sum(not one.struck for one in state.observations)
        titles = {"pace": "PACE", "yarn": "YARN", "seen": f"SEEN · {seen}" if seen else "SEEN"}
        fills: dict[str, Fill] = {
            "pace": lambda width, _: pace_rows(pace, rest_min, unit, width),
            "yarn": lambda width, height: yarn_rows(known.yarn, live, unit_of_mass, width, height),
            "seen": lambda width, height: seen_rows(state, note, width, height),
        }
        for name, rows in fills.items():
            self.query_one(f"#{name}", Panel).show_panel(indented(rows), titles[name])

    def _cylinder(self, live: Live) -> str:
        half = live.record.machine.heel_half
        return f"CYLINDER · {live.state.head.slots} needles" + (f", heel half {half}" if half else "")

    def _waiting(self, state: State) -> list[Cue]:
        """The cues ahead, the next first; those missed stay until they are seen.

        The row it is due at belongs to a cue: the same words fifty rows on are another one, not seen yet.
        """
        settings = self.app.settings
        found = {(state.index, cue.words, state.count + cue.left): cue for cue in cues(state, settings.cues_every)}
        shown = {key: cue for key, cue in found.items() if cue.left >= 0 or key not in self._seen}
        self._near = {key for key, cue in shown.items() if cue.is_due(settings.cue_rows_ahead)}
        waiting = list(shown.values())
        self._due = waiting[0].sentence(state.unit) if waiting else ""
        return waiting

    def _care(self, state: State) -> str:
        """What to be careful of, and at the first pass what one is; worked out once in a part that counts rows."""
        standing = (state.index, state.evening, state.count if isinstance(state.step, CountPasses) else 0)
        if standing != self._cared[0]:
            caution = caution_now(state)
            said = (first_pass_words(state), f"Caution: {caution}" if caution else "")
            self._cared = (standing, "\n".join(part for part in said if part))
        return self._cared[1]

    def _key(self, does: str) -> str:
        return key_called(self.app.keymap, does)

    def _now(self, live: Live) -> str:
        state = live.state
        if state.target is not None and state.count > state.target and isinstance(state.step, CountRows):
            return over_words(state, self._key("take_back"), self._key("rehang"))
        return now_words(state, live.record.given)

    @property
    def due(self) -> str:
        """What is near or missed and not seen yet, for where nothing else is shown; empty otherwise."""
        return self._due if self._near - self._seen else ""

    def acknowledge(self) -> None:
        """The cues shown as due were seen."""
        self._seen |= self._near
