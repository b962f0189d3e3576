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
ChosenName = Literal["load", "ratio study", "windings", "supply voltage", "shaft", "heat flow"]
BesideName = Literal["peak temperatures", "mean losses", "continuous torque", "ratio of continuous torques"]
ExportName = ChartName | ChosenName | BesideName | Literal["difference table"]
Pair = tuple[int, int]

CHARTS: Final[tuple[ChartName, ...]] = ("speed–torque plane", "cycle", "temperatures")
CHOSEN_CHARTS: Final[tuple[ChosenName, ...]] = (
    "load", "ratio study", "windings", "supply voltage", "shaft", "heat flow",
)  # fmt: skip
SIDE_CHARTS: Final[tuple[BesideName, ...]] = (
    "peak temperatures",
    "mean losses",
    "continuous torque",
    "ratio of continuous torques",
)
_NEEDS: Final = {
    "load": "it needs a load and its motion",
    "ratio study": "it needs a chosen candidate and a duty from a load",
    "windings": "it needs a chosen candidate with a duty and a supply voltage",
    "supply voltage": "it needs a chosen candidate with a duty and a supply voltage",
    "shaft": "it needs a chosen candidate with bearing data, a force on the shaft and a duty that turns",
    "heat flow": "it needs a chosen candidate whose temperatures repeat from cycle to cycle",
}
HEAT_FLOW: Final = "heat flow"
TABLE: Final = "difference table"
CHART_FILES: Final = "PDF (*.pdf);;SVG (*.svg);;PNG (*.png)"
TABLE_FILES: Final = "CSV (*.csv)"


def chart_of(
    name: ChartName | ChosenName | BesideName, result: Result, units: DisplayUnits, pair: Pair = (0, 1)
) -> Chart:
    """Return a chart of a result; `pair` are the two candidates that are compared."""
    if name in CHOSEN_CHARTS:
        return _of_chosen(name, result, units)
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


def _of_chosen(name: str, result: Result, units: DisplayUnits) -> Chart:
    """Return a chart of the load or of the chosen candidate; refuse one that there is nothing to draw in."""
    from core.charts import load_chart, shaft_chart, supply_lane, winding_chart  # no start needs them

    chosen, chart = result.chosen_candidate, None
    if name == "load" and result.load is not None:
        chart = load_chart.load_chart(result.load, units)
    elif chosen is not None and name == "ratio study":
        chart = _ratio_chart(result, chosen.index, units)
    elif chosen is not None and name == "windings" and chosen.winding_study is not None:
        chart = winding_chart.winding_chart(chosen, chosen.winding_study, units)
    elif chosen is not None and name == "supply voltage":
        chart = supply_lane.supply_chart(result, chosen, units)
    elif chosen is not None and name == "shaft" and chosen.shaft_load is not None:
        chart = shaft_chart.shaft_chart(chosen, chosen.shaft_load, units)
    if chart is None:
        raise AmpturnError(f"there is no chart of the {name}: {_NEEDS[name]}")
    return chart


def _ratio_chart(result: Result, index: int, units: DisplayUnits) -> Chart | None:
    from core.charts.ratio_chart import ratio_chart
    from core.evaluation.studies import ratio_study

    if result.project.application.duty_from != "load":
        return None
    study = ratio_study(result.project, index)
    return None if study is None else ratio_chart(result, index, study, units)


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
    target = path if path.suffix else path.with_suffix(".pdf")
    write_chart(name, result, units, target, pair=pair)
    return target


def write_chart(
    name: ChartName | ChosenName | BesideName,
    result: Result,
    units: DisplayUnits,
    path: Path,
    size_mm: tuple[float, float] = (160.0, 110.0),
    pair: Pair = (0, 1),
) -> None:
    """Write a chart, or the heat network of the chosen candidate, in the format of the file's ending."""
    from app.chart_export import export_chart, export_painting  # loads QtSvg, which no start needs

    if name != HEAT_FLOW:
        export_chart(chart_of(name, result, units, pair), path, size_mm)
        return
    from app.heat_painter import heat_painting

    chosen = result.chosen_candidate
    if chosen is None or chosen.flows is None:
        raise AmpturnError(f"there is no chart of the {name}: {_NEEDS[name]}")
    export_painting(heat_painting(result, chosen, chosen.flows, units), path, size_mm)


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
