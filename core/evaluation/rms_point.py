"""The RMS point of the speed-torque plane: a picture of the cycle, with the statement whether it holds."""

from __future__ import annotations

import numpy as np

from core.evaluation.heat_model import HeatModel, NoHeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.part_means import part_means
from core.physics.rms_torque import VALID_CYCLE_SHARE, rms_is_valid
from core.physics.shaft_duty import ShaftDuty
from core.results import RmsPoint
from core.sentences import sentence
from core.units import Kind


def rms_point(duty: ShaftDuty, motor: MotorModel, heat: HeatModel | NoHeatModel) -> RmsPoint:
    """Return RMS torque less mean drag at the time-mean speed, and whether it stands for the heat.

    Time at rest counts in full, in the torque as in the speed.
    """
    means = part_means(duty, motor.drag)
    cycle = duty.cycle_time
    rms = float(np.sqrt(means.square @ duty.duration / cycle))
    mean_speed = 0.5 * (np.abs(duty.speed_start) + np.abs(duty.speed_end))  # parts never cross zero
    torque = max(rms - float(means.drag_torque @ duty.duration) / cycle, 0.0)
    speed = float(mean_speed @ duty.duration) / cycle
    if isinstance(heat, NoHeatModel):
        return RmsPoint(torque, speed, False, "not known to be valid: no thermal data")
    if duty.is_steady:
        return RmsPoint(torque, speed, True, "valid: torque and speed never change")
    tau = heat.winding_time_constant
    valid = rms_is_valid(cycle, tau)
    words = "valid" if valid else "not valid here"
    statement = sentence(
        f"{words}: the cycle of {{cycle}} is {{share}} of the winding time constant of {{tau}}; "
        "up to {valid_share} an RMS torque stands for the heat",
        cycle=(cycle, Kind.TIME),
        share=(cycle / tau, Kind.RATIO),
        tau=(tau, Kind.TIME),
        valid_share=(VALID_CYCLE_SHARE, Kind.RATIO),
    )
    return RmsPoint(torque, speed, valid, statement)
