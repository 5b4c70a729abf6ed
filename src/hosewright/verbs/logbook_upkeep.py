"""``hosewright logbook``: the file itself. check, rescue, backup, restore and forget."""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.logbook.book import Logbook
from hosewright.logbook.file import seal
from hosewright.logbook.file.backups import kept
from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.file.lock import cured
from hosewright.logbook.upkeep.checking import find_damage, prove_newest_backup
from hosewright.logbook.upkeep.forgetting import find_wearer, forget
from hosewright.logbook.upkeep.rescue import rescue
from hosewright.logbook.upkeep.restoring import backups_of, contents_of, restore, restoring_changes
from hosewright.logbook.upkeep.surroundings import warnings
from hosewright.phrases.days import clock_day
from hosewright.phrases.lists import many
from hosewright.phrases.times import WallClock, utc_text
from hosewright.places import logbook_path
from hosewright.verbs.book import open_book
from hosewright.verbs.parsing import Parser, UsageError, aligned, named, put, put_each, safe

if TYPE_CHECKING:
    from hosewright.logbook.upkeep.forgetting import Forgotten
    from hosewright.logbook.upkeep.restoring import Changes, Contents

FAULTY = 1  # `check` found something, or `rescue` lost something; 2 is for what could not be done at all
_MOST_SHOWN = 12
_MOST_NEAR = 20


# --- damage ----------------------------------------------------------------------------------------------------------


def run_check(parser: Parser, argv: list[str]) -> int:
    parser.flag("--accept", "take the file as it is, though another program has written to it")
    args = parser.parse_args(argv)
    path = logbook_path()
    try:
        if args.accept:
            _accept(path)
        with open_book() as book:
            sessions, faults = find_damage(book)
        proof = prove_newest_backup(path)
    except LogbookError as error:
        told = not path.exists() or "logbook rescue" in str(error)
        raise LogbookError(str(error) if told else f"{error} {_rescued(path)}") from error
    counted = f"{path}: {many(sessions, 'session')}"
    lines = [f"{counted}, sound."]
    if faults:
        lines = [f"{counted}, {many(len(faults), 'fault')}:", *faults, _rescued(path)]
        if len(faults) == 1 and seal.damage_of(path):
            lines.append(
                "All sessions can be read and add up. If another program of yours wrote to the file, `hosewright "
                "logbook check --accept` takes it as it is now."
            )
    if proof is None:
        lines.append("There is no backup yet: the bench makes one a day.")
    elif proof.faults:
        lines.append(f"The newest backup {safe(proof.backup.name)}, restored to a temporary place, is not sound:")
        lines += [
            *proof.faults,
            "`hosewright logbook restore` lists the others.",
        ]
    else:
        held = many(proof.sessions, "session")
        lines.append(f"The newest backup {safe(proof.backup.name)}, restored to a temporary place: {held}, sound.")
    round_it = list(warnings(path))
    lines += round_it
    has_cure = cured(sqlite3.sqlite_version_info)
    lines.append(
        f"SQLite {sqlite3.sqlite_version}, {'with' if has_cure else 'without'} the cure for two writers that damage a "
        "log; hosewright lets only one write at a time."
    )
    facts = {"file": str(path), "sessions": sessions, "sound": not faults, "faults": faults}
    facts["backup"] = None if proof is None else {"file": str(proof.backup), "faults": proof.faults}
    facts["warnings"] = round_it
    put(facts | {"sqlite": sqlite3.sqlite_version, "sqlite_cured": has_cure}, lines, as_json=args.json)
    return FAULTY if faults or (proof is not None and proof.faults) else 0


def _rescued(path: Path) -> str:
    return (
        f"`hosewright logbook rescue {path}` brings what can be read into a new file; `hosewright logbook restore` "
        "lists the backups."
    )


def _accept(path: Path) -> None:
    """Take the file as it is now for sound. Raises LogbookError."""
    with closing(Logbook.for_counting(path)) as book:
        if book.store.why_read_only:
            raise LogbookError(book.store.why_read_only)
        book.break_seal("")


