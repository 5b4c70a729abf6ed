"""``hosewright logbook``: sharing. export, import with a preview, merge, choose, schema; and ``hosewright sync``."""

from __future__ import annotations

import json
import platform
import sys
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from hosewright.logbook.file.errors import LogbookError
from hosewright.logbook.records.shelf import Cylinder, Plan, Yarn
from hosewright.logbook.travel import folders, shelf_file
from hosewright.logbook.travel.folders import read_each
from hosewright.logbook.travel.merge import merge, preview
from hosewright.logbook.travel.session_files import schema_text
from hosewright.logbook.travel.sharing import shared_file
from hosewright.logbook.travel.shelf_file import ShelfFile
from hosewright.logbook.travel.sync import sync
from hosewright.logbook.ways import What
from hosewright.phrases.harmless import one_line
from hosewright.phrases.lists import listed, many
from hosewright.session.kinds import KINDS
from hosewright.session.steps.tubes import called
from hosewright.verbs.book import Progress, open_book, the_one, the_session
from hosewright.verbs.parsing import (
    Parser,
    UsageError,
    add_output,
    aligned,
    named,
    put,
    put_each,
    safe,
    tell,
    usual,
    write_or_print,
)
from hosewright.words.choices import of_session, questions

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import SessionLine
    from hosewright.logbook.travel.merge import Arrival
    from hosewright.words.choices import Question


BOTH_KEPT = 3  # done, and something was changed in two places
# What one can give away of the shelf.
LONGEST_NAME = 40  # characters of who shares it
_GIVEN: dict[str, type[Plan] | type[Yarn] | type[Cylinder]] = {"plan": Plan, "yarn": Yarn, "cylinder": Cylinder}


def _export_of_shelf(args: Namespace, kind: str) -> int:
    """A plan, the gauges of a yarn or of a cylinder: one shelf file that any logbook takes in."""
    if args.session or args.folder is not None:
        raise UsageError(f"--{kind} makes a file of its own: leave out the session's ID and --folder.")
    with open_book() as book:
        cls: Any = _GIVEN[kind]
        thing = the_one(book.shelf(cls, retired=True), getattr(args, kind), kind)
        by = one_line(args.by or "")[:LONGEST_NAME]
        text = shared_file(book, thing, people=not args.without_people, by=by)
    if kind == "plan" and thing.wearer and not args.without_people:
        tell(["It tells of the feet it is for; --without-people leaves that out."])
    return _put_file(text, args)


def _put_file(text: str, args: Namespace) -> int:
    """A file to give away, on the terminal or where it is to be."""
    if args.output is None:
        sys.stdout.write(text)
        return 0
    folders.write_new(Path(args.output), text)
    return put({"files": [args.output]}, [f"Written: {args.output}"], as_json=args.json)


def run_export(parser: Parser, argv: list[str]) -> int:
    parser.takes("session", "ID", "one session or some; without any, all of them and the shelf", nargs="*")
    parser.takes("--output", "FILE", "write one session into a new file (else on the terminal)")
    parser.takes("--folder", "DIR", "one file a session, into this folder (hosewright-sessions)")
    parser.takes("--plan", "NAME", "one plan with its gauge, for a friend to take in")
    parser.takes("--yarn", "NAME", "the gauges of one yarn; there they say that they were shared")
    parser.takes("--cylinder", "NAME", "the gauges, and so the dial responses, of one cylinder")
    parser.takes("--by", "NAME", "with these: who shares it, so that your friend's cards say so")
    people = parser.add_mutually_exclusive_group()
    people.add_argument(
        "--without-people",
        action="store_true",
        help="leave out wearers, customers, their feet, prices and notes; rows and stitches of the socks stay",
    )
    people.add_argument(
        "--with-people", action="store_true", help="a string named by its ID goes without them unless you say so"
    )
    args = parser.parse_args(argv)
    asked = [kind for kind in _GIVEN if getattr(args, kind) is not None]
    if len(asked) > 1:
        raise UsageError(f"Type one of {', '.join(f'--{kind}' for kind in _GIVEN)} at a time.")
    if args.by is not None and not asked:
        raise UsageError(f"--by goes with {', '.join(f'--{kind}' for kind in _GIVEN)}: it says whose gauges they are.")
    if asked:
        return _export_of_shelf(args, asked[0])
    one = len(args.session) == 1 and args.folder is None
    if args.output is not None and not one:
        raise UsageError("--output takes one session: type its ID and no --folder.")
    with open_book() as book:
        if one:
            line = the_session(book, args.session[0])
            return _put_file(folders.document(book, line, people=_tells_of(args, line)), args)
        named = {line.n: line for line in map(book.store.find, args.session)}
        lines = list(named.values()) if named else [*book.lines(), *book.store.asides()]
        folder = Path(args.folder or "hosewright-sessions")
        tells_of = partial(_tells_of, args)
        written, same = folders.export_all(book, lines, folder, shelf=not named, tells_of=tells_of)
    said = f"{len(written)} files written into {folder}" + (f", {len(same)} there already" if same else "") + "."
    return put({"files": written, "there_already": same}, [said], as_json=args.json)


