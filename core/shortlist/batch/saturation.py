"""Current that saturation takes in the cycles of many candidates, as `square_of_saturation`, hot magnets."""

from __future__ import annotations

from typing import Final

import numpy as np

from core.evaluation.motor_model import BEYOND_SATURATION
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.drag import drag_torque
from core.shortlist.batch.courses import DutyRows
from core.shortlist.batch.machines import MachineColumns

# Where each part is looked at, as in `HeatOfTorques`: three nodes in each of eight steps.
_STEPS: Final = 8
_NODE, _WEIGHT = np.polynomial.legendre.leggauss(3)
_SHARE = ((np.arange(_STEPS)[:, None] + 0.5 * (1.0 + _NODE)) / _STEPS).ravel()
_MEAN = np.tile(0.5 * _WEIGHT, _STEPS) / _STEPS
_LEAST_SLOPE: Final = 1e-30  # above zero: no current makes the torque


def squares_of_saturation(duty: DutyRows, machine: MachineColumns) -> FloatArray:
    """Return the mean square of current that saturation takes beyond a linear machine, shape (rows,). [A2]"""
    squares = np.zeros(len(duty.rows))
    still = duty.speed[..., 0] + duty.speed[..., 1] == 0.0
    constant = machine.hot_torque_constant / np.sqrt(np.where(still, machine.edge_factor, 1.0))
    end = constant * machine.linear_current
    largest = np.abs(duty.torque).max(axis=2) + np.abs(duty.drag).max(axis=2)
    row, part = np.nonzero(largest > end)
    if row.size:
        linear = np.maximum(np.abs(_em_torque(duty, row, part)) / end[row, part, None] - 1.0, 0.0)
        slope = np.maximum(1.0 - machine.bend[row] * linear, _LEAST_SLOPE)
        taken = np.minimum(linear / slope, BEYOND_SATURATION * (1.0 + linear) - 1.0)
        # both begin where the linear range ends, so their squares differ by one product
        beyond = ((taken - linear) * (2.0 + taken + linear)) @ _MEAN * machine.linear_current[row, 0] ** 2
        squares = np.bincount(row, beyond * duty.duration[row, part], squares.size) / duty.cycle_time
    return squares


def _em_torque(duty: DutyRows, row: IntArray, part: IntArray) -> FloatArray:
    """Return the electromagnetic torque of some parts where they are looked at, shape (those, 24). [N m]"""

    def at(ends: FloatArray) -> FloatArray:
        start, end = ends[row, part, 0], ends[row, part, 1]
        along: FloatArray = start[:, None] + (end - start)[:, None] * _SHARE
        return along

    torque, speed = at(duty.torque), at(duty.speed)
    laws = {id(one.law): one.law for one in duty.drags}
    law = np.array([id(one.law) for one in duty.drags])[duty.drag_index[row]]
    for number, drag in laws.items():
        mine: BoolArray = law == number
        if mine.any():
            torque[mine] += np.asarray(drag_torque(drag, np.abs(speed[mine]))) * np.sign(speed[mine])
    return torque