def run_rescue(parser: Parser, argv: list[str]) -> int:
    parser.takes("file", "FILE", "the damaged logbook; it is only read")
    parser.takes("--to", "NEWFILE", "the new logbook (FILE-rescued.sqlite beside it)")
    args = parser.parse_args(argv)
    source = Path(args.file)
    target = Path(args.to) if args.to else source.with_name(f"{source.stem}-rescued.sqlite")
    found = rescue(source, target)
    said = f"{many(len(found.sessions), 'session')} rescued into {target}."
    swap = (
        f"{source} was not touched. To go on with what was rescued, move that file aside (with {source.name}-wal and "
        f"{source.name}-shm, if they are there) and give the new one its name."
    )
    lines = [said, *(f"From a backup: {one}" for one in found.filled), *(f"Lost: {loss}" for loss in found.lost), swap]
    answer = {"file": str(target), "sessions": found.sessions, "from_backups": found.filled, "lost": found.lost}
    put(answer, lines, as_json=args.json)
    return FAULTY if found.lost else 0


# --- backups ---------------------------------------------------------------------------------------------------------


def run_backup(parser: Parser, argv: list[str]) -> int:
    parser.takes("file", "FILE", "the copy, a file that is not there yet")
    args = parser.parse_args(argv)
    with open_book() as book:
        book.store.copy_to(Path(args.file))
    return put({"file": args.file}, [f"The whole logbook is copied to {args.file}."], as_json=args.json)


def run_restore(parser: Parser, argv: list[str]) -> int:
    parser.takes("backup", "BACKUP", "its number in the list, or its file", nargs="?")
    parser.flag("--yes", "put it in place; the present logbook is kept aside")
    args = parser.parse_args(argv)
    path = logbook_path()
    if args.backup is None:
        if args.yes:
            raise UsageError("Say which backup: `hosewright logbook restore` lists them, the newest first.")
        return _list_backups(path, backups_of(path), as_json=args.json)
    chosen = _chosen(path, args.backup)
    changes = restoring_changes(path, chosen)
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
    newest = next(iter(backups_of(path)), None)
    if newest is None or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return False
    print(
        f"\nThe newest backup that can be read, {safe(newest.path.name)}, holds {_counted(newest)}, the last of them "
        f"{_day(newest)}.\nType r and Enter to put it in the logbook's place (the damaged file is kept aside), or "
        f"Enter alone to leave everything as it is: ",
        end="",
        file=sys.stderr,
        flush=True,
    )
    if sys.stdin.readline().strip().casefold() not in ("r", "restore"):
        return False
    aside = restore(path, newest.path)
    print(f"Done. The damaged file is kept in {aside}.", file=sys.stderr)
    return True


def _list_backups(path: Path, found: list[Contents], *, as_json: bool) -> int:
    facts = (
        {"number": number, "file": str(one.path), "sessions": len(one.sessions), "events": one.events}
        | {"last": utc_text(one.last_ms) if one.last_ms else None}
        for number, one in enumerate(found, 1)
    )
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
    return put_each(facts, lines, as_json=as_json)


def _chosen(path: Path, called: str) -> Contents:
    found = backups_of(path)
    if called.isdecimal() and called.isascii():
        if not 1 <= int(called) <= len(found):
            raise UsageError(f"There is no backup {called[:9]}; `hosewright logbook restore` lists {len(found)}.")
        return found[int(called) - 1]
    named = [one for one in found if one.path.name == called]
    chosen = named[0] if named else contents_of(Path(called)) if Path(called).is_file() else None
    if chosen is None:
        raise LogbookError(
            f"{called} is not a backup that can be read; type a number of the list by `hosewright logbook restore`."
        )
    return chosen


