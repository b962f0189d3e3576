"""Torque, current, voltage, speed and frequency of many candidates against motor and electronics.

The numbers of `operating_points`, `voltage_demand`, `criteria_drive` and the overload part of
`criteria_electronics`, side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.evaluation.criteria_drive import drive_criteria
from core.evaluation.criteria_electronics import overload_criteria
from core.evaluation.criterion import Criterion
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.wires import source_resistance
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.conventions import Commutation
from core.physics.field_weakening import least_voltage
from core.physics.peak_limits import SaturationLaw, saturated_torque
from core.physics.voltage import required_voltage, sagged_voltage
from core.project.application import Application
from core.shortlist.batch.courses import DutyRows
from core.shortlist.batch.machines import MachineColumns
from core.shortlist.batch.margin_board import MarginBoard
from core.shortlist.chunk_result import MET, MISSED, NOT_CHECKED


@dataclass(frozen=True, slots=True)
class ElectricRows:
    """Both ends of each part, shape (rows, 2 parts): the values of `OperatingPoints` and the voltage."""

    speed: FloatArray
    delivered: FloatArray
    drag: FloatArray
    em_torque: FloatArray
    torque_constant: FloatArray
    current: FloatArray


def electric_rows(duty: DutyRows, machine: MachineColumns) -> ElectricRows:
    """Return torque and current at both ends of each part; `machine` has one row per candidate."""
    count = len(duty.rows)
    still = np.repeat(duty.direction == 0.0, 2, axis=1)
    em_torque = duty.em_torque.reshape(count, -1)
    constant = np.where(still, machine.holding_torque_constant, machine.hot_torque_constant)
    return ElectricRows(
        speed=duty.speed.reshape(count, -1),
        delivered=duty.torque.reshape(count, -1),
        drag=duty.drag.reshape(count, -1),
        em_torque=em_torque,
        torque_constant=constant,
        current=np.hypot(
            machine.current_of(em_torque, constant),
            machine.weakening_current(em_torque, duty.speed.reshape(count, -1)),
        ),
    )


def put_drive_margins(
    application: Application,
    duty: DutyRows,
    machine: MachineColumns,
    electric: ElectricRows,
    kinds: Sequence[tuple[Commutation, str, IntArray]],
    saturation: FloatArray,
    board: MarginBoard,
) -> None:
    """Put peak torque, peak and continuous current, voltage reserve, speed and frequency.

    `kinds` are commutation and EMF shape with the rows that have them, `saturation` [A2] the mean square of
    the current that saturation takes beyond a linear machine.
    """
    rows = duty.rows
    criteria = drive_criteria(application.requirements.targets)
    peak_torque, peak_current, lasting_current, reserve, speed, frequency = criteria
    _put_peak_torque(peak_torque, rows, machine, electric, board)
    board.put_checked(peak_current, rows, electric.current.max(axis=1), machine.drive_peak_current[:, 0])
    square = duty.mean_square / electric.torque_constant[:, ::2] ** 2 + mean_square_weakening(duty, machine)
    rms = np.sqrt((square * duty.duration).sum(axis=1) / duty.cycle_time + saturation)
    board.put_checked(lasting_current, rows, rms, machine.continuous_current[:, 0])
    _put_voltage(reserve, application, rows, machine, electric, kinds, board)
    top = duty.top_speed
    board.put_checked(speed, rows, top, machine.largest_speed[:, 0])
    hertz = top * machine.pole_pairs[:, 0] / (2.0 * np.pi)
    board.put_checked(frequency, rows, hertz, machine.largest_frequency[:, 0])


def _put_peak_torque(
    criterion: Criterion,
    rows: IntArray,
    machine: MachineColumns,
    electric: ElectricRows,
    board: MarginBoard,
) -> None:
    delivered, size = electric.delivered, np.abs(electric.delivered)
    limit = _torque_of(machine, electric.torque_constant)
    limit = limit - electric.drag * np.sign(electric.speed) * np.sign(delivered)
    # where the drag alone takes the whole peak torque nothing can be delivered
    used = np.where(limit > 0.0, size / np.where(limit > 0.0, limit, 1.0), np.inf)
    worst = used.argmax(axis=1)[:, None]
    demand, allowed = (np.take_along_axis(value, worst, axis=1)[:, 0] for value in (size, limit))
    board.put_checked(
        criterion, rows, demand, np.where(np.isnan(machine.motor_peak_current[:, 0]), np.nan, allowed)
    )


def _torque_of(machine: MachineColumns, constant: FloatArray) -> FloatArray:
    """Return the torque of the motor's peak current, NaN where it is not known."""
    linear = constant * machine.motor_peak_current
    bends = np.isfinite(machine.linear_current[:, 0])
    law = SaturationLaw(machine.linear_current[bends], machine.bend[bends])  # type: ignore[arg-type]
    linear[bends] = saturated_torque(law, constant[bends], machine.motor_peak_current[bends])
    return linear


