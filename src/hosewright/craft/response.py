"""What the dial does to the loop: a prior from the machine, refined by measured tubes.

A turn lowers the V-cam by the pitch and so draws about 2 x pitch more yarn into each loop. Yarn robbed back
from neighbouring loops makes that a ceiling; the prior is 0.85 of it with a standard deviation of 25 %, our
assumption. Tubes refine it by weighted least squares on loop = base + rise x clicks, the prior joining as one
more observation of the rise. Without the machine's pitch there is no prior, and tubes at two positions must say
it. Loop length is linear in the dial; rows per length are not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hosewright.craft import CraftError
from hosewright.craft.dial import Dial, show_position
from hosewright.craft.loops import DEFAULT_STATE, rows_per_mm, state_named
from hosewright.craft.measured import Measured, error, measured, nominal

PRIOR_SHARE = 0.85
PRIOR_SPREAD = 0.25
LOOP_PER_DRAW = 2.0
LEAST_LOOP_ERROR_MM = 0.05
SCATTER_WORTH_SAYING = 4.0
NO_RISE = (
    "What a click does is not known here: note the machine's thread pitch, or measure a second tube of this yarn at "
    "another dial position."
)


@dataclass(frozen=True, slots=True)
class TubeReading:
    """A measured tube: its dial position in clicks below zero and its loop length in mm with the error."""

    clicks: int
    loop_mm: Measured


@dataclass(frozen=True, slots=True)
class Response:
    """Loop length against dial position: ``base_mm`` at the clicks ``at`` and ``rise_mm`` per click.

    The two are independent because ``at`` is where the fit has no correlation between them.
    """

    dial: Dial
    at: float
    base_mm: Measured
    rise_mm: Measured
    tubes: tuple[TubeReading, ...]
    notes: tuple[str, ...]

    def loop_at(self, clicks: float) -> Measured:
        """Loop length at a dial position, mm, with its error."""
        return self.base_mm + self.rise_mm * (clicks - self.at)

    def rows_per_mm_at(self, clicks: float, state: str = DEFAULT_STATE) -> Measured:
        """Rows per mm at a dial position, with its error."""
        return rows_per_mm(self.loop_at(clicks), state)

    def far_from_tubes(self, clicks: float) -> bool:
        """Whether a position lies more than one turn from every tube."""
        return all(abs(clicks - tube.clicks) > self.dial.clicks_per_turn for tube in self.tubes)


def ceiling_mm(dial: Dial) -> float | None:
    """The most yarn one click can add to a loop, mm: 2 x the click. None without a pitch."""
    return None if dial.click_mm is None else LOOP_PER_DRAW * dial.click_mm


def prior_rise(dial: Dial) -> Measured | None:
    """The rise expected before any tube, mm of loop per click: 0.85 of the ceiling, give or take 25 %.

    None without a pitch.
    """
    most = ceiling_mm(dial)
    return None if most is None else measured(PRIOR_SHARE * most, PRIOR_SPREAD * PRIOR_SHARE * most)


def fit_response(tubes: tuple[TubeReading, ...], dial: Dial | None = None, spread: float = 0.0) -> Response:
    """The dial's response from one or more tubes of one yarn on one cylinder, and the prior.

    Weighted least squares; with one tube the rise is the prior's, and without a pitch it takes tubes at two
    positions. ``spread`` is the share of its loop by which a tube differs from the next; its error is taken as at least
    0.05 mm (our assumption: no two tubes repeat better). Tubes at one position that lie further apart than their errors
    allow show how well tubes repeat: every tube's error is widened by the square root of chi squared over its degrees
    of freedom (the ratio of Birge, Phys. Rev. 40, 1932; from memory). Three or more that scatter about the line widen
    the answer likewise. Raises CraftError, also for tubes that contradict each other: no line is drawn between them.
    """
    if not tubes:
        raise CraftError("Measure at least one gauge tube of this yarn first.")
    dial = dial or Dial()
    if any(not 0 < nominal(tube.loop_mm) < 200 or tube.clicks < 0 for tube in tubes):
        raise CraftError("Every tube needs a dial position below zero and a loop length above zero.")
    prior = prior_rise(dial)
    if prior is None and len({tube.clicks for tube in tubes}) == 1:
        raise CraftError(NO_RISE)
    sure = [math.hypot(error(tube.loop_mm), spread * nominal(tube.loop_mm)) for tube in tubes]
    weights = [max(own, LEAST_LOOP_ERROR_MM) ** -2 for own in sure]
    apart = _apart_at_one_place(tubes, weights, dial)
    weights = [w / max(apart, 1.0) for w in weights]
    total = sum(weights)
    at = sum(w * tube.clicks for w, tube in zip(weights, tubes, strict=True)) / total
    base = sum(w * nominal(tube.loop_mm) for w, tube in zip(weights, tubes, strict=True)) / total
    # Centred on the weighted mean position, the normal equations fall apart into one for each unknown.
    expected, prior_weight = (0.0, 0.0) if prior is None else (nominal(prior), error(prior) ** -2)
    square = sum(w * (tube.clicks - at) ** 2 for w, tube in zip(weights, tubes, strict=True))
    cross = sum(w * (tube.clicks - at) * nominal(tube.loop_mm) for w, tube in zip(weights, tubes, strict=True))
    rise = (cross + prior_weight * expected) / (square + prior_weight)
    scatter = prior_weight * (rise - expected) ** 2 + sum(
        w * (nominal(tube.loop_mm) - base - rise * (tube.clicks - at)) ** 2
        for w, tube in zip(weights, tubes, strict=True)
    )
    # Two tubes apart cannot contradict a line; from three on, scatter beyond their errors widens what is claimed.
    excess = scatter / (len(tubes) - (2 if prior is None else 1)) if len(tubes) > 2 else 1.0
    widened = math.sqrt(max(excess, 1.0))
    rise_error = widened * (square + prior_weight) ** -0.5
    notes = _fit_notes(tubes, rise, rise_error, dial)
    if excess > SCATTER_WORTH_SAYING:
        note = "The tubes disagree by more than their errors: check that weights, washing and yarn were the same."
        notes = (*notes, note)
    return Response(dial, at, measured(base, widened * total**-0.5), measured(rise, rise_error), tuple(tubes), notes)


def _apart_at_one_place(tubes: tuple[TubeReading, ...], weights: list[float], dial: Dial) -> float:
    """Chi squared over its degrees of freedom of tubes at one and the same position, 0 without such.

    Raises CraftError for tubes that contradict each other.
    """
    squares, freedom = 0.0, 0
    for place in sorted({tube.clicks for tube in tubes}):
        here = [(nominal(t.loop_mm), w) for t, w in zip(tubes, weights, strict=True) if t.clicks == place]
        mean = sum(loop * w for loop, w in here) / sum(w for _, w in here)
        square = sum(w * (loop - mean) ** 2 for loop, w in here)
        squares, freedom = squares + square, freedom + len(here) - 1
        if len(here) > 1 and square > SCATTER_WORTH_SAYING * (len(here) - 1):
            loops = [loop for loop, _ in here]
            raise CraftError(
                f"The tubes at {show_position(place, dial.clicks_per_turn)} contradict each other: {min(loops):.1f} "
                f"and {max(loops):.1f} mm a loop, further apart than tubes of one yarn lie. No answer lies between "
                "them: take those of some days only, leave one out, or measure both again."
            )
    return squares / freedom if freedom else 0.0


def _fit_notes(tubes: tuple[TubeReading, ...], rise: float, spread: float, dial: Dial) -> tuple[str, ...]:
    places = {tube.clicks for tube in tubes}
    if len(places) == 1:
        return (
            "One dial position measured, so the effect of a click is only assumed: 0.85 of the most it could be. Crank "
            "a second tube at another position to know it.",
        )
    most = ceiling_mm(dial)
    from_what = f"{len(tubes)} tubes{'' if most is None else ' and the assumption'}"
    notes = [f"A click changes the loop by {rise:.2f} ± {spread:.2f} mm, from {from_what}."]
    if rise <= 0:
        notes.append("A lower dial should make a bigger loop and here it does not: check which tube is which.")
    elif most is not None and rise > most * (1 + PRIOR_SPREAD):
        notes.append("A click does more here than the V-cam can: check the pitch of the dial and which tube is which.")
    return tuple(notes)


@dataclass(frozen=True, slots=True)
class ClickAnswer:
    """The click nearest a wanted gauge, and how sure: ``chance`` is that it, and no other click, is nearest."""

    clicks: int
    exact: Measured
    rows_per_mm: Measured
    chance: float
    chance_within_one: float
    notes: tuple[str, ...]


def click_for(response: Response, wanted_rows_per_mm: float, state: str = DEFAULT_STATE) -> ClickAnswer:
    """Which click gives the rows per mm wanted, with what confidence (normal errors), never above the zero mark.

    Raises CraftError.
    """
    if not 0.02 <= wanted_rows_per_mm <= 5:
        raise CraftError("No sock has so many or so few rows to its length: about 10 rows an inch (4 a cm) is usual.")
    if nominal(response.rise_mm) <= 0:
        raise CraftError("These tubes say the dial works backwards: check which tube belongs to which position.")
    loop = state_named(state).kc / wanted_rows_per_mm
    exact = (loop - response.base_mm) / response.rise_mm + response.at
    clicks = max(math.floor(nominal(exact) + 0.5), 0)
    notes = []
    if nominal(exact) < -0.5:
        notes.append("That gauge is tighter than the zero mark gives: use a thicker yarn or more slots.")
    if response.far_from_tubes(clicks):
        notes.append(
            f"{show_position(clicks, response.dial.clicks_per_turn).capitalize()} is more than a turn from any tube "
            f"measured: crank a tube there before trusting it."
        )
    return ClickAnswer(
        clicks,
        exact,
        response.rows_per_mm_at(clicks, state),
        _chance(exact, clicks, 0.5),
        _chance(exact, clicks, 1.5),
        tuple(notes),
    )


def _chance(value: Measured, middle: float, reach: float) -> float:
    """Probability that a normally distributed value lies within ``reach`` of ``middle``."""
    centre, scale = nominal(value), error(value) * math.sqrt(2)  # no fit is without an error
    return (math.erf((middle + reach - centre) / scale) - math.erf((middle - reach - centre) / scale)) / 2
