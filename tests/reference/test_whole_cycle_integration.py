"""The repeating state of whole projects against scipy's integrator and the instantaneous laws.

Independent of the exact solution: torque, drag, cooling and both temperature feedbacks are taken at every
instant and integrated by LSODA; nothing is averaged over pieces.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from core.evaluation.duty import duty_at_shaft, duty_trace
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.motor_model import MotorModel, motor_model
from core.evaluation.operating_rows import standing_copper_factor
from core.evaluation.temperatures import CycleTemperatures, cycle_temperatures
from core.numeric import FloatArray
from core.physics.drag import air_drag_torque, core_drag_torque
from core.physics.heat_network import link_conductance_at, node_matrices
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RepeatingState
from core.project.project import Project
from core.project.project_file import read_project
from tests.core.projects import project, random_duty

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"


def solved(of: Project, index: int) -> tuple[ShaftDuty, MotorModel, HeatModel, CycleTemperatures]:
    application = of.application
    motor = motor_model(application.site, application.requirements, of.candidates[index])
    assert motor is not None
    heat = heat_model(application.site, motor)
    assert isinstance(heat, HeatModel)
    duty = duty_at_shaft(duty_trace(application.duty_cycle), motor.inertia)
    assert duty is not None
    return duty, motor, heat, cycle_temperatures(duty, motor, heat)


def heat_flow(
    duty: ShaftDuty, part: int, local: float, temps: FloatArray, motor: MotorModel, heat: HeatModel
) -> FloatArray:
    """Return the heat into every node at one instant. [W]"""
    network, law = heat.network, heat.law
    share = local / duty.duration[part]
    speed = duty.speed_start[part] + share * (duty.speed_end - duty.speed_start)[part]
    torque = duty.torque_start[part] + share * (duty.torque_end - duty.torque_start)[part]
    size, moving = abs(speed), speed != 0.0
    core, air = (float(f(motor.drag, size)) * moving for f in (core_drag_torque, air_drag_torque))
    em = torque + np.sign(speed) * (core + air)
    at_rest = float(standing_copper_factor(motor, np.array([speed]))[0])
    resistance = (law.copper_constant + temps[network.winding]) / (law.copper_constant + law.winding_ref_temp)
    flux = 1.0 + law.magnet_temp_coefficient * (temps[network.magnets] - law.magnet_ref_temp)
    conductance = link_conductance_at(network, np.array([speed]), temps[None])
    matrix, inflow = node_matrices(network, conductance)
    flow: FloatArray = inflow[0] - matrix[0] @ temps
    flow[network.winding] += motor.copper_per_torque_squared * at_rest * em**2 * resistance / flux**2
    flow[network.core] += core * size
    if network.air >= 0:
        flow[network.air] += air * size
    return flow


def integrated_cycle(
    duty: ShaftDuty, motor: MotorModel, heat: HeatModel, start: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return node temperatures at the end of one cycle from `start`, and their peaks on the way."""
    from scipy.integrate import solve_ivp

    temps, peak = np.array(start), np.array(start)
    for part in range(duty.duration.size):

        def slope(time: float, now: FloatArray, part: int = part) -> FloatArray:
            rate: FloatArray = heat_flow(duty, part, time, now, motor, heat) / heat.network.capacity
            return rate

        solution = solve_ivp(
            slope,
            (0.0, float(duty.duration[part])),
            temps,
            method="LSODA",
            rtol=1e-10,
            atol=1e-9,
            t_eval=np.linspace(0.0, float(duty.duration[part]), 60),
        )
        temps = solution.y[:, -1]
        peak = np.maximum(peak, solution.y.max(axis=1))
    return temps, peak


def assert_repeats(of: Project, index: int, tolerance: float) -> None:
    duty, motor, heat, temps = solved(of, index)
    state = temps.state
    assert isinstance(state, RepeatingState)
    end, peak = integrated_cycle(duty, motor, heat, state.start_temp)
    # a small error of the cycle map grows by 1/(1 - rho) in the repeating state
    drift = np.abs(end - state.start_temp).max() / (1.0 - state.spectral_radius)
    assert drift < tolerance
    np.testing.assert_allclose(peak, state.peak, atol=tolerance)


@pytest.mark.parametrize("index", [0, 1])
@pytest.mark.parametrize("name", ["sample_carousel.json", "orchard_sprayer.json"])
def test_sample_projects_repeat(name: str, index: int) -> None:
    assert_repeats(read_project(SAMPLES / name), index, 0.02)


@pytest.mark.parametrize("seed", [2, 7, 11])
def test_random_reversing_cycles_repeat(seed: int) -> None:
    for index in (0, 1):
        assert_repeats(project(*random_duty(seed)), index, 0.02)
