"""Field weakening of a candidate: what its drive adds in current and heat to reach beyond the voltage.

The current along the magnet axis is that of cold magnets and a hot winding at the lowest voltage without
sag: the most that is needed. Its heat joins the cycle and the continuous torque over speed.
"""

from __future__ import annotations

import numpy as np

from core.evaluation.feed import highest_voltage
from core.evaluation.motor_model import MotorModel
from core.findings import Caution, Finding
from core.numeric import FloatArray
from core.physics.field_weakening import emf_without_drive, least_voltage, weakened_field
from core.physics.losses import electromagnetic_torque
from core.physics.machine_constants import copper_loss_factor
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Supply
from core.sentences import sentence
from core.units import Kind

LEAST_SHARE = 1e-3  # of the current limit, below which no weakening is spoken of


def weakening_current(motor: MotorModel, em_torque: FloatArray, speed: FloatArray) -> FloatArray | None:
    """Return the magnitude of the current along the magnet axis, same shape; None without weakening. [A]

    No more than the current limit leaves beside the torque.
    """
    voltage, limit = motor.weakening_voltage, motor.current_limit
    if voltage is None or limit is None:
        return None
    found = weakened_field(
        motor.constants, em_torque, speed, voltage, motor.hot_winding_temp, motor.cold_temp, motor.path
    )
    left = np.sqrt(np.maximum(limit**2 - found.q_current**2, 0.0))
    current: FloatArray = np.minimum(np.abs(found.d_current), left)
    return current


def weakened_voltage(motor: MotorModel, em_torque: FloatArray, speed: FloatArray) -> FloatArray | None:
    """Return the least voltage with weakening in the four temperature cases, (4, points); None without."""
    limit = motor.current_limit
    if motor.weakening_voltage is None or limit is None:
        return None
    cold = motor.cold_temp
    winding = np.repeat((cold, motor.hot_winding_temp), 2)[:, None]
    magnet = np.tile((cold, motor.hot_magnet_temp), 2)[:, None]
    return least_voltage(motor.constants, em_torque, speed, limit, winding, magnet, motor.path)


def mean_square_weakening(duty: ShaftDuty, motor: MotorModel) -> FloatArray | None:
    """Return the mean square of the current along the magnet axis in each part; None without any. [A2]

    By Simpson's rule over ends and middle of each part.
    """
    if motor.weakening_voltage is None:
        return None
    torque = np.stack((duty.torque_start, 0.5 * (duty.torque_start + duty.torque_end), duty.torque_end))
    speed = np.stack((duty.speed_start, 0.5 * (duty.speed_start + duty.speed_end), duty.speed_end))
    current = weakening_current(motor, np.asarray(electromagnetic_torque(torque, speed, motor.drag)), speed)
    if current is None or not current.any():
        return None
    mean: FloatArray = np.array([1.0, 4.0, 1.0]) / 6.0 @ current**2
    return mean


def weakening_loss(duty: ShaftDuty, motor: MotorModel) -> FloatArray | None:
    """Return the mean copper loss of weakening in each part at the reference temperature. [W]"""
    square = mean_square_weakening(duty, motor)
    if square is None:
        return None
    return copper_loss_factor("sinusoidal") * motor.constants.resistance * square


def weakening_findings(duty: ShaftDuty | None, motor: MotorModel) -> tuple[Finding, ...]:
    """Return what the weakening costs in the cycle, or why it is not used."""
    if not motor.drive.field_weakening or motor.commutation != "sinusoidal":
        return ()
    if motor.current_limit is None:
        missing = (
            "The electronics can weaken the field, but neither their peak current nor that of the motor is "
            "given: without a limit of the current weakening is not counted."
        )
        return (Finding("weakening_not_counted", "warning", missing),)
    square = None if duty is None else mean_square_weakening(duty, motor)
    if duty is None or square is None or square.max() < (LEAST_SHARE * motor.current_limit) ** 2:
        return ()
    loss = float(copper_loss_factor("sinusoidal") * motor.constants.resistance * square @ duty.duration)
    mean, current = loss / duty.cycle_time, float(np.sqrt(square.max()))
    text = sentence(
        "The field is weakened: up to {current} flow against the magnets and heat the winding by {loss} on "
        "average over the cycle. Currents, temperatures and the continuous torque over speed contain it.",
        current=(current, Kind.CURRENT),
        loss=(mean, Kind.POWER),
    )
    numbers = {"weakening_current_A": current, "extra_copper_loss_W": mean}
    return (Finding("field_is_weakened", "note", text, numbers),)


def weakening_caution(duty: ShaftDuty | None, motor: MotorModel, supply: Supply) -> tuple[Caution, ...]:
    """Return the caution of the voltage that the machine makes by itself when the electronics drop out."""
    voltage = highest_voltage(supply)
    if motor.weakening_voltage is None or duty is None or voltage is None:
        return ()
    top = float(max(np.abs(duty.speed_start).max(), np.abs(duty.speed_end).max()))
    emf = float(emf_without_drive(motor.constants, top, motor.cold_temp))
    stands = motor.drive.trip_voltage or motor.drive.highest_supply or voltage
    if emf <= stands:
        return ()
    text = sentence(
        "At {speed} the field is weakened. If the electronics drop out there, the motor drives up to {emf} "
        "into the bus, above the {stands} that it stands, and brakes hard. Provide a clamp or a short "
        "circuit of the motor that works without the controller.",
        speed=(top, Kind.SPEED),
        emf=(emf, Kind.VOLTAGE),
        stands=(stands, Kind.VOLTAGE),
    )
    numbers = {"emf_V": emf, "stands_V": stands}
    return (Caution("over_voltage_without_weakening", "Overvoltage", text, numbers),)
