"""The three procedures, as lists of steps: find the stitch size, crank a gauge tube, crank a sock.

The order of work is common practice, no source.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from hosewright.craft.cuffs import SELVEDGE_BOTH, SELVEDGE_CYLINDER, SELVEDGE_ROWS
from hosewright.craft.heels import NO_PART, WASTE_PASSES, EndKind, PartRow
from hosewright.craft.ribs import PLAIN_BEFORE_TOE
from hosewright.craft.stripes import STRIPED
from hosewright.session.kinds import LEAST_TUBE_ROWS, MOST_TUBE_ROWS, SEPARATOR_ROWS, TUBE_ROWS
from hosewright.session.steps import (
    Confirm,
    CountPasses,
    CountRows,
    DialTrial,
    Measure,
    MeasureField,
    Step,
    Wait,
    id_in,
)
from hosewright.session.steps.catalogue import said_of
from hosewright.session.steps.tubes import MIXED, called, numbered

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.cuffs import Cuff
    from hosewright.craft.ribs import Rib
    from hosewright.craft.sock import Section
    from hosewright.craft.stripes import Stripes
    from hosewright.craft.tubes import TubeName
    from hosewright.craft.turning import Turning
    from hosewright.session.steps import SessionKind

CAST_ON_ROWS = 3
PROOF_ROWS = 10  # ours
PLAIN_ROWS = 5  # before the ribber is set up; ours
RIB_CHOICES = ("ribber clean", "ribber tucks", "ribber drops stitches", "ribber catches no yarn", "needles touch")
CUFFS = ("hem", "cuff")
INSIDE = "-inside"  # of a hem in two parts, what is cranked after the fold
PLAIN = "-plain"  # of a foot with a ribbed instep, its last rows
ON_BOTH, ON_CYLINDER = "-both", "-cylinder"  # of a cuff with a selvedge, what is cranked before the rib
PIECES = (INSIDE, ON_BOTH, ON_CYLINDER, PLAIN)

TRIAL_CHOICES = ("loose", "right", "tight")
LENGTH_CHOICES = ("too short", "right", "too long")


def do(name: str, kind: SessionKind | None = None, *, stitches: int = 0) -> Confirm:
    """A step of the catalogue that is done and confirmed; ``kind`` where its title differs with it."""
    return Confirm(name, said_of(name, when=kind or "").title, stitches)


def count(name: str, rows: int, **more: Any) -> CountRows:
    """A step of the catalogue in which rows are counted."""
    return CountRows(name, said_of(name).title or name.capitalize(), rows, **more)


def _measure(name: str, fields: tuple[MeasureField, ...], kind: SessionKind | None = None) -> Measure:
    return Measure(name, said_of(name, when=kind or "").title, fields)


CAST_ON = {"bonnet": do("cast-on"), "waste": do("cast-on-waste"), "own": do("cast-on-own")}
_SET_UP = (do("dial-start"), do("cast-on"), do("hang-weights"))
_WASHED = (do("wash"), Wait("dry", said_of("dry").title))


def search_steps() -> tuple[Step, ...]:
    """Find the stitch size for a yarn, and prove it."""
    return (
        *_SET_UP,
        do("thread"),
        count("cast-on-rows", CAST_ON_ROWS, yarn="separator"),
        do("join"),
        DialTrial("trial", said_of("trial").title, rule=2),
        do("clear"),
        count("prove", PROOF_ROWS, proves=True),
    )


def ribber_steps(rib: Rib) -> tuple[Step, ...]:
    """Set the ribber up on a few plain rows, and prove it in ``rib``."""
    return (
        *_SET_UP,
        do("thread"),
        count("cast-on-rows", CAST_ON_ROWS, yarn="separator"),
        do("join"),
        count("ribber-plain", PLAIN_ROWS),
        do("ribber-height"),
        do("ribber-align"),
        do("ribber-timing"),
        do("rib-on"),
        count("ribber-first", 1, out_of_work=rib.leg),
        count("ribber-rows", PROOF_ROWS, out_of_work=rib.leg),
        _measure("ribber-seen", (MeasureField("ribber", "How the rows came out", "choice", choices=RIB_CHOICES),)),
    )


def tube_steps(rows: int = TUBE_ROWS, separator_rows: int = SEPARATOR_ROWS, rib: Rib | None = None) -> tuple[Step, ...]:
    """Crank a gauge tube of ``rows`` rows, wash it, and measure it. Raises ValueError outside 30 to 200 rows.

    A tube in ``rib`` is measured pulled wide as well.
    """
    if not LEAST_TUBE_ROWS <= rows <= MOST_TUBE_ROWS:
        raise ValueError(f"A gauge tube has {LEAST_TUBE_ROWS} to {MOST_TUBE_ROWS} rows; {rows} was given.")
    return (
        *_SET_UP,
        *_separator_before(separator_rows),
        *(_rib_above_leg(rib, None) if rib else ()),
        count("tube", rows, out_of_work=rib.leg if rib else ()),
        *(_rib_above_heel(replace(rib, instep=())) if rib else ()),
        *_off(separator_rows, "tube"),
        do("close-ends"),
        _measure(
            "before-wash",
            (
                MeasureField("raw-length", "Length of the working rows", "length", required=False, repeats=True),
                MeasureField("raw-width", "Flat width", "length", required=False, repeats=True),
            ),
        ),
        *_WASHED,
        _measure(
            "after-wash",
            (
                MeasureField("length", "Length of the working rows", "length", repeats=True),
                MeasureField("width", "Flat width", "length", repeats=True),
                MeasureField(
                    "stretched", "Flat width, stretched wide", "length", required=rib is not None, repeats=True
                ),
                MeasureField("mass", "Mass, separator yarn trimmed off", "mass", required=False),
                MeasureField("on-foot", "Tube on the foot", "choice", required=False, choices=TRIAL_CHOICES),
            ),
        ),
    )


def steps_of(sock: SockParts, separator_rows: int = SEPARATOR_ROWS) -> tuple[Step, ...]:
    """Crank one sock, or a tube without a heel, then finish and try it on."""
    return (
        *_SET_UP,
        *_separator_before(separator_rows),
        *_parts(sock),
        *_off(separator_rows, "sock", sock.end, sock.called),
        *_opened(sock, separator_rows),
        *_closed([sock], "sock"),
        *_finished([sock]),
        *_WASHED,
        _measure("try-on", _worn(sock)),
    )


@dataclass(frozen=True, slots=True)
class SockParts:
    """What one sock is made of: its planned ``sections`` (from ``craft.sock.plan_sock``), and how they are cranked.

    ``cuff`` says how its first section is knitted (a plain hung hem without it). ``dial_changes`` are those of the
    leg; a cuff above it is cranked where the dial stands at the leg's first row. ``part_rows``, the heel's and the
    toe's: where rows do not begin at the heel's end, the stitches that lead into it, and those that complete the round
    after it, the first row of the foot, and the same of the toe and the foot's last row. The foot has so many fewer to
    count. ``reinforced``: a second yarn goes along in heel and toe. ``rib`` are the ribs of leg and instep.
    ``afterthought``: waste yarn is laid in for the heel, which is opened, hung and turned once the rest is off the
    machine. ``stripes`` go down leg and foot. A tube has no ``heel``; one that ends otherwise than in a toe has none
    of these.
    """

    sections: tuple[Section, ...]
    heel: Turning | None
    toe: Turning | None
    cuff: Cuff | None = None
    dial_changes: tuple[tuple[int, int], ...] = ()
    part_rows: tuple[PartRow, PartRow] = (NO_PART, NO_PART)
    reinforced: bool = False
    rib: Rib | None = None
    afterthought: bool = False
    stripes: Stripes | None = None
    end: EndKind = "toe"
    called: TubeName = "sock"


def string_steps(socks: Sequence[SockParts], separator_rows: int = SEPARATOR_ROWS) -> tuple[Step, ...]:
    """Crank socks one after another in one string, separator rows between, then take them off, part and finish them.

    The steps of sock 3 have ids that begin with "s3-" (see ``steps.sock_of``). Raises ValueError for no socks.
    """
    if not socks:
        raise ValueError("A string needs at least one sock.")
    steps: list[Step] = [*_SET_UP]
    for number, sock in enumerate(socks, 1):
        own: list[Step] = [*_separator_before(separator_rows), *_parts(sock)]
        if number < len(socks):  # the last one's tail is left where the string ends
            own.append(do("tail"))
        steps += [_of_sock(step, number, sock.called) for step in own]
    steps += _off(separator_rows, "string", socks[-1].end)
    names = {sock.called for sock in socks}
    apart = do("cut-apart")
    steps.append(replace(apart, title=called(apart.title, names.pop() if len(names) == 1 else MIXED)))
    for number, sock in enumerate(socks, 1):
        steps += [_of_sock(step, number, sock.called) for step in _opened(sock, separator_rows)]
    steps += _closed(socks, "string")
    steps += _finished(socks)
    steps += _WASHED
    for number, sock in enumerate(socks, 1):
        fields = tuple(replace(field, id=id_in(number, field.id)) for field in _worn(sock))
        steps.append(_of_sock(_measure("try-on", fields, "string"), number, sock.called))
    return tuple(steps)


def _of_sock(step: Step, number: int, name: TubeName) -> Step:
    return replace(step, id=id_in(number, step.id), title=numbered(step.title, name, number))


def _parts(sock: SockParts) -> list[Step]:
    """What is cranked from the cuff to the toe; an afterthought heel's waste yarn before the foot."""
    steps: list[Step] = []
    dial_changes = sock.dial_changes
    rib = sock.rib if any(section.name == "leg" for section in sock.sections) else None
    above = any(section.name in CUFFS for section in sock.sections)
    first = tuple(change for change in dial_changes[:1] if above and change[0] == 0)
    ribbed = rib.leg if rib else ()
    for section in sock.sections:
        name = section.name
        if name == "heel" and sock.afterthought:
            continue
        if name == "foot" and sock.afterthought and sock.heel:
            waste = _waste(sock.heel)
            if rib:
                waste = (*_rib_above_heel(rib), *waste, *_rib_below_heel(rib))
            steps += _in_a_row("heel", waste, sock.part_rows[0])
        if section.kind == "passes":
            turning, part_row = (sock.heel, sock.part_rows[0]) if name == "heel" else (sock.toe, sock.part_rows[1])
            assert turning is not None  # what has passes is turned
            turned = _turned(name, turning, reinforced=sock.reinforced)
            if name == "heel" and rib:
                turned = (*_rib_above_heel(rib), *turned, *_rib_below_heel(rib))
            steps += _in_a_row(name, turned, part_row)
        elif name in CUFFS:
            steps += _cuff(section, sock.cuff, first, into_rib=rib is not None and rib.way == "ribber")
        elif name == "leg":
            changes = tuple(change for change in dial_changes[len(first) :] if change[0] < section.count)
            steps += _rib_above_leg(rib, sock.cuff) if rib else ()
            steps.append(count("leg", section.count, dial_changes=changes, out_of_work=ribbed))
            steps += [do("dial-back")] if dial_changes else []
        elif name == "tube":
            steps.append(replace(count(name, section.count), title=said_of(name, when="sock").title))
        elif name == "foot":
            by_heel, by_toe = (into > 0 for into, _ in sock.part_rows)
            steps += _foot(section.count - by_heel - by_toe, rib, PLAIN_BEFORE_TOE - by_toe)
        else:
            steps.append(count(name, section.count, out_of_work=ribbed))
    return _striped(steps, sock.stripes) if sock.stripes else steps


