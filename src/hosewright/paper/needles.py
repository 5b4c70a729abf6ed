"""Which needles fault: a tally by needle, and a warning where it cannot well be chance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hosewright.craft.chance import odds_words
from hosewright.paper.charts import Tally
from hosewright.paper.report import Section, to_markdown
from hosewright.phrases.days import clock_day
from hosewright.phrases.markdown import typed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hosewright.craft.chance import Suspect
    from hosewright.logbook.accounts.needles import Bed, ByNeedle, Changed, NeedleFault

_PLURAL: dict[NeedleFault, str] = {"dropped": "drops", "tuck": "tucks", "split": "splits"}
# Common practice, no source.
_ADVICE: dict[NeedleFault, str] = {
    "dropped": "look at its latch",
    "tuck": "look at its latch, and whether the needle sits low",
    "split": "look at its hook for a burr or a bend",
}
MOST_SHOWN = 12


def warning(fault: NeedleFault, suspect: Suspect) -> str:
    """The warning on one needle: "needle 23: 4 of your last 9 drops; look at its latch"."""
    return f"needle {suspect.needle}: {suspect.hits} of your last {suspect.of} {_PLURAL[fault]}; {_ADVICE[fault]}"


def odds_sentence(suspect: Suspect) -> str:
    """How likely that is on a sound machine, in words."""
    return (
        f"The chance that any needle of a sound cylinder comes to so many is {odds_words(suspect.odds)} "
        "(exact binomial tail, corrected for looking at every needle and kind of fault)."
    )


def tally(found: ByNeedle) -> Tally:
    """The faults of one kind by needle, the most first."""
    shown = [(f"needle {needle}", hits) for needle, hits in found.counts[:MOST_SHOWN]]
    shown += [(f"needle {one.needle}, changed since", one.listed) for one in found.changed if one.listed]
    return Tally(f"The last {found.of} {_PLURAL[found.fault]} by needle", tuple(shown))


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def changed_words(fault: NeedleFault, changed: Changed) -> str:
    """What came of a new needle: "needle 23: 4 drops before it was changed on 3 Oct 2025, none since"."""
    day = clock_day(changed.at_ms, changed.zone_min)
    many = f"{changed.before} {_PLURAL[fault] if changed.before != 1 else _PLURAL[fault][:-1]}"
    return f"needle {changed.needle}: {many} before it was changed on {day}, {changed.since or 'none'} since"


def needles_page(beds: Sequence[tuple[Bed, Sequence[ByNeedle]]], zone_min: int = 0) -> str:
    """Every cylinder's needles as Markdown."""
    return to_markdown("Needles that keep faulting", needle_sections(beds, zone_min))


def needle_sections(beds: Sequence[tuple[Bed, Sequence[ByNeedle]]], zone_min: int = 0) -> list[Section]:
    """The same in parts."""
    parts: list[Section] = []
    for bed, faults in beds:
        said = tuple(f"- {one}" for one in said_of(faults, zone_min))
        parts.append(Section(f"{typed(bed.machine)}, {typed(bed.cylinder)}", said))
        parts += [Section("", (), tally(found)) for found in faults if found.of > 1]
    return parts or [Section("", ("Nothing was cranked yet.",))]


def said_of(faults: Sequence[ByNeedle], zone_min: int = 0) -> list[str]:
    """What there is to say of one cylinder: warnings with their odds, else that nothing stands out."""
    said = []
    for found in faults:
        for suspect in found.suspects:
            said.append(f"**{_sentence(warning(found.fault, suspect))}** {odds_sentence(suspect)}")
        said += [_sentence(changed_words(found.fault, one)) for one in found.changed]
        if found.unplaced:
            word = _PLURAL[found.fault] if found.unplaced > 1 else _PLURAL[found.fault][:-1]
            said.append(f"{found.unplaced} more {word} with no needle noted.")
    if not any(found.suspects for found in faults):
        placed = sum(found.of for found in faults)
        if placed:
            first = clock_day(min(found.first_ms for found in faults), zone_min)
            word = "fault" if placed == 1 else "faults"
            said.insert(0, f"{placed} {word} with a needle noted since {first}: no needle stands out from chance.")
        else:
            said.insert(0, "No faults with a needle noted.")
    return said
