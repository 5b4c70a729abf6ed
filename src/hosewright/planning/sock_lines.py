"""The numbers of a planned sock, as labelled lines, and the kinds of heel side by side for its foot."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.colours import show_colour
from hosewright.craft.dial import show_turns
from hosewright.craft.heels import HeelAs, on_needles, round_the_heel_mm, usual_gusset, wide_heel
from hosewright.craft.measured import error, nominal, show_rows
from hosewright.craft.sock import SockPlan, another_tube, turned_rows, ways_for_sock
from hosewright.craft.turning import depth_rows
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH, length_number, length_plus_minus, show_length, show_mass
from hosewright.phrases.lists import aligned

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from hosewright.craft.leg import LegStep
    from hosewright.craft.sock import TubePlan
    from hosewright.craft.spread import Spread
    from hosewright.craft.stripes import Stripes
    from hosewright.craft.supply import LegOfBall, WindOff, YarnNeed
    from hosewright.logbook.find.evidence import MeasuredTube
    from hosewright.planning.fabric import Fabric
    from hosewright.planning.typed import Values


Labelled = tuple[str, str]
SHOWN_MM = 0.5
SHOWN_ROWS = 0.5  # an error under half a row is shown as none


def part_lines(sock: TubePlan) -> list[Labelled]:
    """Every part of the sock in the order it is cranked."""
    lines = []
    for section in sock.sections:
        said = f"{section.count} {section.kind}"
        if section.name == "foot" and isinstance(sock, SockPlan):
            said = show_rows(sock.routes[0].exact, sock.foot_rows_tape_error)
        elif section.kind == "passes":
            turning = sock.heel if section.name == "heel" and isinstance(sock, SockPlan) else sock.toe
            said += f", {turning.needles} to {turning.left_in_work}" if turning else ""
        elif section.name in ("hem", "cuff") and sock.cuff:
            said += f", {_cuff(sock)}"
        elif section.name == "leg" and sock.rib:
            said += f", {sock.rib.words} rib"
        first, _, tape = said.partition(", ±")
        lines += [(section.name.capitalize(), first), *([("", f"±{tape}".replace(" of it", ""))] if tape else [])]
        if section.name == "foot" and sock.rib and sock.rib.instep:
            lines.append(("", f"{sock.rib.words} on the instep"))
    return lines


def _cuff(sock: TubePlan) -> str:
    cuff = sock.cuff
    assert cuff is not None  # asked only for a sock that has one
    if cuff.kind == "ribber":
        return f"ribber {cuff.pattern}"
    named = cuff.pattern or ("" if cuff.kind == "hem" else cuff.kind)
    how = "hung" if cuff.hung else "single" if cuff.pattern else ""
    return ", ".join(word for word in (named, how) if word)


def route_lines(sock: SockPlan) -> list[Labelled]:
    """Both ways to the foot's rows side by side, when both are known."""
    if len(sock.routes) < 2:
        return []
    names = {"tube": "By a sock", "foot": "By the foot"}
    marks = (", followed", "")
    return [
        (names[route.by], f"{show_rows(route.exact)}{mark}") for route, mark in zip(sock.routes, marks, strict=True)
    ]


def narrowing_note(tube: MeasuredTube | None, sock: SockPlan, spread: Spread, tubes: int) -> list[str]:
    """What would make the foot's rows surer, when they show an error: another tube, and what is left to the tape.

    ``spread`` is how far tubes differ, ``tubes`` how many the gauge is the mean of.
    """
    if sock.foot_rows_error < SHOWN_ROWS:
        return []
    another, tape = another_tube(sock, spread, tubes), sock.foot_rows_tape_error
    own = math.sqrt(max(sock.foot_rows_error**2 - tape**2, 0.0))
    first = f"The foot is sure to ± {sock.foot_rows_error:.1f} rows: {spread.words}."
    if f"{another:.1f}" != f"{sock.foot_rows_error:.1f}":
        first += f" Another tube would bring that to ± {another:.1f} rows; another reading, at best, to ± {own:.1f}."
    said = [first]
    if tube is not None and tape >= SHOWN_ROWS:
        ways = "; ".join(way.words for way in ways_for_sock(tube.gauge, sock))
        said.append(f"The tape's part of that is ± {tape:.1f} rows: {ways}.")
    return said


