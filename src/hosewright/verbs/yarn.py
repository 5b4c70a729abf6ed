"""``hosewright yarn``: one count in, every count out."""

from __future__ import annotations

from hosewright.verbs.parsing import Parser, aligned, put

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
    """Run the verb. Raises CraftError or UsageError with a sentence."""
    parser = Parser("yarn", "a yarn's count in every system", "hosewright yarn --m-per-100g 420")
    known = parser.add_mutually_exclusive_group(required=True)
    for system, words in _SYSTEMS.items():
        known.add_argument(f"--{system.replace('_', '-')}", dest=system, metavar="COUNT", help=words)
    parser.add_json()
    args = parser.parse_args(argv)
    system = next(name for name in _SYSTEMS if getattr(args, name) is not None)

    from hosewright.craft.yarn import counts, read_count

    found = counts(read_count(getattr(args, system), system))
    rows = [(name, f"{value:.4g}" if value < 1000 else f"{value:.0f}", _SYSTEMS[name]) for name, value in found.items()]
    return put(found, aligned(rows), as_json=args.json)
