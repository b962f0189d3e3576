"""Field weakening in an evaluation: reach beyond the voltage, its current, heat, power and caution."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.motor_model import motor_of
from core.evaluation.weakening import weakened_voltage, weakening_current
from core.physics.field_weakening import least_voltage, weakened_limit_torque
from core.physics.machine_constants import MachineConstants
from core.project.duty_cycle import Segment
from core.project.project import Project
from core.results import CandidateResult
from tests.core.projects import candidate, project, segment

MACHINE = MachineConstants(0.030 * 3**0.5, 0.4, 0.5e-3, 8)


def weak(*duty: Segment, commutation: str = "sinusoidal", able: bool = True, **drive: object) -> Project:
    base = candidate(commutation=commutation)
    fields = {"field_weakening": able} | drive
    return project(*duty, candidates=(replace(base, drive=replace(base.drive, **fields)),))


def first(of: Project) -> CandidateResult:
    return evaluate(of).candidates[0]


def codes(result: CandidateResult) -> set[str]:
    return {one.code for one in result.findings} | {one.code for one in result.cautions}


def base_speed() -> float:
    """Return the speed at which the unweakened motor has no voltage left without load."""
    curves = first(weak(segment(5.0, 0.0, 100.0), able=False)).curves
    assert curves is not None
    assert curves.voltage_limit is not None
    return float(curves.speed[np.isfinite(curves.voltage_limit)][-1])


@pytest.mark.parametrize("speed", [300.0, 500.0, 700.0])
def test_the_least_voltage_is_that_of_a_search_over_the_current(speed: float) -> None:
    # v^2 = (R id - X iq)^2 + (E + R iq + X id)^2 of the voltage equations, every id within the limit
    torque, limit = 0.05, 6.0
    e, r, x = 0.030 * speed, 0.2, 0.5 * 8 * speed * 0.5e-3
    i_q = torque / (1.5 * 0.030)
    i_d = -np.linspace(0.0, np.sqrt(limit**2 - i_q**2), 200_001)
    searched = np.hypot(r * i_d - x * i_q, e + r * i_q + x * i_d).min()
    assert float(least_voltage(MACHINE, torque, speed, limit, 25.0, 25.0)) == pytest.approx(
        searched, rel=1e-6
    )


def test_limit_torque_and_least_voltage_are_the_same_limit() -> None:
    speed = np.linspace(400.0, 700.0, 7)
    torque = weakened_limit_torque(MACHINE, speed, 12.0, 8.0, 25.0, 25.0)
    inside = torque > 1e-6
    below = 0.999 * torque[inside]
    assert (least_voltage(MACHINE, below, speed[inside], 8.0, 25.0, 25.0) <= 12.0 * (1.0 + 1e-9)).all()


def test_weakening_reaches_beyond_the_voltage() -> None:
    beyond = 1.05 * base_speed()
    duty = segment(5.0, 0.005, beyond)
    plain, weakened = first(weak(duty, able=False)), first(weak(duty))
    for result in (plain, weakened):
        assert result.curves is not None
        assert result.curves.voltage_limit is not None
    before, after = plain.margin("voltage_reserve"), weakened.margin("voltage_reserve")
    assert before is not None
    assert after is not None
    assert before.utilisation is not None
    assert after.utilisation is not None
    assert before.utilisation > 1.0 > after.utilisation
    assert "field_is_weakened" in codes(weakened)
    assert "field_is_weakened" not in codes(plain)


def test_the_current_of_weakening_heats_and_is_paid_for() -> None:
    duty = segment(5.0, 0.005, 1.05 * base_speed())
    plain, weakened = first(weak(duty, able=False)), first(weak(duty))
    assert plain.load_points is not None
    assert weakened.load_points is not None
    more = weakened.load_points.current[0] ** 2 - plain.load_points.current[0] ** 2
    assert more > 0.0
    said = next(one for one in weakened.findings if one.code == "field_is_weakened")
    assert said.values["weakening_current_A"] == pytest.approx(np.sqrt(more), rel=1e-6)
    of = weak(duty)
    motor = motor_of(of.application, of.candidates[0])
    assert motor is not None
    # 3/4 R I^2 with the line-to-line resistance
    assert said.values["extra_copper_loss_W"] == pytest.approx(
        0.75 * motor.constants.resistance * more, rel=1e-6
    )
    assert plain.losses is not None
    assert weakened.losses is not None
    assert weakened.losses.copper - plain.losses.copper > said.values["extra_copper_loss_W"]
    assert plain.supply is not None
    assert weakened.supply is not None
    assert weakened.supply.mean_power > plain.supply.mean_power + said.values["extra_copper_loss_W"]
    lasting = [result.margin("continuous_current") for result in (plain, weakened)]
    demands = [one.demand for one in lasting if one is not None and one.demand is not None]
    assert demands[1] ** 2 - demands[0] ** 2 == pytest.approx(more, rel=1e-6)


def test_below_the_voltage_limit_nothing_is_weakened() -> None:
    slow = segment(5.0, 0.03, 0.3 * base_speed())
    plain, able = first(weak(slow, able=False)), first(weak(slow))
    assert able.losses == plain.losses
    assert able.supply == plain.supply
    assert "field_is_weakened" not in codes(able)
    assert "over_voltage_without_weakening" not in codes(able)


def test_a_drop_out_at_weakened_speed_is_a_caution_with_the_voltage() -> None:
    fast = segment(5.0, 0.005, 1.5 * base_speed())
    result = first(weak(fast, highest_supply=27.0))
    said = next(one for one in result.cautions if one.code == "over_voltage_without_weakening")
    of = weak(fast)
    motor = motor_of(of.application, of.candidates[0])
    assert motor is not None
    # peak line-to-line EMF, with cold magnets (5 degC) a little above that at the reference
    plain = motor.constants.back_emf_constant * 1.5 * base_speed()
    assert plain < said.values["emf_V"] < 1.05 * plain
    assert said.values["stands_V"] == 27.0


def test_six_step_and_electronics_without_it_do_not_weaken() -> None:
    for of in (
        weak(segment(5.0, 0.01, 100.0), commutation="six-step"),
        weak(segment(5.0, 0.01, 100.0), able=False),
    ):
        motor = motor_of(of.application, of.candidates[0])
        assert motor is not None
        point = np.array([0.01]), np.array([2000.0])
        assert weakening_current(motor, *point) is None
        assert weakened_voltage(motor, *point) is None
