"""Every step that there is, said once: its title, what the hands do, why, and the rest of ``Said``.

All of it is common practice, no source; the manual of the machine at hand comes first. What an id means never changes:
sessions keep the steps they began with.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

from hosewright.session.steps import plain_id, sock_of
from hosewright.session.steps.afterthought import AFTERTHOUGHT
from hosewright.session.steps.finishing import FINISHING
from hosewright.session.steps.ribs import RIBS
from hosewright.session.steps.said import FORKS, HOOKS, MANUAL, STILL, WEIGHTS, Said
from hosewright.session.steps.setting_up import SETTING_UP
from hosewright.session.steps.sock import HEEL_AND_TOE, LEG_AND_FOOT
from hosewright.session.steps.tubes import TUBES, called, called_in

if TYPE_CHECKING:
    from hosewright.session.steps import Head

EARLIER: dict[str, Said] = {
    "weights": Said(
        do="Hang the usual weights on the buckle ({weights}) and set the dial to {dial}.{tension} Leave the weights "
        "as they are until the stitch size is proven: once they change, what was seen before no longer counts.",
        why="The weights pull each finished stitch down so that the next can form. The stitch size is only true for "
        "the pull it was found with.",
        look="The buckle hangs straight under the middle of the cylinder and swings free.",
        wrong="Does it hang to one side, or touch the stand? Hang it again before the first row.",
        caution=(WEIGHTS, MANUAL),
    ),
    "set-dial": Said(
        do="Set the dial to {dial}, hang the weights as usual ({weights}) and cast on.{tension}",
        why="Every row count in your plans belongs to one position of the dial, and to one pull of the weights.",
        look="Turns and clicks counted from the zero mark; a loop in every hook; the buckle hanging free.",
        wrong="Not sure where the dial stands? Turn it up to the zero mark and count down again.",
        caution=(HOOKS, WEIGHTS),
    ),
    "hang-hem": replace(
        LEG_AND_FOOT["fold-hem"],
        do="Hang the first row of working loops on the needles, one on each, so that the hem folds double.",
    ),
    "heel-set": replace(
        HEEL_AND_TOE["heel-needles"],
        do="Lift the instep needles out of work, carrier at the {carrier} end of the heel half. Ribber out, heel "
        "spring on, weights moved forward or heel forks hung, reinforcing yarn spliced in if you use it. In the "
        "heel the crank goes back and forth.",
        look="The spring draws the yarn back as the carrier turns; the heel half's stitches are tight, the others "
        "rest.",
        wrong="A loop of yarn hangs at the turn? The spring is off or too weak. Stitches ride up? More pull on that "
        "half.",
        caution=(STILL, HOOKS, FORKS),
    ),
    "heel-end": replace(
        HEEL_AND_TOE["heel-lower"],
        do="Lower the instep needles, cut the reinforcing yarn, heel spring off, weights back under the "
        "middle.{rows_begin}",
        wrong="The foot slants after some rows? Hang the weights in the middle again.",
        caution=(STILL, HOOKS, FORKS),
    ),
    "toe-set": replace(
        HEEL_AND_TOE["toe-needles"],
        do="The toe is turned like the heel: instep needles out of work, carrier at the {carrier} end, heel spring "
        "on, weights forward.",
        wrong="Yarn hangs loose at the turn? Look to the spring. Stitches ride up? Give that half more pull.",
        caution=(STILL, HOOKS, FORKS),
    ),
    "toe-end": replace(
        HEEL_AND_TOE["toe-lower"],
        do="Lower the instep needles again, heel spring off, weights back under the middle.",
        caution=(STILL, HOOKS, FORKS),
    ),
    "chain-off": replace(
        FINISHING["chain-top"],
        do="Chain off the first loops of the rolled edge: with a work hook draw each loop loosely through the one "
        "before, right round, and the tail through the last. Draw the separator yarn out as you go.",
    ),
}


_WRITTEN = {**SETTING_UP, **LEG_AND_FOOT, **HEEL_AND_TOE, **AFTERTHOUGHT, **RIBS, **TUBES, **FINISHING, **EARLIER}
_WORDS = ("title", "do", "why", "look", "wrong", "cue")  # cautions are alike for all
NOTHING = Said()  # of a step of another's making


def _whole(name: str) -> Said:
    """An entry; one such as "wash, tube" says only what is otherwise than in "wash"."""
    said, base = _WRITTEN[name], _WRITTEN.get(name.partition(", ")[0])
    if base is None or base is said:
        return said
    own = {field.name: value for field in fields(said) if (value := getattr(said, field.name))}
    return replace(base, **own)


CATALOGUE = {name: _whole(name) for name in _WRITTEN}


def said_of(step_id: str, *, when: str = "") -> Said:
    """What is said of a step, ``when`` it is in a session of this kind or stands like this; nothing of unknown ones."""
    name = plain_id(step_id)
    return CATALOGUE.get(f"{name}, {when}") or CATALOGUE.get(name, NOTHING)


def said_in(head: Head, step_id: str, *, when: str = "") -> Said:
    """What is said of a step of this session, with what is cranked in it called what it is."""
    name = called_in(head, sock_of(step_id))
    if not when and step_id == "try-on" and any(step.id == "chain-end" for step in head.steps):
        when = "open"
    said = said_of(step_id, when=when or head.kind)
    if name == "sock":
        return said
    words: dict[str, Any] = {part: called(getattr(said, part), name) for part in _WORDS}
    return replace(said, **words)
