"""Makes the sample sessions: ``python -m tests.make_samples`` writes ``sample_sessions/*.json``, the same every time.

The logbook that practice begins with is made of them and written beside them.

The scenario is ours and invented: a lifeboat station's crew, known only by their jobs, knit socks for one
another through two winters. Every session runs through the real engine and the real logbook; only the clock
and the hands are made up.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hosewright.bench.app import PREPARED
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Cylinder, Machine, Wearer, Yarn
from hosewright.logbook.travel import shelf_file
from hosewright.logbook.travel.session_files import read_text, session_in
from hosewright.session.events import (
    Abandoned,
    Amended,
    Confirmed,
    Observed,
    Paused,
    ReadOff,
    Recounted,
    Rehung,
    Struck,
    Voided,
)
from hosewright.session.procedures import search_steps, tube_steps
from tests import sample_year
from tests.helpers import FakeClock
from tests.sample_bench import Hands, Station, plan_for, steps_for

FOLDER = Path(__file__).resolve().parents[1] / "sample_sessions"
SEED = 1824
SHELVED_MS = 1_764_979_200_000  # 6 December 2025, after the newest of them

MACHINE = Machine(
    id="boathouse-machine",
    name="Boathouse machine",
    thread_pitch_mm=1.25,
    clicks_per_turn=4,
    starting_dial=29,
    weights="both brass weights",
    zero_note="white dot on the knob level with the lock nut",
    heel_half="towards you",
    carrier_turns="anticlockwise",
    note="Lives on the bench by the drying room. Oil it before, not after.",
)
MIDDLE = Cylinder(id="cylinder-64", name="64 slots", slots=64, diameter_mm=108.0, note="Needle 31 has an old latch.")
NARROW = Cylinder(id="cylinder-60", name="60 slots", slots=60, diameter_mm=108.0)
FINE = Cylinder(id="cylinder-80", name="80 slots", slots=80, diameter_mm=112.0)
GREY = Yarn(
    id="slack-water-grey",
    name="Slack Water Grey",
    fibre="75 % wool, 25 % polyamide",
    count="420 m per 100 g",
    m_per_100g=420,
    ball_g=100,
    colour="grey",
)
ORANGE = Yarn(
    id="maroon-orange",
    name="Maroon Orange",
    fibre="80 % wool, 20 % polyamide",
    count="360 m per 100 g",
    m_per_100g=360,
    ball_g=150,
    colour="orange",
    note="Thicker than the grey. For feet that must be found in the dark.",
)
NAVY = Yarn(
    id="night-launch-navy",
    name="Night Launch Navy",
    fibre="100 % wool",
    count="400 m per 100 g",
    m_per_100g=400,
    ball_g=100,
    colour="navy",
)
COXSWAIN = Wearer(id="coxswain", name="Coxswain", foot_length_mm=271, girth_mm=246, heel_ankle_mm=338)
MECHANIC = Wearer(id="mechanic", name="Mechanic", foot_length_mm=283, girth_mm=256, shoe_size="UK 10")
LAUNCHER = Wearer(id="launcher", name="Launcher", foot_length_mm=246, girth_mm=222, heel_ankle_mm=304)
COOK = Wearer(
    id="cook",
    name="Cook",
    foot_length_mm=258,
    girth_mm=238,
    caution=True,
    note="Numb toes: no hard seam, nothing tight round the leg.",
)


def grey_search(station: Station) -> None:
    """The ordinary search: they drop, drop and, after an unsure look, drop again; then they stay up."""
    on = (MACHINE, MIDDLE, GREY)
    title = "Stitch size: Slack Water Grey on 64 slots"
    hands = station.begin("gryfnd", "search", title, "2024-10-05 19:10", on=on, dial=29, steps=search_steps())
    hands.finish_to("trial")
    hands.look(23, unsure_at=25)
    hands.finish_to("")
    station.file("01-stitch-size-grey.json", hands)


def grey_tube(station: Station) -> None:
    """The first gauge tube, washed, dried four days, measured three times over."""
    on = (MACHINE, MIDDLE, GREY)
    title = "Gauge tube: Slack Water Grey on 64 slots"
    hands = station.begin("grytub", "tube", title, "2024-10-06 14:20", on=on, dial=27, steps=tube_steps())
    hands.finish_to("tube")
    hands.crank(23)
    hands.pressed_twice()
    hands.do(Observed("dropped", 31, "caught it with the hook"), 20)
    hands.finish_to("before-wash")
    hands.measure("raw-length", 176.2, "6 15/16 in")
    hands.measure("raw-width", 103.2, "4 1/16 in")
    hands.finish_to("dry")
    hands.back_on("2024-10-10 18:40")
    hands.do(Confirmed(), 20)
    for length, typed in ((155.575, "6 1/8 in"), (154.9, "15.49 cm"), (156.1, "156.1 mm")):
        hands.measure("length", length, typed)
    for width, typed in ((109.5375, "4 5/16 in"), (109.1, "10.91 cm"), (219.075, "8 5/8 in")):
        hands.measure("width", width, typed)
    hands.do(Struck(hands.state.last_seq), 12)  # that was the way round, not the flat width
    hands.measure("stretched", 173.0, "17.3 cm")
    hands.measure("mass", 13.0, "13 g")
    hands.do(ReadOff("on-foot", 1, "right"), 60)
    hands.finish_to("")
    station.file("02-gauge-tube-grey.json", hands)


def coxswain_pair(station: Station) -> None:
    """A pair: the first sock with everything that can happen to one, and its twin to match."""
    on = (MACHINE, MIDDLE, GREY)
    plan = plan_for(station, COXSWAIN, on, leg_mm=160.0, hem_rows=14)
    station.book.keep(plan)
    more: dict[str, Any] = {"plan": plan, "wearer": COXSWAIN}
    title = "Coxswain, Slack Water Grey"
    first = station.begin(
        "coxone", "sock", f"{title}, first sock", "2024-10-12 19:00", on=on, dial=27, steps=steps_for(plan), **more
    )
    _first_sock(first)
    station.file("03-coxswain-first-sock.json", first)
    steps = steps_for(plan, first.state)
    more["twin_of"] = first.record.id
    twin = station.begin("coxtwo", "sock", f"{title}, twin", "2024-10-19 18:30", on=on, dial=27, steps=steps, **more)
    twin.finish_to("leg")
    twin.crank(44)
    twin.do(Observed("dropped", 31), 18)
    twin.do(Observed("note", note="new latch ordered for needle 31"), 40)
    twin.finish_to("heel")
    twin.crank(17)
    twin.called_away(6)
    twin.finish_to("foot")
    twin.crank(12)
    twin.pressed_twice()
    _to_the_foot(twin, "2024-10-24 20:05", mass=(35.0, "35 g"))
    station.file("04-coxswain-twin.json", twin)


def _first_sock(sock: Hands) -> None:
    sock.finish_to("leg")
    sock.crank(19)
    sock.do(Observed("dropped"), 4)
    sock.do(Amended(sock.state.last_seq, needle=31, note="old latch"), 25)
    sock.crank(14)
    sock.pressed_twice()
    sock.called_away(11)
    sock.crank(9)
    sock.do(Observed("fell-off", note="buckle caught the bench"), 10)
    sock.do(Rehung("leg", sock.state.count - 6, "hung again from the row that was whole"), 900)
    sock.finish_to("heel")
    sock.crank(26)
    sock.called_away(47)  # the pager; pass 27 of 44 came next
    sock.crank(9)
    sock.do(Observed("tuck", 20), 8)
    sock.finish_to("foot")
    sock.crank(40)
    sock.do(Recounted(38, "counted by the rows under the heel"), 150)
    sock.crank(11)
    sock.do(Observed("knot", None, "joined by the ball band"), 30)
    assert sock.state.target is not None
    sock.crank_to(sock.state.target + 1)  # one row more than planned: the twin has it too
    _to_the_foot(sock, "2024-10-16 21:15", mass=(35.0, "35 g"))


def _to_the_foot(sock: Hands, when: str, *, mass: tuple[float, str]) -> None:
    sock.finish_to("dry")
    sock.back_on(when)
    sock.do(Confirmed(), 20)
    sock.do(ReadOff("fit", 1, "right"), 90)
    sock.do(ReadOff("fit-length", 1, "right"), 10)
    sock.measure("mass", *mass)
    sock.finish_to("")


def orange_search(station: Station) -> None:
    """It stays up at the very first position: a full turn down, and up again from there."""
    on = (MACHINE, NARROW, ORANGE)
    title = "Stitch size: Maroon Orange on 60 slots"
    hands = station.begin("orgfnd", "search", title, "2025-01-11 10:15", on=on, dial=29, steps=search_steps())
    hands.finish_to("trial")
    hands.look(29)
    hands.finish_to("")
    station.file("05-stitch-size-orange.json", hands)


def orange_tube(station: Station) -> None:
    on = (MACHINE, NARROW, ORANGE)
    title = "Gauge tube: Maroon Orange on 60 slots"
    more = {"wearer": LAUNCHER}
    hands = station.begin("orgtub", "tube", title, "2025-01-11 15:00", on=on, dial=33, steps=tube_steps(), **more)
    hands.finish_to("before-wash")
    hands.finish_to("dry")
    hands.back_on("2025-01-15 19:30")
    hands.do(Confirmed(), 20)
    for length, typed in ((152.8, "15.28 cm"), (152.0, "152 mm")):
        hands.measure("length", length, typed)
    for width, typed in ((99.5, "9.95 cm"), (100.2, "10.02 cm")):
        hands.measure("width", width, typed)
    hands.measure("mass", 14.0, "14 g")
    hands.do(ReadOff("on-foot", 1, "right"), 60)
    hands.finish_to("")
    station.file("06-gauge-tube-orange.json", hands)


def mechanic_given_up(station: Station) -> None:
    """Given up in the leg: the same needle dropped once too often."""
    on = (MACHINE, MIDDLE, GREY)
    plan = plan_for(station, MECHANIC, on, leg_mm=160.0, hem_rows=14)
    station.book.keep(plan)
    more = {"plan": plan, "wearer": MECHANIC}
    title = "Mechanic, Slack Water Grey, first sock"
    sock = station.begin("mechan", "sock", title, "2025-02-08 20:00", on=on, dial=27, steps=steps_for(plan), **more)
    sock.finish_to("leg")
    for count in (8, 15, 21):
        sock.crank_to(count)
        sock.do(Observed("dropped", 31), 6)
        sock.do(Rehung("leg", count - 2, "laddered back"), 240)
    sock.do(Observed("stiff", 31, "latch will not swing"), 15)
    sock.do(Abandoned("needle 31 must be changed first"), 40)
    station.file("07-mechanic-given-up.json", sock)


def grey_tube_again(station: Station) -> None:
    """The same yarn a year later: does last winter's gauge hold?"""
    on = (MACHINE, MIDDLE, GREY)
    title = "Gauge tube: Slack Water Grey on 64 slots, a year on"
    hands = station.begin("gryagn", "tube", title, "2025-10-11 14:00", on=on, dial=27, steps=tube_steps(70))
    hands.finish_to("tube")
    hands.crank(37)
    hands.called_away(3)
    hands.finish_to("before-wash")
    hands.measure("raw-length", 203.0, "20.3 cm")
    hands.finish_to("dry")
    hands.back_on("2025-10-16 18:10")
    hands.do(Confirmed(), 20)
    for length, typed in ((179.6, "17.96 cm"), (180.3, "18.03 cm"), (179.8, "17.98 cm")):
        hands.measure("length", length, typed)
    for width, typed in ((107.9, "10.79 cm"), (108.3, "10.83 cm")):
        hands.measure("width", width, typed)
    hands.measure("mass", 15.0, "15 g")
    hands.finish_to("")
    station.file("08-gauge-tube-grey-a-year-on.json", hands)


