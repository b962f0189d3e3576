"""Copper loss that the torque does not make, laid on the pieces of a cycle: ripple and field weakening.

It is there at no load too, so the torque reserve leaves it as it is. Like all copper loss in the network it
grows with the temperature of the winding; that it also grows as the magnets weaken, which only the current
of the torque does, is on the safe side by at most the square of the flux that is lost.
"""

from __future__ import annotations

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.evaluation.weakening import weakening_loss
from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import HeatPieces
from core.physics.settled_cycle import CutCycle
from core.physics.shaft_duty import ShaftDuty
from core.records import dataclass

# Into how many steps a ramp of speed is cut, and the number of parts above which each is short enough.
_STEPS, _MANY_PARTS = 16, 500


@dataclass(frozen=True, slots=True)
class ExtraCopper:
    """Energy of the extra copper loss since the start of the cycle, at the reference temperature. [s, J]

    `ripple` [W] is the mean over the cycle of what the ripple alone makes.
    """

    time: FloatArray
    energy: FloatArray
    ripple: float

    def over(self, duration: FloatArray) -> FloatArray:
        """Return the mean in each of the pieces that make up the cycle, shape (m,). [W]"""
        edges = np.append(0.0, np.cumsum(duration))
        mean: FloatArray = np.diff(np.interp(edges, self.time, self.energy)) / duration
        return mean


@remembered(size=4)
def extra_copper(duty: ShaftDuty, motor: MotorModel) -> ExtraCopper | None:
    """Return the extra copper loss over a cycle; None where there is none."""
    ripple, weakening = motor.feed.ripple, weakening_loss(duty, motor)
    if ripple is None and weakening is None:
        return None
    start, end, duration = duty.speed_start, duty.speed_end, duty.duration
    steps = _STEPS if duration.size <= _MANY_PARTS else 1
    if steps > 1:
        share = np.linspace(0.0, 1.0, steps + 1)
        course = start[:, None] + (end - start)[:, None] * share
        start, end = course[:, :-1].ravel(), course[:, 1:].ravel()
        duration = np.repeat(duration / steps, steps)
    loss = np.zeros(duration.size) if ripple is None else ripple.mean_loss(start, end)
    of_ripple = float(loss @ duration)
    if weakening is not None:
        loss = loss + np.repeat(weakening, steps)
    energy = np.cumsum(loss * duration)
    time = np.append(0.0, np.cumsum(duration))
    return ExtraCopper(time, np.append(0.0, energy), of_ripple / float(time[-1]))


class CycleWithExtra:
    """A cycle in pieces with extra copper loss; satisfies `core.physics.settled_cycle.CutCycle`."""

    def __init__(self, cut: CutCycle, extra: ExtraCopper) -> None:
        self._cut = cut
        self.duration, self.core_power, self.air_power = cut.duration, cut.core_power, cut.air_power
        copper = cut.copper.copy()
        copper[:, 0] += extra.over(cut.duration)
        self.copper: FloatArray = copper

    def links(self, network: HeatNetwork, temps: FloatArray | None = None) -> FloatArray:
        """Return the mean conductance of each link in each piece, shape (m, l). [W/K]"""
        return self._cut.links(network, temps)

    def on(self, network: HeatNetwork, temps: FloatArray | None = None) -> HeatPieces:
        """Return the pieces with the conductances of a network at temperatures of its nodes. [SI]"""
        pieces = self._cut.on(network, temps)
        return HeatPieces(
            duration=pieces.duration,
            segment=pieces.segment,
            conductance=pieces.conductance,
            inflow=pieces.inflow,
            copper=self.copper,
            stall_phase_factor=pieces.stall_phase_factor,
        )