def _tells_of(args: Namespace, line: SessionLine) -> bool:
    """Whether the people a session is for go along: of a string that is named, only when asked for."""
    if line.kind == "string" and args.session and not (args.with_people or args.without_people):
        said = f"{line.id} goes without the people its socks are for; --with-people takes them along."
        tell([said])
        return False
    return not args.without_people


def run_import(parser: Parser, argv: list[str]) -> int:
    parser.takes("file", "FILE", "session files or a shelf file, or folders of them", nargs="+")
    parser.flag("--dry-run", "only say what is new, here already, or disagrees")
    args = parser.parse_args(argv)
    with open_book("logbook import", make=True, dry_run=args.dry_run) as book:
        paths = folders.files_in(args.file)
        if args.dry_run:
            return _foretell(book, paths, as_json=args.json)
        outcome = folders.import_all(book, paths)
    told = {"new": outcome.new, "gone_on": outcome.gone_on, "already_here": outcome.known, "both_kept": outcome.beside}
    lines = [f"{what.replace('_', ' ')}: {name}" for what, names in told.items() for name in names]
    if lines or args.json:
        put(told | {"refused": outcome.refused}, lines, as_json=args.json)
    tell(outcome.reasons)
    return ended(refused=bool(outcome.refused), both_kept=bool(outcome.beside))


def ended(*, refused: bool, both_kept: bool) -> int:
    """The exit code, said in a line where there is something to choose."""
    if both_kept:
        tell(["`hosewright logbook choose` shows both side by side, to choose from."])
    return 2 if refused else BOTH_KEPT if both_kept else 0


def _foretell(book: Logbook, paths: list[Path], *, as_json: bool) -> int:
    """Say what an import would do; nothing is stored."""
    found: list[Arrival] = []
    refused = []
    for path, filed in zip(paths, read_each(paths), strict=True):
        try:
            if isinstance(filed, LogbookError):
                raise filed
            if isinstance(filed, ShelfFile):
                found += shelf_file.take_in(book, filed, dry_run=True, whose=f"the file {safe(path.name)}")
            else:
                found.append(preview(book, filed))
        except LogbookError as error:
            refused.append(folders.why_refused(path, error))
    _show(found, as_json=as_json)
    tell(refused)
    return 2 if refused else BOTH_KEPT if any(one.what == "disagrees" for one in found) else 0


def _show(found: list[Arrival], *, as_json: bool) -> None:
    if as_json:
        put_each({name: told for name, told in asdict(one).items() if name != "called"} for one in found)
        return
    for one in found:
        kind = called(KINDS.get(one.kind, one.kind).lower(), one.called)  # a thing on the shelf is called what it is
        print(f"{one.what}: {kind} {one.id}, {safe(one.title)}" + (f" ({one.why})" if one.why else ""))


def run_merge(parser: Parser, argv: list[str]) -> int:
    parser.takes("file", "OTHER", "another logbook; it is only read")
    parser.flag("--dry-run", "only say what is new, here already, or disagrees")
    args = parser.parse_args(argv)
    with open_book("" if args.dry_run else "logbook merge", make=not args.dry_run) as book:
        before = len(book.lines())
        try:
            merged = merge(book, Path(args.file), dry_run=args.dry_run, progress=Progress())
        except KeyboardInterrupt:
            taken = len(book.lines()) - before
            said = f"Stopped: {taken} sessions were taken in, each whole. Type the same again for the rest."
            print(f"\nhosewright: {said}", file=sys.stderr)
            raise
    every = [*merged.sessions, *merged.shelf]
    shown = [one for one in every if args.json or one.what != "here already"]
    _show(shown, as_json=args.json)
    if not args.json:
        counts = {what: sum(one.what == what for one in every) for what in get_args(What)}
        said = ", ".join(f"{count} {what}" for what, count in counts.items())
        print(f"{said}. " + ("Nothing was saved." if args.dry_run else "Nothing was overwritten."))
    tell(f"not read: {why}" for why in merged.unread)
    both = any(one.what == "disagrees" for one in every)
    if args.dry_run:
        return 2 if merged.unread else BOTH_KEPT if both else 0
    return ended(refused=bool(merged.unread), both_kept=both)


