"""`ampturn parts`: check a parts file, make one of a table of one's own, list the columns of such a table."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from app.terminal import (
    EXIT_MET,
    EXIT_MISSED,
    CommandParser,
    Commands,
    add_units_option,
    announce_unknown_keys,
    complain,
    naming_file,
    write_out,
)
from core.errors import AmpturnError
from core.findings import Finding
from core.units import DisplayUnits

if TYPE_CHECKING:
    from core.catalogue.parts_file import PartsFile

# What a window does not need to start is imported where it is used.


def add_to(commands: Commands) -> None:
    """Add the command with its actions to the command line."""
    parts = commands.add_parser(
        "parts",
        help="check a parts file, or make one of a table",
        description="Work with files of motors, electronics and what is fitted to them.",
    )
    actions = parts.add_subparsers(metavar="ACTION", title="actions", required=True)
    check = actions.add_parser(
        "check",
        help="read a parts file and say what cannot be right",
        description="Read a parts file and say which figures cannot belong to one motor. "
        "Exit code: 0 all plausible, 1 something is not, 2 the file is refused.",
    )
    check.add_argument("file", metavar="FILE", type=Path, help="parts file")
    add_units_option(check)
    check.set_defaults(run=_check)
    _add_import(actions)
    columns = actions.add_parser(
        "columns",
        help="list the columns of a table that can be imported",
        description="List every column of a table of parts with its units, words and meaning.",
    )
    columns.set_defaults(run=_columns)


def _add_import(actions: argparse._SubParsersAction[CommandParser]) -> None:
    command = actions.add_parser(
        "import",
        help="make a parts file of a table (CSV)",
        description="Read a table of parts (CSV in UTF-8; `ampturn parts columns` lists its columns), name "
        "every row that is not taken with the reason, and write the rest as a parts file. "
        "Exit code: 0 every row is taken and plausible, 1 something is not, 2 the table is refused.",
    )
    command.add_argument("file", metavar="FILE.csv", type=Path, help="table of parts")
    command.add_argument(
        "-o", "--output", metavar="PARTS.json", type=Path, required=True, help="parts file to write"
    )
    command.add_argument("--replace", action="store_true", help="write over a file that is there")
    add_units_option(command)
    command.set_defaults(run=_import)


def _check(options: argparse.Namespace) -> int:
    from core.catalogue.parts_check import check_parts
    from core.catalogue.parts_file import read_parts

    with naming_file(options.file):
        parts = read_parts(options.file)
    announce_unknown_keys(options.file, parts)
    findings = check_parts(parts)
    lines = [f"{options.file}: {_counts(parts)}", *_finding_lines(findings, options.units)]
    write_out("\n".join(lines) + "\n")
    return EXIT_MISSED if _doubtful(findings) else EXIT_MET


def _import(options: argparse.Namespace) -> int:
    from core.catalogue.csv_cells import CsvError
    from core.catalogue.csv_import import import_parts
    from core.catalogue.parts_check import check_parts
    from core.catalogue.parts_file import write_parts

    output: Path = options.output
    if output.exists() and not options.replace:
        raise AmpturnError(f"{output}: the file is there already; --replace writes over it")
    try:
        imported = import_parts(options.file)
    except CsvError as error:
        raise AmpturnError(f"{options.file}: {error}") from error
    for note in imported.notes:
        complain(f"note: {options.file}: {note}")
    lines = [f"not taken: {row}" for row in imported.rejected]
    rows = f"{_number(imported.accepted, 'row')} taken, {len(imported.rejected)} not"
    if imported.accepted == 0:
        write_out("\n".join([*lines, f"{options.file}: {rows}; nothing is written"]) + "\n")
        return EXIT_MISSED
    write_parts(output, imported.parts)
    findings = check_parts(imported.parts)
    lines += [f"{options.file}: {rows}", f"{output}: {_counts(imported.parts)}"]
    lines += _finding_lines(findings, options.units)
    write_out("\n".join(lines) + "\n")
    return EXIT_MISSED if imported.rejected or _doubtful(findings) else EXIT_MET


def _columns(_options: argparse.Namespace) -> int:
    from core.catalogue.part_columns import columns_text

    write_out(columns_text())
    return EXIT_MET


def _counts(parts: PartsFile) -> str:
    windings = sum(len(motor.windings) for motor in parts.motors)
    motors, wound = _number(len(parts.motors), "motor"), _number(windings, "winding")
    others = ", ".join(
        _number(len(group), name)
        for group, name in (
            (parts.feedback, "feedback device"),
            (parts.brakes, "brake"),
            (parts.transmissions, "transmission"),
        )
        if group
    )
    counts = f"{motors} with {wound}, {len(parts.drives)} drive electronics"
    return f"{counts}, {others}" if others else counts


def _finding_lines(findings: Iterable[Finding], units: DisplayUnits) -> list[str]:
    from core.sentences import as_text

    found = tuple(findings)
    doubtful = _doubtful(found)
    lines = [f"{finding.severity}: {as_text(finding.text, units)}" for finding in found]
    verb = "is" if doubtful == 1 else "are"
    return [
        *lines,
        f"{_number(doubtful, 'figure')} {verb} doubtful." if doubtful else "Nothing is implausible.",
    ]


def _number(count: int, thing: str) -> str:
    """Return how many there are of a thing, as "1 brake" or "2 brakes"."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def _doubtful(findings: Iterable[Finding]) -> int:
    return sum(finding.severity in ("warning", "serious") for finding in findings)
