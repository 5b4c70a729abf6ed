"""``hosewright plan``: a sock worked out from a gauge of the logbook and kept, by options or asked a line at a time."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from hosewright.craft.sock_notes import MOST_UNASKED_PASSES, slit
from hosewright.logbook.records.fields import shelf_id
from hosewright.phrases.field import FieldError
from hosewright.planning.choices import USUALLY_CHOSEN, idle_lines
from hosewright.planning.gauges import PlanShelf, gauge_words
from hosewright.planning.plan_lines import sock_fields, usual_texts
from hosewright.planning.sock import NO_FOOT, to_plan, usual_name, work_out
from hosewright.planning.typed import Typed
from hosewright.session.steps.said import FEET_AT_RISK
from hosewright.verbs.asking import HOW, ask_line, pick, say, sure
from hosewright.verbs.book import open_book, the_one
from hosewright.verbs.parsing import Parser, UsageError, put, usual
from hosewright.verbs.sock import add_gauge, add_lines, gauge_named, without
from hosewright.words.stock import reach_lines

if TYPE_CHECKING:
    from argparse import Namespace

    from hosewright.logbook.records.shelf import Wearer
    from hosewright.planning.gauges import Knit
    from hosewright.planning.sock import Working
    from hosewright.settings.table import Settings

# What is asked for, in this order; the rest is as usual unless it is given as an option.
_ASKED = ("tube", "foot", "ease", "cuff", "pattern", "rows", "leg", "left", "name")
_RIBS = ("leg_rib", "instep_rib", "stripes")
_HEEL = ("heel", "end", "heel_needles", "gusset", "toe", "lowering", "deepen", "deeper", "plain", "reinforced", "part")
_ALL = (*_ASKED[:-1], *_RIBS, "shaped", "ankle", "calf", *_HEEL)


def run(argv: list[str]) -> int:
    parser = Parser(
        "plan",
        "work out a sock from a gauge in the logbook, and keep the plan",
        '--gauge Moss --wearer Baker --cuff hem --leg "14 cm"',
    )
    add_gauge(parser)
    parser.takes("--wearer", "NAME", "for whom; their measures are taken")
    add_lines(parser)
    parser.add_argument("--shaped", action="store_const", const="yes", help="shape the leg by the dial")
    parser.add_argument("--reinforced", action="store_const", const="yes", help="a second thread in heel and toe")
    parser.add_argument("--name", default="", help="what lists call the plan")
    parser.flag("--ask", "ask for every line that was not given")
    parser.add_argument("--try", dest="only_try", action="store_true", help="show the numbers and keep nothing")
    parser.flag("--anyway", "keep it without asking")
    parser.flag("--briefly", "do not say how to crank it")
    args = parser.parse_args(argv)
    settings = usual()
    with open_book("plan") as book:
        shelf = PlanShelf(book, settings.tape_error_mm)
        shelf.read_gauges()
        shelf.read_plan_names()
        shelf.read_wearers()
        planning = _Planning(shelf, settings, args)
        knit, wearer = planning.gauge(), planning.wearer()
        typed = planning.lines(knit, wearer)
        working = work_out(typed, knit, wearer, settings.length_unit, shelf.worn(wearer))
        for name, wrong in working.problems.items():
            raise FieldError(name, wrong)
        if working.made is None:
            raise UsageError(working.missing)
        lots = reach_lines(shelf.reaches(knit, working.yarn), settings.mass_unit)
        name = typed.name.strip() or usual_name(knit, wearer, shelf.plan_names, of=working.called)
        made = to_plan(shelf_id(name), replace(typed, name=name), knit, wearer, working)
        if not args.json:
            say(*_numbers(working, lots, at_risk=wearer is None or wearer.caution))
        if not args.only_try:
            planning.make_sure(working)
            book.keep(made)
    if args.json:
        return put(made.model_dump(mode="json") | {"notes": list(working.notes)}, [], as_json=True)
    if not args.only_try:
        say(f"Kept: {made.name}.")
        if not args.briefly:
            say(f"To crank it: hosewright start sock --plan {made.id}")
    say(*working.notes, *planning.tubes)  # last, for by ear they are long
    return 0


class _Planning:
    """What is chosen and typed for one plan."""

    def __init__(self, shelf: PlanShelf, settings: Settings, args: Namespace) -> None:
        self.shelf, self.settings, self.args = shelf, settings, args
        self.tubes: list[str] = []  # those that the gauge is the mean of

    def gauge(self) -> Knit:
        said = self.args.gauge
        if said is None and self.shelf.gauges:
            gauges = list(self.shelf.gauges)
            chosen = gauges[0] if self.args.json else pick("Gauge", gauges, self._words)
        else:
            chosen = gauge_named(self.shelf, said or "", self.settings.length_unit)
        knit, self.tubes = without(self.shelf, chosen, self.args, self.settings.length_unit)
        return knit

    def _words(self, name: str) -> str:
        return gauge_words(self.shelf.gauges[name], self.settings.length_unit)

    def wearer(self) -> Wearer | None:
        if self.args.wearer is None:
            return None
        return the_one(list(self.shelf.wearers.values()), self.args.wearer, "wearer")

    def lines(self, knit: Knit, wearer: Wearer | None) -> Typed:
        """Every line: as given, as asked for, or as usual. Raises UsageError where input ends."""
        unit = self.settings.length_unit
        fields = sock_fields(unit, knit.gauge.slots)
        given = {name: text for name in (*_ALL, "name") if (text := getattr(self.args, name))}
        asked = ask = self.args.ask or not (given or wearer or self.args.json)
        order = (*_ALL, "name") if self.args.ask else _ASKED
        texts, values = dict(USUALLY_CHOSEN), dict[str, Any]()
        texts |= {
            name: fields[name].say(fields[name].read(text)) for name, text in given.items() if name in USUALLY_CHOSEN
        }
        if ask:
            say(HOW)
        for name in dict.fromkeys((*order, *_ALL)):
            if name in idle_lines(texts):
                continue
            field = fields[name]
            offered = (
                field.say(texts[name]) if name in texts else usual_texts(wearer, texts["cuff"], unit).get(name, "")
            )
            said = given.get(name)
            if needed := asked and name == "foot" and values["tube"] is None and not offered:
                field = replace(field, required=True, missing=NO_FOOT)
            if said is None and (ask or needed) and name in order:
                said = ask_line(field, offered, values)
                ask = ask and said is not None
            text = offered if said is None else said
            values[name] = field.read(text, values)
            texts[name] = values[name] if name in USUALLY_CHOSEN else text
        return Typed(**{name: text for name, text in texts.items() if name not in idle_lines(texts)})

    def make_sure(self, working: Working) -> None:
        """A slit that is long is asked about. Raises UsageError when it is not to be kept."""
        heel = working.sock.heel if working.sock else None
        if heel is None or heel.extra_passes <= MOST_UNASKED_PASSES or self.args.anyway:
            return
        if self.args.json or not sure(f"{slit(heel.extra_passes)} Keep the plan so?"):
            raise UsageError(f"{slit(heel.extra_passes)} Nothing was kept; --anyway keeps it.")


def _numbers(working: Working, lots: Any, *, at_risk: bool) -> list[str]:
    """The plan in lines: its cautions, its parts, its fit and yarn, the leg by the dial, and the heels beside it."""
    rows = [*working.parts, *working.rest, *lots, *working.leg]
    said: list[str] = []
    for label, words in rows:
        if label or not said:
            said.append(f"{label}: {words}")
        else:  # it goes on from the line before
            said[-1] += f", {words}"
    caution = [working.caution] if working.caution else []
    return [*caution, *said, *working.heels, *([FEET_AT_RISK] if at_risk and not caution else [])]
