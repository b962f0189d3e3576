"""Whether the ratio of a transmission suits motor and load: its window, and how it may have been chosen."""

from __future__ import annotations

import numpy as np

from core.evaluation.curves import plane_curves
from core.evaluation.duty import DerivedDuty, derived_duty
from core.evaluation.heat_model import heat_model
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import lowest_voltage
from core.findings import Finding
from core.physics.machine_constants import stall_torque
from core.physics.ratio_study import RatioWindow, ratio_findings, ratio_window
from core.physics.voltage import available_voltage
from core.project.application import Application
from core.project.transmission import Transmission


def window_of(application: Application, motor: MotorModel, derived: DerivedDuty) -> RatioWindow | None:
    """Return the window for the largest torque and speed that motor and electronics have for moments."""
    heat = heat_model(application.site, motor)
    curves = plane_curves(application.supply, application.requirements, motor, heat, 0.0)
    if curves.peak is None or curves.voltage_limit is None:
        return None
    reached = np.isfinite(curves.voltage_limit)
    speed = float(curves.speed[reached].max()) if reached.any() else 0.0
    if motor.variant.largest_speed is not None:
        speed = min(speed, motor.variant.largest_speed)
    torque = float(np.fmin(curves.peak, curves.voltage_limit)[0])
    if not (torque > 0.0 and speed > 0.0):
        return None
    motion, terms = derived.load.motion, derived.load.terms
    return ratio_window(
        terms.total.ravel(),
        np.column_stack((motion.speed[:-1], motion.speed[1:])).ravel(),
        np.repeat(motion.acceleration, 2),
        torque,
        speed,
        motor.inertia,
        derived.gear,
    )


def findings_on_ratio(
    application: Application, transmission: Transmission | None, motor: MotorModel
) -> tuple[Finding, ...]:
    """Return what is wrong with the ratio of a transmission; nothing for direct drive or another duty."""
    if transmission is None or application.duty_from != "load":
        return ()
    derived = derived_duty(application.load, transmission)
    if not isinstance(derived, DerivedDuty):
        return ()
    window = window_of(application, motor, derived)
    if window is None:
        return ()
    peak = float(np.abs(derived.load.terms.total).max())
    return ratio_findings(transmission.ratio, window, peak, _stall_torque(application, motor))


def _stall_torque(application: Application, motor: MotorModel) -> float | None:
    """Return the torque of the locked motor at full voltage, as data sheets print it. [N m]"""
    voltage = application.supply.nominal_voltage or lowest_voltage(application.supply)
    if voltage is None:
        return None
    available = available_voltage(motor.commutation, voltage, 1.0, motor.drive.modulation)
    return float(stall_torque(motor.constants, motor.commutation, available))
