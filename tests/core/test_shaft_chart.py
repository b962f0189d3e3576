"""The chart of the shaft, and the lane of the supply as a chart of its own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.charts.shaft_chart import hours, shaft_chart, shaft_facts
from core.charts.supply_lane import supply_chart
from core.evaluate import evaluate
from core.project.project_file import read_project
from core.results import CandidateResult, Result
from core.shaft_results import ShaftLoad
from core.units import DisplayUnits, Kind

UNITS = DisplayUnits()
SAMPLE = Path(__file__).resolve().parents[2] / "sample_projects" / "sample_carousel.json"
# a lever: 20 N at 10 mm in front of the front bearing, bearings 20 mm apart, so 30 N and 10 N
LEVER = ShaftLoad(
    radial=20.0,
    axial=0.0,
    distance=0.010,
    front_reaction=30.0,
    rear_reaction=10.0,
    front_life=12_340.0,
    rear_life=float("inf"),
    wanted_life=10_000.0,
    distances=np.linspace(0.0, 0.020, 5),
    allowed=np.linspace(50.0, 10.0, 5),
    allowed_here=30.0,
)


@pytest.fixture(scope="module")
def result() -> Result:
    return evaluate(read_project(SAMPLE))


@pytest.fixture
def chosen(result: Result) -> CandidateResult:
    assert result.chosen_candidate is not None
    return result.chosen_candidate


def test_the_force_stands_under_what_is_allowed(chosen: CandidateResult) -> None:
    chart = shaft_chart(chosen, LEVER, UNITS)
    (panel,) = chart.panels
    (line,), (point,) = panel.series, panel.points
    np.testing.assert_array_equal(line.y, LEVER.allowed)
    assert line.label == "allowed for 10000 h"
    assert (point.x, point.y) == (0.010, 20.0)
    assert panel.y_range()[1] > 50.0
    assert "12300 h of 10000 h that are wanted" in chart.summary


def test_without_a_wanted_life_there_is_the_force_alone(chosen: CandidateResult) -> None:
    load = replace(LEVER, wanted_life=None, allowed=None, allowed_here=None)
    chart = shaft_chart(chosen, load, UNITS)
    assert chart.panels[0].series == ()
    assert "no life is wanted" in dict(shaft_facts(load, UNITS))["Allowed"]


def test_the_facts_are_reactions_and_lives_in_hours() -> None:
    facts = {name: words.replace("\N{NO-BREAK SPACE}", " ") for name, words in shaft_facts(LEVER, UNITS)}
    assert facts["Front bearing"] == "carries 30.0 N, lasts 12300 h"
    assert facts["Rear bearing"] == "carries 10.0 N, lasts without end"
    assert facts["Allowed"].startswith("30.0 N radial there for 10000 h")
    assert hours(0.5) == "0.500 h"


def test_the_supply_chart_has_the_courses_of_the_detail(result: Result, chosen: CandidateResult) -> None:
    chart, detail = supply_chart(result, chosen, UNITS), chosen.supply_detail
    assert chart is not None
    assert detail is not None
    assert detail.at_highest is not None
    curve = next(one for one in chart.panels[0].series if "highest" in one.id)
    np.testing.assert_array_equal(curve.y, detail.at_highest.voltage)
    assert len(chart.panels[0].spans) == len(result.duty.edges) - 1
    highest = UNITS.format_quantity(float(np.nanmax(detail.at_highest.voltage)), Kind.VOLTAGE)
    assert highest in chart.summary
