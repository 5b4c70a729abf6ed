"""``hosewright sync FOLDER``: this laptop's logbook and a folder that others share, brought to the same."""

from __future__ import annotations

import platform
import sys
from pathlib import Path

from hosewright.logbook.travel.sync import sync
from hosewright.phrases.harmless import one_line
from hosewright.phrases.lists import listed, many
from hosewright.verbs.book import open_book
from hosewright.verbs.logbook_share import BOTH_KEPT
from hosewright.verbs.parsing import Parser, put, safe, usual
from hosewright.words.choices import questions

LEFT_OVER = 1  # a file could not be read


def run(argv: list[str]) -> int:
    parser = Parser("sync", "two laptops, one logbook, by a folder they share", "hosewright sync ~/shared/socks")
    parser.add_argument("folder", metavar="FOLDER", help="a folder on a drive, a stick, or one that is synced")
    parser.add_argument("--as", dest="laptop", metavar="NAME", help="what this laptop is called there, this time")
    parser.add_json()
    args = parser.parse_args(argv)
    laptop = one_line(args.laptop or usual().laptop or platform.node())[:40] or "a laptop"
    with open_book("sync", make=True) as book:
        done = sync(book, Path(args.folder), laptop)
        to_choose = questions(book)
    counts = ((done.new, "came"), (done.gone_on, "went on"), (done.beside, "changed on both sides"))
    said = [f"{len(names)} {what}" for names, what in counts if names]
    lines = [f"{'; '.join(said) or 'Nothing new came'}. {many(len(done.written), 'file')} written into {args.folder}."]
    if done.spare:
        lines.append(f"Nothing is in {safe(listed(done.spare))} that others lack; you may remove it.")
    facts = {"laptop": laptop, "new": done.new, "gone_on": done.gone_on, "both_kept": done.beside}
    facts |= {"written": done.written, "spare": done.spare, "unread": done.refused}
    put(facts | {"to_choose": [one.id for one in to_choose]}, lines, as_json=args.json)
    for why in done.reasons:
        print(f"hosewright: left as it is: {why}", file=sys.stderr)
    if to_choose:
        names = ", ".join(safe(one.title) for one in to_choose[:5])
        said_so = f"{names}: changed in two places, and both are kept. `hosewright logbook choose` shows them."
        print(f"hosewright: {said_so}", file=sys.stderr)
        return BOTH_KEPT
    return LEFT_OVER if done.refused else 0
