"""What the shaft end may carry over the distance from the mounting face, and what it carries."""

from __future__ import annotations

import math

from core.charts.chart import Axis, Chart, Note, Panel, Point, Series
from core.charts.display_axis import candidate_style, display_axis, letter
from core.results import CandidateResult
from core.shaft_results import ShaftLoad
from core.units import DisplayUnits, Kind, format_number

TITLE = "Shaft"
CONVENTION = (
    "L10 by ISO 281: nine of ten such bearings reach it, clean and well lubricated. The forces are taken as "
    "the same over the whole cycle, standstill included, so each turn counts the same."
)
_AIR = 1.25  # above the largest force that is drawn
_MOST = 4.0  # times the force that is there: an allowed force beyond that is cut


def shaft_chart(candidate: CandidateResult, load: ShaftLoad, units: DisplayUnits) -> Chart:
    """Return the allowed radial force for the wanted life over the distance, and the force that is there."""
    style = candidate_style(candidate.index, width="heavy")
    series: tuple[Series, ...] = ()
    top = max(load.radial, 1e-9)
    if load.allowed is not None and load.wanted_life is not None:
        words = f"allowed for {hours(load.wanted_life)}"
        series = (Series("allowed", load.distances, load.allowed, style, words),)
        top = min(float(load.allowed.max()), _MOST * top) if load.radial > 0.0 else float(load.allowed.max())
        top = max(top, load.radial, 1e-9)
    panel = Panel(
        y=display_axis("radial force", Kind.FORCE, units, (0.0, _AIR * top)),
        series=series,
        points=(Point("force", load.distance, load.radial, "diamond", label="force on the shaft"),),
    )
    x = display_axis("distance", Kind.LENGTH, units, (0.0, float(load.distances[-1])))
    headline = f"{letter(candidate.index)} {candidate.name}, distance from the mounting face"
    return Chart(TITLE, headline, x, (panel,), _summary(load, units))


def empty_shaft_chart(words: str) -> Chart:
    """Return a chart that only says why there is none."""
    lane = Panel(y=Axis("", range=(0.0, 1.0), ticks=()), notes=(Note(words, 0.02, 0.5),))
    return Chart(TITLE, "", Axis("", range=(0.0, 1.0), ticks=()), (lane,), words)


def shaft_facts(load: ShaftLoad, units: DisplayUnits) -> tuple[tuple[str, str], ...]:
    """Return the facts about the shaft, a label and a value each."""

    def force(value: float) -> str:
        return units.format_quantity(value, Kind.FORCE)

    at = units.format_quantity(load.distance, Kind.LENGTH)
    here = f"{force(load.radial)} radial, {at} from the mounting face"
    axial = f", {force(load.axial)} axial" if load.axial else ""
    allowed = "no life is wanted, so none is allowed or forbidden"
    if load.allowed_here is not None and load.wanted_life is not None:
        allowed = f"{force(load.allowed_here)} radial there for {hours(load.wanted_life)}"
    return (
        ("Force", here + axial),
        ("Allowed", allowed),
        ("Front bearing", f"carries {force(load.front_reaction)}, lasts {hours(load.front_life)}"),
        ("Rear bearing", f"carries {force(load.rear_reaction)}, lasts {hours(load.rear_life)}"),
    )


def hours(life: float) -> str:
    """Return a life in hours.

    >>> hours(58132.1), hours(math.inf)
    ('58100 h', 'without end')
    """
    return "without end" if math.isinf(life) else f"{format_number(life, 3)} h"


def _summary(load: ShaftLoad, units: DisplayUnits) -> str:
    force = units.format_quantity(load.radial, Kind.FORCE)
    shorter = min(load.front_life, load.rear_life)
    wanted = "" if load.wanted_life is None else f" of {hours(load.wanted_life)} that are wanted"
    return f"With {force} on the shaft the bearings last {hours(shorter)}{wanted}."
