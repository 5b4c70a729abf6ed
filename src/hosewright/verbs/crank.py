"""``hosewright crank ID --plain``: a session in plain lines, for a screen reader, a pedal or a pipe.

Every letter does what the same letter does on the bench: both read ``session.commands`` and use ``counting.hands``.
"""

from __future__ import annotations

import signal
import sys
from dataclasses import replace
from textwrap import wrap
from typing import TYPE_CHECKING, cast

from hosewright.aloud.ear import Ear, hears
from hosewright.counting.hands import Hands, lots_in
from hosewright.counting.keymap import commands_for, keymap_in_use
from hosewright.counting.measuring import far_off_words, read_value, readings_words
from hosewright.counting.step_by_step import reason_parts
from hosewright.craft.units import quoted
from hosewright.logbook.accounts.troubles import advice_on, bed_of
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.upkeep import errands
from hosewright.phrases.harmless import harmless
from hosewright.session import events as ev
from hosewright.session.answers import ASKING, asking, how_words
from hosewright.session.commands import EVERYWHERE_IN_LINES, SPOKEN_OF, typed_as, what_for
from hosewright.session.events import Opened
from hosewright.session.keys import USUAL_KEYS, meant_word, word_at_its_place
from hosewright.session.observations import FAULT_WORDS, first_aid, observation_words
from hosewright.session.steps import CountPasses, Measure, Wait
from hosewright.session.twins import beside_first
from hosewright.session.words import instruction, label_of, now_words, over_words
from hosewright.verbs.asking import WIDEST, sure
from hosewright.verbs.book import open_book
from hosewright.verbs.crank_words import (
    AS_HEARD,
    SCREEN_ONLY,
    WORDS,
    counted_words,
    letters_words,
    noted_words,
    standing_words,
    where_words,
    word_of,
)
from hosewright.verbs.parsing import Parser, UsageError, one_session, tell, usual
from hosewright.words.troubles import why_lines

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.keys import Command, Keymap
    from hosewright.session.steps import MeasureField
    from hosewright.settings.table import Settings

_LONGEST_LINE = 500  # characters
_REPLIES = ("y", "yes", "n", "no", "", "q")
_TOLD = ("note", "recount", "rehang", "dial", "void_at", "spoil", "leave_out")  # the answer stands behind the letter
_UNDOING = ("take_back", "undo_measuring", "redo", "redo_measuring")
_ENDS = ("SIGTERM", "SIGHUP")
_GOING_ON = {
    "go_on": "goes on",
    "finish_measuring": "goes on",
    "reopen": "takes it up again",
    "void": "starts the search again",
}


def run(argv: list[str]) -> int:
    parser = Parser("crank", "count a session row by row in plain lines", "20250114-k7mwpd --plain", json=False)
    one_session(parser)
    parser.flag("--plain", "plain lines: Enter counts, the bench's letters do the rest")
    args = parser.parse_args(argv)
    if not args.plain:
        raise UsageError("Add --plain to count in plain lines here; `hosewright` alone opens the bench.")

    settings, keymap = _settings()
    with open_book("crank") as book:
        live = book.take_up(args.session)
        live.do(Opened())
        LineMode(live, book, settings, keymap).run()
    return 0


def measure(argv: list[str]) -> int:
    """``hosewright measure ID``: the readings of a session that is to be measured now. Raises UsageError."""
    parser = Parser("measure", "measure a washed tube, or try a sock on, in plain lines", "20250114", json=False)
    one_session(parser)
    args = parser.parse_args(argv)
    settings, keymap = _settings()
    with open_book("measure") as book:
        live = book.take_up(args.session)
        step = live.state.step
        if not isinstance(step, Measure | Wait) or live.state.abandoned:
            raise UsageError(
                f"{live.record.title} is not at its measuring: {now_words(live.state)}. "
                f"`hosewright crank {live.record.id} --plain` goes on with it."
            )
        live.do(Opened())
        lines = LineMode(live, book, settings, keymap)
        if isinstance(step, Wait) and not sure(f"{instruction(live.state, live.record.given)} Is it dry?"):
            raise UsageError("Leave it until it is; nothing was changed.")
        if isinstance(step, Wait):
            lines.hands.do_go_on()
        lines.run()
    return 0