def navy_search(station: Station) -> None:
    """Stays up at once; then a weight slips and the trials count no more."""
    on = (MACHINE, FINE, NAVY)
    title = "Stitch size: Night Launch Navy on 80 slots"
    hands = station.begin("nvyfnd", "search", title, "2025-11-22 16:45", on=on, dial=19, steps=search_steps())
    hands.finish_to("trial")
    hands.judge("stay")
    hands.judge("drop")
    hands.do(Observed("weight", note="one weight was off the buckle"), 10)
    hands.do(Voided(23, "weight hung back"), 60)
    hands.look(19)
    hands.finish_to("")
    station.file("09-stitch-size-navy.json", hands)


def navy_tube_drying(station: Station) -> None:
    """Washed and laid out; nobody has measured it yet."""
    on = (MACHINE, FINE, NAVY)
    title = "Gauge tube: Night Launch Navy on 80 slots"
    more = {"wearer": COOK}
    hands = station.begin("nvytub", "tube", title, "2025-12-03 19:20", on=on, dial=23, steps=tube_steps(), **more)
    hands.finish_to("tube")
    hands.crank(31)
    hands.pressed_twice()
    hands.finish_to("before-wash")
    hands.measure("raw-length", 139.0, "13.9 cm")
    hands.measure("raw-width", 101.0, "10.1 cm")
    hands.finish_to("dry")
    station.file("10-gauge-tube-navy-drying.json", hands)


