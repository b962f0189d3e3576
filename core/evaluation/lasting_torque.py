"""Continuous and short-time torque of a candidate over speed, with all that follows the torque itself.

The rows of `operating_rows` know a linear machine, with copper loss by the square of the torque. Saturation
makes less torque of the same current, so of the same heat: that is exact. Field weakening and the switches of
built-in electronics heat by an amount that depends on the torque: a root is sought, and only then.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.evaluation.device_heat import device_loss
from core.evaluation.heat_model import HeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import operating_rows, standing_copper_factor
from core.evaluation.weakening import weakening_current
from core.numeric import BoolArray, FloatArray
from core.physics.continuous_torque import ContinuousTorque, continuous_torque, steady_response
from core.physics.machine_constants import copper_loss_factor
from core.physics.materials import magnet_flux_factor
from core.physics.operating_heat import OperatingHeat, resting_temperatures
from core.physics.peak_limits import saturated_torque
from core.physics.short_time import bracketed_root, torque_for_time
from core.records import dataclass

_ACCURACY = 1e-6  # of the torque whose own heat lowers it
_ROUNDS = 4  # until surface coefficients belong to the cooler state
_NOTED = 1e-4  # of the torque by which a cooler state must have more, to be looked at with its own surfaces
_COOLER = np.linspace(0.1, 1.0, 91)  # shares of the copper loss at the limit: the largest torque to 1e-5


@dataclass(frozen=True, slots=True)
class LastingTorque:
    """Continuous torque at speeds, shape (m,) each: at the shaft driving and braking, and behind both. [N m]

    `drag_alone` tells where the drag takes all of it, `too_hot_idle` where a limit is passed without any.
    Loss and temperatures are left out: a saturated motor may have its largest torque below every limit.
    """

    motoring: FloatArray
    braking: FloatArray
    em_torque: FloatArray
    drag_alone: BoolArray
    too_hot_idle: BoolArray


def lasting_torque(heat: HeatModel, motor: MotorModel, speed: FloatArray) -> LastingTorque:
    """Return the continuous torque at speeds, shape (m,)."""
    rows = operating_rows(heat, motor, speed)
    plain = continuous_torque(rows)
    if motor.saturation is None and not heats_by_torque(motor):
        return LastingTorque(
            plain.motoring, plain.braking, plain.em_torque, plain.drag_alone, plain.too_hot_idle
        )

    def torque_in(row: OperatingHeat) -> FloatArray:
        return _most_of_states(heat, motor, row, continuous_torque(row))

    em = _with_own_heat(heat, motor, rows, torque_in)
    found = continuous_torque(_heated(heat, motor, rows, em)) if heats_by_torque(motor) else plain
    drag, idle = rows.drag_torque, found.too_hot_idle
    return LastingTorque(
        motoring=np.maximum(em - drag, 0.0),
        braking=np.where(idle, 0.0, em + drag),
        em_torque=em,
        drag_alone=~idle & (em < drag),
        too_hot_idle=idle,
    )


def _most_of_states(
    heat: HeatModel, motor: MotorModel, row: OperatingHeat, found: ContinuousTorque
) -> FloatArray:
    """Return the torque of the state at a limit, or the larger one of a cooler state, shape (m,). [N m]

    Warmer magnets need more current, and beyond the linear range that makes so little torque that the state
    at the limit may have less of it than a cooler one: a motor that warms up has passed its largest by then.
    """
    at_limit = saturated(motor, found.em_torque, row.speed, found.node_temp[:, row.magnets])
    if not (at_limit < found.em_torque).any():
        return at_limit
    torque, temps = _of_states(motor, row, found.copper_loss)
    follows, beside, used = heat.network.by_temperature is not None, None, row
    for _ in range(_ROUNDS if follows and (torque > (1.0 + _NOTED) * at_limit).any() else 0):
        here = operating_rows(heat, motor, row.speed, temps)  # cooler surfaces give off less
        if beside is None:
            beside = row.inflow - operating_rows(heat, motor, row.speed, found.node_temp).inflow
        used = replace(row, matrix=here.matrix, inflow=here.inflow + beside)
        torque, temps = _of_states(motor, used, found.copper_loss)
    return np.where(found.em_torque > 0.0, np.maximum(at_limit, torque), at_limit)


def _of_states(motor: MotorModel, row: OperatingHeat, most: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the largest torque of states of up to so much copper loss, and the node temperatures there."""
    law, loss = row.copper_law, _COOLER[:, None] * most
    base, gain = steady_response(row)
    winding, magnets = (base[:, node] + gain[:, node] * loss for node in (row.winding, row.magnets))
    warmer = (law.copper_constant + winding) / (law.copper_constant + law.winding_ref_temp)
    flux = magnet_flux_factor(magnets, law.magnet_temp_coefficient, law.magnet_ref_temp)
    square = (loss * np.maximum(flux, 0.0) ** 2 / warmer - row.extra_copper) / row.copper_per_torque_squared
    torque = saturated(motor, np.sqrt(np.maximum(square, 0.0)), row.speed, magnets)
    best, every = torque.argmax(axis=0), np.arange(most.size)
    return torque[best, every], base + gain * loss[best, every][:, None]


