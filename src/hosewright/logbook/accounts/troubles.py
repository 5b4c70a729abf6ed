"""What a machine's sessions hold of what went wrong: where and when, how it lies, and which checks were tried."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from itertools import accumulate
from types import MappingProxyType
from typing import TYPE_CHECKING

from hosewright.craft.faults import Fault as Placed
from hosewright.craft.faults import Knitted, Lay, how_they_lie
from hosewright.logbook.accounts.care import NEEDLE_FAULTS, Bed, history, needle_changes
from hosewright.logbook.records.fields import shelf_id
from hosewright.logbook.records.year import Tried
from hosewright.session.events import DialMoved
from hosewright.session.fold import apply
from hosewright.session.observations import observation_words
from hosewright.session.standing import standing
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows
from hosewright.session.troubles import CHECKS, SYMPTOMS, in_order

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from hosewright.logbook.accounts.care import Change
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.year import Care
    from hosewright.phrases.times import Moment as Now
    from hosewright.session.events import Entry, Fault
    from hosewright.session.state import Observation
    from hosewright.session.troubles import Check, Moment, Symptom

MOST_SESSIONS = 20  # the newest: older ones say little of the machine as it is; ours
STILL_FRESH_MS = 30 * 86_400_000  # so long a check that was not it comes last; ours
NOTHING_CHANGED: Mapping[int, Change] = MappingProxyType({})
_OF_CARE: dict[str, Moment] = {"oiled": "oil", "needle": "needle", "part": "part", "ribber": "ribber"}


@dataclass(frozen=True, slots=True)
class Seen:
    """A fault that was noted, in words with its row, and where it lies among all that is looked at."""

    fault: Fault
    placed: Placed
    at_ms: int
    zone_min: int
    words: str


@dataclass(frozen=True, slots=True)
class When:
    """A moment from which on something was another; ``knitted``: stitches before it. Its time in ms since 1970."""

    what: Moment
    at_ms: int
    zone_min: int
    knitted: int


@dataclass(frozen=True, slots=True)
class Past:
    """What the newest sessions of a bed hold, oldest first: stitches of each needle, faults, and moments of change."""

    bed: Bed
    sessions: int
    stitches: tuple[int, ...]
    turned: int
    rounds: int
    heel: int
    seen: tuple[Seen, ...]
    moments: tuple[When, ...]
    changes: Mapping[int, Change]

    def faults_of(self, symptom: Symptom) -> list[Seen]:
        return [one for one in self.seen if one.fault in symptom.faults]

    def lay(self, symptom: Symptom) -> Lay:
        """How the faults of a symptom lie. Those of a needle since changed count against no needle."""
        faults = tuple(self._of_today(one) for one in self.faults_of(symptom))
        marks = tuple(one.knitted for one in self.moments)
        return how_they_lie(Knitted(self.stitches, self.turned, self.rounds, self.heel, faults, marks))

    def _of_today(self, one: Seen) -> Placed:
        change = self.changes.get(one.placed.needle or 0)
        if change is None or one.at_ms >= change.at_ms:
            return one.placed
        return replace(one.placed, needle=None, in_work=0, from_end=0)

    def likeliest(self) -> Symptom:
        """The first symptom of the fault that was noted most; without any, the first of all."""
        often = Counter(one.fault for one in self.seen)
        told = [one for one in SYMPTOMS.values() if one.faults]
        return max(told, key=lambda one: often[one.faults[0]])


class _Reading:
    """Sessions taken in one after another."""

    def __init__(self, slots: int) -> None:
        self.slots = slots
        self.stitches = [0] * slots
        self.sessions = self.turned = self.rounds = self.heel = 0
        self.seen: list[Seen] = []
        self.moments: list[When] = []
        self._before: tuple[SessionRecord, State] | None = None

    def take(self, record: SessionRecord, entries: Iterable[Entry], cared: list[Care]) -> None:
        """One more session; of ``cared``, oldest first, what was done before its last event is taken out."""
        stands = standing(record.head, entries).entries
        state, dials, done = State(record.head), [], []
        for entry in stands:
            while cared and cared[0].at_ms <= entry.at_ms:
                done.append((cared.pop(0), state.index, state.count))
            if isinstance(entry.event, DialMoved) and entry.event.clicks != state.dial:
                dials.append((entry, state.index, state.count))
            apply(state, entry)
        began = sum(self.stitches)
        self._since_the_last(record, began)
        starts = self._knit(state, began, record.zone_min)

        def place(index: int, count: int) -> int:
            starts_here = starts[min(index, len(starts) - 1)]
            return starts_here[min(count, len(starts_here) - 1)]

        for entry, index, count in dials:
            self._note("dial", entry.at_ms, entry.zone_min, place(index, count))
        for item, index, count in done:
            self._note(_OF_CARE[item.what], item.at_ms, item.zone_min, place(index, count))
        for one in state.observations:
            if not one.struck and one.fault in ("knot", "weight"):
                what: Moment = "weight" if one.fault == "weight" else "ball" if one.lot else "knot"
                self._note(what, one.at_ms, record.zone_min, place(one.step, one.count))
        self._before = record, state
        self.sessions += 1

    def _note(self, what: Moment, at_ms: int, zone_min: int, knitted: int) -> None:
        self.moments.append(When(what, at_ms, zone_min, knitted))

    def _since_the_last(self, record: SessionRecord, began: int) -> None:
        """What is another than in the session before."""
        if self._before is None:
            return
        was, ended = self._before
        others: list[Moment] = []
        if was.yarn.id != record.yarn.id:
            others.append("yarn")
        else:
            others += ["ball"] if was.lot != record.lot and was.lot and record.lot else []
            others += ["dial"] if ended.dial != record.head.dial else []
        others += ["weight"] if was.weights != record.weights and was.weights and record.weights else []
        tensions = {was.mast_tension, record.mast_tension}
        others += ["tension"] if len(tensions - {""}) > 1 else []
        for what in others:
            self._note(what, record.started_ms, record.zone_min, began)

    def _knit(self, state: State, began: int, zone_min: int) -> list[list[int]]:
        """Count a session's stitches and place its faults; returns, step by step, the stitches before each row."""
        starts, firsts, at = [], [], began
        counts = list(state.counts)
        for spoil in state.spoils:  # a sock cranked once more is begun anew: the longer of the two
            for index, count in zip(state.span_of(spoil.sock), spoil.counts, strict=True):
                counts[index] = max(counts[index], count)
        for step, count in zip(state.head.steps, counts, strict=True):
            firsts.append(self.rounds)
            rows = self._rows(step, count)
            starts.append([*accumulate(rows, initial=at)])
            at += sum(rows)
        for one in state.observations:
            if not one.struck and one.step < len(starts):
                self._see(one, state, starts[one.step], firsts[one.step], zone_min)
        return starts

    def _rows(self, step: object, count: int) -> list[int]:
        """The stitches of each row or pass of a step, which are counted for their needles, too."""
        if isinstance(step, CountPasses):
            self.heel = max(self.heel, step.needles)
            passes = [one.in_work for one in step.turning.passes()[:count]]
            for in_work in passes:
                for needle in in_work:
                    self.stitches[needle - 1] += 1
            self.turned += sum(map(len, passes))
            return [len(in_work) for in_work in passes]
        if not isinstance(step, CountRows):
            return []
        out = {needle for needle in step.out_of_work if needle <= self.slots}
        for at in range(self.slots):
            self.stitches[at] += count * (at + 1 not in out)
        self.rounds += count
        return [self.slots - len(out)] * count

    def _see(self, one: Observation, state: State, starts: Sequence[int], first: int, zone_min: int) -> None:
        step, row = state.head.steps[one.step], max(one.count - 1, 0)
        needle = one.needle if one.needle is not None and 1 <= one.needle <= self.slots else None
        at = starts[min(row, len(starts) - 1)]
        if isinstance(step, CountPasses):
            working = step.turning.at(min(row + 1, step.target)).in_work
            ends = (0, 0)
            if needle in working:
                ends = len(working), min(working.index(needle), len(working) - 1 - working.index(needle))
            placed = Placed(at, None, needle, *ends)
        elif isinstance(step, CountRows):
            placed = Placed(at, first + row, needle)
        else:
            return
        self.seen.append(Seen(one.fault, placed, one.at_ms, zone_min, observation_words(state, one)))


