"""Candidates in charts of their own: the same axes, each with what is its own; the table as text."""

from __future__ import annotations

import csv
import io
import itertools
from pathlib import Path

import pytest

from core.charts.chart import Chart
from core.charts.side_charts import alone, losses_charts, peaks_charts, plane_charts
from core.comparison_text import as_csv, comparison_cells, tabbed
from core.evaluate import evaluate
from core.evaluation.comparison import comparison_table
from core.project.edits import choose_candidate
from core.project.project_file import read_project
from core.results import Losses
from core.units import DisplayUnits
from tests.core.compared_results import LEVEL, RISING, Given, result

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_projects").glob("*.json"))
UNITS = DisplayUnits()


def axes(chart: Chart) -> tuple[tuple[float, float], tuple[float, float]]:
    return chart.x_range(), chart.panels[0].y_range()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_all_columns_of_every_sample_have_the_same_axes(path: Path) -> None:
    project = read_project(path)
    for chosen in range(len(project.candidates)):
        of = evaluate(choose_candidate(project, chosen))
        for charts in (plane_charts(of, UNITS), peaks_charts(of, UNITS), losses_charts(of, UNITS)):
            assert len(charts) == len(of.candidates)
            assert len({axes(chart) for chart in charts}) == 1


def test_each_plane_shows_its_own_candidate_with_its_own_points() -> None:
    of = result(Given(RISING), Given(LEVEL), Given(LEVEL))
    charts = plane_charts(of, UNITS, selected=1)
    for index, chart in enumerate(charts):
        panel = chart.panels[0]
        names = {one.id for one in panel.series}
        assert f"{index} continuous" in names
        assert not any(f"{other} continuous" in names for other in range(3) if other != index)
        assert [point.selected for point in panel.points] == [False, True]
        assert panel.bands[0].style.candidate == index


def test_bars_keep_height_and_place_of_words_on_the_common_axis() -> None:
    of = result(
        Given(losses=Losses(40.0, 2.0, 2.0, 2.0, 2.0)), Given(losses=Losses(1.0, 0.75, 0.75, 0.75, 0.75))
    )
    _, small = losses_charts(of, UNITS)
    top = small.panels[0].y_range()[1]
    assert top > 48.0
    bars = {band.id: float(band.high[0]) for band in small.panels[0].bands}
    assert bars["1 idle"] == 4.0
    heights = sorted(note.y for note in small.panels[0].notes if not note.text.startswith("B "))
    assert len(heights) == 5
    assert all(above - below >= 0.0899 * top for below, above in itertools.pairwise(heights))


def test_peaks_have_the_limits_and_the_band_of_their_own_candidate() -> None:
    of = result(
        Given(RISING, {"a": 0.1}, winding_temp=90.0, winding_band=(80.0, 90.0, 101.0)),
        Given(LEVEL, {"a": 0.1}, winding_temp=140.0, winding_band=(120.0, 140.0, 162.0)),
    )
    for index, (chart, band) in enumerate(
        zip(peaks_charts(of, UNITS), ((80.0, 101.0), (120.0, 162.0)), strict=True)
    ):
        panel = chart.panels[0]
        whiskers = [one for one in panel.series if one.id.endswith("winding band")]
        assert [tuple(one.y) for one in whiskers] == [band]
        assert whiskers[0].id == f"{index} winding band"
        assert panel.y_range()[1] > 162.0


def test_one_alone_keeps_its_letter_and_its_project() -> None:
    of = result(Given(), Given(LEVEL))
    one = alone(of, 1)
    assert one.chosen_candidate is of.candidates[1]
    assert one.chosen_candidate.index == 1
    assert one.project is of.project


def test_the_table_as_text_has_numbers_and_units_in_cells_of_their_own() -> None:
    of = result(
        Given(losses=Losses(4.0, 2.0, 0.5, 1.0, 0.5)), Given(losses=None, margin=-0.2, status="missed")
    )
    cells = comparison_cells(comparison_table(of), ["one", 'two, "quoted"'], UNITS)
    assert cells[0] == ("group", "quantity", "unit", "A one", 'B two, "quoted"', "better", "note")
    rows = {row[1]: row for row in cells}
    assert rows["Loss, all causes"][2:6] == ("W", "8.00", "not known", "")
    # margins of 0.3 and -0.2 against a target of 0.1: in per cent, with the minus that spreadsheets read
    assert rows["Margin above its target"][2:6] == ("%", "20.0", "-30.0", "A")
    assert list(csv.reader(io.StringIO(as_csv(cells)))) == [list(row) for row in cells]
    lines = tabbed(cells).split("\n")
    assert [len(line.split("\t")) for line in lines] == [7] * len(cells)
