"""An evening that is killed again and again: what the screen showed must be stored, and the next life must stand there.

Every life is one process in a pty. Its keys are random but sensible, its death is at a random moment; then the frames
it showed are held against the stored events, and the next life against where those lead.
"""

from __future__ import annotations

import random
import re
import time
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import hosewright.bench.app  # noqa: F401  # read in once, so that each life starts with it
from hosewright.bench.count.dashboard import count_title
from hosewright.logbook.book import Logbook
from hosewright.logbook.records.shelf import Yarn
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.places import shipped_folder
from hosewright.session.events import Confirmed, Entry, Event, Judged, Pressed, ReadOff
from hosewright.session.fold import apply, fold
from hosewright.session.state import State
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from tests.helpers import START_MS, cylinder, machine, record, yarn
from tests.strategies import way_to
from tests.terminal.forked import Forked

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hosewright.session.steps import SessionKind, Step

ENTER, ESC, CTRL_S = "\r", "\x1b", "\x13"
SESSION = "20231114-evening"
SCENES: tuple[tuple[SessionKind, str], ...] = (
    ("search", "cast-on-rows"),
    ("search", "trial"),
    ("tube", "tube"),
    ("tube", "before-wash"),
    ("tube", "after-wash"),
    ("sock", "leg"),
    ("sock", "heel"),
    ("sock", "toe"),
)
_HEADER = re.compile(r"step (\d+) of (\d+)|   (finished)")
# The title of the count's panel: rows that are done, or the pass that is next.
_COUNTED = re.compile(r" (\S[^─━═╌┄]*?) · (pass )?(\d+) of (\d+)", re.MULTILINE)


@dataclass
class Figures:
    """What a run came to."""

    kills: int = 0
    lives_checked: int = 0
    keys: int = 0
    frames: int = 0
    frames_counting: int = 0
    stored: int = 0
    shown_behind: list[int] = field(default_factory=list)


# --- one session -------------------------------------------------------------------------------------------------


def lay_out(home: Path, kind: SessionKind, step_id: str, rng: random.Random) -> None:
    """A logbook whose one session stands at a step, some presses into it."""
    with closing(Logbook(home / "logbook.sqlite")) as book:
        for item in (machine(), cylinder(), yarn()):
            book.keep(item)
        head = record(kind, SESSION).head
        index = next(i for i, step in enumerate(head.steps) if step.id == step_id)
        events: list[Event] = []
        for at in range(index):  # `way_to` leaves parts short; a life may end one, and begin another
            events = way_to(head, at + 1)
        events += [Pressed()] * rng.randrange(4) if isinstance(head.steps[index], CountRows | CountPasses) else []
        state = State(head)
        entries: list[Entry] = []
        for event in events:
            before = state.copy()
            entry = Entry(len(entries) + 1, START_MS + len(entries) * 1000, 0, len(entries) * 1000, event)
            apply(state, entry)
            if state.ignored:
                state = before
            else:
                entries.append(entry)
        assert state.index == index, (state.index, index)
        book.take_in(record(kind, SESSION), entries)


def stored(home: Path) -> list[State]:
    """Every standing the stored events lead through, from the first to the last."""
    with closing(Logbook(home / "logbook.sqlite", why_read_only="A test looks.")) as book:
        line = book.store.find(SESSION)
        entries = list(book.store.entries(line.n))
        head = book.record(line).head
    states = [State(head)]
    for entry in entries:
        state = states[-1].copy()
        apply(state, entry)
        states.append(state)
    assert states[-1] == fold(head, entries)
    assert states[-1].ignored == 0, "a key must never store what cannot happen"
    return states


def sensible_keys(state: State, rng: random.Random) -> Iterator[str]:
    """Keys that get the work on from ``state``, with mistakes among them."""
    state = state.copy()
    while state.step is not None:
        for keys, event in [*_readings(state.step, rng)] or [_next_key(state, rng)]:
            if event is not None:
                apply(state, Entry(state.last_seq + 1, state.last_ms + 1000, 0, 0, event))
            yield keys


