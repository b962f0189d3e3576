"""Motors with their electronics as columns of numbers: one row each, what is not stated as NaN."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from core.evaluation.feed import RippleLaw, highest_voltage, ripple_law
from core.evaluation.motor_model import BEYOND_SATURATION, MotorModel
from core.evaluation.ripple_side import USUAL_FREQUENCY
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.field_weakening import weakened_field
from core.physics.hold import sector_edge_loss_factor
from core.physics.losses import SeriesPath
from core.physics.machine_constants import MachineConstants, copper_loss_factor
from core.physics.peak_limits import SaturationLaw, saturated_current
from core.physics.voltage import available_voltage
from core.project.application import Supply
from core.project.drive import Drive

Lead = tuple[Any, ...]
"""What gives columns of shape (machines, 1) the shape in which they broadcast."""

_POWERS = 5  # coefficients of the square of the ripple


@dataclass(frozen=True, slots=True)
class MachineColumns:
    """Numbers of some machines, each of shape (machines, 1). [SI, degC]

    `voltage_share` times the link voltage is the largest voltage of the commutation. `linear_current` is
    infinite where no saturation is known. `ripple` are the coefficients of `RippleLaw.square`, shape
    (machines, 5), zero where no pulses are known, as `ripple_loss` is then; `pulse_voltage` is the largest
    voltage that they make, `usual_rms` [A] the ripple at the usual frequency where none is stated;
    `weakening_voltage` is NaN where the field is not weakened.
    """

    back_emf_constant: FloatArray
    resistance: FloatArray
    inductance: FloatArray
    pole_pairs: FloatArray
    resistance_ref_temp: FloatArray
    magnet_ref_temp: FloatArray
    magnet_temp_coefficient: FloatArray
    copper_constant: FloatArray
    torque_constant: FloatArray
    hot_torque_constant: FloatArray
    holding_torque_constant: FloatArray
    copper_factor: FloatArray
    copper_per_torque_squared: FloatArray
    cold_temp: FloatArray
    hot_winding_temp: FloatArray
    hot_magnet_temp: FloatArray
    motor_peak_current: FloatArray
    linear_current: FloatArray
    bend: FloatArray
    lead_resistance: FloatArray
    switch_resistance: FloatArray
    device_drop: FloatArray
    drop_share: FloatArray
    switching_loss: FloatArray
    full_speed: FloatArray
    ripple_loss: FloatArray
    voltage_share: FloatArray
    idle_power: FloatArray
    continuous_current: FloatArray
    drive_peak_current: FloatArray
    peak_time: FloatArray
    standstill_share: FloatArray
    largest_frequency: FloatArray
    lowest_supply: FloatArray
    bus_rating: FloatArray
    bus_capacitance: FloatArray
    largest_speed: FloatArray
    winding_limit: FloatArray
    magnet_limit: FloatArray
    edge_factor: FloatArray
    built_in_limit: FloatArray
    weakening_voltage: FloatArray
    current_limit: FloatArray
    pulse_voltage: FloatArray
    usual_rms: FloatArray
    ripple: FloatArray

    def at(self, index: IntArray) -> MachineColumns:
        """Return the rows of some machines, as often as named."""
        return MachineColumns(*(getattr(self, field.name)[index] for field in fields(self)))

    @property
    def loop_resistance(self) -> FloatArray:
        """What leads and switches add to the line-to-line resistance. [ohm]"""
        return 2.0 * (self.lead_resistance + self.switch_resistance)

    def current_of(self, em_torque: FloatArray, torque_constant: FloatArray) -> FloatArray:
        """Return the amount of the current of torques, shape (machines, ...), as `MotorModel.current_of`."""
        current: FloatArray = np.abs(em_torque) / torque_constant
        lead = (slice(None), *(None,) * (current.ndim - 1))
        linear = self.linear_current[:, 0]
        bent: BoolArray = np.asarray((current > linear[lead]).any(axis=tuple(range(1, current.ndim))))
        if bent.any():
            law = SaturationLaw(linear[bent][lead], self.bend[bent, 0][lead])  # type: ignore[arg-type]
            constant = np.broadcast_to(torque_constant, current.shape)[bent]
            saturated = np.abs(saturated_current(law, constant, em_torque[bent]))
            current[bent] = np.minimum(saturated, BEYOND_SATURATION * current[bent])
        return current

    def resistance_rise(self, winding_temp: FloatArray) -> FloatArray:
        """Return the resistance over that at its reference temperature, as `copper_resistance_factor`."""
        k = self.copper_constant
        rise: FloatArray = (k + winding_temp) / (k + self.resistance_ref_temp)
        return rise

    def flux(self, magnet_temp: FloatArray) -> FloatArray:
        """Return the flux over that at its reference temperature, as `magnet_flux_factor`. [-]"""
        factor: FloatArray = 1.0 + self.magnet_temp_coefficient * (magnet_temp - self.magnet_ref_temp)
        return factor

    @property
    def path(self) -> SeriesPath:
        """The paths in series, each number a column."""
        return SeriesPath(self.lead_resistance, self.switch_resistance, self.device_drop)  # type: ignore[arg-type]

    def weakening_current(self, em_torque: FloatArray, speed: FloatArray) -> FloatArray:
        """Return the current along the magnet axis at points, shape (machines, ...), as `weakening_current`.

        Zero where the field is not weakened.
        """
        found = np.zeros(np.broadcast_shapes(em_torque.shape, speed.shape))
        at = np.flatnonzero(~np.isnan(self.weakening_voltage[:, 0]))
        if not at.size:
            return found
        machine = self.at(at)
        lead = (slice(None), 0, *(None,) * (found.ndim - 1))
        field = weakened_field(
            machine.sinusoidal(lead), em_torque[at], speed[at], machine.weakening_voltage[lead],
            machine.hot_winding_temp[lead], machine.cold_temp[lead], machine.path_in(lead),
        )  # fmt: skip
        left = np.sqrt(np.maximum(machine.current_limit[lead] ** 2 - field.q_current**2, 0.0))
        found[at] = np.minimum(np.abs(field.d_current), left)
        return found

    def sinusoidal(self, lead: Lead) -> MachineConstants:
        """Return the constants of machines with sinusoidal current, whatever the shape of their EMF.

        They are those of a sinusoidal EMF with the same fundamental; `lead` gives the columns their shape.
        """
        made = self.constants("sinusoidal")
        for field in fields(MachineConstants):
            value = getattr(made, field.name)
            if isinstance(value, np.ndarray):
                object.__setattr__(made, field.name, value[lead])
        object.__setattr__(made, "back_emf_constant", self.torque_constant[lead] * (2.0 / math.sqrt(3.0)))
        return made

    def path_in(self, lead: Lead) -> SeriesPath:
        """Return the paths in series with columns of the shape that `lead` gives."""
        paths: tuple[Any, ...] = (self.lead_resistance, self.switch_resistance, self.device_drop)
        return SeriesPath(*(column[lead] for column in paths))

    def path_loss(self, current: FloatArray, winding_temp: FloatArray) -> FloatArray:
        """Return the loss of currents, shape (machines, ...), in winding, leads and switches. [W]"""
        loop = self.resistance * self.resistance_rise(winding_temp) + self.loop_resistance
        lead = (slice(None), 0, *(None,) * (current.ndim - 1))
        loss: FloatArray = (self.copper_factor * loop)[lead] * current**2
        return loss

    def constants(self, emf_shape: str) -> MachineConstants:
        """Return the constants with columns in place of numbers: the equations broadcast over them.

        The machines have one EMF shape. Each was checked when it was made, so that nothing is checked here.
        """
        made = object.__new__(MachineConstants)
        for field in fields(MachineConstants):
            value = getattr(self, field.name) if hasattr(self, field.name) else field.default
            object.__setattr__(made, field.name, value)
        object.__setattr__(made, "emf_shape", emf_shape)
        return made


def machine_numbers(motor: MotorModel, supply: Supply) -> tuple[float, ...]:
    """Return the numbers of one machine in the order of `MachineColumns`, ripple coefficients last."""
    c, drive, feed = motor.constants, motor.drive, motor.feed
    return (
        c.back_emf_constant,
        c.resistance,
        c.inductance,
        float(c.pole_pairs),
        c.resistance_ref_temp,
        c.magnet_ref_temp,
        c.magnet_temp_coefficient,
        c.copper_constant,
        motor.torque_constant,
        motor.hot_torque_constant,
        motor.holding_torque_constant,
        copper_loss_factor(motor.commutation),
        motor.copper_per_torque_squared,
        motor.cold_temp,
        motor.hot_winding_temp,
        motor.hot_magnet_temp,
        _known(motor.peak_current),
        math.inf if motor.saturation is None else motor.saturation.linear_current,
        0.0 if motor.saturation is None else motor.saturation.bend,
        motor.path.lead_resistance,
        motor.path.switch_resistance,
        motor.path.device_drop,
        1.0 if motor.commutation == "six-step" else 3.0 / math.pi,
        feed.switching_loss_per_ampere,
        *_ripple(feed.ripple),
        float(available_voltage(motor.commutation, 1.0, drive.largest_duty, drive.modulation)),
        *_of_drive(drive),
        _known(motor.variant.largest_speed),
        _known(motor.winding_limit),
        _known(motor.magnet_limit),
        sector_edge_loss_factor(motor.commutation, c.emf_shape == "trapezoidal"),
        _known(drive.highest_ambient if drive.built_in else None),
        _known(motor.weakening_voltage if motor.current_limit is not None else None),
        _known(motor.current_limit),
        _known(None if feed.ripple is None else feed.ripple.full_voltage),
        _usual_rms(motor, supply),
        *((0.0,) * _POWERS if feed.ripple is None else feed.ripple.square),
    )


def machine_columns(numbers: Sequence[tuple[float, ...]]) -> MachineColumns:
    """Return the columns of some machines by their numbers."""
    table = np.array(numbers, dtype=np.float64).reshape(len(numbers), -1)
    names = [field.name for field in fields(MachineColumns)]
    single = {name: table[:, k : k + 1] for k, name in enumerate(names[:-1])}
    return MachineColumns(**single, ripple=table[:, -_POWERS:])


def _known(value: float | None) -> float:
    return math.nan if value is None else value


def _usual_rms(motor: MotorModel, supply: Supply) -> float:
    voltage = highest_voltage(supply)
    if voltage is None or motor.drive.pwm_frequency is not None:
        return math.nan
    law = ripple_law(motor.constants, motor.commutation, motor.drive, voltage, USUAL_FREQUENCY)
    return law.rms_at(law.worst_ratio(0.0, 1.0))


def _ripple(law: RippleLaw | None) -> tuple[float, float]:
    return (1.0, 0.0) if law is None else (law.full_speed, law.loss_per_square)


def _of_drive(drive: Drive) -> tuple[float, ...]:
    ratings = [one for one in (drive.trip_voltage, drive.highest_supply) if one is not None]
    return (
        drive.idle_power,
        _known(drive.continuous_current),
        _known(drive.peak_current),
        _known(drive.peak_time),
        drive.standstill_share,
        _known(drive.largest_electrical_frequency),
        _known(drive.lowest_supply),
        _known(min(ratings, default=None)),
        drive.bus_capacitance,
    )
