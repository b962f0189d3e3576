"""The doubt about heat: a band around the most probable curve, cause by cause."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.project import edits
from core.project.project import Project
from core.results import CandidateResult, HeatBand
from tests.core.projects import project, segment

RUN = segment(2.0, 0.03, 200.0)


def band_of(result: CandidateResult) -> HeatBand:
    assert result.band is not None
    return result.band


@pytest.mark.parametrize("index", [0, 1])
def test_the_band_lies_around_the_curve_of_the_plane(index: int) -> None:
    result = evaluate(project(RUN)).candidates[index]
    band, curves = band_of(result), result.curves
    assert curves is not None
    assert curves.continuous is not None
    np.testing.assert_allclose(band.mid, np.interp(band.speed, curves.speed, curves.continuous), rtol=0.02)
    running = band.mid > 0.0
    assert (band.low[running] < band.mid[running]).all()
    assert (band.mid[running] < band.high[running]).all()
    assert band.winding is not None
    assert band.outside is not None
    by_role = {peak.role: peak.temp for peak in result.peaks}
    assert band.winding[1] == pytest.approx(by_role["winding"], abs=0.5)
    assert band.outside[1] == pytest.approx(by_role["outside"], abs=0.5)
    assert band.winding[0] < band.winding[1] < band.winding[2]


@pytest.mark.parametrize("index", [0, 1])
def test_low_and_high_are_the_root_of_the_sum_of_squares(index: int) -> None:
    band = band_of(evaluate(project(RUN)).candidates[index])
    assert len(band.sources) == len(band.shared) == len(band.effects)
    spread = band.mid * np.sqrt((band.effects**2).sum(axis=0))
    # each cause acts a little unevenly up and down: half the sum of both sides is what the effects hold
    np.testing.assert_allclose(0.5 * (band.high - band.low), spread, rtol=0.1)


def without_allowance(of: Project, allowance: float) -> Project:
    requirements = replace(of.application.requirements, hot_spot_allowance=allowance)
    return edits.change_application(of, requirements=requirements)


def test_the_hot_spot_takes_torque_whatever_else_is_known() -> None:
    allowed = [
        band_of(evaluate(without_allowance(project(RUN), kelvin)).candidates[0]) for kelvin in (0.0, 20.0)
    ]
    assert (allowed[0].mid[:5] > allowed[1].mid[:5]).all()
    assert allowed[0].sources[-1] == "hot spot of the winding"
    assert allowed[0].shared[-1]


def test_a_cycle_that_runs_away_has_a_band_of_torque_only() -> None:
    band = band_of(evaluate(project(segment(5.0, 0.9, 20.0))).candidates[0])
    assert band.winding is None
    assert band.outside is None
    assert (band.mid[:5] > 0.0).all()
