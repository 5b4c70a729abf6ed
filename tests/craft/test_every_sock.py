"""Every slot count from 40 to 120 and every legal number left in work, planned and turned pass by pass."""

import pytest

from hosewright.craft import CraftError
from hosewright.craft.sock import plan_sock
from hosewright.craft.turning import Turning

ROWS = 0.42


@pytest.mark.parametrize("slots", range(40, 121))
def test_needles_passes_and_stitches_of_every_heel(slots: int) -> None:
    needles = slots // 2
    for left in range(2, needles - 1):
        plan = plan_sock(slots=slots, rows_per_mm=ROWS, stitches_per_mm=0.32, tube_length_mm=160.0, left_in_work=left)
        heel = plan.heel
        passes = heel.passes()
        widths = [len(step.in_work) for step in passes]
        assert min(widths) == left
        assert len(passes) == heel.count == 2 * (needles - left)
        assert sum(widths) == heel.stitches == needles**2 - left**2
        assert widths[-1] == needles
        # Narrowing knits H - 1 down to E, widening E + 1 up to H: the two differ by H - E stitches and no more.
        narrow, widen = widths[: heel.narrowing], widths[heel.narrowing :]
        assert narrow == list(range(needles - 1, left - 1, -1))
        assert widen == list(range(left + 1, needles + 1))
        assert plan.stitches_per_sock == plan.foot_rows * slots + 2 * heel.stitches
        assert heel.gores_equal == ((needles - left) % 2 == 0)
        narrowest = passes[heel.narrowing - 1].in_work
        gores = (narrowest[0] - 1, needles - narrowest[-1])
        assert sum(gores) == needles - left
        assert abs(gores[0] - gores[1]) == (0 if heel.gores_equal else 1)


@pytest.mark.parametrize("slots", [40, 41, 53, 64, 97, 120])
def test_what_is_not_legal_is_refused(slots: int) -> None:
    for left in (-1, 0, 1, slots // 2 - 1, slots // 2, slots):
        with pytest.raises(CraftError, match="is usual"):
            Turning(slots // 2, left)
