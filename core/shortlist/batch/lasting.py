"""The continuous torque of many candidates at the speeds of the plane, as `continuous_torque` gives it.

Steady temperatures are affine in all heat, so that a motor is solved once; the limits of what is fitted and
the heat of a brake's coil come on top.
"""

from __future__ import annotations

import numpy as np

from core.evaluation.curves import SPEEDS
from core.evaluation.heat_model import HeatModel, stator_side
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import operating_rows
from core.numeric import FloatArray
from core.physics.operating_heat import phase_excess_gain
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class LastingHeat:
    """Steady response of a motor at the speeds of the plane, with nothing fitted.

    `base` [degC], `gain` [K/W] and `by_coil` [K/W] have shape (speeds, n): without copper loss, per watt of
    it, and per watt of a coil; `phase_gain` [K/W] is the excess of the hottest phase. `needed` [W] is the
    copper loss at reference temperatures that no torque makes, `drag` [N m] and `per_square` [W/(N m)^2] as
    in `OperatingHeat`.
    """

    base: FloatArray
    gain: FloatArray
    by_coil: FloatArray
    phase_gain: FloatArray
    extra: FloatArray
    drag: FloatArray
    per_square: FloatArray


def lasting_heat(heat: HeatModel, motor: MotorModel, end: float) -> LastingHeat:
    """Return the response of a motor at speeds up to an end. [rad/s]"""
    rows = operating_rows(heat, motor, np.linspace(0.0, end, SPEEDS))
    right = np.zeros((*rows.inflow.shape, 3))
    right[..., 0] = rows.inflow
    right[:, rows.winding, 1] = 1.0
    right[:, stator_side(heat.network, motor.variant.kind), 2] = 1.0
    solved = np.asarray(np.linalg.solve(rows.matrix, right), dtype=np.float64)
    return LastingHeat(
        base=solved[..., 0],
        gain=solved[..., 1],
        by_coil=solved[..., 2],
        phase_gain=phase_excess_gain(rows),
        extra=rows.extra_copper,
        drag=rows.drag_torque,
        per_square=rows.copper_per_torque_squared,
    )