def supply_power(machine: MachineColumns, em_torque: FloatArray, speed: FloatArray) -> FloatArray:
    """Return the power at hot winding and magnets, not below the idle power, shape of the torque. [W]"""
    current = machine.current_of(em_torque, np.broadcast_to(machine.hot_torque_constant, em_torque.shape))
    rise = machine.resistance_rise(machine.hot_winding_temp)
    loop = machine.resistance * rise + machine.loop_resistance
    loss = machine.copper_factor * loop * current**2
    loss += (machine.switching_loss + machine.drop_share * machine.device_drop) * current
    loss += machine.ripple_loss * ripple_square(machine, speed) * rise
    loss += machine.path_loss(machine.weakening_current(em_torque, speed), machine.hot_winding_temp)
    power: FloatArray = np.maximum(em_torque * speed + loss, 0.0)
    return power + machine.idle_power


def ripple_square(machine: MachineColumns, speed: FloatArray) -> FloatArray:
    """Return the mean square of the current's ripple at speeds, as `RippleLaw.mean_square`. [A2]"""
    lead = (slice(None), *(None,) * (speed.ndim - 1))
    share = np.minimum(np.abs(speed) / machine.full_speed[:, 0][lead], 1.0)
    value: FloatArray = np.broadcast_to(machine.ripple[:, -1][lead], share.shape)
    for power in range(machine.ripple.shape[1] - 2, -1, -1):
        value = value * share + machine.ripple[:, power][lead]
    positive: FloatArray = np.maximum(value, 0.0)
    return positive


def _put_voltage(
    criterion: Criterion,
    application: Application,
    rows: IntArray,
    machine: MachineColumns,
    electric: ElectricRows,
    kinds: Sequence[tuple[Commutation, str, IntArray]],
    board: MarginBoard,
) -> None:
    supply = application.supply
    lowest = lowest_voltage(supply)
    if lowest is None:
        board.put(criterion, rows, NOT_CHECKED)
        return
    power = supply_power(machine, electric.em_torque, electric.speed)
    link, reachable = sagged_voltage(lowest, source_resistance(supply), power)
    available = link * machine.voltage_share
    required = np.empty_like(available)
    for commutation, shape, chosen in kinds:
        required[chosen] = _worst(commutation, shape, machine.at(chosen), electric, chosen)
    _put_weakened(required, machine, electric)
    used = np.where(reachable, required / available, np.inf)
    worst = used.argmax(axis=1)[:, None]
    beyond = np.isinf(used.max(axis=1))
    demand, limit = (np.take_along_axis(value, worst, axis=1)[:, 0] for value in (required, available))
    board.put_checked(criterion, rows[~beyond], demand[~beyond], limit[~beyond])
    if beyond.any():
        board.put(criterion, rows[beyond], MISSED)


def _worst(
    commutation: Commutation, shape: str, machine: MachineColumns, electric: ElectricRows, chosen: IntArray
) -> FloatArray:
    """Return the highest required voltage over cold and hot winding, cold and hot magnets."""
    winding, magnets = _temperature_cases(machine)
    found = required_voltage(
        machine.constants(shape),
        commutation,
        electric.em_torque[chosen],
        electric.speed[chosen],
        winding,
        magnets,
        machine.path,
    )
    highest: FloatArray = found.max(axis=(0, 1))
    return highest


def _temperature_cases(machine: MachineColumns) -> tuple[FloatArray, FloatArray]:
    """Return cold and hot winding and cold and hot magnets, shapes (2, 1, rows, 1), (2, rows, 1). [degC]

    Together they are the four cases; what only one of them changes is computed twice, not four times.
    """
    winding = np.stack((machine.cold_temp, machine.hot_winding_temp))[:, None]
    return winding, np.stack((machine.cold_temp, machine.hot_magnet_temp))


