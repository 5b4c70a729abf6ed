"""Everything that must be fast, side by side with its floor in the same run: ``python tests/benchmarks/run.py``.

``--json`` prints one object; ``--quick`` leaves out the logbook of a million events.
"""

from __future__ import annotations

import argparse
import json
import os
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if not __package__:  # run as a file, Python looks beside it for what is imported
    sys.path[0] = str(Path(__file__).resolve().parents[2])

from hosewright.logbook.book import Logbook
from hosewright.logbook.file.coding import encode
from hosewright.session.events import Entry, Pressed
from hosewright.session.fold import fold
from tests.benchmarks import data, floors
from tests.benchmarks.data import long_sock
from tests.benchmarks.pty_times import (
    burst_ms,
    first_frames_ms,
    follow_ms,
    key_to_paint_ms,
    letters_ms,
    page_ms,
    peak_mib,
)
from tests.helpers import crank_to, record

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

PYTHON = sys.executable
_COMMAND = Path(PYTHON).with_name("hosewright")  # what a person types; ``python -m`` takes 3 ms more to find it
BENCH = [str(_COMMAND)] if _COMMAND.exists() else [PYTHON, "-m", "hosewright"]
MACHINE = "ENTER GOES ON WITH"  # words of the bench's first frame
FILLED = "rows and passes"  # of the last panel to be filled
DOWN = "\x1b[B"
YEAR_DAYS, DAY_MS = 365, 86_400_000


@dataclass(frozen=True)
class Row:
    """One measured thing: its value and spread, its floor, and the target."""

    what: str
    value: float
    unit: str
    spread: str = ""
    floor: float | None = None
    target: str = ""
    met: bool | None = None


def median_and_spread(values: list[float]) -> tuple[float, str]:
    """The median, and the least and most."""
    return statistics.median(values), f"{min(values):.3g} to {max(values):.3g}"


def percentile(values: list[float], share: float) -> float:
    """The value that ``share`` of the values do not exceed."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * share))]


def versus(what: str, values: list[float], floor: list[float], unit: str, most: float) -> Row:
    """A row with the ratio of two medians as its target."""
    value, spread = median_and_spread(values)
    least = statistics.median(floor)
    return Row(what, value, unit, spread, least, f"at most {most} x the floor", value <= most * least)


def timed(work: Callable[[], object]) -> float:
    """Seconds ``work`` takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def frames(small: Path, large: Path | None, runs: int) -> Iterator[Row]:
    """First frames, interleaved; the last row's of a logbook where nothing is noted for home yet."""
    bare: list[float] = []
    few: list[float] = []
    full: list[float] = []
    many: list[float] = []
    many_full: list[float] = []
    practice: list[float] = []
    anew: list[float] = []
    first_frames_ms(BENCH, small, MACHINE)  # which writes the bytecode
    for _ in range(runs):
        with closing(sqlite3.connect(small / "logbook.sqlite", isolation_level=None)) as db:
            db.execute("DELETE FROM standing")
        anew += first_frames_ms(BENCH, small, MACHINE)
        bare += first_frames_ms([PYTHON, "-c", floors.HELLO], small, "hello bench")
        for found, ms in zip((few, full), first_frames_ms(BENCH, small, MACHINE, FILLED), strict=True):
            found.append(ms)
        practice += first_frames_ms([*BENCH, "practice"], small, MACHINE)
        if large:
            for found, ms in zip((many, many_full), first_frames_ms(BENCH, large, MACHINE, FILLED), strict=True):
                found.append(ms)
    yield versus("first frame: the list, 300 sessions, 100,000 events", few, bare, "ms", 1.3)
    yield versus("every panel filled, 300 sessions, 100,000 events", full, bare, "ms", 1.5)
    yield versus("practice's first frame", practice, bare, "ms", 2.0)
    if large:
        yield versus("first frame, 10,000 sessions, 1,000,000 events", many, few, "ms", 1.15)
        value, spread = median_and_spread(many_full)
        yield Row("every panel filled, of these", value, "ms", spread, statistics.median(full))
    value, spread = median_and_spread(anew)
    yield Row("first frame after another version", value, "ms", spread, statistics.median(bare))


def counting_home(folder: Path, gap_ms: int, more: str = "") -> Path:
    """A home with one sock in its foot; ``more``: other settings."""
    folder.mkdir()
    (folder / "settings.toml").write_text(f"press_gap_ms = {gap_ms}\npause_after_s = 0\n{more}", encoding="utf-8")
    book = Logbook(folder / "logbook.sqlite")
    live = book.start(record("sock", steps=long_sock()))
    crank_to(live, "leg")
    book.close()
    return folder


