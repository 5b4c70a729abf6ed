"""The command line: finds the verb, runs it, and turns whatever goes wrong into one sentence.

Only what is called is imported: the table of verbs names their modules, so that a list of them needs none, the
arithmetic starts without the logbook, and nothing but the bench waits for Textual. So the imports of this module stand
where they are needed.
"""

from __future__ import annotations

import codecs
import gc
import os
import sys
from importlib import import_module

from hosewright import __version__

TYPE_CHECKING = False  # type checkers take it for true; importing typing would cost every start 4 ms
if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

WRONG = 2
BROKEN = 70  # EX_SOFTWARE of sysexits.h: a fault in the program, not in what was typed
HUNG_UP = 129  # 128 + SIGHUP
INTERRUPTED = 130  # 128 + SIGINT, what a shell reports
PIPE_CLOSED = 141  # 128 + SIGPIPE
CODES = {
    0: "it was done",
    1: "looked, and something is wrong or left over: the sentence says what",
    WRONG: "not done: the sentence says what was wrong and what to type",
    3: "done, and something was changed in two places: both are kept, for you to choose (import, merge, sync)",
    BROKEN: "a fault in hosewright itself; what was saved is safe",
    HUNG_UP: "its terminal was closed",
    INTERRUPTED: "stopped by Ctrl+C",
    PIPE_CLOSED: "whoever read its output stopped reading",
}