def _striped(steps: Sequence[Step], stripes: Stripes) -> list[Step]:
    """With the colours changed at their rows; a row that the heel splits has the colour before it."""
    found: list[Step] = []
    row, colour = 0, stripes.at(0)
    for step in steps:
        if isinstance(step, CountRows) and step.id.removesuffix(PLAIN) in STRIPED:
            changes = stripes.changes(row, step.target, colour)
            row, colour = row + step.target, changes[-1][1] if changes else colour
            found.append(replace(step, yarn_changes=changes))
        else:
            row += step.id == "heel-out"
            found.append(step)
    return found


# --- a ribbed leg and instep --------------------------------------------------------------------------------------


def _rib_above_leg(rib: Rib, cuff: Cuff | None) -> tuple[Step, ...]:
    """The needles set to the rib, unless the ribber has just knitted the same one."""
    if rib.way == "latched":
        return (do("ladders-out"),)
    if cuff is None or cuff.kind != "ribber":
        return (do("rib-on"),)
    return () if cuff.pattern == rib.pattern else (do("rib-change"),)


def _rib_above_heel(rib: Rib) -> tuple[Step, ...]:
    if rib.way == "latched":
        return (do("ladders-heel" if rib.instep else "ladders-up"),)
    return (do("rib-heel" if rib.instep else "rib-off"),)


