"""Where every constant in this folder comes from, and how far it can be trusted.

Confidence: "exact" by definition; "read" in the document named; "quoted" as another page or file gives what the
document named says, which itself was not read; "computed" from values so read; "practice" common practice, no
source; "memory" from memory; "ours" our own choice, a band or limit with no claim beyond it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Confidence = Literal["exact", "read", "quoted", "computed", "practice", "memory", "ours"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a constant comes from and how far to trust it."""

    text: str
    confidence: Confidence


_GOLDING = "The Manufacture of Boots and Shoes (Golding), Irregular Gradations"
_ALLOWANCE = "that the last is 1/2 to 2/3 in longer than the foot is from memory"
_DEVICE = "the foot-measuring device's scale, from memory"

# What is said of several, with all of them.
_ALIKE = {
    Source("A band of our own for when to speak up.", "ours"): """
        correction.DISAGREE_SIGMAS correction.WORTH_CHANGING_MM cuffs.NEAR_NEEDLES cuffs.NEAR_SLOTS doubts.LOOP_BAND_MM
        doubts.MOST_APART doubts.RELAXATION_BAND doubts.ROWS_AN_INCH doubts.SPREAD_WORTH_SAYING doubts.STITCHES_AN_INCH
        doubts.UNIT_MISTAKE_BAND faults.LEAST_BESIDE_A_MARK faults.MOST_OF_A_GROUP faults.NEAR_THE_END
        faults.NEAR_THE_HEEL fit.MOST_OVER_HEEL gauge.WORTH_NARROWING_ROWS leg.WORTH_SAYING_ROWS
        measured.NEXT_TO_NOTHING_ROWS response.SCATTER_WORTH_SAYING sock.AGREE_SIGMAS sock_notes.FEW_FOOT_ROWS
        sock_notes.LIKELY_SLOTS sock_notes.MOST_UNASKED_PASSES supply.WORTH_SAYING_M tight.DIFFER_MM
        units.SIXTEENTH_SNAP_MM yarn.DISAGREE_SIGMAS
    """,
    Source("A limit of ours on the work that looking for a change takes.", "ours"): """
        changes.LEAST_SHARE changes.MOST_PLACES faults.FEWEST_BLOCKS faults.MOST_BLOCKS
    """,
    Source("A limit on what is accepted, wide enough for any machine or foot.", "ours"): """
        chance.MOST_TERMS colours.MOST_SHADES correction.MOST_OFF_MM craft.LEAST_SLOTS craft.MOST_SLOTS
        cuffs.MOST_CUFF_ROWS cuffs.MOST_REPEAT deeper_heel.MOST_EXTRA_ROWS dial.LEAST_PITCH_MM dial.MOST_CLICKS_PER_TURN
        dial.MOST_PITCH_MM dial.MOST_TURNS feet.LEAST_GIRTH_MM feet.LONGEST_FOOT_MM feet.MOST_GIRTH_MM
        feet.SHORTEST_FOOT_MM fit.MOST_EASE gauge.MOST_MM gauge.MOST_READINGS gauge.MOST_ROWS heels.MOST_GUSSET
        leg.LEAST_GIRTH_MM leg.LEAST_LEG_MM leg.MOST_GIRTH_MM ribs.LEAST_RIBBED_ROWS sock.LEAST_PER_MM
        sock.LEAST_SPLIT_ROWS sock.MOST_LENGTH_MM sock.MOST_PER_MM sock_notes.LEAST_FOOT_ROWS spread.MOST_STEPS
        stock.MOST_MG stripes.MOST_STRIPES stripes.MOST_STRIPE_ROWS supply.MOST_BALL_G supply.MOST_LOOP_MM
        turning.BEYOND turning.LEAST_LEFT_IN_WORK turning.LEAST_NEEDLES turning.MOST_EXTRA_PASSES turning.MOST_NEEDLES
        units.LONGEST_ECHO units.LONGEST_TYPED yarn.LEAST_TEX yarn.MOST_TEX
    """,
    Source("Common practice, no source.", "practice"): """
        cuffs.RIBS cuffs.SELVEDGE_BOTH cuffs.SELVEDGE_CYLINDER cuffs.SELVEDGE_ROWS gauge.SCALE_HALF_WIDTH_G
        gauge.TAPE_HALF_WIDTH_MM heels.USUAL_HEEL leg.ABOVE_ANKLE_BONE_MM leg.BELOW_KNEECAP_MM tight.INSTEP_ALONG
    """,
    Source(
        "ANSUR II public release (US Army 2012), Gordon et al. 2014, NATICK/TR-15/007; computed from its tables.",
        "computed",
    ): """
        feet.ANKLE_ON_BALL feet.BALL_ON_LENGTH feet.BALL_SAMPLED_MM feet.CALF_ON_BALL feet.HEEL_ANKLE_ON_BALL
        feet.HEEL_ANKLE_ON_LENGTH feet.LENGTH_SAMPLED_MM leg.ANKLE_BONE_MM leg.KNEECAP_MM sock.LONGEST_LIKELY_FOOT_MM
        tight.BALL_ALONG
    """,
    Source("Definition of tex, denier and the metric count.", "exact"): """
        supply.M_PER_KM yarn.DENIER_PER_TEX yarn.DTEX_PER_TEX yarn.MM_G_PER_TEX yarn.TEX_TIMES_M_PER_100G
        yarn.TEX_TIMES_NM
    """,
    Source("International yard and pound agreement: 1 in = 25.4 mm, 1 lb = 453.59237 g.", "exact"): """
        units.G_PER_OUNCE units.G_PER_POUND units.MM_PER_INCH units.PER_UNIT_MM yarn.M_PER_YARD
    """,
    Source("Yarn count definitions, yards a hank per pound; GNU units definitions file.", "read"): """
        yarn.COTTON_YARDS yarn.LINEN_YARDS yarn.WORSTED_YARDS
    """,
}

