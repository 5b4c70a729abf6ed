"""What a session starts with: the lines that ask, what was last used, the steps."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from statistics import fmean
from typing import TYPE_CHECKING, Any, TypeVar, cast

from hosewright.craft import CraftError
from hosewright.craft.dial import dial_place, read_position, show_turns
from hosewright.craft.measured import error, nominal
from hosewright.craft.ribs import make_rib, read_rib
from hosewright.craft.stitch_size import StitchSize, expected_turns, start_of_search
from hosewright.craft.stripes import wind_off_rows
from hosewright.logbook.records import planned
from hosewright.logbook.records.sessions import ColourLot, SessionRecord
from hosewright.logbook.records.shelf import Cylinder, Machine, Plan, Wearer, Yarn
from hosewright.logbook.records.year import Lot
from hosewright.phrases.days import clock_day
from hosewright.phrases.field import Field, to_choose, whole, words
from hosewright.planning.choices import has_no_ribber, without_ribber
from hosewright.planning.explanations import MORE
from hosewright.planning.plan_lines import rib_line
from hosewright.planning.shelf_lines import CLICKS as CLICKS  # asked for at a start, too
from hosewright.session.kinds import TUBE_ROWS
from hosewright.session.observations import lot_now
from hosewright.session.procedures import CAST_ON, ribber_steps, search_steps, tube_steps
from hosewright.session.results import cranked, pieces_of
from hosewright.session.steps import CountRows
from hosewright.session.twins import dial_moves
from hosewright.settings.table import LIMITS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from hosewright.craft.measured import Measured
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import SessionLine
    from hosewright.logbook.records.year import Promise
    from hosewright.session.state import State
    from hosewright.session.steps import SessionKind, Step


Thing = TypeVar("Thing", Machine, Cylinder, Yarn)
REMEMBERED = 60
NO_SET_UP: Mapping[str, Any] = {}
NO_DIAL = "The notebook does not say where the dial stood for this gauge: type where it stands now."
NOT_COUNTED = "Nobody counted the dial clicks of {} yet: count them over one full turn, and type how many there are."
NO_WAY = "How an empty cylinder is begun on {} is not noted yet: type it in the machine's record, from its manual."
LOOKED_THROUGH = 60  # sessions, for what was hung and set on this machine last
MOST_COLOURS = 6  # of a pair's stripes that are asked for their lots; ours
COLOURS = tuple(
    Field(
        f"colour_lot_{n}",
        f"Colour {n}",
        "of the stripes",
        choices=(),
        blank="off the dye lot above",
        more="This colour can come off a lot of its own, of any yarn in the stock: its share of the sock is taken from "
        "there. The only lot of a yarn that pictures show in just this colour is chosen already.",
    )
    for n in range(1, MOST_COLOURS + 1)
)
THREAD = Field("thread_lot", "Thread's lot", "for heel and toe", choices=(), blank="none: not counted in the stock")
LOT = Field("lot", "Dye lot", "whose grams it takes", choices=(), blank="none: not counted in the stock")
SET_UP = (
    words("weights", "Weights", "on the buckle", 200, example="both plates"),
    words("mast_tension", "Mast tension", "of the yarn", 200, example="two turns in"),
    words(
        "yarn_start",
        "Begin yarn at",
        "stripes: for the twin",
        200,
        what="beginning of the yarn",
        example="where green begins",
    ),
    Field(
        "cast_on",
        "Cast on",
        "how the first loops come onto the needles",
        choices=(
            ("with the bonnet", "bonnet"),
            ("on waste knitting still on", "waste"),
            ("the machine's own way", "own"),
        ),
        empty="bonnet",
        also=(("own", "own"), ("my own way", "own")),
    ),
)
THINGS: dict[str, type[Machine] | type[Cylinder] | type[Yarn]] = {
    "machine": Machine,
    "cylinder": Cylinder,
    "yarn": Yarn,
}


@dataclass(frozen=True, slots=True)
class Known:
    """What the logbook knows that a start can use, the last used first.

    ``last_on``: the cylinder last used on a machine, both by id.
    """

    machines: tuple[Machine, ...]
    cylinders: tuple[Cylinder, ...]
    yarns: tuple[Yarn, ...]
    plans: tuple[Plan, ...]
    newest: SessionRecord | None
    last_on: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class First:
    """A sock of a plan that a twin can be cranked to match."""

    line: SessionLine
    record: SessionRecord
    state: State

    @property
    def words(self) -> str:
        done = "finished" if self.state.status == "finished" else "not finished yet"
        return f"the twin of the one begun {clock_day(self.record.started_ms, self.record.zone_min)}, {done}"


def known(book: Logbook) -> Known:
    """Everything in use, the last used first. Raises LogbookError."""
    records = [book.record(line) for line in _by_start(book)[:REMEMBERED]]
    return Known(
        _used_first(book.shelf(Machine), [record.machine.id for record in records]),
        _used_first(book.shelf(Cylinder), [record.cylinder.id for record in records]),
        _used_first(book.shelf(Yarn), [record.yarn.id for record in records]),
        tuple(reversed(book.shelf(Plan))),
        records[0] if records else None,
        {record.machine.id: record.cylinder.id for record in reversed(records)},
    )


def _by_start(book: Logbook) -> list[SessionLine]:
    return sorted(book.lines(), key=lambda line: (line.started_ms, line.n), reverse=True)


def _used_first(shelf: Sequence[Thing], used: Sequence[str]) -> tuple[Thing, ...]:
    # The shelf comes oldest first; what no session used yet but came last is likely what is wanted next.
    place = {item_id: -at for at, item_id in reversed(list(enumerate(used)))}
    never = -len(used) - 1
    newest_first = list(reversed(shelf))
    return tuple(sorted(newest_first, key=lambda item: place.get(item.id, never), reverse=True))


def fresh(
    book: Logbook,
    kind: SessionKind,
    machine: Machine,
    cylinder: Cylinder,
    yarn: Yarn,
    *,
    dial: int,
    rows: int,
    separator_rows: int,
    rib: str = "",
    set_up: Mapping[str, Any] = NO_SET_UP,
) -> SessionRecord:
    """The start of a search or a gauge tube, in ``rib`` as it is typed. Raises ValueError with a sentence.

    ``set_up`` is what else its record holds: weights, mast tension, the yarn's lot and where it begins.
    """
    ribbed = make_rib(cylinder.slots, *read_rib(rib)) if rib else None
    if has_no_ribber(machine) and (kind == "ribber" or (ribbed is not None and ribbed.way == "ribber")):
        raise CraftError(without_ribber(machine))
    if kind == "ribber":
        if ribbed is None or ribbed.way != "ribber":
            raise CraftError("Type a rib of the ribber's to try it with: 1x1, 2x1 or 3x1.")
        steps, what = ribber_steps(ribbed), "Ribber"
    elif kind == "search":
        steps, what = search_steps(), "Stitch size"
    else:
        steps = tube_steps(rows, separator_rows, ribbed)
        what = f"Gauge tube in {rib} rib" if rib else "Gauge tube"
    return new_record(
        book,
        kind,
        f"{what}: {yarn.name} on {cylinder.name}",
        dial,
        steps,
        machine=machine,
        cylinder=cylinder,
        yarn=yarn,
        rib=rib,
        **set_up,
    )


@dataclass(frozen=True, slots=True)
class UsualSetUp:
    """What was hung and set last time, by the names of the lines; the yarn's lots, and the one it comes off."""

    said: Mapping[str, str]
    lots: tuple[Lot, ...]
    lot: str | None