def past_of(book: Logbook, bed: Bed) -> Past:
    """What the newest sessions of a bed hold. Raises LogbookError."""
    sql = """SELECT s.id FROM catalogue c JOIN sessions s ON s.n = c.session
        WHERE c.machine_id = ? AND c.cylinder_id = ? AND c.left_out = ''
        ORDER BY c.began DESC, c.session DESC LIMIT ?"""
    names = [str(name) for (name,) in book.store.ask(sql, bed.machine_id, bed.cylinder_id, MOST_SESSIONS)]
    lines = [book.store.find(name) for name in reversed(names)]
    cared = [item for item in history(book, bed.machine_id) if item.cylinder in (None, bed.cylinder_id)]
    changes = needle_changes(book.store, bed.machine_id, bed.cylinder_id)
    return gathered(bed, ((book.record(line), book.store.entries(line.n)) for line in lines), cared, changes)


def gathered(
    bed: Bed,
    sessions: Iterable[tuple[SessionRecord, Iterable[Entry]]],
    cared: Iterable[Care] = (),
    changes: Mapping[int, Change] = NOTHING_CHANGED,
) -> Past:
    """What these sessions hold, the oldest first; ``cared``: what was done to the machine."""
    done = sorted((item for item in cared if item.what in _OF_CARE and not item.retired), key=lambda item: item.at_ms)
    reading = _Reading(bed.slots)
    for record, entries in sessions:
        if record.head.slots == bed.slots:
            reading.take(record, entries, done)
    return Past(
        bed,
        reading.sessions,
        tuple(reading.stitches),
        reading.turned,
        reading.rounds,
        reading.heel or bed.slots // 2,
        tuple(reading.seen),
        tuple(sorted(reading.moments, key=lambda one: one.knitted)),
        changes,
    )


