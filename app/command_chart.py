"""`ampturn chart FILE --of WHAT -o OUT`: a chart of a project as PDF, SVG or PNG, true to millimetres."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import Final

import msgspec

from app.command_evaluate import ALL, asked_candidates, evaluated, refuse_bad_heat
from app.exports import BesideName, ChartName, ChosenName, write_chart
from app.terminal import EXIT_MET, Commands, add_units_option, open_project
from core.errors import AmpturnError

CHARTS: Final[dict[str, ChartName | ChosenName | BesideName]] = {
    "speed-torque": "speed–torque plane",
    "cycle": "cycle",
    "temperature": "temperatures",
    "load": "load",
    "ratio": "ratio study",
    "windings": "windings",
    "supply-voltage": "supply voltage",
    "shaft": "shaft",
    "heat-flow": "heat flow",
    "peak-temperatures": "peak temperatures",
    "losses": "mean losses",
    "continuous-torque": "continuous torque",
    "torque-ratio": "ratio of continuous torques",
}
DESCRIPTION = """\
Write a chart. All candidates stand in speed-torque (with the load points of the chosen one), cycle,
temperature (from cold), peak-temperatures and losses; the first two in continuous-torque and torque-ratio;
the chosen one alone in ratio, windings, supply-voltage, shaft and heat-flow. The ending of OUT decides the
format."""


def add_to(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "chart",
        help="write a chart of a project as PDF, SVG or PNG",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="project file")
    parser.add_argument(
        "--of", required=True, choices=tuple(CHARTS), dest="what", help="what the chart shows"
    )
    parser.add_argument(
        "-o", required=True, metavar="OUT", type=Path, dest="out", help="file to write: .pdf, .svg or .png"
    )
    parser.add_argument("--candidate", metavar="NAME", help="candidate to choose for this chart")
    parser.add_argument(
        "--size",
        metavar="WIDTHxHEIGHT",
        type=_size,
        default=(160.0, 110.0),
        help="size in millimetres, 160x110 without it",
    )
    add_units_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    project = open_project(options.file)
    if options.candidate == ALL:
        raise AmpturnError("--candidate of a chart must be one name: all candidates are drawn anyway")
    if options.candidate is not None:
        asked_candidates(project, options.candidate)  # refuses an unknown name
        project = msgspec.structs.replace(project, chosen=options.candidate)
    result = evaluated(options.file, project)
    refuse_bad_heat(options.file, result, result.candidates)
    write_chart(CHARTS[options.what], result, options.units, options.out, options.size)  # which loads Qt
    return EXIT_MET


def _size(text: str) -> tuple[float, float]:
    found = re.fullmatch(r"(\d{1,4}(?:\.\d+)?)\s*[x×]\s*(\d{1,4}(?:\.\d+)?)\s*(?:mm)?", text.strip())
    if found is None:
        raise argparse.ArgumentTypeError(f"must be WIDTHxHEIGHT in millimetres, as 160x110, got '{text}'")
    return float(found[1]), float(found[2])
