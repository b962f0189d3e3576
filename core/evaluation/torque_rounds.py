"""Temperatures and torque reserve of a cycle whose heat follows the torque and the flux of the magnets.

Such heat (`torque_heat`) belongs to one flux and one factor on the torque. The flux is that of the magnets at
the mean temperatures of the cycle, found together with its surface coefficients. In the search for the
reserve the copper loss is that of each factor tried; the switches of built-in electronics are taken at the
factor that comes out, to a thousandth. One flux for the whole cycle costs 0.1 K at four times the loss of a
linear machine.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.evaluation.heat_model import HeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.temperatures import CycleTemperatures, judged, pieces_follow
from core.evaluation.torque_fold import HeatOfStates, largest_of_states
from core.evaluation.torque_heat import CycleWithTorqueHeat, HeatOfTorques, TorqueHeat, heat_of_torques
from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import HeatPieces
from core.physics.materials import magnet_flux_factor
from core.physics.settled_cycle import CutCycle, SettledCycle, settled_cycle
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RunAway
from core.physics.torque_reserve import TorqueReserve, torque_reserve

_LEAST_FLUX = 0.05  # of magnets hotter than any
_ACCURACY = 1e-3  # of the torque reserve with the heat of switches
_MOST_STEPS = 12

Cut = Callable[[int], CutCycle]


def temperatures_with(duty: ShaftDuty, motor: MotorModel, heat: HeatModel, linear: Cut) -> CycleTemperatures:
    """Return the temperatures of a cycle with the heat that follows its torque.

    `linear` gives the cycle of a linear machine, cut into so many pieces a ramp.
    """
    torques = heat_of_torques(duty, motor)
    follower = _Follower(torques, motor, heat.network.magnets, linear)
    cycle = settled_cycle(heat.network, follower, heat.law, _MeanBeyond(torques, motor, heat.network.magnets))
    added = follower.added
    if not isinstance(cycle.state, RunAway):
        added = torques.at(_flux_at(motor, float(cycle.state.mean[heat.network.magnets])))
    return _judged(torques, motor, heat, linear, cycle, added)


class _Follower:
    """The cycle of a motor with the heat that its torque has at the temperatures it is put on."""

    def __init__(self, torques: HeatOfTorques, motor: MotorModel, magnets: int, linear: Cut) -> None:
        self._torques, self._motor, self._magnets, self._linear = torques, motor, magnets, linear
        self._flux: float | None = None
        self.added: TorqueHeat | None = None

    def __call__(self, pieces_per_ramp: int) -> CutCycle:
        return _Following(self._linear(pieces_per_ramp), self)

    def at(self, temps: FloatArray) -> TorqueHeat | None:
        """Return the heat at the flux that magnets of these temperatures have."""
        flux = _flux_at(self._motor, float(temps[self._magnets]))
        if flux != self._flux:
            self._flux, self.added = flux, self._torques.at(flux)
        return self.added


class _MeanBeyond:
    """The mean copper loss beyond that of a linear machine; satisfies `MoreCopper`."""

    def __init__(self, torques: HeatOfTorques, motor: MotorModel, magnets: int) -> None:
        self._torques, self._motor, self._magnets = torques, motor, magnets

    def __call__(self, temps: FloatArray) -> float:
        return self._torques.mean_copper(self._flux(temps), 1.0)

    def is_convex(self, temps: FloatArray) -> bool:
        flux = self._flux(temps)
        return flux > _LEAST_FLUX and self._torques.is_made(flux)

    def _flux(self, temps: FloatArray) -> float:
        return _flux_at(self._motor, float(temps[self._magnets]))


class _Following:
    """A cycle in pieces whose heat follows the temperatures; satisfies `CutCycle`."""

    def __init__(self, linear: CutCycle, follower: _Follower) -> None:
        self._linear, self._follower = linear, follower
        self.duration, self.copper = linear.duration, linear.copper
        self.core_power, self.air_power = linear.core_power, linear.air_power

    def links(self, network: HeatNetwork, temps: FloatArray | None = None) -> FloatArray:
        """Return the mean conductance of each link in each piece, shape (m, l). [W/K]"""
        return self._linear.links(network, temps)

    def on(self, network: HeatNetwork, temps: FloatArray | None = None) -> HeatPieces:
        """Return the pieces at temperatures of the nodes. [SI]"""
        if temps is None:
            raise TypeError("a cycle that follows the temperatures is put on some")
        added = self._follower.at(temps)
        cut = self._linear if added is None else CycleWithTorqueHeat(self._linear, added)
        return cut.on(network, temps)


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

    def within(limits: FloatArray) -> TorqueReserve:
        return torque_reserve(settled.network, linear_pieces, heat.law, limits, cycle.state, follows, beyond)

    states = HeatOfStates(settled.network, heat.law, linear_pieces, beyond)
    reserve, limits = largest_of_states(states, heat.limit, within)
    if motor.drive.built_in and reserve.end in ("limit", "run-away"):
        first = reserve
        at = replace(heat, limit=limits)
        reserve = _Switches(torques, motor, at, linear, cycle, beyond).reserve(first)
        if limits is not heat.limit:
            reserve = replace(reserve, end=first.end, node=first.node, hot_phase=False)
    return judged(settled, cycle, _that_currents_make(reserve, torques, motor, heat.network.magnets))


def _that_currents_make(
    reserve: TorqueReserve, torques: HeatOfTorques, motor: MotorModel, magnets: int
) -> TorqueReserve:
    """Return the reserve, ended by saturation where no current makes the torque that the heat allows.

    The flux is that of the magnets at the reserve found, which at less torque are cooler.
    """
    warmest = float(reserve.peak[magnets])
    largest = torques.largest_factor(motor.hot_flux if np.isnan(warmest) else _flux_at(motor, warmest))
    if reserve.factor <= largest:
        return reserve
    return TorqueReserve(largest, "saturation", -1, False, np.full_like(reserve.peak, np.nan))


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

    def mean(self, factor: float, magnets: float) -> float:
        """Return the mean over the cycle. [W]"""
        return self._torques.mean_copper(_flux_at(self._motor, magnets), factor)


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
