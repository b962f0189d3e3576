"""Step 3: torque, current and voltage at both ends of every part of the cycle.

Between the ends of a part torque (but for the drag) and speed are linear; current and required voltage are
convex there, so the worst case is at an end.
"""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.weakening import weakened_voltage, weakening_current
from core.evaluation.wires import source_resistance
from core.numeric import FloatArray, IntArray
from core.physics.drag import drag_torque
from core.physics.shaft_duty import ShaftDuty
from core.physics.voltage import CASES, available_voltage, sagged_voltage, worst_voltage
from core.project.application import Supply
from core.records import dataclass
from core.results import LoadPoints

LARGEST_BLOCK = 100_000  # points whose voltage is found at once


@dataclass(frozen=True, slots=True)
class OperatingPoints:
    """Both ends of each part, shape (points,) each. [s, rad/s, N m, A]

    `delivered` is `T_shaft + J alpha`; `em_torque` adds the drag; `current` is the amplitude at hot magnets,
    with `torque_constant` [N m/A], which is that of the worst angle where the motor holds still.
    """

    segment: IntArray
    instant: FloatArray
    speed: FloatArray
    delivered: FloatArray
    em_torque: FloatArray
    torque_constant: FloatArray
    current: FloatArray


@dataclass(frozen=True, slots=True)
class VoltageDemand:
    """Voltage at each operating point, shape (points,): required and available [V], share, case.

    `utilisation` is infinite where the supply cannot deliver `power` [W] over its resistance at any current.
    """

    required: FloatArray
    available: FloatArray
    utilisation: FloatArray
    case: IntArray
    power: FloatArray

    def case_words(self, point: int) -> str:
        """Return which temperatures were the worst at a point."""
        return CASES[int(self.case[point])]


def operating_points(duty: ShaftDuty, motor: MotorModel) -> OperatingPoints:
    """Return torque and current at both ends of every part of the cycle."""
    speed = np.column_stack((duty.speed_start, duty.speed_end)).ravel()
    delivered = np.column_stack((duty.torque_start, duty.torque_end)).ravel()
    direction = np.repeat(duty.direction, 2)
    em_torque = delivered + direction * np.asarray(drag_torque(motor.drag, np.abs(speed)))
    holds = motor.holding_torque_constant
    constant = np.where(direction == 0.0, holds, motor.hot_torque_constant)
    return OperatingPoints(
        segment=np.repeat(duty.segment, 2),
        instant=np.column_stack((duty.start, duty.start + duty.duration)).ravel(),
        speed=speed,
        delivered=delivered,
        em_torque=em_torque,
        torque_constant=constant,
        current=_current(motor, em_torque, speed, constant),
    )


def _current(motor: MotorModel, em_torque: FloatArray, speed: FloatArray, constant: FloatArray) -> FloatArray:
    current = motor.current_of(em_torque, constant)
    weakening = weakening_current(motor, em_torque, speed)
    return current if weakening is None else np.hypot(current, weakening)


def voltage_demand(points: OperatingPoints, motor: MotorModel, supply: Supply) -> VoltageDemand | None:
    """Return required against available voltage at the lowest supply voltage; None without a voltage."""
    count = points.speed.size
    if count <= LARGEST_BLOCK:
        return voltage_at(points.em_torque, points.speed, motor, supply)
    # a long trace goes in blocks, so that its four temperature cases do not fill the memory
    blocks = [slice(start, start + LARGEST_BLOCK) for start in range(0, count, LARGEST_BLOCK)]
    found = [voltage_at(points.em_torque[b], points.speed[b], motor, supply) for b in blocks]
    done = [block for block in found if block is not None]
    if not done:
        return None
    return VoltageDemand(
        *(np.concatenate([getattr(block, f.name) for block in done]) for f in fields(VoltageDemand))
    )


def voltage_at(
    em_torque: FloatArray, speed: FloatArray, motor: MotorModel, supply: Supply
) -> VoltageDemand | None:
    """Return required against available voltage at any torque and speed, shape (points,)."""
    lowest = lowest_voltage(supply)
    if lowest is None:
        return None
    drive = motor.drive
    power = supply_power(em_torque, speed, motor)
    link, reachable = sagged_voltage(lowest, source_resistance(supply), power)
    available = np.asarray(
        available_voltage(motor.commutation, link, drive.largest_duty, drive.modulation), dtype=float
    )
    worst = worst_voltage(
        motor.constants,
        motor.commutation,
        em_torque,
        speed,
        (motor.cold_temp, motor.hot_winding_temp),
        (motor.cold_temp, motor.hot_magnet_temp),
        available,
        motor.path,
    )
    required, case = worst.required, worst.case
    weakened = weakened_voltage(motor, em_torque, speed)
    if weakened is not None:  # what is left of the voltage counts after weakening
        required, case = weakened.max(axis=0), weakened.argmax(axis=0)
    return VoltageDemand(
        required=required,
        available=available,
        utilisation=np.where(reachable, required / available, np.inf),
        case=case,
        power=power,
    )


def lowest_voltage(supply: Supply) -> float | None:
    """Return the lowest supply voltage; the nominal one where no lower one is stated."""
    return supply.lowest_voltage if supply.lowest_voltage is not None else supply.nominal_voltage


def supply_power(em_torque: FloatArray, speed: FloatArray, motor: MotorModel) -> FloatArray:
    """Return the power that the electronics takes, hot winding and magnets; not below its idle power. [W]"""
    hot = motor.hot_winding_temp
    loss = motor.series_loss(em_torque) + motor.ripple_loss(speed, hot)
    weakening = weakening_current(motor, em_torque, speed)
    if weakening is not None:
        loss = loss + motor.path_loss(weakening, hot)
    power: FloatArray = np.maximum(em_torque * speed + loss, 0.0)
    return power + motor.drive.idle_power


def load_points(
    duty: ShaftDuty, points: OperatingPoints, voltage: VoltageDemand | None, inertia: float
) -> LoadPoints:
    """Return one point per segment for the speed-torque plane: where its torque is largest.

    Where the torque is the same throughout, that is its faster end.
    """
    first = np.flatnonzero(np.diff(points.segment, prepend=-1))  # first point of each segment
    last = np.append(first[1:], points.segment.size) - 1
    order = np.lexsort((np.abs(points.speed), np.round(np.abs(points.delivered), 12), points.segment))
    point = order[last]  # the last of each segment in this order has the largest torque, then speed
    fast = points.speed[point]
    at_start = np.abs(points.speed[first]) > np.abs(points.speed[last])
    other = np.where(at_start, points.speed[last], points.speed[first])
    direction = np.where(fast < 0.0, -1.0, 1.0)
    part = point // 2
    acceleration = (duty.speed_end - duty.speed_start)[part] / duty.duration[part]
    return LoadPoints(
        speed=np.abs(fast),
        other_speed=other * direction,
        torque=points.delivered[point] * direction,
        direction=direction,
        inertia_torque=inertia * acceleration * direction,
        current=points.current[point],
        at_start=at_start,
        voltage_utilisation=None if voltage is None else np.maximum.reduceat(voltage.utilisation, first),
    )
