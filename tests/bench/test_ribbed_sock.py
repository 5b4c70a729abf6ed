"""A crew sock on 64 slots with a ribbed leg and instep and a mini-gusset: planned, and cranked by keys to the end."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from textual import events

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.plan.screen import PlanScreen
from hosewright.bench.widgets.panel import Panel
from hosewright.cli import main
from hosewright.counting.measuring import gauge_words, result_words
from hosewright.logbook.book import Logbook
from hosewright.logbook.records import planned
from hosewright.paper.crank_sheet import crank_sheet
from hosewright.picture.of_sock import measures, of_plan
from hosewright.places import logbook_path
from hosewright.planning import starting
from hosewright.planning.gauges import PlanShelf
from hosewright.planning.sock import shape_of, to_plan, work_out
from hosewright.planning.typed import Typed
from hosewright.session import events as ev
from hosewright.session.fold import fold
from hosewright.session.results import cranked, pieces_of
from hosewright.session.steps import CountPasses, CountRows, Measure
from hosewright.settings.table import Settings
from tests.bench.stage import CYLINDER, MACHINE, YARN, Host, do, measure_tube, new_book, stock

if TYPE_CHECKING:
    from pathlib import Path

    from textual.pilot import Pilot

    from hosewright.craft.sock import SockPlan
    from hosewright.logbook.live import Live
    from hosewright.logbook.records.shelf import Plan

TYPED = Typed(
    name="Ribbed crew",
    foot="25 cm",
    leg="crew men",
    cuff="ribber selvedge",
    pattern="1x1",
    rows="16",
    leg_rib="3x1",
    instep_rib="3x1",
    heel="mini-gusset",
    gusset="6",
)


def made(book: Logbook) -> Plan:
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    knit = shelf.knit(next(iter(shelf.gauges)))
    assert knit is not None
    working = work_out(TYPED, knit, None, "cm")
    assert working.made is not None, working
    plan = to_plan("ribbed-crew", TYPED, knit, None, working)
    book.keep(plan)
    return plan


async def keys(pilot: Pilot[int], *names: str) -> None:
    """Keys posted at once: the pilot's own press takes far longer than a key does."""
    for name in names:
        pilot.app.post_message(events.Key(name, " " if name == "space" else None))
    await pilot.pause()


def on_ribber(app: Bench) -> int:
    """Needles on the strip that are the ribber's."""
    return app.screen.query_one("#cylinder", Panel).plain.count("○")


def on_moved(app: Bench) -> str:
    """The strip of a step that is done by hand; empty where none is shown."""
    panel = app.screen.query_one("#moved", Panel)
    return panel.plain.splitlines()[1].strip("│ ") if panel.display else ""