def _rib_below_heel(rib: Rib) -> tuple[Step, ...]:
    return (do("rib-instep"),) if rib.instep and rib.way == "ribber" else ()


def _foot(rows: int, rib: Rib | None, plain: int) -> list[Step]:
    """The foot's rows that are counted; over a ribbed instep all but the ``plain`` last ones in rib."""
    if rows <= 0:
        return []
    if rib is None or not rib.instep:
        return [count("foot", rows)]
    ribbed = max(rows - plain, 1)
    return [
        count("foot", ribbed, out_of_work=rib.instep),
        do("ladders-up" if rib.way == "latched" else "rib-off"),
        *([count(f"foot{PLAIN}", rows - ribbed)] if rows > ribbed else []),
    ]


def _in_a_row(name: str, turned: Sequence[Step], part_row: PartRow) -> list[Step]:
    """Heel or toe with the stitches that lead into it and those that complete their round after it."""
    into, rest = part_row
    if not into:
        return list(turned)
    return [
        do(f"{name}-in", stitches=into),
        *turned,
        do(f"{name}-out", stitches=rest),
    ]


def _waste(heel: Turning) -> tuple[Step, ...]:
    """Waste yarn over the heel half alone, so many passes that the carrier returns."""
    return (
        do("waste-needles"),
        do("waste-yarn"),
        CountPasses(
            "waste",
            said_of("waste").title,
            heel.needles,
            heel.needles,
            carrier=heel.carrier,
            extra_passes=WASTE_PASSES,
            yarn="separator",
        ),
        do("waste-out"),
        do("waste-lower"),
    )


