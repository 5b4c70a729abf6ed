"""A sock typed on the planning screen and typed as options is one sock: the same readers, the same numbers."""

from __future__ import annotations

import json
import shlex
from typing import TYPE_CHECKING, Any

import pytest

from hosewright.cli import main
from hosewright.craft.dial import Dial
from hosewright.logbook.records.shelf import Cylinder, GaugeRecord, Yarn
from hosewright.planning.gauges import Knit
from hosewright.planning.sock import work_out
from hosewright.planning.typed import Typed

if TYPE_CHECKING:
    from collections.abc import Callable

GAUGE = ["--slots", "64", "--rows-per-in", "10.3", "--rows-error", "0.05", "--stitches-per-in", "8"]
GAUGE += [
    "--stitches-error",
    "0.04",
    "--dial",
    "27",
    "--pitch",
    "1.25 mm",
    "--yarn",
    "437 yd/100g",
    "--ball-mass",
    "100 g",
]
NO_DIAL = [*GAUGE[: GAUGE.index("--dial")], *GAUGE[GAUGE.index("--yarn") :]]
METRES = 437 * 0.9144


@pytest.fixture
def answer(capsys: pytest.CaptureFixture[str]) -> Callable[..., dict[str, Any]]:
    def ask(*argv: str) -> dict[str, Any]:
        assert main([*argv, "--json"]) == 0, capsys.readouterr().err
        found: dict[str, Any] = json.loads(capsys.readouterr().out)
        return found

    return ask


def knit() -> Knit:
    """The same gauge, as the logbook has it."""
    gauge = GaugeRecord(
        session="20260101-abcdef",
        machine="attic",
        cylinder="sixty-four",
        yarn="tern",
        slots=64,
        dial=27,
        rows=60,
        at_ms=1,
        rows_per_mm=10.3 / 25.4,
        rows_per_mm_error=0.05 / 25.4,
        stitches_per_mm=8 / 25.4,
        stitches_per_mm_error=0.04 / 25.4,
    )
    yarn = Yarn(id="tern", name="Tern sock", m_per_100g=METRES, ball_g=100.0)
    return Knit(gauge, yarn, Cylinder(id="sixty-four", name="64", slots=64), dial=Dial(1.25))


# Lines as the bench has them by name, and the options that say the same.
SOCKS: list[tuple[Typed, str]] = [
    (Typed(tube="15 cm"), '--tube-length "15 cm"'),
    (Typed(foot="EU 42", ease="none"), '--foot-length "EU 42" --length-ease none'),
    (Typed(foot="US men 10", ease="0"), '--foot-length "us men 10" --length-ease 0.0'),
    (Typed(tube="5 7/8", foot="26 cm"), '--tube-length "5 7/8" --foot-length "26 cm"'),
    (Typed(tube="15 cm", leg="knee women"), '--tube-length "15 cm" --leg "knee women"'),
    (Typed(tube="15 cm", leg="knee women"), '--tube-length "15 cm" --leg knee --for women'),
    (Typed(foot="25 cm", leg="midcalf men"), '--foot-length "25 cm" --leg "midcalf, men"'),
    (Typed(foot="25 cm", leg="mid-calf men"), '--foot-length "25 cm" --leg "Mid calf for men"'),
    (Typed(foot="25 cm", leg="none"), '--foot-length "25 cm" --leg none'),
    (Typed(tube="15 cm", cuff="hem", rows="20"), '--tube-length "15 cm" --cuff "hung hem" --cuff-rows 20'),
    (Typed(tube="15 cm", cuff="hem", rows="20"), '--tube-length "15 cm" --hem-rows 20'),
    (Typed(tube="15 cm", cuff="picot", rows="16"), '--tube-length "15 cm" --cuff "picot edge, hung"'),
    (Typed(tube="15 cm", cuff="rolled", rows="16"), '--tube-length "15 cm" --cuff rolled'),
    (Typed(tube="15 cm", cuff="mock rib", rows="16", pattern="3x1"), '--tube-length "15 cm" --cuff mock-rib'),
    (
        Typed(tube="15 cm", cuff="mock rib", rows="16", pattern="4x1 uneven"),
        '--tube-length "15 cm" --cuff mock --rib 4x1 --uneven',
    ),
    (
        Typed(tube="15 cm", cuff="mock rib single", rows="15", pattern="3 in 1 out"),
        '--tube-length "15 cm" --cuff mock-rib --single --rib 3x1 --cuff-rows 15',
    ),
    (Typed(tube="15 cm", cuff="ribber", rows="16", pattern="3x1"), '--tube-length "15 cm" --cuff ribber --rib 3x1'),
    (
        Typed(tube="15 cm", cuff="ribber selvedge", rows="16", pattern="1x1"),
        '--tube-length "15 cm" --cuff "rib with a selvedge"',
    ),
    (
        Typed(foot="25 cm", left="12", toe="14", lowering="two-and-one", plain="both", part="12"),
        '--foot-length "25 cm" --left-in-work 12 --toe-left-in-work 14 --lowering "two and one" '
        "--plain-passes --part-row 12",
    ),
    (Typed(foot="25 cm", deepen="passes", deeper="4"), '--foot-length "25 cm" --extra-heel-passes 8'),
    (Typed(foot="25 cm", deepen="rows", deeper="4"), '--foot-length "25 cm" --extra-heel-rows 4'),
    (
        Typed(foot="25 cm", deepen="needles", deeper="4"),
        '--foot-length "25 cm" --deepen "fewer left in work" --deeper 4',
    ),
    (
        Typed(tube="15 cm", leg="20 cm", shaped="yes", ankle="22 cm", calf="24 cm"),
        '--tube-length "15 cm" --leg "20 cm" --ankle "22 cm" --calf "24 cm"',
    ),
]


