"""From what is typed on the planning screen to the sock it comes to. Pure functions, no Textual.

Every figure comes from `craft`; here typed text is read, what is missing is said, and results become lines.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from hosewright.craft.correction import Correction, learn
from hosewright.craft.errors import CraftError
from hosewright.craft.supply import YarnNeed, leg_of_ball, wind_off, yarn_for
from hosewright.logbook.find.verdicts import Worn
from hosewright.planning.fit import feet_of, fit_leg, fit_round
from hosewright.planning.lines import (
    Line,
    ball_lines,
    leg_lines,
    narrowing_note,
    part_lines,
    route_lines,
    yarn_lines,
)
from hosewright.planning.making import Made, make_sock
from hosewright.planning.reading import Typed, Values, read_values

if TYPE_CHECKING:
    from hosewright.craft.sock import SockPlan
    from hosewright.logbook.records.shelf import Wearer
    from hosewright.planning.knit import Knit

CAUTION = (
    "Take care: for this foot no ease is called safe, round or in length, and a sock that feels fine may still be too "
    "tight. Measure, make it loose, and ask a podiatrist or nurse."
)


@dataclass(frozen=True, slots=True)
class Working:
    """What it all comes to. With ``problems`` or ``missing`` there is no sock, and so no numbers."""

    problems: dict[str, str] = field(default_factory=dict)
    missing: str = ""
    values: Values | None = None
    made: Made | None = None
    yarn: YarnNeed | None = None
    learnt: Correction | None = None
    parts: tuple[Line, ...] = ()
    rest: tuple[Line, ...] = ()
    leg: tuple[Line, ...] = ()
    cylinders: tuple[tuple[str, ...], ...] = ()
    caution: str = ""
    notes: tuple[str, ...] = ()

    @property
    def sock(self) -> SockPlan | None:
        """The sock, when it can be knitted."""
        return self.made.sock if self.made else None


def work_out(
    typed: Typed, knit: Knit | None, wearer: Wearer | None, unit: str = "in", worn: Worn | None = None
) -> Working:
    """The sock that what is typed comes to, or what is wrong, or what is missing. Never raises for bad text."""
    slots = knit.gauge.slots if knit else None
    values, problems = read_values(typed, slots, unit)
    if values is None:
        wrong = "these lines" if len(problems) > 1 else "the line"
        return Working(problems, f"No numbers until {wrong} marked ! can be read.")
    if knit is None:
        return Working(missing="Choose a gauge: its rows and stitches are what the sock is made of.")
    if values.tube_mm is None and values.foot_mm is None:
        return Working(missing="Type the tube of a sock that fits, or the length of the foot (or a shoe size).")
    learnt = learn(worn.verdicts) if worn and worn.verdicts else None
    try:
        made = make_sock(typed, values, knit, wearer, learnt, unit)
        return _in_full(values, knit, wearer, unit, made, learnt, worn or Worn())
    except CraftError as error_:
        return Working(missing=str(error_))


def _in_full(
    values: Values, knit: Knit, wearer: Wearer | None, unit: str, made: Made, learnt: Correction | None, worn: Worn
) -> Working:
    """A sock that can be knitted, with its fit and its yarn. Raises CraftError."""
    sock, stitch, yarn = made.sock, knit.per_stitch, knit.yarn
    metres, ball = (yarn.m_per_100g, yarn.ball_g) if yarn else (None, None)
    need = yarn_for(sock, stitch, metres, ball, leg=made.schedule)
    fit = fit_round(knit, wearer, values.foot_mm, learnt, unit, values.foot_size)
    feet = feet_of(wearer)
    leg_lies, leg_told = fit_leg(knit, wearer, values, made, unit)
    rest = [*fit.lines, *leg_lies, *yarn_lines(need, ball)]
    notes = [*(feet.notes if feet else ()), *made.notes, *sock.notes]
    if learnt:
        notes += [*learnt.notes, *worn.notes]
    notes += [*narrowing_note(knit.tube, sock), *fit.notes, *leg_told]
    if values.foot_size is not None:
        notes.append(values.foot_size.words)
    notes += [need.part_words, *need.notes[1:], *stitch.notes]
    if metres is not None and ball is not None:
        longest = leg_of_ball(sock, stitch, knit.rows, metres, ball, unit=unit, shaped=made.schedule)
        wound = wind_off(sock, stitch, metres, ball, leg=made.schedule)
        rest += ball_lines(longest, wound)
        notes += [longest.words, wound.words]
    notes.append(need.safe_words)
    if knit.tube:
        notes += [f"The tube's gauge: {doubt}" for doubt in knit.tube.doubts]
    return Working(
        values=values,
        made=made,
        yarn=need,
        learnt=learnt,
        parts=(*part_lines(sock), *route_lines(sock)),
        rest=tuple(rest),
        leg=leg_lines(made.schedule, knit.dial.clicks_per_turn, unit),
        cylinders=fit.cylinders,
        caution=CAUTION if wearer is not None and wearer.caution else "",
        notes=tuple(dict.fromkeys(notes)),
    )
