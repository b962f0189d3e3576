"""Step 4: mean losses by cause and what the supply delivers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.part_means import part_means
from core.evaluation.temperatures import CycleTemperatures
from core.evaluation.wires import source_resistance
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
from core.physics.voltage import sagged_voltage
from core.project.application import Supply
from core.results import Losses, SupplyDemand

# 4-point Gauss-Legendre over each part: power along a ramp is a polynomial of degree 2 in the speed but
# for the drag's exponent. Where it changes sign on the way, the part that flows back has a kink: 32 points
# meet its energy within 0.2 %.
_NODE, _WEIGHT = np.polynomial.legendre.leggauss(4)
_TWO_NODES, _TWO_WEIGHTS = np.polynomial.legendre.leggauss(2)
_FEW_PARTS, _LARGEST_BLOCK = 5_000, 50_000
_MANY_NODES, _MANY_WEIGHTS = np.polynomial.legendre.leggauss(32)


def mean_losses(duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None) -> Losses | None:
    """Return the mean losses of the repeating cycle; None without its temperatures."""
    if temps is None or isinstance(temps.state, RunAway):
        return None
    state, pieces = temps.state, temps.pieces
    means = part_means(duty, motor.drag)
    flux = magnet_flux_factor(
        float(state.mean[temps.heat.network.magnets]),
        motor.constants.magnet_temp_coefficient,
        motor.constants.magnet_ref_temp,
    )
    current_square = _over_cycle(duty, means.square) / (motor.torque_constant * float(flux)) ** 2
    series = copper_loss_factor(motor.commutation) * motor.path.loop_resistance * current_square
    series += _over_cycle(duty, _mean_drop_loss(duty, motor, float(flux)))
    return Losses(
        copper=float(state.copper_loss @ pieces.duration) / duty.cycle_time,
        core_and_bearing=_over_cycle(duty, means.drag.core_power),
        windage=_over_cycle(duty, means.drag.air_power),
        leads_and_switches=series,
        idle=motor.drive.idle_power,
    )


def supply_demand(
    duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None, supply: Supply
) -> SupplyDemand:
    """Return power and current from the supply over the cycle, and the energy that flows back.

    Winding and magnets at their mean temperatures in the cycle, where these are known, else at the
    hot ones; for the energy that flows back both are cold, which returns the most. Energy to change the
    speed of the rotor is shaft power here, so it comes and goes. Currents are at the lowest voltage, less
    the drop in the source.
    """
    winding, magnets = motor.hot_winding_temp, motor.hot_magnet_temp
    if temps is not None and not isinstance(temps.state, RunAway):
        network = temps.heat.network
        winding, magnets = (float(temps.state.mean[node]) for node in (network.winding, network.magnets))
    blocks = [
        _block_demand(block, motor, (winding, magnets), supply) for block in duty.blocks(_LARGEST_BLOCK)
    ]
    work, peak_power, charge, peak_current, back = np.array(blocks).T
    fed = lowest_voltage(supply) is not None
    return SupplyDemand(
        mean_power=float(work.sum()) / duty.cycle_time,
        peak_power=float(peak_power.max()),
        mean_current=float(charge.sum()) / duty.cycle_time if fed else None,
        peak_current=float(peak_current.max()) if fed else None,
        energy_back=float(back.sum()),
    )


def _block_demand(
    duty: ShaftDuty, motor: MotorModel, temps: tuple[float, float], supply: Supply
) -> tuple[float, float, float, float, float]:
    """Return work [J], peak power [W], charge [A s], peak current [A] and energy back [J] of some parts.

    The two of the current are 0 where no voltage is known.
    """
    node, weight = _rule(duty)
    torque = _at_nodes(duty.torque_start, duty.torque_end, node)
    speed = _at_nodes(duty.speed_start, duty.speed_end, node)
    power = motor_balance(motor, torque, speed, *temps).supply_power
    work, peak = float(_mean(power, weight) @ duty.duration), float(power.max())
    back = _energy_back(duty, motor, torque, speed, weight)
    lowest = lowest_voltage(supply)
    if lowest is None:
        return work, peak, 0.0, 0.0, back
    current = power / sagged_voltage(lowest, source_resistance(supply), power)[0]
    return work, peak, float(_mean(current, weight) @ duty.duration), float(current.max()), back


def _energy_back(
    duty: ShaftDuty, motor: MotorModel, torque: FloatArray, speed: FloatArray, weight: FloatArray
) -> float:
    """Return the energy of a cycle that flows back into the supply, cold winding and magnets. [J]"""
    cold = motor.cold_temp
    power = motor_balance(motor, torque, speed, cold, cold).supply_power
    back = _mean(np.maximum(-power, 0.0), weight)
    turns = (power.min(axis=1) < 0.0) & (power.max(axis=1) > 0.0)
    if turns.any():
        torque = _at_nodes(duty.torque_start[turns], duty.torque_end[turns], _MANY_NODES)
        speed = _at_nodes(duty.speed_start[turns], duty.speed_end[turns], _MANY_NODES)
        many = motor_balance(motor, torque, speed, cold, cold).supply_power
        back[turns] = _mean(np.maximum(-many, 0.0), _MANY_WEIGHTS)
    return float(back @ duty.duration)


def motor_balance(
    motor: MotorModel, torque: FloatArray, speed: FloatArray, winding: Numeric, magnets: Numeric
) -> PowerBalance:
    """Return where the power goes at steady points, ripple and switching included. [W]

    Torque is that at the shaft; winding and magnets are at the temperatures given, arrays that broadcast.
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
    feed = motor.feed
    if feed.ripple is None:
        return balance
    em = electromagnetic_torque(torque, speed, motor.drag)
    current = np.abs(motor_current(motor.constants, motor.commutation, em, magnets))
    ripple, switching = motor.ripple_loss(speed, winding), feed.switching_loss_per_ampere * current
    return replace(
        balance,
        copper_loss=balance.copper_loss + ripple,
        drive_loss=balance.drive_loss + switching,
        supply_power=balance.supply_power + ripple + switching,
    )


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
