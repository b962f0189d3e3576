"""Write one of the charts to a file, drawn in millimetres and always light."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal

from core.charts.chart import Chart
from core.charts.cycle_chart import cycle_chart
from core.charts.speed_torque_chart import speed_torque_chart
from core.charts.temperature_chart import temperature_chart
from core.results import Result
from core.units import DisplayUnits

ChartName = Literal["speed–torque plane", "cycle", "temperatures"]
CHARTS: Final[tuple[ChartName, ...]] = ("speed–torque plane", "cycle", "temperatures")
CHART_FILES: Final = "PDF (*.pdf);;SVG (*.svg);;PNG (*.png)"
_FILE_WORDS: Final = {
    "speed–torque plane": "speed-torque",
    "cycle": "cycle",
    "temperatures": "temperatures",
}


def chart_of(name: ChartName, result: Result, units: DisplayUnits) -> Chart:
    """Return a chart of a result."""
    if name == "speed–torque plane":
        return speed_torque_chart(result, units)
    return cycle_chart(result, units) if name == "cycle" else temperature_chart(result, units)


def proposed_name(name: ChartName, title: str) -> str:
    """Return a file name for a chart.

    Examples
    --------
    >>> proposed_name("cycle", "Sample carousel, 2/3")
    'Sample_carousel_2_3_cycle.pdf'
    """
    words = "".join(letter if letter.isalnum() else " " for letter in title).split()
    return "_".join([*words[:8], _FILE_WORDS[name]]) + ".pdf"


def export(name: ChartName, result: Result, units: DisplayUnits, path: Path) -> Path:
    """Write a chart and return where; without an ending the file becomes a PDF."""
    from app.chart_export import export_chart  # loads QtSvg, which no start needs

    target = path if path.suffix else path.with_suffix(".pdf")
    export_chart(chart_of(name, result, units), target)
    return target
