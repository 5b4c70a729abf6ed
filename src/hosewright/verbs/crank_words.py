"""What the line mode says and goes by: the words that do what letters do, where the work stands, what may be typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.counting.measuring import placeholder, readings_words, result_words
from hosewright.craft.dial import dial_place
from hosewright.session.commands import typed_as
from hosewright.session.cues import cues
from hosewright.session.observations import FAULT_WORDS
from hosewright.session.reasons import caution_now, first_pass_words
from hosewright.session.steps import CountPasses, CountRows, DialTrial, Measure
from hosewright.session.words import heard_pass, instruction, label_of, now_words, where_rows_begin

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hosewright.logbook.live import Live
    from hosewright.session.keys import Command
    from hosewright.session.state import State
    from hosewright.session.steps import Step
    from hosewright.settings.table import Settings

SCREEN_ONLY = ("far", "view", "acknowledge")  # commands that change only what the bench's screen shows
# Words that do what letters and signs do: many who read by ear never hear a sign.
WORDS = {
    "take_back": "undo",
    "undo_measuring": "undo",
    "redo": "redo",
    "redo_measuring": "redo",
    "step_back": "back",
    "recount": "recount",
    "rehang": "rehang",
    "dial": "dial",
    "strike": "strike",
    "strike_reading": "strike",
    "pause": "pause",
    "note": "note",
    "seen": "seen",
    "why": "badly",
    "vouch": "vouch",
    "missing": "missing",
    "say_where": "where",
    "quiet": "quiet",
    "explain": "why",
    "other": "others",
    "give_up": "give-up",
    "home": "leave",
    "help": "help",
}
# What a step asks is answered in its own words.
AS_HEARD = {
    **dict.fromkeys(("drop", "drops", "drop back", "dropped back", "they dropped", "they dropped back"), "dropped"),
    **dict.fromkeys(("stay", "stayed", "stay up", "stayed up", "they stayed", "they stayed up"), "stayed-up"),
    **dict.fromkeys(("not sure", "don't know"), "unsure"),
}
_VERDICT_WORDS = {"drop": "dropped", "stay": "stayed-up", "broke": "yarn-broke"}  # as the same is noted in a row
# Where the bench's help speaks of its screen, or a letter takes something behind it.
_HELP: dict[str, str] = {
    "count": "Count one row, or one pass in a heel or toe. It is saved at once. “5 of 56 rows” are done; “pass 6”, "
    "with what to do, is the next.",
    "go_on": "This step is done; go on to the next.",
    "take_back": "Undo the last thing done, whatever it was; again goes further back. It moves the count, not the "
    "knitting.",
    "undo_measuring": "Undo the last thing done, whatever it was; again goes further back.",
    "redo": "Do again what was undone last.",
    "redo_measuring": "Do again what was undone last.",
    "pause": "Hands off the crank, or on again; counting a row ends it, too.",
    "note": "The words after it are a note at this row.",
    "recount": "The counter is really at the number after it, and why: {} 37 lost count.",
    "spoil": "This sock of the string is spoilt, and why; it is cranked once more: {} a latch tore the heel.",
    "leave_out": "This sock of the string is spoilt, and why; the next one follows: {} a latch tore the heel.",
    "rehang": "Work fell off or was pulled back, and hangs again at a row, or a part and a row: {} 31, {} leg 31.",
    "dial": "The dial was moved, and stands at: {} 6 3/4 turns.",
    "void_at": "Start the search again from another dial position: {} 7 turns.",
    "say_where": "Say again what this step asks for, and where it stands; aloud, in few words, if speech is on.",
    "explain": "Why this step is done, what to look for, and what to do if it goes wrong.",
    "seen": "List every observation so far.",
    "why": "When it knits badly: how faults lie on this machine, and what to look at.",
    "other": "Say which other sessions are open.",
    "take_reading": "Take a reading: {}, the field, the reading.",
    "strike_reading": "Strike out the last reading.",
    "home": "Leave; everything is saved.",
    "help": "List these letters.",
}


def word_of(command: Command) -> str:
    """The word that does what a letter or a sign does; of an observation or a verdict, its name."""
    if command.does == "judge":
        return _VERDICT_WORDS.get(command.argument, command.argument)
    return command.argument if command.does == "observe" else WORDS.get(command.does, "")


def standing_words(state: State) -> str:
    """Where the work stands, in one short line."""
    step, said = state.step, now_words(state)
    if isinstance(step, DialTrial) and not (state.search.found or state.search.stopped):
        place = dial_place(state.search.position, state.head.clicks_per_turn)
        said = f"row {state.count}, dial at {place}"
    return f"{said}, paused" if state.paused else said


def counted_words(state: State, settings: Settings, go: str, *, on_the_way: bool = False) -> str:
    """Where a count stands, what is due now or soon, and at the target that it is reached. ``go``: what goes on.

    ``on_the_way``: the part was named before, and the hands are at it, so that few words are heard.
    """
    said, target = standing_words(state), state.target
    if target is None:
        return said
    if isinstance(state.step, CountPasses) and state.count < target:
        said = heard_pass(state.step, state.count).rstrip(".") + (", paused" if state.paused else "")
    elif on_the_way and state.count != target:
        said = f"{state.count} of {target}"
    ahead = cues(state, settings.cues_every)
    if state.count == target:
        said += f": {go} goes on"
        ahead = tuple(cue for cue in ahead if cue.left >= 0)[1:]  # the first is what follows, which going on says
    elif state.count > target:
        said += f", {state.count - target} {'too many' if on_the_way else 'more than planned'}: {go} goes on"
    due = [cue.sentence(state.unit).rstrip(".") for cue in ahead if cue.is_called(settings.cue_rows_ahead)]
    return ". ".join([said, *due])


def noted_words(state: State, fault_words: str, needle: int | None, undo: str) -> str:
    """An observation just made; ``undo``: what is typed to undo it."""
    at = f", needle {needle}" if needle is not None else ""
    return f"Noted: {fault_words}{at}, {state.unit} {state.count} ({undo} takes it back)."


def where_words(live: Live, settings: Settings, go: str) -> str:
    """What the step asks for, and where it stands; each thing once."""
    state, step = live.state, live.state.step
    if state.abandoned:
        return f"This session was given up; {go} takes it up again."
    told = instruction(state, live.record.given)
    parts = []
    if isinstance(step, CountRows | CountPasses | DialTrial):
        parts = _of_a_count(state, told, counted_words(state, settings, go))
    else:
        parts.append(told if step is None or _same_start(step, told) else f"{step.title}: {told}")
    if meaning := first_pass_words(state):
        parts.append(meaning)
    if caution := caution_now(state):
        parts.append(f"Caution: {caution}")
    if isinstance(step, Measure):
        parts += _to_measure(state, step, settings)
    if came_to := result_words(live, WORDS["step_back"]):
        parts.append(came_to)
    return "\n".join(parts)


def _of_a_count(state: State, say: str, stands: str) -> list[str]:
    step = state.step
    if isinstance(step, DialTrial):
        fresh = state.search.why == "start" and not state.count
        return [f"{step.title}: {say}" if fresh else say, *([stands] if state.count or state.paused else [])]
    title = step.title.casefold() if step else ""
    own_words = isinstance(step, CountRows) and say.casefold() not in (f"the {title}.", f"{title}.")
    return [say, stands] if own_words else [stands]


def _same_start(step: Step, say: str) -> bool:
    return step.title.split()[0].casefold() == say.split()[0].strip(".,:").casefold()


def _to_measure(state: State, step: Measure, settings: Settings) -> list[str]:
    lines = []
    for field in step.fields:
        example = placeholder(field, settings.length_unit, settings.mass_unit).removeprefix("optional, ")
        needed = "needed" if field.required else "if you like"
        repeats = ", again for each reading" if field.repeats else ""
        had = readings_words(state, field, settings.length_unit, settings.mass_unit)
        so_far = f"; so far {had}" if had else ""
        example = example.removeprefix("such as ").removeprefix("e.g. ")
        lines.append(f"{label_of(field)}, {needed}{repeats}: m {field.id} {example}{so_far}")
    return lines


def letters_words(live: Live, commands: Iterable[Command]) -> str:
    """What may be typed in the present step, a line each; the faults together in one."""
    state = live.state
    commands = [command for command in commands if command.does not in SCREEN_ONLY]
    lines = []
    if state.step is not None and (half := where_rows_begin(state, live.record.given)):
        lines.append(half)
    for command in commands:
        letter, word = typed_as(command) or "Enter alone", word_of(command)
        if command.does != "observe":
            how = _HELP.get(command.does, command.help).replace("{}", letter)
            lines.append(f"{letter} or {word}: {how}" if word not in ("", letter) else f"{letter}: {how}")
        if command.does == "go_on" and state.target is not None:
            lines.append(f"{letter} short: Leave the part short of what was planned.")
    faults = [command for command in commands if command.does == "observe"]
    if faults:
        named = ", ".join(
            f"{typed_as(c)} {words}" for c in faults for f, words in FAULT_WORDS.items() if f == c.argument
        )
        first = typed_as(faults[0])
        lines.append(f"Observations, with a needle and words if you like ({first} 23 latch bent): {named}.")
    return "\n".join(lines)
