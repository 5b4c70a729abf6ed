"""What is said when it knits badly: how faults lie, since when, a check, what was tried; and the lines to answer on."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from hosewright.craft.chance import LEAST_FAULTS, odds_words
from hosewright.craft.faults import LEAST_ON_A_CIRCLE
from hosewright.logbook.accounts.troubles import since_moved
from hosewright.phrases.days import clock_day
from hosewright.phrases.field import Field, whole
from hosewright.phrases.lists import many
from hosewright.session.observations import FAULTS_OF_A_STITCH
from hosewright.session.troubles import CHECKS, SYMPTOMS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.faults import Lie
    from hosewright.logbook.accounts.troubles import Advice, Past, When
    from hosewright.logbook.records.year import Tried
    from hosewright.session.state import State
    from hosewright.session.troubles import Check, Moment

SEEN = Field(
    "seen",
    "Seen",
    "what you see on the knitting or the machine",
    example="dropped stitches",
    choices=tuple((one.title, one.id) for one in SYMPTOMS.values()),
    blank="what was noted most of late",
)
ANSWER = Field(
    "answer",
    "Was that it",
    "that was it, no, or not now",
    choices=(("that was it", "helped"), ("no", "not"), ("not now", "")),
    also=(("yes", "helped"), ("y", "helped"), ("n", "not"), ("l", "")),
    empty="",
)
CHECK = Field(
    "check",
    "Check",
    "the one that is answered for",
    example="weights",
    choices=tuple((one, one) for one in CHECKS),
)
WENT = Field(
    "went",
    "Where the fault is now",
    "with the needle, at the old slot, or at neither",
    choices=(("with the needle", "needle"), ("at the old slot", "slot"), ("at neither", "gone")),
)
# What an answer about a moved needle comes to, and what to do then.
MOVED_CAME_TO = {
    "needle": "It went along, so it is the needle: change it, and note that (m on the bench, then n).",
    "slot": "It stayed, so it is the slot or what is set there: clean it; a damaged slot is for a repairer.",
    "gone": "It is gone, so it was how the needle sat, or dirt. Both may stay where they are.",
}
MANY_FAULTS = 5  # of a session, from which on it is proposed to look for why; ours
_SINCE: dict[Moment, str] = {
    "knot": "the knot",
    "ball": "the new ball",
    "yarn": "the change of yarn",
    "needle": "a needle was changed",
    "oil": "it was oiled",
    "part": "work on a part",
    "ribber": "the ribber was timed",
    "dial": "the dial was turned",
    "weight": "the weight was changed",
    "tension": "the mast tension was changed",
}


def slot_fields(slots: int) -> tuple[Field, Field]:
    """The lines for a needle that was moved on a cylinder of so many slots."""
    came = whole("needle", "From slot", "where the needle was", 1, slots, what="slot", example="17", required=True)
    went = whole("to", "To slot", "where it is now", 1, slots, what="slot", example="40", required=True)
    return came, went


class Said(NamedTuple):
    """A check in words, for the needle or the slots that stand out."""

    title: str
    why: str
    how: str
    caution: str
    source: str


def times(count: int) -> str:
    """How often: "once", "twice", "3 times"."""
    return {1: "once", 2: "twice"}.get(count) or many(count, "time")


def noted_words(advice: Advice) -> str:
    """How often it was noted, and where."""
    past, where = advice.past, f"on {advice.past.bed.cylinder}"
    if not advice.symptom.faults:
        return "No key at the crank notes this, so the checks stand in their usual order."
    if not past.sessions:
        return f"Nothing was cranked {where} yet, so the checks stand in their usual order."
    sessions = "the last session" if past.sessions == 1 else f"the last {past.sessions} sessions"
    return f"Noted {times(advice.noted) if advice.noted else 'not once'} in {sessions} {where}."


def lay_lines(advice: Advice) -> list[str]:
    """How the faults lie and since when, a sentence each, with how likely that is by chance."""
    if not advice.noted:
        return []
    if advice.lay.lies:
        return [f"{_lie(lie, advice)} By chance alone: {odds_words(lie.odds)}." for lie in advice.lay.lies]
    if advice.lay.too_few:
        return [
            "Too few to tell how they lie: a needle can show from "
            f"{LEAST_FAULTS} that name one, neighbours from {LEAST_ON_A_CIRCLE}."
        ]
    if advice.lay.even:
        return ["They lie evenly: no needle, place or time stands out from chance."]
    return ["No needle, place or time stands out from chance so far."]


def _lie(lie: Lie, advice: Advice) -> str:
    of = f"{lie.hits} of {lie.of}"
    match lie.kind:
        case "needle":
            return f"Needle {lie.needles[0]}: {of} that name a needle."
        case "neighbours":
            return f"{_range(*lie.needles).capitalize()}: {of} in the rounds that name a needle."
        case "heel ends":
            return f"The ends of the heel half: {of}."
        case "turned":
            return f"Heel and toe: {of}, in {lie.share:.0%} of the stitches."
        case "spells":
            return "They come in spells of rounds, with clean ones between."
        case "since":
            return f"Since {since_words(advice.past.moments[lie.mark])}: {of}, in {lie.share:.0%} of the stitches."


def since_words(when: When, *, day: bool = True) -> str:
    """A moment with its ``day``: "the knot on 3 Mar 2026"."""
    return f"{_SINCE[when.what]} on {clock_day(when.at_ms, when.zone_min)}" if day else _SINCE[when.what]


def _range(first: int, last: int) -> str:
    return f"slot {first}" if first == last else f"slots {first} to {last}"


def said(check: Check, advice: Advice) -> Said:
    """A check with the needle or the slots that stand out named in it."""
    needle = f"needle {advice.needle}" if advice.needle else "the needle where it happens"
    slots = _range(*advice.slots) if advice.slots else "the slots, above all where it happens"

    def named(text: str) -> str:
        return text.replace("{needle}", needle).replace("{slots}", slots)

    return Said(*(named(text) for text in (check.title, check.why, check.how, check.caution, check.source)))


def tried_words(check: Check, advice: Advice) -> str:
    """What is known of a check on this machine: how often it was it, or that of late it was not."""
    often = advice.often.get(check.id, 0)
    if often:
        return f"that was it {times(often)} before"
    return "lately: no" if check.id in advice.refused else ""


def moved_lines(move: Tried, at_new: int, at_old: int) -> list[str]:
    """Which needle was moved, and where it faulted since."""
    return [
        f"The needle of slot {move.needle} is in slot {move.to} since {clock_day(move.at_ms, move.zone_min)}.",
        f"Faults noted since: {at_new} at slot {move.to}, {at_old} at slot {move.needle}.",
    ]


class Held(NamedTuple):
    """One thing that the sessions hold, in a line; ``own``: it is a fault of the symptom that is looked into."""

    day: str
    words: str
    own: bool


def held_words(past: Past) -> str:
    """How much was cranked in what is looked at."""
    return f"{many(past.sessions, 'session')}, {many(past.rounds, 'round')}, {sum(past.stitches):,} stitches"


def most_at(advice: Advice) -> list[tuple[int, int]]:
    """The needles that the symptom's faults name, each with how often, the most first."""
    named = Counter(one.placed.needle for one in advice.past.faults_of(advice.symptom) if one.placed.needle)
    return sorted(((needle, often) for needle, often in named.items() if needle), key=lambda one: (-one[1], one[0]))


