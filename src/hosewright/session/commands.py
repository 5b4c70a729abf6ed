"""Which keys do what, step by step: the one table that the bench, its foot, its help and the line mode read."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from hosewright.session.events import Confirmed, Redone, Vouched
from hosewright.session.keys import Command
from hosewright.session.observations import FAULT_WORDS
from hosewright.session.procedures import search_steps, tube_steps
from hosewright.session.rules import refusal
from hosewright.session.state import State, Trial
from hosewright.session.steps import Confirm, CountPasses, CountRows, DialTrial, Head, Measure, Wait
from hosewright.session.steps.tubes import called, called_in

if TYPE_CHECKING:
    from collections.abc import Callable

    from hosewright.session.events import Event, Fault


# Where whole lines are typed, an empty one counts, and keys that write nothing have a word or a sign.
_TYPED = {
    "enter": "ok",
    "ctrl+s": "ok",
    "backspace": "-",
    "delete": "del",
    "equals_sign": "=",
    "full_stop": ".",
    "comma": ",",
    "question_mark": "?",
    "slash": "/",
    "f1": "?",
    "escape": "q",
    "ctrl+x": "x",
    "ctrl+b": "b",
    "ctrl+y": "i",
}


def typed_as(command: Command) -> str:
    """What starts the line that runs ``command`` where whole lines are typed; empty for the count.

    A command moved to a key that writes no letter goes by the name of that key.
    """
    if command.does == "count":
        return ""
    if command.does == "quiet":  # its sign is typed for undo
        return "quiet"
    return "m" if command.does == "take_reading" else _TYPED.get(command.key, command.key)


FAULT_KEYS: dict[str, Fault] = {
    "d": "dropped",
    "t": "tuck",
    "y": "split",
    "s": "stayed-up",
    "f": "fell-off",
    "x": "yarn-broke",
    "z": "stiff",
    "w": "weight",
    "k": "knot",
    "c": "colour",
}
# Where the trade's words are long, the foot has shorter ones; the help has them whole.
_SHORT: dict[Fault, str] = {
    "dropped": "dropped",
    "split": "split",
    "stayed-up": "stayed up",
    "fell-off": "fell off",
    "yarn-broke": "broke",
    "stiff": "stiff",
    "weight": "weight",
    "colour": "colour",
}
_MORE_HELP: dict[Fault, str] = {
    "knot": " If there is another dye lot in stock, you are asked whether it was joined on."
}
_GO_ON = Command("enter", "Enter", "go on", "go_on", "Done here: the next step.")
_COUNT = Command(
    "space",
    "Space",
    "count",
    "count",
    "One more row, or in a heel or toe one more pass. It is saved before you see it.",
)
_TAKE = Command(
    "backspace",
    "Bksp",
    "undo",
    "take_back",
    "Undo the last thing done, whatever it was; again goes further back. It moves the count, not the knitting.",
)
_REDO = Command("i", "i", "do again", "redo", "Do again what was undone last.")
# While measuring letters are typed, and Backspace only undoes on an empty line.
_TAKE_READING_BACK = Command(
    "backspace", "Bksp", "undo", "undo_measuring", "On an empty line: undo the last thing done, whatever it was."
)
_REDO_MEASURING = Command("ctrl+y", "Ctrl+Y", "do again", "redo_measuring", _REDO.help)
_BACK = Command("b", "b", "back", "step_back", "The step before this one; every count stays as it is.")
_PAUSE = Command("p", "p", "pause", "pause", "A rest that your pace leaves out. The next row ends it.")
_NOTE = Command("n", "n", "note", "note", "A few words of your own, kept with this row.")
_RECOUNT = Command(
    "equals_sign", "=", "recount", "recount", "Put the counter right: the number it should show, and why."
)
_REHANG = Command(
    "r", "r", "hang again", "rehang", "The work came off or was pulled back, and hangs again at an earlier row."
)
_DIAL = Command("g", "g", "dial", "dial", "Somebody turned the dial: where it stands now.")
_STRIKE = Command(
    "delete",
    "Del",
    "strike",
    "strike",
    "Cross out what was noted last, or that a sock is spoilt; it can still be read.",
)
_VOUCH = Command(
    "v", "v", "count doubtful", "vouch", "The presses left out for coming too fast were rows after all: count them."
)
_MISSING = Command(
    "m",
    "m",
    "count missing",
    "missing",
    "The rows or passes that may have been cranked while no key came here: count them, in one correction.",
)
_SEEN = Command("e", "e", "observations", "seen", "Every observation so far, to add to or to cross out.")
_WHY = Command(
    "slash",
    "/",
    "knits badly",
    "why",
    "When it knits badly: what to look at, a check at a time, the likeliest first.",
)
_CUE = Command("full_stop", ".", "cue seen", "acknowledge", "Yes, I saw that cue. Cranking on says the same.")
_FAR = Command("l", "l", "alone", "far", "Nothing but the count, as large as it goes; once more for the rest.")
_VIEW = Command("tab", "Tab", "steps", "view", "The list of steps in place of the panels; once more for the panels.")
_EXPLAIN = Command(
    "h",
    "h",
    "explain",
    "explain",
    "Each step by itself: why, what to look for, what to do if it goes wrong. Once more: the list of steps.",
)
_OTHER = Command("o", "o", "other", "other", "Over to the next open session.")
_SPOILT = (
    Command("u", "u", "spoilt", "spoil", "This sock is spoilt: say why, and crank it once more."),
    Command("j", "j", "leave out", "leave_out", "This sock is spoilt: say why, and go on with the next."),
)
_GIVE_UP = Command("a", "a", "give up", "give_up", "Stop this session for good; you may still take it up again.")
_HOME = Command("escape", "Esc", "bench", "home", "To the bench. All stays as it stands here.")
_HELP = Command("question_mark", "?", "help", "help", "What the keys do.")
_SAY_WHERE = Command("comma", ",", "where am I", "say_where", "Where you are: here, and aloud if speech is on.")
_QUIET = Command("minus", "-", "quiet", "quiet", "No words and no tones from now on; once more ends that.")
_ALOUD = (_SAY_WHERE, _QUIET)
_END = (*_ALOUD, _EXPLAIN, _OTHER, _GIVE_UP, _HOME, _HELP)

# Where whole lines are typed, these are at hand at every step; the bench has a screen for what they tell.
EVERYWHERE_IN_LINES = (*_ALOUD, _NOTE, _SEEN, _EXPLAIN, _OTHER, _GIVE_UP, _HELP)

# The commands that sentences speak of, by their names.
_SPOKEN_OF = (_TAKE, _RECOUNT, _REHANG, _VOUCH, _MISSING, _STRIKE, _BACK, _NOTE, _CUE, _FAR, _WHY)
SPOKEN_OF = {command.name: command for command in _SPOKEN_OF}


def usual_key(name: str) -> str:
    """What a sentence calls the usual key of a command in ``SPOKEN_OF``."""
    return "Backspace" if name == _TAKE.name else SPOKEN_OF[name].shown


_VERDICTS = (
    Command("d", "d", "dropped back", "judge", "They rose and dropped back at once.", "drop"),
    Command("s", "s", "stayed up", "judge", "They rose and stayed up.", "stay"),
    Command("n", "n", "not sure", "judge", "Not sure: the same position again.", "unsure"),
)
_TROUBLES = (
    Command("z", "z", "crank stiff", "judge", "The crank is stiff: stop now, never force it.", "stiff"),
    Command("x", "x", "yarn broke", "judge", "The yarn broke: stop now.", "broke"),
)
_LOWER_STOP = Command(
    "l", "l", "lower stop", "judge", "The dial is at its lower stop and goes no further: stop now.", "lower-stop"
)
_WEIGHTS = Command(
    "w", "w", "weights changed", "void", "Weights or tension were changed: the trials so far count no more."
)
_TRIAL_DIAL = Command("g", "g", "start elsewhere", "void_at", "Start the search again from another dial position.")
_AGAIN = Command("enter", "Enter", "search again", "void", "What was wrong is put right: start the search again.")


def _faults(leave_out: frozenset[Fault] = frozenset()) -> tuple[Command, ...]:
    return tuple(
        Command(
            key,
            key,
            _SHORT.get(fault, FAULT_WORDS[fault]),
            "observe",
            f"Observation at this row: {FAULT_WORDS[fault]}.{_MORE_HELP.get(fault, '')}",
            fault,
        )
        for key, fault in FAULT_KEYS.items()
        if fault not in leave_out
    )


def commands_at(state: State, missing: int | None = None) -> tuple[Command, ...]:
    """The commands that do something where ``state`` stands, on their usual keys, in the order they are shown.

    ``missing``: how many rows or passes are offered as missing, 0 for any number; None while none are.
    """
    step = state.step
    undo = (_TAKE, _REDO) if state.undone else (_TAKE,)
    if state.abandoned:
        take_up = Command("enter", "Enter", "take it up again", "reopen", "Go on where this session was left.")
        return (take_up, *undo, _OTHER, _HOME, _HELP)
    if step is None:
        to_bench = Command("enter", "Enter", "bench", "home", "Go to the bench.")
        return (to_bench, _BACK, *undo, _NOTE, _WHY, _OTHER, _HOME, _HELP)
    name = called_in(state.head, state.sock)
    spoilt = tuple(replace(one, help=called(one.help, name)) for one in _SPOILT) if state.sock else ()
    if isinstance(step, Confirm | Wait):
        return (_GO_ON, *undo, _BACK, _NOTE, _DIAL, *((_STRIKE,) if state.spoils else ()), *spoilt, *_END)
    if isinstance(step, Measure):
        return (
            Command(
                "enter",
                "Enter",
                "save it",
                "take_reading",
                "Save what is typed; on an empty line go to the next.",
            ),
            Command("ctrl+s", "Ctrl+S", "done, go on", "finish_measuring", "Nothing more to measure: go on."),
            Command("ctrl+x", "Ctrl+X", "strike last", "strike_reading", "Cross out the last reading on this line."),
            _TAKE_READING_BACK,
            *((_REDO_MEASURING,) if state.undone else ()),
            Command("ctrl+b", "Ctrl+B", "back", "step_back", _BACK.help),
            _HOME,
            Command("f1", "F1", "help", "help", _HELP.help),
        )
    if isinstance(step, DialTrial):
        return _trial_commands(state, undo, missing)
    verdicts: tuple[Command, ...] = ()
    if isinstance(step, CountRows) and step.proves:
        verdicts = (_VERDICTS[1], *_TROUBLES)
    assert isinstance(step, CountRows | CountPasses)
    faults = _faults(frozenset({"stayed-up", "stiff", "yarn-broke"}) if verdicts else frozenset())
    pause = Command("p", "p", "end pause", "pause", "The rest is over.") if state.paused else _PAUSE
    vouch = (_VOUCH,) if state.doubted else ()
    corrections = (*_offered(missing), *undo, *vouch, _GO_ON, pause, _BACK, _RECOUNT, _REHANG, _DIAL)
    return (_COUNT, *corrections, *verdicts, *faults, _NOTE, _STRIKE, _SEEN, _WHY, *spoilt, _CUE, _FAR, _VIEW, *_END)


def _offered(missing: int | None) -> tuple[Command, ...]:
    if missing is None:
        return ()
    return (replace(_MISSING, word=f"count {missing or ''} missing".replace("  ", " ")),)


def _trial_commands(state: State, undo: tuple[Command, ...], missing: int | None) -> tuple[Command, ...]:
    if state.search.stopped:
        return (_AGAIN, *undo, _TRIAL_DIAL, _BACK, *_END)
    if state.search.found:
        return (_GO_ON, *undo, _LOWER_STOP, _WEIGHTS, _TRIAL_DIAL, _BACK, *_END)
    vouch = (_VOUCH,) if state.doubted else ()
    return (
        _COUNT,
        *_offered(missing),
        *undo,
        *vouch,
        *_VERDICTS,
        *_TROUBLES,
        _LOWER_STOP,
        _WEIGHTS,
        _TRIAL_DIAL,
        _BACK,
        *_END,
    )


# --- keys that do nothing ----------------------------------------------------------------------------------------

# Of these the rules say why they cannot be done now.
_CALLED_FOR: dict[str, Event] = {"vouch": Vouched(), "go_on": Confirmed(), "redo": Redone()}


@cache
def standings() -> tuple[State, ...]:
    """A session at every kind of step, and in every plight that has other commands."""
    steps = (*search_steps(), *tube_steps(), CountPasses("heel", "Heel", 32, 12))
    head = Head("keys", "sock", steps, 28, 64, 4)
    found: list[State] = []
    for index in range(len(steps) + 1):
        plain = State(head, index=index)
        found += [plain, replace(plain, paused=True), replace(plain, doubted=1)]
    trial = State(head, index=next(n for n, step in enumerate(steps) if step.kind == "trial"))
    found.append(replace(trial, trials=[Trial(28, "stiff", 0)]))
    found.append(replace(trial, trials=[Trial(28, "drop", 1), Trial(26, "stay", 1)]))
    found.append(State(head, abandoned=True))
    found.append(State(Head("keys", "string", (CountPasses("s1-heel", "Heel", 32, 12),), 28, 64, 4)))
    found += [replace(state, undone=[()]) for state in found]  # where something can be done again
    return tuple(found)


def what_for(name: str, runs: Callable[[Command], bool], state: State, help_key: str) -> str:
    """A sentence about a key called ``name`` that does nothing at ``state``.

    ``runs``: whether a command is on that key; ``help_key``: the key that explains all of them.
    """
    found: dict[str, Command] = {}
    for standing in standings():
        for command in commands_at(standing):
            if runs(command) and command.word not in {known.word for known in found.values()}:
                found.setdefault(_place(standing), command)
    for command in found.values():
        event = _CALLED_FOR.get(command.does)
        if event is not None and (why := refusal(state, event)):
            return f"{name} does nothing in this step. {why}"
    if not found:
        return f"{name} does nothing in this step, so nothing was changed; {help_key} says what does."
    told = " and ".join(f"“{command.word}” {place}" for place, command in found.items())
    return f"{name} does nothing in this step: it is {told}."


def _place(state: State) -> str:
    step = state.step
    if state.abandoned:
        return "once a session is given up"
    if step is None:
        return "when all is done"
    if isinstance(step, Measure):
        return "while measuring"
    if isinstance(step, DialTrial):
        return "in the search for the stitch size"
    if isinstance(step, CountRows | CountPasses):
        return "in a string of socks" if state.sock else "while rows or passes are counted"
    return "between the parts"
