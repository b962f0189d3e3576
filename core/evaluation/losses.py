"""Step 4: mean losses by cause, and where the power goes at any point of the cycle."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import standing_copper_factor
from core.evaluation.part_means import part_means
from core.evaluation.temperatures import CycleTemperatures
from core.evaluation.torque_heat import torque_heat
from core.evaluation.weakening import mean_square_weakening, weakening_current
from core.numeric import FloatArray, Numeric
from core.physics.losses import (
    PowerBalance,
    drive_conduction_loss,
    electromagnetic_torque,
    motor_current,
    power_balance,
)
from core.physics.machine_constants import copper_loss_factor
from core.physics.materials import magnet_flux_factor
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RunAway
from core.results import Losses

# 4-point Gauss-Legendre over each part: the current along a ramp is linear but for the exponents of the drag.
_NODE, _WEIGHT = np.polynomial.legendre.leggauss(4)
_TWO_NODES, _TWO_WEIGHTS = np.polynomial.legendre.leggauss(2)
_FEW_PARTS, _LARGEST_BLOCK = 5_000, 50_000


def mean_losses(duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None) -> Losses | None:
    """Return the mean losses of the repeating cycle; None without its temperatures.

    A current that holds still stands at its worst angle, in winding, leads and switches alike.
    """
    if temps is None or isinstance(temps.state, RunAway):
        return None
    state, pieces = temps.state, temps.pieces
    means = part_means(duty, motor.drag)
    flux = magnet_flux_factor(
        float(state.mean[temps.heat.network.magnets]),
        motor.constants.magnet_temp_coefficient,
        motor.constants.magnet_ref_temp,
    )
    edge = standing_copper_factor(motor, duty.direction)
    current_square = _over_cycle(duty, edge * means.square) / (motor.torque_constant * float(flux)) ** 2
    series = copper_loss_factor(motor.commutation) * motor.path.loop_resistance * current_square
    series += _over_cycle(duty, np.sqrt(edge) * _mean_drop_loss(duty, motor, float(flux)))
    beyond = square_beyond_linear(duty, motor, float(flux))
    series += copper_loss_factor(motor.commutation) * motor.path.loop_resistance * beyond
    return Losses(
        copper=float(state.copper_loss @ pieces.duration) / duty.cycle_time,
        core_and_bearing=_over_cycle(duty, means.drag.core_power),
        windage=_over_cycle(duty, means.drag.air_power),
        leads_and_switches=series,
        idle=motor.drive.idle_power,
    )


def square_beyond_linear(duty: ShaftDuty, motor: MotorModel, flux: float) -> float:
    """Return the mean square of current beyond that of a linear machine, and of that of weakening. [A2]"""
    square = square_of_saturation(duty, motor, flux)
    weakening = mean_square_weakening(duty, motor)
    if weakening is not None:
        square += _over_cycle(duty, weakening)
    return square


def square_of_saturation(duty: ShaftDuty, motor: MotorModel, flux: float) -> float:
    """Return the mean square of the current that saturation takes beyond a linear machine. [A2]"""
    heat = None if motor.saturation is None else torque_heat(duty, motor, flux)
    if heat is None:
        return 0.0
    factor = copper_loss_factor(motor.commutation)
    return float(heat.copper[-1]) / duty.cycle_time / (factor * motor.constants.resistance * flux**2)


def mean_square_current(duty: ShaftDuty, motor: MotorModel) -> float:
    """Return the mean square of the current over the cycle at hot magnets, as `current_of`. [A2]"""
    still = duty.direction == 0.0
    constant = np.where(still, motor.holding_torque_constant, motor.hot_torque_constant)
    linear = _over_cycle(duty, part_means(duty, motor.drag).square / constant**2)
    return linear + square_beyond_linear(duty, motor, motor.hot_flux)


def motor_balance(
    motor: MotorModel, torque: FloatArray, speed: FloatArray, winding: Numeric, magnets: Numeric
) -> PowerBalance:
    """Return where the power goes at steady points, with ripple, switching and field weakening. [W]

    Torque is that at the shaft; winding and magnets are at the temperatures given, arrays that broadcast.
    Where the speed is zero the current stands at its worst angle.
    """
    balance = power_balance(
        motor.constants,
        motor.commutation,
        motor.drag,
        torque,
        speed,
        winding,
        magnets,
        motor.path,
        motor.drive.idle_power,
    )
    feed, edge = motor.feed, standing_copper_factor(motor, speed)
    stands = bool((edge > 1.0).any())
    unweakened = feed.ripple is None and motor.weakening_voltage is None
    if unweakened and motor.saturation is None and not stands:
        return balance
    em = np.asarray(electromagnetic_torque(torque, speed, motor.drag))
    current = linear = np.abs(motor_current(motor.constants, motor.commutation, em, magnets))
    law = motor.saturation
    more = stands or (law is not None and float(linear.max(initial=0.0)) > law.linear_current)
    if more:
        current = motor.current_of(em, motor.torque_constant * _flux(motor, magnets) / np.sqrt(edge))
    elif unweakened:
        return balance
    copper, switching = motor.ripple_loss(speed, winding), feed.switching_loss_per_ampere * current
    if more:  # what the current beyond that of a linear machine in motion costs
        copper = copper + motor.path_loss(current, winding) - motor.path_loss(linear, winding)
        drop = motor.path.device_drop
        switching = switching + drive_conduction_loss(motor.commutation, current - linear, 0.0, drop)
    weakening = weakening_current(motor, em, speed)
    if weakening is not None:  # what of it heats leads and switches is counted with the copper
        copper = copper + motor.path_loss(weakening, winding)
    return replace(
        balance,
        copper_loss=balance.copper_loss + copper,
        drive_loss=balance.drive_loss + switching,
        supply_power=balance.supply_power + copper + switching,
    )


def _flux(motor: MotorModel, magnets: Numeric) -> Numeric:
    c = motor.constants
    return magnet_flux_factor(magnets, c.magnet_temp_coefficient, c.magnet_ref_temp)


def _mean_drop_loss(duty: ShaftDuty, motor: MotorModel, flux: float) -> FloatArray:
    """Return the mean loss of each part in drop and switching of the devices, shape (parts,). [W]"""
    drop, switching = motor.path.device_drop, motor.feed.switching_loss_per_ampere
    if drop == 0.0 and switching == 0.0:
        return np.zeros_like(duty.duration)
    means = []
    for block in duty.blocks(_LARGEST_BLOCK):
        node, weight = _rule(duty)
        torque = _at_nodes(block.torque_start, block.torque_end, node)
        speed = _at_nodes(block.speed_start, block.speed_end, node)
        current = electromagnetic_torque(torque, speed, motor.drag) / (motor.torque_constant * flux)
        loss = np.asarray(drive_conduction_loss(motor.commutation, current, 0.0, drop))
        loss = loss + switching * np.abs(current)
        means.append(_mean(loss, weight))
    return np.concatenate(means)


def _rule(duty: ShaftDuty) -> tuple[FloatArray, FloatArray]:
    """Return nodes and weights over each part: two suffice for the short parts of a trace."""
    return (_NODE, _WEIGHT) if duty.duration.size <= _FEW_PARTS else (_TWO_NODES, _TWO_WEIGHTS)


def _at_nodes(start: FloatArray, end: FloatArray, nodes: FloatArray) -> FloatArray:
    """Return a linear quantity at the start, the Gauss nodes and the end of each part, (parts, nodes + 2)."""
    middle, half = 0.5 * (start + end), 0.5 * (end - start)
    return np.column_stack((start, middle[:, None] + half[:, None] * nodes, end))


def _mean(at_nodes: FloatArray, weight: FloatArray) -> FloatArray:
    """Return the mean over each part of what `_at_nodes` gave, shape (parts,)."""
    mean: FloatArray = 0.5 * (at_nodes[:, 1:-1] @ weight)
    return mean


def _over_cycle(duty: ShaftDuty, value: FloatArray) -> float:
    return float(value @ duty.duration) / duty.cycle_time
