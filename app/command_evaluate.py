"""`ampturn evaluate FILE`: the margins of candidates as text or JSON, and a verdict as exit code."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from app.terminal import (
    EXIT_MET,
    EXIT_MISSED,
    EXIT_NOT_CHECKED,
    Commands,
    add_units_option,
    open_project,
    write_out,
)
from core.errors import AmpturnError
from core.evaluate import evaluate
from core.project.candidate import Candidate
from core.project.project import Project
from core.results import CandidateResult, Result
from core.sentences import as_text
from core.units import DisplayUnits

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

# What a window does not need to start is imported where it is used.

ALL = "all"
DESCRIPTION = """\
Print the margins of a candidate: each criterion with demand, limit, margin, target and where in the
cycle it happens, then what governs, what was not checked, cautions, findings and assumptions.

Exit code: 0 every required criterion is checked and meets its target, 1 one is missed or excluded,
2 the input is refused, 3 none is missed, but a required one is not checked. With several candidates
1 wins over 3, and 3 over 0."""


def add_to(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "evaluate",
        help="print the margins of a project",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="project file")
    parser.add_argument(
        "--candidate",
        metavar="NAME",
        help=f"name of a candidate, or '{ALL}'; without it the one that is chosen in the file",
    )
    parser.add_argument("--json", action="store_true", help="print the result as JSON for programs")
    parser.add_argument(
        "--equations", action="store_true", help="add the equation of each criterion with its numbers"
    )
    add_units_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    path: Path = options.file
    units: DisplayUnits = options.units
    project = open_project(path)
    wanted = asked_candidates(project, options.candidate)
    result = evaluated(path, project)
    candidates = [result.candidates[index] for index in wanted]
    refuse_bad_heat(path, result, candidates)
    if options.json:
        from core.result_json import encode_result

        write_out(encode_result(result, candidates, units).decode())
    elif candidates:
        from core.margin_table import report

        texts = [report(result, candidate, units, options.equations) for candidate in candidates]
        write_out(f"\n{'=' * 100}\n\n".join(texts))
    else:
        write_out(f"{project.application.title}: there is no candidate yet, so nothing is checked.\n")
    return exit_code(candidates)


def asked_candidates(project: Project, name: str | None) -> list[int]:
    """Return the candidates that were asked for, as indices; by default the chosen one."""
    names = [candidate.name for candidate in project.candidates]
    if name is None:
        chosen = project.chosen_candidate
        return [] if chosen is None else [project.candidates.index(chosen)]
    if name in names:
        return [names.index(name)]
    if name == ALL:
        return list(range(len(names)))
    known = ", ".join(f"'{one}'" for one in (ALL, *names))
    raise AmpturnError(f"--candidate: must be one of {known}, got '{name}'")


def evaluated(path: Path, project: Project) -> Result:
    """Return the result; a value that no motor can have is refused with the candidate it stands in."""
    measured = measured_trace(path, project)
    try:
        return evaluate(project, measured)
    except AmpturnError as error:
        raise AmpturnError(f"{path}: {_place_of_error(project, measured)}: {error}") from error


def measured_trace(path: Path, project: Project) -> ImportedTrace | None:
    """Return the trace that the duty of a project comes from, read from the file beside the project."""
    source = project.application.trace
    if project.application.duty_from != "trace" or source is None:
        return None
    from core.trace_source import open_trace

    try:
        return open_trace(source, path.parent)
    except OSError as error:
        reason = f"cannot be read ({error.strerror or error})"
        raise AmpturnError(f"{path}: $.application.trace.file: {source.file} {reason}") from error
    except AmpturnError as error:
        raise AmpturnError(f"{path.parent / source.file}: {error}") from error


def _place_of_error(project: Project, measured: ImportedTrace | None) -> str:
    for index, candidate in enumerate(project.candidates):
        try:
            alone = msgspec.structs.replace(project, candidates=(candidate,), chosen=candidate.name)
            evaluate(alone, measured)
        except AmpturnError:
            return f"$.candidates[{index}] ({candidate.name})"
    return "$.application"


def refuse_bad_heat(path: Path, result: Result, candidates: Sequence[CandidateResult]) -> None:
    """Refuse thermal data that contradict each other: without them nothing thermal would be checked."""
    for candidate in candidates:
        if any(finding.code == "heat_data_refused" for finding in candidate.findings):
            margin = candidate.margin("torque_reserve")
            reason = "" if margin is None else as_text(margin.why)
            place = _heat_place(result.project.candidates[candidate.index], candidate.index)
            raise AmpturnError(f"{path}: {place}: {reason}")


def _heat_place(candidate: Candidate, index: int) -> str:
    variants = candidate.motor.variants if candidate.motor else ()
    variant = next(i for i, variant in enumerate(variants) if variant is candidate.chosen_variant)
    return f"$.candidates[{index}].motor.variants[{variant}].heat"


def exit_code(candidates: Sequence[CandidateResult]) -> int:
    """Return the verdict on these candidates; what is missing altogether counts as not checked."""
    statuses = {margin.status for c in candidates for margin in c.margins if margin.required}
    if statuses & {"missed", "excluded"}:
        return EXIT_MISSED
    if "not checked" in statuses or not candidates or any(not c.margins for c in candidates):
        return EXIT_NOT_CHECKED
    return EXIT_MET
