"""``hosewright crank ID --plain``: a session in plain lines, for a screen reader, a pedal or a pipe."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from hosewright.verbs.parsing import Parser, UsageError, usual

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.logbook.live import Live
    from hosewright.session.events import Event
    from hosewright.session.steps import Field
    from hosewright.verbs.parsing import Usual

LONGEST_NOTE = 500
_VERDICTS = {"d": "drop", "s": "stay", "n": "unsure", "stiff": "stiff", "broke": "broke"}
_HELP = """\
Enter alone counts a row or pass.
b  takes the last press back.      r COUNT [why]  the counter is really at COUNT.
g  goes on to the next step.       g early  leaves a part short of its rows on purpose.
d  the stitches dropped back.      s  they stayed up.   n  not sure.   stiff, broke: stop.
v POSITION  weights or yarn changed: earlier looks are void, search again from POSITION.
m FIELD VALUE  takes a reading.    o FAULT [NEEDLE] [note]  notes a fault at this row.
x  strikes out the last reading or fault.   p  pauses, and goes on after a pause.
w  says where the work stands.     u  takes up a session that was given up.   q  leaves."""


def run(argv: list[str]) -> int:
    """Run the verb. Raises LogbookError or UsageError with a sentence."""
    parser = Parser("crank", "count a session row by row in plain lines", "hosewright crank 20250114-k7mwpd --plain")
    parser.add_argument("session", metavar="ID", help="the session's id, or as much of it as is unlike any other")
    parser.add_argument("--plain", action="store_true", help="plain lines: Enter counts, letters do the rest")
    args = parser.parse_args(argv)
    if not args.plain:
        raise UsageError("Add --plain to count in plain lines here; `hosewright` alone opens the bench.")

    from hosewright.session.events import Opened
    from hosewright.verbs.logbook import open_book

    with open_book(alone=True) as book:
        live = book.take_up(args.session)
        live.do(Opened())
        Lines(live, usual()).run()
    return 0


class Lines:
    """The talk: one line typed, one line or a few said."""

    def __init__(self, live: Live, have: Usual) -> None:
        self.live = live
        self.have = have
        self.letters: dict[str, Callable[[str], str]] = {
            "b": self._back,
            "r": self._recount,
            "g": self._go_on,
            "v": self._void,
            "m": self._measure,
            "o": self._observe,
            "x": self._strike,
            "p": self._pause,
            "w": lambda _: self._where(),
            "u": self._take_up,
            "?": lambda _: _HELP,
        }

    def run(self) -> None:
        """Read lines until they end or ``q``."""
        from hosewright.logbook.faults import LogbookError
        from hosewright.logbook.records import harmless

        self._say(f"{harmless(self.live.record.title)}. Type ? for help.")
        self._say(self._where())
        while line := sys.stdin.readline():
            typed = " ".join(line.split())
            if typed.lower() == "q":
                break
            try:
                said = self._answer(typed)
            except LogbookError as error:
                said = f"{error} Nothing was counted: put that right, then do it again."
            self._say(harmless(said))
        self._say(f"Left at: {self._standing()}. Everything is stored.")

    def _say(self, text: str) -> None:
        print(text, flush=True)

    def _answer(self, typed: str) -> str:
        from hosewright.session.events import Pressed

        if not typed:
            return self._do(Pressed()) or self._counted()
        letter, _, rest = typed.partition(" ")
        letter = letter.lower()
        if letter in _VERDICTS:
            return self._judge(letter)
        if letter not in self.letters:
            return f"There is no letter {_quoted(letter)} here; ? says which there are."
        try:
            return self.letters[letter](rest)
        except ValueError as error:
            return str(error)

    def _do(self, event: Event) -> str:
        """Store ``event``; a sentence when it cannot happen now, else nothing."""
        return self.live.do(event) or ""

    # --- saying where things stand ---------------------------------------------------------------------------

    def _standing(self) -> str:
        from hosewright.craft.dial import show_position
        from hosewright.session.steps import DialTrial
        from hosewright.session.words import hands

        state = self.live.state
        said = hands(state)
        if isinstance(state.step, DialTrial) and not (state.search.found or state.search.stopped):
            where = show_position(state.search.position, state.head.clicks_per_turn)
            said = f"row {state.count} with the dial {where}"
        return f"{said}, paused" if state.paused else said

    def _counted(self) -> str:
        from hosewright.session.steps import CountRows

        state = self.live.state
        said = self._standing()
        if state.target is not None and state.count == state.target:
            said += ", all done: g goes on" if isinstance(state.step, CountRows) else ": g goes on"
        return said

    def _where(self) -> str:
        from hosewright.session.steps import Measure
        from hosewright.session.words import instruction

        state = self.live.state
        if state.abandoned:
            return "This session was given up; u takes it up again."
        step = state.step
        told = instruction(state, self.live.record.machine.weights)
        parts = [f"{step.title}: {told.say}" if step is not None else told.say]
        if told.caution:
            parts.append(f"Caution: {told.caution}")
        if isinstance(step, Measure):
            parts += [f"m {field.id} {self._example(field)}: {_described(field)}" for field in step.fields]
        if (state.target is not None or state.count) and (counted := self._counted()) not in parts[0]:
            parts.append(counted)
        return "\n".join(parts)

    def _example(self, field: Field) -> str:
        if field.quantity == "choice":
            return " or ".join(field.choices)
        if field.quantity == "mass":
            return "11 g"
        return {"in": "4 1/2 in", "cm": "11.4 cm", "mm": "114 mm"}[self.have.length_unit]

    # --- letters ---------------------------------------------------------------------------------------------

    def _back(self, _rest: str) -> str:
        from hosewright.session.events import TookBack

        return self._do(TookBack()) or f"taken back: {self._standing()}"

    def _recount(self, rest: str) -> str:
        from hosewright.craft.units import read_whole
        from hosewright.session.events import Recounted
        from hosewright.session.rules import MOST_ROWS

        number, _, why = rest.partition(" ")
        count = read_whole(number, what="count", least=0, most=MOST_ROWS)
        return self._do(Recounted(count, why[:LONGEST_NOTE])) or self._counted()

    def _go_on(self, rest: str) -> str:
        from hosewright.session.events import Confirmed

        if rest not in ("", "early"):
            return "Type g, or g early to leave a part short of its rows on purpose."
        refused = self._do(Confirmed(early=rest == "early"))
        if refused and self.live.state.target is not None and not self.live.state.paused and not rest:
            refused += " g early leaves it there on purpose."
        return refused or self._where()

    def _judge(self, letter: str) -> str:
        from typing import cast

        from hosewright.session.events import Judged, Verdict

        verdict = cast("Verdict", _VERDICTS[letter])
        return self._do(Judged(verdict, self.live.state.dial)) or self.live.state.search.advice

    def _void(self, rest: str) -> str:
        from hosewright.craft.dial import read_position
        from hosewright.session.events import Voided

        per_turn = self.live.state.head.clicks_per_turn
        clicks = read_position(rest, per_turn)
        return self._do(Voided(clicks)) or self._where()

    def _measure(self, rest: str) -> str:
        from hosewright.session.events import Measured
        from hosewright.session.steps import Measure

        step = self.live.state.step
        if not isinstance(step, Measure):
            return "There is nothing to measure in this step."
        name, _, text = rest.partition(" ")
        field = next((field for field in step.fields if field.id == name), None)
        if field is None:
            return f"Type m, one of {', '.join(field.id for field in step.fields)}, and the reading."
        value = self._value(field, text)
        return self._do(Measured(field.id, value, text[:LONGEST_NOTE])) or f"{field.label}: {self._shown(field, value)}"

    def _value(self, field: Field, text: str) -> float:
        from hosewright.craft.units import read_length, read_mass

        what = field.label[0].lower() + field.label[1:]
        if field.quantity == "length":
            return read_length(text, self.have.length_unit, what=what)
        if field.quantity == "mass":
            return read_mass(text, self.have.mass_unit, what=what)
        if text.lower() not in field.choices:
            raise UsageError(f"Type one of: {', '.join(field.choices)}.")
        return float(field.choices.index(text.lower()))

    def _shown(self, field: Field, value: float) -> str:
        from hosewright.craft.units import show_length, show_mass

        if field.quantity == "choice":
            return field.choices[int(value)]
        readings = len(self.live.state.values(field.id))
        said = show_mass(value) if field.quantity == "mass" else show_length(value, self.have.length_unit)
        return f"{said}, reading {readings}" if field.repeats else said

    def _observe(self, rest: str) -> str:
        from hosewright.session.events import Observed
        from hosewright.session.faults import FAULT_WORDS

        name, _, rest = rest.partition(" ")
        fault = next((known for known in FAULT_WORDS if known == name), None)
        if fault is None:
            return f"Type o and one of {', '.join(FAULT_WORDS)}, then the needle and a note if you like."
        first, _, after = rest.partition(" ")
        needle, note = (int(first), after) if first.isdecimal() and len(first) < 6 else (None, rest)
        at = "" if needle is None else f", needle {needle}"
        refused = self._do(Observed(fault, needle, note[:LONGEST_NOTE]))
        return refused or f"noted: {FAULT_WORDS[fault]}{at}, at {self._standing()}"

    def _strike(self, _rest: str) -> str:
        from hosewright.session.events import Struck

        state = self.live.state
        standing = [reading.seq for reading in state.readings if not reading.struck]
        standing += [sighting.seq for sighting in state.sightings if not sighting.struck]
        if not standing:
            return "There is no reading and no fault to strike out."
        return self._do(Struck(max(standing))) or "struck out; it stays readable in the report"

    def _pause(self, _rest: str) -> str:
        from hosewright.session.events import Paused, Resumed

        resuming = self.live.state.paused
        return self._do(Resumed() if resuming else Paused()) or ("going on: " if resuming else "") + self._standing()

    def _take_up(self, _rest: str) -> str:
        from hosewright.session.events import Reopened

        return self._do(Reopened()) or self._where()


def _described(field: Field) -> str:
    needed = "needed" if field.required else "if you like"
    return f"{field.label}, {needed}{', again for each reading' if field.repeats else ''}"


def _quoted(text: str) -> str:
    from hosewright.craft.units import quoted

    return quoted(text)
