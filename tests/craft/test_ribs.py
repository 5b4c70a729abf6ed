"""Ribs of leg and instep: as they are typed, where they lie, and what is said of a rib that nobody measured."""

from __future__ import annotations

from typing import Literal

import pytest

from hosewright.craft import CraftError
from hosewright.craft.cuffs import ribber_rib
from hosewright.craft.measured import error, measured, nominal
from hosewright.craft.ribs import RibGauge, foot_range, leg_rate, make_rib, read_rib, rib_notes
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


def test_a_foot_with_a_ribbed_instep_is_half_plain() -> None:
    """By hand: 200 mm plain, 100 of them the sole; a rib lies from half as wide as plain to as wide (see `sources`)."""
    assert foot_range(200.0, 0.5) == (150.0, 200.0)
    assert foot_range(200.0, 20 / 64) == (168.75, 200.0)  # 44 of 64 needles plain, 20 half as wide: 54 of 64


def test_what_is_said_of_ribs_over_the_instep() -> None:
    own = RibGauge("3x1", measured(0.44, 0.004), measured(0.5, 0.0), 120.0)
    plain = (measured(0.4), measured(0.32))

    def said(way: Literal["ribber", "latched"], *, instep: bool = True, own: RibGauge | None = own) -> str:
        return " ".join(rib_notes(make_rib(64, "3x1", way, instep=instep), own, plain, 140.0, "cm"))

    # Of 16 ribs 8 are the heel's. Worn: 128 mm relaxed and 240 pulled, 184; with plain's 200 half and half, 192.
    ribber, latched = said("ribber"), said("latched")
    assert "3x1 over the leg and the instep: 48 needles in the cylinder and 16 in the ribber." in ribber
    assert (
        "the 8 ribber stitches of the heel half move to the cylinder, and the instep's 8 wait on the ribber" in ribber
    )
    assert (
        "plain is 20.0 cm round, the foot, half of it rib, 19.2 cm as it is worn. Its rows are its own: 4.4 rows/cm"
        in ribber
    )
    assert (
        "16 needles out, and their ladders latched up rung by rung, 8 before the heel and 8 before the toe." in latched
    )
    assert "the last 2 are plain all round" in latched
    leg = said("latched", instep=False)
    assert "3x1 over the leg: 16 needles out, and their ladders latched up rung by rung. A rib" in leg
    assert "the foot, " not in leg
    plain = (measured(0.4), measured(0.33))  # 193.9 mm round, and with 184 half and half 188.97
    assert "the foot, half of it rib, 18.9 cm" in said("ribber")
    assert "all of them move to the cylinder, and the ribber comes off." in said("ribber", instep=False)
    assert "stretches to" not in said("ribber", own=RibGauge("3x1", measured(0.44), measured(0.5)))