def yarn_card(home: Path, runs: int) -> Iterator[Row]:
    """The card of a yarn that 5,000 sessions were cranked in: its sign of being at work, and its first page."""
    bare: list[float] = []
    busy: list[float] = []
    page: list[float] = []
    for _ in range(runs):
        bare += first_frames_ms([PYTHON, "-c", floors.HELLO], home, "hello bench")
        sign, first = page_ms(
            BENCH, home, MACHINE, (("l", "Past sessions"),), "y", ("Reading what this yarn did", "Gauge on")
        )
        busy.append(sign)
        page.append(first)
    yield versus("card of a yarn with 5,000 sessions, first page", page, bare, "ms", 5)
    yield versus("the same, until it says that it reads", busy, bare, "ms", 1)


def presses(folder: Path, n: int) -> Iterator[Row]:
    """Key to paint at three rates, and a burst."""
    for hz in (0.0, 7.0, 20.0):
        rate = f"{hz:.0f} a second" if hz else "one after another"
        least = key_to_paint_ms(
            [PYTHON, "-c", floors.DIGITS, str(folder / f"least-{hz}.db")], folder, "\x1b", (), hz, n
        )
        home = counting_home(folder / f"count-{hz}", 0)
        ours = key_to_paint_ms(BENCH, home, MACHINE, ("\r",), hz, n)
        yield versus(f"key to paint p50, {rate}", ours, least, "ms", 3.0)
        value, floor = percentile(ours, 0.99), percentile(least, 0.99)
        met = value <= 3 * floor and value < 16
        yield Row(f"key to paint p99, {rate}", value, "ms", "", floor, "at most 3 x the floor, under 16 ms", met)
    bare = [PYTHON, "-c", floors.DIGITS]
    least = [burst_ms([*bare, str(folder / f"{n}.db")], folder, "\x1b", (), 200, "all are counted") for n in range(3)]
    homes = [counting_home(folder / f"burst-0-{number}", 0) for number in range(3)]
    ours = [burst_ms(BENCH, home, MACHINE, ("\r",), 200, "200 of") for home in homes]
    yield versus("200 presses in one write, gap 0, all counted", ours, least, "ms", 2.5)
    taken = burst_ms(BENCH, counting_home(folder / "burst-120", 120), MACHINE, ("\r",), 200, "199 DOUBTFUL")
    yield Row("200 presses in one write, usual gap: 1 counted, 199 doubtful", taken, "ms")


