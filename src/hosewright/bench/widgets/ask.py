"""Questions: one answered with one key, and one line to answer in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import ModalScreen
from textual.style import Style
from textual.widgets import Input, Static

from hosewright.bench.shielded import Shielded
from hosewright.session.keys import shown_key

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult
    from textual.widget import Widget

YES_OR_NO = {"y": "yes", "n": "no"}
TYPED = {"enter": "saves", "escape": "leaves"}


class Answer(Static):
    """One of the answers; a click is its key."""

    ALLOW_SELECT = False

    def on_click(self, event: events.Click) -> None:
        event.stop()
        self.app.simulate_key(self.name or "")


class Asked(Static):
    """A question, and behind it the keys that answer it; a click on one is the key."""

    DEFAULT_CSS = """
    Asked { link-color: $text; link-color-hover: $text; link-background-hover: $panel; link-style-hover: bold reverse; }
    """

    def ask(self, words: str, **answers: str) -> None:
        """Show ``words``; each of ``answers`` is a key of Textual's and what it does."""
        said = [
            (f"{shown_key(key)} {does}", Style.from_meta({"@click": f"app.simulate_key('{key}')"}))
            for key, does in answers.items()
        ]
        between = (part for one in said for part in (", ", one))
        self.update(Content.assemble(words, "  " if said else "", *list(between)[1:]))


class Ask(Shielded, ModalScreen[bool]):
    """Dismisses with True for yes. ``y`` and ``n`` say what each answer does."""

    CSS_PATH = Path(__file__).with_name("ask.tcss")  # whole, for a subclass elsewhere
    AUTO_FOCUS = ""
    ANSWERS = "y yes, n no"
    BINDINGS = [Binding("y", "answer(True)", "Yes"), Binding("n,escape", "answer(False)", "No")]

    def __init__(self, question: str, y: str, n: str) -> None:
        super().__init__()
        self.question = question
        self.answers = {"y": y, "n": n}

    def compose(self) -> ComposeResult:
        with Vertical(id="ask-box"):
            yield Static(self.question, id="ask-question", markup=False)
            for key, does in self.answers.items():
                yield Answer(f"{key}  {does}", markup=False, name=key)

    def action_answer(self, yes: bool) -> None:
        self.dismiss(yes)


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked; ``yes_or_no`` is answered by one key. ``hint``: an example, where it stands nowhere else."""

    about: str
    words: str
    yes_or_no: bool
    hint: str = ""


class AskLine(Horizontal):
    """Hidden until a question is asked."""

    DEFAULT_CSS = """
    AskLine { height: auto; max-height: 3; display: none; background: $panel; padding: 0 1; }
    AskLine Static { width: auto; max-width: 100%; height: auto; text-style: bold; }
    AskLine Input, AskLine Input:focus { width: 1fr; height: 1; border: none; padding: 0 1; background: $panel; }
    """

    class Answered(Message):
        """An answer was typed."""

        def __init__(self, about: str, text: str) -> None:
            super().__init__()
            self.about, self.text = about, text

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.question: Question | None = None
        self._before: Widget | None = None  # what had the focus, to give it back

    @property
    def yes_or_no(self) -> bool:
        """Whether the open question is answered by one key."""
        return self.question is not None and self.question.yes_or_no

    def compose(self) -> ComposeResult:
        yield Asked("", markup=False)
        yield Input(max_length=400, select_on_focus=False)  # what is typed ahead stays

    def open(self, question: Question) -> None:
        self.question = question
        answers = YES_OR_NO if question.yes_or_no else TYPED if question.hint else {}
        self.query_one(Asked).ask(question.words, **answers)
        field = self.query_one(Input)
        field.value, field.placeholder = "", question.hint
        field.display = not question.yes_or_no
        if not self.display:
            self._before = self.screen.focused
        self.display = True
        self.screen.set_focus(None if question.yes_or_no else field)

    def close(self, onto: Widget | None = None) -> None:
        """Hide it, and give the focus to ``onto``, or back to what had it."""
        self.question = None
        self.display = False
        before = self._before if self._before is not None and self._before.is_attached else None
        self.screen.set_focus(onto or before)

    def answer_with(self, text: str) -> None:
        if self.question is not None:
            self.post_message(self.Answered(self.question.about, text))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self.question is not None:
            self.post_message(self.Answered(self.question.about, event.value))
