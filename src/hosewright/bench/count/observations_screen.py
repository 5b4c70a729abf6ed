"""Every observation of a session, to be added to or struck out. None is ever lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from hosewright.bench.shielded import Shielded
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.counting.hands import joined_on
from hosewright.session.events import Amended, Struck
from hosewright.session.observations import FAULT_WORDS, observation_words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from hosewright.counting.hands import Hands
    from hosewright.session.events import Fault


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


class ObservationsScreen(Shielded, ModalScreen[None]):
    """Enter adds a needle number and words to the marked one, Del strikes it out."""

    AUTO_FOCUS = "OptionList"
    EXPLAIN = (
        "What was observed while cranking. Enter adds to the marked one: a needle number, words, or both; to a "
        "knot, the dye lot of the ball that was joined on there. Del strikes out."
    )
    BINDINGS = [
        Binding("delete", "strike", "Strike out"),
        Binding("escape", "leave", "Back"),
    ]
    DEFAULT_CSS = """
    ObservationsScreen { align: center middle; }
    ObservationsScreen Vertical {
        width: 76; max-width: 100%; height: 80%; background: $surface; border: round $primary;
    }
    ObservationsScreen OptionList { height: 1fr; border: none; background: $surface; }
    ObservationsScreen Input, ObservationsScreen Input:focus { border: none; height: 1; background: $boost; }
    ObservationsScreen Input { display: none; }
    ObservationsScreen #told { height: auto; padding: 0 1; }
    """

    def __init__(self, hands: Hands) -> None:
        super().__init__()
        self._hands = hands

    def compose(self) -> ComposeResult:
        """The list, a line to add in, a message, the keys."""
        with Vertical() as box:
            box.border_title = "Observations"
            yield OptionList(markup=False)
            yield Input(placeholder="23 latch bent; 0: no needle; is tuck: another kind; lot 42", max_length=200)
            yield Static("", id="told", markup=False)
        yield BoundBar()

    def on_mount(self) -> None:
        """List them."""
        self._list(None)

    def _list(self, marked: int | None) -> None:
        listed = self.query_one(OptionList)
        state = self._hands.live.state
        listed.clear_options()
        listed.add_options([Option(observation_words(state, s), id=str(s.seq)) for s in state.observations])
        if not state.observations:
            self.query_one("#told", Static).update("Nothing was noted yet.")
        elif marked is None or marked >= len(state.observations):
            listed.highlighted = len(state.observations) - 1
        else:
            listed.highlighted = marked

    def _marked(self) -> int | None:
        listed = self.query_one(OptionList)
        if listed.highlighted is None:
            return None
        return int(listed.get_option_at_index(listed.highlighted).id or 0)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the line to add in."""
        event.stop()
        line = self.query_one(Input)
        line.display = True
        line.value = ""
        line.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Store what was added."""
        event.stop()
        seq = self._marked()
        added = self._read(seq, event.value) if seq is not None else None
        if added is not None:
            why = self._hands.try_to(added)
            self.query_one("#told", Static).update(why or "Added.")
            if why is not None:
                return
        self._close_line()

    def _read(self, seq: int, text: str) -> Amended | None:
        seen = next((one for one in self._hands.live.state.observations if one.seq == seq), None)
        if seen is not None and seen.fault == "knot" and (lot := self._hands.lot_called(text)):
            return joined_on(seq, lot)
        needle, note, fault = read_addition(text)
        return Amended(seq, needle, note, fault) if needle is not None or note or fault else None

    def _close_line(self) -> None:
        line, listed = self.query_one(Input), self.query_one(OptionList)
        marked = listed.highlighted
        line.display = False
        self._list(marked)
        listed.focus()

    def action_strike(self) -> None:
        """Strike out the marked one."""
        seq = self._marked()
        if seq is not None:
            marked = self.query_one(OptionList).highlighted
            why = self._hands.try_to(Struck(seq))
            self.query_one("#told", Static).update(why or "Struck out; it stays readable.")
            self._list(marked)

    def action_leave(self) -> None:
        """Close the line, or the screen."""
        if self.query_one(Input).display:
            self._close_line()
        else:
            self.dismiss(None)
