"""Heat of a cycle that follows the torque otherwise than by its square in the winding.

Beyond the linear range a torque takes more current, and so more copper loss, than a linear machine; the
switches of built-in electronics heat the motor's outside. Both depend on the flux of the magnets, which the
cycle itself makes: they belong to one flux and one factor on the torque, and are found anew for others.
"""

from __future__ import annotations

import functools
import math

import numpy as np

from core.evaluation.device_heat import device_loss
from core.evaluation.motor_model import BEYOND_SATURATION, MotorModel
from core.evaluation.operating_rows import standing_copper_factor
from core.evaluation.remembered import remembered
from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import HeatPieces
from core.physics.losses import electromagnetic_torque
from core.physics.machine_constants import copper_loss_factor
from core.physics.settled_cycle import CutCycle
from core.physics.shaft_duty import ShaftDuty
from core.records import dataclass

# Into how many steps a part is cut, and the number of parts above which each is short enough.
_STEPS, _MANY_PARTS = 8, 500
_NODE, _WEIGHT = np.polynomial.legendre.leggauss(3)
_LEAST_SLOPE = 1e-30  # above zero: no current makes the torque


@dataclass(frozen=True, slots=True)
class TorqueHeat:
    """Energies since the start of the cycle at its steps. [s, J]

    `copper` is the loss beyond that of a linear machine, at the reference temperatures; `device` that of the
    switches of built-in electronics, None where there are none.
    """

    time: FloatArray
    copper: FloatArray
    device: FloatArray | None


def follows_torque(motor: MotorModel) -> bool:
    """Whether a motor has heat of this kind at any torque."""
    return motor.saturation is not None or motor.drive.built_in


def torque_heat(duty: ShaftDuty, motor: MotorModel, flux: float, factor: float = 1.0) -> TorqueHeat | None:
    """Return the heat with the delivered torque multiplied, at a flux of the magnets; None where none.

    `flux` is relative to that at the reference temperature.
    """
    return heat_of_torques(duty, motor).at(flux, factor)


@remembered(size=2)
def heat_of_torques(duty: ShaftDuty, motor: MotorModel) -> HeatOfTorques:
    """Return this heat for many a flux and factor, to the steps of an evaluation that share it."""
    return HeatOfTorques(duty, motor)


