"""``hosewright logbook``: its verbs; here list, show, report, check, rescue and backup."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.verbs.forget import forget_options, forget_wearer
from hosewright.verbs.logbook_back import BACK
from hosewright.verbs.logbook_share import SHARE
from hosewright.verbs.opening import open_book
from hosewright.verbs.parsing import Parser, UsageError, aligned, no_options, put, safe, usual
from hosewright.verbs.restore import restore_backup, restore_options

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Callable

    from hosewright.logbook.records.sessions import SessionRecord
    from hosewright.session.state import State

FAULTY = 1  # `check` found something, or `rescue` lost something; 2 is for what could not be done at all


def run(argv: list[str]) -> int:
    """Run one of the logbook's verbs. Raises LogbookError or UsageError with a sentence."""
    listed = f"{', '.join(list(_VERBS)[:-1])} or {list(_VERBS)[-1]}"
    if not argv:
        raise UsageError(f"Type what to do with the logbook: {listed}.")
    if argv[0] in ("-h", "--help"):
        width = max(map(len, _VERBS))
        print("hosewright logbook VERB; `hosewright logbook VERB --help` shows how each is used.\n")
        print("\n".join(f"  {name:<{width}}  {what}" for name, (what, _, _, _) in _VERBS.items()))
        return 0
    if argv[0] not in _VERBS:
        from hosewright.craft.units import quoted

        raise UsageError(f"The logbook has no verb {quoted(argv[0])}; there are {listed}.")
    what, example, options, do = _VERBS[argv[0]]
    parser = Parser(f"logbook {argv[0]}", what, f"hosewright logbook {example}")
    options(parser)
    parser.add_json()
    return do(parser.parse_args(argv[1:]))


# --- looking ---------------------------------------------------------------------------------------------------


def _list(args: Namespace) -> int:
    from hosewright.logbook.travel import exporting as moving
    from hosewright.phrases.figures import clock_time
    from hosewright.places import logbook_path
    from hosewright.session.kinds import KINDS, STANDS

    if not logbook_path().exists():
        if not args.json:
            print("There is no logbook yet, so no sessions.")
        return 0
    with open_book() as book:
        lines = moving.every(book)
        if args.json:
            for line in lines:
                print(json.dumps(_line_facts(line.id, line.kind, line.title, line.status, line.started_ms)))
            return 0
        zone = book.clock.now().zone_min
        rows = [
            (line.id, clock_time(line.started_ms, zone), KINDS[line.kind], STANDS[line.status], safe(line.title))
            for line in lines
        ]
    print("\n".join(aligned(rows)) if rows else "The logbook has no sessions yet.")
    return 0


def _line_facts(session: str, kind: str, title: str, status: str, started_ms: int) -> dict[str, object]:
    from datetime import UTC, datetime

    from hosewright.session.kinds import STANDS

    started = datetime.fromtimestamp(started_ms / 1000, UTC).isoformat(timespec="seconds")
    facts: dict[str, object] = {"id": session, "kind": kind, "title": title, "status": status}
    facts |= {"stands": STANDS[status], "started": started}  # the first as screens and lists call it
    return facts


def _show(args: Namespace) -> int:
    with open_book() as book:
        line = book.store.find(args.session)
        record, state = book.record(line), book.state(line)
    facts = _line_facts(record.id, record.kind, record.title, state.status, record.started_ms)
    return put(facts | _standing(record, state), _standing_lines(record, state), as_json=args.json)


def _standing(record: SessionRecord, state: State) -> dict[str, object]:
    from hosewright.session.words import hands

    return {
        "machine": record.machine.name,
        "cylinder": record.cylinder.name,
        "slots": record.cylinder.slots,
        "yarn": record.yarn.name,
        "wearer": record.wearer.name if record.wearer else None,
        "step": state.step.id if state.step else None,
        "count": state.count,
        "target": state.target,
        "dial_clicks": state.dial,
        "baseline_clicks": state.baseline,
        "hands": hands(state),
        "steps": [
            {"id": step.id, "title": step.title, "count": count}
            for step, count in zip(state.head.steps, state.counts, strict=True)
        ],
    }