def _put_weakened(required: FloatArray, machine: MachineColumns, electric: ElectricRows) -> None:
    """Put the voltage that is left after weakening in the place of the required one."""
    at = np.flatnonzero(~np.isnan(machine.weakening_voltage[:, 0]))
    if at.size:
        weak, lead = machine.at(at), (slice(None), 0, None)
        winding, magnets = _temperature_cases(weak)
        found = least_voltage(
            weak.sinusoidal(lead), electric.em_torque[at], electric.speed[at],
            weak.current_limit,  # type: ignore[arg-type]
            winding, magnets, weak.path,
        )  # fmt: skip
        required[at] = found.max(axis=(0, 1))


def mean_square_weakening(duty: DutyRows, machine: MachineColumns) -> FloatArray:
    """Return the mean square of the current along the magnet axis in each part, (rows, parts). [A2]"""
    torque, speed = duty.torque, duty.speed
    torque = np.stack((torque[..., 0], 0.5 * (torque[..., 0] + torque[..., 1]), torque[..., 1]))
    speed = np.stack((speed[..., 0], 0.5 * (speed[..., 0] + speed[..., 1]), speed[..., 1]))
    drag = np.stack((duty.drag[..., 0], duty.drag_at_shares[..., 2], duty.drag[..., 1]))
    em = torque + drag * np.sign(speed)
    square = [machine.weakening_current(em[k], speed[k]) ** 2 for k in range(3)]
    mean: FloatArray = (square[0] + 4.0 * square[1] + square[2]) / 6.0
    return mean


def put_overload_margins(
    application: Application,
    duty: DutyRows,
    machine: MachineColumns,
    electric: ElectricRows,
    board: MarginBoard,
) -> None:
    """Put the time above the continuous current and the current at rest."""
    time_above, at_rest = overload_criteria(application.requirements.targets)
    rows, lasting, limit = duty.rows, machine.continuous_current, machine.peak_time[:, 0]
    known = ~np.isnan(lasting[:, 0])
    time = np.full(len(rows), np.nan)
    time[known] = _longest_overload(duty.duration[known], electric.current[known], lasting[known])
    never, always = time == 0.0, np.isinf(time)
    board.put(time_above, rows[never], MET)
    board.put(time_above, rows[~known | (~never & np.isnan(limit))], NOT_CHECKED)
    stated = known & ~never & ~np.isnan(limit)
    board.put(time_above, rows[stated & always], MISSED, told=True)
    board.put_checked(time_above, rows[stated & ~always], time[stated & ~always], limit[stated & ~always])
    share = machine.standstill_share[:, 0]
    asked = known & (share != 1.0)
    rests = duty.resting.any(axis=1)
    board.put(at_rest, rows[asked & ~rests], MET)
    held = electric.current.reshape(*duty.resting.shape, 2).max(axis=2)
    largest = np.where(duty.resting, held, -1.0).max(axis=1)
    chosen = asked & rests
    board.put_checked(at_rest, rows[chosen], largest[chosen], (share * lasting[:, 0])[chosen])


def _longest_overload(duration: FloatArray, current: FloatArray, limit: FloatArray) -> FloatArray:
    """Return the longest time above a current, the cycle closed on itself, as `longest_overload`. [s]"""
    start, end = current[:, ::2], current[:, 1::2]
    low, high = np.minimum(start, end), np.maximum(start, end)
    crosses = (low < limit) & (high > limit)
    share = np.where(crosses, (high - limit) / np.where(crosses, high - low, 1.0), high > limit)
    above = share * duration
    pieces = np.stack((np.where(start >= end, above, 0.0), np.where(start >= end, 0.0, above)), axis=2)
    pieces = pieces.reshape(current.shape)
    whole = np.repeat(share == 1.0, 2, axis=1)
    breaks: BoolArray = (pieces == 0.0) & ~whole
    # twice round, over the end of the cycle; what has gone by at the last break is not of the same stretch
    gone = np.cumsum(np.concatenate((pieces, pieces), axis=1), axis=1)
    at_break = np.where(np.concatenate((breaks, breaks), axis=1), gone, 0.0)
    longest = (gone - np.maximum.accumulate(at_break, axis=1)).max(axis=1)
    return np.where(whole.all(axis=1), np.inf, longest)