# Where each verb is found below ``hosewright.verbs`` (module:function), and its line in the list.
VERBS: dict[str, tuple[str, str]] = {
    "gauge": ("gauge:run", "rows and stitches per length from a washed tube, and how sure they are"),
    "sock": ("sock:run", "a sock's rows and passes, its yarn, and whether one ball is enough"),
    "feet": ("feet:run", "foot length and shoe sizes, and what girth to expect"),
    "yarn": ("gauge:run_yarn", "a yarn's count in every system"),
    "dial": ("dial:run", "the next dial position after what the stitches did"),
    "response": ("dial:response", "the dial response: which click gives the rows wanted"),
    "cylinders": ("cylinders:run", "all cylinders side by side for one girth"),
    "sizes": ("cylinders:sizes", "every size from child to large adult for one gauge"),
    "logbook": ("logbook:run", "list, show, report, export, import, check, rescue or back up sessions"),
    "sync": ("logbook_share:run_sync", "two laptops, one logbook, by a folder they share"),
    "shelf": ("shelf:run", "machines, cylinders, yarns, lots and wearers: list, add, change, retire"),
    "stock": ("options:run_stock", "yarn bought, used, promised and left, by dye lot"),
    "pairs": ("options:run_pairs", "pairs promised, how far each is, and the hours of this week"),
    "care-card": ("options:run_care_card", "the card that goes with a pair: fibre, size, care and wash"),
    "care": ("options:run_care", "what each machine has cranked since it was oiled, and what was done to it"),
    "why": ("why:run", "when it knits badly: how faults lie, and what to look at, the likeliest first"),
    "enter": ("enter:run", "past gauges and socks of a notebook, one by one or from a table"),
    "plan": ("plan:run", "work out a sock from a gauge in the logbook, and keep the plan"),
    "start": ("start:run", "begin a search, a gauge tube, a sock, its twin or a string"),
    "measure": ("crank:measure", "measure a washed tube, or try a sock on, in plain lines"),
    "crank": ("crank:run", "count a session row by row in plain lines"),
    "counter": ("settings:run_counter", "watch what a pedal or a magnet types, and set the gap and the key"),
    "settings": ("settings:run", "what is set, and what may be"),
    "class": ("classroom:run", "learners' sessions side by side for a teacher, read-only"),
    "practice": ("", "open the bench on a throwaway logbook: an evening, a first lesson, a seller's week, a bad latch"),
}
# Likewise below ``hosewright.bench``; the evening is the bench itself.
PRACTICES: dict[str, tuple[str, str]] = {
    "evening": ("", "a copy of the sample sessions; opened without a word, too"),
    "first": (
        "lesson:run_lesson",
        "a first search and gauge tube with a hand on each key: eight stops, left at any time",
    ),
    "week": (
        "practice:run_week",
        "a seller's week: pairs promised for this week and the next, yarn low, one sock half cranked",
    ),
    "badly": (
        "practice:run_badly",
        "a machine whose needle 17 drops its stitch: Enter takes the tube up, then / looks for why",
    ),
}
_OLD_NAMES = {"slip": "care-card", "click": "response"}  # taken without a word, and listed nowhere
_PLAIN_FORMS = {"±": "+-", "“": '"', "”": '"', "‘": "'", "’": "'", "…": "...", "–": "-", "−": "-", "×": "x", "→": "->"}
_PLAIN_FORMS |= {"☐": "[ ]", "↑": "up ", "↓": "down "}
# What a plot is drawn with: half and whole blocks, and the axes.
_PLAIN_FORMS |= dict(zip("▖▗▄▌▐▙▟█─│└┬┴┼┤", "===#####-|+++++", strict=True))
# What the bench is drawn with: frames, half and hatched blocks, bars of a pace, needles and arrows.
_PLAIN_FORMS |= dict(zip("╭╮╯╰┌┐┘┏┓┛┗╔╗╝╚━═╌┄┃║╎┆├", "+++++++####****==-.||::+", strict=True))
_PLAIN_FORMS |= dict(zip("▀▓▒░▚▁▂▃▅▆▇·▔▼▲◀▶◆◇►≈■", '"%:.%__-=+*.^vA<>*o>~#', strict=True))


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code. Never raises, never shows a traceback."""
    if _nowhere_to_write():
        print("hosewright: Standard output is closed, so there is nowhere to write to.", file=sys.stderr)
        return WRONG
    _set_streams()
    try:
        code = _dispatch(list(sys.argv[1:] if argv is None else argv))
        sys.stdout.flush()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _forget_stdout()
        return PIPE_CLOSED
    except SystemExit as leaving:  # argparse leaves this way after --help
        return leaving.code if isinstance(leaving.code, int) else 0
    except Exception as error:
        return _say_what_is_wrong(error)
    return code


def _dispatch(argv: list[str]) -> int:
    if not argv:
        return _bench()
    verb, rest = _OLD_NAMES.get(argv[0], argv[0]), argv[1:]
    if verb in ("--version", "-V"):
        print(f"hosewright {__version__}")
        return 0
    if verb == "--plain":
        from hosewright.verbs import evening

        return evening.run(rest, _dispatch, list(VERBS))
    if verb == "--look":
        return _look(rest)
    if verb in ("--help", "-h", "help"):
        return _explain(rest if verb == "help" else [])
    if verb not in VERBS:
        raise _none_such("verb", verb, [*VERBS, "help"], VERBS)
    place, what = VERBS[verb]
    if verb == "practice":
        from hosewright.verbs.parsing import Parser

        parser = Parser("practice", what, "first", json=False)
        told = "; ".join(f"{name}: {said}" for name, (_, said) in PRACTICES.items())
        parser.add_argument("which", metavar="WHICH", nargs="?", choices=PRACTICES, default="evening", help=told)
        which = parser.parse_args(rest).which
        place = PRACTICES[which][0]
        return _function("bench", place)() if place else _bench(which)
    return _function("verbs", place)(rest)


def _function(room: str, place: str) -> Callable[..., int]:
    """What stands at ``place`` (module:function) in a room."""
    module, _, function = place.partition(":")
    found: Callable[..., int] = getattr(import_module(f"hosewright.{room}.{module}"), function)
    return found


def _none_such(kind: str, name: str, near: Iterable[str], known: Iterable[str]) -> ValueError:
    """That there is none of this name, which one of ``near`` was meant, and which there are."""
    from hosewright.phrases.lists import listed, nearest

    return ValueError(f"There is no {kind} {_shown(name)}.{nearest(name, near)} The {kind}s are {listed(list(known))}.")


def _explain(rest: list[str]) -> int:
    """The list of all there is, a page on a topic, or a verb's own help. Raises ValueError for what is neither."""
    from hosewright.pages import TOPICS, page, plain

    if not rest or rest[0] in ("--help", "-h"):
        print(_help(TOPICS))
        return 0
    if len(rest) == 1 and rest[0] in TOPICS:
        print(plain(page(rest[0])), end="")
        if rest[0] in VERBS:
            print(f"\nThere is also a verb of that name: `hosewright {rest[0]} --help`.")
        return 0
    if _OLD_NAMES.get(rest[0], rest[0]) not in VERBS:
        raise _none_such("page", rest[0], [*TOPICS, *VERBS], TOPICS)
    return _dispatch([*rest, "--help"])


