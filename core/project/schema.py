"""JSON Schemas of the project, parts and result formats."""

from __future__ import annotations

from typing import Any

import msgspec

from core.project.saved import UNKNOWN_KEYS


def json_schema(kind: type[msgspec.Struct], title: str) -> dict[str, Any]:
    """Return the JSON Schema of a type that stands in a file; unknown keys are allowed and kept."""
    (_reference,), definitions = msgspec.json.schema_components([kind], ref_template="#/$defs/{name}")
    for definition in definitions.values():
        definition.get("properties", {}).pop(UNKNOWN_KEYS, None)
        definition.pop("title", None)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "$ref": f"#/$defs/{kind.__name__}",
        "$defs": definitions,
    }
