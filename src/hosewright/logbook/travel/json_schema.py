"""The JSON Schema of session files, worked out from the models that read them.

``python -m hosewright.logbook.travel.json_schema`` writes it anew beside this module, where
other programs find it.
"""

from __future__ import annotations

import json
from pathlib import Path

from hosewright.logbook.travel.session_files import SessionFile

SCHEMA_FILE = Path(__file__).with_name("session_file.schema.json")
DRAFT = "https://json-schema.org/draft/2020-12/schema"  # what pydantic's schemas are written in


def schema_text() -> str:
    """The schema as JSON text."""
    schema = {"$schema": DRAFT, **SessionFile.model_json_schema(), "title": "A hosewright session file, version 1"}
    return json.dumps(schema, ensure_ascii=False, indent=2, sort_keys=True) + "\n"


if __name__ == "__main__":
    SCHEMA_FILE.write_text(schema_text(), encoding="utf-8", newline="\n")
