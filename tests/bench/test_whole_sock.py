"""A whole sock of 60 slots by keys, every row and every pass, from the plan to the graft, with mistakes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events

from hosewright.bench.app import Bench
from hosewright.bench.count.screen import SessionScreen
from hosewright.bench.widgets.panel import Panel
from hosewright.craft.sock import plan_sock
from hosewright.session.fold import fold
from hosewright.session.results import cranked
from hosewright.session.steps import CountPasses, CountRows, Measure
from hosewright.settings.table import Settings
from tests.helpers import record, sock_steps

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from hosewright.logbook.book import Logbook


async def keys(pilot: Pilot[int], *names: str) -> None:
    """Keys posted at once: the pilot's own press takes far longer than a key does."""
    for name in names:
        pilot.app.post_message(events.Key(name, " " if name == "space" else None))
    await pilot.pause()


def heel_line(app: Bench) -> str:
    return app.screen.query_one("#cylinder", Panel).plain.splitlines()[1]


def signs_in(line: str) -> str:
    """What stands for the needles, one sign each."""
    return "".join(sign for sign in line if sign in "┃▔▼▲·")


async def test_a_whole_sock_from_plan_to_graft(book: Logbook) -> None:
    plan = plan_sock(
        slots=60,
        rows_per_mm=0.42,
        stitches_per_mm=0.32,
        tube_length_mm=160.0,
        leg_mm=160.0,
        hem_rows=20,
    )
    assert [(s.name, s.count) for s in plan.sections] == [
        ("hem", 20),
        ("leg", 67),
        ("heel", 40),
        ("foot", 67),
        ("toe", 40),
    ]
    live = book.start(record("sock", steps=sock_steps(plan.sections, plan.heel, plan.toe)))
    app = Bench(book, Settings(press_gap_ms=0))
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_session(live.record.id)
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        state = screen.live.state
        while state.step is not None:
            step = state.step
            if isinstance(step, CountPasses):
                await turn(pilot, app, step)
            elif isinstance(step, CountRows):
                # one too many somewhere, and taken back
                await keys(pilot, *["space"] * (step.target + 1), "backspace")
                assert state.count == step.target
            if isinstance(step, Measure):
                await keys(pilot, "ctrl+s")
                await keys(pilot, "y")  # nothing was measured: yes, go on
            else:
                await keys(pilot, "enter")
            assert state.step is not step
    stored = fold(live.record.head, book.store.entries(live.n))
    assert cranked(stored) == {"hem": 20, "leg": 67, "heel": 40, "foot": 67, "toe": 40}
    assert (stored.status, stored.ignored) == ("finished", 0)


async def turn(pilot: Pilot[int], app: Bench, step: CountPasses) -> None:
    """Every pass of a heel or toe, the strip held against the closed form before each."""
    h, e = 30, 10
    for number in range(1, 41):
        line = heel_line(app)
        cells = signs_in(line)
        in_work = cells.count("┃") + cells.count("▲")
        if number <= h - e:  # narrowing: the end needle beside the carrier goes up
            side_left = number % 2 == 1
            moving = (number + 1) // 2 if side_left else h + 1 - number // 2
            assert (in_work, cells.index("▲") + 1) == (h - number + 1, moving)
        else:  # widening: the innermost lifted needle on the far side comes down
            widened = number - (h - e)
            away_right = widened % 2 == 1
            moving = h - (h - e) // 2 + (widened + 1) // 2 if away_right else (h - e) // 2 + 1 - widened // 2
            assert (in_work, cells.index("▼") + 1) == (e + widened - 1, moving)
        assert ("Y ▶" in line) == (number % 2 == 1)
        assert ("◀ Y" in line) == (number % 2 == 0)
        await keys(pilot, "space")
    assert signs_in(heel_line(app)) == "┃" * h
    assert step.target == 40
