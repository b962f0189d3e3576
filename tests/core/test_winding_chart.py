"""The chart of all windings: one named line each, the chosen one marked, the points of the cycle on it."""

from __future__ import annotations

import numpy as np

from core.charts.winding_chart import label_of, winding_chart
from core.evaluate import evaluate
from core.units import DisplayUnits
from tests.core.projects import candidate, project, segment

DUTY = (segment(4.0, 0.05, 150.0), segment(4.0, 0.02, 250.0), segment(2.0, -0.03, 100.0))


def test_every_winding_has_a_line_with_its_name_and_the_chosen_one_is_heavy() -> None:
    result = evaluate(project(*DUTY, candidates=(candidate(),))).candidates[0]
    study = result.winding_study
    assert study is not None
    chart = winding_chart(result, study, DisplayUnits())
    lines = chart.panels[0].series
    assert [line.label for line in lines] == [label_of(fit, study) for fit in study.windings]
    heavy = [line for line in lines if line.style.width == "heavy"]
    assert len(heavy) == 1
    assert "chosen" in heavy[0].label
    top = chart.panels[0].y_range()[1]
    for line, fit in zip(lines, study.windings, strict=True):
        drawn = np.isfinite(line.y)
        np.testing.assert_array_equal(line.y[drawn], fit.torque[drawn])
        assert not drawn[fit.torque > top].any()
        assert line.label_x is not None


def test_the_points_are_those_that_drive() -> None:
    result = evaluate(project(*DUTY, candidates=(candidate(),))).candidates[0]
    study = result.winding_study
    assert study is not None
    points = winding_chart(result, study, DisplayUnits()).panels[0].points
    assert [point.text for point in points] == ["1", "2"]
    assert (points[0].x, points[1].x) == (150.0, 250.0)


def test_the_summary_says_which_winding_the_electronics_carry() -> None:
    result = evaluate(project(*DUTY, candidates=(candidate(),))).candidates[0]
    study = result.winding_study
    assert study is not None
    summary = winding_chart(result, study, DisplayUnits()).summary
    assert study.fastest is not None
    assert study.fastest in summary
    assert "fastest whose current the electronics carry" in summary


def test_the_band_of_the_chosen_and_of_the_pointed_winding_is_their_tolerance() -> None:
    result = evaluate(project(*DUTY, candidates=(candidate(),))).candidates[0]
    study = result.winding_study
    assert study is not None
    other = next(fit for fit in study.windings if not fit.chosen)
    panel = winding_chart(result, study, DisplayUnits(), pointed=other.name).panels[0]
    assert {band.id for band in panel.bands} == {f"tolerance {study.chosen.name}", f"tolerance {other.name}"}
    top = panel.y_range()[1]
    for band in panel.bands:
        fit = next(one for one in study.windings if band.id == f"tolerance {one.name}")
        inside = np.isfinite(fit.least_torque) & (fit.most_torque < top)
        np.testing.assert_array_equal(band.low[inside], fit.least_torque[inside])
        np.testing.assert_array_equal(band.high[inside], fit.most_torque[inside])
        # where a part of the tolerance does not reach the speed, the band goes down to nothing
        assert (band.low[np.isnan(fit.least_torque) & np.isfinite(fit.most_torque)] == 0.0).all()


def test_another_number_of_turns_is_a_line_of_its_own() -> None:
    result = evaluate(project(*DUTY, candidates=(candidate(),))).candidates[0]
    study = result.winding_study
    assert study is not None
    fit = study.at_turns(0.8)
    line = winding_chart(result, study, DisplayUnits(), rewound=fit).panels[0].series[-1]
    assert line.label == "0.80 times the turns"
    drawn = np.isfinite(line.y)
    np.testing.assert_array_equal(line.y[drawn], fit.torque[drawn])
