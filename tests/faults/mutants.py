"""Files changed at random: session, theme and settings files with bytes, numbers, words and whole branches put wrong.

A mutant must be taken whole and do no harm, or be refused in a sentence with nothing changed. Never a traceback,
a hang, or half of it kept.
"""

from __future__ import annotations

import json
import random
import re
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from hosewright.bench.themes import ThemeError, read_theme
from hosewright.counting.key_choice import usable_keymap
from hosewright.logbook.book import Logbook
from hosewright.logbook.glance import look
from hosewright.logbook.records.shelf import harmless
from hosewright.logbook.travel.folders import import_all
from hosewright.logbook.travel.session_files import read_text, session_in, write
from hosewright.logbook.upkeep.checking import find_damage
from hosewright.paper.csv_files import events_csv
from hosewright.paper.report import session_report
from hosewright.places import shipped_folder
from hosewright.session.words import instruction, now_words
from hosewright.settings.loading import load
from hosewright.settings.table import Settings

if TYPE_CHECKING:
    from pathlib import Path

SLOWEST_S = 5.0  # a file of a few kilobytes that takes longer hangs
NASTY_WORDS = (
    "",
    " ",
    "\x1b[2J\x1b]0;gone\x07",
    "\x9b31m",
    "[red]x[/red]",
    "[@click=app.quit]press[/]",
    "<script>alert(1)</script>",
    "=cmd|' /C calc'!A0",
    "![x](http://example.invalid/x)",
    "\u202eknitter",
    "\ufeff",
    "a\x00b",
    "line\nbreak\r\nagain",
    "x" * 5000,
    "../../etc/passwd",
    "e\u0301\u200d\U0001f9e6",
    "NaN",
    "-0",
    "\ud800",
)
NASTY_VALUES: tuple[Any, ...] = (
    None,
    True,
    0,
    -1,
    1,
    2**31,
    2**63,
    -(2**63) - 1,
    10**400,
    1e308,
    -1e-300,
    float("nan"),
    float("inf"),
    [],
    {},
    [[[[[]]]]],
    {"kind": "pressed"},
    *NASTY_WORDS,
)
SETTINGS_TEXT = """\
# how this knitter likes it
length_unit = "cm"
mass_unit = "oz"
tape_error_mm = 0.5
theme = "daylight"
tube_rows = 60
separator_rows = 12
count_shows = "down"
press_gap_ms = 150
pause_after_s = 600
cue_rows_ahead = 5
weights_every = 20
rest_after_min = 30
bell = false
count_keys = ["space", "f9"]

[keys]
take_back = "backspace"
pause = "f8"
"""
_DRIVES_A_TERMINAL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


@dataclass
class Figures:
    """What a run came to."""

    mutants: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    slowest_s: float = 0.0


# --- making them ---------------------------------------------------------------------------------------------------


def bytes_put_wrong(content: bytes, rng: random.Random) -> bytes:
    """A few bytes flipped, a stretch cut out, doubled, moved, or replaced by something nasty."""
    data = bytearray(content)
    for _ in range(rng.randrange(1, 4)):
        at = rng.randrange(len(data) + 1)
        span = rng.choice((1, 1, 4, 40, 400))
        how = rng.randrange(6)
        if how == 0 and at < len(data):
            data[at] ^= 1 << rng.randrange(8)
        elif how == 1:
            del data[at : at + span]
        elif how == 2:
            data[at:at] = data[at : at + span]
        elif how == 3:
            data[at:at] = rng.choice(NASTY_WORDS).encode("utf-8", "surrogatepass")
        elif how == 4:
            data[at : at + 1] = bytes([rng.randrange(256)])
        else:
            del data[at:]
    return bytes(data)


def branch_put_wrong(document: Any, rng: random.Random) -> Any:
    """Some values of a JSON document replaced, removed or doubled."""
    for _ in range(rng.randrange(1, 4)):
        holders = list(_holders(document))
        holder = rng.choice(holders)
        if isinstance(holder, dict) and holder:
            key = rng.choice(list(holder))
            how = rng.randrange(4)
            if how == 0:
                del holder[key]
            elif how == 1:
                holder[rng.choice(("more", "kind", "id", "note", "retired"))] = rng.choice(NASTY_VALUES)
            else:
                holder[key] = rng.choice(NASTY_VALUES)
        elif isinstance(holder, list) and holder:
            at = rng.randrange(len(holder))
            how = rng.randrange(4)
            if how == 0:
                del holder[at]
            elif how == 1:
                holder.insert(at, holder[rng.randrange(len(holder))])
            elif how == 2:
                holder[at] = rng.choice(NASTY_VALUES)
            else:
                other = rng.randrange(len(holder))
                holder[at], holder[other] = holder[other], holder[at]
    return document


