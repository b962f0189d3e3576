"""The efficiency map of a candidate: shaft power over supply power, where the motor drives."""

from __future__ import annotations

import numpy as np

from core.evaluation.curves import plane_curves
from core.evaluation.heat_model import HeatModel, heat_model
from core.evaluation.losses import motor_balance
from core.evaluation.motor_model import motor_of
from core.evaluation.operating_rows import operating_rows
from core.numeric import FloatArray
from core.physics.continuous_torque import steady_temperatures
from core.physics.drag import drag_torque
from core.physics.losses import efficiency
from core.physics.operating_heat import OperatingHeat
from core.project.application import Application
from core.project.candidate import Candidate
from core.records import dataclass

SPEEDS, TORQUES = 56, 44


@dataclass(frozen=True, slots=True)
class EfficiencyMap:
    """Efficiency over speed and delivered torque, `value` with shape (torques, speeds). [rad/s, N m, -]

    Supply power contains winding, leads, switches and the idle power of the electronics. Winding and
    magnets are at their steady temperatures at each place, at most at their limits: beyond the
    continuous torque a place is only passed for a short time. NaN where the voltage does not reach or a
    temperature without a limit runs away.
    """

    speed: FloatArray
    torque: FloatArray
    value: FloatArray


def efficiency_map(
    application: Application, candidate: Candidate, top_speed: float = 0.0
) -> EfficiencyMap | None:
    """Return the efficiency map of a candidate.

    None where motor or thermal data are missing, or where the voltage reaches nothing.

    Parameters
    ----------
    top_speed : float
        Speed that must be in the map. [rad/s]
    """
    motor = motor_of(application, candidate)
    if motor is None:
        return None
    heat = heat_model(application.site, motor)
    curves = plane_curves(application.supply, application.requirements, motor, heat, top_speed)
    if not isinstance(heat, HeatModel) or curves.voltage_limit is None:
        return None
    limit = curves.voltage_limit if curves.peak is None else np.minimum(curves.voltage_limit, curves.peak)
    speed = np.linspace(curves.speed[-1] / SPEEDS, curves.speed[-1], SPEEDS)
    reach = np.interp(speed, curves.speed, np.nan_to_num(limit, nan=0.0))
    highest = float(reach.max())
    if highest <= 0.0:
        return None
    torque = np.linspace(0.0, highest, TORQUES + 1)[1:]
    em = torque[:, None] + np.asarray(drag_torque(motor.drag, speed))
    winding, magnets = _temperatures(heat, operating_rows(heat, motor, speed), em)
    balance = motor_balance(motor, torque[:, None], speed, winding, magnets)
    return EfficiencyMap(speed, torque, np.where(torque[:, None] <= reach, efficiency(balance), np.nan))


def _temperatures(heat: HeatModel, rows: OperatingHeat, em: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return winding and magnet temperature at each place, shape (torques, speeds), within their limits."""
    node_temp = steady_temperatures(rows, em).node_temp
    capped = np.minimum(node_temp, np.maximum(heat.limit, heat.ambient))
    hottest = np.where(np.isfinite(capped), capped, np.nan)
    return hottest[..., heat.network.winding], hottest[..., heat.network.magnets]
