"""When it knits badly: what is seen, how it lies, and one check at a time with three answers. What helped is kept."""

from __future__ import annotations

from dataclasses import replace
from textwrap import wrap
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.containers import Container, Vertical, VerticalScroll
from textual.screen import Screen

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.entry_screen import FormScreen
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.panel import DONE, DUE, LIVE, Panel, bar, indented, wrapped
from hosewright.logbook.accounts.care import beds
from hosewright.logbook.accounts.troubles import (
    Advice,
    Past,
    advise,
    blank_tried,
    past_of,
    since_moved,
    tried_on,
)
from hosewright.session.troubles import SYMPTOMS
from hosewright.words.troubles import (
    MOVED_CAME_TO,
    THAT_WAS_IT,
    held_lines,
    held_words,
    lay_lines,
    most_at,
    moved_lines,
    noted_words,
    said,
    slot_fields,
    tried_lines,
    tried_words,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from textual.app import ComposeResult

    from hosewright.bench.app import Bench
    from hosewright.bench.widgets.line import Row
    from hosewright.logbook.accounts.care import Bed
    from hosewright.logbook.records.year import Tried
    from hosewright.session.troubles import Check

_OTHER = Binding.Group("Something else is seen")
_WALK = Binding.Group("Other checks")
_MOVED = Binding.Group("Where it is now")
_OUTCOMES = ("needle", "slot", "gone")
# From so many columns on what the sessions hold stands beside the checks, from so many lines on below them in a few.
_WIDE, _ROOM_BELOW, _LINES_BELOW = 160, 40, 6
_HIGH = 50  # lines from which on the checks that follow say why
NOTHING = "Nothing was cranked yet, so there is nothing to look into."


class WhyScreen(Shielded, Screen[None]):
    """Checks for a cylinder on a machine, the likeliest first."""

    app: Bench
    TOPIC = "why"
    EXPLAIN = (
        "Say what you see with Left and Right. The bench looks at how such faults lie in the last sessions of this "
        "cylinder, and names a check at a time, the cheapest and likeliest first: y that was it, n no, Enter not now. "
        "What helped is kept with the machine and stands first next time. Nothing is named that chance explains."
    )
    BINDINGS = [
        Binding("y", "answer('helped')", "That was it"),
        Binding("n", "answer('not')", "No"),
        Binding("enter", "walk(1)", "Not now"),
        Binding("1", "moved(0)", "Where it is now", group=_MOVED),
        Binding("2", "moved(1)", "Where it is now", group=_MOVED),
        Binding("3", "moved(2)", "Where it is now", group=_MOVED),
        Binding("left", "turn(-1)", "Something else is seen", group=_OTHER, key_display="←", priority=True),
        Binding("right", "turn(1)", "Something else is seen", group=_OTHER, key_display="→", priority=True),
        Binding("up", "walk(-1)", "Other checks", group=_WALK, key_display="↑", priority=True),
        Binding("down", "walk(1)", "Other checks", group=_WALK, key_display="↓", priority=True),
        Binding("tab", "other", "Other machine"),
        Binding("backspace", "take_back", "Undo", key_display="Bksp"),
        Binding("escape", "dismiss", "Back"),
    ]
    DEFAULT_CSS = """
    WhyScreen VerticalScroll { height: 1fr; scrollbar-size-vertical: 1; }
    WhyScreen Panel, #why-both, #why-now, #why-past { height: auto; }
    #why-now, #why-past { max-width: 116; }
    WhyScreen.-wide #why-both { layout: horizontal; }
    WhyScreen.-wide #why-now, WhyScreen.-wide #why-past { width: 1fr; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (_WIDE, "-wide")]

    def __init__(self, bed: Bed | None = None) -> None:
        """``bed``: the one at hand; None: the one cranked last, and Tab goes to the others."""
        super().__init__()
        self._beds: list[Bed] = [bed] if bed is not None else []
        self._past: Past | None = None
        self._advice: Advice | None = None
        self._seen = ""
        self._at = 0
        self._tried: list[Tried] = []  # on this machine, the newest first
        self._kept: list[Tried] = []  # on this visit, so that the last one can be taken back

    def compose(self) -> ComposeResult:
        yield Heading("When it knits badly")
        with VerticalScroll(can_focus=False), Container(id="why-both"):
            with Vertical(id="why-now"):
                yield Panel("WHAT IS SEEN", id="why-seen")
                yield Panel("CHECK", id="why-check")
                yield Panel("AFTER THAT", id="why-after")
            with Vertical(id="why-past"):
                yield Panel("WHAT THE SESSIONS HOLD", id="why-held")
                yield Panel("WHAT WAS TRIED", id="why-tried")
        yield BoundBar()

    def on_mount(self) -> None:
        self.query_one("#why-seen", Panel).show_panel(lambda _width, _height: ((("reading ...", "muted"),),))
        self.call_after_refresh(self._read)

    def on_resize(self) -> None:
        if self._advice is not None:
            self._show()

    # --- reading and showing -------------------------------------------------------------------------------

    def _read(self) -> None:
        book = self.app.book
        self._beds = self._beds or beds(book.store, of_late=True)
        if not self._beds:
            self.query_one("#why-seen", Panel).show_panel(lambda _width, _height: (((NOTHING, ""),),))
            for name in ("#why-check", "#why-after", "#why-past"):
                self.query_one(name).display = False
            return
        bed = self._beds[0]
        self.query_one(Heading).say(f"{bed.machine}, {bed.cylinder}")
        self._past = past_of(book, bed)
        self._seen = self._past.likeliest().id
        self._advise()

    def _advise(self, at: int = 0, *, stay: bool = False) -> None:
        """Work out the checks anew, and show the one ``at`` that place; ``stay``: the present one."""
        assert self._past is not None
        book, present = self.app.book, self.check.id if stay and self.check else ""
        self._tried = tried_on(book, self._past.bed.machine_id)
        self._advice = advise(self._past, SYMPTOMS[self._seen], self._tried, book.clock.now().at_ms)
        self._at = next((n for n, one in enumerate(self._advice.checks) if one.id == present), at)
        self._show()

    @property
    def check(self) -> Check | None:
        return self._advice.checks[self._at] if self._advice is not None else None

    def _show(self) -> None:
        advice, check = self._advice, self.check
        assert advice is not None
        assert check is not None
        places = list(SYMPTOMS)
        named = [advice.symptom.looks, noted_words(advice)]
        self.query_one("#why-seen", Panel).show_panel(
            indented(lambda width, _: _wrapped([advice.symptom.title], width, "bold") + _wrapped(named, width)
                     + _wrapped(lay_lines(advice), width, "bold" if advice.lay.lies else "")),
            aside=f"{places.index(advice.symptom.id) + 1} of {len(places)}",
        )  # fmt: skip
        if advice.move is not None:
            self._show_moved(advice, advice.move)
        else:
            self._show_check(advice, check)
        self._show_after(advice)
        self._show_past(advice)
        self.refresh_bindings()

    def _show_after(self, advice: Advice) -> None:
        """The checks that follow; where it is high and wide enough each with why."""
        after = advice.checks[self._at + 1 :]
        wide, high = self.app.size

        def fill(width: int, _height: int) -> Sequence[Row]:
            rows: list[Row] = []
            for one in after:
                words = said(one, advice)
                rows += _wrapped([f"{words.title}{_aside(tried_words(one, advice))}"], width)
                if wide >= _WIDE and high >= _HIGH:
                    rows += [(("  ", ""), *row) for row in _wrapped([words.why], width - 2, "muted")]
            return rows

        last = self.query_one("#why-after", Panel)
        last.display = bool(after) and advice.move is None and high >= 34
        last.show_panel(indented(fill))

    def _show_past(self, advice: Advice) -> None:
        """What the sessions hold, the newest first, and what was tried: beside the rest, or below it in a few lines."""
        wide, high = self.app.size
        beside = wide >= _WIDE
        self.query_one("#why-past").display = beside or high >= _ROOM_BELOW
        tried = tried_lines(self._tried)[: high // 4]
        room = high - 6 - (len(tried) + 2 if tried else 0) if beside else _LINES_BELOW
        past = advice.past

        def held(width: int, _height: int) -> Sequence[Row]:
            rows: list[Row] = []
            most = most_at(advice)[: room // 3] if beside else []
            for needle, often in most:
                share = bar(often / most[0][1], max(1, min(often, width - 20)))
                rows.append(((f"needle {needle:<5}", ""), (share, "fault"), (f" {often}", "")))
            rows += [()] if most else []
            for one in held_lines(advice):
                rows += _beside(one.day, one.words, "bold" if one.own else "", width, 13)
            return rows[:room] or _wrapped(["Nothing was noted."], width)

        self.query_one("#why-held", Panel).show_panel(indented(held), aside=held_words(past))
        panel = self.query_one("#why-tried", Panel)
        panel.display = beside and bool(tried)

        def came(width: int, _height: int) -> Sequence[Row]:
            return [
                row
                for day, outcome, check in tried
                for row in _beside(day, f"{outcome}: {check}", "done" if outcome == THAT_WAS_IT else "", width, 13)
            ]

        panel.show_panel(indented(came))

    def _show_check(self, advice: Advice, check: Check) -> None:
        words, known = said(check, advice), tried_words(check, advice)
        parts = (("Why", words.why, ""), ("How", words.how, ""), ("Care", words.caution, "due"))

        def fill(width: int, _height: int) -> Sequence[Row]:
            rows = _wrapped([words.title], width, "bold live")
            for name, text, style in (*parts, ("From", words.source, "muted")):
                rows += _beside(name, text, style, width)
            return rows

        frame = DONE if advice.often.get(check.id) else LIVE
        title = f"CHECK {self._at + 1} OF {len(advice.checks)}"
        self.query_one("#why-check", Panel).show_panel(indented(fill), title, known, frame)

    def _show_moved(self, advice: Advice, move: Tried) -> None:
        since = since_moved(advice.past, move)
        lines = moved_lines(move, since.at_new, since.at_old)
        asked = ["1  at its new slot", "2  at its old slot", "3  at neither", "Enter: not enough rows yet"]
        self.query_one("#why-check", Panel).show_panel(
            indented(
                lambda width, _: _wrapped(lines, width, "bold") + _wrapped(["Where is the fault now?", *asked], width)
            ),
            "A NEEDLE WAS MOVED",
            "",
            DUE,
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:
        """Answers are taken while there is a check, of a moved needle while one is; undo what was kept here."""
        move = self._advice is not None and self._advice.move is not None
        if action == "moved":
            return move
        if action == "answer" or (action == "walk" and parameters == (-1,)):
            return self._advice is not None and not move
        if action == "other":
            return len(self._beds) > 1
        return bool(self._kept) if action == "take_back" else self._advice is not None or action == "dismiss"

    # --- keys ----------------------------------------------------------------------------------------------

    def action_turn(self, by: int) -> None:
        """Another symptom; all of them go round."""
        places = list(SYMPTOMS)
        self._seen = places[(places.index(self._seen) + by) % len(places)]
        self._advise()

    def action_walk(self, by: int) -> None:
        """Another check; nothing is kept of it. What a moved needle came to can wait, too."""
        advice = self._advice
        if advice is None:
            return
        if advice.move is not None:
            self._advice = replace(advice, move=None)
        else:
            self._at = (self._at + by) % len(advice.checks)
        self._show()
        self.query_one(VerticalScroll).scroll_home(animate=False)

    def action_other(self) -> None:
        self._beds.append(self._beds.pop(0))
        self._read()

    def action_answer(self, outcome: str) -> None:
        """That was it, or it was not; of a needle to be moved, where it went."""
        check = self.check
        if check is None or self._advice is None:
            return
        if check.id == "move-needle" and outcome == "helped":
            self._ask_where()
            return
        at = self._at
        self._keep(check.id, outcome)
        if outcome == "helped":
            self.notify(f"Kept with {self._beds[0].machine}: {said(check, self._advice).title}.", markup=False)
            self._advise(stay=True)
        else:
            self._advise(at=at)  # that one goes last, so the next stands in its place

    def _keep(self, check: str, outcome: str, **more: Any) -> None:
        book, advice = self.app.book, self._advice
        assert advice is not None
        item = blank_tried(advice.past.bed, advice.symptom, check, book.clock.now(), outcome=outcome, **more)
        book.keep(item)
        self._kept.append(item)

    def _ask_where(self) -> None:
        """Which needle was moved, and to which slot."""
        assert self._advice is not None

        def keep(values: dict[str, Any]) -> None:
            self._keep("move-needle", "moved", needle=values["needle"], to=values["to"])

        fields = slot_fields(self._advice.past.bed.slots)
        form = FormScreen("A needle moved", fields, {"needle": self._advice.needle}, dict, keep)
        self.visit(form, lambda _: self._advise())

    def action_moved(self, which: int) -> None:
        """What came of a moved needle."""
        move = self._advice.move if self._advice is not None else None
        if move is None:
            return
        outcome = _OUTCOMES[which]
        self._keep("move-needle", outcome, needle=move.needle, to=move.to)
        self.notify(MOVED_CAME_TO[outcome], markup=False)
        self._advise()

    def action_take_back(self) -> None:
        """The last answer kept on this visit is struck out; it can still be read."""
        if self._kept:
            self.app.book.keep(self._kept.pop().model_copy(update={"retired": True}))
            self._advise()


def _aside(words: str) -> str:
    return f" ({words})" if words else ""


def _wrapped(lines: Sequence[str], width: int, style: str = "") -> list[Row]:
    return [row for line in lines for row in wrapped(line, max(width, 8), style)]


def _beside(name: str, text: str, style: str, width: int, column: int = 6) -> list[Row]:
    """A part of a check, or what was on a day, its name in front of its first line."""
    lines = wrap(text, max(width - column, 8))
    return [((f"{name if not at else '':<{column}}", "muted"), (line, style)) for at, line in enumerate(lines)]