def _standing_lines(record: SessionRecord, state: State) -> list[str]:
    from hosewright.craft.dial import show_position
    from hosewright.phrases.figures import clock_time
    from hosewright.session.kinds import STANDS, kind_of
    from hosewright.session.words import hands

    yarn, cylinder = safe(record.yarn.name), safe(record.cylinder.name)
    lines = [
        f"{safe(record.title)} ({record.id})",
        f"{kind_of(record)}, {STANDS[state.status]}, begun {clock_time(record.started_ms, record.zone_min)}.",
        f"{yarn} on {cylinder}, {safe(record.machine.name)}.",
        f"Dial {show_position(state.dial, record.machine.clicks_per_turn)}.",
    ]
    if state.step is not None:
        lines.append(f"Next: {safe(hands(state))}.")
    counted = [
        (safe(step.title), str(count), f"of {target}" if target else "")
        for step, count in zip(state.head.steps, state.counts, strict=True)
        for target in [getattr(step, "target", None)]
        if count or target
    ]
    return [*lines, "", *aligned(counted)]


def _report(args: Namespace) -> int:
    from hosewright.logbook.records.shelf import Plan
    from hosewright.paper.crank_sheet import crank_sheet
    from hosewright.paper.html_page import report_page
    from hosewright.paper.report import sections, session_report

    usually = usual()
    unit = usually.length_unit
    with open_book() as book:
        line = book.store.find(args.session)
        record = book.record(line)
        if not args.sheet:
            plans = [plan for plan in book.shelf(Plan) if plan.gauge_session == record.id]
            told = (record, list(book.store.entries(line.n)), unit, plans, usually.tape_error_mm)
            text = report_page(record.title, sections(*told)) if args.html else session_report(*told)
        elif record.plan is not None:
            caution = record.wearer is not None and record.wearer.caution
            text = crank_sheet(record.plan, record.machine, length_unit=unit, caution=caution)
        else:
            raise UsageError(f"Session {record.id} was not started from a plan, so it has no crank sheet.")
    if args.output is not None:
        from hosewright.logbook.travel.exporting import write_new

        write_new(Path(args.output), text)
        return put({"id": record.id, "file": args.output}, [f"Written: {args.output}"], as_json=args.json)
    form = "html" if args.html else "markdown"
    return put({"id": record.id, form: text}, [text.rstrip("\n")], as_json=args.json)


def _check(args: Namespace) -> int:
    from hosewright.logbook.file import seal
    from hosewright.logbook.file.lock import cured
    from hosewright.logbook.file.store import LogbookError
    from hosewright.logbook.upkeep.checking import find_faults
    from hosewright.places import logbook_path

    path = logbook_path()
    try:
        if args.accept:
            _accept(path)
        with open_book() as book:
            sessions, faults = find_faults(book)
    except LogbookError as error:
        told = not path.exists() or "logbook rescue" in str(error)
        raise LogbookError(str(error) if told else f"{error} {_rescued(path)}") from error
    counted = f"{path}: {sessions} {'session' if sessions == 1 else 'sessions'}"
    lines = [f"{counted}, sound."]
    if faults:
        lines = [f"{counted}, {len(faults)} {'fault' if len(faults) == 1 else 'faults'}:", *faults, _rescued(path)]
        if len(faults) == 1 and seal.fault_of(path):
            lines.append(
                "All sessions can be read and add up. If another program of yours wrote to the file, `hosewright "
                "logbook check --accept` takes it as it is now."
            )
    has_cure = cured(sqlite3.sqlite_version_info)
    lines.append(
        f"SQLite {sqlite3.sqlite_version}, {'with' if has_cure else 'without'} the cure for two writers that damage a "
        "log; hosewright lets only one write at a time."
    )
    facts = {"file": str(path), "sessions": sessions, "sound": not faults, "faults": faults}
    put(facts | {"sqlite": sqlite3.sqlite_version, "sqlite_cured": has_cure}, lines, as_json=args.json)
    return FAULTY if faults else 0


