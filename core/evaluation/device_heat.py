"""Heat of the switches of electronics that are built into the motor."""

from __future__ import annotations

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.weakening import weakening_current
from core.numeric import FloatArray, Numeric
from core.physics.losses import drive_conduction_loss


def device_loss(
    motor: MotorModel, em_torque: FloatArray, torque_constant: Numeric, speed: FloatArray | None = None
) -> FloatArray:
    """Return the loss in the switches at torques, same shape: conduction and switching, without idle. [W]

    With `speed` the current that weakens the field counts too.
    """
    current = motor.current_of(em_torque, torque_constant)
    weakening = None if speed is None else weakening_current(motor, em_torque, speed)
    if weakening is not None:
        current = np.hypot(current, weakening)
    conducted = np.asarray(
        drive_conduction_loss(motor.commutation, current, motor.drive.on_resistance, motor.path.device_drop)
    )
    loss: FloatArray = conducted + motor.feed.switching_loss_per_ampere * current
    return loss
