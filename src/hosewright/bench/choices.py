"""What was changed in two places, side by side, and a key for each way to put it in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding

from hosewright.bench.shielded import tell_done
from hosewright.bench.widgets.keybar import BoundBar
from hosewright.bench.widgets.line import Heading
from hosewright.bench.widgets.list_screen import BACK, Listed, ListScreen
from hosewright.phrases.lists import Column, listed
from hosewright.words.choices import Question, questions

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

MOST = 4  # ways with a key of their own; there is one for each laptop that went on


class Questions(Listed[Question]):
    """What there is to choose."""

    TITLE = "Changed in two places"
    NONE = "nothing to choose"
    COLUMNS = (
        Column[Question]("what", lambda one: one.heading, share=2),
        Column[Question]("from", lambda one: listed(one.ways), share=1),
    )


class Ways(Listed[tuple[str, ...]]):
    """The ways of one of them: a column for each, a line for each thing there is to say."""

    TITLE = "Side by side"
    NONE = "whichever you choose, the others are kept"
    whose: tuple[str, ...] = ()

    def shape(self, room: int) -> Sequence[Column[tuple[str, ...]]]:  # noqa: ARG002  # the same in any
        first: Column[tuple[str, ...]] = Column("", lambda row: row[0], width=18)
        return (first, *(_column(at, name) for at, name in enumerate(self.whose, 1)))

    def key_of(self, record: tuple[str, ...]) -> str:
        return record[0]


def _column(at: int, name: str) -> Column[tuple[str, ...]]:
    return Column(f"{at}  {name}", lambda row: row[at], share=1, wrapped=True)


class ChoicesScreen(ListScreen[None]):
    """Everything to choose, and below it the ways of the one marked side by side."""

    AUTO_FOCUS = "Questions"
    TOPIC = "formats"
    EXPLAIN = (
        "A session that went on on two laptops, or something on the shelf that was changed on both, is kept both ways. "
        "The ways of the one marked stand side by side, each with its number. The key of a number puts that one in its "
        "place; the others are kept, and `hosewright logbook choose` shows them again."
    )
    BINDINGS = [
        *(Binding(str(at + 1), f"choose({at})", f"Take {at + 1}") for at in range(MOST)),
        Binding("tab", "app.focus_next", "Next"),
        BACK,
    ]

    def compose(self) -> ComposeResult:
        yield Heading("Changed in two places")
        yield Questions(id="questions")
        yield Ways(id="ways")
        yield BoundBar()

    def read_again(self, mark: str = "") -> None:
        self.query_one(Questions).fill(questions(self.app.book), mark)
        self.say_more()

    def say_more(self) -> None:
        marked, ways = self.query_one(Questions).marked, self.query_one(Ways)
        whose = marked.ways if marked else ()
        if (marked.rows[1:] if marked else ()) != tuple(ways.records) or whose != ways.whose:
            ways.whose = whose
            ways.fill(marked.rows[1:] if marked else ())
        ways.entitle(said=marked.heading if marked else "")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:
        """There is a key for each way the one marked has."""
        if action == "choose":
            marked = self.query_one(Questions).marked if self.is_mounted else None
            return marked is not None and int(str(parameters[0])) < len(marked.ways)
        return True

    def action_choose(self, at: int) -> None:
        marked = self.query_one(Questions).marked
        if marked is None or self.app.book.store.why_read_only:
            return
        marked.keep(at)
        tell_done(self, "Chosen", f"{marked.heading}: the one from {marked.ways[at]} is in its place. Both are kept.")
        self.read_again()
