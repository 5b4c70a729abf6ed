"""Turning a short-row heel or toe: which needle is lifted or lowered at each pass, and which pass it stands at.

Needles are numbered 1 to H from the left. H needles are narrowed to E left in work and widened again: H - E
passes each way, H^2 - E^2 stitches, and H more for each plain pass before or after and for each extra pass that
deepens the heel before it narrows. The same turning makes a toe.

A mini-gusset: of the H needles the G at each end are the instep's. They are up at first, and the plain passes before
go over the H - 2G of the heel alone. Then in 2G passes they join, one a pass, lowered on the far side, where the pass
ends: left and right take turns, and the carrier is back where it began with all H in work. Now the heel is narrowed to
E and widened to H as any other. In the last 2G passes they leave, one a pass, the end needle beside the carrier lifted
first, as in narrowing. Joining and leaving knit H^2 - (H - 2G)^2 stitches together. The way down that was chosen is
that of the widening; joining is always one needle on the far side.

Plain passes alone, with as many left in work as there are needles, are how waste yarn is laid in for a heel that is
opened later: an even number, so that the carrier returns.

The half: where nothing is said of a machine it lies towards the knitter and the carrier comes in at its left end.

A lost count: needles in the middle are never lifted, so each pass puts one stitch into each of their columns, and the
stitches of one such column since the first pass are the passes cranked. The needles that are up and the side the
carrier stands on leave only a few counts, which confirms it or finds a stitch counted wrong.

Source: common practice for flat heel passes; the counts follow by summing the passes; reading a lost count is ours.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal, get_args

from hosewright.craft import MOST_SLOTS, CraftError
from hosewright.craft.units import quoted

Side = Literal["left", "right"]
Stage = Literal["plain", "join", "narrow", "widen", "leave"]
Lowering = Literal["far", "near", "two-and-one"]
PlainPasses = bool | Literal["before", "after"]

LEAST_LEFT_IN_WORK = 2
LEAST_NEEDLES = 4
MOST_NEEDLES = MOST_SLOTS  # half of them at the most are turned on; the cylinder is not known here
MOST_EXTRA_PASSES = 100
USUAL_SHARE_LEFT = 1 / 3
HeelHalf = Literal["", "towards you", "away from you"]
CarrierTurns = Literal["", "clockwise", "anticlockwise"]
BEYOND = 2  # passes past the last that are thought of; ours


@dataclass(frozen=True, slots=True)
class Pass:
    """One half-round across the heel needles.

    ``carrier`` is where the yarn carrier stands before the pass; ``lift`` and ``lower`` are the needles moved
    before cranking (lower first, then lift); ``in_work`` are the needles that knit on this pass.
    """

    number: int
    stage: Stage
    carrier: Side
    lift: tuple[int, ...]
    lower: tuple[int, ...]
    in_work: tuple[int, ...]

    @property
    def lowered_on(self) -> Side | None:
        """The side on which needles come down; None where none do."""
        if not self.lower:
            return None
        return "left" if self.lower[-1] == self.in_work[0] else "right"


def default_left_in_work(needles: int) -> int:
    """Needles left in work at the narrowest: nearest to a third of ``needles`` with the same parity.

    Raises CraftError.
    """
    if needles < LEAST_NEEDLES:
        raise CraftError(f"A heel needs at least {LEAST_NEEDLES} needles, and {needles} were given.")
    least = LEAST_LEFT_IN_WORK + needles % 2
    same_parity = range(least, max(needles - 1, least + 1), 2)
    return min(same_parity, key=lambda left: abs(left - needles * USUAL_SHARE_LEFT))


@dataclass(frozen=True, slots=True)
class Turning:
    """How one heel or toe is turned: ``needles`` down to ``left_in_work`` and back.

    ``lowering``: "far" lowers the innermost lifted needle away from the carrier; "near" beside the carrier;
    "two-and-one" lowers two on the far side and lifts the end needle beside the carrier, which closes the
    holes along the gores. ``plain_passes``: one over all the heel needles "before" they are narrowed, "after" they are
    widened, True for both, False for none; a single one ends with the carrier at the other end. ``carrier`` is where
    the yarn carrier stands at the start. ``extra_passes`` are plain passes before narrowing, an even number, for a
    deeper heel. ``gusset`` of the needles at each end are the instep's, up before the first pass and after the last.
    """

    needles: int
    left_in_work: int
    lowering: Lowering = "far"
    plain_passes: PlainPasses = False
    carrier: Side = "left"
    extra_passes: int = 0
    gusset: int = 0

    def __post_init__(self) -> None:
        h, e = self.needles, self.left_in_work
        if not LEAST_NEEDLES <= h <= MOST_NEEDLES:
            raise CraftError(f"A heel is turned on {LEAST_NEEDLES} to {MOST_NEEDLES} needles, not {h}.")
        if not 0 <= self.gusset <= (h - LEAST_NEEDLES) // 2:
            raise CraftError(
                f"A gusset on {h} needles has 0 to {(h - LEAST_NEEDLES) // 2} of them at each end, not {self.gusset}."
            )
        if not LEAST_LEFT_IN_WORK <= e <= h - 2 and not self.only_plain:
            raise CraftError(
                f"Leave from {LEAST_LEFT_IN_WORK} to {h - 2} of {h} needles in work, not {e}; "
                f"{default_left_in_work(h)} is usual."
            )
        if self.lowering not in get_args(Lowering):
            raise CraftError(f"Lowering is far, near or two-and-one, not {quoted(str(self.lowering))}.")
        if self.plain_passes not in (False, True, "before", "after"):
            raise CraftError(f"A plain pass is before, after or both, not {quoted(str(self.plain_passes))}.")
        if self.carrier not in get_args(Side):
            raise CraftError(f"The carrier stands left or right, not {quoted(str(self.carrier))}.")
        if not 0 <= self.extra_passes <= MOST_EXTRA_PASSES or self.extra_passes % 2:
            raise CraftError(
                f"Extra passes come in twos, so that the carrier ends where it began: 0 to {MOST_EXTRA_PASSES}, "
                f"such as {min(max(self.extra_passes + self.extra_passes % 2, 2), MOST_EXTRA_PASSES)}, "
                f"not {self.extra_passes}."
            )
        if self.lowering == "near" and not self.gores_equal:
            other = e + 1 if e + 1 <= h - 2 else e - 1
            raise CraftError(
                f"Lowering beside the carrier needs an even number of needles lifted, and {h} down to {e} "
                f"lifts {h - e}: leave {other} in work, or lower on the far side."
            )

    @property
    def only_plain(self) -> bool:
        """Whether no needle moves: passes over all of them and nothing else."""
        return self.left_in_work == self.needles and self.extra_passes > 0

    @property
    def own(self) -> range:
        """The needles in work before the first pass and after the last: all but the gusset's."""
        return range(1 + self.gusset, self.needles - self.gusset + 1)

    @property
    def joining(self) -> int:
        """Passes in which the gusset's needles join, and as many in which they leave."""
        return 2 * self.gusset

    @property
    def narrowing(self) -> int:
        """Narrowing passes, H - E."""
        return self.needles - self.left_in_work

    @property
    def widening(self) -> int:
        """Widening passes, H - E whichever way the needles are lowered."""
        return self.needles - self.left_in_work

    @property
    def count(self) -> int:
        """All passes, the plain and extra ones too."""
        return self.plain_first + 2 * self.joining + self.narrowing + self.widening + self.plain_last

    @property
    def stitches(self) -> int:
        """Stitches knitted: H^2 - E^2, with a gusset H^2 - (H - 2G)^2 more, and H - 2G for each plain or extra pass."""
        own = len(self.own)
        turned = 2 * self.needles**2 - self.left_in_work**2 - own**2
        return turned + (self.plain_first + self.plain_last) * own

    @property
    def plain_first(self) -> int:
        """Plain passes before the first needle is lifted, the extra ones too."""
        return (self.plain_passes is True or self.plain_passes == "before") + self.extra_passes

    @property
    def plain_last(self) -> int:
        """Plain passes after the last needle came down."""
        return int(self.plain_passes is True or self.plain_passes == "after")

    @property
    def ends(self) -> Side:
        """Where the carrier stands after the last pass: where it began, or with a single plain pass across from it."""
        return self.carrier_after(self.count)

    def carrier_after(self, n: int) -> Side:
        """Where the carrier stands after ``n`` passes: each takes it across, those beyond the plan, too."""
        return self.carrier if n % 2 == 0 else _other(self.carrier)

    def in_work_after(self, n: int) -> tuple[int, ...]:
        """The needles in work as ``n`` passes left them: the heel's own before the first, and beyond the last."""
        return _passes(self)[n - 1].in_work if 1 <= n <= self.count else tuple(self.own)

    @property
    def gores_equal(self) -> bool:
        """Whether both gores get the same number of needles (H and E of one parity)."""
        return self.narrowing % 2 == 0

    def passes(self) -> tuple[Pass, ...]:
        return _passes(self)

    def at(self, n: int) -> Pass:
        """Pass number ``n``, counted from 1."""
        if not 1 <= n <= self.count:
            raise CraftError(f"This heel has passes 1 to {self.count}, and {n} was asked for.")
        return _passes(self)[n - 1]


