"""``hosewright crank ID --plain``: a session in plain lines, for a screen reader, a pedal or a pipe.

Every letter does what the same letter does on the bench: both read ``session.commands`` and use ``counting.hands``.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from hosewright.counting.keymap import keymap_in_use
from hosewright.places import settings_path
from hosewright.session.events import Opened
from hosewright.settings.loading import load
from hosewright.verbs.book import open_book
from hosewright.verbs.crank_lines import Lines
from hosewright.verbs.parsing import Parser, UsageError

if TYPE_CHECKING:
    from hosewright.session.keys import Keymap
    from hosewright.settings.table import Settings


def run(argv: list[str]) -> int:
    """Run the verb. Raises LogbookError or UsageError with a sentence."""
    parser = Parser("crank", "count a session row by row in plain lines", "hosewright crank 20250114-k7mwpd --plain")
    parser.add_argument("session", metavar="ID", help="the session's id, or as much of it as is unlike any other")
    parser.add_argument(
        "--plain", action="store_true", help="plain lines: Enter counts, the bench's letters do the rest"
    )
    args = parser.parse_args(argv)
    if not args.plain:
        raise UsageError("Add --plain to count in plain lines here; `hosewright` alone opens the bench.")

    settings, keymap = _settings()
    with open_book("crank") as book:
        live = book.take_up(args.session)
        live.do(Opened())
        Lines(live, book, settings, keymap).run()
    return 0


def _settings() -> tuple[Settings, Keymap]:
    """The knitter's settings and the keys they moved; what cannot be used is told."""
    settings, troubles = load(settings_path())
    keymap, about_keys = keymap_in_use(settings)
    for trouble in [*troubles, *about_keys]:
        print(f"hosewright: {trouble}", file=sys.stderr)
    return settings, keymap
