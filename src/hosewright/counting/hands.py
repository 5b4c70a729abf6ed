"""From keys to events: what each command does to the session. It knows nothing of the screen it is shown on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from hosewright.counting.presses import Doubter, Judgement, Missing, away_words, lump_words, missing_count
from hosewright.craft import CraftError
from hosewright.craft.dial import dial_place
from hosewright.craft.doubts import impossible
from hosewright.logbook.file.errors import LogbookError, ReadOnlyError
from hosewright.session import events as ev
from hosewright.session.answers import (
    ASKED_FOR,
    LOST,
    RECOUNTED,
    asking,
    doubtful_words,
    read_answer,
    to_be_sure,
    vouching_words,
)
from hosewright.session.commands import usual_key
from hosewright.session.cues import cues
from hosewright.session.event_words import deed_words, place_now, reading_words, seen_at_words, to_put_back
from hosewright.session.lost import Guide
from hosewright.session.observations import FAULTS_AT_A_NEEDLE, FAULTS_OF_A_STITCH, first_aid, lot_now
from hosewright.session.results import tube_gauge
from hosewright.session.rules import refusal
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from hosewright.session.steps.tubes import called_in
from hosewright.session.undoing import last_done
from hosewright.session.words import now_words
from hosewright.words.troubles import many_faults

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.live import Live
    from hosewright.session.events import Event
    from hosewright.session.state import State
    from hosewright.settings.table import Settings

    Lots = Callable[[], Sequence[tuple[str, str]]]  # ids and words


class Voice(Protocol):
    """How the hands are answered."""

    def say(self, sentence: str, *, trouble: bool = False) -> None:
        """One line to read."""

    def ask(self, about: str, words: str = "", hint: str = "") -> None:
        """A question of ``answers.ASKING``; ``words`` and ``hint`` instead of its own."""

    def ring(self) -> None:
        """Bell and flash."""


@dataclass(slots=True)
class _Noting:
    """An observation just made, and the digits typed so far: of its needle, or, of ``lots``, which one is meant."""

    seq: int
    lots: Sequence[tuple[str, str]] = ()
    digits: str = ""

    @property
    def asked(self) -> str:
        several = ", ".join(f"{place} {words}" for place, (_, words) in enumerate(self.lots, 1))
        return f"Was a ball of another dye lot joined on? Then type {several}, and Enter." if self.lots else ""


MOST_ASKED = 9  # dye lots
_SEEN_AS: dict[ev.Verdict, ev.Fault] = {"stiff": "stiff", "broke": "yarn-broke"}
LUMP_MS = 1000.0  # presses within so long came together


def lots_in(book: Logbook, live: Live) -> Lots:
    """The dye lots in stock that a ball of a session's yarn may be of."""

    def lots() -> Sequence[tuple[str, str]]:
        from hosewright.logbook.accounts.stock import lots_of  # on first use: few sessions have a knot

        return lots_of(book, live.record.yarn.id)

    return lots


def joined_on(seq: int, lot: tuple[str, str]) -> ev.Amended:
    """At the knot stored as event ``seq`` a ball of this lot was joined on."""
    return ev.Amended(seq, note=f"a ball of {lot[1]} joined on", lot=lot[0])