def launcher_half_cranked(station: Station) -> None:
    """On the machine now: the pager went in the middle of the heel."""
    on = (MACHINE, NARROW, ORANGE)
    plan = plan_for(station, LAUNCHER, on, leg_mm=130.0, hem_rows=12)
    station.book.keep(plan)
    more = {"plan": plan, "wearer": LAUNCHER}
    title = "Launcher, Maroon Orange, first sock"
    sock = station.begin("launch", "sock", title, "2025-12-05 20:10", on=on, dial=33, steps=steps_for(plan), **more)
    sock.finish_to("leg")
    sock.crank(26)
    sock.do(Observed("split", 12), 7)
    sock.finish_to("heel")
    sock.crank(23)
    sock.do(Paused(), 4)
    station.file("11-launcher-half-cranked.json", sock)


def grey_tube_looser(station: Station) -> None:
    """The grey half a turn looser, with a new needle in slot 31: other needles drop now and then, that one no more."""
    on = (MACHINE, MIDDLE, GREY)
    title = "Gauge tube: Slack Water Grey on 64 slots, half a turn looser"
    hands = station.begin("gryloo", "tube", title, "2025-03-01 14:30", on=on, dial=29, steps=tube_steps())
    hands.finish_to("tube")
    hands.do(Observed("note", 31, "new needle in slot 31"), 15)
    for count, needle in ((11, 8), (26, 55), (39, 40)):
        hands.crank_to(count)
        hands.do(Observed("dropped", needle), 9)
    hands.finish_to("before-wash")
    hands.measure("raw-length", 187.0, "18.7 cm")
    hands.measure("raw-width", 105.0, "10.5 cm")
    hands.finish_to("dry")
    hands.back_on("2025-03-05 19:00")
    hands.do(Confirmed(), 20)
    for length, typed in ((168.9, "16.89 cm"), (168.2, "16.82 cm"), (168.7, "16.87 cm")):
        hands.measure("length", length, typed)
    for width, typed in ((114.7, "11.47 cm"), (115.2, "11.52 cm")):
        hands.measure("width", width, typed)
    hands.measure("mass", 13.5, "13.5 g")
    hands.do(ReadOff("on-foot", 0, "loose"), 60)
    hands.finish_to("")
    station.file("12-gauge-tube-grey-looser.json", hands)


