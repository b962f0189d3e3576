"""Heat, conductance and copper law of a candidate at given speeds: what continuous torque starts from."""

from __future__ import annotations

import numpy as np

from core.evaluation.heat_model import HeatModel
from core.evaluation.motor_model import MotorModel
from core.numeric import FloatArray
from core.physics.drag import air_drag_torque, core_drag_torque
from core.physics.hold import phase_loss_factor, sector_edge_loss_factor
from core.physics.operating_heat import OperatingHeat, operating_heat
from core.physics.settled_rows import settled_rows


def operating_rows(heat: HeatModel, motor: MotorModel, speed: FloatArray) -> OperatingHeat:
    """Return one row per speed, with the hottest phase counted where the motor stands or creeps.

    Surface coefficients that follow the temperatures are those of the continuous torque at each speed.
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

    return settled_rows(network, rows)


def standing_phase_factor(heat: HeatModel, motor: MotorModel, speed: FloatArray) -> FloatArray:
    """Return the rise of the hottest phase over the mean of the phases at constant speeds. [-]"""
    frequency = np.abs(speed) * motor.constants.pole_pairs / (2.0 * np.pi)
    return phase_loss_factor(frequency, heat.winding_time_constant, motor.commutation)


def standing_copper_factor(motor: MotorModel, speed: FloatArray) -> FloatArray:
    """Return the copper loss at the worst angle of rest over that of the turning motor, 1 in motion. [-]"""
    edge = sector_edge_loss_factor(motor.commutation, motor.constants.emf_shape == "trapezoidal")
    return np.where(speed == 0.0, edge, 1.0)