def _rescued(path: Path) -> str:
    return (
        f"`hosewright logbook rescue {path}` brings what can be read into a new file; `hosewright logbook restore` "
        "lists the backups."
    )


def _accept(path: Path) -> None:
    """Take the file as it is now for sound. Raises LogbookError."""
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.file.store import LogbookError

    book = Logbook.for_counting(path)
    try:
        if book.store.why_looking:
            raise LogbookError(book.store.why_looking)
        book.break_seal("")
    finally:
        book.close()


def _check_options(parser: Parser) -> None:
    parser.add_argument("--accept", action="store_true", help="take a file that another program wrote to as it is now")


# --- keeping -------------------------------------------------------------------------------------------------------


def _rescue(args: Namespace) -> int:
    from hosewright.logbook.upkeep.rescue import rescue

    source = Path(args.file)
    target = Path(args.to) if args.to else source.with_name(f"{source.stem}-rescued.sqlite")
    found = rescue(source, target)
    said = f"{len(found.sessions)} {'session' if len(found.sessions) == 1 else 'sessions'} rescued into {target}."
    swap = (
        f"{source} was not touched. To go on with what was rescued, move that file aside (with {source.name}-wal and "
        f"{source.name}-shm, if they are there) and give the new one its name."
    )
    lines = [said, *(f"From a backup: {one}" for one in found.filled), *(f"Lost: {loss}" for loss in found.lost), swap]
    answer = {"file": str(target), "sessions": found.sessions, "from_backups": found.filled, "lost": found.lost}
    put(answer, lines, as_json=args.json)
    return FAULTY if found.lost else 0


def _backup(args: Namespace) -> int:
    with open_book() as book:
        book.store.copy_to(Path(args.file))
    return put({"file": args.file}, [f"The whole logbook is copied to {args.file}."], as_json=args.json)


# --- options ---------------------------------------------------------------------------------------------------


def _one_session(parser: Parser) -> None:
    parser.add_argument("session", metavar="ID", help="the session's id, or as much of it as is unlike any other")


def _report_options(parser: Parser) -> None:
    _one_session(parser)
    parser.add_argument("--markdown", action="store_true", help="as Markdown on the terminal (what it does anyway)")
    parser.add_argument("--output", metavar="FILE", help="write it into a new file")
    parser.add_argument("--html", action="store_true", help="as one page to print, A4 or Letter")
    parser.add_argument("--sheet", action="store_true", help="the crank sheet of the session's plan instead")


def _rescue_options(parser: Parser) -> None:
    parser.add_argument("file", metavar="FILE", help="the damaged logbook; it is only read")
    parser.add_argument("--to", metavar="NEWFILE", help="the new logbook (FILE-rescued.sqlite beside it)")


def _backup_options(parser: Parser) -> None:
    parser.add_argument("file", metavar="FILE", help="a file that is not there yet")


_VERBS: dict[str, tuple[str, str, Callable[[Parser], None], Callable[[Namespace], int]]] = {
    "list": ("every session, the last changed first", "list", no_options, _list),
    "show": ("where one session stands", "show 20250114-k7mwpd", _one_session, _show),
    "report": ("the report on one session", "report 20250114 --output report.md", _report_options, _report),
    **BACK,
    **SHARE,
    "check": ("look for damage", "check", _check_options, _check),
    "rescue": ("bring what can be read of a damaged logbook into a new one", "rescue FILE", _rescue_options, _rescue),
    "backup": ("copy the whole logbook", "backup logbook-copy.sqlite", _backup_options, _backup),
    "restore": (
        "the backups, what each would bring back, and one put in place",
        "restore 1",
        restore_options,
        restore_backup,
    ),
    "forget": ("remove a wearer with all that names them", "forget Coxswain --yes", forget_options, forget_wearer),
}
