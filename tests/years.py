"""Three years of a workshop with a built-in truth, cranked by the engine and taken in by files; what is told of them.

``python -m tests.years [SEED ...]`` makes 300 sessions and prints beside each built-in truth what the logbook says,
with its error; then how often the ranges of 95 % hold over 200 draws, and how often a change is found. One yarn loosens
on a day, the machines differ, a needle drops, and one sock is right. A line with ``!`` does not hold: so many do by
chance as is said below the table, since ranges of 95 % miss in 5 of 100.
"""

from __future__ import annotations

import io
import json
import math
import os
import sys
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from hosewright.cli import main
from hosewright.craft.changes import Point, find_changes, stretches
from hosewright.craft.loops import STATES
from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.response import prior_rise
from hosewright.craft.sock import plan_sock
from hosewright.craft.spread import pool, reach, tube_spread
from hosewright.craft.units import MM_PER_INCH
from hosewright.logbook.book import Logbook
from hosewright.logbook.find.gauges import dial_of
from hosewright.logbook.records.sessions import SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Yarn
from hosewright.logbook.travel.session_files import write
from hosewright.places import logbook_path
from hosewright.planning.gauges import read_knits
from hosewright.session.events import Confirmed, Entry, Event, Judged, Observed, Pressed, ReadOff
from hosewright.session.fold import apply, fold
from hosewright.session.procedures import search_steps, tube_steps
from hosewright.session.rules import refusal
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from tests.helpers import sock_plan_steps

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.session.steps import SessionKind, Step

FERRY = Machine(id="ferry", name="Ferry machine", thread_pitch_mm=1.25, clicks_per_turn=4, starting_dial=36)
MILL = Machine(id="mill", name="Mill machine", thread_pitch_mm=1.25, clicks_per_turn=4, starting_dial=36)
CYLINDER = Cylinder(id="sixty-four", name="64 slots", slots=64, diameter_mm=108.0)
# Metres in 100 g, and rows an inch on the ferry's machine at 27 clicks.
YARNS = {
    "Tideline": (420.0, 10.40),
    "Kelp": (380.0, 9.95),
    "Shingle": (450.0, 10.85),
    "Samphire": (400.0, 10.20),
    "Lichen": (350.0, 9.70),
    "Heron": (480.0, 11.10),
}
NEW = Yarn(id="harbour", name="Harbour", m_per_100g=410.0)
FIRST_DAY, CHANGE_DAY = date(2022, 9, 1), date(2024, 7, 8)
DAYS = 1095
CHANGED, LOOSENS = "Tideline", 0.35  # rows an inch fewer
MILL_SHARE = 0.96  # of the rows that the ferry's machine gives
RISE_MM = 0.45  # of loop, a click
TUBES_DIFFER, TAPE_MM, READING_MM = 0.012, 1.0, 0.4
DIAL = 27
BAD_NEEDLE = 17
EACH = 12  # tubes drawn before the change, and after it
TUBES_OF_ONE = 16  # that 300 sessions have of one yarn on one machine
CM_PER_INCH = MM_PER_INCH / 10
# How likely a line of the table misses by chance: outside two errors or three; a change that is none, and one hidden by
# how tubes differ, on one machine, both as ``changes_found`` measures them.
TWO_ERRORS, THREE_ERRORS = 0.046, 0.003
CLAIMED, HIDDEN = 0.025, 0.12
KC = STATES["full"].kc


def rows_per_in(yarn: str, machine: Machine, dial: int, day: date) -> float:
    """What is true of this yarn."""
    rows = YARNS[yarn][1] - (LOOSENS if yarn == CHANGED and day >= CHANGE_DAY else 0.0)
    loop = KC * MM_PER_INCH / (rows * (MILL_SHARE if machine is MILL else 1.0))
    return KC * MM_PER_INCH / (loop + RISE_MM * (dial - DIAL))


def stitch_size(m_per_100g: float, machine: Machine) -> float:
    """Turns below zero of the true stitch size of a yarn of this count, but for what is its own."""
    return 6.6 + 0.4 * (math.sqrt(100_000 / m_per_100g) - 15.5) - (0.5 if machine is MILL else 0.0)


