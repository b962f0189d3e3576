"""Charts of a comparison: the numbers of the result at the right place, told apart without colour."""

from __future__ import annotations

from dataclasses import replace as with_fields
from pathlib import Path

import numpy as np
import pytest

from core.charts.bar_charts import HATCHES, losses_chart, peaks_chart, spread
from core.charts.chart import Chart, Hatch, Series
from core.charts.comparison_charts import continuous_torque_chart, torque_ratio_chart
from core.charts.hatching import hatch_lines
from core.evaluate import evaluate
from core.evaluation.comparison import comparison
from core.evaluation.comparison_figures import LOSS_CAUSES
from core.project.application import Application, Site
from core.project.candidate import Candidate
from core.project.project import Project
from core.project.project_file import read_project
from core.project.transmission import Transmission
from core.results import Losses
from core.units import DisplayUnits, Kind
from tests.core.compared_results import LEVEL, RISING, SPEEDS, Given, result

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
UNITS = DisplayUnits()
SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])


def series(chart: Chart, name: str) -> Series:
    return next(one for one in chart.panels[0].series if one.id == name)


def notes(chart: Chart) -> list[str]:
    return [note.text.replace("\N{NO-BREAK SPACE}", " ") for note in chart.panels[0].notes]


# ---- losses ----


def test_losses_are_stacked_to_their_sum() -> None:
    of = result(Given(losses=Losses(4.0, 2.0, 0.5, 1.0, 0.5)), Given(losses=Losses(3.0, 2.0, 0.0, 1.5, 0.5)))
    panel = losses_chart(of, UNITS).panels[0]
    bars = {band.id: (float(band.low[0]), float(band.high[0])) for band in panel.bands}
    assert bars["0 copper"] == (0.0, 4.0)
    assert bars["0 core_and_bearing"] == (4.0, 6.0)
    assert bars["0 windage"] == (6.0, 6.5)
    assert bars["0 leads_and_switches"] == (6.5, 7.5)
    assert bars["0 idle"] == (7.5, 8.0)
    assert bars["1 idle"] == (6.5, 7.0)
    assert "1 windage" not in bars, "nothing is drawn of what is not there"
    assert panel.y_range()[0] == 0.0
    assert panel.y_range()[1] > 8.0


def test_causes_differ_by_hatching_and_words() -> None:
    chart = losses_chart(result(Given(), Given()), UNITS)
    assert set(HATCHES) == {code for code, _, _ in LOSS_CAUSES}
    assert len(set(HATCHES.values())) == len(HATCHES)
    for band in chart.panels[0].bands:
        assert band.hatch == HATCHES[band.id.split(" ")[1]]
    assert notes(chart)[:6] == [
        "copper 4.00",
        "core 2.00",
        "air 0.500",
        "leads 1.00",
        "idle 0.500",
        "A 8.00 W",
    ]
    assert chart.x.tick_words == ("A", "B")
    assert "A candidate 0 8.00 W" in chart.summary.replace("\N{NO-BREAK SPACE}", " ")


def test_words_of_thin_causes_do_not_touch() -> None:
    thin = Losses(0.2, 0.2, 0.2, 0.2, 8.0)
    chart = losses_chart(result(Given(losses=thin)), UNITS)
    panel = chart.panels[0]
    heights = [note.y for note in panel.notes if note.align == "left"]
    assert len(heights) == 5
    assert np.diff(heights).min() > 0.05 * panel.y_range()[1]


def test_spread_keeps_order_and_distance() -> None:
    assert spread([], 1.0, 10.0) == []
    assert spread([2.0, 4.0], 1.0, 10.0) == [2.0, 4.0]
    assert np.diff(spread([9.0, 9.1, 9.2], 1.0, 10.0)) == pytest.approx([1.0, 1.0])


def test_unknown_losses_are_said() -> None:
    chart = losses_chart(result(Given(losses=None), Given()), UNITS)
    assert "A: not known" in notes(chart)
    assert {band.id.split(" ")[0] for band in chart.panels[0].bands} == {"1"}


# ---- peak temperatures ----


