"""Temperatures and torque reserve of a cycle whose heat follows the torque and the flux of the magnets.

Such heat (`torque_heat`) belongs to one flux and one factor on the torque. The flux is followed until that
of the cycle's own magnets is met. In the search for the reserve the copper loss is that of each factor
tried; the switches of built-in electronics are taken at the factor that comes out, to a thousandth. One flux
for the whole cycle costs 0.1 K at four times the loss of a linear machine.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.evaluation.heat_model import HeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.temperatures import CycleTemperatures, judged, pieces_follow
from core.evaluation.torque_heat import CycleWithTorqueHeat, HeatOfTorques, TorqueHeat
from core.numeric import FloatArray
from core.physics.materials import magnet_flux_factor
from core.physics.settled_cycle import CutCycle, SettledCycle, settled_cycle
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RunAway
from core.physics.torque_reserve import TorqueReserve, torque_reserve

_SAME_FLUX = 1e-5  # a hundredth of a kelvin of the magnets
_LEAST_FLUX = 0.05  # of magnets hotter than any
_MOST_ROUNDS = 40
_ACCURACY = 1e-3  # of the torque reserve with the heat of switches
_MOST_STEPS = 12

Cut = Callable[[int], CutCycle]


def temperatures_with(duty: ShaftDuty, motor: MotorModel, heat: HeatModel, linear: Cut) -> CycleTemperatures:
    """Return the temperatures of a cycle with the heat that follows its torque.

    `linear` gives the cycle of a linear machine, cut into so many pieces a ramp.
    """
    flux, before = _flux_at(motor, float(heat.network.sink_temp.min())), None
    follows = HeatOfTorques(duty, motor)
    for _ in range(_MOST_ROUNDS):
        added = follows.at(flux)
        cycle = settled_cycle(heat.network, _with(linear, added), heat.law)
        if isinstance(cycle.state, RunAway):
            break  # more flux than there will be, and it runs away all the same
        own = _flux_at(motor, float(cycle.state.mean[heat.network.magnets]))
        if own >= flux - _SAME_FLUX or (added is None and follows.at(own) is None):
            break
        flux, before = _next_flux(flux, own, before), (flux, own)
    return _judged(follows, motor, heat, linear, cycle, added)


def _next_flux(flux: float, own: float, before: tuple[float, float] | None) -> float:
    """Return the next flux on the way down from that of cold magnets.

    The flux that a cycle makes falls the faster the lower the one it was found with: the line through the
    last two stops short of where both agree. Where both never do, it leads to the run-away.
    """
    if before is None:
        return own
    share = (own - before[1]) / (flux - before[0])
    step = (flux - own) / (1.0 - share) if share < 1.0 else 2.0 * (flux - own)
    return max(flux - step, 0.5 * flux)


def _flux_at(motor: MotorModel, magnets: float) -> float:
    c = motor.constants
    warmest = c.magnet_ref_temp + (_LEAST_FLUX - 1.0) / min(c.magnet_temp_coefficient, -1e-9)
    return float(magnet_flux_factor(min(magnets, warmest), c.magnet_temp_coefficient, c.magnet_ref_temp))


def _with(linear: Cut, added: TorqueHeat | None, copper: bool = True) -> Cut:
    """Return the cycle with this heat; without `copper` with that of the switches alone."""
    if added is None:
        return linear
    made: dict[int, CutCycle] = {}

    def cut(pieces_per_ramp: int) -> CutCycle:
        if pieces_per_ramp not in made:
            made[pieces_per_ramp] = CycleWithTorqueHeat(linear(pieces_per_ramp), added, copper)
        return made[pieces_per_ramp]

    return cut


def _judged(
    torques: HeatOfTorques,
    motor: MotorModel,
    heat: HeatModel,
    linear: Cut,
    cycle: SettledCycle,
    added: TorqueHeat | None,
) -> CycleTemperatures:
    """Return the settled cycle with its reserve."""
    settled = replace(heat, network=cycle.network)
    beyond = _Beyond(torques, motor, cycle.pieces.duration)
    used = _with(linear, added, copper=False)(cycle.pieces_per_ramp)
    follows = pieces_follow(heat, used)
    linear_pieces = replace(cycle.pieces, copper=used.copper)
    reserve = torque_reserve(
        settled.network, linear_pieces, heat.law, heat.limit, cycle.state, follows, beyond
    )
    if motor.drive.built_in and reserve.end == "limit":
        reserve = _Switches(torques, motor, heat, linear, cycle, beyond).reserve(reserve)
    return judged(settled, cycle, reserve)


class _Beyond:
    """Copper loss beyond that of a linear machine in pieces, as `torque_reserve` asks for it."""

    def __init__(self, torques: HeatOfTorques, motor: MotorModel, duration: FloatArray) -> None:
        self._torques, self._motor, self._duration = torques, motor, duration
        self._edges = np.append(0.0, np.cumsum(duration))

    def __call__(self, factor: float, magnets: float) -> FloatArray:
        heat = self._torques.at(_flux_at(self._motor, magnets), factor)
        if heat is None:
            return np.zeros_like(self._duration)
        loss: FloatArray = np.diff(np.interp(self._edges, heat.time, heat.copper)) / self._duration
        return loss


class _Switches:
    """The reserve at which built-in switches heat as they do at the multiplied torque."""

    def __init__(
        self,
        torques: HeatOfTorques,
        motor: MotorModel,
        heat: HeatModel,
        linear: Cut,
        cycle: SettledCycle,
        beyond: _Beyond,
    ) -> None:
        self._torques, self._motor, self._heat, self._linear = torques, motor, heat, linear
        self._cycle, self._beyond = cycle, beyond

    def _at(self, factor: float, magnets: float) -> TorqueReserve:
        added = self._torques.at(_flux_at(self._motor, magnets), factor)
        used = _with(self._linear, added, copper=False)(self._cycle.pieces_per_ramp)
        follows, network, state = pieces_follow(self._heat, used), self._cycle.network, self._cycle.state
        temps = None if follows is None or isinstance(state, RunAway) else state.mean
        pieces = used.on(network, temps)
        return torque_reserve(network, pieces, self._heat.law, self._heat.limit, None, follows, self._beyond)

    def reserve(self, first: TorqueReserve) -> TorqueReserve:
        """Return the reserve whose factor is its own: more torque heats the switches more, so there is one.

        `first` has the switches at the torque of the cycle.
        """
        magnets = float(first.peak[self._heat.network.magnets])
        found = self._at(first.factor, magnets)
        ends = sorted(((1.0, first.factor - 1.0), (first.factor, found.factor - first.factor)))
        (low, above), (high, below) = ends
        for _ in range(_MOST_STEPS):
            if abs(found.factor - high) <= _ACCURACY * high or high - low <= _ACCURACY * high:
                break
            share = above / (above - below) if above > below else 0.5
            factor = low + min(max(share, 0.02), 0.98) * (high - low)
            found = self._at(factor, magnets)
            gap = found.factor - factor
            if abs(gap) <= _ACCURACY * factor:
                break
            if gap > 0.0:
                low, above = factor, gap
            else:
                high, below = factor, gap
        return found
