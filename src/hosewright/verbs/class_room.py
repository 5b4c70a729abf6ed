"""``hosewright class``: learners' sessions side by side for a teacher, on a screen or as JSON, looking only."""

from __future__ import annotations

import json
import os
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.verbs.parsing import Parser, UsageError, safe

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.logbook.learner_line import Patience

MOST_MINUTES = 59  # after an hour the machine counts as left
LONGEST_MINUTES = 4


def run(argv: list[str]) -> int:
    """Run the verb. Raises UsageError with a sentence."""
    parser = Parser("class", "learners' sessions, looking only", "hosewright class anna bert.sqlite room-2")
    parser.add_argument(
        "file", metavar="FILE", nargs="+", help="learners' logbooks, or folders of them; they are only read"
    )
    parser.add_argument(
        "--quiet", metavar="MINUTES", default="3", help="minutes without a row that mean waiting for help (3)"
    )
    parser.add_argument("--json", action="store_true", help="print JSON, one object a learner a line, and leave")
    args = parser.parse_args(argv)
    minutes = int(args.quiet) if args.quiet.isdecimal() and len(args.quiet) < LONGEST_MINUTES else 0
    if not 1 <= minutes <= MOST_MINUTES:
        raise UsageError(f"--quiet takes 1 to {MOST_MINUTES} minutes, such as 3; {safe(args.quiet)} was typed.")

    from hosewright.logbook.learner_line import Patience

    named = [Path(name).expanduser() for name in args.file]
    patience = Patience(quiet_s=minutes * 60)
    if args.json:
        return _print(named, patience)
    kind = os.environ.get("TERM")
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise UsageError("The class needs a terminal; --json prints it, one object a learner a line.")
    if kind in ("dumb", "unknown"):
        raise UsageError(
            f"This terminal (TERM={kind}) cannot show the class; --json prints it, one object a learner a line."
        )

    from hosewright.bench.class_app import run_class
    from hosewright.places import settings_path
    from hosewright.settings import load

    settings, troubles = load(settings_path())
    return run_class(named, settings, patience, troubles)


def _print(named: Sequence[Path], patience: Patience) -> int:
    from hosewright.logbook.clock import WallClock
    from hosewright.logbook.learner_line import line_of
    from hosewright.logbook.learners import Classroom

    now = WallClock().now()
    for look in Classroom(named).look(now):
        print(json.dumps(asdict(line_of(look, now.at_ms, patience)), allow_nan=False))
    return 0