def short_torque(heat: HeatModel, motor: MotorModel, speed: FloatArray, duration: float) -> FloatArray:
    """Return the electromagnetic torque that brings the motor from rest to a limit in a time, shape (m,).

    Saturation counts at hot magnets, which is on the safe side.
    """
    rows, start = operating_rows(heat, motor, speed), resting_temperatures(heat.network)
    hot = np.full(speed.shape, motor.hot_magnet_temp)

    def torque_in(row: OperatingHeat) -> FloatArray:
        return saturated(motor, torque_for_time(row, duration, start), speed, hot)

    return _with_own_heat(heat, motor, rows, torque_in)


def heats_by_torque(motor: MotorModel) -> bool:
    """Whether there is heat that follows the torque otherwise than by its square in the winding."""
    return motor.weakening_voltage is not None or motor.drive.built_in


def saturated(motor: MotorModel, linear: FloatArray, speed: FloatArray, magnets: FloatArray) -> FloatArray:
    """Return the torque of the current that a linear machine would need for `linear`, same shape. [N m]

    `magnets` are their temperatures [degC]; at rest the current stands at the worst angle.
    """
    if motor.saturation is None:
        return linear
    c = motor.constants
    magnets = np.where(
        linear > 0.0, magnets, c.magnet_ref_temp
    )  # without any torque they may be hotter than any
    flux = magnet_flux_factor(magnets, c.magnet_temp_coefficient, c.magnet_ref_temp)
    constant = motor.torque_constant * flux / np.sqrt(standing_copper_factor(motor, speed))
    current: FloatArray = linear / constant
    if float(current.max(initial=0.0)) <= motor.saturation.linear_current:
        return linear
    return saturated_torque(motor.saturation, constant, current)


def _with_own_heat(
    heat: HeatModel,
    motor: MotorModel,
    rows: OperatingHeat,
    torque_in: Callable[[OperatingHeat], FloatArray],
) -> FloatArray:
    """Return the torque that its own further heat leaves: the root of what is left less what is asked."""
    most = torque_in(rows)
    if not heats_by_torque(motor):
        return most

    def left(em: FloatArray) -> FloatArray:
        return torque_in(_heated(heat, motor, rows, em)) - em

    none = np.zeros_like(most)
    at_none, at_most = left(none), left(most)
    active = (at_none > 0.0) & (at_most < 0.0)
    root = bracketed_root(left, (none, most), (at_none, at_most), active, relative=_ACCURACY)
    return np.where(active, root, np.where(at_none > 0.0, most, 0.0))


def _heated(heat: HeatModel, motor: MotorModel, rows: OperatingHeat, em: FloatArray) -> OperatingHeat:
    """Return the rows with the heat of weakening and of built-in electronics at a torque."""
    extra, inflow = rows.extra_copper, rows.inflow
    weakening = weakening_current(motor, em, rows.speed)
    if weakening is not None:
        extra = extra + copper_loss_factor("sinusoidal") * motor.constants.resistance * weakening**2
    if motor.drive.built_in:
        inflow = inflow.copy()
        inflow[:, heat.network.outside] += device_loss(motor, em, motor.hot_torque_constant, rows.speed)
    return replace(rows, extra_copper=extra, inflow=inflow)