SOURCES: dict[str, Source] = {
    **{name: source for source, names in _ALIKE.items() for name in names.split()},
    "care_labels.SYMBOLS": Source(
        "Care symbols of ISO 3758:2012, from memory; ISO 3758:2023, which replaced it, was not read.", "memory"
    ),
    "changes.LEAST_TO_TELL": Source("Our line: fewer than six values say nothing of a change.", "ours"),
    "changes.LEAST_BESIDE": Source("Our line: one value alone may be a slip, two are a change.", "ours"),
    "changes.LEAST_ERROR_SHARE": Source("Ours: a value may count for a million others and no more.", "ours"),
    "changes.LEAST_ERROR_OF_VALUE": Source("Ours: far above what rounding leaves, far below any tape.", "ours"),
    "changes.TAIL": Source("The usual 95 of 100, a habit and no law; from memory.", "memory"),
    "changes.EWMA_WEIGHT": Source("NIST/SEMATECH e-Handbook, 6.3.2.4: 0.2 to 0.3 is usual; from memory.", "memory"),
    "changes.EWMA_WIDTH": Source("NIST/SEMATECH e-Handbook, 6.3.2.4: 3 is usual; from memory.", "memory"),
    "ribs.PLAIN_BEFORE_TOE": Source("Ours: a row moves each stitch onto its needle, a second shows it sits.", "ours"),
    "ribs.WIDTH_SHARES": Source(
        "From half of plain, which a relaxed 1x1 rib is in theory (Spencer, Knitting Technology, 3rd ed., 7.3), to "
        "plain's own width, from memory; no published width of a 2x1 or 3x1 rib was found.",
        "memory",
    ),
    "ribs.ROWS_SHARES": Source("No published rows of a rib against plain's were found; from memory.", "memory"),
    "chance.LEAST_FAULTS": Source("Our line: fewer than three faults of a needle are not worth a word.", "ours"),
    "chance.SUSPECT_ODDS": Source("Our line: a sound machine is suspected at most once in a hundred times.", "ours"),
    "chance.DIFFERENT_ODDS": Source("The usual 5 %, a habit and no law; from memory.", "memory"),
    "chance.CLOSE_ENOUGH": Source("The last figure of a double-precision number, about 2e-16.", "exact"),
    "faults.NEWEST": Source("Our line: a hundred faults are enough, and the exact test stays quick.", "ours"),
    "faults.LEAST_ON_A_CIRCLE": Source("Five: the fewest for which Rayleigh's r has a printed critical value.", "read"),
    "faults.LEAST_IN_PLACES": Source("Our line: of fewer than five, even all in one place say little.", "ours"),
    "faults.LEAST_SPELLS": Source("Our line: six rounds with a fault make the fewest runs worth counting.", "ours"),
    "faults.LEAST_EVEN": Source("Our line: with fewer than twelve a cluster may have been missed.", "ours"),
    "faults.A_BLOCK": Source("Our line: three faults expected in a block, so that chi squared is near enough.", "ours"),
    "faults.NEXT_TO_NOTHING": Source("Some seven figures above the last of a double-precision number, 2e-16.", "exact"),
    "dial.CLICKS_PER_TURN": Source(
        "Ours, a figure to reckon with: how many clicks a turn has is the machine's own.", "ours"
    ),
    "doubts.RATIO_BAND": Source(
        "Our band about Kc / Kw, 1.29 to 1.32 in each of the three states in `loops.STATES`.", "ours"
    ),
    "doubts.USUAL": Source("Kc / Kw, 1.29 to 1.32 in each of the three states in `loops.STATES`.", "computed"),
    "doubts.TIGHTNESS_BAND": Source(
        "Our band: plain worsted fabric has 1.4 to 1.5 (Spencer, Knitting Technology, 3rd ed. 2001, p. 282, as "
        "quoted), and sock tubes run looser.",
        "ours",
    ),
    "doubts.CM_PER_INCH": Source(
        "Centimetres in an inch, the mistake when one length is read in the other unit.", "exact"
    ),
    "feet.GIRTH_PER_WIDTH_MM": Source(
        "6.5 mm a fitting: Rossi 2000, p. 202, as Kippen quotes it (Shoe width fitting, 2009); the GNU Units "
        "definitions file has 1/4 in a letter and calls it no standard.",
        "quoted",
    ),
    "feet.NORMAL_REACH": Source(
        "Quantiles of the normal law, checked against scipy.stats.norm in the tests.", "computed"
    ),
    "fit.PLAIN_EASE": Source("How to Knit Socks (Storey, ISBN 9781612125428), ch. 3: about 10 % plain.", "read"),
    "fit.CYLINDER_DIAMETER_MM": Source(
        "Ours, to reckon with where nobody measured: a centimetre more changes what another cylinder gives by 1 %.",
        "ours",
    ),
    "fit.LOOSE_UNDER_EASE": Source("Our band; 5 % is the least ease printed (same book, colourwork).", "ours"),
    "fit.RIGHT_UP_TO_EASE": Source("Our band; Custom Socks prints 9 to 12.5 % (percentages computed).", "ours"),
    "fit.SNUG_UP_TO_EASE": Source("Our band; How to Knit Socks allows up to 25 % in rib.", "ours"),
    "fit.EASY_OVER_HEEL": Source("Our band; an average heel needs 52 % of a sock with 10 % ease (ANSUR II).", "ours"),
    "colours.MARK_RATIO": Source("W3C, WCAG 2.2, success criterion 1.4.11: marks against their ground.", "read"),
    "correction.LENGTH_PRIOR_MM": Source("Our assumption of how far a first plan's length is commonly out.", "ours"),
    "correction.ROUND_PRIOR_MM": Source("Our assumption of how far a first plan's width is commonly out.", "ours"),
    "correction.SAID_MM": Source("Our assumption of what is meant by too long or tight, not measured.", "ours"),
    "correction.SAID_SPREAD_MM": Source("Our assumption, as wide as our doubt of it.", "ours"),
    "correction.MEASURED_SPREAD_MM": Source("Our assumption: a worn sock's fit is felt to about this.", "ours"),
    "correction.MOST_PER_SOCK_MM": Source("Our ceiling on what one sock may change, about five rows.", "ours"),
    "leg.CALF_LEG_MM": Source("Ours: from here on a leg's top is taken to lie round the calf.", "ours"),
    "leg.CREW_LEG_MM": Source("Ours.", "ours"),
    "tubes.LEG_WARMER_MM": Source("Ours: a tube as long as this is called a leg warmer.", "ours"),
    "loops.STATES": Source(
        "Spencer, Knitting Technology, 3rd ed. (2001), section 22.5, p. 281, after Munden (HATRA Research Report 9, "
        "1959; J. Text. Inst. 50, T448), as quoted; full also in GATE 2015, Textile Engineering, question 54. "
        "Averages over many plain worsted fabrics.",
        "quoted",
    ),
    "gauge.LONG_TUBE_ROWS": Source("Our suggestion for a long tube.", "ours"),
    "gauge.NOTED_TAPE_MM": Source(
        "Ours: a notebook's lengths are taken as read to the nearest quarter inch or half centimetre.", "ours"
    ),
    "gauge.NOTED_OVER_MM": Source(
        "Ours: rows or stitches to the inch without their length are taken as counted over 4 in or 10 cm.", "ours"
    ),
    "gauge.FINE_TAPE_MM": Source("Half a millimetre read between the marks; our suggestion.", "ours"),
    "cuffs.MOST_OUT_TOGETHER": Source("Common practice, no source: two empty needles are the most.", "practice"),
    "response.PRIOR_SHARE": Source("Our assumption: yarn is robbed back from neighbouring loops.", "ours"),
    "response.PRIOR_SPREAD": Source("Our assumption, as wide as our doubt.", "ours"),
    "response.LOOP_PER_DRAW": Source("Geometry: a loop has two legs, and each lengthens by the draw.", "computed"),
    "response.LEAST_LOOP_ERROR_MM": Source("Our assumption: no two tubes repeat better.", "ours"),
    "sock.LENGTH_EASE_MM": Source("Common practice, no source: 1/2 in short in length.", "practice"),
    "shoes.BARLEYCORN_MM": Source("1/3 in, exact (GNU units definitions file).", "exact"),
    "shoes.PARIS_POINT_MM": Source("2/3 cm, exact (GNU units definitions file).", "exact"),
    "shoes.MONDOPOINT_STEPS_MM": Source("PD ISO/TS 19407:2015, clause 3 a, extract: 5 mm or 7.5 mm.", "read"),
    "shoes.JAPAN_STEP_MM": Source(
        "JIS for shoes as the AIST tells it (Human Foot Morphology, Shoe size system in Japan): the size is the "
        "length of the foot in cm, in steps of 0.5 cm.",
        "quoted",
    ),
    "shoes.LAST_LONGER_MM": Source("UK and US lasts 1/2 to 2/3 in longer than the foot: from memory.", "memory"),
    "shoes.LARGEST_CHILD_SIZE": Source(f"{_GOLDING}: adult 1 follows child 13.", "read"),
    "shoes.EU_OFFSETS": Source(
        "Paris points of the last (PD ISO/TS 19407:2015, clause 3 b); that it is 2 of them longer than the foot, and "
        "the rival 2 1/4, are from memory.",
        "memory",
    ),
    "shoes.UK_OFFSETS": Source(f"3 last in - 25: {_GOLDING} (adult 1 is 8 2/3 in); {_ALLOWANCE}.", "memory"),
    "shoes.US_MEN_OFFSETS": Source(f"3 in - 22, {_DEVICE}; rival 3 last in - 24, from memory; {_ALLOWANCE}.", "memory"),
    "shoes.US_WOMEN_OFFSETS": Source(
        f"3 in - 21, {_DEVICE}; rivals 3 last in - 23 and men's + 1 1/2, from memory; {_ALLOWANCE}.", "memory"
    ),
    "shoes.UK_CHILD_OFFSETS": Source(f"3 last in - 12: {_GOLDING} (child 1 is 4 1/3 in); {_ALLOWANCE}.", "memory"),
    "shoes.US_CHILD_OFFSETS": Source(f"3 last in - 12 + 1/3, from memory; {_ALLOWANCE}.", "memory"),
    "shoes.SCALES": Source("Built from the steps and offsets above.", "computed"),
    "sock_notes.WIDE_FOR_ITS_FOOT": Source(
        "Our band: a foot's ball girth is near its length (see `feet.BALL_ON_LENGTH`), and a sock is less than that.",
        "ours",
    ),
    "spread.LEAST_REPEATS": Source("Ours: two tubes tell next to nothing of how far tubes differ.", "ours"),
    "spread.ASSUMED_SHARE": Source("Our assumption of how far tubes of one yarn differ, until repeats tell.", "ours"),
    "spread.ASSUMED_ERROR": Source("Our assumption, as wide as our doubt of it.", "ours"),
    "spread.ASSUMED": Source("Our two assumptions together.", "ours"),
    "spread.NINETY_FIVE": Source("Five of a hundred outside a range of 95 %.", "exact"),
    "stitch_size.SLOPE_TURNS": Source(
        "Our assumption, turns for one more in the root of tex: what a tightness of 1.3 and the usual share of a draw "
        "come to on a thread of about 1.3 mm.",
        "ours",
    ),
    "stitch_size.SLOPE_SPREAD": Source("Our assumption, as wide as our doubt of it.", "ours"),
    "stitch_size.SCATTER_TURNS": Source("Our assumption: yarns of one count differ by about half a turn.", "ours"),
    "stitch_size.SCATTER_WEIGHT": Source("Ours: the assumption counts as much as so many yarns.", "ours"),
    "stitch_size.ROOT_TEX_SPREAD": Source("Ours: sock yarns from 300 to 550 m in 100 g, root of tex.", "ours"),
    "stock.MG_PER_G": Source("Definition of the milligram.", "exact"),
    "stock.LABEL_SHARE": Source(
        "Our assumption; the law of prepacked goods lets one pack of 100 to 200 g lack 4.5 % (Directive 76/211/EEC, "
        "from memory).",
        "ours",
    ),
    "supply.MARGIN": Source("Our margin, a twentieth; common practice keeps some in hand.", "ours"),
    "supply.TAILS_M": Source("Common practice, no source: tails, joins and the graft of one sock.", "practice"),
    "supply.SURE_REACH": Source("95 % one-sided quantile of the normal law, checked against scipy.", "computed"),
    "size_table.FEET_MM": Source(
        "Our choice: children as their sizes run, adults within the feet ANSUR II measured.", "ours"
    ),
    "size_table.STEP_MM": Source(
        "PD ISO/TS 19407:2015, clause 3 a, extract: 10 mm is a whole Mondopoint step.", "read"
    ),
    "size_table.CHILD_GIRTH_SHARE": Source(
        "Ours, no published girth of children's feet was found: between adults' 0.93 (ANSUR II, computed) and the "
        "1.01 to which the broader feet of children of 3 to 5 would come (breadth / length 0.41 against 0.38: Mickle "
        "et al., as PMC9139892, table 1, quotes them).",
        "ours",
    ),
    "size_table.CHILD_GIRTH_SPREAD": Source(
        "Ours: wide enough for both ends of what `CHILD_GIRTH_SHARE` lies between, and the 4 % by which adults differ.",
        "ours",
    ),
    "heels.WASTE_PASSES": Source("The fewest that bring the carrier back; ours.", "ours"),
    "heels.WIDE_SHARE": Source(
        "A heel of 60 % is among the ways of explaiknit.typepad.com, short_rows, as another page quotes it.", "quoted"
    ),
    "heels.NO_PART": Source("No stitches; ours.", "ours"),
    "feet.WORTH_SAYING_MM": Source("Our line, about two rows; half a whole Mondopoint step.", "ours"),
    "turning.USUAL_SHARE_LEFT": Source("Simply Knitting, 1 Oct 2018: turn back with about a third unwrapped.", "read"),
    "units.MM_PER_CM": Source("Millimetres in a centimetre.", "exact"),
    "workload.MAD_TO_SD": Source("1 / the 75 % quantile of the normal law, checked against scipy.", "computed"),
    "workload.WEEK_DAYS": Source("Days in a week.", "exact"),
    "yarn.WOOLLEN_YARDS": Source("256 yards a hank per pound, from memory.", "memory"),
    "yarn.LOOP_MODEL_SHARE": Source(
        "Ours: Kc is an average over many fabrics, and by how much one differs was found in no source.", "ours"
    ),
}
