"""Heat, conductance and copper law of a candidate at given speeds: what continuous torque starts from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.heat_model import HeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.numeric import FloatArray
from core.physics.drag import air_drag_torque, core_drag_torque
from core.physics.heat_network import HeatNetwork, link_conductance, node_matrices
from core.physics.hold import own_resistance_share, phase_loss_factor, sector_edge_loss_factor
from core.physics.machine_constants import Commutation
from core.physics.operating_heat import OperatingHeat, operating_heat
from core.physics.settled_rows import settled_rows


def operating_rows(
    heat: HeatModel, motor: MotorModel, speed: FloatArray, temps: FloatArray | None = None
) -> OperatingHeat:
    """Return one row per speed, with the hottest phase counted where the motor stands or creeps.

    Surface coefficients that follow the temperatures are those of the continuous torque at each speed, or
    those at given temperatures of the nodes, shape (m, n). [degC]
    """
    network, turning = heat.network, np.abs(speed) > 0.0
    core = np.where(turning, core_drag_torque(motor.drag, np.abs(speed)), 0.0)
    air = np.where(turning, air_drag_torque(motor.drag, np.abs(speed)), 0.0)
    fixed = np.zeros((speed.size, len(network.nodes)))
    fixed[:, network.core] = core * np.abs(speed)
    if network.air >= 0:
        fixed[:, network.air] += air * np.abs(speed)
    copper = motor.copper_per_torque_squared * standing_copper_factor(motor, speed)
    phase = standing_phase_factor(heat, motor, speed)
    ripple = motor.feed.ripple_loss(speed)

    def rows(temps: FloatArray | None) -> OperatingHeat:
        return operating_heat(
            network,
            speed,
            limit=heat.limit,
            copper_per_torque_squared=copper,
            drag_torque=core + air,
            fixed_heat=fixed,
            extra_copper=ripple,
            phase_factor=phase,
            copper_law=heat.law,
            temps=temps,
        )

    return settled_rows(network, rows) if temps is None else rows(temps)


def standing_phase_factor(heat: HeatModel, motor: MotorModel, speed: FloatArray) -> FloatArray:
    """Return the rise of the hottest phase over the mean of the phases at constant speeds. [-]

    With what its own higher resistance adds at the holding torque.
    """
    frequency = np.abs(speed) * motor.constants.pole_pairs / (2.0 * np.pi)
    factor = phase_loss_factor(frequency, heat.winding_time_constant, motor.commutation)
    return factor + (factor - 1.0) * standing_share(heat, motor.commutation)


def standing_share(heat: HeatModel, commutation: Commutation) -> float:
    """Return what the resistance of the hottest phase adds to its excess. [-]

    What else heats the place is left out, a brake's coil too: it leaves less of the torque, so less of this.
    """
    network = heat.network
    return _share(network, float(heat.limit[network.winding]), heat.law.copper_constant, commutation)


@remembered()
def _share(network: HeatNetwork, limit: float, copper_constant: float, commutation: Commutation) -> float:
    matrix, inflow = node_matrices(replace(network, heat=None), link_conductance(network, np.zeros(1)))
    w, right = network.winding, np.zeros((len(network.nodes), 2))
    right[:, 0], right[w, 1] = inflow[0], 1.0
    base, gain = np.linalg.solve(matrix[0], right)[w]
    return float(own_resistance_share(base, gain, matrix[0, w, w], limit, copper_constant, commutation))


def standing_copper_factor(motor: MotorModel, speed: FloatArray) -> FloatArray:
    """Return the copper loss at the worst angle of rest over that of the turning motor, 1 in motion. [-]"""
    edge = sector_edge_loss_factor(motor.commutation, motor.constants.emf_shape == "trapezoidal")
    return np.where(speed == 0.0, edge, 1.0)