def held_lines(advice: Advice) -> list[Held]:
    """All faults noted, and what was changed between them, the newest first."""
    past, own = advice.past, advice.symptom.faults
    told = [(one.at_ms, one.zone_min, one.words, one.fault in own) for one in past.seen]
    told += [(one.at_ms, one.zone_min, since_words(one, day=False), False) for one in past.moments]
    return [
        Held(clock_day(at_ms, zone_min), words, mine) for at_ms, zone_min, words, mine in sorted(told, reverse=True)
    ]


THAT_WAS_IT = "that was it"
_OUTCOMES = {"helped": THAT_WAS_IT, "not": "no", "needle": "it went along", "slot": "it stayed", "gone": "it is gone"}


def tried_lines(tried: Sequence[Tried]) -> list[tuple[str, str, str]]:
    """What was tried on a machine, in the order given: the day, what came of it, and the check with what was seen."""
    lines = []
    for one in tried:
        if one.check in CHECKS and one.symptom in SYMPTOMS:
            title = CHECKS[one.check].title.replace("{needle}", "a needle").replace("{slots}", "the slots")
            came = f"slot {one.needle} to {one.to}" if one.outcome == "moved" else _OUTCOMES[one.outcome]
            day = clock_day(one.at_ms, one.zone_min)
            lines.append((day, came, f"{title} ({SYMPTOMS[one.symptom].title})"))
    return lines


def seen_lines(told: Advice) -> list[str]:
    """Where, what is seen, how often it was noted and how it lies."""
    bed = told.past.bed
    return [f"{bed.machine}, {bed.cylinder}: {told.symptom.title}", noted_words(told), *lay_lines(told)]


def why_lines(told: Advice) -> list[str]:
    """What is seen, how it lies, and the checks in their order; the first of them whole."""
    lines = seen_lines(told)
    if told.move is not None:
        since = since_moved(told.past, told.move)
        lines += ["", *moved_lines(told.move, since.at_new, since.at_old), "Answer with --went."]
    for at, check in enumerate(told.checks, 1):
        spoken, known = said(check, told), tried_words(check, told)
        lines += [*([""] if at < 3 else []), f"{at}. {spoken.title} [{check.id}]{f' ({known})' if known else ''}"]
        if at == 1:
            lines += [spoken.why, spoken.how, spoken.caution, f"From: {spoken.source}."]
    return lines


def many_faults(state: State, how: str) -> str:
    """A sentence that proposes to look for why, of a session with many faults; ``how`` is the key or the verb."""
    count = sum(seen.fault in FAULTS_OF_A_STITCH and not seen.struck for seen in state.observations)
    return f"It went wrong {times(count)}: {how} looks for why." if count >= MANY_FAULTS else ""