def spoken(folder: Path, n: int) -> Iterator[Row]:
    """Key to paint with every row spoken, a speaker that is still at it cut off each time, against without."""
    without: list[float] = []
    ours: list[float] = []
    for turn in range(4):
        for speech, taken in (("off", without), ("rows", ours)):
            more = f'speech = "{speech}"\nspeaker = "sh -c \'sleep 1\' words"\n'
            home = counting_home(folder / f"{speech}-{turn}", 0, more)
            taken += key_to_paint_ms(BENCH, home, MACHINE, ("\r",), 7.0, n // 4)
    yield versus("key to paint p50 with speech at every row, 7 a second, against without", ours, without, "ms", 1.1)
    value, floor = percentile(ours, 0.99), percentile(without, 0.99)
    yield Row("the same, p99", value, "ms", "", floor, "at most 1.25 x the floor", value <= 1.25 * floor)
    taken = follow_ms(BENCH, [*BENCH, "--look"], counting_home(folder / "followed", 0), MACHINE, n // 5)
    value, spread = median_and_spread(taken)
    yield Row("key to the second screen", value, "ms", spread, None, "200 ms", percentile(taken, 0.9) <= 200)


def finding(folder: Path, runs: int) -> Iterator[Row]:
    """A letter typed in the palette, in a logbook of 1,500 names, against a bare first frame."""
    home = folder / "names"
    home.mkdir()
    data.fill(home / "logbook.sqlite", 1_500, 15_000)
    bare, letters = [], []
    for _ in range(runs):
        bare += first_frames_ms([PYTHON, "-c", floors.HELLO], home, "hello bench")
        letters += letters_ms(BENCH, home, MACHINE, ("\x10",), "sock")
    yield versus("a letter in the palette, 1,500 names", letters, bare, "ms", 0.5)


def looking_back(home: Path, of: str, runs: int) -> Iterator[Row]:
    """What is past, from a key to its first page, against a bare first frame: listed, found, side by side, by month."""
    back, down = ("l", "Past sessions"), (DOWN, "")
    find = (back, ("/", "\x1b[2;3H"))  # the cursor in the line
    pages: dict[str, tuple[tuple[tuple[str, str], ...], str, str]] = {
        "look back": ((), *back),
        "find a word": ((*find, ("c", "“c”"), ("o", "“co”"), ("o", "“coo”")), "k", "“cook”"),
        "find a dye lot": ((*find, *((key, "") for key in "lot:"), ("4", "lot “4”")), "1", "lot “41”"),
        "compare two": ((back, down, down, ("v", "is marked"), down), "v", "WHAT DIFFERS"),
        "compare with all like it": ((back, down, down, ("\r", "play it")), "v", "different about it"),
    }
    bare: list[float] = []
    busy: list[float] = []
    taken: dict[str, list[float]] = {what: [] for what in pages}
    for _ in range(runs):
        bare += first_frames_ms([PYTHON, "-c", floors.HELLO], home, "hello bench")
        for what, (keys, key, said) in pages.items():
            taken[what] += page_ms(BENCH, home, MACHINE, keys, key, (said,))
        busy += page_ms(BENCH, home, MACHINE, (back,), "p", ("Reading how fast",))
    for what, page in taken.items():
        yield versus(f"{what}, first page, {of}", page, bare, "ms", 1.5)
    yield versus(f"pace, until it says that it reads, {of}", busy, bare, "ms", 1)


def storing(folder: Path, n: int) -> Iterator[Row]:
    """A press stored, against the bare commit."""
    book = Logbook(folder / "store.sqlite")
    live = book.start(record("tube"))
    crank_to(live, "tube")
    db = sqlite3.connect(folder / "bare.sqlite", isolation_level=None)
    db.execute("PRAGMA journal_mode = WAL")
    db.execute("PRAGMA synchronous = FULL")
    db.execute("CREATE TABLE e (s INTEGER, q INTEGER, a, z, t, k, b, PRIMARY KEY (s, q)) WITHOUT ROWID")
    ours, least = [], []
    for number in range(n):
        ours.append(timed(lambda: live.do(Pressed())) * 1e6)

        def bare(number: int = number) -> None:
            db.execute("BEGIN IMMEDIATE")
            db.execute("INSERT INTO e VALUES (1, ?, 1, 1, 1, 'pressed', NULL)", (number,))
            db.execute("COMMIT")

        least.append(timed(bare) * 1e6)
    book.close()
    db.close()
    yield versus("store a press, p50", ours, least, "µs", 1.5)


def folding(home: Path) -> Iterator[Row]:
    """The fold, and the fold from the store."""
    live_head = record("sock", steps=long_sock()).head
    many = [Entry(i, i, 0, i, Pressed()) for i in range(1, 200_001)]
    rates = [len(many) / timed(lambda: fold(live_head, many)) / 1e6 for _ in range(5)]
    value, spread = median_and_spread(rates)
    yield Row("fold", value, "million events/s", spread, None, "at least 1.5", value >= 1.5)
    book = Logbook(home / "logbook.sqlite")
    line = book.lines("open")[0]
    taken = [timed(lambda: book.take_up(line.id)) * 1000 for _ in range(5)]
    value, spread = median_and_spread(taken)
    yield Row(f"open a session of {data.UNFINISHED_EVENTS:,} events", value, "ms", spread, None, "50 ms", value <= 50)
    with book.store.one_commit():
        n = book.store.add_session(record("tube", "20240101-fold"))
        book.store.add_entries(n, many)
    rates = [len(many) / timed(lambda: fold(live_head, book.store.entries(n))) / 1e6 for _ in range(5)]
    value, spread = median_and_spread(rates)
    yield Row("decode and fold from the store", value, "million events/s", spread, None, "at least 0.8", value >= 0.8)
    rates = [len(many) / timed(lambda: [encode(e.event) for e in many]) / 1e6 for _ in range(3)]
    yield Row("encode", statistics.median(rates), "million events/s")
    book.close()


def commands(runs: int) -> Iterator[Row]:
    """Whole processes, interleaved with their floors."""
    gauge = [
        *BENCH,
        "gauge",
        "--rows",
        "60",
        "--length",
        "148 mm",
        "--flat-width",
        "102 mm",
        "--slots",
        "64",
        "--json",
    ]
    ours, least, version, nothing = [], [], [], []
    for _ in range(runs):
        least.append(_process_ms([PYTHON, "-c", floors.PINT]))
        ours.append(_process_ms(gauge))
        nothing.append(_process_ms([PYTHON, "-c", "pass"]))
        version.append(_process_ms([*BENCH, "--version"]))
    yield versus("hosewright gauge ... --json", ours, least, "ms", 1.3)
    yield versus("hosewright --version", version, nothing, "ms", 2.0)


def _process_ms(command: list[str], home: Path | None = None) -> float:
    environment = os.environ | ({"HOSEWRIGHT_HOME": str(home)} if home else {})
    done: list[int] = []

    def work() -> None:
        done.append(subprocess.run(command, check=False, capture_output=True, env=environment).returncode)

    taken = timed(work) * 1000
    if done[0] not in (0, 1):  # 1: `check` found what a made-up logbook has wrong
        raise RuntimeError(f"{command} ended with {done[0]}")
    return taken


def _write_as_many(files: Path, folder: Path) -> None:
    """As many bytes in as many files, each whole on the disk before its name: what any export must do."""
    folder.mkdir()
    for path in files.iterdir():
        new = folder / path.name
        with new.with_suffix(".part").open("wb") as file:
            file.write(bytes(path.stat().st_size))
            file.flush()
            os.fsync(file.fileno())
        new.with_suffix(".part").replace(new)


def large_logbook(home: Path, folder: Path) -> Iterator[Row]:
    """Checks and copies of a million events, and the memory of a bench on them."""
    taken = _process_ms([*BENCH, "logbook", "check"], home) / 1000
    yield Row("logbook check, 1,000,000 events", taken, "s", "", None, "3 s", taken <= 3)
    out = folder / "export"
    taken = _process_ms([*BENCH, "logbook", "export", "--folder", str(out)], home) / 1000
    least = 1 / timed(lambda: _write_as_many(out, folder / "floor"))
    yield Row("export, 1,000,000 events", 1.0 / taken, "million events/s", "", least, "at least 0.2", 1 / taken >= 0.2)
    into = folder / "into"
    into.mkdir()
    taken = _process_ms([*BENCH, "logbook", "import", str(out)], into) / 1000
    yield Row("import, 1,000,000 events", 1.0 / taken, "million events/s", "", None, "at least 0.2", 1 / taken >= 0.2)
    yield from memory(home, "10,000 sessions")


def memory(home: Path, of: str) -> Iterator[Row]:
    """The most memory of a bench at 120x40: every panel of home, of a count, and the list of what is past."""
    if sys.platform == "linux":
        most = peak_mib(BENCH, home, MACHINE, ("\r", " ", "\x1b", "l"))
        yield Row(f"peak memory, bench with {of}", most, "MiB", "", None, "100 MiB", most <= 100)


def rows(quick: bool) -> Iterator[Row]:
    """Every row of the table."""
    with tempfile.TemporaryDirectory(prefix="hosewright-bench-") as name:
        folder = Path(name)
        small, large = folder / "small", folder / "large"
        small.mkdir()
        began_ms = int(time.time() * 1000) - YEAR_DAYS * DAY_MS
        data.fill(small / "logbook.sqlite", 300, 100_000, began_ms, YEAR_DAYS)
        if not quick:
            large.mkdir()
            data.fill(large / "logbook.sqlite", 10_000, 1_000_000, began_ms, YEAR_DAYS)
        yield from frames(small, None if quick else large, 5 if quick else 9)
        yield from presses(folder, 100 if quick else 300)
        yield from spoken(folder, 100 if quick else 300)
        yield from finding(folder, 3 if quick else 9)
        yield from storing(folder, 500 if quick else 2000)
        yield from folding(small)
        yield from memory(small, "300 sessions")
        yield from commands(5 if quick else 9)
        if not quick:
            yarn = folder / "yarn"
            yarn.mkdir()
            data.fill_one_yarn(yarn / "logbook.sqlite", 5000)
            yield from yarn_card(yarn, 5)
            yield from looking_back(large, "10,000 sessions", 5)
            yield from large_logbook(large, folder)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="one object instead of a table")
    parser.add_argument("--quick", action="store_true", help="without the logbook of a million events")
    asked = parser.parse_args()
    measured = []
    if not asked.json:
        print("| what | measured | spread | floor | target | met |\n|---|---|---|---|---|---|")
    for row in rows(asked.quick):
        measured.append(row)
        if not asked.json:
            floor = f"{row.floor:.3g}" if row.floor is not None else ""
            met = "" if row.met is None else "yes" if row.met else "NO"
            print(
                f"| {row.what} | {row.value:.3g} {row.unit} | {row.spread} | {floor} | {row.target} | {met} |",
                flush=True,
            )
    if asked.json:
        print(json.dumps({"rows": [asdict(row) for row in measured]}, ensure_ascii=False))
    return 0


if __name__ == "__main__":
    sys.exit(main())