class Crank:
    """One session in the engine alone: rules and fold, without a logbook under them."""

    def __init__(self, record: SessionRecord) -> None:
        self.record = record
        self.state = fold(record.head, [])
        self.entries: list[Entry] = []
        self._at_ms = record.started_ms

    def do(self, event: Event, after_ms: int = 4000) -> None:
        why = refusal(self.state, event)
        assert why is None, f"{event} was refused: {why}"
        self._at_ms += after_ms
        tick = self._at_ms - self.record.started_ms + 60_000
        entry = Entry(len(self.entries) + 1, self._at_ms, 60, tick, event)
        self.entries.append(entry)
        apply(self.state, entry)

    def to(self, step_id: str) -> None:
        """Do plainly what the steps ask for up to the one named, or the end."""
        while (step := self.state.step) is not None and step.id != step_id:
            if isinstance(step, CountRows | CountPasses):
                self.rows(step.target - self.state.count)
            self.do(Confirmed(), 20_000)

    def rows(self, many: int) -> None:
        for _ in range(many):
            self.do(Pressed(), 2300)

    def look(self, stays_up_at: int) -> None:
        """A search to its end, where stitches stay up at so many clicks and fewer."""
        while isinstance(self.state.step, DialTrial) and self.state.search.baseline is None:
            at = self.state.search.position
            self.do(Pressed(), 9000)
            self.do(Judged("stay" if at <= stays_up_at else "drop", at), 5000)