def depth_rows(turning: Turning) -> int:
    """Rows a heel or toe adds to the sole: H - E, with a gusset 2G more, one more with a plain pass before and after,
    and half the extra passes.

    Half the passes at its middle needles, since the pocket folds in two there; the half row that a single plain pass
    adds is left out.
    """
    return turning.count // 2


def deeper_rows(heel: Turning, half: int) -> int:
    """Rows by which a heel is deeper than the usual one on ``half`` of the slots: less than 0 when it is shallower.

    Raises CraftError.
    """
    usual = replace(heel, needles=half, left_in_work=default_left_in_work(half), extra_passes=0, gusset=0)
    return depth_rows(heel) - depth_rows(usual)


class _Bed:
    """The needles while turning: ``low`` to ``high`` in work, the carrier on one side."""

    def __init__(self, turning: Turning) -> None:
        self.h = turning.needles
        self.low, self.high = turning.own[0], turning.own[-1]
        self.carrier: Side = turning.carrier
        self.done: list[Pass] = []

    def lift(self) -> tuple[int, ...]:
        """Lift the end working needle beside the carrier."""
        if self.carrier == "left":
            self.low += 1
            return (self.low - 1,)
        self.high -= 1
        return (self.high + 1,)

    def lower(self, side: Side, most: int) -> tuple[int, ...]:
        """Lower up to ``most`` of the innermost lifted needles on ``side``, innermost first."""
        if side == "left":
            down = tuple(range(self.low - 1, max(self.low - 1 - most, 0), -1))
            self.low -= len(down)
        else:
            down = tuple(range(self.high + 1, min(self.high + most, self.h) + 1))
            self.high += len(down)
        return down

    def crank(self, stage: Stage, lift: tuple[int, ...] = (), lower: tuple[int, ...] = ()) -> None:
        """Knit across, which takes the carrier to the other side."""
        in_work = tuple(range(self.low, self.high + 1))
        self.done.append(Pass(len(self.done) + 1, stage, self.carrier, lift, lower, in_work))
        self.carrier = _other(self.carrier)