def _settings() -> tuple[Settings, Keymap]:
    """The knitter's settings and the keys they moved; what cannot be used is told."""
    settings = usual()
    keymap, about_keys = keymap_in_use(settings)
    tell(about_keys)
    return settings, keymap


class LineMode:
    """One session in lines. It is the ``Voice`` that the bench's hands answer with."""

    def __init__(self, live: Live, book: Logbook, settings: Settings, keymap: Keymap = USUAL_KEYS) -> None:
        """A press typed as a line is never doubtful, whatever ``settings`` say."""
        self.live, self.book, self.settings, self.keymap = live, book, settings, keymap
        self._failed: list[str] = []  # sentences of what speaks
        self._ear = Ear(settings, _ring, self._failed.append) if hears(settings) else None
        lots, hear = lots_in(book, live), self._ear.hear if self._ear is not None else None
        self.hands = Hands(live, replace(settings, press_gap_ms=0), self, lots, self._key_of, hear)
        self.left = False
        line = book.store.line(live.record.twin_of) if live.record.twin_of else None
        self._first = book.state(line) if line is not None else None
        self._said = ""
        self._asked = ""  # a question of ASKING that waits for its answer
        self._question = ""  # how it reads
        self._measuring = ""  # the field whose reading is asked for

    def run(self) -> None:
        self._print(f"{self.live.record.title}. Type help for what can be typed.")
        self._print(self.where())
        ends = [number for name in _ENDS if (number := getattr(signal, name, None)) is not None]
        spoken = [number for number in ends if self._ear is not None and signal.getsignal(number) == signal.SIG_DFL]
        for number in spoken:
            signal.signal(number, self._end)
        try:
            self._take_lines()
        finally:
            self.put_away()
            for number in spoken:
                signal.signal(number, signal.SIG_DFL)
        self._print(f"Left at: {standing_words(self.live.state)}. Everything is saved.")

    def put_away(self) -> None:
        """Cut off what is being said."""
        if self._ear is not None:
            self._ear.close()

    def _end(self, number: int, _frame: object) -> None:
        """End as the signal would, but take along what speaks: it runs in a process of its own, and may hang."""
        self.put_away()
        signal.signal(number, signal.SIG_DFL)
        signal.raise_signal(number)

    def _take_lines(self) -> None:
        while not self.left and (line := sys.stdin.readline()):
            try:
                errands.take(self.book)
                said = self.answer(" ".join(line.split()))
            except LogbookError as error:
                said = str(error)
            self._print("\n".join(filter(None, (said, *self._failed))))
            self._failed.clear()

    def _print(self, text: str) -> None:
        for line in text.splitlines():
            print(*wrap(harmless(line), WIDEST, subsequent_indent=" ", break_on_hyphens=False), sep="\n", flush=True)

    def where(self) -> str:
        said = where_words(self.live, self.settings, self._go)
        return "\n".join([said, *(beside_first(self._first, self.live.state) if self._first else ())])

    # --- the voice of the hands ------------------------------------------------------------------------------

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        self._said = sentence
        if trouble and sentence and self._ear is not None:
            self._ear.warn(sentence)

    def ask(self, about: str, words: str = "", hint: str = "") -> None:
        """A question: its answer is the next line, but a part is left short by a word that no fault has."""
        if about == "early":
            state = self.live.state  # no question, lest it be answered with y, which is a fault here
            short = (state.target or 0) - state.count
            self._said = f"{words.partition('.')[0]} are done; type {self._go} short to go on with {short} still to do."
        else:
            asked = asking(about, self.live.state)
            self._asked = about
            how = "y or n." if asked.yes_or_no else f"{hint or how_words(about, self.live.state)} q leaves it as it is."
            self._question = self._said = f"{words or asked.words} {how}"

    def ring(self) -> None:
        """Nothing: what is due is said in words."""

    # --- a line ----------------------------------------------------------------------------------------------

    def _commands(self) -> tuple[Command, ...]:
        """Those of the step, and those that are at hand at every one; a letter that the step uses is the step's."""
        here = commands_for(self.live.state, self.keymap)
        done, taken = {command.does for command in here}, {typed_as(command) for command in here}
        ended = self.live.state.step is None or self.live.state.abandoned
        more = (self.keymap.place(command) for command in EVERYWHERE_IN_LINES if command.does not in done)
        return (
            *here,
            *(
                command
                for command in more
                if not (ended and command.does in ("give_up", "explain")) and typed_as(command) not in taken
            ),
        )

    @property
    def _go(self) -> str:
        """What is typed to go on from here."""
        return next((typed_as(command) for command in self._commands() if command.does in _GOING_ON), "ok")

    def _key_of(self, name: str) -> str:
        """What is typed for a command that sentences speak of: its word, or else its letter."""
        return WORDS.get(SPOKEN_OF[name].does) or typed_as(self.keymap.place(SPOKEN_OF[name]))

    def answer(self, typed: str) -> str:
        self._said = ""
        if len(typed) > _LONGEST_LINE:
            return f"That is longer than {_LONGEST_LINE} characters, so nothing was done: say it shorter."
        if self._asked and (said := self._decide(typed)):
            return said
        if self._number(typed):
            return self._said
        if not typed:
            return self._next_field() if self._field is not None else self._alone_count()
        typed = AS_HEARD.get(typed.casefold(), typed)
        word, _, rest = typed.partition(" ")
        known = {typed_as(command): command for command in self._commands()}
        known = {word_of(command): command for command in self._commands() if word_of(command)} | known
        command = known.get(meant_word(word, known))
        if command is None and self._field is not None and typed[0].isdigit():
            return self._read_off(self._field, typed)
        if command is None:
            keymap, placed = self.keymap, word_at_its_place(word)
            return what_for(quoted(word), lambda c: typed_as(keymap.place(c)) == placed, self.live.state, "help")
        return self._run(command, rest)

    def _decide(self, typed: str) -> str:
        """The answer to an open question; empty when the line was something else that may be done instead."""
        about, reply = self._asked, meant_word(typed, _REPLIES)
        if ASKING[about].yes_or_no and reply not in _REPLIES:
            return self._question
        self._asked = ""
        if reply == "q" and not ASKING[about].yes_or_no:
            return "Left as it was."
        if reply in ("", "q"):  # the hands are cranking, or leaving: that is a no
            return ""
        seq = self.live.state.last_seq
        if not self.hands.answer(about, reply):
            self._asked = about
        return self._moved(seq)

    def _number(self, typed: str) -> bool:
        """Whether the line was the needle of the observation just made, or the lot of the ball joined on."""
        taken = False
        if typed.isascii() and typed.isdigit():
            taken = all(self.hands.type_number(digit) for digit in typed)
            taken = self.hands.type_number("enter") and taken
        else:
            self.hands.type_number("")  # no number came, so none is waited for any longer
        return taken

    def _run(self, command: Command, rest: str) -> str:
        does, letter = command.does, typed_as(command)
        if does in _TOLD:
            return self._tell(does, letter, rest)
        with_more: Callable[[Command, str], str] | None = getattr(self, f"_with_{does}", None)
        if with_more is not None:
            return with_more(command, rest)
        if rest:
            named = WORDS.get(does, letter)
            return f"In this step {named} takes nothing after it, so nothing was done: leave out {quoted(rest)}."
        if does in SCREEN_ONLY:
            return f"{letter} only changes what the bench's screen shows; it does nothing here."
        alone: Callable[[], str] | None = getattr(self, f"_alone_{does}", None)
        return self._by_hand(command) if alone is None else alone()

    def _by_hand(self, command: Command) -> str:
        state, seq, index = self.live.state, self.live.state.last_seq, self.live.state.index
        do = getattr(self.hands, f"do_{command.does}")
        do(command.argument) if command.argument else do()
        if state.last_seq == seq:
            return self._said
        if command.does in _UNDOING:
            stands = self.where() if state.index != index else standing_words(state)
            return f"{self._said}\n{stands}"
        if command.does == "judge":
            return f"{self._said} {state.search.advice}".strip()
        moved = state.index != index or command.does in ("void", "step_back", "reopen")
        return self._moved(seq) if moved else self._said

    def _moved(self, seq: int) -> str:
        """What was said, and where the work stands when anything was stored since ``seq``."""
        parts = [self._said, self.where() if self.live.state.last_seq != seq else ""]
        return "\n".join(part for part in parts if part)

    # --- letters, each by what its command does: alone, or with what is typed behind it -------------------------

    def _alone_count(self) -> str:
        state = self.live.state
        paused, presses = state.paused, state.presses
        self.hands.do_count(0.0)
        if state.presses == presses:
            after = next((_GOING_ON[c.does] for c in self._commands() if c.does in _GOING_ON), "")
            return f"{self._said} {self._go} {after}." if after else self._said
        said = ("Going on: " if paused else "") + counted_words(
            state, self.settings, self._go, on_the_way=not paused and state.count > 1
        )
        if state.target is not None and state.count == state.target + 1:  # said once
            over = over_words(state, WORDS["take_back"], f"{self._key_of('rehang')} {state.target}")
            return f"{said}. {over}" if over else said
        return said

    def _with_go_on(self, _command: Command, rest: str) -> str:
        state, seq = self.live.state, self.live.state.last_seq
        short = state.target is not None and state.count < state.target
        if rest not in ("", "short"):
            return f"Type {self._go}, or {self._go} short to leave a part short of what was planned."
        if rest and not short:
            return f"All rows are done; type {self._go} to go on."
        if rest:
            self.hands.answer("early", "y")
        else:
            self.hands.do_go_on()
        return self._moved(seq)

    _with_finish_measuring = _with_go_on

    @property
    def _turning(self) -> bool:
        return isinstance(self.live.state.step, CountPasses)

    def _tell(self, about: str, letter: str, rest: str) -> str:
        if not rest:
            named = WORDS.get(about, letter)
            lost = f", or {named} ? when you are lost" if about == "recount" and self._turning else ""
            asked = asking(about, self.live.state)
            return f"{asked.words} type it after the word: {named} {asked.hint}{lost}"
        state, seq, index = self.live.state, self.live.state.last_seq, self.live.state.index
        self.hands.answer(about, rest)
        if state.last_seq == seq or about in ("note", "dial"):
            return self._said
        if about == "void_at" or state.index != index:
            return self._moved(seq)
        return f"{self._said.rstrip('.')}: {counted_words(state, self.settings, self._go)}"

    def _with_observe(self, command: Command, rest: str) -> str:
        state, seq, fault = self.live.state, self.live.state.last_seq, cast("ev.Fault", command.argument)
        first, _, after = rest.partition(" ")
        numbered = first.isascii() and first.isdigit()
        needle, note = (int(first), after) if numbered else (None, rest)
        if rest and fault != "knot":
            self.hands.do(ev.Observed(fault, needle, note))
        else:
            self.hands.do_observe(fault, needle, note)
        if state.last_seq == seq:
            again = f" Nothing is noted yet: {word_of(command)} and the needle, once more." if numbered else ""
            return f"{self._said}{again}"
        more = self._said.partition(". ")[2] if fault == "knot" else ""  # the lot of a ball joined on is asked
        aid = first_aid(fault, self._key_of("rehang"))
        said = (noted_words(state, FAULT_WORDS[fault], needle, WORDS["take_back"]), aid, more)
        return " ".join(part for part in said if part)

    def _with_take_reading(self, command: Command, rest: str) -> str:
        step = self.live.state.step
        assert isinstance(step, Measure)
        name, _, text = rest.partition(" ")
        field = next((field for field in step.fields if field.id == name.lower()), None)
        if field is None:
            names = ", ".join(field.id for field in step.fields)
            return f"Type {typed_as(command)}, one of {names}, and the reading."
        return self._read_off(field, text)

    @property
    def _field(self) -> MeasureField | None:
        """The reading that is asked for; None where nothing is measured."""
        step = self.live.state.step
        if not isinstance(step, Measure):
            return None
        return next((field for field in step.fields if field.id == self._measuring), step.fields[0])

    def _next_field(self) -> str:
        """Ask for the reading after this one, and say so."""
        step, field = self.live.state.step, self._field
        assert isinstance(step, Measure)
        assert field is not None
        after = step.fields[step.fields.index(field) + 1 :]
        if not after:
            return f"That was the last; {self._go} goes on."
        self._measuring = after[0].id
        return f"Next: {label_of(after[0])}{', if you like' if not after[0].required else ''}."

    def _read_off(self, field: MeasureField, text: str) -> str:
        state = self.live.state
        units = self.settings.length_unit, self.settings.mass_unit
        try:
            value = read_value(text, field, *units)
        except ValueError as error:
            return str(error)
        if not self.hands.do(ev.ReadOff(field.id, value, text)):
            return self._said
        far = far_off_words(state, field.id, strike="x")
        self._measuring = field.id
        ahead = " Another, or Enter for the next." if field.repeats else f" {self._next_field()}"
        return f"{label_of(field)}: {readings_words(state, field, *units)}.{f' {far}' if far else ''}{ahead}"

    def _alone_strike_reading(self) -> str:
        state, step = self.live.state, self.live.state.step
        here = [field.id for field in step.fields] if isinstance(step, Measure) else []
        standing = [reading for reading in state.readings if reading.field in here and not reading.struck]
        if not standing:
            return "There is no reading here to strike out."
        self.hands.strike_reading(standing[-1].field)
        return self._said

    def _alone_seen(self) -> str:
        state = self.live.state
        return (
            "\n".join(observation_words(state, observation) for observation in state.observations)
            or "Nothing was noted so far."
        )

    def _alone_say_where(self) -> str:
        if self._ear is not None:
            self._ear.say_place(self.live.state)
        return self.where()

    def _alone_quiet(self) -> str:
        return self._ear.turn("type quiet") if self._ear is not None else "Nothing is spoken: speech and tones are off."

    def _alone_why(self) -> str:
        told = advice_on(self.book, bed_of(self.live.record))
        return "\n".join([*why_lines(told), f"Answers are kept by: hosewright why {self.live.record.id} --ask"])

    def _alone_explain(self) -> str:
        reasons = reason_parts(self.live.state, self._commands(), typed_as)
        return "\n".join(f"{label}: {said}" for label, said in reasons)

    def _alone_other(self) -> str:
        lines = [line for line in self.book.lines("open", "waiting") if line.id != self.live.record.id]
        if not lines:
            return "No other session is open."
        return "\n".join(["Open too:", *(f"{line.id}: {line.title}" for line in lines)])

    def _alone_give_up(self) -> str:
        self.ask("give_up")
        return self._said

    def _alone_help(self) -> str:
        return letters_words(self.live, self._commands())

    def _alone_home(self) -> str:
        self.left = True
        return ""


def _ring() -> None:
    """The terminal's bell; a pipe has none."""
    if sys.stdout.isatty():
        print("\a", end="", flush=True)