def _readings(step: Step, rng: random.Random) -> Iterator[tuple[str, Event | None]]:
    """One reading for each field of a step that measures; Enter on the empty line goes on, and ends the step."""
    if not isinstance(step, Measure):
        return
    for number, item in enumerate(step.fields, 1):
        if item.quantity == "choice":
            yield item.choices[1] + ENTER, ReadOff(item.id, 1.0)
        elif item.quantity == "mass":
            yield "11 g" + ENTER, ReadOff(item.id, 11.0)
        else:
            yield f"{rng.randrange(100, 120)} mm" + ENTER, ReadOff(item.id, 110.0)
        yield ENTER, Confirmed() if number == len(step.fields) else None


def _next_key(state: State, rng: random.Random) -> tuple[str, Event | None]:
    step = state.step
    if isinstance(step, CountRows | CountPasses) and state.count < step.target:
        # now and then the help is looked at while cranking
        return ("?" + ESC, None) if rng.random() < 0.04 else (" ", Pressed())
    if isinstance(step, DialTrial) and not state.search.found:
        if state.count == 0:
            return " ", Pressed()
        stayed = len(state.trials) >= 2
        return ("s", Judged("stay", state.dial)) if stayed else ("d", Judged("drop", state.dial))
    return ENTER, Confirmed()


def open_session(life: Forked, state: State) -> None:
    """From the bench to the session, which must stand where ``state`` says."""
    life.see("ENTER GOES ON WITH")
    if state.step is None or state.abandoned:
        return
    life.send(ENTER)
    life.see(f"step {state.index + 1} of {len(state.head.steps)}")
    if isinstance(state.step, CountRows | CountPasses):
        life.see(count_title(state).split(" · ")[1])  # a terminal without UTF-8 has another sign there


def check_shown(life: Forked, states: list[State], figures: Figures) -> None:
    """What the last whole frame says must be a standing that was stored."""
    header = _HEADER.search(life.screen.display[0])
    if header is not None and header[1]:
        figures.frames += 1
        reached = {state.index + 1 for state in states}
        assert int(header[1]) in reached, f"shown: step {header[1]}, stored: {sorted(reached)}\n{life.text}"
    counted = _COUNTED.search("\n".join(life.screen.display[1:]))
    if counted is None:
        return
    title, count = counted[1], int(counted[3]) - bool(counted[2])
    counts = {s.count for s in states if s.step is not None and s.step.title.upper() == title}
    assert count in counts, f"shown: {title} {count}, stored: {sorted(counts)}\n{life.text}"
    figures.frames_counting += 1
    last = states[-1]
    if last.step is not None and last.step.title.upper() == title:
        figures.shown_behind.append(last.count - count)


def crank_and_die(
    home: Path, scene: tuple[SessionKind, str], kills: int, rng: random.Random, figures: Figures, longest_s: float
) -> None:
    """``kills`` lives on one session, each but the first held against the death before it."""
    evenings = 1
    lay_out(home / "1", *scene, rng)
    for _ in range(kills):
        before = stored(home / str(evenings))
        if before[-1].step is None:  # all done: another evening begins at the same place
            evenings += 1
            lay_out(home / str(evenings), *scene, rng)
            before = stored(home / str(evenings))
        life = _one_life(home / str(evenings), before, rng, figures, longest_s)
        figures.kills += 1
        after = stored(home / str(evenings))
        figures.stored += len(after) - len(before)
        assert after[: len(before)] == before, "what was stored before stays"
        check_shown(life, after, figures)
    life = Forked(home / str(evenings))
    open_session(life, stored(home / str(evenings))[-1])
    figures.lives_checked += 1
    life.kill()
    with closing(Logbook(home / str(evenings) / "logbook.sqlite")) as book:
        assert find_damage(book)[1] == []


