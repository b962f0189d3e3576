"""The continuous torque of a standing motor against three phases with a resistance of their own.

The network is written out once more with a third of the winding in each phase, the torque found by bisection.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.lasting_torque import lasting_torque
from core.evaluation.motor_model import MotorModel, motor_of
from core.evaluation.operating_rows import operating_rows
from core.numeric import FloatArray
from core.physics.continuous_torque import continuous_torque
from core.physics.heat_network import link_conductance_at, node_matrices
from core.project.project_file import read_project

SAMPLES = Path(__file__).parents[2] / "sample_projects"
SHARES = np.array([2.0, 0.5, 0.5]) / 3.0  # of the loss: sinusoidal current with one phase at its crest


def phase_temperatures(heat: HeatModel, motor: MotorModel, torque: float, temps: FloatArray) -> FloatArray:
    """Return the hottest phase first, then the other phases and the other nodes of a network."""
    net, law = heat.network, heat.law
    assert net.winding == 0
    matrix, inflow = (
        one[0] for one in node_matrices(net, link_conductance_at(net, np.zeros(1), temps[None, :]))
    )
    whole = np.zeros((len(matrix) + 2, len(matrix) + 2))
    whole[3:, 3:], flow = matrix[1:, 1:], np.concatenate((np.full(3, inflow[0] / 3.0), inflow[1:]))
    whole[:3, :3] = np.eye(3) * matrix[0, 0] / 3.0
    whole[:3, 3:] = matrix[0, 1:] / 3.0
    whole[3:, :3] = matrix[0, 1:, None] / 3.0
    found = np.full(len(flow), heat.ambient)
    for _ in range(100):  # magnets that weaken take more current
        flux = 1.0 + law.magnet_temp_coefficient * (found[net.magnets + 2] - law.magnet_ref_temp)
        loss = motor.copper_per_torque_squared * torque**2 + motor.feed.ripple_loss(np.zeros(1))[0]
        slope = np.zeros(len(flow))
        slope[:3] = SHARES * loss / flux**2 / (law.copper_constant + law.winding_ref_temp)
        found = np.linalg.solve(whole - np.diag(slope), flow + slope * law.copper_constant)
    return found


@pytest.mark.parametrize("name", ["tide_pool_winch", "sample_carousel", "museum_turntable"])
def test_torque_at_rest_brings_the_hottest_phase_to_its_limit(name: str) -> None:
    project = read_project(SAMPLES / f"{name}.json")
    for candidate in project.candidates:
        motor = motor_of(project.application, candidate)
        assert motor is not None
        assert motor.commutation == "sinusoidal"
        heat = heat_model(project.application.site, motor)
        assert isinstance(heat, HeatModel)
        torque = float(lasting_torque(heat, motor, np.zeros(1)).em_torque[0])
        temps = continuous_torque(operating_rows(heat, motor, np.zeros(1))).node_temp[0]
        limit = np.concatenate((np.repeat(heat.limit[0], 3), heat.limit[1:]))

        def room(one: float) -> float:
            return float((phase_temperatures(heat, motor, one, temps) - limit).max())  # noqa: B023

        # the magnets of the core take the loss of a winding of one temperature: up to 0.4 %
        assert 0.0 <= torque / float(brentq(room, 0.5 * torque, 1.1 * torque)) - 1.0 < 0.004