class Hands:
    """One session in use. Every ``do_*`` is a command of ``session.commands``."""

    def __init__(
        self,
        live: Live,
        settings: Settings,
        voice: Voice,
        lots: Lots = tuple,
        key_of: Callable[[str], str] = usual_key,
        hear: Callable[[Event, State], None] | None = None,
    ) -> None:
        """``lots``: the dye lots that a ball joined on may be of. It may raise LogbookError.

        ``key_of``: what sentences call the key of a command in ``session.commands.SPOKEN_OF``. ``hear`` is told each
        event stored, and what it led to.
        """
        self.live, self.settings, self.voice, self._lots = live, settings, voice, lots
        self.key_of = key_of
        self._hear = hear
        self._doubter = Doubter(settings.press_gap_ms)
        self._noting: _Noting | None = None
        self._unsure: tuple[Event | None, str] = None, ""  # what was asked about once more, and what is said of it
        self._guide: Guide | None = None  # of one who is lost in a heel
        self._last_press_ms: float | None = None
        self._cranking_since_ms: float | None = None
        self._keys_gone_ms: float | None = None  # since when the keyboard goes elsewhere
        self._keys_into = ""  # and where to, when that is known
        self._lump: list[float] = []  # when each of the doubtful presses came that came last
        self._missing: Missing | None = None

    @property
    def undo(self) -> str:
        return self.key_of("take_back")

    def do(self, event: Event) -> bool:
        """Store an event. Says why, and returns False, when it was refused or could not be stored."""
        why = self.try_to(event)
        if not isinstance(event, ev.Pressed | ev.Doubted | ev.Observed | ev.Amended | ev.Paused | ev.Resumed):
            self._missing = None  # whatever else was done, the count was looked at
        self.voice.say(why or "", trouble=why is not None)
        if why is None and self._hear is not None:
            self._hear(event, self.live.state)
        return why is None

    def try_to(self, event: Event) -> str | None:
        """Store an event; the sentence to show when it was refused or could not be stored."""
        try:
            return self.live.do(event)
        except ReadOnlyError as error:
            return str(error)
        except LogbookError as error:
            return f"{error} Nothing was counted: put that right, then press again."

    # --- counting ------------------------------------------------------------------------------------------

    def do_count(self, at_ms: float) -> None:
        """One row or pass, pressed at ``at_ms`` on a clock that never steps."""
        state = self.live.state
        resumed = state.paused and isinstance(state.step, CountRows | CountPasses | DialTrial)
        if resumed and not self.do(ev.Resumed(cranked=True)):
            return
        judgement = self._doubter.judge(at_ms)
        if not self.do(ev.Pressed(doubtful=judgement is not Judgement.ROW)):
            return
        if judgement is Judgement.HELD_KEY and state.count > 0:
            self.do(ev.Doubted())
        if judgement is not Judgement.ROW:
            self._lump = [*(at for at in self._lump if at_ms - at < LUMP_MS), at_ms]
            self.voice.say(doubtful_words(state, self.key_of("vouch")))
            return
        if resumed:
            self.voice.say("Going on.")
            self._cranking_since_ms = at_ms
        self._last_press_ms = at_ms
        self._cranking_since_ms = at_ms if self._cranking_since_ms is None else self._cranking_since_ms
        if any(cue.is_called(self.settings.cue_rows_ahead) for cue in cues(state, self.settings.cues_every)):
            self.voice.ring()

    def do_vouch(self) -> None:
        """The doubtful presses were rows. Many are asked about: a pedal that bounces or a key held down makes many."""
        if question := vouching_words(self.live.state):
            self.voice.ask("vouch_many", question)
        elif self.do(ev.Vouched()):
            self.voice.say(f"Counted after all: the count is {self.live.state.count}.")

    def do_take_back(self) -> None:
        """The last thing done was a mistake, whatever it was."""
        state = self.live.state
        last, dial = last_done(state), state.dial
        words = deed_words(state, last) if last else ""
        if self.do(ev.Undone()) and last is not None:
            self._cranking_since_ms = None if state.paused else self._cranking_since_ms
            self.voice.say(f"Undone: {words}. {to_put_back(state, last, dial, self.key_of('rehang'))}".rstrip())

    def do_redo(self) -> None:
        state = self.live.state
        dial = state.dial
        if self.do(ev.Redone()) and (last := last_done(state)) is not None:
            put = to_put_back(state, last, dial, self.key_of("rehang"), again=True)
            self.voice.say(f"Done again: {deed_words(state, last)}. {put}".rstrip())

    do_undo_measuring, do_redo_measuring = do_take_back, do_redo  # the same on other keys, while measuring

    def do_pause(self) -> None:
        self._cranking_since_ms = None
        if self.live.state.paused:
            if self.do(ev.Resumed()):
                self.voice.say(f"Going on: {now_words(self.live.state)}.")
        elif self.do(ev.Paused()):
            self.voice.say(f"Paused. The next {self.live.state.unit} goes on.")

    def tick(self, now_ms: float) -> bool:
        """Time went by: pause after a long silence, call for a rest. True when something changed."""
        if lost := self.live.lost():
            self.voice.say(lost, trouble=True)
            return True
        if self.live.looking:
            return self.live.catch_up()
        state, settings = self.live.state, self.settings
        if self._last_press_ms is None or state.paused or not isinstance(state.step, CountRows | CountPasses):
            return False
        if self._keys_gone_ms is not None:
            return False  # then silence says nothing of the crank
        silence_s = (now_ms - self._last_press_ms) / 1000
        if settings.pause_after_s and silence_s >= settings.pause_after_s:
            self._last_press_ms = self._cranking_since_ms = None
            if self.do(ev.Paused(auto=True)):
                self.voice.say("Paused: the crank has been still for a while. The next row goes on.")
            return True
        since = self._cranking_since_ms
        if settings.rest_after_min and since is not None and now_ms - since >= settings.rest_after_min * 60_000:
            self._cranking_since_ms = now_ms
            self.voice.say(f"You have cranked for {settings.rest_after_min} minutes: rest your hands and shoulders.")
            self.voice.ring()
            return True
        return False

    def rest_in_min(self, now_ms: float) -> float | None:
        """Minutes until a rest is called for; None while nobody cranks, or when none is asked for."""
        since, after = self._cranking_since_ms, self.settings.rest_after_min
        return None if since is None or not after else after - (now_ms - since) / 60_000

    # --- while nobody listened -----------------------------------------------------------------------------

    def keys_gone(self, now_ms: float, into: str = "") -> bool:
        """The keyboard goes elsewhere from now on. True when a count runs, which then loses rows.

        ``into``: where to, when it is a thing the person opened, and not another window.
        """
        self._keys_gone_ms, self._keys_into = now_ms, into
        return self._counts

    def keys_back(self, now_ms: float) -> None:
        """The keyboard comes here again: say how long it did not, and offer the rows that may be missing."""
        since, self._keys_gone_ms = self._keys_gone_ms, None
        if since is not None:
            self.woke(now_ms)
            into = self._keys_into
            self._offer(
                f"Keys went {f'into {into}' if into else 'elsewhere'}", (now_ms - since) / 1000, quiet=bool(into)
            )

    def woke(self, now_ms: float) -> None:
        """The program was stopped, or the machine slept: nobody knows how long the crank was still."""
        self._last_press_ms = now_ms if self._last_press_ms is not None else None
        self._cranking_since_ms = None

    def stood_still(self, away_s: float, woke_ms: float) -> None:
        """It stood still for so long until ``woke_ms``; presses that waited have come in by now. Say so, and offer."""
        if self._keys_gone_ms is not None:
            return  # it is said when the keyboard comes back
        lump = sum(at >= woke_ms - LUMP_MS for at in self._lump)
        if lump and self._counts:
            self.voice.say(lump_words(away_s, lump, self.key_of("vouch")), trouble=True)
        else:
            self._offer("The program stood still", away_s)

    @property
    def _counts(self) -> bool:
        state = self.live.state
        counted = isinstance(state.step, CountRows | CountPasses | DialTrial)
        return counted and not (state.paused or state.abandoned or self.live.looking)

    def _offer(self, what: str, away_s: float, *, quiet: bool = False) -> None:
        """Offer what may be missing; ``quiet``: without a word where that is nothing, or nobody knows."""
        if not self._counts:
            return
        state = self.live.state
        passes = isinstance(state.step, CountPasses)
        pace = self.live.paces.of(passes=passes).per_minute
        missing = missing_count(away_s, pace, (state.target or 0) - state.count)
        right = f"{self.key_of('recount')} puts the count right"
        if isinstance(state.step, DialTrial):
            right = "press once for each"
        words = away_words(what, away_s, missing, state.unit, right, self.key_of("missing"))
        self._missing = Missing(state.index, missing, words) if missing else None
        if missing or not quiet:
            self.voice.say(words, trouble=missing != 0)

    @property
    def offered(self) -> int | None:
        missing = self._missing
        return missing.count if missing is not None and missing.index == self.live.state.index else None

    @property
    def offer_words(self) -> str:
        return self._missing.words if self._missing is not None and self.offered else ""

    def do_missing(self) -> None:
        missing, state = self._missing, self.live.state
        if missing is None:
            return
        why = missing.words.partition(".")[0]
        if self.do(ev.Recounted(state.count + missing.count, why, settles=True)):
            self.voice.say(f"Counted after all: the count is {state.count}.")

    # --- steps ---------------------------------------------------------------------------------------------

    def do_go_on(self) -> None:
        state, step = self.live.state, self.live.state.step
        if isinstance(step, CountRows | CountPasses) and not state.paused:
            more = state.count - step.target
            stands = f"{state.count} of {step.target} {'passes' if isinstance(step, CountPasses) else 'rows'}"
            if more < 0:
                self.voice.ask("early", f"{stands}. Go on with {-more} still to do?")
                return
            if more > 0 and isinstance(step, CountPasses):  # the carrier may stand at the wrong end; rows only add up
                self.voice.ask("over", f"{stands}, {more} more than planned. Go on?")
                return
        question = self._doubt_before_going_on()
        if question:
            self.voice.ask(question)
        elif cannot_be := self._cannot_be():
            self.voice.ask("impossible", f"{cannot_be} Keep it all the same?")
        elif self.do(ev.Confirmed()) and state.step is None:
            proposed = many_faults(state, self.key_of("why"))
            self.voice.say(f"All of it is in the logbook. {proposed}".rstrip())

    def _doubt_before_going_on(self) -> str:
        """The question that going on calls for, if any."""
        state, step = self.live.state, self.live.state.step
        if isinstance(step, CountRows) and step.proves:
            here = [s for s in state.observations if s.step == state.index and not s.struck]
            return "unclean" if any(s.fault in FAULTS_OF_A_STITCH for s in here) else ""
        if isinstance(step, Measure) and not any(state.values(item.id) for item in step.fields):
            return "unmeasured" if not any(item.required for item in step.fields) else ""
        return ""

    def _cannot_be(self) -> str:
        """Why no tube can have the readings it is about to be left with; empty when one can, or none is measured."""
        if self.live.record.kind != "tube" or not isinstance(self.live.state.step, Measure):
            return ""
        try:
            gauge = tube_gauge(self.live.state, self.settings.tape_error_mm)
        except CraftError as error:
            return str(error)
        return "" if gauge is None else impossible(gauge)

    def do_step_back(self) -> None:
        if self.do(ev.SteppedBack()):
            self.voice.say(f"Back to the step before; its count is as it was. {self.undo} takes that back.")

    def do_reopen(self) -> None:
        self.do(ev.Reopened())

    # --- the search ----------------------------------------------------------------------------------------

    def do_judge(self, verdict: ev.Verdict) -> None:
        if self.live.state.paused and not self.do(ev.Resumed(cranked=True)):
            return
        state = self.live.state
        clicks = state.search.position if isinstance(state.step, DialTrial) else state.dial
        if self.do(ev.Judged(verdict, clicks)) and verdict in ("stay", "stiff", "broke", "lower-stop"):
            self.voice.say(first_aid(_SEEN_AS[verdict]) if verdict in _SEEN_AS else "")
            self.voice.ring()

    def do_void(self) -> None:
        """The trials so far count no more. Asked first where that loses a search: no press takes it back."""
        state = self.live.state
        if not state.search.stopped and any(not trial.void for trial in state.trials):
            self.voice.ask("void_trials")
            return
        start = state.head.dial if state.search.stopped else state.search.position
        reason = "put right" if state.search.stopped else "weights changed"
        if self.do(ev.Voided(start, reason)):
            self.voice.say("The trials so far no longer count; the search starts again here.")

    # --- observations --------------------------------------------------------------------------------------

    def do_observe(self, fault: ev.Fault, needle: int | None = None, note: str = "") -> None:
        if self.do(ev.Observed(fault, needle, note)):
            self._noting = _Noting(self.live.state.last_seq)
            more = "If you know its needle, type the number and Enter." if fault in FAULTS_AT_A_NEEDLE else ""
            if fault == "knot":
                try:
                    self._noting.lots = self._other_lots()
                    more = self._noting.asked
                except LogbookError as error:
                    more = f"Its dye lot cannot be asked: {error}"
            said = seen_at_words(self.live.state, self.live.state.observations[-1])
            more = f"{first_aid(fault, self.key_of('rehang'))} {more}".strip()
            self.voice.say(f"Noted: {said} ({self.undo} takes it back). {more}".rstrip())

    def _other_lots(self) -> Sequence[tuple[str, str]]:
        present = lot_now(self.live.state, self.live.record.lot)
        return [lot for lot in self._lots() if lot[0] != present][:MOST_ASKED]

    def lot_called(self, text: str) -> tuple[str, str] | None:
        """The dye lot with this name or these words, as its id and its words."""
        name = text.strip().casefold().removeprefix("lot ")
        try:
            known = self._lots()
        except LogbookError:
            return None  # then it is a word like any other, and is kept as one
        return next((lot for lot in known if name == lot[1].casefold().removeprefix("lot ")), None)

    def type_number(self, key: str) -> bool:
        """A key straight after an observation: True when it belonged to the number of its needle, or of a lot."""
        noting = self._noting
        if noting is None:
            return False
        if key.isdigit() and len(key) == 1 and len(noting.digits) < 4:
            noting.digits += key
        elif key == "backspace" and noting.digits:
            noting.digits = noting.digits[:-1]
        elif key == "escape":  # the wait is over; the observation stands
            self._noting = None
            self.voice.say("")
            return True
        elif key == "enter" and noting.digits:
            self._note_number(noting)
            return True
        else:  # the hands go on: a number typed without Enter is noted all the same, and can be undone
            if noting.digits:
                self._note_number(noting)
            self._noting = None
            return False
        self.voice.say(f"{'Lot' if noting.lots else 'Needle'} {noting.digits or '...'}, then Enter.")
        return True

    def _note_number(self, noting: _Noting) -> None:
        self._noting = None
        self._note_lot(noting) if noting.lots else self._note_needle(noting)

    def _note_needle(self, noting: _Noting) -> None:
        needle, slots = int(noting.digits), self.live.state.head.slots
        if not 1 <= needle <= slots:
            self._noting = _Noting(noting.seq)
            self.voice.say(f"Needles here are numbered 1 to {slots}; none is noted yet. Which one?", trouble=True)
        elif self.do(ev.Amended(noting.seq, needle=needle)):
            self.voice.say(f"Needle {needle} noted.")

    def _note_lot(self, noting: _Noting) -> None:
        place = int(noting.digits)
        lot = noting.lots[place - 1] if 1 <= place <= len(noting.lots) else self.lot_called(noting.digits)
        if lot is None or lot not in noting.lots:
            self._noting = _Noting(noting.seq, noting.lots)
            self.voice.say(f"There is no lot {place} here. {noting.asked}", trouble=True)
            return
        if self.do(joined_on(noting.seq, lot)):
            self.voice.say(f"From here on the yarn comes off {lot[1]}.")

    def do_strike(self) -> None:
        """Strike out the last observation, or that a sock is spoilt when that came last."""
        state = self.live.state
        standing = [s for s in state.observations if not s.struck]
        if state.spoils and (not standing or standing[-1].seq < state.spoils[-1].seq):
            if self.do(ev.Struck(state.spoils[-1].seq)):
                name = called_in(state.head, state.sock)
                self.voice.say(f"That {name} is not spoilt after all: everything is as it was.")
            return
        if not standing:
            self.voice.say("There is no observation to strike out.", trouble=True)
        elif self.do(ev.Struck(standing[-1].seq)):
            self.voice.say(f"Struck out: {seen_at_words(state, standing[-1])}. {self.undo} takes that back.")

    def strike_reading(self, field: str | None) -> None:
        standing = [r for r in self.live.state.readings if r.field == field and not r.struck]
        if not standing:
            self.voice.say("There is no reading of this field to strike out.", trouble=True)
        elif self.do(ev.Struck(standing[-1].seq)):
            self.voice.say(f"Struck out: {reading_words(self.live.state, standing[-1])}. {self.undo} takes that back.")

    # --- questions -----------------------------------------------------------------------------------------

    def answer(self, about: str, text: str) -> bool:
        """Turn an answer into an event. False when it cannot be read: the question stays open."""
        try:
            if about in LOST or self._is_lost(about, text):
                self._guide_on(about, text.strip())
                return True
            event = self._made_sure(text) if about == "sure" else read_answer(about, text, self.live.state)
        except ValueError as error:
            self.voice.say(str(error), trouble=True)
            return False
        if event is None:
            self.voice.say("Left as it was.")
            return True
        done = self._unsure[1] if about == "sure" else asking(about, self.live.state).done
        sure = about == "sure" or refusal(self.live.state, event) is not None
        if not sure and (question := to_be_sure(event, self.live.state)):
            self._unsure = event, done
            self.voice.ask("sure", question)
            return True
        stored = self.do(event)
        if stored:
            self.voice.say(self._said_of(done))
        return stored

    def _said_of(self, done: str) -> str:
        state = self.live.state
        said = done.replace("{count}", str(state.count)).replace("{undo}", self.undo)
        said = said.replace("{strike}", self.key_of("strike")).replace("{place}", place_now(state))
        said = said.replace("{dial}", dial_place(state.dial, state.head.clicks_per_turn))
        return said.replace("{seen}", seen_at_words(state, state.observations[-1])) if "{seen}" in done else said

    def _made_sure(self, text: str) -> Event | None:
        return self._unsure[0] if text.strip().casefold() in ("y", "yes") else None

    def _is_lost(self, about: str, text: str) -> bool:
        asked = about == "recount" and text.strip().casefold() in ASKED_FOR
        return asked and isinstance(self.live.state.step, CountPasses)

    def _guide_on(self, about: str, text: str) -> None:
        """Begin the guide, or take its next answer; an empty one leaves it. Raises ValueError with a sentence."""
        if about == "recount":
            assert isinstance(self.live.state.step, CountPasses)
            self._guide = Guide(self.live.state.step)
            following = self._guide.first()
        elif not text or self._guide is None:
            self.voice.say("Left as it was.")
            return
        else:
            following = self._guide.take(about, text)
        if following.event is not None:
            self._unsure = following.event, RECOUNTED
        self.voice.ask(following.about, following.words, following.hint)
