"""Heat of a cycle that follows the torque otherwise than by its square in the winding.

Beyond the linear range a torque takes more current, and so more copper loss, than a linear machine; the
switches of built-in electronics heat the motor's outside. Both depend on the flux of the magnets, which the
cycle itself makes: they belong to one flux and one factor on the torque, and are found anew for others.
"""

from __future__ import annotations

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
    law, built_in = motor.saturation, motor.drive.built_in
    if law is None and not built_in:
        return None
    if not built_in and _largest(duty, motor, factor) <= _end_of_linear(motor, flux):
        return None
    steps = _STEPS if duty.duration.size <= _MANY_PARTS else 1
    share = ((np.arange(steps)[:, None] + 0.5 * (1.0 + _NODE)) / steps).ravel()
    torque = factor * (duty.torque_start[:, None] + (duty.torque_end - duty.torque_start)[:, None] * share)
    speed = duty.speed_start[:, None] + (duty.speed_end - duty.speed_start)[:, None] * share
    em = np.asarray(electromagnetic_torque(torque, speed, motor.drag))
    edge = standing_copper_factor(motor, 0.5 * (duty.speed_start + duty.speed_end))[:, None]
    constant = motor.torque_constant * flux / np.sqrt(edge)
    more = motor.current_of(em, constant) ** 2 - (em / constant) ** 2
    excess = copper_loss_factor(motor.commutation) * motor.constants.resistance * flux**2 * more
    device = device_loss(motor, em, constant, speed) if built_in else np.zeros_like(em)
    lasts = np.repeat(duty.duration / steps, steps)
    time = np.append(0.0, np.cumsum(lasts))
    return TorqueHeat(time, *(_energy(one, lasts) for one in (excess, device)))


def _energy(power: FloatArray, lasts: FloatArray) -> FloatArray:
    means = 0.5 * (power.reshape(-1, _NODE.size) @ _WEIGHT)
    return np.append(0.0, np.cumsum(means * lasts))


def _largest(duty: ShaftDuty, motor: MotorModel, factor: float) -> float:
    """Return a bound of the electromagnetic torque: the largest drag beside the largest torque. [N m]"""
    ends = np.abs(np.stack((duty.torque_start, duty.torque_end))).max(axis=0)
    top = np.maximum(np.abs(duty.speed_start), np.abs(duty.speed_end))
    drag = np.abs(np.asarray(electromagnetic_torque(np.zeros_like(top), top, motor.drag)))
    return float((factor * ends + drag).max())


def _end_of_linear(motor: MotorModel, flux: float) -> float:
    """Return the torque up to which the machine is linear, at the worst angle of rest. [N m]"""
    assert motor.saturation is not None  # asked for without built-in electronics only
    at_rest = float(standing_copper_factor(motor, np.zeros(1))[0])
    return motor.saturation.linear_current * motor.torque_constant * flux / math.sqrt(at_rest)


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
