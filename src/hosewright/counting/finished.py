"""What a finished session came to, in words for the bench and the line mode. No screen here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.stock import prorated, to_mg
from hosewright.craft.units import MM_PER_CM, MM_PER_INCH
from hosewright.logbook.accounts.use import sock_mg
from hosewright.logbook.find.evidence import tube_doubts
from hosewright.phrases.lists import many
from hosewright.session.results import cranked, pieces_of, tube_gauge, worn_words
from hosewright.session.steps import CountPasses, CountRows

if TYPE_CHECKING:
    from hosewright.logbook.live import Live


def result_words(live: Live, back: str = "b") -> str:
    """What a finished session came to; ``back``: what is typed to go back to its readings."""
    if live.state.step is not None or live.state.abandoned:
        return ""
    if live.record.kind == "sock":
        return _sock_words(live, back)
    if live.record.kind == "string":
        return _string_words(live)
    if live.record.kind != "tube":
        return ""
    gauge, tube = live.gauge(live.state), None
    if gauge is not None:  # else its readings may be none that a tube can have
        tube = tube_gauge(live.state)
    if gauge is None or tube is None:
        return "The tube was not measured, so it has no gauge."
    rows, stitches = gauge.rows_per_mm, gauge.stitches_per_mm
    found = (
        f"{rows * MM_PER_INCH:.2f} rows and {stitches * MM_PER_INCH:.2f} stitches to the inch.\n"
        f"To the centimetre {rows * MM_PER_CM:.3f} and {stitches * MM_PER_CM:.3f}."
    )
    doubts = tube_doubts(live.record, live.state, tube)
    if not doubts:
        return f"{found} Plan a sock from it next."
    return "\n".join([found, *doubts, f"{back} goes back to the readings."])


def yarn_used(live: Live) -> tuple[int, str] | None:
    """The yarn in a finished sock in mg, and how that is known; None where nothing tells."""
    state, plan = live.state, live.record.plan
    if masses := state.values("mass"):
        return to_mg(masses[-1]), "of yarn, as weighed"
    whole, (sock,) = sock_mg(plan, live.record.yarn) if plan else None, pieces_of(state)
    if whole is None or not sock.stitches_planned:
        return None
    return prorated(whole, sock.stitches, sock.stitches_planned), "of yarn, by its stitches"


def _string_words(live: Live) -> str:
    """How many socks came off the string, and which were spoilt."""
    socks = pieces_of(live.state)
    whole = sum(sock.standing == "cranked" for sock in socks)
    lines = [f"{many(whole, 'sock')} cranked in one string."]
    lines += [
        f"Spoilt: sock {sock.number}, after {sock.rows} rows and {sock.passes} passes: {sock.reason}."
        for sock in socks
        if sock.standing == "spoilt"
    ]
    return "\n".join(lines)


def _sock_words(live: Live, back: str) -> str:
    """What was cranked beside the plan, how the sock sat, and what to do with the pair now."""
    record, state = live.record, live.state
    asked = {step.id: step for step in state.head.steps if isinstance(step, CountRows | CountPasses)}
    parts = [f"{asked[name].title} {_beside_plan(asked[name], count)}" for name, count in cranked(state).items()]
    seen = sum(not observation.struck for observation in state.observations)
    lines = ["Cranked: " + ", ".join(parts) + "."]
    if seen:
        lines.append(f"{many(seen, 'observation')} noted on the way; the session's page has them all.")
    told = worn_words(state)
    if told:
        heard = " A plan that names its wearer would learn from that."
        if record.wearer:
            heard = f" {record.wearer.name}'s next plan takes that in."
        lines.append(f"On the foot: {told}.{heard}")
    else:
        learn = f", so that {record.wearer.name}'s plans learn" if record.wearer else ""
        lines.append(f"How it sits was not noted. {back} goes back to it{learn}.")
    if record.plan is not None:
        first = record.twin_of is None
        lines.append(
            "Crank its twin next: c." if first else "The pair has proven its gauge. Plan the next sock of it: p."
        )
    return "\n".join(lines)


def _beside_plan(step: CountRows | CountPasses, count: int) -> str:
    return str(count) if count == step.target else f"{count} ({step.target} planned)"