class Workshop:
    """So many sessions over three years, one after another."""

    def __init__(self, sessions: int, seed: int) -> None:
        self.draw = Random(seed)
        self.many = sessions
        self.own = {(yarn, on.id): self.draw.gauss(0.0, 0.3) for yarn in YARNS for on in (FERRY, MILL)}
        self.right_sock = ""

    def cranked(self) -> Iterator[Crank]:
        """Every session, finished: a search at each place, then two tubes and a sock in turn, at all places."""
        places = [(yarn, on) for yarn in YARNS for on in (FERRY, MILL)]
        many = {"tube": 0, "sock": 0}
        for number in range(self.many):
            day = FIRST_DAY + timedelta(days=number * DAYS // self.many)
            if number < len(places):
                yield self._search(number, day, *places[number])
                continue
            kind = "sock" if number % 3 == 2 else "tube"
            lap, place = divmod(many[kind], len(places))
            many[kind] += 1
            if kind == "sock":
                yield self._sock(number, day, *places[place])
            else:
                yield self._tube(number, day, *places[place], DIAL - 2 if lap % 4 == 1 else DIAL)

    def _begin(
        self, number: int, day: date, kind: SessionKind, yarn: str, on: Machine, dial: int, steps: tuple[Step, ...]
    ) -> Crank:
        hour = datetime(day.year, day.month, day.day, 18, tzinfo=UTC)
        m_per_100g = YARNS[yarn][0]
        of = Yarn(id=yarn.lower(), name=yarn, m_per_100g=m_per_100g, ball_g=100.0)
        words = {"search": "Stitch size", "tube": "Gauge tube"}.get(kind, "Sock")
        return Crank(
            SessionRecord(
                id=f"{day:%Y%m%d}-y{number:05}", kind=kind, title=f"{words}: {yarn} on {CYLINDER.name}",
                started_ms=int(hour.timestamp()) * 1000, zone_min=60, machine=on, cylinder=CYLINDER, yarn=of,
                dial=dial, steps=steps,
            )
        )  # fmt: skip

    def _search(self, number: int, day: date, yarn: str, on: Machine) -> Crank:
        crank = self._begin(number, day, "search", yarn, on, 36, search_steps())
        crank.to("trial")
        crank.look(round((stitch_size(YARNS[yarn][0], on) + self.own[yarn, on.id] - 1) * 4))
        crank.to("")
        return crank

    def _tube(self, number: int, day: date, yarn: str, on: Machine, dial: int) -> Crank:
        crank = self._begin(number, day, "tube", yarn, on, dial, tube_steps())
        crank.to("tube")
        self._faults(crank)
        crank.to("after-wash")
        rows = rows_per_in(yarn, on, dial, day) * (1 + self.draw.gauss(0.0, TUBES_DIFFER))
        for field, true in (("length", 60 / rows * MM_PER_INCH), ("width", 64 * 1.31 / rows * MM_PER_INCH / 2)):
            tape = self.draw.uniform(-TAPE_MM, TAPE_MM)
            for _ in range(2):
                crank.do(ReadOff(field, round(true + tape + self.draw.gauss(0.0, READING_MM), 1)))
        crank.to("")
        return crank

    def _sock(self, number: int, day: date, yarn: str, on: Machine) -> Crank:
        right = not self.right_sock and number > self.many // 2
        crank = self._begin(number, day, "sock", yarn, on, DIAL - 1 if right else DIAL, sock_plan_steps(64))
        crank.to("leg")
        self._faults(crank)
        while (step := crank.state.step) is not None and not (isinstance(step, Measure) and step.id == "try-on"):
            crank.to("try-on")
        crank.do(ReadOff("fit", 1 if right else 0))
        crank.do(ReadOff("fit-length", 1 if right else 2))
        crank.to("")
        if right:
            self.right_sock = crank.record.id
        return crank

    def _faults(self, crank: Crank) -> None:
        crank.rows(2)
        if self.draw.random() < 0.25:
            crank.do(Observed("dropped", BAD_NEEDLE))
        if self.draw.random() < 0.25:
            crank.do(Observed("dropped", self.draw.randrange(1, CYLINDER.slots + 1)))


@dataclass(frozen=True, slots=True)
class Told:
    """A built-in truth beside what the logbook says of it, in words, and whether that is so within its stated error.

    ``chance``: how likely it does not hold though nothing is wrong, by the level at which it is said.
    """

    what: str
    truth: str
    said: str
    holds: bool
    chance: float = 0.0


def take_in(workshop: Workshop, folder: Path) -> None:
    """Write every session to a file and take the files in, as the command line does."""
    for crank in workshop.cranked():
        assert crank.state.status == "finished", crank.state.step
        (folder / f"{crank.record.id}.json").write_text(write(crank.record, crank.entries), encoding="utf-8")
    _ask("logbook", "import", str(folder))


def _ask(*argv: str) -> str:
    heard = io.StringIO()
    with redirect_stdout(heard):
        assert main(list(argv)) == 0, heard.getvalue()
    return heard.getvalue()


def _json(*argv: str) -> Any:
    return json.loads(_ask(*argv, "--json"))


def told(workshop: Workshop) -> list[Told]:
    """Every built-in truth asked for by command."""
    return [*_changes(), *_machines(), *_response(), *_plans(), _needle(), *_right_sock(workshop), *_start()]


def _changes() -> Iterator[Told]:
    for yarn in YARNS:
        changes = _json("logbook", "yarn", yarn)["changes"]
        if yarn != CHANGED:
            yield Told(f"{yarn} changed", "no", f"{len(changes)} changes", not changes, 2 * CLAIMED)
            continue
        yield Told(f"{yarn} changed", "once on each machine", f"{len(changes)} changes", len(changes) == 2, 2 * HIDDEN)
        for change in changes:
            size, sure = change["rows_per_in_change"], change["rows_per_in_change_error"]
            on = MILL if change["machine"] == MILL.name else FERRY
            true = rows_per_in(yarn, on, change["dial"], CHANGE_DAY) - rows_per_in(yarn, on, change["dial"], FIRST_DAY)
            said = f"{size:+.2f} ± {sure:.2f}, {change['not_before']} to {change['not_after']}, p {change['p']:.1g}"
            when = change["not_before"] <= f"{CHANGE_DAY}" <= change["not_after"]
            truth = f"{true:+.2f} on {CHANGE_DAY}"
            yield Told(f"  on the {on.name}", truth, said, when and abs(size - true) <= 2 * sure, 2 * TWO_ERRORS)


def _machines() -> Iterator[Told]:
    for yarn in YARNS:
        level = {}
        for one in _json("logbook", "yarn", yarn)["gauges"]:
            if one["dial"] == DIAL:
                level[one["machine"]] = measured(one["rows_per_in"], one["rows_per_in_error"])
        for on in (FERRY, MILL):
            now = rows_per_in(yarn, on, DIAL, FIRST_DAY + timedelta(days=DAYS))
            found, sure = nominal(level[on.name]), error(level[on.name])
            within = abs(found - now) <= 3 * sure
            yield Told(
                f"{yarn} on the {on.name}", f"{now:.2f} rows/in", f"{found:.2f} ± {sure:.2f}", within, THREE_ERRORS
            )
        share = level[MILL.name] / level[FERRY.name]
        within = abs(nominal(share) - MILL_SHARE) <= 3 * error(share)
        said = f"{nominal(share):.3f} ± {error(share):.3f}"
        yield Told(f"{yarn}: mill over ferry", f"{MILL_SHARE}", said, within, THREE_ERRORS)


def _response() -> Iterator[Told]:
    """A click, by the tubes of one yarn that never changed; and the one that did, by those since its change."""
    book = Logbook.for_reading(logbook_path())
    knits = read_knits(book)
    book.close()
    for yarn in ("Samphire", CHANGED):
        knit = next(
            k for k in knits.values() if k.yarn is not None and (k.yarn.name, k.gauge.machine) == (yarn, FERRY.id)
        )
        rise = knit.fabric.response.rise_mm
        within = abs(nominal(rise) - RISE_MM) <= 3 * error(rise)
        said = f"{nominal(rise):.2f} ± {error(rise):.2f} mm"
        yield Told(f"{yarn}: a click", f"{RISE_MM} mm", said, within, THREE_ERRORS)


def _plans() -> Iterator[Told]:
    """The rows of a foot of 15 cm by the gauge that a plan takes unasked, beside those the truth gives."""
    for yarn in YARNS:
        plan = _json("plan", "--gauge", yarn, "--tube-length", "15 cm", "--try")
        on = MILL if plan["machine"] == MILL.id else FERRY
        rows = rows_per_in(yarn, on, plan["dial"], FIRST_DAY + timedelta(days=DAYS)) * 15 / CM_PER_INCH
        found, sure, tape = plan["foot_rows"], plan["foot_rows_error"], plan["foot_rows_tape_error"]
        said = f"{found} ± {sure:.1f} rows, ± {tape:.1f} of it from the tape"
        within = abs(found - rows) <= 2 * sure and tape < sure
        yield Told(f"{yarn}: a plan, {on.name}", f"{rows:.1f} rows", said, within, TWO_ERRORS)


def _needle() -> Told:
    found = [json.loads(line) for line in _ask("logbook", "needles", "--json").splitlines()]
    named = sorted({suspect["needle"] for one in found for suspect in one["suspects"]})
    return Told("A needle drops", str(BAD_NEEDLE), ", ".join(map(str, named)) or "none", named == [BAD_NEEDLE])


def _right_sock(workshop: Workshop) -> Iterator[Told]:
    found = [json.loads(line)["id"] for line in _ask("logbook", "find", "verdict:right", "--json").splitlines()]
    right = workshop.right_sock
    yield Told("The sock that is right", right, ", ".join(found) or "none", found == [right])
    others = [json.loads(line) for line in _ask("logbook", "find", "kind:sock", "--json").splitlines()]
    other = next(one["id"] for one in others if one["id"] != right)
    said = _ask("logbook", "compare", right, other)
    yield Told("  beside another", "6 1/2 turns, not 6 3/4", "dial in compare", "6 1/2" in said and "6 3/4" in said)


def _start() -> Iterator[Told]:
    book = Logbook(logbook_path())
    book.keep(NEW)
    book.close()
    for on in (FERRY, MILL):
        found = _json("dial", "--yarn", NEW.name, "--machine", on.name, "--cylinder", CYLINDER.name)
        true = stitch_size(NEW.m_per_100g or 0.0, on)
        said = (
            f"{found['expected_turns']:.1f} ± {found['expected_turns_error']:.1f} turns, start {found['start_turns']:g}"
        )
        within = abs(found["expected_turns"] - true) <= 2 * found["expected_turns_error"]
        within = within and found["start_turns"] > true
        yield Told(f"{NEW.name} on the {on.name}", f"{true:.1f} turns", said, within, TWO_ERRORS)


# --- coverage, of tubes drawn without the engine -----------------------------------------------------------------


def coverage(seeds: int, first: int = 1) -> dict[str, float]:
    """How often each range of 95 % holds the truth: a change's size, the gauge pooled after it, a plan's rows."""
    held = {"the change's size": 0, "the pooled gauge": 0, "a plan's rows": 0}
    tape = TAPE_MM / math.sqrt(3)
    for seed in range(first, first + seeds):
        draw = Random(seed)
        before, after = 10.4 / MM_PER_INCH, (10.4 - LOOSENS) / MM_PER_INCH

        def knitted(level: float, draw: Random = draw) -> float:
            return level * (1 + draw.gauss(0.0, TUBES_DIFFER))

        rates = []
        for level in [before] * EACH + [after] * EACH:
            length = 60 / knitted(level) + draw.uniform(-TAPE_MM, TAPE_MM)
            rates.append(measured(60 / length, 60 / length**2 * tape))
        changes = find_changes([Point(KC / nominal(r), KC * error(r) / nominal(r) ** 2) for r in rates])
        if changes:  # now and then chance hides it, or makes a second
            change = min(changes, key=lambda one: abs(one.at - EACH))
            off = nominal(change.difference) - (KC / after - KC / before)
            held["the change's size"] += abs(off) <= reach(change.freedom) * error(change.difference)
        parts = [rates[part.start : part.stop] for part in stretches(len(rates), changes)]
        spread = tube_spread(parts)
        mean = pool(parts[-1], spread)
        held["the pooled gauge"] += abs(mean.value - after) <= mean.reach
        sock = plan_sock(
            slots=64, rows_per_mm=measured(mean.value, mean.tape_error), stitches_per_mm=0.31, tube_length_mm=152.0,
            departs=spread.departs(mean.tubes),
        )  # fmt: skip
        off = nominal(sock.routes[0].exact) - 152.0 * knitted(after)
        held["a plan's rows"] += abs(off) <= reach(spread.freedom) * sock.foot_rows_error
    return {what: many / seeds for what, many in held.items()}


def changes_found(seeds: int, first: int = 1) -> dict[str, float]:
    """How often a change is found in the tubes of one yarn on one machine as the workshop cranks them."""
    days = [FIRST_DAY + timedelta(days=number * DAYS // TUBES_OF_ONE) for number in range(TUBES_OF_ONE)]
    dials = [DIAL - 2 if number % 4 == 1 else DIAL for number in range(TUBES_OF_ONE)]
    tape = math.hypot(TAPE_MM / math.sqrt(3), READING_MM / math.sqrt(2))
    many = {"one that there is": 0, "one that there is not": 0}
    for seed in range(first, first + seeds):
        draw = Random(seed)
        for what, yarn in zip(many, (CHANGED, "Kelp"), strict=True):
            points = []
            for day, dial in zip(days, dials, strict=True):
                rows = rows_per_in(yarn, FERRY, dial, day) / MM_PER_INCH * (1 + draw.gauss(0.0, TUBES_DIFFER))
                length = 60 / rows + draw.uniform(-TAPE_MM, TAPE_MM) + draw.gauss(0.0, READING_MM / math.sqrt(2))
                points.append(Point(KC * length / 60, KC * tape / 60, dial))
            many[what] += bool(find_changes(points, prior_rise(dial_of(FERRY))))
    return {what: found / seeds for what, found in many.items()}


def show(found: list[Told]) -> str:
    """A line each: what, the truth, what is said; then how many do not hold, and how many do not by chance."""
    lines = [f"{'' if one.holds else '! '}{one.what:31}  {one.truth:22}  {one.said}" for one in found]
    missed, expected = sum(not one.holds for one in found), sum(one.chance for one in found)
    said = f"{missed} of {len(found)} do not hold; by chance alone {expected:.1f} do not, on average."
    return "\n".join([*lines, said])


def run(*seeds: int) -> None:
    for seed in seeds:
        with TemporaryDirectory() as home, TemporaryDirectory() as files:
            os.environ["HOSEWRIGHT_HOME"] = home
            workshop = Workshop(300, seed)
            take_in(workshop, Path(files))
            print(f"Seed {seed}:\n{show(told(workshop))}\n")
    print("Ranges of 95 %, over 200 draws:")
    print("\n".join(f"  {what:20} {share * 100:.1f} %" for what, share in coverage(200).items()))
    print("A change on one machine is found, over 400 draws:")
    print("\n".join(f"  {what:21} {share * 100:.1f} %" for what, share in changes_found(400).items()))


if __name__ == "__main__":
    run(*map(int, sys.argv[1:] or ["1127"]))