@pytest.mark.parametrize(("typed", "options"), SOCKS, ids=[options for _, options in SOCKS])
def test_what_is_typed_on_the_bench_and_as_options_is_one_sock(
    answer: Callable[..., dict[str, Any]], typed: Typed, options: str
) -> None:
    working = work_out(typed, knit(), None)
    found = answer("sock", *(GAUGE if typed.shaped == "yes" else NO_DIAL), *shlex.split(options))
    made, need = working.made, working.yarn
    assert made is not None, working.missing or working.problems
    assert need is not None
    sock = working.sock
    assert sock is not None
    assert found["sections"] == [
        {"name": one.name, "kind": one.kind, "count": one.count, "stitches": one.stitches} for one in sock.sections
    ]
    assert (found["heel"]["left_in_work"], found["toe"]["left_in_work"]) == (
        sock.heel.left_in_work,
        sock.toe.left_in_work,
    )
    assert (found["heel"]["passes"], found["toe"]["passes"]) == (sock.heel.count, sock.toe.count)
    assert (found["cuff"] or {}).get("kind") == (sock.cuff.kind if sock.cuff else None)
    assert [(step["from_row"], step["clicks"]) for step in found["leg_by_dial"]] == [
        (step.from_row, step.clicks) for step in made.schedule
    ]
    for name, value in {
        "foot_rows_error": sock.foot_rows_error,
        "leg_rows_error": sock.leg_rows_error,
        "circumference_mm": sock.circumference_mm,
        "circumference_mm_error": sock.circumference_error_mm,
        "metres_per_pair": need.metres_per_pair,
        "metres_per_pair_error": need.metres_error,
        "grams_per_pair": need.grams_per_pair,
        "safe_metres": need.safe_metres,
        "chance_enough": need.chance_enough,
    }.items():
        assert found[name] == pytest.approx(value, rel=1e-9), name
    # The bench says of the leg at ankle and calf what the command line answers, and of one ball the same rows.
    said = dict(working.rest)
    for fit in found["leg_fit"]:
        assert said[f"Leg at {fit['place']}"] == f"{fit['ease'] * 100:.0f} % ease, {fit['verdict']}"
    assert str(found["leg_rows_of_ball"]) in said["Longest leg"]


@pytest.mark.parametrize(
    ("line", "option", "text"),
    [
        ("foot", "--foot-length", "XX 42"),
        ("foot", "--foot-length", "4 kg"),
        ("foot", "--foot-length", "25"),
        ("ease", "--length-ease", "-1 in"),
        ("leg", "--leg", "long"),
        ("left", "--left-in-work", "31"),
        ("cuff", "--cuff", "frilly"),
        ("lowering", "--lowering", "sideways"),
        ("deepen", "--deepen", "somehow"),
        ("part", "--part-row", "64"),
    ],
)
def test_a_line_that_cannot_be_read_gets_the_same_sentence(
    capsys: pytest.CaptureFixture[str], line: str, option: str, text: str
) -> None:
    lines: dict[str, Any] = {"tube": "15 cm"} | {line: text}
    sentence = work_out(Typed(**lines), knit(), None).problems[line]
    assert main(["sock", *NO_DIAL, "--tube-length", "15 cm", f"{option}={text}"]) == 2
    assert capsys.readouterr().err == f"hosewright: {sentence}\n"


def test_the_yarn_is_read_as_its_label_has_it(answer: Callable[..., dict[str, Any]]) -> None:
    given = ["sock", *NO_DIAL[: NO_DIAL.index("--yarn")], "--tube-length", "15 cm"]
    by_label, by_metres = answer(*given, "--yarn", "437 yd/100g"), answer(*given, "--m-per-100g", f"{METRES:.6f}")
    assert by_label["grams_per_pair"] == pytest.approx(by_metres["grams_per_pair"], rel=1e-6)
    weighed = [
        "gauge",
        "--rows",
        "60",
        "--length",
        "148 mm",
        "--flat-width",
        "102 mm",
        "--slots",
        "64",
        "--mass",
        "12 g",
    ]
    assert answer(*weighed, "--yarn", "tex 238") == answer(*weighed, "--yarn", "238 tex")


def test_the_dial_response_is_found_under_its_old_name_too(capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["--tubes", "27:9.8,25:10.3", "--rows-per-in", "10", "--json"]
    assert main(["response", *asked]) == main(["click", *asked]) == 0
    first, second = capsys.readouterr().out.splitlines()
    assert json.loads(first) == json.loads(second)


@pytest.mark.parametrize(
    ("typed", "on_a_foot"), [(["--heel", "none", "--end", "chained off", "--leg", "15 cm"], False), ([], True)]
)
def test_a_girth_of_the_foot_is_missed_only_where_it_goes_over_one(
    answer: Callable[..., dict[str, Any]], typed: list[str], on_a_foot: bool
) -> None:
    length = ["--foot-length", "25 cm"] if on_a_foot else []
    notes = answer("sock", *NO_DIAL, *typed, *length)["notes"]
    assert any("No girth was given" in note for note in notes) is on_a_foot
