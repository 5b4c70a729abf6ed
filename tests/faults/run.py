"""The full runs: ``python -m tests.faults.run --kills 200 --mutants 10000 --keys 5000 --rows 100000``.

Prints a table of figures; ends at the first fault with what to repeat it by. Every part can be left out with 0.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import resource
import sys
import tempfile
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

Rows = list[tuple[str, str]]


def _kills(folder: Path, number: int, seed: int) -> Rows:
    from tests.faults import evening

    found = evening.run(folder, number, seed, longest_s=1.2)
    behind = found.shown_behind
    return [
        ("killed", f"{found.kills} times"),
        (
            "lives that stood where the stored events lead",
            f"{found.lives_checked} (it ends at the first that does not)",
        ),
        ("keys typed, events stored", f"{found.keys:,}, {found.stored:,}"),
        ("last frames held against what is stored", f"{found.frames}, {found.frames_counting} of them with a count"),
        ("rows stored that the last frame did not show yet", f"at most {max(behind, default=0)}"),
    ]


def _mutants(folder: Path, number: int, seed: int) -> Rows:
    from tests.faults import mutants

    found = mutants.run(folder, number, seed)
    return [
        ("mutated files", f"{found.mutants:,}"),
        *((f"  {name}", f"{count:,}") for name, count in sorted(found.outcomes.items())),
        ("slowest", f"{found.slowest_s * 1000:.0f} ms"),
    ]


def _keys(folder: Path, number: int, seed: int) -> Rows:
    from tests.faults import monkeys

    os.chdir(folder)
    found = asyncio.run(monkeys.run(folder, number, seed))
    return [
        ("random keys", f"{found.keys:,} in {len(monkeys.ALL)} places, {len(found.seen)} kinds of screen met"),
        ("resizes, pastes among them", f"{found.resizes:,}, {found.pastes:,}"),
        ("slowest key", f"{found.slowest_s * 1000:.0f} ms"),
    ]


def _long(folder: Path, number: int, _seed: int) -> Rows:
    from tests.faults import long

    found = long.run(folder, number)
    return [
        ("rows in one session", f"{found.rows:,}"),
        ("a press, median, in the first and last tenth", f"{found.press_ms[0]:.3f} and {found.press_ms[-1]:.3f} ms"),
        ("the slowest of 100", f"{found.slow_press_ms[0]:.3f} and {found.slow_press_ms[-1]:.3f} ms"),
        ("memory grown from the first tenth to the last", f"{found.grown_kb[-1]:.0f} kB"),
        ("the logbook, and its log", f"{found.file_mb:.1f} and {found.log_mb:.1f} MB"),
        ("taken up again in", f"{found.reopened_s:.2f} s"),
    ]


def _damage(folder: Path, number: int, seed: int) -> Rows:
    from tests.faults import damage

    rows: Rows = []
    for what, trials in (
        ("file", damage.file_trials),
        ("file a kill leaves", partial(damage.file_trials, killed=True)),
        ("log", damage.log_trials),
    ):
        place = folder / what
        place.mkdir()
        found = trials(place, number, seed)
        seen = found.trials - len(found.unseen_by_check), found.trials - len(found.unseen_at_opening)
        rows.append((f"bytes changed in the {what}", f"{found.trials:,}"))
        rows.append(("  seen by check, and by a bench that opens it", f"{seen[0]:,}, {seen[1]:,}"))
        if min(seen) < found.trials:
            raise AssertionError(f"unseen in the {what}: {found.unseen_by_check} {found.unseen_at_opening}")
    return rows


def _rescues(folder: Path, number: int, seed: int) -> Rows:
    from tests.faults import damage

    found = damage.rescue_trials(folder, number, seed)
    if found.worse:
        raise AssertionError(f"rescue brought fewer events than can be read: {found.worse}")
    return [
        ("bytes changed in the file, each rescued twice", f"{found.trials:,}"),
        ("  events there were, events that can be read", f"{found.events:,}, {found.readable:,}"),
        ("  events recovered by the file alone", f"{found.rescued:,}, {found.written:,} of them written beside it"),
        ("  events recovered with a backup of the day", f"{found.with_backup:,}"),
    ]


def _cuts(folder: Path, number: int, seed: int) -> Rows:
    from tests.faults import power
    from tests.faults.test_power import LAID_OUT, a_tube

    rows: Rows = []
    for deed, lay_out, environment in (
        *((deed, LAID_OUT.get(deed, a_tube), {}) for deed in power.DEEDS),
        ("crank", a_tube, {"LESS_SYNC": "1"}),
    ):
        place = folder / f"{deed}{len(rows)}"
        place.mkdir()
        found = power.run(deed, place, lay_out, number, seed, **environment)
        what = f"power cut in: {deed}" if not environment else "  the same without a sync at each row (a control)"
        rows.append((what, f"{found.states:,} states, {len(found.bad):,} bad"))
        if bool(found.bad) is not bool(environment):
            raise AssertionError(f"{what}: {found.bad[:3]}")
    return rows


def _failures(folder: Path, number: int, seed: int) -> Rows:
    from tests.faults import failing

    found = failing.run(folder, number, seed)
    if found.bad:
        raise AssertionError(found.bad)
    return [
        ("evenings on a disk that fails once", f"{found.evenings:,}, in {found.denied:,} something was denied"),
        ("events shown in them, all stored and no others", f"{found.events:,}"),
    ]


_PARTS: tuple[tuple[str, int, Callable[[Path, int, int], Rows]], ...] = (
    ("kills", 200, _kills),
    ("mutants", 10_000, _mutants),
    ("keys", 5_000, _keys),
    ("rows", 100_000, _long),
    ("damage", 500, _damage),
    ("rescues", 500, _rescues),
    ("cuts", 300, _cuts),
    ("failures", 100, _failures),
)


def main() -> int:
    """Run what was asked and print the figures."""
    parser = argparse.ArgumentParser(description="Long runs of the fault tests.")
    for name, usual, _ in _PARTS:
        parser.add_argument(f"--{name}", type=int, default=usual, metavar="N")
    parser.add_argument("--seed", type=int, default=int(time.time()), metavar="N")
    args = parser.parse_args()
    print(f"seed {args.seed}")
    for name, _, run in _PARTS:
        number = getattr(args, name)
        if not number:
            continue
        with tempfile.TemporaryDirectory(prefix="hosewright-faults-", ignore_cleanup_errors=True) as folder:
            os.environ["HOSEWRIGHT_HOME"] = str(Path(folder) / "home")
            began, home = time.monotonic(), Path.cwd()
            rows = run(Path(folder), number, args.seed)
            os.chdir(home)
        rows.append(("took", f"{time.monotonic() - began:.0f} s"))
        print(f"\n{name}")
        for what, figure in rows:
            print(f"  {what:<52} {figure}", flush=True)
    print(f"\nmost memory this process held: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
