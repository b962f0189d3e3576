"""Step 4: mean losses by cause and what the supply delivers."""

from __future__ import annotations

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.temperatures import CycleTemperatures
from core.numeric import FloatArray
from core.physics.cycle_heat import mean_square_torque
from core.physics.drag import mean_drag_over_ramp
from core.physics.losses import power_balance
from core.physics.machine_constants import copper_loss_factor
from core.physics.materials import magnet_flux_factor
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RunAway
from core.results import Losses, SupplyDemand

# 4-point Gauss-Legendre over each part: power along a ramp is a polynomial of degree 2 in the speed but
# for the drag's exponent and the sign of the supply power; braking energy is met within about 1 %.
_NODE, _WEIGHT = np.polynomial.legendre.leggauss(4)


def mean_losses(duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None) -> Losses | None:
    """Return the mean losses of the repeating cycle; None without its temperatures."""
    if temps is None or isinstance(temps.state, RunAway):
        return None
    state, pieces = temps.state, temps.pieces
    mean_square, _drag = mean_square_torque(duty, motor.drag)
    drag = mean_drag_over_ramp(motor.drag, duty.speed_start, duty.speed_end)
    flux = magnet_flux_factor(
        float(state.mean[temps.heat.network.magnets]),
        motor.constants.magnet_temp_coefficient,
        motor.constants.magnet_ref_temp,
    )
    current_square = _over_cycle(duty, mean_square) / (motor.torque_constant * float(flux)) ** 2
    series = copper_loss_factor(motor.commutation) * motor.path.loop_resistance * current_square
    return Losses(
        copper=float(state.copper_loss @ pieces.duration) / duty.cycle_time,
        core_and_bearing=_over_cycle(duty, drag.core_power),
        windage=_over_cycle(duty, drag.air_power),
        leads_and_switches=series,
        idle=motor.drive.idle_power,
    )


def supply_demand(
    duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None, voltage: float | None
) -> SupplyDemand:
    """Return power and current from the supply over the cycle, and the energy that flows back.

    Winding and magnets at their mean temperatures in the cycle, where these are known, else at the
    hot ones. Energy to change the speed of the rotor is shaft power here, so it comes and goes.
    """
    winding, magnets = motor.hot_winding_temp, motor.hot_magnet_temp
    if temps is not None and not isinstance(temps.state, RunAway):
        network = temps.heat.network
        winding, magnets = (float(temps.state.mean[node]) for node in (network.winding, network.magnets))
    ends = _at_nodes(duty.speed_start, duty.speed_end)
    torque = _at_nodes(duty.torque_start, duty.torque_end)
    power = power_balance(
        motor.constants,
        motor.commutation,
        motor.drag,
        torque,
        ends,
        winding,
        magnets,
        motor.path,
        motor.drive.idle_power,
    ).supply_power
    mean = 0.5 * (power[:, 1:-1] @ _WEIGHT)
    back = 0.5 * (np.maximum(-power[:, 1:-1], 0.0) @ _WEIGHT)
    mean_power, peak_power = _over_cycle(duty, mean), float(power.max())
    return SupplyDemand(
        mean_power=mean_power,
        peak_power=peak_power,
        mean_current=None if voltage is None else mean_power / voltage,
        peak_current=None if voltage is None else peak_power / voltage,
        energy_back=float(back @ duty.duration),
    )


def _at_nodes(start: FloatArray, end: FloatArray) -> FloatArray:
    """Return a linear quantity at the start, the Gauss nodes and the end of each part, (parts, 6)."""
    middle, half = 0.5 * (start + end), 0.5 * (end - start)
    return np.column_stack((start, middle[:, None] + half[:, None] * _NODE, end))


def _over_cycle(duty: ShaftDuty, value: FloatArray) -> float:
    return float(value @ duty.duration) / duty.cycle_time
