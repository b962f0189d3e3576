"""Rows of operating heat whose surface coefficients belong to the temperatures at the continuous torque."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from core.numeric import FloatArray
from core.physics.continuous_torque import continuous_torque
from core.physics.heat_network import HeatNetwork
from core.physics.operating_heat import OperatingHeat

# Coefficients taken so far from the temperatures they lead to change the torque by less than 1e-4 of
# itself: the node that is at its limit stays there, and the others follow with a fourth of a per cent. [K]
RESIDUAL: Final = 0.1
_MOST_ROUNDS: Final = 20
# No coefficient is asked for beyond what a table of surfaces can hold. [K above the warmest sink]
_HOTTEST: Final = 400.0


def settled_rows(network: HeatNetwork, rows: Callable[[FloatArray | None], OperatingHeat]) -> OperatingHeat:
    """Return the rows with the coefficients of the temperatures that their continuous torque leads to.

    Parameters
    ----------
    network : HeatNetwork
        The network; without coefficients that follow the temperatures the rows are made once. [-]
    rows : callable
        Gives the rows for node temperatures, shape (m, n), or for those of the network. [degC]

    Returns
    -------
    heat : OperatingHeat
        Rows whose own temperatures differ from those of their coefficients by at most `RESIDUAL`. [-]

    References
    ----------
    Own formulation, fixed-point iteration (from memory).
    """
    heat = rows(None)
    if network.by_temperature is None:
        return heat
    hottest = float(network.sink_temp.max()) + _HOTTEST
    temps = np.full(heat.inflow.shape, np.inf)
    for _ in range(_MOST_ROUNDS):
        found = np.minimum(continuous_torque(heat).node_temp, hottest)
        change = float(np.abs(found - temps).max())
        if change <= RESIDUAL:
            break
        temps = found
        heat = rows(temps)
    return heat
