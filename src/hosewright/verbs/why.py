"""``hosewright why``: when it knits badly, how faults lie on a machine and what to look at; and keeping what helped."""

from __future__ import annotations

from dataclasses import asdict
from functools import partial
from typing import TYPE_CHECKING

from hosewright.craft import MOST_SLOTS
from hosewright.logbook.accounts.care import beds
from hosewright.logbook.accounts.troubles import (
    advise,
    bed_of,
    blank_tried,
    past_of,
    tried_on,
)
from hosewright.logbook.records.shelf import Machine
from hosewright.phrases.field import FieldError
from hosewright.phrases.times import utc_text
from hosewright.session.troubles import SYMPTOMS
from hosewright.verbs.asking import add_options, ask_line, say, typed
from hosewright.verbs.book import keep_beside_a_bench, open_book, the_one
from hosewright.verbs.parsing import Parser, UsageError, named, put
from hosewright.words import troubles as words

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.logbook.accounts.care import Bed
    from hosewright.logbook.accounts.troubles import Advice
    from hosewright.logbook.book import Logbook
    from hosewright.logbook.records.year import Tried

_ANSWERS = (words.SEEN, words.CHECK, words.ANSWER)


def run(argv: list[str]) -> int:
    parser = Parser("why", "when it knits badly: what to look at, the likeliest first", '"Grey"')
    parser.takes(
        "which",
        "ID|MACHINE",
        "a session by its id, or a machine by its name; without it, the machine cranked last",
        nargs="?",
    )
    fields = (*_ANSWERS, *words.slot_fields(MOST_SLOTS), words.WENT)
    add_options(parser, fields)
    parser.flag("--ask", "go through the checks one by one, and keep your answers")
    args = parser.parse_args(argv)
    given = typed(args, fields)
    with open_book() as book:
        path, bed = book.path, _bed(book, args.which)
        past, now = past_of(book, bed), book.clock.now()
        tried = tried_on(book, bed.machine_id)
    seen = words.SEEN.read(given.get("seen", ""))
    if seen is None and args.ask:
        likeliest = past.likeliest().title
        asked = ask_line(words.SEEN, likeliest, {})
        seen = words.SEEN.read(asked or likeliest)
    told = advise(past, SYMPTOMS[seen] if seen else past.likeliest(), tried, now.at_ms)
    keep = partial(keep_beside_a_bench, path, "why", "tried")
    if args.ask:
        kept = _asked(told, lambda check, outcome: keep(blank_tried(bed, told.symptom, check, now, outcome=outcome)))
        say("Saved." if kept else "Nothing to save.")
        return 0
    items = [blank_tried(bed, told.symptom, check, now, **more) for check, more in _given(told, given)]
    for item in items:
        keep(item)
    if args.json:
        return put(_facts(told, items), (), as_json=True)
    say(*(["Saved."] if items else words.why_lines(told)))
    return 0


def _bed(book: Logbook, which: str | None) -> Bed:
    known = beds(book.store, of_late=True)
    if which is None:
        if not known:
            raise UsageError("Nothing was cranked yet, so there is nothing to look into.")
        return known[0]
    if (line := book.store.line(which)) is not None or which[:1].isdigit():
        return bed_of(book.record(line or book.store.find(which)))
    machine = the_one(book.shelf(Machine), which, "machine")
    bed = next((one for one in known if one.machine_id == machine.id), None)
    if bed is None:
        raise UsageError(f"Nothing was cranked on {machine.name} yet, so there is nothing to look into.")
    return bed


def _given(told: Advice, given: dict[str, str]) -> list[tuple[str, dict[str, object]]]:
    """What the options say came of a check. Raises FieldError and UsageError."""
    slots = told.past.bed.slots
    if "needle" in given or "to" in given:
        values = {field.name: field.read(given.get(field.name, "")) for field in words.slot_fields(slots)}
        return [("move-needle", {"outcome": "moved", **values})]
    if "went" in given:
        if told.move is None:
            raise UsageError("No needle waits for an answer: say first which was moved, with --needle and --to.")
        went = {"outcome": words.WENT.read(given["went"]), "needle": told.move.needle, "to": told.move.to}
        return [("move-needle", went)]
    check, answer = words.CHECK.read(given.get("check", "")), words.ANSWER.read(given.get("answer", ""))
    if check and not answer and "answer" not in given:
        raise UsageError("Say what came of that check: --answer “that was it”, “no” or “not now”.")
    if answer and not check:
        raise FieldError("check", "Say which check that was: --check, and its name as `hosewright why` lists it.")
    return [(check, {"outcome": answer})] if answer else []


def _asked(told: Advice, keep: Callable[[str, str], None]) -> int:
    """The checks one at a time, each answer kept as it is given; returns how many were."""
    say(*words.seen_lines(told))
    kept = 0
    for at, check in enumerate(told.checks, 1):
        spoken = words.said(check, told)
        say(f"{at} of {len(told.checks)}: {spoken.title}")
        say(spoken.why, spoken.how, spoken.caution)
        answered = ask_line(words.ANSWER, "", {})
        outcome = words.ANSWER.read(answered or "")
        if outcome:
            keep(check.id, outcome)
            kept += 1
        if answered is None or outcome == "helped":
            break
    return kept


def _facts(told: Advice, kept: list[Tried]) -> dict[str, object]:
    bed, since = told.past.bed, told.since
    return {
        "machine": bed.machine_id,
        "cylinder": bed.cylinder_id,
        "seen": told.symptom.id,
        "noted": told.noted,
        "sessions": told.past.sessions,
        **named(told.lay, "too_few", "even", "looks"),
        "lies": [asdict(lie) for lie in told.lay.lies],
        "since": {"what": since.what, "at": utc_text(since.at_ms)} if since else None,
        "moved": {"from": told.move.needle, "to": told.move.to} if told.move else None,
        "checks": [
            {"id": check.id, **words.said(check, told)._asdict(), "helped": told.often.get(check.id, 0)}
            | {"lately_no": check.id in told.refused}
            for check in told.checks
        ],
        "saved": [item.id for item in kept],
    }