def gently_put_wrong(document: Any, rng: random.Random) -> Any:
    """Words, numbers and the order of events changed so that the file may well still be one."""
    events, start = document["events"], document["session"]
    for _ in range(rng.randrange(1, 5)):
        how = rng.randrange(6)
        if how == 0:
            part = rng.choice([start, start["machine"], start["cylinder"], start["yarn"]])
            part[rng.choice([name for name in part if isinstance(part[name], str)])] = rng.choice(NASTY_WORDS)
        elif how == 1:
            part = rng.choice(start["steps"])
            part["title"] = rng.choice(NASTY_WORDS)
        elif how == 2:
            event = rng.choice(events)["event"]
            event[rng.choice(("note", "reason", "typed"))] = rng.choice(NASTY_WORDS)
        elif how == 3:
            at = rng.randrange(len(events))
            events[at:at] = [json.loads(json.dumps(rng.choice(events))) for _ in range(rng.randrange(1, 30))]
        elif how == 4:
            rng.shuffle(events)
        else:
            events.append(
                {
                    "seq": 0,
                    "at": events[-1]["at"],
                    "tick_ms": rng.randrange(2**40),
                    "event": rng.choice(
                        (
                            {"kind": "observed", "fault": "note", "note": rng.choice(NASTY_WORDS)},
                            {"kind": "recounted", "count": rng.choice((-1, 0, 7, 10**9)), "reason": "\x1b]0;x\x07"},
                            {"kind": "rehung", "step": rng.choice(("tube", "", "nowhere")), "count": 3},
                            {"kind": "measured", "field": "length", "value": rng.choice((1e308, -5.0, 0.0, 114.3))},
                            {"kind": "abandoned", "reason": rng.choice(NASTY_WORDS)},
                            {"kind": "struck", "seq": rng.choice((0, 1, 10**12))},
                        )
                    ),
                }
            )
    for place, entry in enumerate(events, 1):
        entry["seq"] = place
    return document


def _holders(document: Any) -> Any:
    if isinstance(document, dict):
        yield document
        for value in document.values():
            yield from _holders(value)
    elif isinstance(document, list):
        yield document
        for value in document[:200]:
            yield from _holders(value)


def session_mutant(seed_text: str, number: int, rng: random.Random) -> bytes:
    """A changed session file, under an id of its own so that it is new to the logbook."""
    document = json.loads(seed_text)
    document["session"]["id"] = f"20250114-m{number}"
    how = rng.random()
    if how < 0.8:
        document = (gently_put_wrong if how < 0.4 else branch_put_wrong)(document, rng)
        return json.dumps(document, ensure_ascii=rng.random() < 0.5).encode("utf-8", "surrogatepass")
    return bytes_put_wrong(json.dumps(document, ensure_ascii=False).encode(), rng)


def toml_mutant(text: str, rng: random.Random) -> bytes:
    """A changed TOML file: a value put wrong, or bytes."""
    if rng.random() < 0.5:
        return bytes_put_wrong(text.encode(), rng)
    lines = text.splitlines()
    for _ in range(rng.randrange(1, 3)):
        at = rng.randrange(len(lines))
        name, equals, _value = lines[at].partition("=")
        if equals:
            said = rng.choice(NASTY_VALUES)
            value = {None: "", True: "true"}.get(said) if said in (None, True) else _toml(said)
            lines[at] = f"{name}= {value}"
        else:
            lines.insert(at, rng.choice(("[keys]", "[[keys]]", "[variables]", "x.y.z = 1", "= 3", "a = {b = 1")))
    return "\n".join(lines).encode("utf-8", "surrogatepass")


def _toml(value: Any) -> str:
    if isinstance(value, str):
        return json.dumps(value)
    if isinstance(value, dict):
        return "{kind = 'pressed'}" if value else "{}"
    return str(value)


# --- what becomes of them --------------------------------------------------------------------------------------------


