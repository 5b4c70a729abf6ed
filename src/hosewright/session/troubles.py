"""When it knits badly: what is seen, what to look at, and in which order. One place for symptoms, checks and sources.

A symptom ranks checks and never names the culprit, since one fault has yarn, needle or setting behind it. How faults
lie (``craft.faults``) and what helped before move a check forward. No share of causes, no tension, weight or clearance
is said, for none is published for these machines.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Mapping

    from hosewright.craft.faults import Kind
    from hosewright.session.events import Fault

Moment = Literal["knot", "ball", "yarn", "needle", "oil", "part", "ribber", "dial", "weight", "tension"]
PRACTICE = "common practice, no source"
_SPENCER = "D. J. Spencer, Knitting Technology, 3rd ed."
_TRADE = "inspection manuals of the trade"


@dataclass(frozen=True, slots=True)
class Symptom:
    """What a knitter sees. ``faults``: what is noted for it at the crank; ``checks``: likeliest and cheapest first."""

    id: str
    title: str
    looks: str
    faults: tuple[Fault, ...]
    checks: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to look at. In its words ``{needle}`` and ``{slots}`` stand for the ones that stand out."""

    id: str
    title: str
    why: str
    how: str
    caution: str
    source: str


SYMPTOMS = {
    one.id: one
    for one in (
        Symptom(
            "dropped",
            "dropped stitches",
            "A loop hangs free below a small hole.",
            ("dropped",),
            ("yarn-path", "weights", "needle", "move-needle", "carrier", "stitch-size", "speed", "slots", "clean-oil"),
            f"{_TRADE}; {_SPENCER}, on the drop stitch",
        ),
        Symptom(
            "tuck",
            "tucked stitches",
            "A needle kept its old loop and took the new one too: two threads in one hook, a hump on the cloth.",
            ("tuck",),
            ("weights", "needle", "move-needle", "slots", "carrier", "stitch-size", "static", "clean-oil"),
            f"{_SPENCER}, 9.4; {_TRADE}",
        ),
        Symptom(
            "split",
            "split yarn",
            "Part of the yarn is in the hook, part beside it.",
            ("split",),
            ("ball", "speed", "yarn-path", "needle", "stitch-size", "carrier"),
            f"W. Davis, Hosiery Manufacture, ch. XIV; slower for splitty yarn: {PRACTICE}",
        ),
        Symptom(
            "ladder",
            "a ladder",
            "One wale has come open over many rows.",
            ("dropped",),
            ("needle", "move-needle", "slots", "yarn-path", "weights", "carrier"),
            _TRADE,
        ),
        Symptom(
            "line",
            "a line along one wale",
            "No hole: one wale is tighter or looser than its neighbours, or soiled.",
            ("dropped", "tuck", "split"),
            ("slots", "needle", "move-needle", "clean-oil"),
            f"{_TRADE}; {_SPENCER}, as quoted",
        ),
        Symptom(
            "ride-up",
            "loops that ride up",
            "Loops rise with their needles and stay up.",
            ("stayed-up",),
            ("weights", "stitch-size", "yarn-path", "carrier", "clean-oil"),
            "an instruction sheet of 1908; " + PRACTICE,
        ),
        Symptom(
            "out-of-carrier",
            "yarn out of the carrier",
            "The needles pass and no yarn comes.",
            ("yarn-broke", "fell-off"),
            ("yarn-path", "ball", "carrier", "speed"),
            _TRADE,
        ),
        Symptom(
            "falls-off",
            "work falls off",
            "Part of the tube, or all of it, has left the needles.",
            ("fell-off", "yarn-broke"),
            ("yarn-path", "latches", "ball", "weights", "carrier", "stitch-size"),
            f"{_TRADE}; {_SPENCER}, on the press-off",
        ),
        Symptom(
            "stiff",
            "a stiff crank",
            "It goes harder than it did, at once or little by little.",
            ("stiff",),
            ("catch", "stitch-size", "yarn-path", "clean-oil", "slots"),
            PRACTICE,
        ),
        Symptom(
            "rib",
            "rib that does not form",
            "The ribber's needles keep their old loop, drop it, or draw it to one side.",
            (),
            ("ribber-height", "ribber-middle", "ribber-timing", "latches", "weights", "stitch-size", "clean-oil"),
            PRACTICE,
        ),
    )
}

