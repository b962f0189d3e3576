"""`ampturn schema` and `ampturn parts check`: what the files look like, and whether parts are plausible."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.terminal import EXIT_MET, EXIT_MISSED, Commands, announce_unknown_keys, naming_file, write_out
from core.sentences import as_text

# What a window does not need to start is imported where it is used.

SCHEMAS = ("project", "parts", "result")


def add_to(commands: Commands) -> None:
    """Add both commands to the command line."""
    schema = commands.add_parser(
        "schema",
        help="print the JSON Schema of a file format",
        description="Print the JSON Schema of project files, parts files or results.",
    )
    schema.add_argument("of", metavar="FORMAT", choices=SCHEMAS, help=", ".join(SCHEMAS))
    schema.set_defaults(run=_schema)
    parts = commands.add_parser(
        "parts", help="check a parts file", description="Work with files of motors and drive electronics."
    )
    actions = parts.add_subparsers(metavar="ACTION", title="actions", required=True)
    check = actions.add_parser(
        "check",
        help="read a parts file and say what cannot be right",
        description="Read a parts file and say which figures cannot belong to one motor. "
        "Exit code: 0 all plausible, 1 something is not, 2 the file is refused.",
    )
    check.add_argument("file", metavar="FILE", type=Path, help="parts file")
    check.set_defaults(run=_check)


def _schema(options: argparse.Namespace) -> int:
    import json

    from core.catalogue.parts_file import parts_schema
    from core.project.project import Project
    from core.project.schema import json_schema
    from core.result_json import result_schema

    made = {
        "project": lambda: json_schema(Project, "Ampturn project"),
        "parts": parts_schema,
        "result": result_schema,
    }
    write_out(json.dumps(made[options.of](), indent=2, ensure_ascii=False) + "\n")
    return EXIT_MET


def _check(options: argparse.Namespace) -> int:
    from core.catalogue.parts_check import check_parts
    from core.catalogue.parts_file import read_parts

    with naming_file(options.file):
        parts = read_parts(options.file)
    announce_unknown_keys(options.file, parts)
    findings = check_parts(parts)
    windings = sum(len(motor.windings) for motor in parts.motors)
    counts = f"{len(parts.motors)} motors with {windings} windings, {len(parts.drives)} drive electronics"
    lines = [f"{options.file}: {counts}"]
    lines += [f"{finding.severity}: {as_text(finding.text)}" for finding in findings]
    doubtful = [finding for finding in findings if finding.severity in ("warning", "serious")]
    lines.append(f"{len(doubtful)} figures are doubtful." if doubtful else "Nothing is implausible.")
    write_out("\n".join(lines) + "\n")
    return EXIT_MISSED if doubtful else EXIT_MET
