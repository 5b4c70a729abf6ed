"""Every observation of a session, to be added to or struck out. None is ever lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import DataTable, Input, Static

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.list_screen import Listed
from hosewright.counting.hands import joined_on
from hosewright.phrases.lists import Column
from hosewright.session.events import Amended, Struck
from hosewright.session.observations import FAULT_WORDS, observation_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from hosewright.counting.hands import Hands
    from hosewright.session.events import Fault
    from hosewright.session.state import Observation


def read_addition(text: str) -> tuple[int | None, str, Fault | None]:
    """Needle number (0: not known), note, and another kind of fault, from "23 latch bent" or "is tuck"."""
    text = text.strip()
    if text.casefold().startswith("is "):
        name = text[3:].strip().casefold()
        for fault, words in FAULT_WORDS.items():
            if name and name in (fault, words, *words.split()):
                return None, "", fault
    number, _, words = text.partition(" ")
    if number.isdecimal() and len(number) < 5:
        return int(number), words.strip(), None
    return None, text, None


class Noted(Listed["Observation"]):
    """The list. Enter opens the line to add in."""

    BINDINGS = [Binding("enter", "select_cursor", "Add to it")]
    TITLE = "Observations"
    NONE = "nothing noted yet"

    def __init__(self, hands: Hands) -> None:
        super().__init__()
        self._hands = hands

    def shape(self, room: int) -> Sequence[Column[Observation]]:  # noqa: ARG002  # the same in any
        return (Column("", lambda seen: observation_words(self._hands.live.state, seen), share=1, wrapped=True),)

    def key_of(self, record: Observation) -> str:
        return str(record.seq)


class ObservationsScreen(Shielded, ModalScreen[None]):
    """Enter adds a needle number and words to the marked one, Del strikes it out."""

    AUTO_FOCUS = "Noted"
    EXPLAIN = (
        "What you noted while cranking. Enter adds to the marked line: a needle number, words, or both; for a "
        "knot, the dye lot of the ball you joined on there. Del strikes it out."
    )
    BINDINGS = [
        Binding("delete", "strike", "Strike out"),
        Binding("escape", "leave", "Back"),
    ]
    DEFAULT_CSS = """
    ObservationsScreen { align: center middle; }
    ObservationsScreen Vertical { width: 80; max-width: 100%; height: 80%; background: $surface; }
    ObservationsScreen Input, ObservationsScreen Input:focus { border: none; height: 1; background: $panel; }
    ObservationsScreen Input { display: none; }
    ObservationsScreen #told { height: auto; padding: 0 1; }
    """

    def __init__(self, hands: Hands) -> None:
        super().__init__()
        self._hands = hands

    def compose(self) -> ComposeResult:
        with Vertical():
            yield Noted(self._hands)
            yield Input(placeholder="23 latch bent; 0: no needle; is tuck: another kind; lot 42", max_length=200)
            yield Static("", id="told", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        seen = self._hands.live.state.observations
        self._list(str(seen[-1].seq) if seen else "")

    def _list(self, mark: str = "") -> None:
        self.query_one(Noted).fill(self._hands.live.state.observations, mark)

    @on(DataTable.RowSelected)
    def _open_line(self) -> None:
        line = self.query_one(Input)
        line.display = True
        line.value = ""
        line.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        seen = self.query_one(Noted).marked
        added = self._read(seen, event.value) if seen is not None else None
        if added is not None:
            why = self._hands.try_to(added)
            self.query_one("#told", Static).update(why or "Added.")
            if why is not None:
                return
        self._close_line()

    def _read(self, seen: Observation, text: str) -> Amended | None:
        if seen.fault == "knot" and (lot := self._hands.lot_called(text)):
            return joined_on(seen.seq, lot)
        needle, note, fault = read_addition(text)
        return Amended(seen.seq, needle, note, fault) if needle is not None or note or fault else None

    def _close_line(self) -> None:
        self.query_one(Input).display = False
        self._list()
        self.query_one(Noted).focus()

    def action_strike(self) -> None:
        seen = self.query_one(Noted).marked
        if seen is not None:
            why = self._hands.try_to(Struck(seen.seq))
            self.query_one("#told", Static).update(why or "Struck out; it stays readable.")
            self._list()

    def action_leave(self) -> None:
        if self.query_one(Input).display:
            self._close_line()
        else:
            self.dismiss(None)
