"""A gauge of the logbook as options of several verbs: which one, and which of its tubes are left out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.planning.gauges import PlanShelf, gauge_words
from hosewright.verbs.parsing import UsageError

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.planning.gauges import Knit
    from hosewright.verbs.parsing import Parser


_SOME = "1, 3"


def add_gauge(parser: Parser) -> None:
    """Options for a gauge of the logbook."""
    parser.add_argument(
        "--gauge",
        metavar="NAME",
        help="of the logbook: words of its yarn, cylinder and machine (the mean of its tubes since a change), or the "
        "session of one tube alone",
    )
    parser.add_argument(
        "--leave-out", default="", metavar="N", help=f"tubes of that mean to leave out, by their numbers: “{_SOME}”"
    )


def gauge_named(shelf: PlanShelf, said: str, unit: str) -> str:
    """The first gauge with these words, or of this session. Raises UsageError."""
    if not shelf.gauges:
        raise UsageError("There is no gauge yet: crank a tube (`hosewright start tube`), wash it and measure it.")
    words = {name: gauge_words(knit, unit).casefold() for name, knit in shelf.gauges.items()}
    wanted = said.casefold().split()
    if said in words:
        return said
    before = {name: f"{has} {shelf.called_before(name).casefold()}" for name, has in words.items()}
    every = [*words.items(), *before.items()]  # by what it is called now, else by what it was called
    found = next((name for name, has in every if all(word in has for word in wanted)), None)
    if found is None:
        newest = next(iter(shelf.gauges.values()))
        raise UsageError(f"No gauge is like that; the newest is {gauge_words(newest, unit)}.")
    return found


def without(shelf: PlanShelf, name: str, args: Namespace, unit: str) -> tuple[Knit, list[str]]:
    """A gauge without the tubes left out, and its tubes as lines. Raises CraftError or UsageError."""
    gone = shelf.left_out(name, args.leave_out)
    if args.leave_out and not gone:
        raise UsageError("Only tubes of a mean can be left out, and this gauge is of one tube.")
    knit = shelf.knit(name, gone)
    assert knit is not None
    tubes = shelf.tube_lines(name, gone, unit)
    how = [f"To leave some of them out, type their numbers: --leave-out “{_SOME}”."] if tubes and not gone else []
    return knit, [*tubes, *how]
