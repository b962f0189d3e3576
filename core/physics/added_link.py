"""A heat network with one link more, of a conductance that nothing changes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.numeric import FloatArray
from core.physics.conductance_tables import ForcedTable, TemperatureTable
from core.physics.heat_network import HeatNetwork
from core.physics.input_ranges import require_not_negative


def with_solid_link(network: HeatNetwork, node: int, conductance: float, name: str) -> HeatNetwork:
    """Return a network with a further link from a node to its first sink.

    Parameters
    ----------
    network : HeatNetwork
        The network, with or without tables. [-]
    node : int
        Where the link begins. [-]
    conductance : float
        Its conductance, whatever speed and temperature. [W/K]
    name : str
        What it is. [-]

    Returns
    -------
    network : HeatNetwork
        The network with the link at the end. [-]

    Raises
    ------
    InputRangeError
        If the conductance is negative.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> one = HeatNetwork(("winding",), np.ones(1), ("air",), np.array([25.0]), np.array([0]),
    ...     np.array([1]), np.ones(1), np.zeros(1), np.zeros(1), np.ones(1), 0, 0, 0, 0)
    >>> with_solid_link(one, 0, 0.5, "plate").fixed.tolist()
    [1.0, 0.5]
    """
    require_not_negative("conductance of the added link", conductance, "W/K")
    table, forced, last = network.by_temperature, network.forced, network.end_a.size
    names = network.names or tuple(f"link {number + 1}" for number in range(last))
    if table is not None:
        table = TemperatureTable(
            table.mean_start,
            table.mean_step,
            _with_column(table.fixed, conductance),
            table.difference_step,
            _with_column(table.natural, 0.0),
        )
    if forced is not None:
        forced = ForcedTable(forced.highest, _with_column(forced.conductance, 0.0))
    return replace(
        network,
        end_a=np.append(network.end_a, node),
        end_b=np.append(network.end_b, len(network.nodes)),
        fixed=np.append(network.fixed, conductance),
        natural=np.append(network.natural, 0.0),
        rotating=np.append(network.rotating, 0.0),
        exponent=np.append(network.exponent, 1.0),
        forced=forced,
        by_temperature=table,
        names=(*names, name),
    )


def _with_column(table: FloatArray, value: float) -> FloatArray:
    return np.concatenate((table, np.full((len(table), 1), value)), axis=1)