# --- what was tried ---------------------------------------------------------------------------------------------


def tried_on(book: Logbook, machine_id: str, *, struck: bool = False) -> list[Tried]:
    """The checks tried on a machine, newest first; ``struck``: those taken back, too. Raises LogbookError."""
    own = [one for one in book.shelf(Tried, retired=struck) if one.machine == machine_id]
    return sorted(own, key=lambda one: (one.at_ms, one.id), reverse=True)


def helped(tried: Iterable[Tried], symptom: Symptom) -> Counter[str]:
    """How often each check was it, for this symptom on this machine."""
    return Counter(
        one.check for one in tried if one.symptom == symptom.id and one.outcome == "helped" and one.check in CHECKS
    )


def refused(tried: Sequence[Tried], symptom: Symptom, now_ms: int) -> set[str]:
    """The checks that were not it: of late, and since one was."""
    found: set[str] = set()
    for one in tried:  # newest first
        if one.symptom != symptom.id:
            continue
        if one.outcome == "helped" or one.at_ms < now_ms - STILL_FRESH_MS:
            break
        if one.outcome == "not":
            found.add(one.check)
    return found


def moved(tried: Sequence[Tried], cylinder_id: str) -> Tried | None:
    """The needle that was moved last on a cylinder, while nobody said what came of it."""
    own = (one for one in tried if one.check == "move-needle" and one.cylinder == cylinder_id)
    last = next((one for one in own if one.outcome in ("moved", "needle", "slot", "gone")), None)
    return last if last is not None and last.outcome == "moved" else None


@dataclass(frozen=True, slots=True)
class SinceMoved:
    """Faults since a needle was moved: at the slot it went to, and at the slot it came from."""

    at_new: int
    at_old: int


def since_moved(past: Past, move: Tried) -> SinceMoved:
    """Where the faults of a moved needle are now."""
    later = [one.placed.needle for one in past.seen if one.at_ms >= move.at_ms and one.fault in NEEDLE_FAULTS]
    return SinceMoved(later.count(move.to), later.count(move.needle))


def blank_tried(bed: Bed, symptom: Symptom, check: str, now: Now, **more: object) -> Tried:
    """What came of a check on this bed now, to be kept; ``more`` is its outcome, and slots."""
    return Tried.model_validate(
        {"id": shelf_id(check), "machine": bed.machine_id, "cylinder": bed.cylinder_id, "symptom": symptom.id}
        | {"check": check, "at_ms": now.at_ms, "zone_min": now.zone_min}
        | more
    )


@dataclass(frozen=True, slots=True)
class Advice:
    """All there is to say of a symptom on a bed: how its faults lie, since when, and the checks in their order.

    ``needle`` and ``slots`` are the ones that stand out, as the checks name them. ``move``: a needle that was moved and
    waits for an answer.
    """

    past: Past
    symptom: Symptom
    noted: int
    lay: Lay
    since: When | None
    checks: tuple[Check, ...]
    often: Mapping[str, int]
    refused: frozenset[str]
    move: Tried | None

    @property
    def needle(self) -> int | None:
        return next((lie.needles[0] for lie in self.lay.lies if lie.kind == "needle"), None)

    @property
    def slots(self) -> tuple[int, int] | None:
        for lie in self.lay.lies:
            if lie.kind in ("needle", "neighbours"):
                return lie.needles[0], lie.needles[-1]
        return None


def advise(past: Past, symptom: Symptom, tried: Sequence[Tried], now_ms: int) -> Advice:
    """The checks for what is seen on a bed, by how its faults lie, since when, and what was tried there."""
    lay = past.lay(symptom)
    marked = next((lie.mark for lie in lay.lies if lie.kind == "since"), None)
    since = past.moments[marked] if marked is not None else None
    kinds = [lie.kind for lie in lay.lies]
    often, no = helped(tried, symptom), frozenset(refused(tried, symptom, now_ms))
    checks = in_order(symptom, kinds, since.what if since else None, often, no)
    move = moved(tried, past.bed.cylinder_id)
    return Advice(past, symptom, len(past.faults_of(symptom)), lay, since, tuple(checks), often, no, move)


def advice_on(book: Logbook, bed: Bed) -> Advice:
    """The same of the likeliest symptom, with all that is known of a bed. Raises LogbookError."""
    past = past_of(book, bed)
    return advise(past, past.likeliest(), tried_on(book, bed.machine_id), book.clock.now().at_ms)


def bed_of(record: SessionRecord) -> Bed:
    """The cylinder and the machine of a session."""
    machine, cylinder = record.machine, record.cylinder
    return Bed(machine.id, machine.name, cylinder.id, cylinder.name, cylinder.slots, 1)
