"""What is accepted ends where it is said to: each limit is stood on, and passed by the next step, from both sides.

The limits are ours unless `sources` says more, and wide enough for any machine or foot; each is told to the person.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.craft import CraftError
from hosewright.craft.chance import binomial_tail
from hosewright.craft.colours import read_colours
from hosewright.craft.correction import SockVerdict, corrected_ease, learn
from hosewright.craft.cuffs import NeedleOut, evenness, hung_hem, mock_rib, read_needle_out, ribber_rib, rolled_edge
from hosewright.craft.deeper_heel import deeper_heel
from hosewright.craft.dial import Dial, read_position, show_position
from hosewright.craft.feet import FootMeasured, best_girth, check_longest_foot
from hosewright.craft.fit import CylinderSize, check_girth, wanted_circumference
from hosewright.craft.gauge import Gauge, Readings, measure_gauge
from hosewright.craft.leg import leg_fits, leg_length
from hosewright.craft.loops import draw_mm
from hosewright.craft.measured import measured, tape_part
from hosewright.craft.response import TubeReading, click_for, fit_response
from hosewright.craft.shoes import from_size, read_size, sizes
from hosewright.craft.sock import plan_sock
from hosewright.craft.stock import LedgerEntry, prorated, to_mg
from hosewright.craft.stripes import read_stripes
from hosewright.craft.supply import yarn_for
from hosewright.craft.turning import Turning, default_left_in_work
from hosewright.craft.units import read_length, read_mass, read_number
from hosewright.craft.yarn import read_yarn_count, tex_from

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True)
class Limit:
    """What is taken from ``least`` to ``most``, and refused at ``under`` and ``over``; None where there is no end."""

    call: Callable[[Any], object]
    under: Any = None
    least: Any = None
    most: Any = None
    over: Any = None


def tube(rows: int = 60, lengths: tuple[float, ...] = (142.0,), **more: Any) -> Gauge:
    return measure_gauge(rows=rows, lengths_mm=lengths, slots=more.pop("slots", 60), flat_widths_mm=(94.0,), **more)


def sock(**more: Any) -> object:
    return plan_sock(**({"slots": 60, "rows_per_mm": 0.42, "stitches_per_mm": 0.32, "tube_length_mm": 160.0} | more))


PLAN = plan_sock(slots=60, rows_per_mm=0.42, stitches_per_mm=0.32, tube_length_mm=160.0)
TUBES = fit_response((TubeReading(24, measured(12.0, 0.1)), TubeReading(32, measured(14.0, 0.1))))

LIMITS = {
    "slots": Limit(lambda slots: tube(slots=slots), 7, 8, 400, 401),
    "rows of a tube": Limit(tube, 0, 1, 5000, 5001),
    "readings": Limit(lambda many: Readings((142.0,) * many), 0, 1, 50, 51),
    "a reading": Limit(lambda mm: Readings((mm,), 0.0), 0.0, 1e-9, 5000.0, 5000.1),
    "a tape": Limit(lambda mm: Readings((142.0, 140.0), mm), -1e-9, 0.0, 139.9, 140.0),
    "a tube's mass": Limit(lambda g: tube(mass_g=g, scale_g=0.0), 0.0, 1e-9, 19_999.0, 20_000.0),
    "a scale": Limit(lambda g: tube(mass_g=11.0, scale_g=g), -1e-9, 0.0, 10.9, 11.0),
    "a pitch": Limit(Dial, 0.09, 0.1, 10.0, 10.1),
    "clicks a turn": Limit(lambda clicks: Dial(1.25, clicks), 0, 1, 64, 65),
    "a position": Limit(show_position, -1, 0),
    "turns typed": Limit(read_position, "-1/4", "0", "100", "100 1/4"),
    "clicks typed": Limit(read_position, "-1 click", "0 clicks", "400 clicks", "401 clicks"),
    "a position's length": Limit(lambda long: read_position("7".ljust(long)), None, 1, 200, 201),
    "a verdict": Limit(lambda mm: SockVerdict(length="too long", length_mm=mm), 0.0, 0.1, 60.0, 60.1),
    "ease after a worn sock": Limit(lambda ease: corrected_ease(200.0, ease, learn([])), -0.001, 0.0, 0.5, 0.501),
    "a repeat": Limit(lambda stay: NeedleOut((stay, 1)), 0, 1, 59, 60),
    "needles out together": Limit(lambda out: NeedleOut((5, out)), 0, 1, 2, 3),
    "a pattern's length": Limit(lambda long: read_needle_out("3x1".ljust(long)), None, 3, 80, 81),
    "slots of a mock rib": Limit(lambda slots: mock_rib(slots, "11x1", 20), 11, 12),
    "rows of a hem": Limit(lambda rows: hung_hem(60, rows), 0, 2, 400, 402),
    "rows of an edge": Limit(lambda rows: rolled_edge(60, rows), 0, 1, 400, 401),
    "rows of a cuff with a selvedge": Limit(lambda rows: ribber_rib(60, "1x1", rows, selvedge=True), 3, 4),
    "slots of a ribber": Limit(lambda slots: ribber_rib(60, "3x1", 20, slots), 14, 15),
    "rows more for an instep": Limit(lambda rows: deeper_heel(Turning(30, 10), 60, 0.42, rows), 0, 1, 50, 51),
    "a foot": Limit(FootMeasured, 79.9, 80.0, 400.0, 400.1),
    "a foot for its size": Limit(sizes, 79.9, 80.0, 400.0, 400.1),
    "the longest foot": Limit(check_longest_foot, None, 0.0, 400.0, 400.1),
    "a measured foot's girth": Limit(lambda mm: FootMeasured(250.0, mm), 49.9, 50.0, 600.0, 600.1),
    "a taped ball": Limit(lambda mm: best_girth(mm, None, "men"), 49.9, 50.0, 600.0, 600.1),
    "a size by its foot": Limit(lambda size: from_size("mondopoint", size), 79.9, 80.0, 400.0, 400.1),
    "a child's size": Limit(lambda size: from_size("uk_child", size), -0.1, 0.0, 13.5, 13.6),
    "a size's length": Limit(lambda long: read_size("EU 42".ljust(long)), None, 5, 80, 81),
    "a cylinder across": Limit(lambda mm: CylinderSize(60, mm), 19.9, 20.0, 1000.0, 1000.1),
    "a girth": Limit(check_girth, 49.9, 50.0, 1000.0, 1000.1),
    "ease round": Limit(lambda ease: wanted_circumference(220.0, ease), -0.001, 0.0, 0.5, 0.501),
    "an ankle": Limit(lambda mm: leg_fits(measured(190.0), 160.0, ankle_mm=mm), 49.9, 50.0, 1000.0, 1000.1),
    "a kneecap": Limit(lambda mm: leg_length("knee", 10.0, kneecap_mm=mm), None, None, 800.0, 800.1),
    "an ankle bone": Limit(lambda mm: leg_length("ankle", 1.0, ankle_bone_mm=mm), 19.9, 20.0),
    "rows to a click": Limit(lambda rate: click_for(TUBES, rate), 0.019, 0.02, 5.0, 5.1),
    "a loop between needles": Limit(lambda mm: draw_mm(mm, 4.0), 4.0, 4.01),
    "rows to the mm": Limit(lambda rate: sock(rows_per_mm=rate, tube_length_mm=1000.0), 0.019, 0.02, 5.0, 5.01),
    "stitches to the mm": Limit(lambda rate: sock(stitches_per_mm=rate), 0.019, 0.02, 5.0, 5.01),
    "extra heel rows": Limit(lambda rows: sock(extra_heel_rows=rows), -1, 0, 50, 51),
    "a sock's tube": Limit(lambda mm: sock(tube_length_mm=mm), 0.0, 1.2, 2000.0, 2000.1),
    "a leg": Limit(lambda mm: sock(leg_mm=mm), -0.1, 0.0, 2000.0, 2000.1),
    "ease in length": Limit(
        lambda mm: sock(tube_length_mm=None, foot_length_mm=256.0, length_ease_mm=mm), -0.1, 0.0, 150.0, 256.0
    ),
    "needles of a heel": Limit(lambda needles: Turning(needles, 2), 3, 4, 400, 401),
    "left in work": Limit(lambda left: Turning(30, left), 1, 2, 28, 29),
    "plain passes more": Limit(lambda extra: Turning(30, 10, extra_passes=extra), -2, 0, 100, 102),
    "a gusset": Limit(lambda joins: Turning(30, 2, gusset=joins), -1, 0, 13, 14),
    "a pass": Limit(Turning(30, 10).at, 0, 1, 40, 41),
    "needles for a third": Limit(default_left_in_work, 3, 4),
    "mg of yarn": Limit(lambda mg: LedgerEntry(0, "used", mg), -1, 0, 10**12, 10**12 + 1),
    "g of yarn": Limit(to_mg, -0.001, 0.0, 1e9, 1e9 + 1),
    "stitches of a share": Limit(lambda of: prorated(100, 1, of), 0, 1),
    "stitches done": Limit(lambda done: prorated(100, done, 10), -1, 0),
    "rows of a stripe": Limit(lambda rows: read_stripes(f"{rows} navy, 4 tan"), 0, 1, 1000, 1001),
    "stripes": Limit(lambda many: read_stripes(", ".join(["2 navy"] * many)), 0, 1, 60, 61),
    "shades": Limit(lambda many: read_colours(", ".join(["tan"] * many)), None, 0, 12, 13),
    "yarn in a stitch": Limit(lambda mm: yarn_for(PLAN, mm), 0.0, 0.001, 199.9, 200.0),
    "a ball": Limit(lambda g: yarn_for(PLAN, 12.5, 420.0, g), 0.0, 0.001, 99_999.0, 100_000.0),
    "a margin": Limit(lambda share: yarn_for(PLAN, 12.5, margin=share), -0.001, 0.0, 1.0, 1.001),
    "tails": Limit(lambda m: yarn_for(PLAN, 12.5, tails_m=m), -0.1, 0.0, 50.0, 50.1),
    "a yarn": Limit(lambda tex: tex_from("tex", tex), 0.99, 1.0, 10_000.0, 10_001.0),
    "plies": Limit(lambda plies: tex_from("nm", 28, plies), 0, 1, 24, 25),
    "a count's length": Limit(lambda long: read_yarn_count("tex 238".ljust(long)), None, 7, 60, 61),
    "hits of tries": Limit(lambda hits: binomial_tail(hits, 5, 60), -1, 0, 5, 6),
    "one in": Limit(lambda one_in: binomial_tail(1, 5, one_in), 0, 1),
    "a length typed": Limit(lambda mm: read_length(f"{mm} mm"), 0, 0.1, 5000, 5000.1),
    "a mass typed": Limit(lambda g: read_mass(f"{g} g"), 0, 0.1, 20_000, 20_000.1),
    "a number typed": Limit(lambda n: read_number(f"{n}", what="number", least=2, most=9), 1.9, 2, 9, 9.1),
    "what is typed, its length": Limit(lambda long: read_length("9 mm".rjust(long)), None, 4, 200, 201),
}  # fmt: skip


@pytest.mark.parametrize("what", LIMITS)
def test_a_limit_is_where_it_is_said_to_be(what: str) -> None:
    limit = LIMITS[what]
    for fits in (limit.least, limit.most):
        if fits is not None:
            limit.call(fits)
    for wrong in (limit.under, limit.over):
        if wrong is not None:
            with pytest.raises(CraftError):
                limit.call(wrong)


def test_what_nearly_goes_round_is_six_slots_or_two_needles_away() -> None:
    """Ours. By hand: 9x2 is eleven, which goes round 66 and 77; and what goes round the slots with one run changed."""
    nine = NeedleOut((9, 2))
    assert [evenness(slots, nine).slot_counts for slots in (70, 71, 72, 73)] == [(66,), (66, 77), (66, 77), (77,)]
    assert evenness(60, nine).patterns == ("10x2", "8x2", "9x1")  # twelve, ten and ten
    assert evenness(54, nine).patterns == ("7x2",)  # nine, two away
    assert evenness(56, nine).patterns == ()  # 6x2 is eight, three away


def test_the_tapes_part_is_in_whole_rows_from_one_row_on() -> None:
    said = [tape_part(rows) for rows in (None, 0.0, 0.44, 0.94, 0.95, 1.4, 2.6)]
    assert said == ["", *(f", ± {rows} of it from the tape" for rows in ("0", "0.4", "0.9", "1", "1", "3"))]
