"""The limits of a candidate over speed, as the speed-torque plane draws them."""

from __future__ import annotations

import math

import numpy as np

from core.evaluation.heat_model import HeatModel, NoHeatModel
from core.evaluation.lasting_torque import lasting_torque, short_torque
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import lowest_voltage, voltage_at
from core.evaluation.remembered import remembered
from core.evaluation.wires import source_resistance
from core.numeric import FloatArray
from core.physics.drag import drag_torque
from core.physics.field_weakening import weakened_limit_torque
from core.physics.machine_constants import no_load_speed
from core.physics.short_time import bracketed_root
from core.physics.voltage import available_voltage, braking_limit_torque, voltage_limit_torque
from core.project.application import Requirements, Supply
from core.results import PlaneCurves

SPEEDS = 97
SPEED_STEP = 1.1  # of the drawn range beyond the motor's own top speed
SHORT_TIME_SPEEDS = 33  # the short-time curve is smooth; the speeds between are interpolated
SAG_ACCURACY = 1e-7  # of the torque under a sagging supply


def plane_curves(
    supply: Supply, requirements: Requirements, motor: MotorModel, heat: HeatModel | NoHeatModel, top: float
) -> PlaneCurves:
    """Return the curves of a candidate from standstill to a little beyond `top` or its own top speed.

    Parameters
    ----------
    top : float
        Speed that must be in the picture, from the duty. [rad/s]
    """
    return _curves(supply, requirements, motor, heat, drawn_speed(supply, motor, top))


@remembered()
def _curves(
    supply: Supply, requirements: Requirements, motor: MotorModel, heat: HeatModel | NoHeatModel, end: float
) -> PlaneCurves:
    speed = np.linspace(0.0, end, SPEEDS)
    drag = np.where(speed > 0.0, np.asarray(drag_torque(motor.drag, speed)), 0.0)
    driving, braking = _voltage_limits(supply, motor, speed, drag)
    largest, reason = peak_torque(motor)
    peak = None
    if largest is not None:
        at_rest = motor.holding_torque_constant / motor.hot_torque_constant  # the worst angle of rest
        peak = largest * np.where(speed > 0.0, 1.0, at_rest)
    continuous = continuous_braking = short = short_braking = None
    if isinstance(heat, HeatModel) and np.isfinite(heat.limit[heat.network.winding]):
        lasting = lasting_torque(heat, motor, speed)
        continuous, continuous_braking = lasting.motoring, -lasting.braking
        em = _short_time_torque(heat, motor, speed, requirements.short_time)
        short, short_braking = np.maximum(em - drag, 0.0), -np.where(em > 0.0, em + drag, 0.0)
    return PlaneCurves(
        speed=speed,
        voltage_limit=driving,
        voltage_limit_braking=braking,
        continuous=continuous,
        continuous_braking=continuous_braking,
        short_time=short,
        short_time_braking=short_braking,
        short_time_seconds=requirements.short_time,
        peak=None if peak is None else np.maximum(peak - drag, 0.0),
        peak_braking=None if peak is None else -(peak + drag),
        peak_reason=reason,
        largest_speed=motor.variant.largest_speed,
    )


def peak_torque(motor: MotorModel) -> tuple[float | None, str]:
    """Return the largest electromagnetic torque by current at hot magnets, and which current limits it.

    Without data of its saturation the torque is taken as proportional to the current.
    """
    limits = [
        (current, words)
        for current, words in (
            (motor.peak_current, motor.peak_reason),
            (motor.drive.peak_current, "peak current of the electronics"),
        )
        if current is not None
    ]
    if not limits:
        return None, ""
    current, words = min(limits)
    return float(motor.torque_of(current, motor.hot_torque_constant)), words