def _other(side: Side) -> Side:
    return "right" if side == "left" else "left"


@lru_cache(maxsize=64)
def _passes(turning: Turning) -> tuple[Pass, ...]:
    bed = _Bed(turning)
    for _ in range(turning.plain_first):
        bed.crank("plain")
    for _ in range(turning.joining):
        bed.crank("join", lower=bed.lower(_other(bed.carrier), 1))
    for _ in range(turning.narrowing):
        bed.crank("narrow", lift=bed.lift())
    for _ in range(turning.widening):
        side = bed.carrier if turning.lowering == "near" else _other(bed.carrier)
        lower = bed.lower(side, 2 if turning.lowering == "two-and-one" else 1)
        bed.crank("widen", lower=lower, lift=bed.lift() if len(lower) == 2 else ())
    for _ in range(turning.joining):
        bed.crank("leave", lift=bed.lift())
    for _ in range(turning.plain_last):
        bed.crank("plain")
    return tuple(bed.done)


def comes_in(half: HeelHalf, turns: CarrierTurns) -> Side:
    """The end of the heel half where the carrier comes in from the instep, cranked forward.

    ``turns`` is seen from above: clockwise goes from right to left on the half towards the knitter, and from left to
    right on the other.
    """
    if not turns:
        return "left"
    return "right" if (turns == "clockwise") != (half == "away from you") else "left"


def middle_needle(turning: Turning) -> int:
    """The needle nearest to the middle of the heel that knits on every pass, numbered from 1 at the left."""
    always = set.intersection(*(set(one.in_work) for one in turning.passes()))
    return min(always, key=lambda needle: (abs(2 * needle - turning.needles - 1), needle))


def passes_cranked(
    turning: Turning,
    *,
    column: int | None = None,
    left: int | None = None,
    right: int | None = None,
    carrier: Side | None = None,
) -> tuple[int, ...]:
    """The counts of passes that agree with what is seen, lowest first; none when no pass of this turning looks so.

    ``column``: the stitches counted in one middle column since the first pass. ``left``, ``right``: the heel's needles
    that are up on either side, whether or not those of the next pass are moved already. ``carrier``: where the carrier
    stands now. What is None was not seen.

    A column that agrees with the rest is the one answer; without the rest it is, too. One that does not agree was
    miscounted: then the next count below and the next above that do agree, which are two at the most.
    """
    if left is None and right is None and carrier is None and column is not None:
        return (column,) if 0 <= column <= turning.count + BEYOND else ()
    agreeing = tuple(
        n
        for n, looks in enumerate(_looks(turning)[: turning.count + 1 + (BEYOND if column is not None else 0)])
        if any(left in (None, up[0]) and right in (None, up[1]) and carrier in (None, side) for *up, side in looks)
    )
    if column is None:
        return agreeing
    if column in agreeing:
        return (column,)
    below, above = [n for n in agreeing if n < column], [n for n in agreeing if n > column]
    return (*below[-1:], *above[:1])


@lru_cache(maxsize=16)
def _looks(turning: Turning) -> tuple[tuple[tuple[int, int, Side], ...], ...]:
    return tuple(looks_after(turning, n) for n in range(turning.count + BEYOND + 1))


def looks_after(turning: Turning, n: int) -> tuple[tuple[int, int, Side], ...]:
    """Needles up on the left, on the right, and the carrier's side after ``n`` passes.

    First as the pass left them, then on the way to the next pass, whose needles come down first and then go up.
    """
    passes = turning.passes()
    done, carrier = turning.in_work_after(n), turning.carrier_after(n)
    low, high = done[0], done[-1]
    found = [(low - 1, turning.needles - high, carrier)]
    if n < len(passes):
        for needle in passes[n].lower:
            low, high = min(low, needle), max(high, needle)
            found.append((low - 1, turning.needles - high, carrier))
        ready = passes[n].in_work
        found.append((ready[0] - 1, turning.needles - ready[-1], carrier))
    return tuple(dict.fromkeys(found))
