"""``hosewright start``: a search, a tube, a sock, its twin or a string begins, by options or asked a line at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hosewright.craft.colours import read_colour, show_colour
from hosewright.craft.dial import CLICKS_PER_TURN, show_position
from hosewright.craft.units import quoted
from hosewright.logbook.accounts.enough import before_first_row, without_a_lot
from hosewright.logbook.accounts.pairs import open_for, to_begin
from hosewright.logbook.glance import on_machine
from hosewright.logbook.records.planned import needs_ribber
from hosewright.logbook.records.shelf import Machine, Noted, Plan, Wearer, Yarn
from hosewright.phrases.days import local_day
from hosewright.phrases.field import FieldError
from hosewright.phrases.lists import nearest
from hosewright.planning import starting, strings
from hosewright.planning.starting import NO_START, near_zero, starting_dial
from hosewright.session.steps.said import FEET_AT_RISK
from hosewright.verbs.asking import Form, add_options, pick, say, sure, typed
from hosewright.verbs.book import open_book, the_one, the_session
from hosewright.verbs.parsing import Parser, UsageError, put, put_overview, usual
from hosewright.words.care import ribber_words
from hosewright.words.shelf import item_words

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterable, Mapping, Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.logbook.records.year import Promise
    from hosewright.phrases.field import Field
    from hosewright.settings.table import Settings

KINDS = {
    "search": "find the stitch size for a yarn by dial trials",
    "tube": "crank a gauge tube",
    "ribber": "set the ribber up, step by step, and prove it in ten rows",
    "sock": "crank the first sock of a plan",
    "twin": "crank the twin of a sock, with the rows it really came out with",
    "string": "crank several planned socks in one string",
}
FRESH = ("search", "tube", "ribber")  # of no plan
EXAMPLES = {
    "search": '--machine attic --cylinder sixty --yarn Moss --dial "6 turns"',
    "tube": '--machine attic --cylinder sixty --yarn Moss --dial "6 3/4 turns"',
    "ribber": '--machine attic --cylinder sixty --yarn Moss --rib 3x1 --dial "6 3/4 turns"',
    "sock": '--plan "Baker, Moss"',
    "twin": '--plan "Baker, Moss"',
    "string": '--plan "Baker, Moss" "Smith, Moss"',
}


def run(argv: list[str]) -> int:
    kind = argv[0] if argv else ""
    if kind in ("", "-h", "--help"):
        return put_overview(
            "hosewright start KIND; `hosewright start tube --help` shows the options of a kind.",
            KINDS,
            f"Example:\n  hosewright start tube {EXAMPLES['tube']}",
        )
    if kind not in KINDS:
        raise UsageError(f"{quoted(kind)} cannot be started.{nearest(kind, KINDS)} Type one of {', '.join(KINDS)}.")
    return _begin(kind, argv[1:])


def _fields(kind: str, clicks_per_turn: int) -> list[Field]:
    """The lines of a start, but for what is chosen from the shelf."""
    if kind in FRESH:
        own = [field for field in starting.fresh_fields(kind, lambda: clicks_per_turn) if field.choices is None]
    else:
        where = "between the socks" if kind == "string" else "before and after"
        own = [starting.dial_field(lambda: clicks_per_turn), starting.separator_field(where)]
    return [starting.CLICKS, *own, *starting.SET_UP]


def _options(kind: str, parser: Parser) -> None:
    if kind in FRESH:
        for name in starting.THINGS:
            parser.takes(f"--{name}", "NAME", f"the {name}, by its name, part of it, or its id")
    elif kind == "string":
        parser.takes("--plan", "PLAN", "the plans in their order, a pair of each", nargs="+")
    else:
        parser.takes("--plan", "PLAN", "the plan, by its name, part of it, or its id")
        parser.takes("--promise", "NAME", "the promised pair it is for")
    if kind not in FRESH:
        parser.takes("--thread-lot", "NAME", "the lot of the reinforcing yarn in heel and toe")
        parser.add_argument(
            "--colour-lot", metavar=("COLOUR", "LOT"), nargs=2, action="append", help="the lot a stripe comes off"
        )
    if kind == "twin":
        parser.takes("--of", "ID", "the session of the first sock (the newest of the plan)")
    parser.takes("--lot", "NAME", "the dye lot it takes its yarn from")
    add_options(parser, _fields(kind, CLICKS_PER_TURN))
    parser.flag("--anyway", "start it without asking, whatever the machine has on it")
    parser.flag("--ask", "ask for every line that was not given")
    parser.flag("--briefly", "do not say how to crank it")


def _begin(kind: str, argv: list[str]) -> int:
    parser = Parser(f"start {kind}", KINDS[kind], EXAMPLES[kind])
    _options(kind, parser)
    args = parser.parse_args(argv)
    with open_book("start") as book:
        start = _Start(book, usual(), args, kind)
        record = start.fresh() if kind in FRESH else start.planned()
        start.make_sure(record)
        if start.counted_clicks:
            book.keep(record.machine)
        book.start(record)
    facts = {"id": record.id, "kind": record.kind, "title": record.title, "notes": start.notes}
    if args.json:
        return put(facts, [], as_json=True)
    say(f"Started: {record.title}.")
    if not args.briefly:
        say(f"To crank it: hosewright crank {record.id} --plain")
    return 0


class _Start:
    """One start on its way: what was chosen, what is to be said of it."""

    def __init__(self, book: Logbook, settings: Settings, args: Namespace, kind: str) -> None:
        self.book, self.settings, self.args, self.kind = book, settings, args, kind
        self.notes: list[str] = []
        self.counted_clicks = False

    # --- a search, a tube ----------------------------------------------------------------------------------

    def fresh(self) -> SessionRecord:
        known = starting.known(self.book)
        machine = self._thing("machine", known.machines)
        last = known.last_on.get(machine.id)
        cylinder = self._thing("cylinder", sorted(known.cylinders, key=lambda one: one.id != last))
        yarn = self._thing("yarn", known.yarns)
        dial = starting_dial(self.book, self.kind, machine, cylinder, yarn)  # type: ignore[arg-type]
        if dial is not None:
            self._note(f"Dial: {show_position(dial.clicks, machine.turn)} is {dial.source}.")
        else:
            self._note(NO_START[self.kind].format(machine.name))
        first = {
            "dial": None if dial is None else dial.clicks,
            "rows": self.settings.tube_rows,
            "separator": self.settings.separator_rows,
        }
        values, set_up = self._set_up(machine, yarn, first, None, None)
        if values.get("rib") and self.kind == "tube" and "latched" not in values["rib"]:
            self._note(ribber_words(self.book.store, machine.id, at_start=True))
        if set_up["lot"] is None:
            self._note(*without_a_lot(self.book, yarn.id, self.settings.mass_unit))
        return starting.fresh(
            self.book,
            self.kind,  # type: ignore[arg-type]
            machine,
            cylinder,
            yarn,
            dial=values["dial"],
            rows=values.get("rows", self.settings.tube_rows),
            separator_rows=values.get("separator", self.settings.separator_rows),
            rib=values.get("rib", ""),
            set_up=set_up,
        )

    def _thing(self, name: str, things: Sequence[Any]) -> Any:
        said = getattr(self.args, name)
        if said is not None:
            return the_one(things, said, name, names=self.book.store.names_now())
        if self.args.json:
            raise UsageError(f"Still missing: --{name}. `hosewright start {self.kind} --help` shows how.")
        unit = self.settings.length_unit
        if not things:
            raise UsageError(f"There is no {name} on the shelf yet: `hosewright shelf add {name}` adds one.")
        return pick(name.capitalize(), things, lambda one: item_words(one, unit))

    # --- planned socks -------------------------------------------------------------------------------------

    def planned(self) -> SessionRecord:
        plans = self._plans()
        like = plans[0]
        machine, _, yarn = starting.in_use(self.book, like)
        first = self._first(like) if self.kind == "twin" else None
        promise = self._promise(like) if self.kind != "string" else None
        self._note_feet(plans)
        if any(map(needs_ribber, plans)):
            self._note(ribber_words(self.book.store, machine.id, at_start=True))
        noted = self.book.get(Noted, like.gauge_session or "")
        offered: dict[str, Any] = {"separator": self.settings.separator_rows}
        values, set_up = self._set_up(
            machine,
            yarn,
            offered,
            first.record if first else None,
            promise,
            dial_known=like.dial is not None or first is not None,
            dial_typed=noted.dial if noted else "",
        )
        set_up |= self._thread(plans, first)
        colours = self._colours(plans, first)
        set_up |= starting.colours_of(self.book, colours)
        if self.kind == "string":
            return self._string(plans, values, set_up, colours)
        told = {**set_up, "promise": promise.id if promise else None}
        self._note_yarn([like] * (1 if first else 2), set_up["lot"], [promise.id] if promise else [], colours)
        if first is not None:
            self._note(starting.begins_alike(first, yarn))
            return starting.twin(self.book, first, values["separator"], told)
        return starting.first_sock(self.book, like, values["separator"], told, values["dial"])

    def _string(
        self, plans: Sequence[Plan], values: dict[str, Any], set_up: dict[str, Any], colours: Mapping[str, str | None]
    ) -> SessionRecord:
        chosen: list[strings.Chosen] = []
        for plan in plans:
            offers = strings.offers([plan], to_begin(self.book, plan.id), chosen, local_day(self.book.clock))
            offer = offers[0]
            if offer.why_not:
                raise UsageError(f"{plan.name} cannot go on this string: {offer.why_not}.")
            chosen = strings.paired([*chosen, *strings.socks_of(offer)])
        promises = {sock.promise.id for sock in chosen if sock.promise}
        self._note_yarn([sock.plan for sock in chosen], set_up["lot"], promises, colours)
        return strings.string_record(self.book, chosen, values["separator"], set_up, values["dial"])

    def _plans(self) -> list[Plan]:
        plans = list(reversed(self.book.shelf(Plan)))
        if not plans:
            raise UsageError("There is no plan yet: `hosewright plan` makes one.")
        said = self.args.plan
        if said is None and self.args.json:
            raise UsageError(f"Still missing: --plan. `hosewright start {self.kind} --help` shows how.")
        if said is None:
            return [pick("Plan", plans, lambda one: item_words(one, self.settings.length_unit))]
        return [the_one(plans, name, "plan") for name in ([said] if isinstance(said, str) else said)]

    def _first(self, plan: Plan) -> starting.First:
        firsts = starting.firsts(self.book, plan)
        if self.args.of is not None:
            line = the_session(self.book, self.args.of)
            firsts = tuple(first for first in firsts if first.line.id == line.id)
        if not firsts:
            raise UsageError(f"No sock of {plan.name} has been cranked yet: `hosewright start sock` starts the first.")
        if len(firsts) == 1 or self.args.json or self.args.plan is not None:
            return firsts[0]
        return pick("Twin", firsts, lambda first: first.words)

    def _thread(self, plans: Sequence[Plan], first: starting.First | None) -> dict[str, Any]:
        """The reinforcing yarn, off the lot named, or off the first sock's. Raises UsageError."""
        lot_id = first.record.thread_lot if first else None
        if self.args.thread_lot is not None:
            lots = [lot for _, lot, _ in starting.thread_lots(self.book, *plans).values()]
            if not lots:
                raise UsageError("This plan has no reinforcing yarn, or no lot of another yarn is in the stock.")
            lot_id = the_one(lots, self.args.thread_lot, "lot", "of another yarn").id
        return starting.thread_of(self.book, lot_id, *plans)

    def _colours(self, plans: Sequence[Plan], first: starting.First | None) -> dict[str, str | None]:
        """The lot of each stripe: as named, else as of the first sock, or as its colour tells. Raises UsageError."""
        asked = {read_colour(colour): lot for colour, lot in self.args.colour_lot or ()}
        lots = starting.colour_lots(self.book)
        found = {}
        for colour in starting.stripe_colours(*plans):
            found[colour] = starting.usual_colour_lot(colour, lots, first.record if first else None)
            if colour in asked:
                every = [lot for _, lot, _ in lots.values()]
                found[colour] = the_one(every, asked.pop(colour), "lot", "in the stock").id
        if asked:
            raise UsageError(f"No stripe of this plan is {show_colour(next(iter(asked)))}.")
        return found

    def _promise(self, plan: Plan) -> Promise | None:
        promised = open_for(self.book, plan.id)
        if self.args.promise is not None:
            return the_one(promised, self.args.promise, "promised pair", "of this plan")
        return promised[0] if len(promised) == 1 else None

    def _note_feet(self, plans: Iterable[Plan]) -> None:
        wearers = [self.book.get(Wearer, plan.wearer) if plan.wearer else None for plan in plans]
        if any(wearer is None or wearer.caution for wearer in wearers):
            self._note(FEET_AT_RISK)

    def _note_yarn(
        self, plans: Sequence[Plan], lot: str | None, promises: Iterable[str], colours: Mapping[str, str | None]
    ) -> None:
        unit = self.settings.mass_unit
        self._note(*before_first_row(self.book, plans, lot, promises=promises, unit=unit, colours=colours))

    # --- what every start takes ----------------------------------------------------------------------------

    def _set_up(
        self,
        machine: Machine,
        yarn: Yarn,
        first: dict[str, Any],
        like: SessionRecord | None,
        promise: Promise | None,
        *,
        dial_known: bool = False,
        dial_typed: str = "",
    ) -> tuple[dict[str, Any], dict[str, Any]]:
        """The values of the lines, and what of them goes into the record. Raises FieldError."""
        usually = starting.usual_set_up(self.book, machine, yarn, like, promise)
        given = typed(self.args, _fields(self.kind, machine.turn))
        not_counted = machine.clicks_per_turn is None
        clicks = machine.turn
        if not_counted and "clicks_per_turn" in given:
            clicks = starting.CLICKS.read(given["clicks_per_turn"])
        left_out = {
            "clicks_per_turn": not not_counted,
            "dial": dial_known,
            "yarn_start": not yarn.striped,
        }
        fields = [field for field in _fields(self.kind, clicks) if not left_out.get(field.name)]
        if dial_typed and "dial" not in given and not dial_known:
            given["dial"] = dial_typed
        form = Form(f"To start the {self.kind}", fields, {**usually.said, **first}, given)
        needed = form.lacks or (not_counted and "clicks_per_turn" not in given)
        values: dict[str, Any] = {"dial": None, "yarn_start": "", "clicks_per_turn": None}
        values |= form.filled_in(ask=self.args.ask or (needed and not self.args.json))
        set_up = {name: values[name] for name in ("weights", "mast_tension", "yarn_start", "cast_on")}
        if not_counted:
            if values["clicks_per_turn"] is None:
                raise FieldError("clicks_per_turn", starting.NOT_COUNTED.format(machine.name))
            set_up["clicks_per_turn"] = values["clicks_per_turn"]
            self.counted_clicks = True
        lot = next((one for one in usually.lots if one.id == usually.lot), None)
        if self.args.lot is not None:
            lot = the_one(usually.lots, self.args.lot, "lot", "of this yarn")
        return values, {**set_up, "lot": lot.id if lot else None, "dye_lot": lot.name if lot else ""}

    def make_sure(self, record: SessionRecord) -> None:
        """Ask what the bench asks before it starts. Raises UsageError when it is not to be started."""
        if self.args.anyway:
            return
        near = near_zero(record) if self.kind in FRESH else ""
        for question in (near, on_machine(self.book.store, record.machine.id)):
            if question and (self.args.json or not sure(question)):
                raise UsageError(f"{question.rsplit('. ', 1)[0]}. Nothing was started; --anyway starts it.")

    def _note(self, *sentences: str) -> None:
        """Say it before anything is asked, but for what is empty; JSON has it with the answer."""
        told = [sentence for sentence in sentences if sentence]
        self.notes += told
        say(*(() if self.args.json else told))
