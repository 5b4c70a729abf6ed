"""``hosewright logbook restore``: the backups and what each holds, and one of them put in the logbook's place."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.verbs.parsing import UsageError, aligned, put, safe

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.upkeep.restoring import Difference, Holds
    from hosewright.verbs.parsing import Parser

_MOST_SHOWN = 12


def restore_options(parser: Parser) -> None:
    """Which backup, and whether it is meant."""
    parser.add_argument("backup", metavar="BACKUP", nargs="?", help="its number in the list, or its file")
    parser.add_argument("--yes", action="store_true", help="put it in place; the present logbook is kept aside")


def restore_backup(args: Namespace) -> int:
    """Run the verb. Raises LogbookError or UsageError."""
    from hosewright.logbook.upkeep.restoring import backups_of, difference, restore
    from hosewright.places import logbook_path

    path = logbook_path()
    if args.backup is None:
        if args.yes:
            raise UsageError("Say which backup: `hosewright logbook restore` lists them, the newest first.")
        return _list(path, backups_of(path), as_json=args.json)
    chosen = _chosen(path, args.backup)
    changes = difference(path, chosen)
    lines = _difference_lines(chosen, changes)
    aside = restore(path, chosen.path) if args.yes else None
    if aside is None:
        lines.append("Nothing was changed. Add --yes to put it in place; the present logbook is then kept aside.")
    else:
        lines.append(f"{safe(chosen.path.name)} is the logbook now. What was there is kept in {aside}.")
    facts = {
        "backup": str(chosen.path),
        "restored": aside is not None,
        "aside": str(aside) if aside else None,
        "present_readable": changes.readable,
        "come_back": [one[0] for one in changes.come],
        "go": [one[0] for one in changes.go],
        "get_shorter": [one[0] for one in changes.shorter],
    }
    return put(facts, lines, as_json=args.json)


def offer(path: Path) -> bool:
    """Where the logbook cannot be read, ask on the terminal whether the newest backup shall be put in its place.

    True when it was. Raises LogbookError when it could not be.
    """
    from hosewright.logbook.upkeep.restoring import backups_of, restore

    newest = next(iter(backups_of(path)), None)
    if newest is None or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    print(
        f"\nThe newest backup that can be read, {safe(newest.path.name)}, holds {_counted(newest)}, the last of them "
        f"{_day(newest)}.\nType r and Enter to put it in the logbook's place (the damaged file is kept aside), or only "
        "Enter to leave everything as it is: ",
        end="",
        file=sys.stderr,
        flush=True,
    )
    if sys.stdin.readline().strip().casefold() not in ("r", "restore"):
        return False
    aside = restore(path, newest.path)
    print(f"Done. The damaged file is kept in {aside}.", file=sys.stderr)
    return True


def _list(path: Path, found: list[Holds], *, as_json: bool) -> int:
    from hosewright.logbook.file.backups import kept

    if as_json:
        for number, one in enumerate(found, 1):
            facts = {"number": number, "file": str(one.path), "sessions": len(one.sessions), "events": one.events}
            print(json.dumps(facts | {"last": _utc(one)}))
        return 0
    rows = [
        (str(number), safe(one.path.name), _counted(one), f"the last {_day(one)}")
        for number, one in enumerate(found, 1)
    ]
    unread = len(kept(path)) - len(found)
    lines = aligned(rows) if rows else [f"There are no backups beside {path}."]
    if unread:
        lines.append(f"{unread} more cannot be read.")
    if rows:
        lines.append("`hosewright logbook restore 1` says what the first of them would bring back.")
    print("\n".join(lines))
    return 0


def _chosen(path: Path, called: str) -> Holds:
    from hosewright.logbook.file.store import LogbookError
    from hosewright.logbook.upkeep.restoring import backups_of, holds

    found = backups_of(path)
    if called.isdecimal() and called.isascii():
        if not 1 <= int(called) <= len(found):
            raise UsageError(f"There is no backup {called[:9]}; `hosewright logbook restore` lists {len(found)}.")
        return found[int(called) - 1]
    named = [one for one in found if one.path.name == called]
    chosen = named[0] if named else holds(Path(called)) if Path(called).is_file() else None
    if chosen is None:
        raise LogbookError(
            f"{called} is no backup that can be read; type a number of the list by `hosewright logbook restore`."
        )
    return chosen


def _difference_lines(backup: Holds, changes: Difference) -> list[str]:
    lines = [f"{safe(backup.path.name)} holds {_counted(backup)}, the last {_day(backup)}."]
    if not changes.readable:
        return [*lines, "The present logbook cannot be read to its end, so what it has besides is not known."]
    told = (
        (changes.come, "would come back", "gains"),
        (changes.go, "would be missing, for only the present logbook has them", "has"),
        (changes.shorter, "would be shorter", "loses"),
    )
    for sessions, what, verb in told:
        if sessions:
            lines.append(f"{_number(len(sessions), 'session')} {what}:")
            lines += [
                f"  {safe(title)} ({session}) {verb} {_number(events, 'event')}"
                for session, title, events in sessions[:_MOST_SHOWN]
            ]
            if len(sessions) > _MOST_SHOWN:
                lines.append(f"  and {len(sessions) - _MOST_SHOWN} more")
    if len(lines) == 1:
        lines.append("Its sessions are those of the present logbook.")
    return lines


def _counted(one: Holds) -> str:
    return f"{_number(len(one.sessions), 'session')} with {_number(one.events, 'event')}"


def _number(count: int, one: str) -> str:
    return f"{count:,} {one}{'' if count == 1 else 's'}"


def _utc(one: Holds) -> str | None:
    from hosewright.phrases.clock import utc_text

    return utc_text(one.last_ms) if one.last_ms else None


def _day(one: Holds) -> str:
    from hosewright.phrases.clock import WallClock
    from hosewright.phrases.days import clock_day

    return f"on {clock_day(one.last_ms, WallClock().now().zone_min)}" if one.last_ms else "never"
