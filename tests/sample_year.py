"""The samples of the year around the machine: a string of six, two machines in use, and the shelf with them."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from hosewright.craft.turning import Turning
from hosewright.logbook.records.sessions import StringSock
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.logbook.records.year import Care, Lot, Promise, Weighing
from hosewright.logbook.travel import shelf_file
from hosewright.session.events import Confirmed, Observed, ReadOff, Spoilt
from hosewright.session.procedures import SockParts, string_steps, tube_steps
from tests.sample_bench import Hands, Station, plan_for, sections_of, steps_for

if TYPE_CHECKING:
    from hosewright.logbook.records.shelf import Plan

CREW_ROOM = Machine(
    id="crew-room-machine",
    name="Crew-room machine",
    clicks_per_turn=8,
    starting_dial=60,
    weights="the long hook with four rings",
    mast_tension="second notch",
    heel_half="towards you",
    carrier_turns="anticlockwise",
    oil_every_rows=600,
    note="The figure for the oil is this machine's manual's, for a machine used in a damp room.",
)
SLENDER = Cylinder(id="cylinder-54", name="54 slots", slots=54, note="The crew room's own.")
STRIPE = Yarn(
    id="signal-stripe",
    name="Signal Stripe",
    fibre="75 % wool, 25 % polyamide",
    count="330 m per 100 g",
    m_per_100g=330,
    ball_g=100,
    colour="navy and orange stripes",
    striped=True,
    shades=("#000080", "#ffa500"),
    repeat_rows=14,
    wash="by hand, 30 °C, dried flat",
    care=("wash-by-hand", "do-not-bleach", "do-not-tumble-dry", "dry-flat"),
)
HELM = Wearer(id="helm", name="Helm", foot_length_mm=262, girth_mm=240)
DRIVER = Wearer(id="tractor-driver", name="Tractor driver", foot_length_mm=277, girth_mm=250, heel_ankle_mm=342)
SHORE = Wearer(id="shore-crew", name="Shore crew", foot_length_mm=249, girth_mm=226)
GREY_LOT = Lot(
    id="grey-lot-4502", name="4502", yarn="slack-water-grey", pieces=6, grams=600, bought="2025-11-01", note="On offer."
)
OLD_LOT = Lot(id="grey-lot-4471", name="4471", yarn="slack-water-grey", pieces=1, grams=100, bought="2024-09-20")
STRIPE_LOT = Lot(id="stripe-lot-88", name="88", yarn=STRIPE.id, pieces=2, grams=200, bought="2025-11-20")


def striped_tube(station: Station) -> None:
    """A gauge tube of the striped yarn on the second machine, washed by hand."""
    title = "Gauge tube: Signal Stripe on 54 slots"
    more = {
        "weights": CREW_ROOM.weights,
        "mast_tension": "second notch",
        "lot": STRIPE_LOT.id,
        "dye_lot": STRIPE_LOT.name,
    }
    on = (CREW_ROOM, SLENDER, STRIPE)
    hands = station.begin("strtub", "tube", title, "2025-11-22 10:30", on=on, dial=53, steps=tube_steps(), **more)
    hands.finish_to("before-wash")
    hands.measure("raw-length", 200.0, "20 cm")
    hands.measure("raw-width", 101.0, "10.1 cm")
    hands.finish_to("dry")
    hands.back_on("2025-11-25 18:20")
    hands.do(Confirmed(), 20)
    for length, typed in ((178.2, "17.82 cm"), (177.5, "17.75 cm"), (178.6, "17.86 cm")):
        hands.measure("length", length, typed)
    for width, typed in ((106.1, "10.61 cm"), (106.6, "10.66 cm")):
        hands.measure("width", width, typed)
    hands.measure("mass", 16.0, "16 g")
    hands.finish_to("")
    station.file("13-gauge-tube-stripe.json", hands)


def helm_half_cranked(station: Station) -> None:
    """On the second machine now: where its stripes begin is written down, for the twin."""
    on = (CREW_ROOM, SLENDER, STRIPE)
    plan = plan_for(station, HELM, on, leg_mm=145.0, hem_rows=14)
    station.book.keep(plan)
    sock = station.begin(
        "helmst",
        "sock",
        "Helm, Signal Stripe, first sock",
        "2025-12-04 19:15",
        on=on,
        dial=53,
        steps=steps_for(plan),
        plan=plan,
        wearer=HELM,
        weights=CREW_ROOM.weights,
        mast_tension="second notch",
        yarn_start="the first orange after a broad navy stripe",
        lot=STRIPE_LOT.id,
        dye_lot=STRIPE_LOT.name,
        promise="pair-helm",
    )
    sock.finish_to("foot")
    sock.crank(17)
    sock.do(Observed("colour", note="orange begins at the heel's last pass"), 20)
    sock.crank(8)
    station.file("14-helm-striped-half-cranked.json", sock)


def string_of_six(station: Station, machine: Machine, cylinder: Cylinder, yarn: Yarn, coxswain: Wearer) -> None:
    """Three promised pairs in one string; the fourth sock was spoilt in the heel and cranked again."""
    on = (machine, cylinder, yarn)
    pairs = [
        (plan_for(station, wearer, on, leg_mm=leg, hem_rows=14), wearer, promise)
        for wearer, leg, promise in (
            (coxswain, 160.0, "pair-coxswain"),
            (DRIVER, 170.0, "pair-driver"),
            (SHORE, 135.0, "pair-shore"),
        )
    ]
    for plan, _, _ in pairs:
        station.book.keep(plan)
    string = station.begin(
        "strsix",
        "string",
        "String of 6 socks: Slack Water Grey on 64 slots",
        "2025-11-15 13:00",
        on=on,
        dial=27,
        steps=string_steps([_parts(plan) for plan, _, _ in pairs for _ in range(2)]),
        socks=tuple(
            StringSock(plan=plan, wearer=wearer, promise=promise, twin=twin)
            for plan, wearer, promise in pairs
            for twin in (False, True)
        ),
        weights=machine.weights,
        lot=GREY_LOT.id,
        dye_lot=GREY_LOT.name,
    )
    string.finish_to("s4-heel")
    string.crank(19)
    string.do(Observed("dropped", 20), 6)
    string.do(Spoilt("needle 20 tore a hole in the heel; a new needle is in"), 90)
    string.finish_to("s6-leg")
    string.crank(12)
    string.called_away(38)
    string.finish_to("dry")
    string.back_on("2025-11-21 20:40")
    string.do(Confirmed(), 20)
    _try_on(string, ((35.0, 1), (35.5, 1), (36.5, 1), (36.0, 2), (31.0, 1), (31.0, 1)))
    station.file("15-string-of-six.json", string)


def _parts(plan: Plan) -> SockParts:
    half = plan.slots // 2
    heel, toe = Turning(half, plan.heel_left_in_work), Turning(half, plan.toe_left_in_work)
    return SockParts(tuple(sections_of(plan)), heel, toe)


def _try_on(string: Hands, told: tuple[tuple[float, int], ...]) -> None:
    """Mass of each sock in g, and how long it is (0 too short, 1 right, 2 too long)."""
    for number, (grams, length) in enumerate(told, 1):
        string.do(ReadOff(f"s{number}-fit", 1, "right"), 40)
        string.do(ReadOff(f"s{number}-fit-length", length, ("too short", "right", "too long")[length]), 10)
        string.measure(f"s{number}-mass", grams, f"{grams:g} g")
        string.do(Confirmed(), 15)


def _at(when: str) -> int:
    return int(datetime.fromisoformat(when).replace(tzinfo=UTC).timestamp() * 1000)


def shelf(station: Station, machine: Machine, wearers: tuple[Wearer, ...]) -> None:
    """What stands beside the sessions: lots and what was weighed, pairs promised, and what was done to the machines."""
    station.book.keep(
        *wearers,
        HELM,
        DRIVER,
        SHORE,
        OLD_LOT,
        GREY_LOT,
        STRIPE_LOT,
        Weighing(id="grey-4471-left", lot=OLD_LOT.id, at_ms=_at("2025-03-02 10:00"), grams=11.0),
        Weighing(
            id="grey-4502-cook",
            lot=GREY_LOT.id,
            at_ms=_at("2025-11-10 18:00"),
            what="gone",
            grams=50.0,
            why="darning, for the cook",
        ),
        Weighing(id="grey-4502-left", lot=GREY_LOT.id, at_ms=_at("2025-11-22 09:00"), grams=323.0),
        _promise("coxswain", "Coxswain's second pair", by="2025-11-30", handed_over="2025-11-28"),
        _promise("driver", "Tractor driver's pair", by="2025-12-12", wearer="tractor-driver", price=2800, paid=1000),
        _promise("shore", "Shore crew's pair", by="2025-12-12", wearer="shore-crew", price=2800),
        _promise(
            "helm", "Helm's striped pair", by="2025-12-20", wearer="helm", yarn=STRIPE.id, lot=STRIPE_LOT.id, price=3200
        ),
        Care(id="boathouse-oil", machine=machine.id, at_ms=_at("2025-10-04 09:30"), what="oiled"),
        Care(
            id="boathouse-needle-31",
            machine=machine.id,
            at_ms=_at("2025-02-20 17:00"),
            what="needle",
            needles=(31,),
            cylinder="cylinder-64",
            fault="dropped",
            why="its latch would not swing",
        ),
        Care(
            id="boathouse-needle-20",
            machine=machine.id,
            at_ms=_at("2025-11-15 15:10"),
            what="needle",
            needles=(20,),
            cylinder="cylinder-64",
            fault="dropped",
            why="tore a heel",
        ),
        Care(id="crew-room-oil", machine=CREW_ROOM.id, at_ms=_at("2025-11-22 09:45"), what="oiled"),
        Care(
            id="crew-room-part", machine=CREW_ROOM.id, at_ms=_at("2025-11-23 11:00"), what="part", why="new heel spring"
        ),
    )
    station.files[shelf_file.NAME] = shelf_file.write(station.book)


def _promise(
    who: str,
    name: str,
    *,
    by: str,
    wearer: str = "coxswain",
    yarn: str = "slack-water-grey",
    lot: str = GREY_LOT.id,
    price: int | None = None,
    paid: int = 0,
    handed_over: str | None = None,
) -> Promise:
    return Promise(
        id=f"pair-{who}",
        name=name,
        yarn=yarn,
        wearer=wearer,
        lot=lot,
        plan=f"plan-{wearer}-{yarn}",
        made="2025-11-05",
        by=by,
        price=price,
        paid=paid,
        handed_over=handed_over,
    )
