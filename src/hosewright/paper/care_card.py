"""The care card handed over with a pair: fibre, size by the scales, care as text, the wash its gauge tube was given.

It holds no measurement of anyone, no price and no name, and claims nothing about health.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from html import escape
from typing import TYPE_CHECKING

from hosewright.craft import CraftError
from hosewright.craft.care_labels import care_lines
from hosewright.craft.shoes import SCALES, nearest_half, read_size, sizes
from hosewright.logbook.records.planned import name_of
from hosewright.paper.charts import planned_sock
from hosewright.paper.html_page import page, svg
from hosewright.phrases.harmless import one_line, typed

if TYPE_CHECKING:
    from hosewright.logbook.accounts.pairs import PairGiven
    from hosewright.logbook.records.shelf import Wearer
    from hosewright.paper.charts import DrawnSock

# A size in Mondopoint or Japan is the foot's length itself, and no measurement stands on a card.
ON_CARD = ("eu", "uk", "us_men", "us_women", "uk_child", "us_child")
CAUTION = (
    "Tight socks can harm a foot that does not feel it. Look at the feet after wearing, and ask a podiatrist or nurse."
)
_STYLE = """
.card { max-width: 9cm; border: 1px solid #1a1a1a; padding: .35cm .45cm; font-size: 9pt; line-height: 1.3; }
.card h1 { font-size: 1.15em; border-bottom-width: 1px; }
.card dl { display: grid; grid-template-columns: 1.7cm 1fr; gap: .1em .3cm; margin: 0; }
.card dt { font-weight: bold; } .card dd { margin: 0; }
.card svg { max-height: 5cm; margin: 0 0 .25cm; }
.card .care { border: 1px solid #1a1a1a; padding: .1em .3em; margin-top: .4em; }
@media print { body { padding: 0; } .card { break-inside: avoid; } }
"""


@dataclass(frozen=True, slots=True)
class CareCard:
    """What stands on it: ``lines`` are (what, lines of words); ``unknown`` names what nobody noted."""

    lines: tuple[tuple[str, tuple[str, ...]], ...]
    unknown: tuple[str, ...]
    caution: str = ""
    sock: DrawnSock | None = None
    title: str = "A pair of socks"

    @property
    def not_noted(self) -> str:
        """What is not known, in a sentence for the maker and not for the card; empty when all is."""
        return f"Not noted: {', '.join(self.unknown)}." if self.unknown else ""


def care_card(pair: PairGiven) -> CareCard:
    """The care card of a pair. What is not known is left out of the lines, and told the maker beside it."""
    yarn = pair.yarn
    found: list[tuple[str, tuple[str, ...]]] = [
        ("Fibre", (yarn.fibre,) if yarn.fibre else ()),
        ("Yarn", (", ".join(part for part in (yarn.name, yarn.colour) if part),)),
        *([] if pair.plan and pair.plan.end == "chained off" else [("Size", size_lines(pair))]),  # a shoe's
        ("Care", tuple(words[0].upper() + words[1:] for _, words in care_lines(yarn.care))),
        ("Wash", _wash(pair)),
    ]
    unknown = tuple("the gauge tube's wash" if name == "Wash" else name.lower() for name, lines in found if not lines)
    told = tuple((name, lines) for name, lines in found if lines)
    sock = planned_sock(pair.plan, None, yarn) if pair.plan else None
    title = f"A pair of {name_of(pair.plan) if pair.plan else 'sock'}s"
    drawn = replace(sock, title=title) if sock else None  # a plan's name may be somebody's
    return CareCard(told, unknown, CAUTION if pair.wearer is not None and pair.wearer.caution else "", drawn, title)


def size_lines(pair: PairGiven) -> tuple[str, ...]:
    """Shoe sizes the pair is for, each scale to the half size, as a range where conventions or the foot leave one."""
    foot = _foot(pair)
    if foot is None:
        return ()
    (low, high), typed_scale, typed_size = foot
    smallest, largest = sizes(low), sizes(high)
    said = []
    for name in ON_CARD:
        if not _applies(name, pair.wearer):
            continue
        scale = SCALES[name]
        ends = smallest.get(f"{name}_range"), largest.get(f"{name}_range")
        if name == typed_scale:
            said.append(f"{scale.words} {typed_size:g}")
        elif isinstance(ends[0], tuple) and isinstance(ends[1], tuple) and ends[0][0] >= 0:
            least, most = nearest_half(ends[0][0]), nearest_half(ends[1][1])
            said.append(f"{scale.words} {least:g}" + (f" to {most:g}" if most != least else ""))
    return (", ".join(said),) if said else ()


def _applies(scale: str, wearer: Wearer | None) -> bool:
    """Men's sizes mean nothing to a wearer whose size is a women's one, and the other way round."""
    sized_as = wearer.sized_as if wearer else ""
    return not (sized_as and scale.startswith("us_") and scale not in (f"us_{sized_as}", "us_child"))


def _foot(pair: PairGiven) -> tuple[tuple[float, float], str, float] | None:
    """The foot, shortest and longest in mm, with the scale and size that were typed where that is all there is."""
    wearer, plan = pair.wearer, pair.plan
    if wearer is not None:
        if wearer.foot_mm is not None:
            return (wearer.foot_mm, wearer.foot_mm), "", 0.0
        if wearer.shoe_size:
            size = read_size(wearer.shoe_size)
            return size.foot_mm_range, size.scale, size.size
    if plan is not None and plan.foot_length_mm:
        return (plan.foot_length_mm, plan.foot_length_mm), "", 0.0
    return None


def _wash(pair: PairGiven) -> tuple[str, ...]:
    if pair.tube_wash:
        return (f"{pair.tube_wash}. The size was measured after this wash and holds only for it.",)
    return (f"{pair.yarn.wash} (as noted for this yarn)",) if pair.yarn.wash else ()


# --- on paper ---------------------------------------------------------------------------------------------------


def card_text(found: CareCard) -> str:
    """Plain text."""
    width = max(len(name) for name, _ in found.lines) + 2
    lines = [found.title, ""]
    for name, told in found.lines:
        lines += [f"{name if not at else '':<{width}}{one_line(words)}" for at, words in enumerate(told)]
    lines += ["", found.caution] if found.caution else []
    return "\n".join(lines) + "\n"


def card_markdown(found: CareCard) -> str:
    """Markdown."""
    return "\n".join([f"# {found.title}", "", *card_lines(found)]) + "\n"


def card_lines(found: CareCard) -> list[str]:
    """What stands below the title, as Markdown."""
    lines = [f"- **{name}**: {typed('; '.join(told))}" for name, told in found.lines]
    lines += ["", f"**{found.caution}**"] if found.caution else []
    return lines


def card_html(found: CareCard) -> str:
    """One small page that prints on a corner of a sheet."""
    plain = ((name, [escape(one_line(words)) for words in told]) for name, told in found.lines)
    facts = "".join(f"<dt>{name}</dt><dd>{'<br>'.join(told)}</dd>" for name, told in plain)
    care = f'<p class="care">{escape(found.caution)}</p>' if found.caution else ""
    sock = svg(found.sock) if found.sock else ""
    return page(found.title, f'<div class="card"><h1>{found.title}</h1>{sock}<dl>{facts}</dl>{care}</div>', _STYLE)


def card_as(found: CareCard, name: str) -> str:
    """The card in the form the end of a file's name asks for: .html, .md or .txt. Raises CraftError for another."""
    for ending, form in ((".html", card_html), (".md", card_markdown), (".txt", card_text)):
        if name.lower().endswith(ending):
            return form(found)
    raise CraftError(
        f"A care card is written as .html, .md or .txt: end the file's name {name[-40:]!r} with one of them."
    )