def test_peaks_stand_on_the_ambient_below_their_limit() -> None:
    chart = peaks_chart(result(Given(winding_temp=100.0), Given(winding_temp=120.0)), UNITS)
    panel = chart.panels[0]
    bars = {band.id: (float(band.low[0]), float(band.high[0])) for band in panel.bands}
    assert bars == {"0 winding": (40.0, 100.0), "1 winding": (40.0, 120.0)}
    first, second = panel.bands
    assert first.x[1] < second.x[0], "bars stand beside each other"
    assert notes(chart) == ["A 100", "B 120"]
    (limit, ambient) = panel.rules
    assert (limit.y, limit.label) == (155.0, "winding limit 155")
    assert limit.start is not None
    assert limit.end is not None
    assert limit.start < first.x[0]
    assert second.x[1] < limit.end
    assert (ambient.y, ambient.label) == (40.0, "ambient 40 °C")
    assert chart.x.tick_words == ("winding", "magnets", "outside")


def test_each_limit_has_a_line_of_its_own_where_they_differ() -> None:
    of = result(Given(), Given())
    other = with_fields(of.candidates[1], peaks=(with_fields(of.candidates[1].peaks[0], limit=130.0),))
    chart = peaks_chart(with_fields(of, candidates=(of.candidates[0], other)), UNITS)
    rules = [(rule.y, rule.label) for rule in chart.panels[0].rules]
    assert (155.0, "A winding limit 155") in rules
    assert (130.0, "B winding limit 130") in rules


def test_band_of_a_peak_is_a_line_through_its_bar() -> None:
    of = result(Given(doubts={"a": 0.1}, winding_band=(90.0, 100.0, 115.0)), Given())
    chart = peaks_chart(of, UNITS)
    whisker = series(chart, "0 winding band")
    assert whisker.y.tolist() == [90.0, 115.0]
    bar = chart.panels[0].bands[0]
    assert bar.x[0] < whisker.x[0] < bar.x[1]
    assert next(note for note in chart.panels[0].notes if note.text == "A 100").y > 115.0
    assert not [one for one in chart.panels[0].series if one.id == "1 winding band"]


# ---- torque and its ratio ----


def test_ratio_chart_has_band_crossing_and_line_of_equality() -> None:
    of = result(Given(RISING, {"a": 0.06}), Given(LEVEL, {"b": 0.08}, kind="enclosed"))
    chart = torque_ratio_chart(of, 0, 1, UNITS)
    panel = chart.panels[0]
    assert series(chart, "ratio").y == pytest.approx(np.array(RISING) / 0.12)
    (band,) = panel.bands
    assert band.high == pytest.approx(1.1 * np.array(RISING) / 0.12)
    assert band.low == pytest.approx(np.array(RISING) / 0.12 / 1.1)
    (equal,) = panel.rules
    assert (equal.y, equal.label) == (1.0, "equal")
    (point,) = panel.points
    assert (point.x, point.y) == pytest.approx((200.0, 1.0))
    assert "1910" in point.label
    low, high = panel.y_range()
    assert low < band.low.min()
    assert band.high.max() < high
    assert notes(chart)[:2] == ["A has more", "B has more"]
    assert chart.summary == comparison(of, 0, 1).crossing.text(UNITS)


def test_ratio_chart_without_uncertainty_says_so() -> None:
    chart = torque_ratio_chart(result(Given(RISING), Given(LEVEL)), 0, 1, UNITS)
    assert chart.panels[0].bands == ()
    assert "no uncertainty known" in notes(chart)
    unknown = torque_ratio_chart(result(Given(None), Given(LEVEL)), 0, 1, UNITS)
    assert notes(unknown) == ["There is no continuous torque of both to compare."]


def test_torque_chart_shows_both_with_bands_and_the_speeds_of_the_cycle() -> None:
    of = result(Given(RISING, {"a": 0.06}), Given(LEVEL, kind="enclosed"))
    chart = continuous_torque_chart(of, 0, 1, UNITS)
    assert series(chart, "0 continuous").y == pytest.approx(RISING)
    assert series(chart, "1 continuous").y == pytest.approx(LEVEL)
    assert series(chart, "0 continuous").style != series(chart, "1 continuous").style
    (band,) = chart.panels[0].bands
    assert band.id == "0 band"
    assert band.low == pytest.approx(0.94 * np.array(RISING))
    assert band.high == pytest.approx(1.06 * np.array(RISING))
    assert series(chart, "mean speed").x == pytest.approx([150.0, 150.0])
    assert series(chart, "highest speed").x == pytest.approx([300.0, 300.0])
    assert chart.x_range() == (0.0, SPEEDS[-1])
    assert chart.panels[0].y_range()[1] >= 1.06 * RISING[-1]
    missing = continuous_torque_chart(result(Given(None), Given(LEVEL)), 0, 1, UNITS)
    assert notes(missing) == ["A: no continuous torque known"]


