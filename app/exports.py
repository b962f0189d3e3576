"""Write a chart to a file, drawn in millimetres and always light, or the difference table as CSV."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal

from core.charts.chart import Chart
from core.charts.cycle_chart import cycle_chart
from core.charts.speed_torque_chart import speed_torque_chart
from core.charts.temperature_chart import temperature_chart
from core.errors import AmpturnError
from core.project.saved_file import write_bytes
from core.results import Result
from core.units import DisplayUnits

ChartName = Literal["speed–torque plane", "cycle", "temperatures"]
BesideName = Literal["peak temperatures", "mean losses", "continuous torque", "ratio of continuous torques"]
ExportName = ChartName | BesideName | Literal["difference table"]
Pair = tuple[int, int]

CHARTS: Final[tuple[ChartName, ...]] = ("speed–torque plane", "cycle", "temperatures")
SIDE_CHARTS: Final[tuple[BesideName, ...]] = (
    "peak temperatures",
    "mean losses",
    "continuous torque",
    "ratio of continuous torques",
)
TABLE: Final = "difference table"
CHART_FILES: Final = "PDF (*.pdf);;SVG (*.svg);;PNG (*.png)"
TABLE_FILES: Final = "CSV (*.csv)"


def chart_of(name: ChartName | BesideName, result: Result, units: DisplayUnits, pair: Pair = (0, 1)) -> Chart:
    """Return a chart of a result; `pair` are the two candidates that are compared."""
    if name == "speed–torque plane":
        return speed_torque_chart(result, units)
    if name == "cycle":
        return cycle_chart(result, units)
    if name == "temperatures":
        return temperature_chart(result, units)
    from core.charts import bar_charts, comparison_charts  # no start needs them

    if name == "peak temperatures":
        return bar_charts.peaks_chart(result, units)
    if name == "mean losses":
        return bar_charts.losses_chart(result, units)
    _require_two(result)
    if name == "continuous torque":
        return comparison_charts.continuous_torque_chart(result, *pair, units)
    return comparison_charts.torque_ratio_chart(result, *pair, units)


def files_of(name: ExportName) -> str:
    """Return which files something is written to, in the words of a file dialog."""
    return TABLE_FILES if name == TABLE else CHART_FILES


def proposed_name(name: ExportName, title: str) -> str:
    """Return a file name for a chart or the table.

    Examples
    --------
    >>> proposed_name("cycle", "Sample carousel, 2/3"), proposed_name("difference table", "Winch")
    ('Sample_carousel_2_3_cycle.pdf', 'Winch_difference-table.csv')
    """
    words = "".join(letter if letter.isalnum() else " " for letter in title).split()
    what = "speed-torque" if name == "speed–torque plane" else name.replace(" ", "-")
    return "_".join([*words[:8], what]) + (".csv" if name == TABLE else ".pdf")


def export(name: ExportName, result: Result, units: DisplayUnits, path: Path, pair: Pair = (0, 1)) -> Path:
    """Write a chart or the table and return where; without an ending the file becomes a PDF or CSV."""
    if name == TABLE:
        target = path if path.suffix else path.with_suffix(".csv")
        _write_table(result, units, target, pair)
        return target
    from app.chart_export import export_chart  # loads QtSvg, which no start needs

    target = path if path.suffix else path.with_suffix(".pdf")
    export_chart(chart_of(name, result, units, pair), target)
    return target


def _write_table(result: Result, units: DisplayUnits, target: Path, pair: Pair) -> None:
    from core.comparison_text import as_csv, comparison_cells
    from core.evaluation.comparison import comparison_table

    _require_two(result)
    names = [result.candidates[index].name for index in pair]
    text = as_csv(comparison_cells(comparison_table(result, pair), names, units))
    content = text.encode("utf-8-sig")  # with the mark by which spreadsheets know the encoding
    write_bytes(target, content, lambda read: read == content)


def _require_two(result: Result) -> None:
    if len(result.candidates) < 2:
        raise AmpturnError("there are no two candidates to compare")
