r"""A repeating cycle whose surface coefficients belong to the temperatures it reaches.

Natural convection and radiation follow the temperatures (`HeatNetwork.by_temperature`), and the
temperatures follow from them. Coefficients are taken at the time means of the node temperatures, since
surfaces are slow: first at the steady state of the averaged network, then at the means of the cycle itself,
until both agree.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from core.numeric import FloatArray
from core.physics.heat_network import HeatNetwork, link_conductance_at, node_matrices, settled_at
from core.physics.heat_pieces import CopperLaw, HeatPieces
from core.physics.temperatures import RepeatingState, RunAway, coarse_state, settled_state

# Coefficients off by as much as 0.1 K moves them shift the temperatures by about 0.02 K, because a natural
# coefficient follows the fourth root of its temperature difference. [K]
RESIDUAL: Final = 0.1
_MOST_ROUNDS: Final = 12
_MOST_AVERAGED_ROUNDS: Final = 30
_AVERAGED_TOLERANCE: Final = 0.01  # [K]
# Temperatures beyond which nothing survives, so that a run-away is judged with the best cooling it could
# ever have. [K above the warmest sink]
_HOTTEST: Final = 400.0
_LEAST_FLUX: Final = 0.05


@dataclass(frozen=True, slots=True)
class SettledCycle:
    """A repeating state with the network whose coefficients belong to it.

    Parameters
    ----------
    network : HeatNetwork
        The network at the mean temperatures of the cycle. [-]
    state : RepeatingState or RunAway
        What comes of the cycle. [-]
    pieces : HeatPieces
        The cycle as cut for it. [-]
    residual : float
        Largest difference between the mean temperatures of the state and those of the coefficients;
        0 where the coefficients do not follow the temperatures. [K]

    References
    ----------
    Own formulation.
    """

    network: HeatNetwork
    state: RepeatingState | RunAway
    pieces: HeatPieces
    residual: float


def settled_cycle(
    network: HeatNetwork, build: Callable[[HeatNetwork, int], HeatPieces], law: CopperLaw
) -> SettledCycle:
    """Return the repeating state of a cycle with coefficients that belong to its mean temperatures.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    build : callable
        Gives the cycle for a network with every ramp cut into so many equal pieces. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]

    Returns
    -------
    cycle : SettledCycle
        State, network and residual, at most `RESIDUAL` where there is a state. [-]

    Notes
    -----
    A change of a node by 1 K moves the coefficients by less than 1 %, and these the node by less than
    0.3 K: every round brings the residual to less than a third. A cycle that runs away with the
    coefficients of a hot motor (400 K above the warmest sink) runs away in any case.

    References
    ----------
    Own formulation, fixed-point iteration (from memory).
    """
    if network.by_temperature is None:
        state, pieces = settled_state(network, partial(build, network), law)
        return SettledCycle(network, state, pieces, 0.0)
    hottest = _hottest(network)
    temps = averaged_temps(network, build(network, 1), law)
    settled, coarse = network, None
    for _ in range(_MOST_ROUNDS):
        settled = settled_at(network, temps)
        coarse = coarse_state(settled, build(settled, 1), law)
        found = hottest if coarse is None else np.minimum(coarse.mean, hottest)
        if np.abs(found - temps).max() <= RESIDUAL:
            break
        temps = found
    return _refined(network, settled, temps, build, law, coarse)


def _refined(
    network: HeatNetwork,
    settled: HeatNetwork,
    temps: FloatArray,
    build: Callable[[HeatNetwork, int], HeatPieces],
    law: CopperLaw,
    coarse: RepeatingState | None,
) -> SettledCycle:
    """Return the state with ramps cut finely, its coefficients followed up where cutting moved it."""
    for _ in range(_MOST_ROUNDS):
        here = settled
        state, pieces = settled_state(here, partial(build, here), law, coarse=coarse)
        residual = 0.0 if isinstance(state, RunAway) else float(np.abs(state.mean - temps).max())
        if isinstance(state, RunAway) or residual <= RESIDUAL:
            return SettledCycle(here, state, pieces, residual)
        temps, coarse = state.mean, None
        settled = settled_at(network, temps)
    return SettledCycle(here, state, pieces, residual)


def averaged_temps(network: HeatNetwork, pieces: HeatPieces, law: CopperLaw) -> FloatArray:
    """Return the steady temperatures of the network averaged over a cycle, coefficients included.

    Parameters
    ----------
    network : HeatNetwork
        The network for which the pieces were built. [-]
    pieces : HeatPieces
        The cycle. [-]
    law : CopperLaw
        How the copper loss follows the temperatures. [-]

    Returns
    -------
    temps : ndarray, shape (n,)
        Node temperatures, good to about a kelvin in short cycles; at most 400 K above the warmest
        sink where nothing holds the motor. [degC]

    References
    ----------
    Own formulation, fixed-point iteration (from memory).
    """
    share = pieces.duration / pieces.duration.sum()
    reference, inflow = node_matrices(network, network.fixed[None] + network.natural[None])
    # what the rotor drives and what heats from within, as the pieces have them beyond the state at rest
    turning = np.tensordot(share, pieces.conductance, 1) - reference[0]
    heat = share @ pieces.inflow - inflow[0]
    copper = float(share @ pieces.copper_at_reference())
    hottest, temps = _hottest(network), _hottest(network) * 0.25
    for _ in range(_MOST_AVERAGED_ROUNDS):
        rest = link_conductance_at(network, np.zeros(1), temps[None])
        matrix, sinks = node_matrices(network, rest)
        found = _steady(matrix[0] + turning, sinks[0] + heat, copper, temps, network, law)
        found = np.minimum(np.where(np.isfinite(found), found, hottest), hottest)
        change = float(np.abs(found - temps).max())
        temps = found
        if change <= _AVERAGED_TOLERANCE:
            break
    return temps


def _steady(
    matrix: FloatArray,
    heat: FloatArray,
    copper: float,
    temps: FloatArray,
    network: HeatNetwork,
    law: CopperLaw,
) -> FloatArray:
    """Return the steady state with copper loss linear in the winding's temperature; infinite in run-away."""
    w = network.winding
    flux = 1.0 + law.magnet_temp_coefficient * (float(temps[network.magnets]) - law.magnet_ref_temp)
    slope = copper / max(flux, _LEAST_FLUX) ** 2 / (law.copper_constant + law.winding_ref_temp)
    both = np.zeros((heat.size, 2))
    both[:, 0] = heat
    both[w, 1] = 1.0
    base, rise = np.linalg.solve(matrix, both).T
    # T = base + rise * slope * (k + T_w): the loss feeds on the temperature that it makes
    left = 1.0 - slope * rise[w]
    if left <= 0.0:
        return np.full(heat.size, np.inf)
    loss = slope * (law.copper_constant + base[w]) / left
    steady: FloatArray = base + rise * loss
    return steady


def _hottest(network: HeatNetwork) -> FloatArray:
    return np.full(len(network.nodes), float(network.sink_temp.max()) + _HOTTEST)