def _difference_lines(backup: Contents, changes: Changes) -> list[str]:
    lines = [f"{safe(backup.path.name)} holds {_counted(backup)}, the last {_day(backup)}."]
    if not changes.readable:
        return [*lines, "The present logbook cannot be read to its end, so what else it holds is not known."]
    told = (
        (changes.come, "would come back", "gains"),
        (changes.go, "would be missing, for only the present logbook has them", "has"),
        (changes.shorter, "would be shorter", "loses"),
    )
    for sessions, what, verb in told:
        if sessions:
            lines.append(f"{many(len(sessions), 'session')} {what}:")
            lines += [
                f"  {safe(title)} ({session}) {verb} {many(events, 'event')}"
                for session, title, events in sessions[:_MOST_SHOWN]
            ]
            if len(sessions) > _MOST_SHOWN:
                lines.append(f"  and {len(sessions) - _MOST_SHOWN} more")
    if len(lines) == 1:
        lines.append("Its sessions are those of the present logbook.")
    return lines


def _counted(one: Contents) -> str:
    return f"{many(len(one.sessions), 'session')} with {many(one.events, 'event')}"


def _day(one: Contents) -> str:
    return f"on {clock_day(one.last_ms, WallClock().now().zone_min)}" if one.last_ms else "never"


# --- a person who is to be forgotten ---------------------------------------------------------------------------------


def run_forget(parser: Parser, argv: list[str]) -> int:
    parser.takes("wearer", "WEARER", "the wearer's name, or the id")
    parser.flag("--yes", "do it; it cannot be undone")
    args = parser.parse_args(argv)
    with open_book("logbook forget" if args.yes else "") as book:
        wearer = find_wearer(book, args.wearer)
        found = forget(book, wearer.id, really=args.yes)
    answer = {
        "wearer": wearer.id,
        "removed": args.yes,
        **named(found, "socks", "plans", "promises"),
        "kept_without_name": found.kept,
        **named(found, "mentions", "named_alike"),
        "near": [{"word": word, "text": text} for word, text in found.near],
        **named(found, "pages", "left"),
    }
    return put(answer, _forgotten_lines(found, done=args.yes), as_json=args.json)


def _forgotten_lines(found: Forgotten, *, done: bool) -> list[str]:
    goes = "is removed" if done else "would be removed"
    socks, plans = many(len(found.socks), "sock"), many(len(found.plans), "plan")
    promised = many(len(found.promises), "promised pair")
    taken = f"{socks}, {plans} and {promised}" if found.promises else f"{socks} and {plans}"
    lines = [
        f"{found.name} {goes}, with {taken}.",
        *(f"  {session}" for session in found.socks),
    ]
    if found.kept:
        stays = "stay" if done else "would stay"
        lines.append(f"{many(len(found.kept), 'other session')} {stays} without the name.")
    if found.mentions:
        lines.append(f"The name {'is' if done else 'would be'} taken out of {many(found.mentions, 'note')} elsewhere.")
    lines += [f"Left as it is: {name}, whose own name holds the same word." for name in found.named_alike]
    if found.pages:
        pages = many(len(found.pages), "page or file", "pages and files")
        gone = "that told of them are" if done else "that tell of them would be"
        lines.append(f"{pages} beside the logbook {gone} removed:")
        lines += [f"  {safe(page)}" for page in found.pages]
    if found.near:
        lines.append("These may mean the same person. They stay as they are; correct them first if they do:")
        lines += [f"  {safe(word)}: {safe(text[:70])}" for word, text in found.near[:_MOST_NEAR]]
        if len(found.near) > _MOST_NEAR:
            lines.append(f"  and {len(found.near) - _MOST_NEAR} more; --json lists them all")
    if found.left:
        lines.append("These files hold the name, and are yours to remove:")
        lines += [f"  {safe(path)}" for path in found.left]
    if done:
        lines.append(
            "Older backups held them and are removed; one of today is made. What you exported, copied or printed "
            "elsewhere is yours to remove."
        )
    else:
        lines.append("Nothing was changed. Gauges always stay. Add --yes to do it: it cannot be undone.")
    return lines