def usual_set_up(
    book: Logbook, machine: Machine | None, yarn: Yarn | None, like: SessionRecord | None, promise: Promise | None
) -> UsualSetUp:
    """What a start offers; ``like``: the first sock, whose twin is started.

    The lot is the one the first sock came off in the end, else its ``promise`` names one, else it is the only one.
    Raises LogbookError.
    """
    before = like or (_last_on(book, machine) if machine else None)
    given = before.given if before else None
    said = {
        "weights": given.weights if given else machine.weights if machine else "",
        "mast_tension": given.mast_tension if given else machine.mast_tension if machine else "",
        "yarn_start": like.yarn_start if like else "",
        "cast_on": before.cast_on if before else "bonnet",
    }
    lots = tuple(lot for lot in book.shelf(Lot) if yarn and lot.yarn == yarn.id)
    named = promise.lot if promise and any(lot.id == promise.lot for lot in lots) else None
    usual = named or (lots[0].id if len(lots) == 1 else None)
    if like:
        line = book.store.line(like.id)
        usual = lot_now(book.state(line), like.lot) if line else like.lot
    return UsualSetUp(said, lots, usual)


def _last_on(book: Logbook, machine: Machine) -> SessionRecord | None:
    for line in sorted(book.store.lines(newest=LOOKED_THROUGH), key=lambda line: line.started_ms, reverse=True):
        record = book.record(line)
        if record.machine.id == machine.id:
            return record
    return None


