"""What saturation means for the torques of a cycle, and what is not known without its data."""

from __future__ import annotations

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.sentences import sentence
from core.units import Kind

NOTABLE_LOSS_FACTOR = 1.02  # less is below what the copper loss is known to


def saturation_findings(points: OperatingPoints | None, motor: MotorModel) -> tuple[Finding, ...]:
    """Return what torques beyond the linear range cost, or that a linear machine was assumed."""
    law = motor.saturation
    if law is None:
        return _linear_assumed(motor)
    if points is None:
        return ()
    asked = points.current
    if motor.weakening_voltage is not None:  # what weakens the field makes no torque
        asked = motor.current_of(points.em_torque, points.torque_constant)
    index = int(np.argmax(asked))
    current = float(asked[index])
    if current <= law.linear_current:
        return ()
    torque = abs(float(points.em_torque[index]))
    segment = int(points.segment[index])
    linear = torque / float(points.torque_constant[index])
    largest = _largest_torque(points, motor, index)
    if largest is not None and torque >= largest:
        text = sentence(
            "No current makes {torque} with magnets at {magnets}, at which all currents are judged: with "
            "saturation the motor ends at {largest}, whatever the current.",
            torque=(torque, Kind.TORQUE),
            magnets=(motor.hot_magnet_temp, Kind.TEMPERATURE),
            largest=(largest, Kind.TORQUE),
        )
        values = {"torque_Nm": torque, "largest_torque_Nm": largest}
        return (Finding("torque_beyond_saturation", "serious", text, values, segment),)
    factor = (current / linear) ** 2
    if factor < NOTABLE_LOSS_FACTOR:
        return ()
    text = sentence(
        "Up to {range} torque goes with current; {torque} takes {current}, not {linear}. There the copper "
        f"loss is {factor:.3g} times that of a linear machine. Temperatures and torque reserve count it.",
        range=(law.linear_current, Kind.CURRENT),
        torque=(torque, Kind.TORQUE),
        current=(current, Kind.CURRENT),
        linear=(linear, Kind.CURRENT),
    )
    values = {"linear_current_A": law.linear_current, "current_A": current, "copper_loss_factor": factor}
    return (Finding("torque_beyond_linear_range", "warning", text, values, segment),)


def _largest_torque(points: OperatingPoints, motor: MotorModel, index: int) -> float | None:
    """Return the torque that no current passes at a point, at hot magnets, as all its currents. [N m]"""
    largest = motor.largest_torque
    if largest is None:
        return None
    return largest * float(points.torque_constant[index]) / motor.hot_torque_constant


@remembered()
def _linear_assumed(motor: MotorModel) -> tuple[Finding, ...]:
    limit = motor.current_limit
    if limit is None:
        return ()
    text = sentence(
        "Nothing is known of the saturation of the winding: torque is taken as proportional to current up to "
        "{limit}. Iron saturates: less torque than computed there is saturation, hot magnets or a wrong "
        "angle of commutation.",
        limit=(limit, Kind.CURRENT),
    )
    return (Finding("linear_law_assumed", "assumed", text, {"limit_A": limit}),)