def leg_lines(schedule: Sequence[LegStep], clicks_per_turn: int, unit: str = "in") -> tuple[Labelled, ...]:
    """The leg's dial changes by row, each with the girth it fits."""
    lines = []
    for step in schedule:
        girth = ""
        if step.girth_mm is not None:
            sure = error(step.girth_mm)
            wide = nominal(step.girth_mm)
            fits = length_plus_minus(wide, sure, unit) if sure >= SHOWN_MM else show_length(wide, unit)
            girth = f", fits {fits}"
        back = ", baseline" if step is schedule[-1] else ""
        lines.append((f"From row {step.from_row}", f"{show_turns(step.clicks, clicks_per_turn)} turns{back}{girth}"))
    return tuple(lines)


def yarn_lines(need: YarnNeed, ball_g: float | None) -> list[Labelled]:
    """Yarn for the pair, and whether one ball is enough."""
    said = f"{need.metres_per_pair:.0f} ± {need.metres_error:.0f} m"
    if need.grams_per_pair is not None:
        said += f", {show_mass(round(need.grams_per_pair))}"
    lacking = (("count", need.grams_per_pair), ("put-up", ball_g))
    ball = f"not known without the yarn's {' and '.join(name for name, known in lacking if known is None)}"
    if need.ball is not None and ball_g is not None:
        ball = f"{show_mass(ball_g)}, {need.ball}"
    return [("Yarn a pair", said), ("One ball", ball)]


def thread_lines(need: YarnNeed) -> list[Labelled]:
    """A reinforcing yarn: as long in heel and toe as the yarn it goes along with."""
    metres = 2 * sum(length for name, length in need.sections if name in ("heel", "toe"))
    return [("Thread", f"{metres:.0f} m a pair, in heel and toe")] if metres else []


def striped_metres(stripes: Stripes, sock: TubePlan, need: YarnNeed) -> dict[str, float]:
    """Metres of each colour in a pair, by its colour as "#rrggbb"."""
    metres = dict(need.sections)
    shared = stripes.shared((part.name, part.count, metres[part.name]) for part in sock.sections)
    return {colour: 2 * length for colour, length in shared.items()}


def stripe_lines(stripes: Stripes | None, sock: TubePlan, need: YarnNeed) -> list[Labelled]:
    """The yarn of each colour."""
    if stripes is None:
        return []
    said = (f"{show_colour(colour)} {metres:.0f} m" for colour, metres in striped_metres(stripes, sock, need).items())
    return [("By colour", f"{', '.join(said)} a pair")]


def ball_lines(longest: LegOfBall, wound: WindOff) -> list[Labelled]:
    """The longest leg one ball gives, and what to wind off for each sock."""
    leg = f"{longest.rows} rows, safely {longest.safe_rows}"
    if longest.short_g:
        leg = f"none: {longest.short_g:.0f} g short"
    return [("Longest leg", leg), ("Wind off", f"{wound.grams_each:.0f} g each, {wound.metres_each:.0f} m")]


def show_rate(per_mm: float, unit: str = "in") -> str:
    """Rows or stitches per length in the unit lengths are shown in: "11.11/in"."""
    return f"{per_mm * MM_PER_INCH:.2f}/in" if unit == "in" else f"{per_mm * MM_PER_CM:.2f}/cm"


# --- the kinds of heel side by side, for the foot that is planned -----------------------------------------------------


CANNOT = ("no", "room")
HEADINGS = ("", "passes", "deep", "foot", "sole", "round", "yarn")
_LENGTHS = {"in": "inches", "cm": "cm", "mm": "mm"}
WORKED_OUT = (
    "Round is over the instep, down both gores and across the needles left at the tip, relaxed: worked out "
    "from the stitches, ours. The heels are common practice, no source; the size of a gusset is as published for hand "
    "knitting (knotions.com), where the instep gets its rounds, too, and here it does not."
)