def firsts(book: Logbook, plan: Plan) -> tuple[First, ...]:
    """Socks of this plan that were cranked, at least in part, newest first, without a twin's own twins.

    Raises LogbookError.
    """
    found = []
    for line in _by_start(book):
        if line.kind != "sock":
            continue
        record = book.record(line)
        if record.plan is None or record.plan.id != plan.id or record.twin_of:
            continue
        state = book.state(line)
        if any(cranked(state).values()):
            found.append(First(line, record, state))
    return tuple(found)


def first_sock(
    book: Logbook, plan: Plan, separator_rows: int, set_up: Mapping[str, Any] = NO_SET_UP, dial: int | None = None
) -> SessionRecord:
    """The start of a sock as planned; ``dial`` where its plan does not know. Raises ValueError with a sentence."""
    machine, cylinder, yarn = in_use(book, plan)
    wearer = book.get(Wearer, plan.wearer) if plan.wearer else None
    steps = planned.steps(plan, planned.sections(plan), separator_rows, machine.carrier_in)
    return new_record(
        book,
        "sock",
        f"{plan.name[:64]}, first {planned.name_of(plan)}",
        dial if plan.dial is None else plan.dial,
        steps,
        machine=machine,
        cylinder=cylinder,
        yarn=yarn,
        wearer=wearer,
        plan=plan,
        **set_up,
    )


def twin(book: Logbook, first: First, separator_rows: int, set_up: Mapping[str, Any] = NO_SET_UP) -> SessionRecord:
    """The start of a twin: as many rows in each part as its first sock really has, and the dial as it really stood.

    It starts where the first started; what was moved on the way is moved again at the same rows.
    """
    plan = first.record.plan
    assert plan is not None  # `firsts` offers only socks with a plan
    record = first.record
    steps = planned.steps(plan, planned.sections(plan, first.state), separator_rows, record.machine.carrier_in)
    done = {step.id for step in first.state.head.steps[: first.state.index]}
    rows = {name: count for name, count in cranked(first.state).items() if name in done and count}
    striped = {step.id: step.yarn_changes for step in first.state.head.steps if isinstance(step, CountRows)}
    moves = dial_moves(record.head, book.store.entries(first.line.n))

    def as_cranked(step: Step) -> Step:
        if not isinstance(step, CountRows):
            return step
        return replace(
            step,
            target=rows.get(step.id, step.target),
            yarn_changes=striped.get(step.id, step.yarn_changes),
            dial_changes=moves.get(step.id, step.dial_changes),
        )

    return new_record(
        book,
        "sock",
        f"{plan.name[:64]}, twin",
        record.dial,
        tuple(map(as_cranked, steps)),
        machine=record.machine,
        cylinder=record.cylinder,
        yarn=record.yarn,
        wearer=record.wearer,
        plan=plan,
        twin_of=record.id,
        **set_up,
    )