def test_charts_stand_at_the_load_behind_gears_that_differ() -> None:
    at_load = Application(title="load", duty_from="load", site=Site(ambient=40.0))
    geared = Given(fields={"transmission": Transmission(ratio=2.0)})
    of = result(geared, Given(), application=at_load)
    chart = continuous_torque_chart(of, 0, 1, UNITS)
    assert chart.x.label == "speed of the load"
    assert chart.panels[0].y.unit == UNITS.symbol(Kind.LOAD_TORQUE)
    assert series(chart, "0 continuous").y == pytest.approx(0.24)
    assert torque_ratio_chart(of, 0, 1, UNITS).x.label == "speed of the load"


@pytest.mark.parametrize("name", [path.stem for path in sorted(SAMPLES.glob("*.json"))])
def test_every_sample_has_all_charts(name: str) -> None:
    of = evaluate(read_project(SAMPLES / f"{name}.json"))
    units = UNITS.with_units({Kind.TORQUE: "oz*in", Kind.SPEED: "rad/s", Kind.TEMPERATURE: "°F"})
    for chart in (
        losses_chart(of, units),
        peaks_chart(of, units),
        torque_ratio_chart(of, 0, 1, units),
        continuous_torque_chart(of, 1, 0, units),
    ):
        low, high = chart.panels[0].y_range()
        assert low < high
        assert chart.summary.endswith(".")


def test_candidates_without_a_motor_have_charts_that_say_so() -> None:
    of = evaluate(Project(candidates=(Candidate(name="first"), Candidate(name="second"))))
    assert losses_chart(of, UNITS).summary == "Mean losses: none known."
    assert "no temperatures known" in notes(peaks_chart(of, UNITS))
    assert torque_ratio_chart(of, 0, 1, UNITS).panels[0].series == ()
    assert notes(continuous_torque_chart(of, 0, 1, UNITS)) == ["A and B: no continuous torque known"]
    nobody = evaluate(Project())
    assert losses_chart(nobody, UNITS).headline == "no candidates"
    assert peaks_chart(nobody, UNITS).panels[0].bands == ()


# ---- hatching ----


@pytest.mark.parametrize(
    ("hatch", "slope"), [("rising", -1.0), ("falling", 1.0), ("level", 0.0), ("dots", 0.0)]
)
def test_strokes_run_as_they_are_called(hatch: Hatch, slope: float) -> None:
    """On the page y grows downwards, so a stroke that rises for the reader has a slope below zero."""
    strokes = hatch_lines(SQUARE, hatch)
    assert strokes
    for (x0, y0), (x1, y1) in strokes:
        assert y1 - y0 == pytest.approx(slope * (x1 - x0), abs=1e-9)
        assert min(x0, y0, x1, y1) >= -1e-9
        assert max(x0, y0, x1, y1) <= 10.0 + 1e-9


def test_strokes_cover_the_area_evenly() -> None:
    # lines a step apart: their length times the step is the area, but for the borders
    length = sum(float(np.hypot(*(end - start))) for start, end in hatch_lines(SQUARE, "rising", 0.1))
    assert length * 0.1 == pytest.approx(100.0, rel=0.02)
    assert hatch_lines(SQUARE, "plain") == []
    assert hatch_lines(SQUARE[:2], "level") == []


def test_strokes_leave_out_what_is_not_inside() -> None:
    """A U of two towers, 4 wide each: a level line above its floor has two strokes."""
    towers = np.array([[0, 0], [4, 0], [4, 8], [6, 8], [6, 0], [10, 0], [10, 10], [0, 10]], dtype=float)
    strokes = [(float(a[0]), float(b[0])) for a, b in hatch_lines(towers, "level", 2.5)]
    assert strokes == [(0.0, 4.0), (6.0, 10.0)] * 3
