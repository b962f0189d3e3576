"""Options of `ampturn shortlist` beyond parts and workers: conditions, filters, special windings, ratios."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from app.command_evaluate import measured_trace
from app.terminal import open_project
from core.errors import AmpturnError
from core.project.project import Project
from core.units import Kind

if TYPE_CHECKING:
    from core.numeric import BoolArray
    from core.shortlist.filters import Filter
    from core.shortlist.listing import Listing
    from core.shortlist.runner import Task
    from core.shortlist.studies import Condition
    from core.trace_import import ImportedTrace

# What a window does not need to start is imported where it is used.


def add_study_options(parser: argparse.ArgumentParser) -> None:
    """Add conditions, filters and what may be free."""
    _add_conditions(parser)
    _add_filters(parser)
    parser.add_argument(
        "--special-winding",
        metavar="FROM..TO",
        help="seek turns for the best, with a torque constant (six-step) as '20..50 mN*m/A'",
    )
    parser.add_argument(
        "--free-ratio",
        metavar="FROM..TO",
        help="seek the ratio of transmissions that are not fitted to the motor, as belts",
    )


def _add_conditions(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--ambient",
        metavar="VALUE",
        action="append",
        default=[],
        help="evaluate at this ambient too, as '40 degC', or '25..60' for both ends and the middle; "
        "may be repeated, and the worst of all conditions counts",
    )
    parser.add_argument(
        "--lowest-voltage",
        metavar="VALUE",
        action="append",
        default=[],
        help="the same for the lowest supply voltage, as '21 V' or '18..24'",
    )
    parser.add_argument(
        "--mounting",
        metavar="WORDS",
        action="append",
        default=[],
        help="the same for mountings: 'data sheet', 'insulated', 'plate 80 mm x 3 mm', '4 K/W'",
    )
    parser.add_argument(
        "--duty",
        metavar="FILE",
        type=Path,
        nargs="+",
        default=[],
        help="further project files whose duty must be met too",
    )


def _add_filters(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--where",
        metavar="BOUND",
        action="append",
        default=[],
        help="list what keeps a bound, as 'mass < 0.4 kg' or 'margin >= 10 %%'; of margin, mass, length, "
        "volume, inertia, losses, current, outside; may be repeated",
    )
    parser.add_argument(
        "--reason",
        metavar="CRITERION",
        action="append",
        default=[],
        help="list what this criterion rules out or governs, by its code in the JSON; may be repeated",
    )
    parser.add_argument(
        "--pareto",
        metavar="OBJECTIVE,...",
        help="list only what none beats in all of these, as mass,losses, among those that meet all",
    )


def conditions_of(
    options: argparse.Namespace, project: Project
) -> list[tuple[Condition, ImportedTrace | None]]:
    """Return all conditions that are asked for, each with the trace of its duty."""
    from core.shortlist.studies import named_conditions
    from core.shortlist.typed import mounting_of, values_of

    units = options.units
    projects = [(options.file, project), *((path, open_project(path)) for path in options.duty)]
    voltages = [value for text in options.lowest_voltage for value in values_of(text, Kind.VOLTAGE, units)]
    if any(value <= 0.0 for value in voltages):
        raise AmpturnError(f"--lowest-voltage: must be above 0 V, got {min(voltages):g} V")
    found = named_conditions(
        [one.application for _, one in projects],
        ambients=[value for text in options.ambient for value in values_of(text, Kind.TEMPERATURE, units)],
        lowest_voltages=voltages,
        mountings=[mounting_of(text, units) for text in options.mounting],
    )
    traces = [measured_trace(path, one) for path, one in projects]
    each = len(found) // len(projects)
    return [(condition, traces[place // each]) for place, condition in enumerate(found)]


def filter_of(options: argparse.Namespace) -> Filter | None:
    """Return who is to be looked at; None where all are."""
    from core.shortlist.filters import Filter, bounds_of

    if not options.where and not options.reason:
        return None
    reasons = frozenset(options.reason) if options.reason else None
    return Filter(reasons=reasons, bounds=bounds_of(options.where, options.units))


def pareto_names(options: argparse.Namespace) -> tuple[str, ...]:
    """Return the objectives of the Pareto set, none where it is not asked for."""
    from core.shortlist.filters import objective_of

    if options.pareto is None:
        return ()
    names = tuple(objective_of(word.strip())[0] for word in options.pareto.split(","))
    if len(set(names)) < 2:
        raise AmpturnError(f"--pareto: needs two or more different objectives, got '{options.pareto}'")
    return names


def looked_at(
    asked: Filter | None, pareto: tuple[str, ...], listing: Listing, task: Task
) -> tuple[BoolArray | None, int | None]:
    """Return who is listed, None for all, and how many the filter lets pass, None without one."""
    import numpy as np

    from core.shortlist.chunk_result import MET
    from core.shortlist.filters import pareto_of

    among = None if asked is None else asked.passes(listing, task.choices)
    count = None if among is None else int(among.sum())
    if pareto:
        everybody = np.ones(len(listing), dtype=bool) if among is None else among
        among = pareto_of(listing, pareto, everybody & (listing.verdict == MET))
    return among, count
