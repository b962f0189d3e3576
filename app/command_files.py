"""`ampturn schema`: what the files look like."""

from __future__ import annotations

import argparse

from app.terminal import EXIT_MET, Commands, write_out

# What a window does not need to start is imported where it is used.

SCHEMAS = ("project", "parts", "result", "shortlist")


def add_to(commands: Commands) -> None:
    """Add the command to the command line."""
    schema = commands.add_parser(
        "schema",
        help="print the JSON Schema of a file format",
        description="Print the JSON Schema of project files, parts files, results or shortlists.",
    )
    schema.add_argument("of", metavar="FORMAT", choices=SCHEMAS, help=", ".join(SCHEMAS))
    schema.set_defaults(run=_schema)


def _schema(options: argparse.Namespace) -> int:
    import json

    from core.catalogue.parts_file import parts_schema
    from core.project.project import Project
    from core.project.schema import json_schema
    from core.result_json import result_schema
    from core.shortlist.list_json import shortlist_schema

    made = {
        "project": lambda: json_schema(Project, "Ampturn project"),
        "parts": parts_schema,
        "result": result_schema,
        "shortlist": shortlist_schema,
    }
    write_out(json.dumps(made[options.of](), indent=2, ensure_ascii=False) + "\n")
    return EXIT_MET