def _opened(sock: SockParts, separator_rows: int) -> list[Step]:
    """An afterthought heel, when the rest is off the machine: opened, hung on all needles, turned and taken off."""
    if not sock.afterthought or sock.heel is None:
        return []
    return [
        do("opened-loops"),
        do("opened-hang"),
        do("opened-join"),
        *_turned("heel", sock.heel, reinforced=sock.reinforced, at="opened"),
        do("opened-part"),
        count("opened-separator", separator_rows, yarn="separator"),
        do("opened-off"),
    ]


def _closed(socks: Sequence[SockParts], kind: SessionKind) -> list[Step]:
    """What is done to the last loops by hand."""
    closed = {"toe": do("graft", kind), "drawn up": do("draw-up"), "chained off": do("chain-end")}
    ends = {sock.end for sock in socks}
    heel = [do("graft-heel")] if any(sock.afterthought for sock in socks) else []
    return [*(step for end, step in closed.items() if end in ends), *heel]


_WORN = (
    MeasureField("fit", "Round the foot", "choice", required=False, choices=TRIAL_CHOICES),
    MeasureField("fit-by", "Too wide or too narrow by", "length", required=False),
    MeasureField("fit-length", "Length", "choice", required=False, choices=LENGTH_CHOICES),
    MeasureField("fit-length-by", "Too short or too long by", "length", required=False),
    MeasureField("mass", "Mass of the sock", "mass", required=False),
)


