"""``hosewright enter``: gauges and socks of a notebook into the logbook, one by options or many from a table.

What was entered is listed, put right and retired here, too.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from hosewright.craft.units import quoted
from hosewright.logbook.records.shelf import NOTED_COLUMNS, Noted, Wearer, Yarn
from hosewright.phrases.days import local_day
from hosewright.phrases.lists import listed, many
from hosewright.planning.notebook import Taking, doubts_about, read_table, typed_again
from hosewright.verbs.book import open_book, the_one
from hosewright.verbs.parsing import Parser, UsageError, aligned, put, put_each, put_overview, safe, usual
from hosewright.words.shelf import noted_words

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Sequence

    from hosewright.logbook.book import Logbook
    from hosewright.planning.notebook import Fault

MOST_FAULTS = 20  # shown; more are counted
MOST_BYTES = 20_000_000
_VERBS = {
    "gauge": (
        "a gauge that someone once wrote down",
        '--yarn Moss --slots 64 --dial "7 1/4" --rows 60 --length "148 mm" --flat-width "102 mm" --day 2019',
    ),
    "sock": (
        "a sock cranked before there was this logbook",
        '--yarn Moss --slots 64 --wearer Coxswain --parts "leg 56, heel 40, foot 61, toe 40" --day "May 2021"',
    ),
    "csv": ("gauges and socks from a table, as `hosewright logbook csv` writes it", "notebook.csv --new --dry-run"),
    "list": ("all that was entered", ""),
    "change": ("put right what was entered; how it was can still be read", "gauge-2019-k7mw --day 2018"),
    "retire": ("retire one; nothing uses it then", "gauge-2019-k7mw"),
}
_HELP = {
    "day": "as far as it is known: 2019, “May 2021”, 24/12/2020",
    "yarn": "its name on the shelf, or a new one with --new",
    "machine": "which machine; may be left out where there is one",
    "cylinder": "which cylinder, where several have so many slots",
    "slots": "how many slots it has",
    "dial": "where it stood below zero, as it is written: “7 1/4”, “29 clicks”",
    "rows": "how many rows were measured",
    "length": "how long they were, washed",
    "flat_width": "how wide it lay flat",
    "rows_error": "its error (after the ±), in the same unit; left out, one is assumed",
    "stitches_error": "the same for the stitches",
    "mass": "what those rows alone weighed, or the sock: “12 g”",
    "wearer": "whose sock it was",
    "parts": "its parts and their rows: “leg 56, heel 40 passes, foot 61, toe 40 passes”",
    "verdict": "what was said on the foot: “right”, “round tight, length right”",
    "promise": "the promised pair it is one of",
    "note": "anything else it says",
}


def run(argv: list[str]) -> int:
    kinds = listed(list(_VERBS), "or")
    if not argv:
        raise UsageError(f"Type what to enter, or to do with what was entered: {kinds}.")
    name, rest = argv[0], argv[1:]
    if name in ("-h", "--help"):
        return put_overview(
            "hosewright enter WHAT; `hosewright enter WHAT --help` shows how each is used.",
            {kind: what for kind, (what, _) in _VERBS.items()},
        )
    if name not in _VERBS:
        raise UsageError(f"{quoted(name)} cannot be entered; there is {kinds}.")
    what, example = _VERBS[name]
    parser = Parser(f"enter {name}", what, example)
    if name in _SEE_TO:
        return _SEE_TO[name](parser, rest)
    if name == "csv":
        parser.takes("file", "FILE", f"its first line names the columns: {', '.join(NOTED_COLUMNS)}")
    else:
        _add_lines(parser, name)
    parser.flag("--new", "put on the shelf what is not there: yarn, machine and so on")
    parser.flag("--dry-run", "only say what would be taken in")
    args = parser.parse_args(rest)
    table = _table(args.file) if name == "csv" else [(0, _typed(args, name))]
    with open_book(f"enter {name}", make=True, dry_run=args.dry_run) as book:
        return _take(book, table, args)


def _add_lines(parser: Parser, name: str, default: str | None = "") -> None:
    for column in NOTED_COLUMNS:
        if column in ("id", "what") or (name == "gauge" and column in ("wearer", "parts", "promise")):
            continue
        what, _, per = column.partition("_per_")
        said = f"or {what} per {'inch' if per == 'in' else per}, washed" if per else _HELP[column]
        parser.takes(f"--{column.replace('_', '-')}", "TEXT", said, default=default)


def _typed(args: Namespace, name: str) -> dict[str, str]:
    return {column: getattr(args, column, "") for column in NOTED_COLUMNS} | {"what": name}


def _table(name: str) -> list[tuple[int, dict[str, str]]]:
    path = Path(name)
    if path.stat().st_size > MOST_BYTES:
        raise UsageError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB: split it into smaller tables.")
    try:
        return read_table(path.read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError:
        raise UsageError(f"{name} is not text in UTF-8: save it from the spreadsheet as CSV, UTF-8.") from None


def _take(book: Logbook, table: Sequence[tuple[int, dict[str, str]]], args: Namespace) -> int:
    have = usual()
    taking = Taking(book, have.length_unit, have.mass_unit, local_day(book.clock), new=args.new)
    faults = [fault for line, texts in table for fault in taking.read(texts, line)]
    if faults:
        raise UsageError(_faults_words(faults))
    if not args.dry_run:
        taking.keep()
    names = {one.id: one.name for one in taking.everything()}
    lines, told = [], []
    for taken in taking.taken:
        said = noted_words(taken.one, names, _per(have.length_unit))
        lines.append(f"{'Here already: ' if taken.here_already else ''}{safe(said)}")
        doubts = () if taken.here_already else doubts_about(taken.one)
        lines += [f"  Take a look: {doubt}" for doubt in doubts]
        told.append({"here_already": taken.here_already, "doubts": doubts, **taken.one.model_dump(mode="json")})
    made = [{"kind": type(one).__name__.lower(), "id": one.id, "name": one.name} for one in taking.made]
    for new, one in zip(taking.made, made, strict=True):
        like = taking.much_like(new)
        known = f"; take a look: {safe(like)} was there already" if like else ""
        lines.append(f"New on the shelf: {one['kind']} {safe(new.name)}{known}")
    uncounted = [one.name for one in taking.made if hasattr(one, "clicks_per_turn")]
    if uncounted:
        lines.append(f"The dial clicks of {safe(listed(uncounted))} are asked for when they are first needed.")
    answer = {"dry_run": args.dry_run, "taken": told, "new_on_the_shelf": made}
    return put(answer, [*lines, "", _in_all(taking, dry_run=args.dry_run)], as_json=args.json)


def _in_all(taking: Taking, *, dry_run: bool) -> str:
    kinds = Counter(taken.one.what for taken in taking.taken if not taken.here_already)
    said = listed([many(count, kind) for kind, count in sorted(kinds.items())]) or "nothing new"
    here = sum(taken.here_already for taken in taking.taken)
    already = f" {many(here, 'line')} {'was' if here == 1 else 'were'} here already." if here else ""
    if dry_run:
        return f"Would be taken in: {said}.{already} Nothing was saved."
    return f"Taken in from the notebook: {said}.{already}"


def _faults_words(faults: Sequence[Fault]) -> str:
    """Every fault with its line, or of a single one just what is wrong with which option."""
    if not faults[0].line:
        said = [f"--{fault.column.replace('_', '-')}: {fault.why}" for fault in faults]
        return "\n  ".join([*said, "Nothing was saved."]) if len(said) > 1 else f"{said[0]} Nothing was saved."
    lines = [f"line {fault.line}, {fault.column}: {fault.why}" for fault in faults[:MOST_FAULTS]]
    if len(faults) > MOST_FAULTS:
        lines.append(f"and {len(faults) - MOST_FAULTS} more")
    wrong = many(len({fault.line for fault in faults}), "line")
    return "\n  ".join([f"Nothing was taken in; {wrong} must be put right first:", *lines])


# --- what was entered -------------------------------------------------------------------------------------------------


def _list(parser: Parser, argv: list[str]) -> int:
    parser.flag("--old", "retired ones, too")
    args = parser.parse_args(argv)
    with open_book() as book:
        noted = sorted(book.shelf(Noted, retired=args.old), key=lambda one: one.at_ms)
        names = {one.id: one.name for cls in (Yarn, Wearer) for one in book.shelf(cls, retired=True)}
    if args.json:
        return put_each(one.model_dump(mode="json") for one in noted)
    unit = _per(usual().length_unit)
    rows = [(one.id, safe(noted_words(one, names, unit)) + " (retired)" * one.retired) for one in noted]
    print("\n".join(aligned(rows)) if rows else "Nothing was entered from a notebook yet.")
    return 0


def _change(parser: Parser, argv: list[str]) -> int:
    parser.takes("id", "ID", "its id, or enough of it; `hosewright enter list` shows them")
    _add_lines(parser, "sock", None)
    parser.flag("--new", "put on the shelf what is not there: yarn, machine and so on")
    args = parser.parse_args(argv)
    given = {name: text for name in NOTED_COLUMNS if name != "id" and (text := getattr(args, name, None)) is not None}
    if not given:
        raise UsageError("Type what to put right, such as --day 2018.")
    have = usual()
    with open_book("enter change") as book:
        one = _the_one(book, args.id)
        taking = Taking(book, have.length_unit, have.mass_unit, local_day(book.clock), new=args.new)
        faults = taking.read(typed_again(one, given))
        if faults:
            raise UsageError(_faults_words(faults))
        made = taking.taken[0].one.model_copy(update={"id": one.id, "retired": one.retired})
        book.keep(*taking.made, made)
        names = {one.id: one.name for one in taking.everything()}
    said = noted_words(made, names, _per(have.length_unit))
    return put(made.model_dump(mode="json"), [f"Changed: {safe(said)}"], as_json=args.json)


def _retire(parser: Parser, argv: list[str]) -> int:
    parser.takes("id", "ID", "its id, or enough of it; `hosewright enter list` shows them")
    parser.flag("--back", "take it back into use")
    args = parser.parse_args(argv)
    with open_book("enter retire") as book:
        made = _the_one(book, args.id).model_copy(update={"retired": not args.back})
        book.keep(made)
    said = f"{made.name} ({made.id}) is {'in use again' if args.back else 'retired'}."
    return put({"id": made.id, "retired": made.retired}, [f"The {said}"], as_json=args.json)


_SEE_TO = {"list": _list, "change": _change, "retire": _retire}


def _the_one(book: Logbook, said: str) -> Noted:
    return the_one(book.shelf(Noted, retired=True), said, "gauge or sock", "from the notebook")


def _per(length_unit: str) -> str:
    """What rows are counted to where lengths are in this unit."""
    return "in" if length_unit == "in" else "cm"
