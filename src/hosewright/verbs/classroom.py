"""``hosewright class``: learners side by side for a teacher, on a screen, in plain lines or as JSON, read-only."""

from __future__ import annotations

import json
import os
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.classroom import Classroom, Patience, line_of
from hosewright.phrases.harmless import one_line
from hosewright.phrases.times import WallClock
from hosewright.places import settings_path
from hosewright.session.words import now_words
from hosewright.settings.loading import load
from hosewright.verbs.parsing import Parser, UsageError, safe
from hosewright.words.learners import plain_line

if TYPE_CHECKING:
    from collections.abc import Sequence

NOTHING_SEEN = 2  # no learner's logbook could be read; each line says why
MOST_MINUTES = 59  # after an hour the machine counts as left
LONGEST_MINUTES = 4


def run(argv: list[str]) -> int:
    parser = Parser("class", "learners' sessions, read-only", "anna bert.sqlite room-2", json=False)
    parser.takes("file", "FILE", "the learners' logbooks, or folders of them; nothing in them is changed", nargs="+")
    parser.takes(
        "--quiet", "MINUTES", "minutes without a row before a learner is shown as needing help (3)", default="3"
    )
    how = parser.add_mutually_exclusive_group()
    how.add_argument(
        "--plain",
        action="store_true",
        help="print a line for each learner and stop (always so into a pipe or a file)",
    )
    how.add_argument("--json", action="store_true", help="print JSON, one line for each learner, and stop")
    args = parser.parse_args(argv)
    minutes = int(args.quiet) if args.quiet.isdecimal() and len(args.quiet) < LONGEST_MINUTES else 0
    if not 1 <= minutes <= MOST_MINUTES:
        raise UsageError(f"--quiet takes 1 to {MOST_MINUTES} minutes, such as 3; {safe(args.quiet)} was typed.")

    named = [Path(name).expanduser() for name in args.file]
    patience = Patience(quiet_s=minutes * 60)
    if args.json or args.plain or not _can_show_it():
        return _print(named, patience, as_json=args.json)

    from hosewright.bench.classroom.screen import run_class  # the door to the screens, where one is shown: Textual

    settings, troubles = load(settings_path())
    return run_class(named, settings, patience, troubles)


def _can_show_it() -> bool:
    """Whether this is a terminal that a screen can be drawn on and keys come from."""
    return sys.stdin.isatty() and sys.stdout.isatty() and os.environ.get("TERM") not in ("dumb", "unknown")


def _print(named: Sequence[Path], patience: Patience, *, as_json: bool) -> int:
    now = WallClock().now()
    looks = Classroom(named).look(now)
    for look in looks:
        line = line_of(look, now.at_ms, patience)
        if as_json:
            print(json.dumps(asdict(line), allow_nan=False))
        else:
            print(one_line(plain_line(line, now_words(look.session.state) if look.session else "")))
    return NOTHING_SEEN if looks and all(look.trouble for look in looks) else 0
