"""``hosewright yarn``: one count in, every count out."""

from __future__ import annotations

from hosewright.craft.yarn import counts, read_count, read_yarn_count
from hosewright.verbs.parsing import Parser, UsageError, aligned, put

# Options, the unit each stands for, and how its number reads.
_SYSTEMS = {
    "m_per_100g": "metres in 100 g",
    "tex": "g in 1000 m",
    "dtex": "g in 10 000 m",
    "nm": "m in 1 g",
    "worsted": "hanks of 560 yd in 1 lb",
    "cotton": "hanks of 840 yd in 1 lb",
    "woollen": "runs of 256 yd in 1 lb",
    "linen": "leas of 300 yd in 1 lb",
    "denier": "g in 9000 m",
    "yd_per_oz": "yards in 1 oz",
}


def run(argv: list[str]) -> int:
    parser = Parser("yarn", "a yarn's count in every system", 'hosewright yarn "437 yd/100g"')
    parser.add_argument("count", nargs="*", help="as its label has it: “437 yd/100g”, “Nm 2/8”, “tex 238”, “Ne 2.5”")
    known = parser.add_mutually_exclusive_group()
    for name, words in _SYSTEMS.items():
        known.add_argument(f"--{name.replace('_', '-')}", dest=name, metavar="COUNT", help=words)
    parser.add_json()
    args = parser.parse_args(argv)
    system = next((name for name in _SYSTEMS if getattr(args, name) is not None), None)
    if bool(args.count) == (system is not None):
        raise UsageError("Type the yarn's count once, as its label has it (“437 yd/100g”) or by an option (--tex 238).")

    tex = read_count(getattr(args, system), system) if system else read_yarn_count(" ".join(args.count)).tex
    found = counts(tex)
    rows = [(name, f"{value:.4g}" if value < 1000 else f"{value:.0f}", _SYSTEMS[name]) for name, value in found.items()]
    return put(found, aligned(rows), as_json=args.json)
