"""How a reader gets every number of the sheet again."""

from __future__ import annotations

from core.project.project import Project
from core.results import Result
from core.sheet.blocks import Block, Facts, Paragraph, Section
from core.version import VERSION


def reproduction(project: Project, result: Result, project_hash: str, size: int) -> Section:
    """Return program, formats and hash, and how the calculation is run again."""
    from core.catalogue.parts_file import PARTS_VERSION
    from core.result_json import RESULT_VERSION

    chosen = "none" if result.chosen is None else project.candidates[result.chosen].name
    pairs = (
        ("Program", f"Ampturn {VERSION}"),
        ("Format of the project file", f"{project.format}, version {project.version}"),
        ("Formats of parts and result files", f"versions {PARTS_VERSION} and {RESULT_VERSION}"),
        ("Chosen candidate", chosen),
        ("Size of the project file", f"{size} bytes"),
        ("SHA-256 of the project file", project_hash),
    )
    words = (
        "The project file is attached to this sheet as it was calculated, and holds all parts it uses. "
        "Opened in the same version of the program it gives the same numbers; “ampturn evaluate FILE "
        "--equations” prints them with their equations. The hash tells whether a file at hand is the one of "
        "this sheet."
    )
    trace = project.application.trace if project.application.duty_from == "trace" else None
    blocks: list[Block] = [Facts(pairs, columns=1, compact=True), Paragraph(words, compact=True)]
    if trace is not None:
        blocks.append(
            Paragraph(
                f"The measured trace is a file of its own, {trace.file}, and belongs beside the project; "
                f"its SHA-256 is {trace.sha256 or 'not stated'}."
            )
        )
    return Section("How to get these numbers again", tuple(blocks))