@dataclass(frozen=True, slots=True)
class HeelBeside:
    """What one kind of heel does to this sock; ``why_not`` says why it cannot be, and then there are no numbers.

    ``sole_mm`` is heel, foot and toe together, as long as the foot less its ease where it is planned from the foot.
    """

    heel: HeelAs
    needles: int
    chosen: bool
    passes: int = 0
    depth_rows: int = 0
    foot_rows: int = 0
    sole_mm: float = 0.0
    round_mm: float = 0.0
    stitches_per_sock: int = 0
    metres_per_pair: float = 0.0
    why_not: str = ""

    @property
    def words(self) -> str:
        """The heel in a few words, with its needles, or with those of a gusset: "short-row 38", "mini-gusset 6"."""
        if self.heel.kind == "short-row":
            return f"short-row {self.needles}"
        return f"mini-gusset {self.heel.gusset}" if self.heel.gusset else self.heel.kind

    def cells(self, rows_per_mm: float, unit: str) -> tuple[str, ...]:
        """It as a line of a table under ``HEADINGS``."""
        named = f"{'*' if self.chosen else ' '} {self.words}"
        if self.why_not:
            return (named, *CANNOT)
        deep = self.depth_rows / rows_per_mm
        lengths = [length_number(mm, unit) for mm in (deep, self.sole_mm, self.round_mm)]
        return (
            named,
            str(self.passes),
            lengths[0],
            str(self.foot_rows),
            *lengths[1:],
            f"{self.metres_per_pair:.0f}",
        )


def heels_beside(
    values: Values, fabric: Fabric, make: Callable[[Values], tuple[SockPlan, float]]
) -> tuple[HeelBeside, ...]:
    """Every kind of heel for this foot; ``make`` works a sock out, and the metres of yarn that a pair takes."""
    found = []
    for heel in _kinds(values.heel, fabric.slots):
        chosen = heel == values.heel
        other = values if chosen else replace(values, heel=heel, left=None, deepen="none", deeper=0, extra_passes=0)
        try:
            found.append(_beside(*make(other), heel, fabric, chosen=chosen))
        except CraftError as wrong:
            found.append(HeelBeside(heel, heel.needles or fabric.slots // 2, chosen, why_not=str(wrong)))
    return tuple(found)


def table(beside: tuple[HeelBeside, ...], fabric: Fabric, unit: str) -> tuple[str, ...]:
    """The lines of a table of them, at most 56 cells wide, what it is of first; nothing where there are none."""
    if not beside:
        return ()
    rows = [HEADINGS, *(one.cells(nominal(fabric.rows), unit) for one in beside)]
    said = f"Heels for this foot, * planned; {_LENGTHS[unit]}, rows, m a pair"
    return (said, *aligned(rows, right=range(1, len(HEADINGS))))


def _kinds(chosen: HeelAs, slots: int) -> list[HeelAs]:
    """Those that are usual on this cylinder, with the one chosen in place of its like."""
    usual = [HeelAs(), HeelAs(needles=wide_heel(slots)), HeelAs("mini-gusset", gusset=usual_gusset(slots))]
    usual.append(HeelAs("afterthought"))
    if chosen in usual:
        return usual
    if chosen.kind == "short-row":
        return [usual[0], chosen, *usual[2:]]
    return [chosen if one.kind == chosen.kind else one for one in usual]


def _beside(sock: SockPlan, metres: float, heel: HeelAs, fabric: Fabric, *, chosen: bool) -> HeelBeside:
    rows, stitches = nominal(fabric.rows), nominal(fabric.stitches)
    deep = depth_rows(sock.heel)
    return HeelBeside(
        heel,
        on_needles(heel, fabric.slots),
        chosen,
        sock.heel.count,
        deep,
        sock.foot_rows,
        (sock.foot_rows + turned_rows(sock)) / rows,
        round_the_heel_mm(sock.heel, fabric.slots, rows, stitches),
        sock.stitches_per_sock,
        metres,
    )
