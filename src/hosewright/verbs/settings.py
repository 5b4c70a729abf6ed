"""``hosewright settings``: what is set, and what may be."""

from __future__ import annotations

import json
from typing import Any

from hosewright.places import settings_path
from hosewright.settings.file import SettingsModel
from hosewright.settings.table import TABLE, limits
from hosewright.verbs.parsing import Parser, aligned, put_each, safe, usual


def run(argv: list[str]) -> int:
    parser = Parser("settings", "what is set, and what may be", "hosewright settings")
    parser.add_json()
    parser.add_argument("--schema", action="store_true", help="print the JSON Schema of the settings file")
    args = parser.parse_args(argv)
    if args.schema:
        print(json.dumps(SettingsModel.model_json_schema() | {"title": "Settings of hosewright"}, indent=2))
        return 0
    settings = usual()
    values: dict[str, Any] = {name: getattr(settings, name) for name in TABLE}
    if args.json:
        return put_each(
            {"name": name, "value": values[name], "usual": one.usual, "limits": limits(one.kind)}
            | {"part": one.part, "what": one.comment}
            for name, one in TABLE.items()
        )
    rows = [
        (name, safe(json.dumps(values[name], ensure_ascii=False)), limits(one.kind), one.label)
        for name, one in TABLE.items()
    ]
    print("\n".join(aligned(rows)))
    print(f"\nThey are kept in {safe(str(settings_path()))}, and set on the bench with e.")
    return 0
