"""A yarn card as a page: what the yarn did on each cylinder and dial, and whether its gauge still holds."""

from __future__ import annotations

from statistics import fmean
from typing import TYPE_CHECKING

from hosewright.craft.dial import show_position
from hosewright.craft.units import show_mass, show_number
from hosewright.logbook.find.yarns import still_holds
from hosewright.paper.charts import Estimates
from hosewright.paper.compare import difference_words
from hosewright.paper.report import Section, to_markdown
from hosewright.phrases.days import clock_day
from hosewright.phrases.figures import PER_UNIT_MM, clicks_words, plus_minus
from hosewright.phrases.markdown import typed
from hosewright.session.kinds import STATUS_WORDS

if TYPE_CHECKING:
    from hosewright.logbook.find.yarns import AtDial, Holds, OnCylinder, SockLine, TubeLine, YarnCard
    from hosewright.logbook.records.shelf import Yarn


def yarn_page(card: YarnCard, unit: str = "in") -> str:
    """The card as Markdown; gauges per ``unit`` ("in", "cm" or "mm")."""
    return to_markdown(typed(card.yarn.name), yarn_sections(card, unit))


def yarn_sections(card: YarnCard, unit: str = "in") -> list[Section]:
    """The card in parts."""
    parts = [Section("", tuple(_label(card.yarn)))]
    for on in card.cylinders:
        lines: list[str] = []
        for at in on.in_order():
            lines += _dial(at, on, unit)
        parts.append(Section(f"On {typed(on.cylinder.name)}", tuple(lines)))
    parts += over_time(card, unit)
    if card.unread:
        parts.append(Section("Not read", tuple(f"- {typed(why)}" for why in card.unread)))
    if not card.cylinders:
        parts.append(Section("Nothing found yet", ("No stitch size, gauge or sock of this yarn is in the logbook.",)))
    return parts


def over_time(card: YarnCard, unit: str = "in") -> list[Section]:
    """The gauges one after another with error bars, and a test of whether the newest still holds."""
    tubes = card.tubes()
    if not tubes:
        return []
    per = PER_UNIT_MM[unit]
    parts = []
    several = len({on.cylinder.id for on, _, _ in tubes}) > 1
    for name in ("rows", "stitches"):
        points = []
        for on, at, tube in tubes:
            mean = tube.rows() if name == "rows" else tube.stitches()
            label = clock_day(tube.began_ms, tube.zone_min) + (f", {on.cylinder.slots} slots" if several else "")
            label += f", {at.dial} clicks" if len({(o.cylinder.id, d.dial) for o, d, _ in tubes}) > 1 else ""
            points.append((label, mean.value * per, mean.error * per))
        parts.append(Section("", (), Estimates(f"{name.capitalize()} per {unit}, with standard errors", tuple(points))))
    held = [_holds(one, unit) for one in still_holds(card)]
    if held:
        parts.append(Section("Does the gauge still hold?", tuple(line for lines in held for line in lines)))
    return parts


def _label(yarn: Yarn) -> list[str]:
    striped = "striped" if yarn.striped else ""
    said = [text for text in (yarn.fibre, yarn.colour, striped, yarn.count) if text]
    if yarn.m_per_100g is not None and not yarn.count:
        said.append(f"{show_number(yarn.m_per_100g, 4)} m per 100 g")
    if yarn.ball_g is not None:
        said.append(f"{show_mass(yarn.ball_g)} a ball")
    lines = [f"- {typed(', '.join(said))}"] if said else []
    return [*lines, *([f"- {typed(yarn.note)}"] if yarn.note else [])] or ["- Nothing but its name is known."]


def _dial(at: AtDial, on: OnCylinder, unit: str) -> list[str]:
    """Everything at one dial position, ending with an empty line."""
    lines = [f"**Dial {show_position(at.dial, on.clicks_per_turn)} ({clicks_words(at.dial)})**", ""]
    for base in at.bases:
        proven = "proven" if base.proven else "not yet proven"
        lines.append(f"- Stitch size found {clock_day(base.began_ms, base.zone_min)}, {proven}")
    lines += [f"- {_tube(tube, unit)}" for tube in at.tubes]
    lines += [f"- {_sock(sock)}" for sock in at.socks]
    masses = [sock.mass_g for sock in at.socks if sock.mass_g]
    if masses:
        lines.append(f"- Yarn a sock: {show_mass(fmean(masses))}, mean of {len(masses)}")
    return [*lines, ""]


def _tube(tube: TubeLine, unit: str) -> str:
    per = PER_UNIT_MM[unit]
    rows, stitches = tube.rows(), tube.stitches()
    washed = (("long", tube.length_change), ("wide", tube.width_change))
    changes = ", ".join(f"{change:+.1f} % {way}" for way, change in washed if change is not None)
    told = (
        f"{plus_minus(rows.value * per, rows.error * per, 2)} rows and "
        f"{plus_minus(stitches.value * per, stitches.error * per, 2)} stitches per {unit}",
        changes and f"by the wash {changes}",
        tube.on_foot and f"{tube.on_foot} on the foot",
    )
    return f"Tube of {clock_day(tube.began_ms, tube.zone_min)}: {'; '.join(part for part in told if part)}"


def _sock(sock: SockLine) -> str:
    weighs = show_mass(sock.mass_g) if sock.mass_g else ""
    if sock.planned_g:
        weighs += (", " if weighs else "") + f"{show_mass(sock.planned_g)} planned"
    told = [part for part in (weighs, sock.verdict or STATUS_WORDS[sock.status]) if part]
    return f"{typed(sock.title)}, {clock_day(sock.began_ms, sock.zone_min)}: {'; '.join(told)}"


def _holds(one: Holds, unit: str) -> list[str]:
    before, after = (clock_day(tube.began_ms, tube.zone_min) for tube in (one.before, one.after))
    foot, foot_mm = ("8 in", 203.2) if unit == "in" else ("20 cm", 200.0)
    more = abs(one.rows.value) * foot_mm
    changed = one.rows.more_than_measuring or one.stitches.more_than_measuring
    answer = "No, it does not hold: plan by the newer one." if changed else "Yes: no difference beyond measuring error."
    rows = f"Over {foot} of foot the difference is {more:.1f} {'row' if 0.95 <= more < 1.05 else 'rows'}."
    return [
        f"- {after} against {before}: **{answer}** {rows}",
        f"- Rows: {difference_words(one.rows, unit)}",
        f"- Stitches: {difference_words(one.stitches, unit)}",
    ]
