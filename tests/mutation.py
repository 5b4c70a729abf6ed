"""How strong are the tests? A sample of small faults put into the code, and how many of them the tests find.

``python -m tests.mutation`` (``--number 300 --seed 60``) changes one place at a time in ``craft/``, ``session/`` and
the store (``logbook/file/``): an operator, a comparison, a number, a condition, a decorator (cosmic-ray's operators).
The tests of the same room that ever come by that line run against each (pytest-cov tells which; of what runs when
a module is imported, all of them). A fault that they find is killed; one that they do not is printed with its change,
to be read: either a test is missing, or the change means the same.

Every place is as likely as any other, and one operator is drawn for it. Changes that only touch an annotation, or
what is imported for annotations, are no change to a program that never evaluates them, and are not drawn.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue
from typing import TYPE_CHECKING

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names
from coverage import CoverageData

if TYPE_CHECKING:
    from collections.abc import Sequence

ROOT = Path(__file__).parents[1]
PACKAGE = "src/hosewright"
ROOMS = {
    "craft": ("tests/test_values.py", "tests/craft"),
    "session": ("tests/test_values.py", "tests/session"),
    "logbook/file": (
        "tests/test_values.py",
        "tests/logbook",
        "tests/faults/test_file.py",
        "tests/faults/test_damage.py",
        "tests/faults/test_disk.py",
    ),
}
OPERATORS = [name for name in sorted(operator_names()) if "/Variable" not in name]  # those want variables by name
LONGEST_S = 900  # a fault that never ends is found by its time


@dataclass(frozen=True, slots=True)
class Fault:
    """One change: the ``occurrence``-th place in a module that an operator can change, on its ``line``."""

    room: str
    module: Path  # from the root
    operator: str
    occurrence: int
    line: int


def places(room: str) -> dict[tuple[Path, tuple[int, int]], list[Fault]]:
    """Every place of a room that can be changed, with what can be done to it."""
    found: dict[tuple[Path, tuple[int, int]], list[Fault]] = {}
    for path in sorted((ROOT / PACKAGE / room).rglob("*.py")):
        module = path.relative_to(ROOT)
        nodes = list(ast_nodes(get_ast(path.read_text(encoding="utf-8"))))
        for name in OPERATORS:
            operator = get_operator(name)()
            spots = [spot for node in nodes for spot in operator.mutation_positions(node)]
            for number, (start, _end) in enumerate(spots):
                found.setdefault((module, start), []).append(Fault(room, module, name, number, start[0]))
    return found


def changed(fault: Fault) -> str | None:
    """The module's text with the fault in it; None where it would not compile, or no running program tells."""
    before = (ROOT / fault.module).read_text(encoding="utf-8")
    try:
        after = mutate_code(before, get_operator(fault.operator)(), fault.occurrence)
        return None if after is None or _meaning(before) == _meaning(after) else after
    except (SyntaxError, AttributeError):  # the latter: an exception with a dot in its name is beyond cosmic-ray
        return None


def _meaning(text: str) -> str:
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            node.returns = None
        if isinstance(node, ast.arg):
            node.annotation = None
        if isinstance(node, ast.AnnAssign):
            node.annotation = ast.Constant(None)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            node.test = ast.Constant(None)
    return ast.dump(tree)


def sample(number: int, seed: int) -> list[Fault]:
    """So many faults, drawn from all rooms at once; the same ones for the same seed and the same code."""
    chance = random.Random(seed)
    spots = {spot: faults for room in ROOMS for spot, faults in places(room).items()}
    drawn: list[Fault] = []
    order = sorted(spots)
    chance.shuffle(order)
    for spot in order:
        fault = chance.choice(spots[spot])
        if len(drawn) < number and changed(fault) is not None:
            drawn.append(fault)
    return drawn


def tests_by_line(copy: Path, room: str) -> CoverageData:
    """Run a room's tests on the code as it is, and which of them come by which line. Ends when one of them fails."""
    data = copy / f"{room.replace('/', '-')}.coverage"
    settings = copy / "seen.ini"
    settings.write_text(f"[run]\ndata_file = {data}\n")
    watched = (*ROOMS[room], "--cov=hosewright", "--cov-context=test", f"--cov-config={settings}", "--cov-report=")
    if fails(copy, watched):
        sys.exit(f"A test of {room} fails without any fault put in: nothing can be learnt from them.")
    found = CoverageData(str(data))
    found.read()
    return found