CHECKS = {
    one.id: one
    for one in (
        Check(
            "yarn-path",
            "Follow the yarn from the ball to the carrier",
            "Yarn that catches runs now tight, now slack, and every loop it makes is another. It costs nothing to "
            "look.",
            "Draw an arm's length through by hand: it should run light and even. Look for a turn round the mast, lint "
            "in an eye, a ball that sticks, yarn caught under a cone, yarn out of the carrier.",
            "Crank still while a hand is near the carrier.",
            "low and even tension: Annals of the University of Oradea, Textiles, 2015; a higher one makes shorter "
            "stitches: J. Text. Mach. Soc. Japan 15(6)",
        ),
        Check(
            "ball",
            "Look at the yarn itself",
            "A loosely plied yarn splits on the hook; a knot or a thin place gives way as the loop forms.",
            "Lay a piece from now beside one from before and untwist both. Feel a length for knots and thin places, "
            "wind the ball again, and crank a few slow rows off another ball.",
            "Wind knots out before they reach the needles, above all before a heel.",
            f"{_TRADE}; another ball: {PRACTICE}",
        ),
        Check(
            "weights",
            "Look at the weights",
            "With too little pull the loops rise with their needles, and a needle cannot clear the old one.",
            "Press the work down by hand: the old loops should lie on the top of the cylinder. Hang the weight level "
            "and close below, add a little, crank a few rows and look again.",
            "A little at a time: nobody has published how much, and too much strains needles and yarn.",
            "an instruction sheet of 1908; " + PRACTICE,
        ),
        Check(
            "needle",
            "Look at the latch and the hook of {needle}",
            "A bent, sticking or shut latch, or a hook that is out of line, faults again and again at its own place.",
            "Crank still, weights off. Raise it by hand: the latch should swing freely and close straight on the hook. "
            "Look along the ring of needles both ways; one that leans stands out. Change a bad one, and note it (m on "
            "the bench, then n).",
            "Never straighten a hook or a latch, and never under load: change the needle, as the manual says.",
            f"{_TRADE}; the look along the ring: a period book on stockings",
        ),
        Check(
            "move-needle",
            "Move {needle} to another slot",
            "Only this tells a needle from its slot: with one feed, carrier and cams are the same for all of them.",
            "Change it with a needle that never faulted, some slots away, then press y and type the slot it went to. "
            "A fault that goes along is the needle's, one that stays is the slot's, one that is gone was its seat "
            "or dirt.",
            "Weights off; take the loops off both first and hang them again. Never pull a needle through a tight loop.",
            f"reasoning from the knitting cycle ({_SPENCER}, 3.4); the swap itself: {PRACTICE}",
        ),
        Check(
            "slots",
            "Clean {slots}",
            "Lint and old oil hold a needle back: it rises too little, and tucks or drops.",
            "Weights off. Take the needles out there, brush the slots from top to bottom, wipe off old oil. Back in "
            "its slot, each must move freely under a finger.",
            "Scrape and file nothing: a damaged slot is for a repairer.",
            f"{_TRADE}; {PRACTICE}",
        ),
        Check(
            "seat",
            "See that the cylinder sits down and level",
            "Faults at one place of the round come from something that is not as it is elsewhere: a cylinder that is "
            "not seated, a weight off the middle, a jerk of the crank there, yarn that drags there.",
            "Weights off. See that it rocks nowhere and sits down all round; hang the weight in the middle; watch the "
            "yarn and your hand while the carrier passes.",
            "Tighten only what the manual names, and force nothing.",
            "reasoning, no source",
        ),
        Check(
            "carrier",
            "Check the yarn carrier's height and gap",
            "It lays the yarn into open hooks and keeps latches from closing. It passes every needle, so its faults "
            "show all round.",
            "By the machine's manual: as close as it goes and touching nothing, the yarn meeting each needle between "
            "hook and latch. Turn one slow round and watch every latch.",
            "After any change turn one round slowly by hand: a carrier that touches a latch bends it.",
            f"{_SPENCER}, 3.4; {_TRADE}; as close as it goes: {PRACTICE}",
        ),
        Check(
            "stitch-size",
            "Try the stitch size a click away",
            "Too small for the yarn, loops bind and ride up; too large, they slip off the hook.",
            "A click larger where loops ride up or the crank is stiff, a click smaller where they slip off. Note it at "
            "the crank (g), crank a few rows, look. A gauge holds for its own stitch size alone.",
            "Never turn the dial against a stiff crank.",
            f"an instruction sheet of 1908; {_TRADE}",
        ),
        Check(
            "speed",
            "Crank more slowly and evenly",
            "A jerk lets a latch snap shut as the loop leaves it. Heels show it first.",
            "Crank a few rows at half the pace with no stop at any one place, and a heel slower than the tube.",
            "Slow is no harm; stop at the first pile of loops on a needle.",
            f"{_SPENCER}, 21.4, on powered machines that turn heels more slowly; the jerk: a trade text on loops",
        ),
        Check(
            "edge-needle",
            "Watch the end needles at each turn",
            "At the turn the yarn goes slack, and the first needle of the way back may miss it.",
            "Stop at each end: is the latch of the end needle open, does the yarn lie in its hook, was the lifted "
            "needle "
            "wrapped? Where it misses, set that needle only part of the way down, so that its latch takes the yarn.",
            "Hands off the crank while fingers are at the needles.",
            f"{_SPENCER}, 21.4 and p. 266; the part of the way: {PRACTICE}",
        ),
        Check(
            "heel-weight",
            "Weight the heel under the needles that work",
            "In a heel the loops of lifted needles hold the cloth up, and the working ends get little of the pull.",
            "Hang the heel's own weight close below the working needles and move it up as the heel grows. Feel with a "
            "finger that both ends are held down like the middle.",
            "Keep clear of it: it falls when the work comes off.",
            f"{_SPENCER}, on take-down and 21.4; {PRACTICE}",
        ),
        Check(
            "take-up",
            "See that the take-up spring works in the heel, and only there",
            "It draws in the slack at each turn; in rounds it would pull at the yarn for nothing.",
            "Watch it over two turns: it should take up the slack and let go smoothly. Free it again for the foot.",
            "Crank still while a hand is at the mast.",
            f"{_SPENCER}, 21.4; a period instruction sheet",
        ),
        Check(
            "latches",
            "Open every latch before the next row",
            "An empty hook behind a shut latch cannot take yarn, so what came off once comes off there again.",
            "After casting on and after every restart, go round once and open each latch with a finger or a brush.",
            "Crank still while you do it.",
            "a period instruction sheet",
        ),
        Check(
            "static",
            "Rule out dry air",
            "Stray tucks that change their needle, in a dry, heated room: loops cling and jump.",
            "Try again with the yarn laid out in a damper room, or a bowl of water near it, and a touch of thin oil on "
            "the needle heads.",
            "No spray near needles and belts that the manual does not name.",
            PRACTICE,
        ),
        Check(
            "catch",
            "Stop, back off gently, find what catches",
            "A knot that tightens, a loop piled on a needle or a trapped needle stops the crank; going on breaks it.",
            "Weights off. Turn back a little, look for yarn wound where it should not be, a shut latch with loops on "
            "it, a needle standing lower than the rest. Free that first.",
            "Never force it. If nothing is found, the manual and a repairer come next.",
            "a public manual on machine knitting; the pile of loops: Electronics 13(19), 2024",
        ),
        Check(
            "ribber-height",
            "Check the ribber's height",
            "Too high, its loops are not drawn through; too low, they bind below.",
            "Lower it a little at a time until the yarn clears its latches, and no further than where loops bind. "
            "One step, a few rows, look. `hosewright start ribber` goes through height, middle and timing in order.",
            "By the manual. Turn one slow round after each step: nothing may touch.",
            PRACTICE,
        ),
        Check(
            "ribber-middle",
            "See that its needles stand midway",
            "A rib stitch must come up between its two neighbours; off the middle, latches and loops meet.",
            "Look from above at a needle of each kind: the ribber's midway between two of the cylinder, all round. "
            "Centre it by its stop.",
            "Loosen only that stop, and turn nothing while needles stand across each other.",
            PRACTICE,
        ),
        Check(
            "ribber-timing",
            "Check the ribber's timing",
            "Its loop is drawn just after its neighbours'; when that moment moves, it pulls at them or is left short.",
            "Note where it stands, change one step, crank a few rows, look; back again if it is no better. Note it "
            "under care (m, then t).",
            "Which way is better differs by machine and yarn: the manual first.",
            "textile papers on dial timing, which disagree; so one step and a look",
        ),
        Check(
            "clean-oil",
            "Clean it and oil it",
            "Lint felted into slots and gummed oil make needles move late. It comes slowly, over months.",
            "Brush it out, wipe off all old oil, then a little fine oil where the manual says. Crank some waste rows "
            "before the next sock, and note it (m, then o).",
            "Too much oil marks the knitting along its wales.",
            "a period instruction sheet; " + PRACTICE,
        ),
        Check(
            "cams",
            "Last: screws, carrier and cams, by the manual",
            "Loose screws and worn cams are rare, cost most to look at, and show all round.",
            "Go through the manual's list of screws. If faults stay all round after everything above, show the machine "
            "to a repairer, with what you tried.",
            "File, bend and force nothing: the machine's own manual and a repairer come first.",
            PRACTICE,
        ),
    )
}