def _look(rest: list[str]) -> int:
    """A second screen that follows a session. Raises UsageError."""
    from hosewright.verbs.parsing import Parser

    parser = Parser("--look", "follow a session that is counted elsewhere, large", "20250114-k7mwpd", json=False)
    parser.add_argument(
        "session", metavar="ID", nargs="?", default="", help="usually the open one counted last, and always that"
    )
    session = parser.parse_args(rest).session
    from hosewright.bench.app import run_second_screen

    return run_second_screen(session)


def _bench(practice: str = "") -> int:
    gc.disable()  # until the first frame: what is imported stays, and looking for rubbish in it takes 10 ms
    from hosewright.bench.app import run_bench
    from hosewright.logbook.file.errors import DamagedError

    try:
        return run_bench(practice)
    except DamagedError as error:
        code = _say_what_is_wrong(error)
        if practice:
            return code
        from hosewright.places import logbook_path
        from hosewright.verbs.logbook_upkeep import offer

        return run_bench() if offer(logbook_path()) else code


def _help(topics: Mapping[str, str]) -> str:
    width = max(map(len, VERBS))
    verbs = "\n".join(f"  {name:<{width}}  {what}" for name, (_, what) in VERBS.items())
    pages = "\n".join(f"  {topic:<{width}}  {what}" for topic, what in topics.items())
    codes = "\n".join(f"  {code:<3}  {what}" for code, what in CODES.items())
    return (
        "hosewright, a companion for knitting socks on a hand-cranked circular sock machine\n\n"
        "  hosewright               open the bench on your logbook\n"
        "  hosewright --look [ID]   a second screen: follow a session that is counted elsewhere, large\n"
        "  hosewright --plain       an evening in lines, for a screen reader, a slow line or a pipe\n"
        "  hosewright help NAME     a page on a topic, or how a verb is used, with an example\n"
        "  hosewright --version\n\n"
        f"Verbs:\n{verbs}\n\n"
        f"Pages to read, by hosewright help TOPIC:\n{pages}\n\n"
        "Type lengths as people write them: “5 7/8 in”, “14.8 cm”, “148 mm”. With --json a verb prints JSON.\n"
        "HOSEWRIGHT_HOME names another folder for the logbook and the settings.\n\n"
        f"Exit codes:\n{codes}"
    )


def _shown(text: str) -> str:
    safe = "".join(c if c.isprintable() else "?" for c in text[:41])
    return f"“{safe if len(safe) <= 40 else safe[:39] + '…'}”"


def _say_what_is_wrong(error: Exception) -> int:
    from hosewright.logbook.file.errors import LogbookError

    if isinstance(error, LogbookError | ValueError):
        from hosewright.phrases.harmless import harmless  # a file's name may hold what drives a terminal

        print(f"hosewright: {harmless(str(error))}", file=sys.stderr)
        return WRONG
    if type(error).__module__ == "sqlite3":  # met while reading: what is wrong with the file is said by `check`
        print(f"hosewright: The logbook cannot be read ({error}); try `hosewright logbook check`.", file=sys.stderr)
        return WRONG
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        print(f"hosewright: {where}{error.strerror or error}.", file=sys.stderr)
        return WRONG
    print(f"hosewright: a fault in hosewright itself ({type(error).__name__}: {error}).", file=sys.stderr)
    print("What is in the logbook stays as it was saved.", file=sys.stderr)
    return BROKEN


def _nowhere_to_write() -> bool:
    """Whether standard output was closed from the start, as ``>&-`` does.

    Whichever of the three standard streams is closed is opened on nothing: the next file opened would get its number,
    and a print would then be written into the logbook.
    """
    closed = sys.stdout is None
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # the lowest number that is free, so this one
    if sys.stdin is None:
        sys.stdin = open(0, encoding="utf-8")  # noqa: SIM115  # for as long as the process lives
    return closed


def _set_streams() -> None:
    """A terminal without UTF-8 gets plain forms of our few special characters, and never an error."""
    codecs.register_error("hosewright", _plain_form)
    for stream, errors in ((sys.stdin, "replace"), (sys.stdout, "hosewright"), (sys.stderr, "hosewright")):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=errors)


def _plain_form(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    unfit = error.object[error.start : error.end]
    return "".join(_PLAIN_FORMS.get(char, "?") for char in unfit), error.end


def _forget_stdout() -> None:
    """The reader is gone: point stdout at nothing, so that Python's own flush at the end stays quiet."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)
