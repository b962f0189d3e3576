"""The speed that an unloaded motor reaches at the highest voltage, and how soon."""

from __future__ import annotations

import math

from core.evaluation.feed import highest_voltage
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.physics.fault_facts import run_away_speed
from core.physics.field_weakening import largest_weakened_speed
from core.physics.voltage import available_voltage
from core.project.application import Supply

FAR_BEYOND = 20.0  # times the speed without weakening, where the search for the weakened one ends


@remembered()
def free_speed(supply: Supply, motor: MotorModel) -> float | None:
    """Return where voltage and drag leave an unloaded motor at hot magnets; None without a voltage. [rad/s]

    The winding is cold: with the small current of the drag it matters little. Electronics that weaken the
    field go beyond.
    """
    voltage, drive = highest_voltage(supply), motor.drive
    if voltage is None:
        return None
    available = float(available_voltage(motor.commutation, voltage, drive.largest_duty, drive.modulation))
    plain = run_away_speed(
        motor.constants, motor.commutation, available, motor.drag, motor.cold_temp,
        motor.hot_magnet_temp, motor.path,
    )  # fmt: skip
    limit = motor.current_limit
    if motor.weakening_voltage is None or limit is None or plain <= 0.0:
        return plain
    weakened = largest_weakened_speed(
        motor.constants, available, limit, motor.cold_temp, motor.hot_magnet_temp, FAR_BEYOND * plain,
        motor.drag, motor.path,
    )  # fmt: skip
    return max(plain, weakened) if math.isfinite(weakened) else plain
