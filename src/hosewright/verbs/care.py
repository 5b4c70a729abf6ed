"""``hosewright care``: what each machine has cranked since it was oiled, what was done to it, and noting that it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.logbook.accounts.care import Oiled, blank, figures, history, still_ms
from hosewright.logbook.records.shelf import Cylinder, Machine
from hosewright.phrases.days import clock_day
from hosewright.phrases.times import utc_text
from hosewright.verbs.book import keep_beside_a_bench, open_book, the_one
from hosewright.verbs.parsing import Parser, UsageError, aligned, put_each, safe, usual
from hosewright.words.care import entry_words, figure_lines, oil_words

if TYPE_CHECKING:
    from hosewright.logbook.accounts.care import Figures
    from hosewright.logbook.accounts.cranked import Cranked
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.year import Care

FEW = 5  # entries shown of each machine when all are


def run(argv: list[str]) -> int:
    parser = Parser(
        "care", "what each machine has cranked since it was oiled, and what was done to it", 'hosewright care "Grey"'
    )
    parser.add_argument(
        "machine", metavar="MACHINE", nargs="?", help="its name or part of it, or its id; without it, every machine"
    )
    parser.add_argument("--oiled", action="store_true", help="note that it was oiled just now")
    parser.add_json()
    args = parser.parse_args(argv)
    if args.oiled and args.machine is None:
        raise UsageError("Say which machine was oiled: `hosewright care MACHINE --oiled`.")

    if args.oiled:
        _note_oiled(args.machine)
    with open_book() as book:
        machines = book.shelf(Machine)
        if args.machine is not None:
            machines = [the_one(machines, args.machine, "machine")]
        names = {one.id: one.name for one in book.shelf(Cylinder, retired=True)}
        told = [(machine, *_told(book, machine)) for machine in machines]
    if args.json:
        return put_each(_facts(machine, found, done) for machine, found, done in told)
    most = FEW if args.machine is None else None
    parts = ["\n".join(_lines(*one, names, most)) for one in told]
    print("\n\n".join(parts) or "No machine is on the shelf.")
    return 0


def _note_oiled(called: str) -> None:
    """Keep that a machine was oiled just now, by the bench that has the logbook open where one has."""
    with open_book() as book:
        path, now = book.path, book.clock.now()
        item = blank(the_one(book.shelf(Machine), called, "machine"), "oiled", now)
    keep_beside_a_bench(path, "care", "care", item)


def _told(book: Logbook, machine: Machine) -> tuple[Figures, list[Care]]:
    at_ms, zone_min, _ = book.clock.now()
    return figures(book.store, machine.id, Oiled(at_ms, zone_min), _still()), history(book, machine.id)


def _still() -> int:
    """The longest gap that is time at the crank, by the knitter's settings."""
    return still_ms(usual().pause_after_s)


def _lines(machine: Machine, found: Figures, done: list[Care], names: dict[str, str], most: int | None) -> list[str]:
    shown = [(clock_day(item.at_ms, item.zone_min), safe(entry_words(item, names))) for item in done[:most]]
    lines = [safe(machine.name), *(f"  {line}" for line in figure_lines(found)), f"  {safe(oil_words(machine, found))}"]
    lines += [f"  {line}" for line in aligned(shown)]
    if len(done) > len(shown):
        lines.append(f"  and {len(done) - len(shown)} more: `hosewright care {safe(machine.id)}`")
    return lines


def _facts(machine: Machine, found: Figures, done: list[Care]) -> dict[str, object]:
    return {
        "machine": machine.id,
        "name": machine.name,
        "oil_every_rows": machine.oil_every_rows,
        "oiled": utc_text(found.oiled.at_ms) if found.oiled else None,
        "since_oiled": _cranked(found.since_oiled) if found.since_oiled else None,
        "this_month": _cranked(found.month),
        "ever": _cranked(found.ever),
        "done": [_entry(item) for item in done],
    }


def _cranked(what: Cranked) -> dict[str, float]:
    return {"rows": what.rows, "passes": what.passes, "hours": what.ms / 3_600_000, "as_rows": what.as_rows}


def _entry(item: Care) -> dict[str, object]:
    return {
        "id": item.id,
        "at": utc_text(item.at_ms),
        "what": item.name,
        "needles": list(item.needles),
        "cylinder": item.cylinder,
        "fault": item.fault or None,
        "why": item.why,
        "note": item.note,
        "struck_out": item.retired,
    }
