"""`ampturn chart FILE --of WHAT -o OUT`: a chart of a project as PDF, SVG or PNG, true to millimetres."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import msgspec

from app.command_evaluate import ALL, asked_candidates, evaluated, refuse_bad_heat
from app.terminal import EXIT_MET, Commands, add_units_option, open_project
from core.charts.chart import Chart
from core.charts.cycle_chart import cycle_chart
from core.charts.speed_torque_chart import speed_torque_chart
from core.charts.temperature_chart import temperature_chart
from core.errors import AmpturnError
from core.results import Result
from core.units import DisplayUnits

CHARTS = ("speed-torque", "cycle", "temperature")
DESCRIPTION = """\
Write a chart of all candidates, with the load points of the chosen one: the speed-torque plane, one
repeating cycle, or the temperatures from cold. The ending of OUT decides the format."""


def add_to(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "chart",
        help="write a chart of a project as PDF, SVG or PNG",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="project file")
    parser.add_argument("--of", required=True, choices=CHARTS, dest="what", help="what the chart shows")
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
    chart = _chart(options.what, result, options.units)
    from app.chart_export import export_chart  # Qt is loaded here and not before

    export_chart(chart, options.out, options.size)
    return EXIT_MET


def _chart(what: str, result: Result, units: DisplayUnits) -> Chart:
    if what == "speed-torque":
        return speed_torque_chart(result, units)
    return cycle_chart(result, units) if what == "cycle" else temperature_chart(result, units)


def _size(text: str) -> tuple[float, float]:
    found = re.fullmatch(r"(\d{1,4}(?:\.\d+)?)\s*[x×]\s*(\d{1,4}(?:\.\d+)?)\s*(?:mm)?", text.strip())
    if found is None:
        raise argparse.ArgumentTypeError(f"must be WIDTHxHEIGHT in millimetres, as 160x110, got '{text}'")
    return float(found[1]), float(found[2])