class HeatOfTorques:
    """This heat for many a flux and factor of one duty; what depends on neither is worked out once."""

    def __init__(self, duty: ShaftDuty, motor: MotorModel) -> None:
        self._duty, self._motor = duty, motor

    def at(self, flux: float, factor: float = 1.0) -> TorqueHeat | None:
        """Return the heat with the delivered torque multiplied, at a relative flux; None where none."""
        motor = self._motor
        built_in = motor.drive.built_in
        if motor.saturation is None and not built_in:
            return None
        if not built_in and self._largest(factor) <= self._end_of_linear * flux:
            return None
        em = factor * self._torque + self._drag
        excess = self._energy(self._copper_beyond(em, flux))
        if not built_in:
            return TorqueHeat(self._time, excess, None)
        device = device_loss(motor, em, self._constant * flux, self._speed)
        return TorqueHeat(self._time, excess, self._energy(device))

    def mean_copper(self, flux: float, factor: float) -> float:
        """Return the mean of the copper loss beyond that of a linear machine, as `at` has it. [W]"""
        if self._motor.saturation is None or self._largest(factor) <= self._end_of_linear * flux:
            return 0.0
        em = factor * self._torque + self._drag
        return float(np.vdot(self._shares, self._copper_beyond(em, flux)))

    def largest_factor(self, flux: float) -> float:
        """Return the factor on the delivered torque beyond which no current makes it at a flux. [-]"""
        duty, largest = self._duty, self._motor.largest_torque
        if largest is None:
            return math.inf
        largest *= flux / self._motor.hot_flux
        torque = np.column_stack((duty.torque_start, duty.torque_end))
        speed = np.column_stack((duty.speed_start, duty.speed_end))
        drag = np.asarray(electromagnetic_torque(np.zeros_like(speed), speed, self._motor.drag))
        at_rest = self._constant / self._motor.torque_constant  # below one at the worst angle
        left = np.maximum(largest * at_rest - drag * np.sign(torque), 0.0)
        asked = np.abs(torque)
        return float(np.divide(left, asked, out=np.full_like(asked, np.inf), where=asked > 0.0).min())

    def is_made(self, flux: float) -> bool:
        """Whether currents make all torques at a flux, none counted at `BEYOND_SATURATION`."""
        law = self._motor.saturation
        if law is None:
            return True
        linear = max(self._largest(1.0) / (self._end_of_linear * flux) - 1.0, 0.0)
        slope = 1.0 - law.bend * linear
        return slope > 0.0 and linear / slope <= BEYOND_SATURATION * (1.0 + linear) - 1.0

    @functools.cached_property
    def _shares(self) -> FloatArray:
        """Share of the cycle that each sample stands for."""
        lasts = self._duty.duration / (self._steps * float(self._duty.duration.sum()))
        return lasts[:, None] * np.tile(0.5 * _WEIGHT, self._steps)

    def _copper_beyond(self, em: FloatArray, flux: float) -> FloatArray:
        """Return what the current of `MotorModel.current_of` takes beyond that of a linear machine. [W]"""
        law = self._motor.saturation
        if law is None:
            return np.zeros_like(em)
        # over the current where the linear range ends: what a linear machine takes beyond it, and what is
        # taken; their squares in one product, since both begin at one
        linear = np.maximum(np.abs(em) / (self._linear_torque * flux) - 1.0, 0.0)
        slope = np.maximum(1.0 - law.bend * linear, _LEAST_SLOPE)
        taken = np.minimum(linear / slope, BEYOND_SATURATION * (1.0 + linear) - 1.0)
        excess: FloatArray = (taken - linear) * (2.0 + taken + linear) * (self._loss_at_bend * flux**2)
        return excess

    @functools.cached_property
    def _linear_torque(self) -> FloatArray:
        """Torque of each part up to which the machine is linear at full flux, shape (parts, 1). [N m]"""
        assert self._motor.saturation is not None  # `_copper_beyond` asks for it
        return self._constant * self._motor.saturation.linear_current

    @functools.cached_property
    def _loss_at_bend(self) -> float:
        """Copper loss of the current at which the linear range ends. [W]"""
        motor = self._motor
        assert motor.saturation is not None  # `_copper_beyond` asks for it
        per_square = copper_loss_factor(motor.commutation) * motor.constants.resistance
        return float(per_square * motor.saturation.linear_current**2)

    def _largest(self, factor: float) -> float:
        """Return a bound of the electromagnetic torque: the largest drag beside the largest torque. [N m]"""
        ends, drag = self._bounds
        return float((factor * ends + drag).max())

    @functools.cached_property
    def _bounds(self) -> tuple[FloatArray, FloatArray]:
        duty = self._duty
        ends = np.maximum(np.abs(duty.torque_start), np.abs(duty.torque_end))
        top = np.maximum(np.abs(duty.speed_start), np.abs(duty.speed_end))
        return ends, np.abs(np.asarray(electromagnetic_torque(np.zeros_like(top), top, self._motor.drag)))

    @functools.cached_property
    def _end_of_linear(self) -> float:
        """Torque up to which the machine is linear at full flux, at the worst angle of rest. [N m]"""
        motor = self._motor
        assert motor.saturation is not None  # asked for without built-in electronics only
        at_rest = float(standing_copper_factor(motor, np.zeros(1))[0])
        return motor.saturation.linear_current * motor.torque_constant / math.sqrt(at_rest)

    @functools.cached_property
    def _steps(self) -> int:
        return _STEPS if self._duty.duration.size <= _MANY_PARTS else 1

    @functools.cached_property
    def _share(self) -> FloatArray:
        share: FloatArray = (np.arange(self._steps)[:, None] + 0.5 * (1.0 + _NODE)) / self._steps
        return share.ravel()

    @functools.cached_property
    def _torque(self) -> FloatArray:
        duty = self._duty
        return duty.torque_start[:, None] + (duty.torque_end - duty.torque_start)[:, None] * self._share

    @functools.cached_property
    def _speed(self) -> FloatArray:
        duty = self._duty
        return duty.speed_start[:, None] + (duty.speed_end - duty.speed_start)[:, None] * self._share

    @functools.cached_property
    def _drag(self) -> FloatArray:
        still = np.zeros_like(self._speed)
        return np.asarray(electromagnetic_torque(still, self._speed, self._motor.drag))

    @functools.cached_property
    def _constant(self) -> FloatArray:
        speed = 0.5 * (self._duty.speed_start + self._duty.speed_end)
        edge = standing_copper_factor(self._motor, speed)[:, None]
        return np.asarray(self._motor.torque_constant / np.sqrt(edge))

    @functools.cached_property
    def _lasts(self) -> FloatArray:
        return np.repeat(self._duty.duration / self._steps, self._steps)

    @functools.cached_property
    def _time(self) -> FloatArray:
        return np.append(0.0, np.cumsum(self._lasts))

    def _energy(self, power: FloatArray) -> FloatArray:
        means = 0.5 * (power.reshape(-1, _NODE.size) @ _WEIGHT)
        return np.append(0.0, np.cumsum(means * self._lasts))


class CycleWithTorqueHeat:
    """A cycle in pieces with this heat; satisfies `core.physics.settled_cycle.CutCycle`.

    Without `copper` only the switches heat.
    """

    def __init__(self, cut: CutCycle, heat: TorqueHeat, copper: bool = True) -> None:
        self._cut = cut
        self.duration, self.core_power, self.air_power = cut.duration, cut.core_power, cut.air_power
        edges = np.append(0.0, np.cumsum(cut.duration))
        self.copper: FloatArray = cut.copper
        if copper:
            self.copper = cut.copper.copy()
            self.copper[:, 0] += _energy_between(edges, heat.time, heat.copper) / cut.duration
        device = heat.device
        self._device = None if device is None else _energy_between(edges, heat.time, device) / cut.duration

    def links(self, network: HeatNetwork, temps: FloatArray | None = None) -> FloatArray:
        """Return the mean conductance of each link in each piece, shape (m, l). [W/K]"""
        return self._cut.links(network, temps)

    def on(self, network: HeatNetwork, temps: FloatArray | None = None) -> HeatPieces:
        """Return the pieces with the conductances of a network at temperatures of its nodes. [SI]"""
        pieces = self._cut.on(network, temps)
        inflow = pieces.inflow
        if self._device is not None:
            inflow = inflow.copy()
            inflow[:, network.outside] += self._device
        return HeatPieces(
            duration=pieces.duration,
            segment=pieces.segment,
            conductance=pieces.conductance,
            inflow=inflow,
            copper=self.copper,
            stall_phase_factor=pieces.stall_phase_factor,
        )


def _energy_between(edges: FloatArray, time: FloatArray, energy: FloatArray) -> FloatArray:
    """Return the energy between instants that follow each other, from its sums at other ones. [J]"""
    at_edges = np.interp(edges, time, energy)
    return at_edges[1:] - at_edges[:-1]