def _one_life(home: Path, before: list[State], rng: random.Random, figures: Figures, longest_s: float) -> Forked:
    life = Forked(home)
    open_session(life, before[-1])
    figures.lives_checked += 1
    until = time.monotonic() + rng.uniform(0.0, longest_s)
    keys = sensible_keys(before[-1], rng)
    while time.monotonic() < until:
        for _ in range(rng.randrange(1, 6)):
            typed = next(keys, "")
            life.send(typed)
            figures.keys += len(typed)
            if typed.endswith(ENTER):
                life.read(0.04)  # hands wait for the next line or step to come up
        life.read(rng.uniform(0.0, 0.03))
    life.kill()
    return life


# --- the shelf and imports -----------------------------------------------------------------------------------------


def edit_and_die(home: Path, kills: int, rng: random.Random, figures: Figures) -> None:
    """Yarns are added in the form; one that the shelf showed is stored, and nothing half typed is."""
    names: list[str] = []
    for number in range(kills):
        life = Forked(home, columns=100)
        life.see("ENTER GOES ON WITH")
        life.send("s")
        life.see("Yarns")
        for kept in names[:5]:  # the list has room for no more
            life.see(kept)
        name = f"Slipway {number}"
        until = time.monotonic() + rng.uniform(0.02, 0.8)
        life.send("y")
        while "A yarn" not in life.text and time.monotonic() < until:
            life.read(0.005)
        for key in [*name, ENTER, ENTER, CTRL_S]:
            if time.monotonic() >= until:
                break
            life.send(key)
            figures.keys += 1
            life.read(rng.uniform(0.005, 0.03))
        life.read(max(0.0, until - time.monotonic()))
        life.kill()
        figures.kills += 1
        with closing(Logbook(home / "logbook.sqlite")) as book:
            found = [item.name for item in book.shelf(Yarn)]
            assert find_damage(book)[1] == []
        on_the_shelf = "Yarns" in life.text and "Ctrl+S" not in life.text
        if on_the_shelf and name in life.text:
            assert name in found, f"shown: {name}, stored: {found}\n{life.text}"
        assert set(names) <= set(found) <= {*names, name}, (names, name, found)
        names = found
        figures.lives_checked += 1


def import_and_die(home: Path, kills: int, rng: random.Random, figures: Figures) -> None:
    """The sample sessions are imported; each is here whole or not at all, and the next import brings the rest."""
    samples = str(shipped_folder("sample_sessions"))
    for _ in range(kills):
        life = Forked(home, "logbook", "import", samples)
        life.read(rng.uniform(0.0, 0.25))
        life.kill()
        figures.kills += 1
        if (home / "logbook.sqlite").exists() and (home / "logbook.sqlite").stat().st_size:
            with closing(Logbook(home / "logbook.sqlite")) as book:
                assert find_damage(book)[1] == []
            figures.lives_checked += 1
    life = Forked(home, "logbook", "import", samples)
    assert life.end() == 0, bytes(life.raw)
    life.close()
    with closing(Logbook(home / "logbook.sqlite")) as book:
        found, faults = find_damage(book)
    assert (found, faults) == (len(list(Path(samples).glob("[0-9]*.json"))), [])


def run(folder: Path, kills: int, seed: int, longest_s: float = 0.25) -> Figures:
    """So many kills, spread over the whole evening; each life cranks for up to ``longest_s``."""
    rng = random.Random(seed)
    figures = Figures()
    aside = max(1, kills // 10)
    edit_and_die(folder / "editing", aside, rng, figures)
    import_and_die(folder / "importing", aside, rng, figures)
    left = kills - 2 * aside
    for number, (kind, step_id) in enumerate(SCENES):
        share = left // len(SCENES) + (number < left % len(SCENES))
        if share:
            crank_and_die(folder / f"{kind}-{step_id}", (kind, step_id), share, rng, figures, longest_s)
    return figures
