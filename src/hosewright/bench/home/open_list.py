"""The list of what is open and of what to do next: each session with its sock, what the hands do, and since when."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING, NamedTuple

from rich.text import Text
from textual.widgets.option_list import Option

from hosewright.bench.widgets.panel import bar
from hosewright.phrases.times import DAY_MS, since_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hosewright.bench.widgets.panel import Fill
    from hosewright.logbook.glance import Glance, Unfinished

INDENT = " " * 4
SOCK_CELLS = 48
DRYING_CELLS = 16


class SoFar(NamedTuple):
    """What is worked out of a session: its sock as ((signs, their style) ...), and minutes left in words.

    ``picture`` draws that sock to scale; None where there is none.
    """

    sock: tuple[tuple[str, str], ...]
    left: str
    picture: Fill | None = None


class Look(NamedTuple):
    """How much room the lines take: gaps between the parts, short lines, socks of so many sessions."""

    gaps: bool
    short: bool
    socks: int


# From the roomiest on; the last is taken where none fits, and the list scrolls.
_LOOKS = (
    Look(gaps=True, short=False, socks=99),
    Look(gaps=False, short=False, socks=99),
    Look(gaps=False, short=True, socks=99),
    Look(gaps=False, short=True, socks=1),
    Look(gaps=False, short=True, socks=0),
)


def least_lines(glance: Glance) -> int:
    """How many lines the list takes where it is short, without a sock."""
    standing = len(glance.standing)
    ideas = sum(one.doing != "open" for one in glance.next)
    return 2 * standing - len(glance.at("drying")) + ideas + (standing > 1)


def options(
    glance: Glance, told: Mapping[str, SoFar], dried: Sequence[int], now_ms: int, width: int, room: int
) -> list[Option]:
    """The lines in ``width`` cells, those that can be chosen with what choosing them does as their id."""
    for look in _LOOKS:
        lines = _lines(glance, told, dried, now_ms, max(width, 1), look)  # a terminal may be narrower than a frame
        if sum(text.plain.count("\n") + 1 for text, _ in lines) <= room:
            break
    return [Option(text, id=name or None, disabled=not name) for text, name in lines]


def _lines(
    glance: Glance, told: Mapping[str, SoFar], dried: Sequence[int], now_ms: int, width: int, look: Look
) -> list[tuple[Text, str]]:
    lines: list[tuple[Text, str]] = []
    standing = [one for where in ("on the machine", "drying", "off the machine") for one in glance.at(where)]
    for at, one in enumerate(standing):
        if at == 1:
            lines.append((_heading(f"ALSO OPEN · {len(standing) - 1}", gap=look.gaps), ""))
        of_this = Look(look.gaps, look.short and at > 0, look.socks - at)  # the first is never cut
        lines.append((_session(one, told, dried, now_ms, width, of_this), f"open:{one.id}"))
    open_ones = {one.id for one in standing}
    ideas = [(number, one) for number, one in enumerate(glance.next) if one.session not in open_ones or not one.session]
    heading = "WHAT TO DO NEXT"
    if standing and ideas and not look.short:
        lines.append((_heading(heading, gap=look.gaps), ""))
    for at, (number, item) in enumerate(ideas):
        name = f"next-open:{item.session}" if item.doing == "open" else f"next:{number}"
        begins = "  Next: " if standing and look.short and not at else "  "
        words = f"{begins}{item.words}"
        lines.append(
            (_cut(Text(words), width) if look.short else Text(f"\n{INDENT}".join(wrap(words, max(1, width)))), name)
        )
    return lines


def _heading(words: str, *, gap: bool) -> Text:
    return Text(("\n" if gap else "") + words, "bold")


def _cut(text: Text, width: int) -> Text:
    text.truncate(max(20, width), overflow="ellipsis")
    return text


def _session(
    item: Unfinished, told: Mapping[str, SoFar], dried: Sequence[int], now_ms: int, width: int, look: Look
) -> Text:
    known = told.get(item.id)
    hours, _, minutes = since_words(now_ms - item.since_ms).partition(" h ")
    since = f"{hours} h" if minutes else hours
    if item.where == "drying":
        return _drying(item, since, dried, now_ms, width, short=look.short)
    left = f"   {known.left}" if known and known.left else ""
    standing = ", ".join(["paused"] * item.paused + ([f"left {since} ago"] if since else []))
    room = width - len(left) - len(item.title) - 2
    shorter = (standing, standing.replace(", left", ""), "paused" * item.paused)
    beside = next((said for said in shorter if len(said) + 3 <= room), "")
    text = _cut(Text(f"  {item.title}").append(f"   {beside}"), width - len(left))
    if left:
        text.append(" " * (width - text.cell_len - len(left)) + left, "bold")
    if item.kind in ("sock", "string") and look.socks > 0:
        text.append("\n" + INDENT)
        for signs, style in known.sock if known else ():
            text.append(signs, style)
    hands = f"{item.machine}: {item.hands}"
    if item.where != "on the machine":
        hands = f"{item.hands} (cranked on {item.machine})"
    if look.short:
        return text.append("\n").append_text(_cut(Text(INDENT + hands), width))
    return text.append("".join(f"\n{INDENT}{line}" for line in wrap(hands, max(30, width - len(INDENT)))))


def _drying(item: Unfinished, since: str, dried: Sequence[int], now_ms: int, width: int, *, short: bool) -> Text:
    """How long it has dried beside how long others took, as a bar as long as the longest of them."""
    least, most = (min(dried), max(dried)) if dried else (0, 0)
    took = f"{least} to {most}" if least < most else f"{most}"
    if short:
        said = f"   dries {since}" + (f", others {took}" if dried else "")
        return _cut(Text(f"  {item.title}"), width - len(said)).append(said)
    text = _cut(Text(f"  {item.title}").append(f"   for {since}" if since else ""), width).append("\n" + INDENT)
    if not dried:
        return text.append_text(_cut(Text(f"{item.hands} (cranked on {item.machine})"), width - len(INDENT)))
    full = bar(min(1.0, max(0.0, (now_ms - item.since_ms) / DAY_MS / most)), DRYING_CELLS)
    text.append(f"{item.hands} {full}").append("░" * (DRYING_CELLS - len(full)), "dim")
    return text.append(f" others took {took} day{'s' if most > 1 else ''}; then measure it")
