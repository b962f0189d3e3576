"""`ampturn sheet FILE -o OUT.pdf`: the sheet of a project on paper, or as plain text."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from app.command_evaluate import asked_candidates, evaluated, measured_trace, refuse_bad_heat
from app.terminal import EXIT_MET, Commands, add_units_option, naming_file, open_project
from core.errors import AmpturnError

if TYPE_CHECKING:
    from core.evaluation.what_helps import Change

DESCRIPTION = """\
Write the sheet of a project: requirement, load, candidates, margins, cautions, assumptions, hand-over list,
checks to do. The project file is attached to the PDF, so that opening the sheet opens the project. With an
ending of .txt the same is written as plain text, with .csv all its tables for a spreadsheet."""
_PAPERS = ("a4", "letter")


def add_to(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "sheet",
        help="write the sheet of a project as PDF",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="project file")
    parser.add_argument(
        "-o", required=True, metavar="OUT", type=Path, dest="out", help="file to write: .pdf, .txt or .csv"
    )
    parser.add_argument("--paper", choices=_PAPERS, default="a4", help="size of the pages, a4 without it")
    parser.add_argument(
        "--issued", metavar="YYYY-MM-DD", type=_day, help="day that is printed, today without it"
    )
    parser.add_argument("--candidate", metavar="NAME", help="candidate to choose for this sheet")
    parser.add_argument(
        "--changes", action="store_true", help="add what single changes would gain, which takes a second more"
    )
    add_units_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    import msgspec

    from core.project.project_file import encode_project
    from core.sheet.sheet import sheet_of

    ending = options.out.suffix.lower()
    if ending not in (".pdf", ".txt", ".csv"):
        raise AmpturnError(f"{options.out.name}: a sheet is written as .pdf, .txt or (its tables) .csv")
    if options.out.resolve() == options.file.resolve():
        raise AmpturnError(f"{options.out}: is the project itself; give the sheet a name of its own")
    project = open_project(options.file)
    if options.candidate is not None:
        asked_candidates(project, options.candidate)  # refuses an unknown name
        project = msgspec.structs.replace(project, chosen=options.candidate)
    result = evaluated(options.file, project)
    refuse_bad_heat(options.file, result, result.candidates)
    changes: tuple[Change, ...] = ()
    if options.changes and result.chosen is not None:
        from core.evaluation.what_helps import what_helps

        changes = what_helps(project, result.chosen, measured_trace(options.file, project))
    with naming_file(options.file):
        sheet = sheet_of(
            project,
            result,
            issued=options.issued or date.today(),
            project_file=encode_project(project),
            units=options.units,
            changes=changes,
        )
    if ending != ".pdf":
        from core.project.saved_file import write_bytes
        from core.sheet.plain_text import plain_text
        from core.table_csv import csv_of_sheet

        words = plain_text if ending == ".txt" else csv_of_sheet
        content = words(sheet, options.units).encode()
        write_bytes(options.out, content, lambda read: read == content)
        return EXIT_MET
    from app.sheet.paper import PAPERS
    from app.sheet.pdf import write_sheet  # Qt is loaded here and not before

    write_sheet(sheet, options.out, options.units, PAPERS[options.paper])
    return EXIT_MET


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        raise argparse.ArgumentTypeError(f"must be a day as 2026-03-31, got '{text}'") from error