def begins_alike(first: First, yarn: Yarn) -> str:
    """What to wind off a self-striping yarn so that the twin begins where its first did; empty for any other yarn."""
    plan, repeat = first.record.plan, yarn.repeat_rows
    if plan is None or not repeat:
        return ""
    rows = sum(piece.stitches for piece in pieces_of(first.state)) / plan.slots
    left = wind_off_rows(rows, repeat)
    took = f"The first took {rows / repeat:.1f} times the {repeat} rows in which {yarn.name}'s stripes repeat"
    if not left:
        return f"{took}: go straight on from the same ball, and the twin's stripes begin where its did."
    metres = plan.metres_per_pair / 2 * left * plan.slots / max(1, sum(part.stitches for part in plan.parts))
    return (
        f"{took}: wind off {left:.0f} rows' worth, about {metres:.0f} m, of the same ball without a knot, and the "
        "twin's stripes begin where its did."
    )


def thread_lots(book: Logbook, *plans: Plan) -> dict[str, tuple[str, Lot, Yarn]]:
    """The lots a reinforcing yarn could come off, in words, by id; none where none of these ``plans`` has any.

    Raises LogbookError.
    """
    own = {plan.yarn for plan in plans}
    lots = colour_lots(book) if any(plan.reinforced for plan in plans) else {}
    return {lot_id: one for lot_id, one in lots.items() if one[1].yarn not in own}


def thread_of(book: Logbook, lot_id: str | None, *plans: Plan) -> dict[str, Any]:
    """What goes into a session's record for the reinforcing yarn. Raises LogbookError."""
    found = thread_lots(book, *plans).get(lot_id or "")
    return {"thread": found[2], "thread_lot": found[1].id} if found else {}


def stripe_colours(*plans: Plan) -> list[str]:
    """The colours of the stripes of these plans, each once, as far as their lots are asked for."""
    own = [made for plan in plans if (made := planned.stripes(plan))]
    return list(dict.fromkeys(colour for made in own for colour in made.colours))[:MOST_COLOURS]


def colour_lots(book: Logbook) -> dict[str, tuple[str, Lot, Yarn]]:
    """The lots a stripe could come off, in words, by id. Raises LogbookError."""
    yarns = {yarn.id: yarn for yarn in book.shelf(Yarn)}
    lots = [lot for lot in book.shelf(Lot) if lot.yarn in yarns]
    return {lot.id: (f"{yarns[lot.yarn].name}, {lot.name}", lot, yarns[lot.yarn]) for lot in lots}


def usual_colour_lot(colour: str, lots: Mapping[str, tuple[str, Lot, Yarn]], like: SessionRecord | None) -> str | None:
    """The lot of a stripe: as in the first sock, else the only one of a yarn that pictures show in that colour."""
    if like is not None:
        return next((one.lot for one in like.colour_lots if one.colour == colour), None)
    alike = [lot for lot, (_, _, yarn) in lots.items() if yarn.shades == (colour,)]
    return alike[0] if len(alike) == 1 else None


def colours_of(book: Logbook, chosen: Mapping[str, str | None]) -> dict[str, Any]:
    """What goes into a session's record for its stripes: the lots ``chosen``, by colour. Raises LogbookError."""
    lots = colour_lots(book)
    found = [
        ColourLot(colour=colour, yarn=lots[lot][2], lot=lot) for colour, lot in chosen.items() if lot and lot in lots
    ]
    return {"colour_lots": tuple(found)} if found else {}


def in_use(book: Logbook, plan: Plan) -> tuple[Machine, Cylinder, Yarn]:
    """What a plan is knitted on and of, as it is on the shelf now. Raises CraftError when it is there no more."""
    found: list[Any] = []
    for cls, item_id, word in (
        (Machine, plan.machine, "machine"),
        (Cylinder, plan.cylinder, "cylinder"),
        (Yarn, plan.yarn, "yarn"),
    ):
        item = book.get(cast("type[Machine]", cls), item_id)
        if item is None:
            raise CraftError(f"The plan's {word} is not in this logbook any more: plan the sock again.")
        found.append(item)
    return found[0], found[1], found[2]


