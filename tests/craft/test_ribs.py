"""Ribs of leg and instep: as they are typed, where they lie, and what is said of a rib that nobody measured."""

from __future__ import annotations

import pytest

from hosewright.craft import CraftError
from hosewright.craft.cuffs import ribber_rib
from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.ribs import RibGauge, leg_rate, make_rib, read_rib, rib_notes
from hosewright.craft.sock import plan_sock


@pytest.mark.parametrize(
    ("text", "rib"),
    [
        ("3x1", ("3x1", "ribber")),
        (" 2:1 ", ("2x1", "ribber")),
        ("1×1 ribber", ("1x1", "ribber")),
        ("3x1 latched", ("3x1", "latched")),
        ("5x1, latched up", ("5x1", "latched")),
        ("3 in 1 out mock", ("3x1", "latched")),
    ],
)
def test_a_rib_as_it_is_typed(text: str, rib: tuple[str, str]) -> None:
    assert read_rib(text) == rib


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("4x1", "“4x1 latched”"),
        ("rib", "1x1, 2x1, 3x1"),
        ("3x2 latched", "one needle wide"),
        ("latched", "not a needle pattern"),
    ],
)
def test_a_rib_that_cannot_be_says_what_can(text: str, said: str) -> None:
    with pytest.raises(CraftError, match=said):
        read_rib(text)


def test_the_ribs_over_the_instep_are_the_legs() -> None:
    rib = make_rib(64, "3x1", instep=True)
    assert (len(rib.leg), rib.leg[:2], rib.leg[-1]) == (16, (4, 8), 64)
    assert rib.instep == tuple(range(36, 65, 4))
    assert rib.heel == tuple(range(4, 33, 4))
    # A gusset of 7 at each side turns with the heel's 32: what is left of the instep is 47 to 64.
    assert make_rib(64, "3x1", instep=True, heel_needles=46).instep == (48, 52, 56, 60, 64)
    with pytest.raises(CraftError, match="leaves 1 over"):
        make_rib(64, "2x1")


def test_a_ribs_rows_are_its_own_or_a_range() -> None:
    plain = measured(0.4, 0.0)
    own = RibGauge("3x1", measured(0.44, 0.004), measured(0.5, 0.0), 120.0)
    assert nominal(leg_rate(plain, own)) == 0.44
    unsure = leg_rate(plain, None)
    # A tenth either way, any of it as likely: a / sqrt(3).
    assert nominal(unsure) == pytest.approx(0.4)
    assert error(unsure) == pytest.approx(0.04 / 3**0.5)
    rib = make_rib(64, "3x1")
    known = " ".join(rib_notes(rib, own, (plain, measured(0.32, 0.0)), 140.0, "cm"))
    assert "12.8 cm round and stretches to 24.0 cm" in known
    assert "from memory" not in known
    unknown = " ".join(rib_notes(rib, None, (plain, measured(0.32, 0.0)), 140.0, "cm"))
    # 0.9 and 1.1 x 0.4 x 140 rows; 64 / 0.32 = 200 mm round, and half of it (Spencer 7.3, a 1x1 rib in theory).
    assert "from 50 to 62 rows" in unknown
    assert "from 10.0 cm" in unknown
    assert "Spencer" in unknown


def test_a_ribbed_leg_needs_a_leg_and_an_instep_some_rows() -> None:
    def sock(leg_mm: float, foot_mm: float) -> None:
        rib = make_rib(64, "3x1", instep=True)
        plan_sock(slots=64, rows_per_mm=0.4, stitches_per_mm=0.32, tube_length_mm=foot_mm, leg_mm=leg_mm, rib=rib)

    sock(100.0, 20.0)
    with pytest.raises(CraftError, match="needs a leg"):
        sock(0.0, 100.0)
    with pytest.raises(CraftError, match="no row for a ribbed instep"):
        sock(100.0, 5.0)


def test_a_cuff_on_the_ribber_does_not_send_the_ribber_away_before_the_leg() -> None:
    def notes(rib: str) -> str:
        plan = plan_sock(
            slots=64,
            rows_per_mm=0.4,
            stitches_per_mm=0.32,
            tube_length_mm=100.0,
            leg_mm=100.0,
            cuff=ribber_rib(64, "1x1", 20),
            rib=make_rib(64, *read_rib(rib)) if rib else None,
        )
        return " ".join(plan.notes)

    assert "take the ribber out" in notes("")
    assert "take the ribber out" in notes("3x1 latched")
    assert "take the ribber out" not in notes("3x1")