def _statement(text: str, line: int) -> range:
    """The lines of the innermost statement on a line; of one with a body, those of its head."""
    found = range(line, line + 1)
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or line):
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if body else node.end_lineno or line
            if line <= last:
                found = range(node.lineno, max(last, node.lineno) + 1)
    return found


def tests_of(fault: Fault, copy: Path, seen: CoverageData) -> list[str]:
    """The tests that come by a fault's line, by file and function; all of its room for a line of import time."""
    path = copy / fault.module
    by_line = seen.contexts_by_lineno(str(path))
    lines = _statement(path.read_text(encoding="utf-8"), fault.line)
    contexts = {context for line in lines for context in by_line.get(line, ())}
    if not contexts or "" in contexts:
        return list(ROOMS[fault.room])
    return sorted({context.split("|")[0].split("[")[0] for context in contexts})


def fails(copy: Path, tests: Sequence[str]) -> bool:
    """Whether a test of a copy of the checkout fails, or never ends."""
    env = {**os.environ, "PYTHONPATH": str(copy / "src")}
    env.pop("PYTHONDONTWRITEBYTECODE", None)  # compiled once: it is half of the time
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "--dist", "no", "-p", "no:cacheprovider", *tests]
    try:
        done = subprocess.run(command, check=False, cwd=copy, env=env, capture_output=True, timeout=LONGEST_S)
    except subprocess.TimeoutExpired:
        return True
    return done.returncode != 0


def found_by_tests(fault: Fault, copy: Path, tests: Sequence[str]) -> bool:
    """Put the fault into a copy of the checkout and run ``tests`` there; whether one failed."""
    text = changed(fault)
    assert text is not None
    path = copy / fault.module
    before = path.read_text(encoding="utf-8")
    _write(path, text)
    try:
        return fails(copy, tests)
    finally:
        _write(path, before)


def _write(path: Path, text: str) -> None:
    """Write a module and forget what was compiled of it, which a change of equal length in one second would keep."""
    path.write_text(text, encoding="utf-8")
    for compiled in (path.parent / "__pycache__").glob(f"{path.stem}.*"):
        compiled.unlink()


def _copy(folder: Path) -> Path:
    for name in ("src", "tests", "themes", "sample_sessions"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
        shutil.copy(ROOT / name, folder / name)
    return folder


def run(faults: list[Fault], hands: int) -> list[Fault]:
    """The faults that no test found. Prints each as it comes."""
    survivors: list[Fault] = []
    with tempfile.TemporaryDirectory() as top:
        copies: SimpleQueue[Path] = SimpleQueue()
        for number in range(hands):
            copies.put(_copy(Path(top) / str(number)))

        sound = _copy(Path(top) / "sound")
        seen = {room: tests_by_line(sound, room) for room in sorted({fault.room for fault in faults})}

        def one(fault: Fault) -> None:
            tests = tests_of(fault, sound, seen[fault.room])
            copy, began = copies.get(), time.monotonic()
            found = found_by_tests(fault, copy, tests)
            copies.put(copy)
            took = f"{time.monotonic() - began:.0f} s, {len(tests)} tests"
            print("killed" if found else "SURVIVED", took, _shown(fault), flush=True)
            if not found:
                survivors.append(fault)

        with ThreadPoolExecutor(hands) as pool:
            list(pool.map(one, faults))
    return survivors


def _shown(fault: Fault) -> str:
    before, after = (ROOT / fault.module).read_text(encoding="utf-8"), changed(fault) or ""
    pairs = zip(before.splitlines(), after.splitlines(), strict=False)
    lines = [f"  {n}: {a.strip()}  ->  {b.strip()}" for n, (a, b) in enumerate(pairs, 1) if a != b]
    return "\n".join([f"{fault.module}:{fault.line} {fault.operator} {fault.occurrence}", *lines[:3]])


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--number", type=int, default=300, help="how many faults (300)")
    asked.add_argument("--seed", type=int, default=60, help="which ones are drawn (60)")
    asked.add_argument("--hands", type=int, default=2, help="how many at a time (2)")
    asked.add_argument("--only", default="", help="only modules whose path holds this")
    given = asked.parse_args()
    faults = [fault for fault in sample(given.number, given.seed) if given.only in str(fault.module)]
    survivors = run(faults, given.hands)
    drawn, left = Counter(fault.room for fault in faults), Counter(fault.room for fault in survivors)
    for room, number in drawn.items():
        print(f"{room:14} {number - left[room]} of {number} found")
    print(f"{'together':14} {len(faults) - len(survivors)} of {len(faults)} found")


if __name__ == "__main__":
    main()
