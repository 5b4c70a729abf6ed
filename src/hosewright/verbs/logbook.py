"""``hosewright logbook``: the table of its verbs. Only the module of the one called is imported."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

from hosewright.craft.units import quoted
from hosewright.phrases.lists import nearest
from hosewright.verbs.parsing import Parser, UsageError, put_overview

if TYPE_CHECKING:
    from collections.abc import Callable

# What each is found in, its summary and an example. The function of "leave-out" is ``run_leave_out``.
_VERBS: dict[str, tuple[str, str, str]] = {
    "list": ("logbook_sessions", "every session, the last changed first", ""),
    "show": ("logbook_sessions", "where one session stands", "20250114-k7mwpd"),
    "report": ("logbook_sessions", "the report on one session", "20250114 --output report.md"),
    "find": ("logbook_sessions", "sessions by any word in them, in any order", "grey --kind tube --since 2024-10"),
    "compare": ("logbook_sessions", "sessions side by side, differences first", "20241006 20251011"),
    "correct": ("logbook_sessions", "put right what was begun, counted or read off wrongly", "20251011 --rows tube=59"),
    "leave-out": ("logbook_sessions", "leave a session out of gauges, pace and statistics", "20251011 --reason felted"),
    "take-in": ("logbook_sessions", "take a session in again that was left out", "20251011"),
    "yarn": ("shelf", "what a yarn did, and whether its gauge still holds", '"Slack Water"'),
    "needles": ("shelf", "needles that keep faulting, by machine and cylinder", ""),
    "shelf": ("shelf", "machines, cylinders, yarns, wearers and plans", "yarns"),
    "sheet": ("shelf", "the crank sheet of a plan", "20241012 --html --output sheet.html"),
    "csv": (
        "logbook_sessions",
        "events of a session, or every gauge and the notebook, for a spreadsheet",
        "--output gauges.csv",
    ),
    "pace": ("logbook_sessions", "rows a minute month by month, heel passes apart", ""),
    "export": ("logbook_share", "session files, to keep or to give away", "--folder kept"),
    "import": ("logbook_share", "take session files in; nothing is overwritten", "kept --dry-run"),
    "merge": ("logbook_share", "take in what another logbook has, by id", "other.sqlite --dry-run"),
    "choose": ("logbook_share", "what was changed in two places, side by side, to choose from", "20250114 2"),
    "schema": ("logbook_share", "the JSON Schema of session files, or of shelf files", "shelf --output shelf.json"),
    "check": ("logbook_upkeep", "look for damage", ""),
    "rescue": ("logbook_upkeep", "bring what can be read of a damaged logbook into a new one", "FILE"),
    "backup": ("logbook_upkeep", "copy the whole logbook", "logbook-copy.sqlite"),
    "restore": ("logbook_upkeep", "the backups, what each would bring back, and one put in place", "1"),
    "forget": ("logbook_upkeep", "remove a wearer with all that names them", "Coxswain --yes"),
}


def run(argv: list[str]) -> int:
    listed = f"{', '.join(list(_VERBS)[:-1])} or {list(_VERBS)[-1]}"
    if not argv:
        raise UsageError(f"Type what to do with the logbook: {listed}.")
    name = argv[0]
    if name == "help" and argv[1:]:
        name, argv = argv[1], [*argv[1:], "--help"]
    if name in ("-h", "--help", "help"):
        return put_overview(
            "hosewright logbook VERB; `hosewright logbook VERB --help` shows how each is used.",
            {verb: what for verb, (_, what, _) in _VERBS.items()},
        )
    if name not in _VERBS:
        raise UsageError(f"The logbook has no verb {quoted(name)}.{nearest(name, _VERBS)} There are {listed}.")
    module, what, example = _VERBS[name]
    found = import_module(f"hosewright.verbs.{module}")
    do: Callable[[Parser, list[str]], int] = getattr(found, f"run_{name.replace('-', '_')}")
    return do(Parser(f"logbook {name}", what, example), argv[1:])
