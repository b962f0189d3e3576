"""Saturation and demagnetisation in the limits of a candidate, by hand from the hyperbola of its point."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.curves import peak_torque
from core.evaluation.motor_model import MotorModel, motor_of
from core.project.candidate import Candidate
from core.results import CandidateResult
from tests.core.projects import candidate, project, segment

HOT = 1.0 - 0.0011 * (120.0 - 25.0)  # flux of the demo magnets at their limit


def with_winding(**fields: object) -> Candidate:
    chosen = candidate(commutation="six-step")
    assert chosen.motor is not None
    assert chosen.chosen_winding is not None
    winding = replace(chosen.chosen_winding, **fields)
    return replace(chosen, motor=replace(chosen.motor, windings=(winding,)))


def saturated() -> Candidate:
    """Linear to 5 A; 10 A make 1.5 times the torque of 5 A: the bend is 1 and the end twice that torque."""
    kt = model(candidate(commutation="six-step")).torque_constant
    return with_winding(
        linear_current=5.0, saturated_current=10.0, saturated_torque=kt * 7.5, peak_current=10.0
    )


def linear() -> Candidate:
    return with_winding(linear_current=None, saturated_current=None, saturated_torque=None, peak_current=10.0)


def model(chosen: Candidate) -> MotorModel:
    found = motor_of(project(segment(1.0, 0.0, 0.0)).application, chosen)
    assert found is not None
    return found


def result(chosen: Candidate, torque: float) -> CandidateResult:
    return evaluate(project(segment(1.0, torque, 50.0), candidates=(chosen,))).candidates[0]


def codes(of: CandidateResult) -> set[str]:
    return {finding.code for finding in of.findings}


def test_peak_torque_bends_with_the_saturation() -> None:
    motor = model(saturated())
    torque, _ = peak_torque(motor)
    assert torque == pytest.approx(7.5 * motor.torque_constant * HOT, rel=1e-9)
    straight, _ = peak_torque(model(linear()))
    assert straight == pytest.approx(10.0 * motor.torque_constant * HOT, rel=1e-9)
    margins = [result(chosen, 0.1).margin("peak_torque") for chosen in (saturated(), linear())]
    limits = [margin.limit for margin in margins if margin is not None and margin.limit is not None]
    assert limits[1] - limits[0] == pytest.approx(2.5 * motor.torque_constant * HOT, rel=1e-9)


def test_a_torque_beyond_the_linear_range_takes_more_current_and_says_what_that_costs() -> None:
    """1.5 times the linear torque takes 10 A instead of 7.5 A: copper loss 16/9 of the linear machine."""
    motor = model(saturated())
    drag = 7.5 * motor.torque_constant * HOT - peak_delivered(saturated())
    found = result(saturated(), 7.5 * motor.torque_constant * HOT - drag)
    margin = found.margin("peak_current")
    assert margin is not None
    assert margin.demand == pytest.approx(10.0, rel=1e-6)
    told = next(one for one in found.findings if one.code == "torque_beyond_linear_range")
    assert told.values["copper_loss_factor"] == pytest.approx(16.0 / 9.0, rel=1e-6)
    assert "torque_beyond_linear_range" not in codes(result(saturated(), 0.05))
    # the bend begins at 5 A, where a hair more torque takes next to no more loss: nothing to speak of
    linear_end = 5.0 * motor.torque_constant * HOT
    assert "torque_beyond_linear_range" not in codes(result(saturated(), 1.0005 * linear_end - drag))


def peak_delivered(chosen: Candidate) -> float:
    """Return the limit of the peak torque at the shaft, less drag at the speed of `result`."""
    margin = result(chosen, 0.01).margin("peak_torque")
    assert margin is not None
    assert margin.limit is not None
    return margin.limit


def test_a_torque_that_no_current_makes_is_serious() -> None:
    motor = model(saturated())
    found = result(saturated(), 10.5 * motor.torque_constant * HOT)
    assert "torque_beyond_saturation" in codes(found)
    margin = found.margin("peak_torque")
    assert margin is not None
    assert margin.status == "missed"


def test_the_worst_angle_of_rest_ends_earlier_than_the_turning_motor() -> None:
    """Between sqrt(3)/2 over 3/pi, which is 0.907, of the largest torque and all of it: only in motion."""
    torque = 0.93 * 10.0 * model(saturated()).torque_constant * HOT
    turning = evaluate(project(segment(1.0, torque, 5.0), candidates=(saturated(),))).candidates[0]
    holding = evaluate(project(segment(1.0, torque, 0.0), candidates=(saturated(),))).candidates[0]
    assert "torque_beyond_saturation" not in codes(turning)
    assert "torque_beyond_saturation" in codes(holding)
    told = next(one for one in holding.findings if one.code == "torque_beyond_saturation")
    end = 10.0 * model(saturated()).torque_constant * HOT * (math.sqrt(3.0) / 2.0) / (3.0 / math.pi)
    assert told.values["largest_torque_Nm"] == pytest.approx(end, rel=1e-9)


def test_without_data_the_linear_law_is_said_to_be_assumed() -> None:
    assert "linear_law_assumed" in codes(result(linear(), 0.02))
    assert "linear_law_assumed" not in codes(result(saturated(), 0.02))


def test_saturation_that_contradicts_the_constants_is_refused() -> None:
    found = result(with_winding(linear_current=5.0, saturated_current=10.0, saturated_torque=2.0), 0.02)
    assert "saturation_refused" in codes(found)


def test_hot_magnets_set_the_demagnetisation_current() -> None:
    """30 A at 20 degC and 14 A at 100 degC fall by 0.2 A/K: 10 A at the 120 degC of the magnets."""
    line = with_winding(
        peak_current=25.0,
        demagnetisation_current=14.0,
        demagnetisation_temp=100.0,
        second_demagnetisation_current=30.0,
        second_demagnetisation_temp=20.0,
    )
    motor = model(line)
    assert motor.peak_current == pytest.approx(10.0)
    assert "demagnetisation" in motor.peak_reason
    assert "demagnetisation_at_lower_temp" not in codes(result(line, 0.02))


def test_magnets_that_bear_less_cold_are_judged_cold() -> None:
    """8 A at -20 degC and 36 A at 120 degC, as of ferrite, rise by 0.2 A/K: 13 A at the coldest, 5 degC."""
    line = with_winding(
        peak_current=25.0,
        demagnetisation_current=8.0,
        demagnetisation_temp=-20.0,
        second_demagnetisation_current=36.0,
        second_demagnetisation_temp=120.0,
    )
    motor = model(line)
    assert motor.cold_temp == pytest.approx(5.0)
    assert motor.peak_current == pytest.approx(13.0)


def test_a_sensor_in_the_winding_is_not_taken_to_protect_the_magnets() -> None:
    chosen = with_winding()
    assert "winding_sensor_not_for_magnets" in codes(result(chosen, 0.02))  # 120 against 155 degC
    assert chosen.motor is not None
    sturdy = replace(chosen, motor=replace(chosen.motor, magnet_limit=180.0))
    assert "winding_sensor_not_for_magnets" not in codes(result(sturdy, 0.02))