def striped_on_the_second_machine(station: Station) -> None:
    sample_year.striped_tube(station)
    sample_year.helm_half_cranked(station)


def string_of_six(station: Station) -> None:
    sample_year.string_of_six(station, MACHINE, MIDDLE, GREY, COXSWAIN)


def shelf(station: Station) -> None:
    sample_year.shelf(station, MACHINE, (COXSWAIN, MECHANIC, LAUNCHER, COOK))


STORY = (
    grey_search,
    grey_tube,
    coxswain_pair,
    orange_search,
    orange_tube,
    mechanic_given_up,
    grey_tube_again,
    navy_search,
    navy_tube_drying,
    launcher_half_cranked,
    grey_tube_looser,  # last, though it came before, so that the hands of the others stay as they were
    striped_on_the_second_machine,
    string_of_six,
    shelf,
)


def made() -> dict[str, str]:
    """Every sample session, and the shelf that goes with them, by file name: the whole text of each."""
    with TemporaryDirectory() as folder:
        station = Station(Path(folder), SEED)
        for part in STORY:
            part(station)
        station.book.close()
    return station.files


def prepare(path: Path) -> None:
    """Make the logbook that practice begins with: every sample session and the shelf in the folder, as one file."""
    path.unlink(missing_ok=True)
    with closing(Logbook(path, FakeClock(SHELVED_MS, zone_min=0, step_ms=0))) as book:
        shelf_file.take_in(book, shelf_file.parse(read_text(FOLDER / shelf_file.NAME)))
        for file in sorted(FOLDER.glob("[0-9]*.json")):
            book.take_in(*session_in(read_text(file), file.name)[:2])
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode = DELETE")  # one file, without a log beside it
        db.execute("VACUUM")


if __name__ == "__main__":
    for name, text in made().items():
        (FOLDER / name).write_text(text, encoding="utf-8", newline="\n")
        print(name)
    prepare(FOLDER / PREPARED)
    print(PREPARED)