LAST = "cams"  # every list ends with it
_BY_LIE: dict[Kind, tuple[str, ...]] = {
    "needle": ("needle", "move-needle", "slots"),
    "neighbours": ("slots", "seat", "yarn-path"),
    "heel ends": ("edge-needle", "heel-weight", "take-up"),
    "turned": ("heel-weight", "speed", "take-up", "edge-needle"),
    "spells": ("yarn-path", "ball", "speed"),
}
_BY_MOMENT: dict[Moment, tuple[str, ...]] = {
    "knot": ("ball", "yarn-path"),
    "ball": ("ball", "stitch-size"),
    "yarn": ("ball", "stitch-size"),
    "needle": ("needle", "move-needle"),
    "oil": ("clean-oil",),
    "part": ("carrier", LAST),
    "ribber": ("ribber-timing", "ribber-height"),
    "dial": ("stitch-size",),
    "weight": ("weights",),
    "tension": ("yarn-path",),
}


def in_order(
    symptom: Symptom,
    lies: Iterable[Kind] = (),
    since: Moment | None = None,
    helped: Mapping[str, int] | None = None,
    refused: Container[str] = (),
) -> list[Check]:
    """The checks for a symptom. What helped before stands first, then what the moment and how faults lie point at.

    ``helped``: how often each check was it on this machine; ``refused``: those that of late were not, which come last.
    """
    often = helped or {}
    first = [*(_BY_MOMENT[since] if since else ()), *(one for lie in lies for one in _BY_LIE.get(lie, ()))]
    every = [*dict.fromkeys([*first, *symptom.checks, *(one for one in often if one in CHECKS), LAST])]
    if LAST not in first:
        every.sort(key=lambda one: one == LAST)
    return [CHECKS[one] for one in sorted(every, key=lambda one: (one in refused, -often.get(one, 0)))]
