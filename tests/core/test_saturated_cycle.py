"""A cycle beyond the linear range: what its current is over the cycle, and where its torque ends.

The law is written out once more: 1.5 A end the linear range, 6 A make 5/8 of the torque of a linear winding,
so that a current of 1.5 A and x makes k (1.5 + x / (1 + x/4.5)), and no current more than 6 k.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from scipy.optimize import brentq

from core.evaluate import evaluate
from core.evaluation.motor_model import MotorModel, motor_of
from core.physics.drag import drag_torque
from core.project.candidate import Candidate
from core.project.project import Project
from core.results import CandidateResult
from core.sentences import as_text
from core.units import DisplayUnits
from tests.core.projects import project, segment
from tests.core.test_lasting_torque import bent

TORQUE, SPEED = 0.12, 50.0


def strong() -> Candidate:
    base = bent()
    return replace(base, drive=replace(base.drive, continuous_current=8.0, peak_current=30.0))


def evaluated(whole: Project) -> tuple[CandidateResult, MotorModel]:
    motor = motor_of(whole.application, whole.candidates[0])
    assert motor is not None
    return evaluate(whole).candidates[0], motor


def current(torque: float, constant: float) -> float:
    def excess(amps: float) -> float:
        x = max(amps - 1.5, 0.0)
        return constant * (min(amps, 1.5) + x / (1.0 + x / 4.5)) - torque

    return float(brentq(excess, 0.0, 1e4))


def test_continuous_current_counts_what_saturation_takes() -> None:
    whole = project(segment(1.0, TORQUE, SPEED), segment(9.0, 0.0, SPEED), candidates=(strong(),))
    result, motor = evaluated(whole)
    drag = float(drag_torque(motor.drag, SPEED))
    flux = 1.0 + motor.constants.magnet_temp_coefficient * (
        motor.hot_magnet_temp - motor.constants.magnet_ref_temp
    )
    constant = motor.torque_constant * flux
    high, low = current(TORQUE + drag, constant), current(drag, constant)
    assert high > 1.5 * TORQUE / constant  # far beyond the linear range
    margin = result.margin("continuous_current")
    assert margin is not None
    assert margin.demand == pytest.approx((0.1 * high**2 + 0.9 * low**2) ** 0.5, rel=1e-6)
    assert result.supply_detail is not None
    assert result.supply_detail.currents.motor_rms == pytest.approx(margin.demand, rel=1e-9)


def test_reserve_of_a_short_burst_ends_where_no_current_makes_the_torque() -> None:
    whole = project(segment(0.02, TORQUE, SPEED), segment(20.0, 0.0, SPEED), candidates=(strong(),))
    result, motor = evaluated(whole)
    drag = float(drag_torque(motor.drag, SPEED))
    magnets = next(peak for peak in result.peaks if peak.role == "magnets")

    def at(temp: float) -> float:
        """Return the factor on the torque at which the current grows without end, at a magnet temperature."""
        c = motor.constants
        flux = 1.0 + c.magnet_temp_coefficient * (temp - c.magnet_ref_temp)
        return (6.0 * motor.torque_constant * flux - drag) / TORQUE

    assert result.torque_reserve is not None
    # magnets as warm as in the cycle or warmer, within their limit
    assert at(motor.hot_magnet_temp) < result.torque_reserve < at(magnets.temp)
    assert at(magnets.temp) < 1.1 * at(motor.hot_magnet_temp)
    margin = result.margin("torque_reserve")
    assert margin is not None
    assert "no current makes more torque" in as_text(margin.equation, DisplayUnits())