async def test_a_ribbed_crew_sock_from_plan_to_graft(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    stock(book)
    measure_tube(book)
    plan = made(book)
    heel, toe = planned.turnings(plan)
    assert (heel.needles, toe.needles) == (32 + 2 * 6, 32)
    rib = planned.rib(plan)
    assert rib is not None
    # Of every fourth needle of 64 those past the 44 that turn the heel stay in rib along the foot.
    assert (len(rib.leg), rib.instep) == (16, (48, 52, 56, 60, 64))
    live = book.start(starting.first_sock(book, plan, 8))
    assert [step.id for step in live.state.head.steps if "rib" in step.id] == [
        *("ribber-rest", "ribber-rib", "rib-change", "rib-heel", "rib-instep", "rib-off")
    ]
    app = Bench(book, Settings(press_gap_ms=0))
    on_strip: dict[str, int] = {}
    by_hand: dict[str, str] = {}
    async with app.run_test(size=(120, 40)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        state = screen.live.state
        while state.step is not None:
            step = state.step
            if isinstance(step, CountRows | CountPasses):
                on_strip[step.id] = on_ribber(app)
                await keys(pilot, *["space"] * step.target)
                assert state.count == step.target
            if isinstance(step, Measure):
                await keys(pilot, "ctrl+s")
                await keys(pilot, "y")  # nothing was measured: yes, go on
            else:
                by_hand[step.id] = on_moved(app)
                await keys(pilot, "enter")
            assert state.step is not step
    stored = fold(live.record.head, book.store.entries(live.n))
    assert (stored.status, stored.ignored) == ("finished", 0)
    counts = {part.name: part.count for part in plan.parts}
    done = cranked(stored)
    assert done["cuff-both"] + done["cuff-cylinder"] + done["cuff"] == counts["cuff"] == 16
    assert done["foot"] + done["foot-plain"] == counts["foot"]
    assert (done["leg"], done["heel"], done["toe"]) == (counts["leg"], counts["heel"], counts["toe"])
    # 1x1 on both beds; at rest; the cuff's rib; the leg's; no ribber in heel and toe; the instep's; none.
    knit = ("cuff-both", "cuff-cylinder", "cuff", "leg", "heel", "foot", "foot-plain", "toe")
    assert [on_strip[name] for name in knit] == [32, 0, 32, 16, 0, 5, 0, 0]
    # What the hands move is on the strip, with what its signs mean; where nothing moves there is no strip.
    gusset, own, instep = "▲" * 6, "┃" * 32, "▲▲▲◌" * 5
    assert by_hand["heel-needles"] == f"{gusset}{own}{gusset}{instep}"
    assert by_hand["heel-lower"] == by_hand["heel-needles"].replace("▲", "▼")
    assert by_hand["rib-heel"] == "┃┃┃▼" * 11 + "┃┃┃◌" * 5
    assert by_hand["rib-instep"] == "┃" * 44 + "┃┃┃○" * 5
    assert by_hand["rib-off"] == by_hand["rib-instep"].replace("○", "▼")
    assert {name for name in ("join", "heel-pull", "part", "graft", "wash") if by_hand[name]} == set()
    (piece,) = pieces_of(stored)
    assert piece.stitches == sum(part.stitches for part in plan.parts)
    assert "ribber set to 3x1: every 4th, 4 to 64" in crank_sheet(plan)
    assert "take the ribber out" not in crank_sheet(plan)
    assert of_plan(plan).counts[-1] == counts["toe"]
    book.close()


async def test_the_command_line_and_the_bench_plan_the_same_sock(capsys: pytest.CaptureFixture[str]) -> None:
    book = Logbook(logbook_path())
    stock(book)
    measure_tube(book)
    app = Host(book)
    planned_as: dict[str, SockPlan] = {}
    async with app.run_test(size=(120, 40)) as pilot:
        app.show(PlanScreen())
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, PlanScreen)
        typed = {"foot": "25 cm", "leg": "14 cm", "leg_rib": "3x1", "instep_rib": "3x1", "rows": "16"}
        for heel in ("short-row", "mini-gusset", "afterthought"):
            screen.rows["heel"].entry.value = heel
            for name, text in typed.items():
                screen.rows[name].entry.value = text
            await pilot.pause()
            assert screen.working.sock is not None, screen.working
            planned_as[heel] = screen.working.sock
    book.close()
    for heel, sock in planned_as.items():
        argv = ["sock", "--gauge", "moss", "--foot-length", "25 cm", "--leg", "14 cm", "--heel", heel]
        argv += ["--leg-rib", "3x1", "--instep-rib", "3x1", "--cuff", "hem", "--cuff-rows", "16", "--json"]
        assert main(argv) == 0
        told = json.loads(capsys.readouterr().out)
        assert [(part["name"], part["count"], part["stitches"]) for part in told["sections"]] == [
            (part.name, part.count, part.stitches) for part in sock.sections
        ]
        assert sock.rib is not None
        assert (told["leg_rib"], told["instep_rib"]) == (list(sock.rib.leg), list(sock.rib.instep))
        assert told["foot_rows_error"] == pytest.approx(sock.foot_rows_error)


def measured_tube(book: Logbook, rib: str = "3x1") -> Live:
    """A finished tube in rib: 60 rows over 15 cm, 8.1 cm wide when flat, 14.8 cm pulled wide."""
    record = starting.fresh(book, "tube", MACHINE, CYLINDER, YARN, dial=27, rows=60, separator_rows=8, rib=rib)
    live = book.start(record)
    state = live.state
    while not (isinstance(state.step, Measure) and state.step.id == "after-wash"):
        if isinstance(state.step, CountRows):
            do(live, [ev.Pressed()] * state.step.target)
        do(live, [ev.Confirmed()])
    do(live, [ev.ReadOff("length", 150.0), ev.ReadOff("width", 81.0), ev.ReadOff("stretched", 148.0)])
    return live


def test_a_ribbed_tube_says_how_far_round_it_is_relaxed_and_pulled_wide_and_where_it_serves(tmp_path: Path) -> None:
    """By hand: twice 81 mm and twice 148 mm round; 60 rows over 150 mm are 4 to the cm."""
    book = new_book(tmp_path)
    stock(book)
    measure_tube(book)
    live = measured_tube(book)
    assert "Round: 16.2 cm, pulled wide 29.6 cm;" in gauge_words(live, Settings(length_unit="cm"))
    do(live, [ev.Confirmed()])
    assert result_words(live).splitlines()[2:] == [
        "6 3/8 in round, pulled wide 11.65 in; 16.2 cm round, pulled wide 29.6 cm.",
        "Type 3x1 as the leg's rib in a plan by a plain tube of this yarn.",
    ]
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    knit = shelf.knit(next(iter(shelf.gauges)))
    worked = work_out(TYPED, knit, None, "cm")
    assert any("By its own tube the ribbed leg lies 16.2 cm round and stretches to 29.6 cm" in n for n in worked.notes)
    # Worn half way from 16.2 to 29.6, 22.9. The gusset's heel is on 44 of 64 needles, so 20 are in rib along the foot:
    # 20.4 x 44/64 + 22.9 x 20/64 = 21.18. On half of the needles it would be half and half: 21.65.
    at = next(n for n, (label, _) in enumerate(worked.rest) if label == "Round")
    assert worked.rest[at][1].startswith("21.18 ")
    assert worked.rest[at + 1] == ("", "as worn, 20 needles of 64 in rib")
    on_half = work_out(replace(TYPED, heel="short-row", gusset=""), knit, None, "cm")
    assert dict(on_half.rest)["Round"].startswith("21.65 ")
    assert ("", "as worn, half of it rib") in on_half.rest
    assert knit is not None
    assert worked.made is not None
    assert measures(shape_of(worked.made, knit.fabric), "cm")[1] == "round 20.4 cm, the rib 16.2 cm"


def test_without_a_ribbed_tube_a_plan_gives_a_range_with_its_source(tmp_path: Path) -> None:
    book = new_book(tmp_path)
    stock(book)
    measure_tube(book)
    shelf = PlanShelf(book, 1.0)
    shelf.read_gauges()
    worked = work_out(TYPED, shelf.knit(next(iter(shelf.gauges))), None, "cm")
    (rows,) = (note for note in worked.notes if "this leg is somewhere from" in note)
    assert "from memory" in rows
    (wide,) = (note for note in worked.notes if "How wide it lies is not known" in note)
    assert "Spencer, Knitting Technology, 7.3" in wide
    # 20.4 plain; 20 of its 64 needles half as wide at the least: 17.2.
    assert dict(worked.rest)["Round"] == "17.2 cm to 20.4 cm"