def _worn(sock: SockParts) -> tuple[MeasureField, ...]:
    """What is said of it when it is tried on; one that is open at both ends is for no foot."""
    first, *others, mass = _WORN
    if sock.end == "chained off":
        first = replace(first, label="Round")
    return (first, *others, replace(mass, label=called(mass.label, sock.called)))


def _off(separator_rows: int, kind: SessionKind, end: EndKind = "toe", name: TubeName = "sock") -> tuple[Step, ...]:
    part = do("part", kind) if end == "toe" else do("part-open")
    off = do("take-off", kind)
    return (
        part,
        count("separator-out", separator_rows, yarn="separator"),
        replace(off, title=called(off.title, name)),
    )


def is_open_top(sections: Sequence[Section], cuff: Cuff | None) -> bool:
    """Whether a sock's first loops would run once the separator yarn is out: neither hung nor begun by a selvedge."""
    if cuff is None:
        return all(section.name not in CUFFS for section in sections)
    return not (cuff.hung or cuff.selvedge)


def _separator_before(rows: int) -> tuple[Step, ...]:
    return (
        do("thread"),
        count("separator-in", rows, yarn="separator"),
        do("join"),
    )


def _finished(socks: Sequence[SockParts]) -> list[Step]:
    """By hand, once the end is closed."""
    chained = [do("chain-top")] if any(is_open_top(sock.sections, sock.cuff) for sock in socks) else []
    corners = [do("corners")] if any(sock.heel or sock.toe for sock in socks) else []
    return [*chained, *corners, do("ends")]


def _cuff(
    section: Section, cuff: Cuff | None, dial_changes: tuple[tuple[int, int], ...], *, into_rib: bool
) -> list[Step]:
    """The cuff with what must be done to the needles before, within and after it; the ribber stays on ``into_rib``."""
    name, rows = section.name, section.count
    kind = cuff.kind if cuff else "hem"
    out = cuff.out_of_work if cuff else ()
    steps: list[Step] = []
    if kind == "mock rib":
        steps.append(do("needles-out"))
    elif cuff and cuff.selvedge:
        steps += _selvedge(name, cuff.slots)
        rows = max(1, rows - SELVEDGE_ROWS)
    elif kind == "ribber":
        steps.append(do("ribber-on"))
    to_fold = min(cuff.rows // 2, rows - 1) if cuff and kind == "picot" else 0
    if to_fold:
        steps += [
            replace(count(name, to_fold, dial_changes=dial_changes), title="Hem to the fold"),
            do("picot-holes"),
            count(name + INSIDE, rows - to_fold),
        ]
    else:
        steps.append(count(name, rows, out_of_work=out, dial_changes=dial_changes))
    if kind == "mock rib":
        steps.append(do("fill-needles"))
    elif kind == "ribber" and not into_rib:
        steps.append(do("ribber-off"))
    if name == "hem":
        steps.append(do("hang-rib" if kind == "mock rib" else "fold-hem"))
    return steps


def _selvedge(name: str, slots: int) -> list[Step]:
    """A finished edge for a rib: 1x1 on both beds, then the cylinder alone (common practice, no source)."""
    out = tuple(range(2, slots + 1, 2))
    return [
        do("selvedge-on"),
        count(name + ON_BOTH, SELVEDGE_BOTH, out_of_work=out),
        do("ribber-rest"),
        count(name + ON_CYLINDER, SELVEDGE_CYLINDER, out_of_work=out),
        do("ribber-rib"),
    ]


def _turned(name: str, turning: Turning, *, reinforced: bool, at: str = "") -> tuple[Step, ...]:
    """Heel or toe with what is done before and after it, in the steps of ``at`` where they are other than usual."""
    at = at or name
    return (
        do(f"{at}-needles"),
        do(f"{at}-pull"),
        *([do(f"{at}-reinforce")] if reinforced else []),
        CountPasses(name, said_of(name).title, **asdict(turning)),
        do(f"{at}-lower"),
        *([do(f"{at}-reinforced")] if reinforced else []),
        do(f"{at}-even"),
    )