def new_record(
    book: Logbook,
    kind: SessionKind,
    title: str,
    dial: int | None,
    steps: Any,
    *,
    machine: Machine,
    clicks_per_turn: int | None = None,
    **things: Any,
) -> SessionRecord:
    """A session of this book that starts now.

    ``clicks_per_turn`` is for a machine whose clicks were not counted yet. Raises CraftError where they, or where the
    dial stands, are still not known.
    """
    if machine.clicks_per_turn is None:
        if clicks_per_turn is None:
            raise CraftError(NOT_COUNTED.format(machine.name))
        machine = machine.model_copy(update={"clicks_per_turn": clicks_per_turn})
    if dial is None:
        raise CraftError(NO_DIAL)
    how = things.get("cast_on", "bonnet")
    if how == "own" and not machine.cast_on:
        raise CraftError(NO_WAY.format(machine.name))
    steps = tuple(CAST_ON[how] if step.id == CAST_ON["bonnet"].id else step for step in steps)
    at_ms, zone_min, _ = book.clock.now()
    return SessionRecord(
        id=book.new_id(),
        kind=kind,
        title=title[:80],
        started_ms=at_ms,
        zone_min=zone_min,
        dial=dial,
        steps=steps,
        machine=machine,
        **things,
    )


# --- the lines of a start ---------------------------------------------------------------------------------------


def separator_field(where: str) -> Field:
    """The line for the rows of separator yarn; ``where`` they are cranked."""
    return whole("separator", "Separator rows", where, *LIMITS["separator_rows"], required=True, example="8")


def dial_field(clicks_per_turn: Callable[[], int], **more: Any) -> Field:
    """The line for where the dial stands."""
    return Field(
        "dial",
        "Dial",
        "turns below zero",
        lambda text: read_position(text, clicks_per_turn()),
        lambda clicks: show_turns(clicks, clicks_per_turn()),
        example="6 3/4",
        more=MORE["dial"],
        **more,
    )


def fresh_fields(kind: str, clicks_per_turn: Callable[[], int]) -> list[Field]:
    """The lines of a search or a tube; ``clicks_per_turn`` of the machine chosen."""
    fields = [
        to_choose(name, name.capitalize(), f"the {name} it is cranked {way}", name[0], f"Choose a {name} first.")
        for name, way in zip(THINGS, ("on", "on", "of"), strict=True)
    ]
    fields.append(dial_field(clicks_per_turn, required=True))
    if kind == "ribber":
        fields.append(rib_line("rib", "Rib", "to try it with: 1x1, 2x1, 3x1"))
    if kind == "tube":
        limits = LIMITS["tube_rows"]
        hint = "{} to {}; more measure better".format(*limits)
        fields.append(whole("rows", "Tube rows", hint, *limits, required=True, example=str(TUBE_ROWS)))
        fields.append(separator_field("before and after"))
        fields.append(rib_line("rib", "Rib", "3x1; empty for plain"))
    return fields


# --- where the dial starts --------------------------------------------------------------------------------------------


NEAR_ZERO_TURNS = 2  # ours: a dial nearer to zero than that makes so small a stitch that it is asked about
NO_START = {
    "search": "Dial: begin surely too large, so that the stitches drop back. No start is noted for {}.",
    **dict.fromkeys(
        ("tube", "ribber"),
        "Dial: no stitch size is known here yet. Find it first (f on the bench), or type where the dial of {} is.",
    ),
}


@dataclass(frozen=True, slots=True)
class StartingDial:
    """Where the dial should stand, in clicks below zero, and where the number is from.

    ``expected`` is the stitch size expected of the yarn, in turns below zero, where ``searches`` of others tell it.
    """

    clicks: int
    source: str
    expected: Measured | None = None
    searches: int = 0