def run_schema(parser: Parser, argv: list[str]) -> int:
    parser.takes(
        "of", "FILE", "session, as without it, or shelf", nargs="?", choices=("session", "shelf"), default="session"
    )
    add_output(parser)
    args = parser.parse_args(argv)
    text = shelf_file.schema_text() if args.of == "shelf" else schema_text()
    if args.json and args.output is None:
        return put(json.loads(text), [], as_json=True)
    return write_or_print(text, args.output, {}, as_json=args.json)


# --- a folder that laptops share --------------------------------------------------------------------------------------


LEFT_OVER = 1  # a file could not be read


def run_sync(argv: list[str]) -> int:
    parser = Parser("sync", "two laptops, one logbook, by a folder they share", "~/shared/socks")
    parser.takes("folder", "FOLDER", "a folder on a drive, a stick, or one that is synced")
    parser.takes("--as", "NAME", "what this laptop is called there, this time", dest="laptop")
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
    tell(f"left as it is: {why}" for why in done.reasons)
    if to_choose:
        names = ", ".join(safe(one.title) for one in to_choose[:5])
        said_so = f"{names}: changed in two places, and both are kept. `hosewright logbook choose` shows them."
        tell([said_so])
        return BOTH_KEPT
    return LEFT_OVER if done.refused else 0


# --- what was changed in two places -----------------------------------------------------------------------------------


def run_choose(parser: Parser, argv: list[str]) -> int:
    parser.takes("id", "ID", "a session, or something on the shelf; without, all", nargs="?")
    parser.takes("which", "NUMBER", "the one to put in its place", nargs="?", type=int)
    args = parser.parse_args(argv)
    with open_book("logbook choose" if args.which is not None else "") as book:
        if args.id is None:
            return _list_questions(questions(book), as_json=args.json)
        asked = _asked(book, args.id)
        lines = _lines(asked)
        chosen = None
        if args.which is not None:
            if not 1 <= args.which <= len(asked.ways):
                raise UsageError(f"There is no {args.which} to choose; type one of 1 to {len(asked.ways)}.")
            chosen = asked.ways[args.which - 1]
            asked.keep(args.which - 1)
            others = "The others are" if len(asked.ways) > 2 else "The other is"
            lines = [f"{asked.heading}: the one from {safe(chosen)} is in its place now. {others} kept."]
        else:
            lines.append(f"`hosewright logbook choose {asked.id} 1` puts the first in its place; the others stay.")
    facts = {**named(asked, "id", "kind", "title"), "ways": _facts(asked), "chosen": chosen}
    return put(facts, lines, as_json=args.json)


def _asked(book: Logbook, said: str) -> Question:
    every = questions(book)
    found = [one for one in every if said in (one.id, one.title)]
    return found[0] if found else of_session(book, the_session(book, said).id)


def _list_questions(every: list[Question], *, as_json: bool) -> int:
    facts = ({**named(one, "id", "kind", "title"), "ways": _facts(one)} for one in every)
    lines: list[str] = []
    for one in every:
        lines += [*_lines(one), f"`hosewright logbook choose {one.id} 1` puts the first in its place.", ""]
    counted = f"{many(len(every), 'thing')} to choose. Whichever you take, the others are kept."
    return put_each(facts, [*lines, counted] if every else ["Nothing was changed in two places."], as_json=as_json)


def _lines(one: Question) -> list[str]:
    numbers = ("", *(str(at) for at in range(1, len(one.ways) + 1)))
    return [safe(f"{one.heading} ({one.id})"), *(f"  {line}" for line in aligned([numbers, *one.rows]))]


def _facts(one: Question) -> list[dict[str, str]]:
    return [{row[0]: row[at] for row in one.rows} for at in range(1, len(one.ways) + 1)]
