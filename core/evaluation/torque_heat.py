"""Heat of a cycle that follows the torque otherwise than by its square in the winding.

Beyond the linear range a torque takes more current, and so more copper loss, than a linear machine; the
switches of built-in electronics heat the motor's outside. Both depend on the flux of the magnets, which the
cycle itself makes: they belong to one flux and one factor on the torque, and are found anew for others.
"""

from __future__ import annotations

import functools
import math
from dataclasses import replace

import numpy as np

from core.evaluation.device_heat import device_loss
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import standing_copper_factor
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


@dataclass(frozen=True, slots=True)
class TorqueHeat:
    """Energies since the start of the cycle at its steps. [s, J]

    `copper` is the loss beyond that of a linear machine, at the reference temperatures; `device` that of the
    switches of built-in electronics.
    """

    time: FloatArray
    copper: FloatArray
    device: FloatArray


def follows_torque(motor: MotorModel) -> bool:
    """Whether a motor has heat of this kind at any torque."""
    return motor.saturation is not None or motor.drive.built_in


def torque_heat(duty: ShaftDuty, motor: MotorModel, flux: float, factor: float = 1.0) -> TorqueHeat | None:
    """Return the heat with the delivered torque multiplied, at a flux of the magnets; None where none.

    `flux` is relative to that at the reference temperature.
    """
    return HeatOfTorques(duty, motor).at(flux, factor)


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
        constant = self._constant * flux
        excess = self._copper_beyond(em, constant, flux)
        device = device_loss(motor, em, constant, self._speed) if built_in else np.zeros_like(em)
        return TorqueHeat(self._time, self._energy(excess), self._energy(device))

    def mean_copper(self, flux: float, factor: float) -> float:
        """Return the mean of the copper loss beyond that of a linear machine, as `at` has it. [W]"""
        if self._motor.saturation is None or self._largest(factor) <= self._end_of_linear * flux:
            return 0.0
        em = factor * self._torque + self._drag
        excess = self._copper_beyond(em, self._constant * flux, flux)
        return float(np.vdot(self._shares, excess))

    @functools.cached_property
    def _shares(self) -> FloatArray:
        """Share of the cycle that each sample stands for."""
        lasts = self._duty.duration / (self._steps * float(self._duty.duration.sum()))
        return lasts[:, None] * np.tile(0.5 * _WEIGHT, self._steps)

    def _copper_beyond(self, em: FloatArray, constant: FloatArray, flux: float) -> FloatArray:
        motor, excess = self._motor, np.zeros_like(em)
        if motor.saturation is None:
            return excess
        linear = np.abs(em) / constant
        bent = linear > motor.saturation.linear_current
        if bent.any():
            here = linear[bent]
            more = motor.current_of(em[bent], np.broadcast_to(constant, em.shape)[bent]) ** 2 - here * here
            excess[bent] = copper_loss_factor(motor.commutation) * motor.constants.resistance * flux**2 * more
        return excess

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
        beyond, device = (
            np.diff(np.interp(edges, heat.time, energy)) / cut.duration
            for energy in (heat.copper, heat.device)
        )
        self.copper: FloatArray = cut.copper.copy()
        if copper:
            self.copper[:, 0] += beyond
        self._device: FloatArray = device

    def links(self, network: HeatNetwork, temps: FloatArray | None = None) -> FloatArray:
        """Return the mean conductance of each link in each piece, shape (m, l). [W/K]"""
        return self._cut.links(network, temps)

    def on(self, network: HeatNetwork, temps: FloatArray | None = None) -> HeatPieces:
        """Return the pieces with the conductances of a network at temperatures of its nodes. [SI]"""
        pieces = self._cut.on(network, temps)
        inflow = pieces.inflow.copy()
        inflow[:, network.outside] += self._device
        return replace(pieces, copper=self.copper, inflow=inflow)