def starting_dial(
    book: Logbook, kind: SessionKind, machine: Machine, cylinder: Cylinder, yarn: Yarn
) -> StartingDial | None:
    """Where the dial starts: for a tube the stitch size found for this yarn here, for a search a full turn below it, or
    below the one that other yarns' searches here let expect. Else the machine's own start.

    None when nothing of that is known. Raises LogbookError.
    """
    if kind == "search":
        found = learnt_start(book, machine, cylinder, yarn)
    else:
        found = _found_for(yarn, _searches(book, machine, cylinder))
    if found is not None:
        return found
    usual = f"the starting dial of {machine.name}"
    if kind != "search":
        usual += f"; no finished search has found {yarn.name}'s stitch size on {cylinder.name} yet"
    return None if machine.starting_dial is None else StartingDial(machine.starting_dial, usual)


def _found_for(yarn: Yarn, searches: Iterable[tuple[SessionRecord, int]]) -> StartingDial | None:
    """What the newest finished search for this yarn found."""
    for record, baseline in searches:
        if record.yarn.id == yarn.id:
            day = clock_day(record.started_ms, record.zone_min)
            return StartingDial(baseline, f"the stitch size found for {yarn.name} here by the search of {day}")
    return None


def learnt_start(book: Logbook, machine: Machine, cylinder: Cylinder, yarn: Yarn) -> StartingDial | None:
    """Where a search begins by what earlier ones on this machine and cylinder found, None where there are none.

    Raises LogbookError.
    """
    searches = list(_searches(book, machine, cylinder))
    own = _found_for(yarn, searches)
    if own is not None:
        return StartingDial(own.clicks + machine.turn, f"a full turn below {own.source}")
    expected = expected_turns(_stitch_sizes(book, searches), yarn.tex)
    if expected is None:
        return None
    said = f"your {len(searches)} searches on this cylinder say" if len(searches) > 1 else "your one search here says"
    turns, sure = nominal(expected), error(expected)
    more = "" if yarn.m_per_100g else ", surer with the yarn's metres noted"
    return StartingDial(
        start_of_search(expected, machine.turn),
        f"a full turn below what {said}: {turns:.1f} ± {sure:.1f} turns{more}",
        expected,
        len(searches),
    )


def _stitch_sizes(book: Logbook, searches: Sequence[tuple[SessionRecord, int]]) -> list[StitchSize]:
    """What was found for each yarn, with its count as the shelf has it now."""
    turns: dict[str, list[float]] = {}
    yarns: dict[str, Yarn] = {}
    for record, baseline in searches:
        turns.setdefault(record.yarn.id, []).append(baseline / record.head.clicks_per_turn)
        yarns.setdefault(record.yarn.id, book.get(Yarn, record.yarn.id) or record.yarn)
    return [StitchSize(fmean(found), yarns[one].tex, len(found)) for one, found in turns.items()]


def _searches(book: Logbook, machine: Machine, cylinder: Cylinder) -> Iterator[tuple[SessionRecord, int]]:
    """Every finished search there with what it found, in clicks below zero, the newest first; none that is left out.

    Raises LogbookError.
    """
    sql = """SELECT s.id FROM catalogue c JOIN sessions s ON s.n = c.session
        WHERE c.machine_id = ? AND c.cylinder_id = ? AND c.kind = 'search' AND c.status = 'finished' AND c.left_out = ''
        ORDER BY c.began DESC, s.n DESC"""
    for (session_id,) in book.store.ask(sql, machine.id, cylinder.id):
        line = book.store.find(session_id)
        baseline = book.state(line).baseline
        if baseline is not None:
            yield book.record(line), baseline


def near_zero(record: SessionRecord) -> str:
    """What is asked before a search or a tube starts with the dial very near zero; empty when it does not."""
    clicks, turn = record.dial, record.machine.turn
    if clicks >= NEAR_ZERO_TURNS * turn:
        return ""
    where = f"{dial_place(clicks, turn)[0].upper()}{dial_place(clicks, turn)[1:]}"
    if record.kind == "search":
        return f"{where} makes a very small stitch, and a search begins with one surely too large. Start there?"
    return f"{where} makes a very small stitch, which may jam. Start there?"