def plain(text: str) -> None:
    """Nothing that is shown may drive a terminal."""
    found = _DRIVES_A_TERMINAL.search(text)
    assert found is None, f"{found!r} in {text[max(0, found.start() - 60) : found.end() + 60]!r}"


def try_session(book: Logbook, path: Path, figures: Figures) -> None:
    """Import it; taken in whole and harmless, or refused with nothing changed."""
    before = book.store.db.total_changes
    outcome = import_all(book, [path])
    for reason in outcome.reasons:
        plain(reason)
        assert len(reason) < 4000, reason
    if outcome.refused:
        assert book.store.db.total_changes == before, "refused, and yet something was stored"
        assert not book.store.db.in_transaction
        figures.outcomes["session refused"] += 1
        return
    taken = {"known": outcome.known, "gone on": outcome.gone_on, "kept beside": outcome.beside, "taken": outcome.new}
    (what,) = (what for what, names in taken.items() for _ in names)
    if not outcome.new:
        figures.outcomes[f"session {what}"] += 1
        return
    figures.outcomes["session taken"] += 1
    line = book.store.find(outcome.new[0])
    record, state = book.record(line), book.state(line)
    entries = list(book.store.entries(line.n))
    for said in (
        record.title,
        record.yarn.name,
        now_words(state),
        instruction(state),
        *(s.title for s in record.steps),
    ):
        assert said == harmless(said)
        plain(said)
    plain(session_report(record, entries, "in"))
    plain(events_csv(record, entries).replace("\r\n", "\n"))
    again = path.with_name("again.json")
    again.write_text(write(record, entries, more=book.store.more(line.n)), encoding="utf-8")
    heard = session_in(read_text(again))
    assert (heard.start, heard.entries) == (record, entries), "a session comes back from its file as it was"
    assert heard.more == book.store.more(line.n)


def try_theme(path: Path, figures: Figures) -> None:
    """A theme can be painted, or says what is wrong with it."""
    try:
        theme = read_theme(path)
    except ThemeError as error:
        for problem in error.problems or ["\x00"]:  # refused without a reason would be a fault
            plain(problem)
        figures.outcomes["theme refused"] += 1
        return
    theme.to_color_system().generate()
    figures.outcomes["theme taken"] += 1


def try_settings(path: Path, figures: Figures) -> None:
    """Settings are always settings; what was wrong is said and keeps its default."""
    settings, troubles = load(path)
    _keymap, more = usable_keymap(settings)
    assert isinstance(settings, Settings)
    for trouble in (*troubles, *more):
        plain(trouble)
    figures.outcomes["settings with troubles" if troubles or more else "settings taken"] += 1


def run(folder: Path, mutants: int, seed: int) -> Figures:
    """So many mutants: of ten, six sessions, two themes, two settings."""
    rng = random.Random(seed)
    figures = Figures()
    samples = sorted(shipped_folder("sample_sessions").glob("[0-9]*.json"), key=lambda path: path.stat().st_size)[:6]
    texts = [path.read_text(encoding="utf-8") for path in samples]
    themes = [path.read_text(encoding="utf-8") for path in sorted(shipped_folder("themes").glob("*.toml"))]
    folder.mkdir(parents=True, exist_ok=True)
    book = Logbook(folder / "logbook.sqlite")
    with closing(book):
        for number in range(mutants):
            kind = number % 10
            path = folder / ("mutant.json" if kind < 6 else "mutant.toml")
            began = time.monotonic()
            if kind < 6:
                content = session_mutant(rng.choice(texts), number, rng)
            else:
                content = toml_mutant(rng.choice(themes) if kind < 8 else SETTINGS_TEXT, rng)
            path.write_bytes(content)
            try:
                if kind < 6:
                    try_session(book, path, figures)
                elif kind < 8:
                    try_theme(path, figures)
                else:
                    try_settings(path, figures)
            except Exception as error:
                kept = folder / f"failed-{seed}-{number}{path.suffix}"
                kept.write_bytes(content)
                raise AssertionError(f"mutant {number} of seed {seed} ({kept}): {error!r}") from error
            took = time.monotonic() - began
            figures.slowest_s = max(figures.slowest_s, took)
            assert took < SLOWEST_S, f"mutant {number} of seed {seed} took {took:.1f} s"
            figures.mutants += 1
        look(book.store)
        worse = [fault for fault in find_damage(book)[1] if "cannot have happened where they stand" not in fault]
        assert worse == []  # events out of place are kept and named, which is all that may be wrong
    return figures