def drawn_speed(supply: Supply, motor: MotorModel, top: float) -> float:
    """Return the last speed of the curves: beyond `top` and the motor's own top speed. [rad/s]"""
    voltage = supply.highest_voltage or supply.nominal_voltage or lowest_voltage(supply)
    reach = 0.0
    if voltage is not None:
        available = available_voltage(
            motor.commutation, voltage, motor.drive.largest_duty, motor.drive.modulation
        )
        reach = float(no_load_speed(motor.constants, motor.commutation, available))
    elif motor.variant.largest_speed is not None:
        reach = motor.variant.largest_speed
    end = max(reach, 1.0)
    # in steps, so that the curves stay as they are while a load point is dragged beyond
    steps = math.ceil(math.log(max(top / end, 1.0)) / math.log(SPEED_STEP))
    return 1.05 * end * SPEED_STEP**steps


def _voltage_limits(
    supply: Supply, motor: MotorModel, speed: FloatArray, drag: FloatArray
) -> tuple[FloatArray | None, FloatArray | None]:
    """Return the delivered torque that the lowest voltage allows, driving and braking (negative).

    The least over hot and cold winding and magnets; NaN where not even the drag can be overcome, and in
    braking where the current cannot be controlled.
    """
    lowest = lowest_voltage(supply)
    if lowest is None:
        return None, None
    drive, cases = motor.drive, temperature_cases(motor)
    winding, magnet = cases[:, :1], cases[:, 1:]
    source = np.full(speed.shape, lowest)
    full = available_voltage(motor.commutation, source, drive.largest_duty, drive.modulation)
    brake = braking_limit_torque(
        motor.constants, motor.commutation, speed, full, winding, magnet, motor.path
    ).min(axis=0)
    em = voltage_limit_torque(
        motor.constants, motor.commutation, speed, full, winding, magnet, motor.path
    ).min(axis=0)
    if motor.weakening_voltage is not None and motor.current_limit is not None:
        weakened = weakened_limit_torque(
            motor.constants, speed, full, motor.current_limit, winding, magnet, motor.path
        )
        em = np.maximum(em, weakened.min(axis=0))
    if source_resistance(supply) > 0.0:
        em = _under_sag(em, supply, motor, speed)
    driving = em - drag
    # where the EMF alone exceeds the voltage the diodes conduct and the current is no longer controlled
    return np.where(driving >= 0.0, driving, np.nan), np.where(brake > 0.0, -(brake + drag), np.nan)


def _under_sag(em: FloatArray, supply: Supply, motor: MotorModel, speed: FloatArray) -> FloatArray:
    """Return the torque at which the voltage that is left under its own load is just used up.

    It lies between zero and the torque without sag `em`: more torque needs more voltage and leaves less.
    """
    lowest = lowest_voltage(supply)
    assert lowest is not None  # `_voltage_limits` asks for it
    most_power = lowest**2 / (4.0 * source_resistance(supply))

    def left(torque: FloatArray) -> FloatArray:
        demand = voltage_at(torque, speed, motor, supply)
        assert demand is not None
        # beyond its largest power the source gives nothing, whatever voltage would be needed
        share: FloatArray = np.maximum(demand.required / demand.available, demand.power / most_power)
        return 1.0 - share

    low, high = np.zeros(em.shape), np.maximum(em, 0.0)
    at_low, at_high = left(low), left(high)
    active = (at_low > 0.0) & (at_high < 0.0)
    root = bracketed_root(left, (low, high), (at_low, at_high), active, relative=SAG_ACCURACY)
    return np.where(active, root, np.where(at_low > 0.0, em, np.minimum(em, 0.0)))


def temperature_cases(motor: MotorModel) -> FloatArray:
    """Return winding and magnet temperature of the four corners, shape (4, 2). [degC]"""
    cold = motor.cold_temp
    return np.array([(w, m) for w in (cold, motor.hot_winding_temp) for m in (cold, motor.hot_magnet_temp)])


def _short_time_torque(heat: HeatModel, motor: MotorModel, speed: FloatArray, duration: float) -> FloatArray:
    """Return the electromagnetic torque that brings the motor from ambient to a limit in a time."""
    coarse = np.linspace(speed[0], speed[-1], SHORT_TIME_SPEEDS)
    coarse[1] = speed[1]  # the curve bends next to standstill, where one phase carries more
    return np.interp(speed, coarse, short_torque(heat, motor, coarse, duration))
